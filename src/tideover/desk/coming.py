"""The coming round put together from the hives' answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date, datetime

import numpy as np

from tideover.desk import showing
from tideover.desk.asked import Answer
from tideover.desk.usual import with_batch
from tideover.desk.views import HiveLine, RoundView, YardLine
from tideover.desk.yards import Yards
from tideover.forage.heat import visit_cautions
from tideover.records import Books


def hive_line(books: Books, a: Answer) -> HiveLine:
    """One hive's line of the round."""
    low, mid, high = (float(v) for v in np.quantile(a.known.ensemble.adults(), [0.1, 0.5, 0.9]))
    looks = [s for s in a.case.seen if s.kind == "look" and s.day <= a.known.today]
    said = showing.look_words(looks[-1]) if looks else "never looked at"
    yard = books.yard(a.case.place.yard)
    return HiveLine(
        a.case.hive, yard.id, yard.name, a.call, said, looks[-1].day if looks else None, (low, mid, high), a.card
    )


def coming_round(
    books: Books, yards: Yards, answers: Sequence[Answer], today: date, note: Callable[[], str]
) -> RoundView:
    """Every yard with its load, cautions and one line per hive.

    :param answers: of every hive in the books, for ``today``.
    :param note: says what the keeper should know of the day.
    """
    settings = yards.settings()
    lines = []
    for y in books.yards():
        mine = [a for a in answers if a.case.place.yard == y.id]
        if mine:
            lines.append(_yard_line(books, yards, y.id, y.name, mine, today))
    load = sum(y.load_g for y in lines)
    sugar = sum(showing.sugar_kg(a.call) for a in answers)
    patty = sum(y.load_g / 1000.0 * with_batch(settings, yards.usual(y.yard, today)).patty_price for y in lines)
    cost = patty + sugar * settings.syrup_price
    return RoundView(today, datetime.now().astimezone(), lines, load, round(sugar, 1), round(cost, 2), note())


def _yard_line(books: Books, yards: Yards, yard_id: str, name: str, mine: Sequence[Answer], today: date) -> YardLine:
    land = yards.land(yard_id, today)
    cautions = visit_cautions(
        land.temp_max_today_c,
        land.humidity,
        land.wind_ms,
        land.rain_mm,
        land.drought_mm,
        fire_ban=any(g.code == "fire-ban" for a in mine for g in a.call.gates),
        heaviest_box="deep" if any(b.frame == "deep" for a in mine for b in a.case.boxes) else None,
    )
    return YardLine(
        yard_id,
        name,
        land.words,
        (land.now.low, land.now.median, land.now.high),
        sum(a.call.loads_g for a in mine),
        tuple(c.text for c in cautions),
        [hive_line(books, a) for a in mine],
    )
