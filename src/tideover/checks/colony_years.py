"""Years in three climates, for checks that need seasons.

Temperatures are monthly normals of the sort such places have, rounded from memory, with made-up weather around them
from a fixed seed. Day length is from the latitude. **Pollen on offer through the year is an invented driver**: nobody
publishes one. It says only what keepers of such places say of their seasons (a spring flow everywhere, a summer dearth
where it is hot, a weak autumn flow). What a colony makes of it is the model's.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.colony_bench import colony, go, plain_params
from tideover.colony.ensemble import Ensemble, Run
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


COLD: Final = Climate(
    "cold winter, 43 N", 43.0,
    (-1, 1, 6, 13, 20, 25, 27, 26, 22, 15, 8, 1), (-9, -9, -4, 2, 8, 13, 16, 15, 11, 5, 0, -6), 0.3,
    (0.01, 0.02, 0.2, 0.8, 1.5, 1.2, 0.9, 0.6, 0.6, 0.2, 0.02, 0.01),
)  # fmt: skip
HUMID: Final = Climate(
    "hot and humid, 30 N", 30.5,
    (16, 19, 22, 26, 30, 33, 33, 33, 31, 27, 21, 18), (5, 8, 11, 14, 19, 22, 23, 23, 21, 15, 9, 7), 0.3,
    (0.15, 0.5, 1.0, 1.4, 1.2, 0.7, 0.3, 0.2, 0.35, 0.5, 0.25, 0.12),
)  # fmt: skip
DRY: Final = Climate(
    "dry summer, 33 N", 33.0,
    (15, 17, 20, 24, 29, 33, 36, 36, 33, 29, 22, 17), (6, 7, 9, 12, 15, 19, 21, 21, 19, 16, 12, 8), 0.12,
    (0.3, 0.7, 1.3, 1.5, 0.9, 0.3, 0.08, 0.05, 0.06, 0.12, 0.2, 0.25),
)  # fmt: skip
CLIMATES: Final = (COLD, HUMID, DRY)


def through_year(monthly: tuple[float, ...], day: Floats) -> Floats:
    """Monthly values drawn through the days of the year, day 1 the first of January."""
    return np.asarray(np.interp(day, MID_MONTH, monthly, period=365.0))


def skies(climate: Climate, days: int, *, start: int = 1, seed: int = 11) -> Weather:
    """Drivers from day of year ``start`` on."""
    rng = np.random.default_rng(seed)
    day = (start - 1 + np.arange(days)) % 365 + 1.0
    wander = np.empty(days)
    wander[0] = 0.0
    shocks = rng.normal(0.0, 1.0, days)
    for i in range(1, days):
        wander[i] = 0.75 * wander[i - 1] + 2.4 * shocks[i]
    # A wet day is cooler; cold places swing more.
    swing = 1.0 if climate.latitude_deg > 40.0 else 0.7
    rain = np.where(rng.random(days) < climate.wet, rng.gamma(0.8, 9.0, days), 0.0)
    high = through_year(climate.high_c, day) + swing * wander - np.where(rain > 2.0, 2.0, 0.0)
    low = np.minimum(high - 3.0, through_year(climate.low_c, day) + swing * wander)
    flight, pollen = hours(climate.latitude_deg, day, high, low, rain)
    length = daylength_h(climate.latitude_deg, day)
    rising = (daylength_h(climate.latitude_deg, day + 1.0) > length).astype(np.float64)
    log_index = np.exp(np.zeros(1)) * np.interp(day, MID_MONTH, np.log(climate.index), period=365.0)
    return Weather(log_index[None], high[None], low[None], flight[None], pollen[None], length, rising)


def feed_on(days: int, start: int, on: dict[int, float], *, protein: float = 0.15, pollen: float = 0.0) -> Feeding:
    """Patties on days of the year (``on``: day of year of the last year run to grams)."""
    visit = np.full(days, -1.0)
    full = np.ones(days)
    for doy, grams in on.items():
        visit[doy] = grams
    return Feeding(visit, protein * full, pollen * full, 0.0 * full, full)


SETTLE: Final = 365
"""Days before the year that is looked at, so that the start is forgotten."""


@dataclass(frozen=True)
class Year:
    """A colony's second year from the first of January: recorded series and the drivers."""

    climate: Climate
    run: Run
    hive: Ensemble
    weather: Weather

    def series(self, name: str) -> Floats:
        """One recorded series of the first member, shape (365,); index 0 is 1 January."""
        return np.asarray(self.run.series(name)[0], dtype=np.float64)

    def born(self) -> Floats:
        """Bees emerging a day, from capped brood over its days, shape (365,)."""
        return self.series("capped") / 12.0


@cache
def settled(climate: Climate, seed: int = 11) -> bytes:
    """State on 1 January of a colony that began at 12,000 bees a year before, honey made up to 30 kg in autumn."""
    hive = colony(12_000.0, 0.0, pollen_g=1_000.0, honey_g=30_000.0, warmth_c=float(np.mean(climate.low_c)), flight=0.1)
    whole = skies(climate, SETTLE, seed=seed)
    go(hive, whole.slice(0, 280))
    _make_up(hive)
    go(hive, whole.slice(280, SETTLE))
    return hive.state.tobytes()


def _make_up(hive: Ensemble) -> None:
    from tideover.colony.layout import HONEY

    hive.state[:, HONEY] = np.clip(hive.state[:, HONEY], 30_000.0, 60_000.0)
