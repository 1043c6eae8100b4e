"""The lookout: per yard the season so far and two weeks ahead, the dearth alert, water and cautions, in plain data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import exp
from typing import Any, Final

import numpy as np

from tideover.desk.land import bloom_notes, land_days, season_index, standing
from tideover.desk.objects import plain
from tideover.evidence.words import BLOOM
from tideover.figures import book
from tideover.forage.alert import Alert, alert, in_dearth, smooth
from tideover.forage.bloom import names_in_flower
from tideover.forage.heat import NWS_BANDS, OSHA_BANDS, Caution, visit_cautions
from tideover.forage.index import YardIndex, income_g, outlook
from tideover.forage.notes import STANDARD_ADULTS
from tideover.forage.standard_rain import in_words as rain_in_words
from tideover.forage.standard_rain import of_day
from tideover.records import Books, cases, yard_seen
from tideover.records.cases import place_of

BACK_D: Final = 150
AHEAD_D: Final = 14
LOOKED_D: Final = 60
"""Days drawn ahead; a dearth needs fourteen of them to be one."""
PATHS: Final = 400
SEED: Final = 4_200
BROOD_CELLS: Final = 20_000.0
"""Brood of the strong colony that the need is reckoned for (15,000 to 25,000 in 21 days; our assumption)."""
HOT_C: Final = 32.0
"""From about here bees bring water to cool the nest (30 to 35 C, from memory)."""
WATER_L: Final = ((32.0, 0.5), (36.0, 1.0), (40.0, 2.0), (44.0, 4.0))
"""Litres a hive a day by the day's high: a quart on hot days, a gallon in the worst (extension pages, from memory)."""
STALE_D: Final = 3
PAUSE_D: Final = 3
TURN: Final = 0.01
"""A day's change of the week's mean (log) that counts as the other way."""


@dataclass(frozen=True)
class Strip:
    """The season day by day; all lists as long as ``days``. Ahead of today medians, and rain as its chance.

    ``rain_mm`` None: not measured. ``bloom``: word noted that day, empty without. ``dearth``: probability.
    """

    days: list[date]
    rain_mm: list[float | None]
    rain_chance: list[float | None]
    temp_max_c: list[float]
    measured: list[bool]
    drought_mm: list[float | None]
    soil_share: list[float | None]
    bloom: list[str]
    low: list[float]
    median: list[float]
    high: list[float]
    dearth: list[float]


@dataclass(frozen=True)
class YardLookout:
    """One yard as the lookout shows it."""

    yard: str
    name: str
    today: date
    headline: str
    """The plain words that come first."""
    alert: Alert
    need_share: tuple[float, float, float]
    """What a strong colony can fetch over what its brood needs: low, median, high."""
    trend_days: int
    """Days that pollen on offer has been falling (negative) or rising (positive)."""
    water_l: float
    """Water for the yard's hives on the hottest of the next three days [l]; 0 when it will not be hot."""
    water: str
    cautions: tuple[Caution, ...]
    hot_days: str
    rain_words: str
    in_flower: tuple[str, ...]
    missing: tuple[str, ...]
    basis: str
    strip: Strip
    hives: int = 0


@dataclass(frozen=True)
class LookoutView:
    """Every yard side by side."""

    today: date
    yards: list[YardLookout] = field(default_factory=list)
    sources: tuple[str, ...] = ()


def need_g_per_day() -> float:
    """Pollen a strong colony's brood needs a day [g]: 20,000 cells in 21 days at 130 mg a bee."""
    return BROOD_CELLS / 21.0 * book().value("protein.pollen_per_bee_mg") / 1000.0


def share_words(share: float) -> str:
    """A share of the need in words a keeper uses."""
    for below, words in (
        (0.04, "next to nothing of"), (0.075, "about a twentieth of"), (0.13, "about a tenth of"),
        (0.17, "about a seventh of"), (0.225, "about a fifth of"), (0.29, "about a quarter of"),
        (0.42, "about a third of"), (0.58, "about half of"), (0.71, "about two thirds of"),
        (0.9, "about three quarters of"), (1.25, "about all of"),
    ):  # fmt: skip
        if share < below:
            return words
    return "more than all of" if share < 2.0 else "over twice"


def trend(log_median: Sequence[float]) -> int:
    """Days the week's mean has been falling (negative) or rising; 0 when it changed by less than a seventh."""
    x = smooth(np.asarray(log_median))
    if x.size < 10:
        return 0
    for sign in (-1, 1):
        k = turn = x.size - 1
        still = 0
        # a pause of up to three days, or a small turn the other way, does not end it
        while k > 7 and still <= PAUSE_D and sign * (x[-1] - x[k - 1]) > 0 and sign * (x[k] - x[k - 1]) > -TURN:
            k -= 1
            moved = sign * (x[k + 1] - x[k]) > TURN / 2
            turn, still = (k, 0) if moved else (turn, still + 1)
        days = x.size - 1 - turn
        if days >= 3 and abs(x[-1] - x[turn]) > 0.15:
            return sign * days
    return 0


def water_l(temp_max_c: float) -> float:
    """Litres of water a hive may fetch on a day with this high [C]."""
    if temp_max_c < HOT_C:
        return 0.0
    return float(np.interp(temp_max_c, [t for t, _ in WATER_L], [v for _, v in WATER_L]))


def lookout(books: Books, today: date, yard: str | None = None) -> LookoutView:
    """Look out over every yard, or one; UnknownNameError when it is not in the books."""
    yards = [books.yard(yard)] if yard is not None else books.yards()
    lists = books.settings()
    made = [_one(books, y.id, y.name, today, lists.get(f"bloom:{y.id}")) for y in yards]
    return LookoutView(today, made, sources())


def sources() -> tuple[str, ...]:
    """Where bands and needs come from, one sentence each."""
    osha = ", ".join(f"{w} below {t:.0f} F" if np.isfinite(t) else f"{w} above" for t, w in OSHA_BANDS)
    nws = ", ".join(f"{w} below {t:.0f} F" if np.isfinite(t) else f"{w} above" for t, w in NWS_BANDS)
    return (
        f"Heat at work: bands of the US safety authority (OSHA), in full sun: {osha}.",
        f"Heat index: the US National Weather Service's formula; its public bands: {nws} (from memory).",
        "Fire weather: Keetch & Byram 1968 stages; local fire law decides.",
        "Pollen needed: 20,000 brood cells in 21 days, 130 mg a bee (a strong colony; protein.pollen_per_bee_mg).",
        "Water: a quart a hive on hot days, up to a gallon in the worst heat (extension pages, from memory).",
        "A dearth: two weeks with the week's mean below a quarter of an ordinary good flow (our assumption).",
    )


def _one(books: Books, yard_id: str, name: str, today: date, listed: object) -> YardLookout:
    place = place_of(books.yard(yard_id))
    seen = yard_seen(books, yard_id)
    hives = cases(books, yard_id)
    counts = [s for c in hives.values() for s in c.seen if s.kind == "entrance count"]
    notes = bloom_notes(seen)
    grows = standing(listed, notes, place.latitude, today)
    index, past_years = season_index(place, seen, counts, today, grows)
    paths = index.paths(PATHS, SEED)
    ahead = outlook(
        index, today + timedelta(days=LOOKED_D - 1), PATHS, SEED + 1, past_years, today_log_index=paths[:, -1]
    )
    first = max(0, len(index.days) - BACK_D)
    days = [*index.days[first:], *ahead.days]
    joined = np.concatenate([paths[:, first:], ahead.log_index], axis=1)
    if len(index.days) - first < 2:
        raise ValueError(f"the season of {name} has no days; bring weather or write a bloom note.")
    told = alert(days, joined, today)
    on = in_dearth(joined)
    back = len(index.days) - first
    shown = back + AHEAD_D
    q = np.exp(np.quantile(joined[:, :shown], [0.1, 0.5, 0.9], axis=0))
    noted = {n.day: n.bloom for n in sorted(notes, key=lambda n: (bool(n.plant), BLOOM.index(n.bloom)), reverse=True)}
    wet = (ahead.rain[:, :AHEAD_D] >= 1.0).mean(axis=0)
    # a day whose rain was not measured is told apart from a dry one
    fell = {d.day: d.rain_mm for d in land_days(seen)}
    strip = Strip(
        days[:shown],
        [fell.get(d) for d in days[:back]] + [None] * AHEAD_D,
        [None] * back + [float(v) for v in wet],
        [float(v) for v in index.temp_max[first:]] + [float(v) for v in np.median(ahead.temp_max[:, :AHEAD_D], axis=0)],
        [bool(v) for v in index.known[first:]] + [False] * AHEAD_D,
        [float(v) for v in index.drought[first:]] + [None] * AHEAD_D,
        [float(v) for v in index.soil_ks[first:]] + [None] * AHEAD_D,
        [noted.get(d, "") for d in days[:back]] + [""] * AHEAD_D,
        [float(v) for v in q[0]], [float(v) for v in q[1]], [float(v) for v in q[2]],
        [float(v) for v in on[:, :shown].mean(axis=0)],
    )  # fmt: skip
    hours = float(np.median(ahead.pollen_h[:, :7]))
    shares = [
        float(income_g(exp(v), STANDARD_ADULTS, hours)) / need_g_per_day()
        for v in np.quantile(ahead.log_index[:, :3].mean(axis=1), [0.1, 0.5, 0.9])
    ]
    lately = max((d.day for d in land_days(seen) if d.day < today), default=None)
    fresh = lately is not None and (today - lately).days <= STALE_D
    hottest = float(np.quantile(ahead.temp_max[:, :3].max(axis=1), 0.5))
    litres = water_l(hottest) * len(hives)
    return YardLookout(
        yard_id, name, today,
        _headline(told, trend([float(np.log(v)) for v in strip.median[:back]]), shares[1], strip),
        told, (shares[0], shares[1], shares[2]), trend([float(np.log(v)) for v in strip.median[:back]]),
        litres, _water_words(hottest, litres, len(hives)),
        tuple(_cautions(index, ahead.temp_max, ahead.rain, fresh)), _hot_words(ahead.temp_max[:, :AHEAD_D]),
        _rain_words(index, today), tuple(names_in_flower(grows, place.latitude, today)),
        tuple(_missing(lately, today, notes, counts, listed)), ahead.basis, strip, len(hives),
    )  # fmt: skip


def _headline(told: Alert, moving: int, share: float, strip: Strip) -> str:
    if moving < 0:
        head = f"Pollen on offer has been falling for {-moving} days"
    elif moving > 0:
        head = f"Pollen on offer has been rising for {moving} days"
    else:
        head = "Pollen on offer is steady"
    return f"{head}; {share_words(share)} what a strong hive needs. {told.words}"


def _water_words(hottest: float, litres: float, hives: int) -> str:
    if litres <= 0.0 or hives == 0:
        return ""
    each = litres / hives
    return (
        f"Up to {hottest:.0f} C in the next three days: about {each:.1f} litres of water a hive a day, {litres:.0f} for"
        f" {hives} hive{'s' if hives != 1 else ''}, in the shade, with footing, and never let it run dry."
    )


def _cautions(index: YardIndex, temp_max: np.ndarray, rain: np.ndarray, fresh: bool) -> list[Caution]:
    """Cautions for a visit tomorrow or the day after, as the weather of the place goes."""
    hot = float(np.median(temp_max[:, :2].max(axis=1)))
    out = visit_cautions(hot, None, None, None, float(index.drought[-1]) if fresh else None)
    heavy = float((rain[:, :2].max(axis=1) >= 10.0).mean())
    if heavy >= 0.2:
        text = (
            f"Heavy rain on one of the next two days is {100 * heavy:.0f} % likely: at the first thunder close the hive"
            " and go to a car or house, and wait 30 minutes after the last."
        )
        out.append(Caution("storm", "care", text, "national weather service thunder rule (from memory)"))
    return out


def _hot_words(temp_max: np.ndarray) -> str:
    per = (temp_max >= 38.0).sum(axis=1)
    low, mid, high = (int(v) for v in np.quantile(per, [0.1, 0.5, 0.9]))
    if high == 0:
        return ""
    return f"Days of 38 C or more in the next two weeks: about {mid} ({low} to {high}); pollen trips halve on them."


def _rain_words(index: YardIndex, today: date) -> str:
    rain = np.where(index.known, index.rain, np.nan)
    got = of_day(index.days, rain, today - timedelta(days=1))
    if got is None:
        return ""
    value, years = got
    thin = "" if years >= 30 else f", from {years} years only"
    return f"Rain of the last 90 days: {rain_in_words(value)} for the season (index {value:+.1f}{thin})."


def _missing(
    lately: date | None, today: date, notes: Sequence[object], counts: Sequence[object], listed: object
) -> list[str]:
    out = []
    if lately is None:
        out.append("No weather has been brought: this is the usual weather of the latitude and height, and wide.")
    elif (today - lately).days > STALE_D:
        out.append(f"The last weather day is {lately}; since then the usual weather of the place stands in.")
    out.append("No forecast is used: the days ahead are drawn from the place's own weather.")
    if not notes and not counts:
        out.append("Nothing in flower has been noted: one bloom note or a minute at an entrance narrows this most.")
    if listed is None:
        out.append("No plants are listed for this yard; a list bends the season to what grows there.")
    return out


def lookout_object(view: LookoutView) -> dict[str, Any]:
    """The lookout as plain values for scripts; the shape is that of the schema 'lookout'."""
    return {
        "today": view.today.isoformat(),
        "sources": list(view.sources),
        "yards": [
            {
                "yard": y.yard, "name": y.name, "headline": y.headline, "hives": y.hives,
                "alert": plain(y.alert), "need_share": dict(zip(("low", "median", "high"), y.need_share, strict=True)),
                "trend_days": y.trend_days, "water_l": y.water_l, "water": y.water,
                "cautions": plain(y.cautions), "hot_days": y.hot_days, "rain_words": y.rain_words,
                "in_flower": list(y.in_flower), "missing": list(y.missing), "basis": y.basis,
                "strip": plain(y.strip),
            }
            for y in view.yards
        ],
    }  # fmt: skip


def lookout_words(view: LookoutView) -> Iterator[tuple[str, str]]:
    """The lookout as lines for a terminal, each with its indent."""
    yield "", f"Lookout of {view.today:%Y-%m-%d}"
    if not view.yards:
        yield "", "No yard is in the books yet."
    for y in view.yards:
        yield "", ""
        yield "", f"{y.name}: {y.headline}"
        low, mid, high = (100 * v for v in y.need_share)
        yield (
            "  ",
            f"A strong hive can fetch about {mid:.0f} % ({low:.0f} to {high:.0f} %) of the pollen its brood needs.",
        )
        s = y.strip
        end = f"{s.median[-1]:.2f} ({s.low[-1]:.2f} to {s.high[-1]:.2f})"
        yield "  ", f"In two weeks: {end} of a good flow; a dearth that day is {100 * s.dearth[-1]:.0f} % likely."
        for line in (y.water, y.hot_days, y.rain_words):
            if line:
                yield "  ", line
        if y.in_flower:
            yield "  ", f"In flower by its list of plants: {', '.join(y.in_flower[:8])}."
        for c in y.cautions:
            yield "  ! ", f"{c.text} ({c.source})"
        for line in y.missing:
            yield "  - ", line
    if view.yards:
        yield "", ""
        for line in view.sources:
            yield "", line
