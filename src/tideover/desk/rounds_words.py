"""The rounds as lines for a terminal and as plain values for scripts."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final

from tideover.desk.objects import plain
from tideover.desk.rounds_view import LoadLine, Needed, Rounds
from tideover.figures.units import MILE_KM
from tideover.records.own_units import own_first
from tideover.records.units import to_units

MILES_PER_KM: Final = 1 / MILE_KM


def rounds_object(made: Rounds) -> dict[str, Any]:
    """The rounds as plain values; the shape is that of the schema 'rounds'."""
    value: dict[str, Any] = plain(made)
    return value


def weight_words(grams: float, units: str) -> str:
    """A weight in the reader's unit: grams up to a kilogram and a half, else kilograms; or pounds."""
    if units == "us":
        return (
            f"{to_units(grams, 'patty', 'lb'):.2g} lb" if grams < 4536 else f"{to_units(grams, 'patty', 'lb'):.0f} lb"
        )
    return f"{grams:.0f} g" if grams < 1500 else f"{grams / 1000:.2f} kg"


def way_words(km: float, units: str) -> str:
    """A length of road in the reader's unit."""
    return f"{km * MILES_PER_KM:.1f} mi" if units == "us" else f"{km:.1f} km"


def _load(x: LoadLine, units: str) -> str:
    if x.unit in ("g", "kg"):
        return weight_words(x.amount * (1000.0 if x.unit == "kg" else 1.0), units)
    if x.unit == "l":
        return f"{to_units(x.amount, 'volume', 'gal'):.1f} gal" if units == "us" else f"{x.amount:.1f} l"
    return f"{x.amount:g} x"


def _need(amount: float, unit: str, units: str) -> str:
    return weight_words(amount * (1000.0 if unit == "kg" else 1.0), units) if unit in ("g", "kg") else f"{amount:g}"


def _needed(n: Needed, units: str) -> str:
    span = f" ({_need(n.low, n.unit, units)} to {_need(n.high, n.unit, units)})" if n.high > n.low else ""
    have, get = _need(n.in_hand, n.unit, units), _need(n.get, n.unit, units)
    if n.what != "patty":
        buy = f"buy {get}" if n.get > 0 else "enough"
        return f"{n.what}: {_need(n.median, n.unit, units)} {n.why}; in hand {have}, {buy}"
    return (
        f"{n.what}: {_need(n.median, n.unit, units)}{span} for {n.why}; in hand {have}, make or buy {get} "
        f"(chance of running short {100 * n.short_now:.0f} % now, {100 * n.short_then:.0f} % then)"
    )


def rounds_words(made: Rounds, units: str) -> Iterator[tuple[str, str]]:
    """The rounds as lines, each with its indent."""
    yield "", f"Rounds from {made.today:%Y-%m-%d}"
    if not made.days:
        yield "", "Nothing presses in the days planned: no hive asks for a visit."
    for d in made.days:
        yield "", ""
        drive = f"{way_words(d.drive_km, units)} and {d.drive_min:.0f} min on the road, {d.work_min:.0f} min of work"
        yield (
            "",
            f"{d.day:%a %-d %b}: leave {d.leave:%H:%M}, home {d.back:%H:%M}; {drive}.",
        )
        for s in d.stops:
            mark = ", provisional" if s.provisional else ""
            yield "  ", f"{s.name}, {s.start:%H:%M} to {s.end:%H:%M}{mark}. {own_first(' '.join(s.why), units)}"
            for c in s.cautions:
                yield "    ! ", own_first(c, units)
            for t in s.tasks:
                gives = f" {weight_words(t.grams, units)}" if t.grams > 0 else ""
                yield "    - ", f"{t.hive}: {t.text}{gives}"
        yield "  ", "Load: " + "; ".join(f"{_load(x, units)} {x.what}" for x in d.load) + "."
        if d.over:
            yield "  ! ", own_first(d.over, units)
        if not d.smoker:
            yield "  ! ", "A fire ban holds at one of these yards: no smoker there."
    for u in made.unplaced:
        yield "  ! ", f"{u.name} has no day: {own_first(u.why, units)}"
    if made.left_open:
        yield "", ""
        yield "", "Left open on days gone by:"
        for t in made.left_open:
            yield "  - ", f"{t.hive}: {t.text}"
    if made.shopping:
        yield "", ""
        yield "", "To have in hand:"
        for n in made.shopping:
            yield "  - ", _needed(n, units)
    p = made.proof
    yield "", ""
    best = "no plan costs less" if p.gap <= 0 else f"at most {100 * p.gap:.1f} % of that could be saved"
    done = f"{p.openings} openings, {way_words(p.driving_km, units)}, about {made.cost:.0f} {made.currency}."
    yield "", f"{done} In minutes of driving the plan costs {p.cost:.0f} ({best}); the plain rule {p.greedy_cost:.0f}."
    for note in made.notes:
        yield "  ", own_first(note, units)
