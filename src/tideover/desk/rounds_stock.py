"""What the rounds draw on: patty in hand and how far it reaches, room in the freezer, and what to make or buy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from math import ceil

from tideover.desk.coldbox import cold_box
from tideover.desk.rounds_view import Needed, RoundDay
from tideover.desk.views import RoundView
from tideover.figures import book
from tideover.patty.piece import QUARTER_POUND_G
from tideover.plan.call import Call
from tideover.plan.rounds.load import ROBBED, frozen_l
from tideover.plan.rounds.stock import appetite, needs
from tideover.plan.rounds.work import Job
from tideover.plan.season_dates import stop_window
from tideover.plan.settings import Settings
from tideover.records import Books
from tideover.records.cases import place_of

SEED = 7_300
DEARTH_LEAST = book().value("rounds.dearth_least")


@dataclass(frozen=True)
class Stock:
    """``patty_g``: good patty for any hive; ``known``: a batch was ever written, so that this can be relied on.

    ``left_g``: by hive, what is left of the pieces on it as far as is written; ``freezer_l``: room that is free.
    """

    patty_g: float
    known: bool
    left_g: Mapping[str, float]
    freezer_l: float


def stock_of(books: Books, today: date, settings: Settings) -> Stock:
    """What the books say is in hand, on hives and in the freezer at noon of a day.

    Patty in hand is what is left of batches still good, and frozen pieces that are ready and of no hive: rests that
    go back to their own hive are not counted.
    """
    yards = books.yards()
    if not yards:
        return Stock(0.0, False, {}, settings.freezer_l)
    view = cold_box(books, datetime.combine(today, time(12), yards[0].zone), settings)
    shelf = sum(
        max(0.0, b.balance.held.get("shelf", 0.0))
        for b in view.batches
        if b.keeps_until is None or b.keeps_until >= today
    )
    ready = sum(f.grams for f in view.frozen if f.state == "ready" and f.hive is None)
    left: dict[str, float] = {}
    for p in view.on_hives:
        left[p.hive] = left.get(p.hive, 0.0) + p.left_g
    used = frozen_l(sum(f.grams for f in view.frozen))
    known = any(b.known and b.name for b in view.batches)
    return Stock(shelf + ready, known, left, max(0.0, settings.freezer_l - used))


def within_stock(
    yards: Mapping[str, Sequence[Job]], stock: Stock, today: date, settings: Settings
) -> tuple[dict[str, list[Job]], list[str]]:
    """Jobs with patty only where it is in hand, those that press first; the other hives wait until more can be had.

    A smaller piece further down is not held up by a larger one that the rest does not reach for. Nothing waits where
    the stock is not in the books. Returns: the jobs by yard, and the hives that wait.
    """
    if not stock.known or settings.patty_wait_d < 1:
        return {y: list(jobs) for y, jobs in yards.items()}, []

    def pressing(j: Job) -> tuple[float, str]:
        return (j.due.timestamp() if j.due is not None else float("inf")), j.hive

    left, waits = stock.patty_g, []
    for j in sorted((j for jobs in yards.values() for j in jobs if j.action == "lay on"), key=pressing):
        if j.grams <= left + 1.0:
            left -= j.grams
        else:
            waits.append(j.hive)
    ready = today + timedelta(days=ceil(settings.patty_wait_d))
    held = set(waits)
    return {
        y: [replace(j, first=max(j.first, ready)) if j.action == "lay on" and j.hive in held else j for j in jobs]
        for y, jobs in yards.items()
    }, waits


def freezer_over(days: Sequence[tuple[date, float]], free_l: float, back_d: float) -> dict[date, str]:
    """The days on which rests may find no room, each with a sentence.

    Parameters: days: rests brought home on each day out [l], in order; free_l: room that is free before [l];
    back_d: days after which a rest is back on its hive.
    """
    out = {}
    for day, rest in days:
        there = sum(r for d, r in days if d <= day and (day - d).days < back_d)
        if rest > 0 and there > free_l + 1e-9:
            out[day] = (
                f"Rests of up to {there:.1f} l may be in the freezer then, which has {free_l:.1f} l free: "
                "throw away what you will not lay on again, or borrow room."
            )
    return out


def shopping(
    books: Books,
    view: RoundView,
    dearth_by_day: Mapping[str, Sequence[float]],
    made: Sequence[RoundDay],
    settings: Settings,
    stock: Stock,
) -> list[Needed]:
    """Patty with its chance of running short; sugar and the rest as the days' loads add up, less what you have.

    Parameters: dearth_by_day: by yard, the chance of a dearth on each day from today on.
    """
    count = max(2, round(settings.plan_days / settings.visit_days) + 1)
    hives = [appetite(h.call) for y in view.yards for h in y.hives]
    dearth = {}
    for yard, by_day in dearth_by_day.items():
        stop = stop_window(settings, place_of(books.yard(yard)), view.day)
        chances = []
        for r in range(count):
            day = view.day + timedelta(days=round(r * settings.visit_days))
            ended = stop is not None and day >= stop.stop
            i = min((day - view.day).days, len(by_day) - 1)
            chances.append(0.0 if ended and r else max(by_day[i], DEARTH_LEAST))
        dearth[yard] = chances
    out = []
    have = stock.patty_g
    if any(h.grams > 0 and h.chance > 0 for h in hives):
        got, _ = needs(hives, dearth, in_hand_g=have, short=settings.short_chance, unit_g=QUARTER_POUND_G, seed=SEED)
        why = f"this round and {count - 1} more, {settings.visit_days:g} days apart"
        room = frozen_l(got.get)
        if room > stock.freezer_l:
            why += (
                f"; frozen, what to get would take {room:.0f} l, and {stock.freezer_l:.0f} l are free: get it in parts"
            )
        out.append(
            Needed(
                "patty", "g", got.low, got.median, got.high, have, got.get, got.short_now, got.short_then,
                got.get / 1000.0 * settings.patty_price, why,
            )
        )  # fmt: skip
    return out + [_other(*one) for one in _others(view, made, settings) if one[2] > 0]


def _others(
    view: RoundView, made: Sequence[RoundDay], settings: Settings
) -> list[tuple[str, str, float, float, float, str]]:
    """What else the days ask for: name, unit, needed, in hand, price of one, and what for."""
    loads = [x for d in made for x in d.load]
    going = {t.hive for d in made for s in d.stops for t in s.tasks}
    calls: list[Call] = [h.call for y in view.yards for h in y.hives if h.hive in going]
    codes = [{g.code for g in c.gates} for c in calls]
    sugar = sum(x.amount for x in loads if x.what == "sugar")
    fuel = sum(x.amount for x in loads if x.what == "smoker fuel")
    dark = sum(1 for d in made if not d.smoker)
    banned = f"; none for {dark} day{'s' if dark != 1 else ''} under a fire ban" if dark else ""
    small, kept = settings.small_price, "stays on the hive, so each is counted once"
    robbed, raided = sum(1 for c in codes if c & ROBBED), sum(1 for c in codes if "robbing" in c)
    boxes = sum(1 for c in calls if c.action == "unite")
    return [
        ("sugar", "kg", sugar, settings.have_sugar_kg, settings.sugar_price, "for the days above"),
        ("entrance reducer", "", robbed, settings.have_reducers, small, kept),
        ("robbing cloth", "", raided, settings.have_cloths, small, kept),
        ("spare box", "", boxes, settings.have_boxes, settings.box_price, "for uniting"),
        ("smoker fuel", "", fuel, settings.have_smoker_fillings, small, f"fillings for the days above{banned}"),
    ]


def _other(what: str, unit: str, amount: float, have: float, price: float, why: str) -> Needed:
    """A thing that is counted out by the calls: it is short or it is not."""
    get = max(0.0, amount - have)
    get = float(ceil(get - 1e-9)) if unit == "" else get
    return Needed(what, unit, amount, amount, amount, have, get, float(get > 0), 0.0, get * price, why)
