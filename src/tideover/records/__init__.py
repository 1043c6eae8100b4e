"""The books: what was seen and done, kept so that nothing is lost and nothing is counted twice.

Lives here: the kinds of entries and their fields (``kinds``), yards, hives and entries
(``entries``), which entries stand (``fold``), the store (``store``, ``writing``, ``tables``,
``migrations``), files in and out (``bringing``, ``exporting``), sentences about
entries (``describing``) and the way to the science (``cases``).
May import: figures, comb (names of frame types), evidence.words and evidence.seen (types).
Start reading at ``kinds``, then ``entries``, ``fold`` and ``store``.
"""

from __future__ import annotations

from tideover.records.backup import backup, restore
from tideover.records.bringing import BringReport, bring
from tideover.records.cases import boxes_now, case, cases, yard_seen
from tideover.records.describing import describe
from tideover.records.entries import Box, Entry, Hive, Yard, new_entry
from tideover.records.errors import (
    BringError,
    DifferentContentError,
    Problem,
    RecordsError,
    UnknownNameError,
    ValuesError,
)
from tideover.records.exporting import export
from tideover.records.store import Books, open_books
from tideover.records.values import parse_values

__all__ = [
    "Books", "Box", "BringError", "BringReport", "DifferentContentError", "Entry", "Hive", "Problem", "RecordsError",
    "UnknownNameError", "ValuesError", "Yard", "backup", "boxes_now", "bring", "case", "cases", "describe", "export",
    "new_entry", "open_books", "parse_values", "restore", "yard_seen",
]  # fmt: skip
