"""Troubles that are one and the same, told once: which rows, how many, the first value, what to do.

A column in the wrong unit is wrong in every row; a thousand lines of it would bury the one row that is wrong otherwise.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from typing import Final

from tideover.forage.files.parts import Trouble

RUNS: Final = 3
"""Runs of rows that are named; the rest are counted."""
_DAY: Final = re.compile(r"\d{4}-\d{2}-\d{2}")
_PLACE: Final = re.compile(r" of \d{4}-\d{2}-\d{2}$| day \d+$")
_NUMBER: Final = re.compile(r"-?\d+(?:\.\d+)?")


def gather(troubles: Iterable[Trouble]) -> list[Trouble]:
    """Troubles with the same column, reason and remedy as one, in the order of their first rows.

    Two reasons are the same when they differ in days and numbers alone ('2025-07-02 was given 3 before').
    """
    groups: dict[tuple[str, str, str], list[Trouble]] = {}
    for t in troubles:
        reason = _NUMBER.sub("#", _DAY.sub("#", t.what))
        groups.setdefault((_PLACE.sub("", t.column), reason, t.remedy), []).append(t)
    return [_one(column, found) for (column, _, _), found in groups.items()]


def _one(column: str, found: Sequence[Trouble]) -> Trouble:
    first = min(found, key=lambda t: t.line)
    if len(found) == 1:
        return first
    lines = sorted({t.line for t in found if t.line})
    days = sorted({date.fromisoformat(d[0]) for t in found if (d := _DAY.search(t.column))})
    if len(lines) > 1:
        rows = f"lines {_runs(lines, [str(n) for n in lines], '-')}"
    elif not lines and len(days) > 1:
        rows = f"days {runs_of_days(days)}"
    else:
        rows = ""
    return replace(first, column=column, rows=rows, count=len(found))


def runs_of_days(days: Iterable[date]) -> str:
    """Days by the ends of their runs: '2025-07-01 to 2025-07-20, 2025-07-25 and 3 more'."""
    on = sorted(set(days))
    return _runs([d.toordinal() for d in on], [str(d) for d in on], " to ")


def _runs(at: Sequence[int], names: Sequence[str], joint: str) -> str:
    """Runs of numbers in a row by their ends: '12-40, 44 and 7 more'; ``names`` are what each is called."""
    runs: list[list[int]] = []
    for i, n in enumerate(at):
        if runs and n == at[runs[-1][-1]] + 1:
            runs[-1].append(i)
        else:
            runs.append([i])
    told = [names[r[0]] if len(r) == 1 else f"{names[r[0]]}{joint}{names[r[-1]]}" for r in runs[:RUNS]]
    more = sum(len(r) for r in runs[RUNS:])
    return ", ".join(told) + (f" and {more} more" if more else "")
