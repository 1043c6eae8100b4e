"""Pieces of a batch in the books are taken for what the batch is: protein that counts, pollen, sugar, drying."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from tideover.evidence.pieces import of_batch
from tideover.evidence.seen import HiveCase, Seen, Value
from tideover.records import Books

Batches = Mapping[str, Mapping[str, Value]]


def batches(books: Books) -> dict[str, Mapping[str, Value]]:
    """What stands in the books of each batch, by its name; the last entry of a name counts."""
    return {str(e.values.get("batch", "")).upper(): e.values for e in books.entries(kind="batch")}


def with_batches(case: HiveCase, held: Batches) -> HiveCase:
    """The case with each piece laid on filled from its batch, where its own entry is silent."""
    if not held:
        return case
    return replace(case, seen=tuple(_filled(s, held) for s in case.seen))


def pieces_of(case: HiveCase) -> set[str]:
    """Names of the batches of which a piece was laid on the hive; '' for pieces of no batch."""
    return {_batch_of(s) for s in case.seen if s.kind == "laid on"}


def _batch_of(s: Seen) -> str:
    name = str(s.values.get("batch") or "")
    if not name and (piece := str(s.values.get("piece") or "")):
        # a piece has the batch's name, a dash and its number
        name = piece.rpartition("-")[0]
    return name.upper()


def _filled(s: Seen, held: Batches) -> Seen:
    if s.kind != "laid on":
        return s
    batch = held.get(_batch_of(s))
    return s if batch is None else replace(s, values=of_batch(s.values, batch))
