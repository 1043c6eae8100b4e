"""The calls as a table: ruled at a terminal, plain columns elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tideover.paper import amounts
from tideover.paper.block import of_visit

if TYPE_CHECKING:
    from tideover.desk.views import RoundView
    from tideover.plan.call import Call

HEADS: Final = ("hive", "call", "amount", "pull by", "sure", "runway", "why")


def call_row(call: Call, units: str = "metric") -> tuple[str, ...]:
    """One hive in the columns of ``HEADS``."""
    return (
        call.hive,
        call.action,
        amounts.gives(call, units),
        amounts.pull_by(call).removeprefix("pull by "),
        amounts.sure(call),
        amounts.runway(call.runway),
        why(call),
    )


def why(call: Call) -> str:
    """What stands in the way, else the weightiest reason."""
    first = next((gate for gate in call.gates if gate.effect != "warns" and not of_visit(gate)), None)
    if first is not None:
        return f"{first.title}: {first.do}"
    if call.reasons:
        return max(call.reasons, key=lambda reason: abs(reason.weight)).text
    return call.summary


def plain_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns two spaces apart, nothing cut off, no line end spaces."""
    widths = [max(len(row[i]) for row in [heads, *rows]) for i in range(len(heads))]
    lines = []
    for row in [heads, ["-" * width for width in widths], *rows]:
        lines.append("  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip())
    return "\n".join(lines)


def print_table(heads: Sequence[str], rows: Sequence[Sequence[str]], title: str = "") -> None:
    """A table on stdout: ruled and wrapped at a terminal, plain columns in a pipe or file."""
    if not sys.stdout.isatty():
        if title:
            print(title)
        print(plain_table(heads, rows))
        return
    from rich import box
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(title=title or None, title_justify="left", box=box.SIMPLE_HEAD, show_lines=False, pad_edge=False)
    for i, head in enumerate(heads):
        table.add_column(head, style="bold" if i < 2 else "", overflow="fold", ratio=3 if i == len(heads) - 1 else None)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    Console().print(table)


def print_calls(calls: Sequence[Call], units: str = "metric") -> None:
    """A table of calls, one yard after the other."""
    for yard in dict.fromkeys(call.yard for call in calls):
        print_table(HEADS, [call_row(call, units) for call in calls if call.yard == yard], title=yard)


def print_round(view: RoundView, units: str = "metric") -> None:
    """The round: what to load, then each yard with its land, cautions and calls."""
    print(f"Round of {amounts.day(view.day)} {view.day.year}: {load_words(view, units)}")
    if view.note:
        print(view.note)
    if not view.yards:
        print("No yard is in the books yet.")
    for yard in view.yards:
        print()
        print(f"{yard.name}: {yard.land}")
        for caution in yard.cautions:
            print(f"  ! {caution}")
        if yard.hives:
            print_table(HEADS, [call_row(line.call, units) for line in yard.hives])


def load_words(view: RoundView, units: str = "metric") -> str:
    """What to load before leaving."""
    parts = []
    if view.load_g > 0:
        parts.append(f"{amounts.both(view.load_g, units)} patty")
    if view.sugar_kg > 0:
        parts.append(f"{amounts.both(view.sugar_kg * 1000, units)} sugar")
    return ("load " + " and ".join(parts)) if parts else "nothing to load"
