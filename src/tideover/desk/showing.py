"""Answers turned into the plain views that are shown."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime, timedelta
from math import hypot
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from tideover.beetle.clock import clock
from tideover.colony.layout import P
from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.comb.stores import POLLEN_FILLED
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN
from tideover.desk.land import Land
from tideover.desk.taught_words import own_figures
from tideover.desk.views import Band, EntryLine, HiveLine, HiveView, Mark, PattyStay
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.predict import BREAD_POLLEN_SHARE
from tideover.evidence.scatters import (
    HALF_SIDES_LOG_SD,
    HEFT_KG,
    MIDDLE_COMB,
    NEST_SHARE,
    OUTER_SHARE,
    OUTER_SIDES,
    PLACEMENT_LOG_SD,
)
from tideover.evidence.seen import HiveCase, Seen
from tideover.figures import reader
from tideover.plan.call import Call
from tideover.plan.situation import Situation
from tideover.records import Books
from tideover.records.describing import describe

Z80: Final = 1.28
"""Normal deviate of the ends of 80 %."""
_value = reader("looks")


def sugar_kg(call: Call) -> float:
    """Sugar [kg] to take along for a call; 0 where none is given."""
    return call.grams / 1000.0 if call.action == "give sugar" else 0.0


def short(call: Call) -> str:
    """A call in a few words."""
    amount = f" {call.grams:.0f} g" if call.grams else ""
    return f"{call.action}{amount}"


def look_words(s: Seen) -> str:
    """A look in a few words: what a keeper wants to be reminded of."""
    v = s.values
    bits = []
    seams = v.get("seams")
    if isinstance(seams, tuple):
        bits.append("+".join(f"{x:g}" for x in seams) + " seams")
    if "outer_pollen" in v:
        bits.append(f"outer pollen {v['outer_pollen']}")
    elif "outer_half_sides" in v:
        bits.append(f"{v['outer_half_sides']:g} half sides pollen")
    if "nest_pollen" in v:
        bits.append(f"nest pollen {v['nest_pollen']}")
    if "jelly" in v:
        bits.append(f"jelly {v['jelly']}")
    if "eggs" in v:
        bits.append(f"eggs {v['eggs']}")
    if "heft" in v:
        bits.append(f"heft {v['heft']}")
    return ", ".join(bits) or "looked at, nothing of stores or brood written"


def _days(known: Assimilated) -> list[date]:
    return [known.start + timedelta(days=i) for i in range(known.out.shape[1] if known.out.size else 0)]


def _band(known: Assimilated, label: str, unit: str, names: tuple[str, ...], scale: float) -> Band:
    from tideover.colony.layout import O

    days = _days(known)
    if not days:
        return Band(label, unit, [], [], [], [])
    total = sum(known.out[:, :, O[n]].astype(np.float64) for n in names) * scale
    q = np.quantile(total, [0.1, 0.5, 0.9], axis=0)
    low, middle, high = (list(map(float, row)) for row in q)
    return Band(label, unit, days, low, middle, high)


def bands(known: Assimilated, line: Mapping[str, NDArray[np.float64]]) -> list[Band]:
    """Adults, brood, stored pollen and honey, each with its 80 % band: the season so far, then on to winter.

    :param line: low, median, high per day from ``known.today`` on, under the plan called.
    """
    so_far = [
        _band(known, "adults", "bees", ("adults",), 1.0),
        _band(known, "brood", "cells", ("eggs", "open", "capped"), 1.0),
        _band(known, "pollen", "g", ("pollen_g",), 1.0),
        _band(known, "honey", "kg", ("honey_g",), 0.001),
    ]
    return [_onward(b, line.get(key), known.today, scale) for b, (key, scale) in zip(so_far, _LINES, strict=True)]


_LINES = (("adults", 1.0), ("brood", 1.0), ("pollen_g", 1.0), ("honey_g", 0.001))


def _onward(band: Band, q: NDArray[np.float64] | None, today: date, scale: float) -> Band:
    if q is None or q.shape[1] == 0:
        return band
    days = [today + timedelta(days=i) for i in range(q.shape[1])]
    low, mid, high = ((row * scale).tolist() for row in q)
    return Band(
        band.name,
        band.unit,
        band.days + days,
        band.low + low,
        band.median + mid,
        band.high + high,
        ahead_from=len(band.days),
    )


def _num(v: object) -> float | None:
    return float(v) if isinstance(v, (int, float)) else None


def marks(case: HiveCase, known: Assimilated) -> list[Mark]:
    """What each look says by itself, converted with the ensemble's median factors, with its own spread."""
    p = np.median(known.ensemble.params, axis=0)
    comb = frame(case.boxes[0].frame if case.boxes else "deep")
    side = comb.dm2_per_side
    seam = p[P["bees_per_dm2"]] * 2.0 * side
    cells_side = side * worker_cells_per_dm2()
    bread_side = cells_side * p[P["bread_per_cell_g"]] * BREAD_POLLEN_SHARE
    honey_comb = frame("deep").dm2_per_side * p[P["honey_per_dm2_g"]] / 1000.0
    found: list[Mark] = []

    def add(s: Seen, series: str, value: float, spread: float, label: str) -> None:
        found.append(
            Mark(s.day, series, value, value * float(np.exp(-Z80 * spread)), value * float(np.exp(Z80 * spread)), label)
        )

    for s in case.seen:
        if s.kind != "look" or s.day > known.today:
            continue
        v = s.values
        seams = v.get("seams")
        if isinstance(seams, tuple) and sum(seams) > 0:
            add(s, "adults", float(sum(seams)) * seam, _value("mark_seams_log_sd"), f"{sum(seams):g} seams")
        capped, opened = _num(v.get("capped_quarters")), _num(v.get("open_quarters"))
        combs = _num(v.get("brood_combs"))
        if capped is not None and opened is not None and combs and capped + opened > 0:
            one = (capped + opened) * cells_side / 4.0 * p[P["brood_fill"]] * combs
            total = one / MIDDLE_COMB * _value("mark_brood_eggs")
            label = f"{capped:g} capped and {opened:g} open quarters on one of {combs:g} combs"
            add(s, "brood", total, _value("mark_brood_log_sd"), label)
        half = _num(v.get("outer_half_sides"))
        if half:
            grams = half * 0.5 * bread_side * POLLEN_FILLED / OUTER_SHARE
            add(s, "pollen", grams, HALF_SIDES_LOG_SD, f"{half:g} half sides")
        elif v.get("outer_pollen") in OUTER_POLLEN:
            w = OUTER_POLLEN[str(v["outer_pollen"])]
            add(
                s,
                "pollen",
                w.share_of_side * OUTER_SIDES * bread_side / OUTER_SHARE,
                hypot(w.log_sd, PLACEMENT_LOG_SD),
                f"outer comb: {w.word}",
            )
        elif v.get("nest_pollen") in NEST_POLLEN and combs:
            w = NEST_POLLEN[str(v["nest_pollen"])]
            add(
                s,
                "pollen",
                w.share_of_side * 2.0 * combs * bread_side / NEST_SHARE,
                hypot(w.log_sd, PLACEMENT_LOG_SD),
                f"round the brood: {w.word}",
            )
        honey = _num(v.get("honey_combs"))
        if honey:
            add(s, "honey", honey * honey_comb, _value("mark_honey_log_sd"), f"{honey:g} combs")
        elif v.get("heft") in HEFT_KG:
            kg, spread = HEFT_KG[str(v["heft"])]
            add(s, "honey", kg, spread, f"heft: {v['heft']}")
    return found


def stays(case: HiveCase, today: date) -> list[PattyStay]:
    """Pieces laid on and what became of them."""
    zone = ZoneInfo(case.place.timezone)
    made: list[PattyStay] = []
    open_at: int | None = None
    for s in case.seen:
        if s.day > today:
            continue
        if s.kind == "laid on":
            at = datetime.combine(s.day, datetime.min.time(), zone) + timedelta(hours=s.hour)
            if open_at is not None and made[open_at].off is None:
                made[open_at] = _closed(made[open_at], s.day, None, "another piece was laid on")
            made.append(
                PattyStay(
                    s.day,
                    None,
                    _num(s.values.get("weight")) or 0.0,
                    None,
                    clock(at, beetles=case.place.beetles).pull_by,
                )
            )
            open_at = len(made) - 1
        elif s.kind == "taken off" and open_at is not None:
            piece = made[open_at]
            left = _num(s.values.get("weight"))
            quarters = _num(s.values.get("patty_left"))
            rest = left if left is not None else None if quarters is None else piece.grams * quarters / 4.0
            note = str(s.values.get("patty_texture", ""))
            made[open_at] = _closed(piece, s.day, rest, note)
            open_at = None
        elif s.kind == "look" and open_at is not None and _num(s.values.get("patty_left")) is not None:
            piece = made[open_at]
            quarters = _num(s.values.get("patty_left")) or 0.0
            texture = s.values.get("patty_texture")
            made[open_at] = PattyStay(
                piece.on,
                piece.off,
                piece.grams,
                piece.grams * quarters / 4.0,
                piece.pull_by,
                f"{quarters:g} quarters left on {s.day:%-d %b}" + (f", {texture}" if texture else ""),
            )
    return made


def _closed(piece: PattyStay, off: date, left: float | None, note: str) -> PattyStay:
    return PattyStay(piece.on, off, piece.grams, left, piece.pull_by, note or piece.note)


def history(books: Books, hive: str, flagged: set[str]) -> list[EntryLine]:
    """Every entry of a hive, newest first, corrected and withdrawn ones included."""
    units = "us" if books.settings().get("units") == "us" else "metric"
    confirmed = books.confirmed(hive=hive)
    lines = []
    for entry, state in books.all_entries(hive=hive):
        shown: str = state
        if state == "stands":
            shown = "confirmed" if entry.id in confirmed else "flagged" if entry.id in flagged else "stands"
        lines.append(EntryLine(entry.id, entry.at, entry.kind, entry.who, describe(entry, units), shown))  # type: ignore[arg-type]
    return sorted(lines, key=lambda e: (e.at, e.id), reverse=True)


def hive_view(
    books: Books,
    case: HiveCase,
    known: Assimilated,
    facts: Situation,
    call: Call,
    line: HiveLine,
    land: Land,
    onward: Mapping[str, NDArray[np.float64]],
) -> HiveView:
    """Put one hive's page together."""
    pieces = stays(case, known.today)
    open_piece = next((p for p in pieces if p.off is None), None)
    flagged = {f.entry for f in call.flags}
    notes = [
        f"Cluster expected to form about {land.cluster:%-d %B %Y} ({land.cluster_how}).",
        f"Futures: {land.basis}.",
        own_figures(known),
    ]
    return HiveView(
        line=line,
        bands=bands(known, onward),
        marks=marks(case, known),
        patties=pieces,
        history=history(books, case.hive, flagged),
        runways=dict(call.milestones),
        boxes=" + ".join(f"{b.frame} x{b.frames}" for b in case.boxes),
        today=known.today,
        cluster_day=land.cluster,
        pull_by_open=open_piece.pull_by if open_piece is not None and facts.patty is not None else None,
        notes=notes,
    )
