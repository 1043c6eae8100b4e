"""Years in three climates, for checks that need seasons.

Temperatures are monthly normals of the sort such places have, rounded from memory, with made-up weather around them
from a fixed seed. Day length is from the latitude. **Pollen on offer through the year is an invented driver**: nobody
publishes one. Its shape is what keepers of such places say of their seasons (a spring flow everywhere, a summer dearth
where it is hot, a weak autumn flow), its height is set so that a colony left alone lives from year to year. Sizes and
yearly totals depend on it; ratios, times and signs much less.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.colony_bench import colony, go, plain_params
from tideover.colony.ensemble import Ensemble, Run
from tideover.colony.layout import BREAD, HONEY
from tideover.colony.weather import Feeding, Weather
from tideover.forage.hours import hours
from tideover.forage.sun import daylength_h

Floats = NDArray[np.float64]
MID_MONTH: Final = np.array([15.0, 46.0, 74.0, 105.0, 135.0, 166.0, 196.0, 227.0, 258.0, 288.0, 319.0, 349.0])


@dataclass(frozen=True)
class Climate:
    """A kind of place: monthly mean high and low [C], chance of a wet day, pollen on offer (invented)."""

    name: str
    latitude_deg: float
    high_c: tuple[float, ...]
    low_c: tuple[float, ...]
    wet: float
    index: tuple[float, ...]

    @property
    def first_day(self) -> int:
        """Day of the year on which the bees' year begins, in the depth of winter: 1 January, or 2 July in the south."""
        return 1 if self.latitude_deg >= 0.0 else 183

    def mirrored(self) -> Climate:
        """The same kind of place on the other side of the equator."""

        def turned(monthly: tuple[float, ...]) -> tuple[float, ...]:
            return monthly[6:] + monthly[:6]

        return Climate(
            f"{self.name}, mirrored", -self.latitude_deg, turned(self.high_c), turned(self.low_c), self.wet,
            turned(self.index),
        )  # fmt: skip


COLD: Final = Climate(
    "cold winter, 43 N", 43.0,
    (-1, 1, 6, 13, 20, 25, 27, 26, 22, 15, 8, 1), (-9, -9, -4, 2, 8, 13, 16, 15, 11, 5, 0, -6), 0.3,
    (0.01, 0.02, 0.2, 1.0, 1.5, 1.5, 1.2, 1.0, 1.0, 0.4, 0.03, 0.01),
)  # fmt: skip
HUMID: Final = Climate(
    "hot and humid, 30 N", 30.5,
    (16, 19, 22, 26, 30, 33, 33, 33, 31, 27, 21, 18), (5, 8, 11, 14, 19, 22, 23, 23, 21, 15, 9, 7), 0.3,
    (0.15, 0.5, 1.0, 1.4, 1.2, 0.7, 0.3, 0.2, 0.35, 0.5, 0.25, 0.12),
)  # fmt: skip
DRY: Final = Climate(
    "dry summer, 33 N", 33.0,
    (15, 17, 20, 24, 29, 33, 36, 36, 33, 29, 22, 17), (6, 7, 9, 12, 15, 19, 21, 21, 19, 16, 12, 8), 0.12,
    (0.4, 1.0, 2.0, 2.5, 2.0, 1.0, 0.4, 0.25, 0.2, 0.3, 0.4, 0.3),
)  # fmt: skip
SCOTLAND: Final = Climate(
    "cool, 56 N", 56.0,
    (6, 6, 9, 11, 15, 17, 19, 18, 16, 12, 9, 6), (1, 1, 2, 4, 6, 9, 11, 11, 9, 6, 3, 1), 0.4, COLD.index,
)  # fmt: skip
"""For one count of bees made there; pollen on offer as in the cold place."""
CONNECTICUT: Final = Climate(
    "cold winter, 41 N", 41.5,
    (2.2, 3.3, 8, 15, 21, 26, 29, 28, 24, 17, 11, 5), (-7, -6, -2, 4, 9, 15, 18, 17, 13, 6, 1, -4), 0.3, COLD.index,
)  # fmt: skip
"""For one count of winter brood made there: highs of December to February as told with it, pollen as in the cold."""
CLIMATES: Final = (COLD, HUMID, DRY)


def through_year(monthly: tuple[float, ...], day: Floats) -> Floats:
    """Monthly values drawn through the days of the year, day 1 the first of January."""
    return np.asarray(np.interp(day, MID_MONTH, monthly, period=365.0))


def skies(climate: Climate, days: int, *, start: int = 1, seed: int = 11) -> Weather:
    """Drivers from day of year ``start`` on."""
    rng = np.random.default_rng(seed)
    day = np.asarray((start - 1 + np.arange(days)) % 365 + 1, dtype=np.float64)
    wander = np.empty(days)
    wander[0] = 0.0
    shocks = rng.normal(0.0, 1.0, days)
    for i in range(1, days):
        wander[i] = 0.75 * wander[i - 1] + 2.4 * shocks[i]
    # A wet day is cooler; cold places swing more.
    swing = 1.0 if abs(climate.latitude_deg) > 40.0 else 0.7
    rain = np.where(rng.random(days) < climate.wet, rng.gamma(0.8, 9.0, days), 0.0)
    high = through_year(climate.high_c, day) + swing * wander - np.where(rain > 2.0, 2.0, 0.0)
    low = np.minimum(high - 3.0, through_year(climate.low_c, day) + swing * wander)
    flight, pollen = hours(climate.latitude_deg, day, high, low, rain)
    length = daylength_h(climate.latitude_deg, day)
    change = 0.5 * (daylength_h(climate.latitude_deg, day + 1.0) - daylength_h(climate.latitude_deg, day - 1.0))
    log_index = np.interp(day, MID_MONTH, np.log(climate.index), period=365.0)
    return Weather(log_index[None], high[None], low[None], flight[None], pollen[None], length, np.asarray(change))


SETTLE: Final = 2
"""Years before the one that is looked at, so that the start is forgotten."""
DAYS: Final = 365
OCTOBER: Final = 273
"""Day of the year (0-based) on which the first of October falls."""


@dataclass(frozen=True)
class Year:
    """A colony's third year from the first of January (2 July in the south): daily series of shape (members,
    365) by name, and totals."""

    climate: Climate
    run: Run
    end: Ensemble

    def series(self, name: str, member: int = 0) -> Floats:
        """One recorded series of one member, shape (365,); index 0 is 1 January."""
        return np.asarray(self.run.series(name)[member], dtype=np.float64)

    def median(self, name: str) -> Floats:
        """Median over members, shape (365,)."""
        return np.asarray(np.median(self.run.series(name), axis=0), dtype=np.float64)

    def total(self, name: str) -> float:
        """Mean running total over the year."""
        return float(self.run.total(name).mean())


def well_stored(hive: Ensemble) -> None:
    """Bring honey to between 40 and 80 kg, so that no year is about hunger for it."""
    hive.state[:, HONEY] = np.clip(hive.state[:, HONEY], 40_000.0, 80_000.0)


def year(
    climate: Climate,
    feeding: Feeding | None = None,
    *,
    change: dict[int, float] | None = None,
    store: tuple[int, float] | None = None,
    params: Floats | None = None,
    seed: int = 11,
) -> Year:
    """Run three years and return the third; honey is made up to 40 kg each January and October.

    :param feeding: visits of the third year (365 days).
    :param change: factor on pollen on offer in the third year, by day of year (0-based) to the next day named.
    :param store: day of the third year (0-based) on which stored pollen is set, and to how much [g].
    :param params: parameters, shape (members, PARAMS); the plain ones when omitted.
    """
    hive = colony(
        12_000.0, 0.0, pollen_g=1_000.0, honey_g=40_000.0, warmth_c=float(np.mean(climate.low_c)), flight=0.1,
        params=plain_params() if params is None else params.copy(),
    )  # fmt: skip
    whole = skies(climate, DAYS * (SETTLE + 1), start=climate.first_day, seed=seed)
    for start in range(SETTLE):
        for a, b in ((0, OCTOBER), (OCTOBER, DAYS)):
            well_stored(hive)
            go(hive, whole.slice(DAYS * start + a, DAYS * start + b))
    last = whole.slice(DAYS * SETTLE, DAYS * (SETTLE + 1))
    factor = np.zeros(DAYS)
    for day in sorted(change or {}):
        factor[day:] = np.log((change or {})[day])
    last = replace(last, log_index=last.log_index + factor)
    feeding = feeding or Feeding.none(DAYS)
    cuts = sorted({0, OCTOBER, DAYS, *([store[0]] if store else [])})
    parts = []
    for a, b in pairwise(cuts):
        if a in (0, OCTOBER):
            well_stored(hive)
        if store and a == store[0]:
            hive.state[:, BREAD] = store[1]
        parts.append(go(hive, last.slice(a, b), feeding.slice(a, b)))
    whole_run = Run(
        np.concatenate([p.out for p in parts], axis=1),
        np.asarray(sum(p.ledger for p in parts), dtype=np.float64),
        parts[0].passage,
    )
    return Year(climate, whole_run, hive)


def patties(on: dict[int, float], *, protein: float = 0.15, pollen: float = 0.0) -> Feeding:
    """Patties by day of the year (0-based) to grams, each left on with the next."""
    visit = np.full(DAYS, -1.0)
    full = np.ones(DAYS)
    for day, grams in on.items():
        visit[day] = grams
    return Feeding(visit, protein * full, pollen * full, 0.0 * full, full)


@cache
def plain_year(climate: Climate) -> Year:
    """The year nobody meddles with."""
    return year(climate)


WEATHERS: Final = tuple(range(11, 20))
"""Seeds of made-up weather for what hangs on the weather of one year: the first is that of ``plain_year``."""


@cache
def plain_years(climate: Climate) -> tuple[Year, ...]:
    """The same year in each of ``WEATHERS``."""
    return tuple(year(climate, seed=seed) for seed in WEATHERS)


def in_weathers(climate: Climate, of: Callable[[Year], float]) -> float:
    """Median over ``WEATHERS`` of a number read from a year nobody meddles with."""
    return float(np.median([of(one) for one in plain_years(climate)]))
