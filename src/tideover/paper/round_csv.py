"""The round as a table for spreadsheets: a line per hive, columns with their units in their names."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Final

from tideover.paper.amounts import GRAMS_PER_POUND

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine, RoundView

COLUMNS: Final[tuple[tuple[str, str], ...]] = (
    ("day", "day of the round"),
    ("yard", "the yard's id"),
    ("yard_name", "the yard's name"),
    ("hive", "the hive's id"),
    ("call", "what to do: one of the nine calls"),
    ("give_g", "what is laid on or given, grams; empty when nothing is"),
    ("give_lb", "the same in pounds"),
    ("product", "what is given, in words"),
    ("load_g", "what to load for this hive, grams"),
    ("load_lb", "the same in pounds"),
    ("pull_by", "when the piece must be off, local time with its offset; empty when none is on"),
    ("sure", "chance that the call is right by your margin, 0 to 1; empty where a gate calls"),
    ("toss_up", "yes or no"),
    ("open", "yes: the hive is to be opened; no: it can be left shut or done on the forecast"),
    ("look_changes", "chance that a look at one brood comb changes the call, 0 to 1; empty without a card"),
    ("card_until", "last day the field card holds"),
    ("runway_days", "days until protein runs short, middle; empty beyond the horizon"),
    ("runway_low_days", "the same, low end of the 80 % range"),
    ("runway_high_days", "the same, high end"),
    ("gates", "titles of what blocks or comes first, separated by semicolons"),
    ("look_for", "what to look for, separated by semicolons"),
    ("why", "the call in a sentence or two"),
)
"""Names and meanings of the columns, in their order."""
_FORMULA: Final = ("=", "+", "-", "@", "\t")


def round_csv(view: RoundView) -> str:
    """The round as CSV (RFC 4180: commas, CR LF, quotes doubled), with a header row.

    A text a spreadsheet would take for a formula has an apostrophe set before it.
    """
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\r\n")
    table.writerow([name for name, _ in COLUMNS])
    for yard in view.yards:
        for line in yard.hives:
            table.writerow([_safe(cell) for cell in _row(view, line)])
    return out.getvalue()


def _row(view: RoundView, line: HiveLine) -> list[str]:
    call = line.call
    run, card = call.runway, line.card
    gives = call.grams > 0
    return [
        view.day.isoformat(), line.yard, line.yard_name, line.hive, call.action,
        _number(call.grams, 1) if gives else "", _number(call.grams / GRAMS_PER_POUND, 3) if gives else "",
        call.product or "", _number(call.loads_g, 1), _number(call.loads_g / GRAMS_PER_POUND, 3),
        call.pull_by.isoformat(timespec="minutes") if call.pull_by else "",
        "" if call.sure is None else _number(call.sure, 3), _yes(call.toss_up), _yes(call.worth_opening),
        "" if card is None else _number(1.0 - card.same, 3), "" if card is None else card.good_until.isoformat(),
        *("" if d is None else _number(d, 0) for d in (run.median, run.low, run.high)),
        "; ".join(g.title for g in call.gates if g.effect != "warns"), "; ".join(call.ask), call.summary,
    ]  # fmt: skip


def _number(value: float, places: int) -> str:
    text = f"{value:.{places}f}"
    text = text.rstrip("0").rstrip(".") if "." in text else text
    return "0" if text == "-0" else text


def _yes(value: bool) -> str:
    return "yes" if value else "no"


def _safe(cell: str) -> str:
    return f"'{cell}" if cell.startswith(_FORMULA) else cell
