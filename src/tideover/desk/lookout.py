"""The lookout: per yard the season so far and two weeks ahead, the dearth alert, water and cautions, in plain data.

What it says in words is in ``lookout_words``.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from math import exp
from typing import Final

import numpy as np

from tideover.desk import lookout_words as words
from tideover.desk.forecast import forecast_key, forecast_of, typical_key, typical_of
from tideover.desk.land import bloom_notes, hot_humidity, land_days, season_index, standing
from tideover.desk.neighbours import YardSaid, index_paths
from tideover.evidence.seen import Seen
from tideover.evidence.words import BLOOM
from tideover.figures import book
from tideover.forage.alert import Alert, alert, in_dearth, look_by, smooth, sure_from
from tideover.forage.bloom import names_in_flower
from tideover.forage.heat import Caution, afternoon_wind_ms, visit_cautions
from tideover.forage.index import LandDay, YardIndex, income_g, outlook
from tideover.forage.notes import STANDARD_ADULTS
from tideover.forage.outlook import Forecast
from tideover.forage.standard_rain import of_day
from tideover.records import Books, cases, yard_seen
from tideover.records.cases import place_of
from tideover.records.entries import Units

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
_QUART, _GALLON = book().value("forage.water_hot_day_l"), book().value("forage.water_worst_day_l")
WATER_L: Final = ((32.0, _QUART / 2.0), (36.0, _QUART), (40.0, (_QUART * _GALLON) ** 0.5), (44.0, _GALLON))
"""Litres a hive a day by the day's high: the ends are published, the highs they are put at our assumption."""
STALE_D: Final = 3
HEAVY_RAIN_MM: Final = 10.0
PAUSE_D: Final = 3
FIRE_BAN: Final = ("fire ban on", "fire ban off")
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
    look_by: date | None = None
    """The day within a week on which a note or count would tell most; None when nothing hangs on it."""
    look: str = ""
    hives_in: str = ""
    """Whether what looks at its hives say of the land is in the strip and the alert, and whose."""
    heard: tuple[str, ...] = ()
    """Hives whose looks are in it."""


@dataclass(frozen=True)
class LookoutView:
    """Every yard side by side."""

    today: date
    yards: list[YardLookout] = field(default_factory=list)
    sources: tuple[str, ...] = ()


def need_g_per_day() -> float:
    """Pollen a strong colony's brood needs a day [g]: 20,000 cells in 21 days at 130 mg a bee."""
    return BROOD_CELLS / 21.0 * book().value("protein.pollen_per_bee_mg") / 1000.0


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


def lookout(
    books: Books,
    today: date,
    yard: str | None = None,
    units: Units | None = None,
    hives: Mapping[str, YardSaid] | None = None,
) -> LookoutView:
    """Look out over every yard, or one; UnknownNameError when it is not in the books.

    :param units: which units the words use; as in the settings when None.
    :param hives: by yard, what looks at its hives say of the land (``Desk.yard_said``); a yard that is not in it is
        shown from weather, bloom notes and entrance counts alone, without a word about hives.
    """
    yards = [books.yard(yard)] if yard is not None else books.yards()
    held = books.settings()
    chosen: Units = units or ("us" if held.get("units") == "us" else "metric")
    return LookoutView(
        today,
        [_one(books, y.id, y.name, today, held, chosen, (hives or {}).get(y.id)) for y in yards],
        words.sources(chosen),
    )


def _one(
    books: Books, yard_id: str, name: str, today: date, held: Mapping[str, object], units: Units, said: YardSaid | None
) -> YardLookout:
    listed, coming = held.get(f"bloom:{yard_id}"), forecast_of(held.get(forecast_key(yard_id)), today)
    place = place_of(books.yard(yard_id))
    seen = yard_seen(books, yard_id)
    hives = cases(books, yard_id)
    counts = [s for c in hives.values() for s in c.seen if s.kind == "entrance count"]
    notes = bloom_notes(seen)
    grows = standing(listed, notes, place.latitude, today)
    index, past_years = season_index(place, seen, counts, today, grows, typical_of(held.get(typical_key(yard_id))))
    paths = index_paths(index, said or YardSaid(), PATHS, SEED)
    ahead = outlook(
        index, today + timedelta(days=LOOKED_D - 1), PATHS, SEED + 1, past_years, today_log_index=paths[:, -1],
        forecast=coming,
    )  # fmt: skip
    first = max(0, len(index.days) - BACK_D)
    days = [*index.days[first:], *ahead.days]
    joined = np.concatenate([paths[:, first:], ahead.log_index], axis=1)
    if len(index.days) - first < 2:
        raise ValueError(f"the season of {name} has no days; bring weather or write a bloom note.")
    told = alert(days, joined, today, taught=index.habit is not None)
    on = in_dearth(joined)
    last_look = max(
        [d for n in notes if (d := n.day) <= today] + [c.day for c in counts if c.day <= today], default=None
    )
    asked = look_by(days, joined, today, last_look)
    back = len(index.days) - first
    shown = back + AHEAD_D
    q = np.exp(np.quantile(joined[:, :shown], [0.1, 0.5, 0.9], axis=0))
    noted = {n.day: n.bloom for n in sorted(notes, key=lambda n: (bool(n.plant), BLOOM.index(n.bloom)), reverse=True)}
    wet = (ahead.rain[:, :AHEAD_D] >= 1.0).mean(axis=0)
    measured = land_days(seen)
    # a day whose rain was not measured is told apart from a dry one
    fell = {d.day: d.rain_mm for d in measured}
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
    lately = max((d.day for d in measured if d.day < today), default=None)
    wetness = {d.day for d in measured if d.rain_mm is not None}
    dark = sum(today - timedelta(days=k) not in wetness for k in range(1, words.RAIN_BACK_D + 1))
    basis = words.rests_on(lately, today, bool(notes or counts), STALE_D, dark, bool(said and said.telling))
    moving = trend([float(np.log(v)) for v in strip.median[:back]])
    hottest = float(np.quantile(ahead.temp_max[:, :3].max(axis=1), 0.5))
    litres = water_l(hottest) * len(hives)
    # every year there is in the books, not only the three the index follows
    rained = [(d.day, np.nan if d.rain_mm is None else d.rain_mm) for d in measured if d.day < today]
    rest = words.at_rest(
        float(index.temp_max[-AHEAD_D:].mean()), float(np.median(ahead.temp_max[:, :AHEAD_D], axis=0).mean()), units
    )
    head = words.headline(told, moving, shares[1], basis)
    return YardLookout(
        yard_id, name, today, f"{rest} {head}" if rest else head, told,
        (shares[0], shares[1], shares[2]), moving, litres, words.water(hottest, litres, len(hives), units),
        tuple(_cautions(
            index, ahead.temp_max, ahead.rain, lately, today, measured, coming,
            dark=dark > words.RAIN_MANY, us=units == "us",
            banned=fire_banned([*seen, *(s for c in hives.values() for s in c.seen)], today),
        )),
        words.hot_days(ahead.temp_max[:, :AHEAD_D], units),
        words.rain(of_day([d for d, _ in rained], [r for _, r in rained], today - timedelta(days=1))),
        tuple(names_in_flower(grows, place.latitude, today)),
        tuple(words.missing(
            lately, today, bool(notes or counts), listed is not None, coming, STALE_D, index.usual.rests_on, dark,
            *_temperatures(measured, today),
        )),
        ahead.basis, strip, len(hives), asked, words.look(asked, today, len(hives), told.state, sure_from(told)),
        said.words if said is not None and hives else "", said.telling if said is not None else (),
    )  # fmt: skip


def _temperatures(measured: Sequence[LandDay], today: date) -> tuple[int, int]:
    """Of the last days those without temperatures, and those whose temperatures were filled in."""
    lately = [d for d in measured if 0 < (today - d.day).days <= words.RAIN_BACK_D]
    return words.RAIN_BACK_D - len(lately), sum(d.temp_sd_c > 0.0 for d in lately)


def fire_banned(seen: Sequence[Seen], today: date) -> bool:
    """Whether a fire ban holds by the entries of a yard and its hives: the last word on it counts."""
    told = [
        s for s in seen if s.kind == "event" and s.day <= today and str(s.values.get("event")).startswith("fire ban")
    ]
    last = max(told, key=lambda s: (s.day, s.hour), default=None)
    return last is not None and last.values["event"] == FIRE_BAN[0]


def _cautions(
    index: YardIndex, temp_max: np.ndarray, rain: np.ndarray, lately: date | None, today: date,
    measured: Sequence[LandDay], coming: Forecast | None, *, dark: bool, banned: bool, us: bool,
) -> list[Caution]:  # fmt: skip
    """Cautions for a visit today or tomorrow: a forecast's humidity and wind if there is one, else the last days'."""
    hot = float(np.median(temp_max[:, :2].max(axis=1)))
    near = [d for d in coming.days if (d.day - today).days < 2] if coming is not None else []
    air = near or [d for d in measured if 0 < (today - d.day).days <= STALE_D]
    humid = [h for d in air if (h := hot_humidity(d)) is not None]
    # a forecast's dampest and windiest of the two days is what to be ready for; of days past, the mean
    rh = (max(humid) if near else float(np.mean(humid))) if humid else None
    winds = [afternoon_wind_ms(d.wind_ms) for d in air if d.wind_ms is not None]
    wind = (max(winds) if near else float(np.mean(winds))) if winds else None
    driest = min(humid) if humid else None
    # a drought that rests on rain nobody measured is no reason to warn or not to
    fresh = lately is not None and (today - lately).days <= STALE_D and not dark
    out = visit_cautions(
        hot, rh, wind, None, float(index.drought[-1]) if fresh else None, driest_rh=driest, fire_ban=banned, us=us
    )
    heavy = float((rain[:, :2].max(axis=1) >= HEAVY_RAIN_MM).mean())
    if heavy >= 0.2:
        text = (
            f"Heavy rain today or tomorrow is {100 * heavy:.0f} % likely: at the first thunder close the hive"
            " and go to a car or house, and wait 30 minutes after the last."
        )
        out.append(Caution("storm", "care", text, "national weather service thunder rule (from memory)"))
    return out
