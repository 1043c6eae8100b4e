"""The calls as a table: two short lines a hive at a terminal, one long line a hive in a pipe or file."""

from __future__ import annotations

import sys
import textwrap
from collections.abc import Sequence
from typing import TYPE_CHECKING, Final

from tideover.paper import amounts
from tideover.records.own_units import own_first

if TYPE_CHECKING:
    from tideover.desk.views import RoundView
    from tideover.plan.call import Call

HEADS: Final = ("hive", "call", "amount", "pull by", "sure", "runway", "why")
NARROW: Final = 60
"""Text is wrapped to the terminal, but never narrower than this."""


def call_row(call: Call, units: str = "metric") -> tuple[str, ...]:
    """One hive in the columns of ``HEADS``."""
    return (
        call.hive,
        call.action,
        amounts.gives(call, units),
        amounts.pull_by(call).removeprefix("pull by "),
        amounts.sure(call),
        amounts.runway(call.runway),
        why(call, units),
    )


def short_row(call: Call, units: str = "metric") -> tuple[str, ...]:
    """The same without ``why``, in few enough letters for a terminal of 100."""
    run = call.runway
    if run.median is None:
        days = f"over {run.horizon_days} d"
    elif run.median < 0.5:
        days = "none left"
    else:
        low = "?" if run.low is None else f"{run.low:.0f}"
        days = f"{run.median:.0f} d ({low}–{f'{run.horizon_days}+' if run.high is None else f'{run.high:.0f}'})"
    amount = amounts.pounds(call.grams) if units == "us" else amounts.weight(call.grams)
    return (
        call.hive,
        call.action,
        amount if call.grams > 0 else "",
        amounts.pull_by(call).removeprefix("pull by ").replace("due off since", "late:"),
        ("toss-up" if call.toss_up else "by a gate" if call.sure is None else amounts.percent(call.sure))
        + (", thin" if call.evidence == "thin" else ""),
        days,
    )


def why(call: Call, units: str = "metric") -> str:
    """The sentence of the gate or of the plans that made the call."""
    return own_first(call.summary, units)


def plain_table(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """Columns two spaces apart, nothing cut off, no spaces at line ends."""
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

    table = Table(title=title or None, title_justify="left", box=box.SIMPLE_HEAD, pad_edge=False)
    for i, head in enumerate(heads):
        table.add_column(head, style="bold" if i == 0 else "", overflow="fold", no_wrap=i == 0)
    for row in rows:
        table.add_row(*(Text(cell) for cell in row))
    Console().print(table)


def print_call_rows(calls: Sequence[Call], units: str) -> None:
    """Calls of one yard: one line a hive in a pipe, two at a terminal."""
    if not sys.stdout.isatty():
        print(plain_table(HEADS, [call_row(call, units) for call in calls]))
        return
    from rich.console import Console
    from rich.text import Text

    console = Console()
    head, rule, *rows = plain_table(HEADS[:-1], [short_row(call, units) for call in calls]).splitlines()
    console.print(Text(head, style="bold"))
    console.print(Text(rule, style="dim"))
    for call, row in zip(calls, rows, strict=True):
        # what is done is set in bold, and said in words
        bold = len(rule.split("  ")[0]) + 2 + len(call.action)
        console.print(Text.assemble((row[:bold], "bold"), row[bold:]), no_wrap=True, crop=False)
        for line in wrapped(why(call, units), "    "):
            console.print(Text(line, style="dim"), no_wrap=True, crop=False)


def wrapped(text: str, indent: str = "") -> list[str]:
    """Lines no wider than the terminal; one line in a pipe or file."""
    if not sys.stdout.isatty():
        return [indent + text]
    import shutil

    width = max(shutil.get_terminal_size((100, 24)).columns, NARROW)
    return textwrap.wrap(text, width, initial_indent=indent, subsequent_indent=" " * len(indent))


def print_calls(calls: Sequence[Call], units: str = "metric") -> None:
    """A table of calls, one yard after the other."""
    for i, yard in enumerate(dict.fromkeys(call.yard for call in calls)):
        print(f"{chr(10) if i else ''}{yard}")
        print_call_rows([call for call in calls if call.yard == yard], units)


def print_round(view: RoundView, units: str = "metric") -> None:
    """The round: what to load, then each yard with its land, cautions and calls."""
    print(f"Round of {amounts.day(view.day)} {view.day.year}: {load_words(view, units)}")
    if view.note:
        print("\n".join(wrapped(view.note)))
    if not view.yards:
        print("No yard is in the books yet.")
    for yard in view.yards:
        print()
        print("\n".join(wrapped(f"{yard.name}: {own_first(yard.land, units)}")))
        for caution in yard.cautions:
            print("\n".join(wrapped(own_first(caution, units), "  ! ")))
        if yard.hives:
            print_call_rows([line.call for line in yard.hives], units)


def load_words(view: RoundView, units: str = "metric") -> str:
    """What to load before leaving."""
    parts = []
    if view.load_g > 0:
        parts.append(f"{amounts.both(view.load_g, units)} patty")
    if view.sugar_kg > 0:
        parts.append(f"{amounts.both(view.sugar_kg * 1000, units)} sugar")
    return ("load " + " and ".join(parts)) if parts else "nothing to load"
