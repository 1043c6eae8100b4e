"""The round as a table for spreadsheets: a line per hive, columns with their units in their names."""

from __future__ import annotations

import csv
import io
from typing import TYPE_CHECKING, Final

from tideover.figures.units import POUND_G
from tideover.records.format_doc import ROUND_COLUMNS

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine, RoundView

COLUMNS: Final = ROUND_COLUMNS
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
        _number(call.grams, 1) if gives else "", _number(call.grams / POUND_G, 3) if gives else "",
        call.product or "", _number(call.loads_g, 1), _number(call.loads_g / POUND_G, 3),
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
