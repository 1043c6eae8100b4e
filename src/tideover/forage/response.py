"""From weather to what is expected to stand in flower: the ground line of the yard index.

Not published as a whole: the parts are (growing-season index, soil-water bucket, Keetch-Byram
drought, rain-pulse bloom), the joining is our assumption and every weight is named here. Moisture is
the mean over the last three weeks, as the growing-season index is. A wet spell of 10 to 20 mm opens
pulse bloom from 3 to 21 days later. The spread around this line is carried by the filter.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book
from tideover.forage import drought, soil
from tideover.forage.air import actual_kpa_from_mean, actual_kpa_from_min_temp, deficit_kpa
from tideover.forage.evapotranspiration import (
    DEFAULT_WIND_MS,
    hargreaves_mm,
    penman_monteith_mm,
    solar_from_temps_mj,
)
from tideover.forage.greenness import growing_season, ramp
from tideover.forage.sun import daylength_h, extraterrestrial_mj

Floats = npt.NDArray[np.float64]
WINDOW_D: Final = 21
"""Days of memory of moisture and season; also the last day of pulse bloom after a wet spell."""
_PULSE: Final = book().row("forage.rain_pulse_days")
PULSE_FROM_D: Final = int(_PULSE.low or 3)
ADAPT_FROM_D: Final = 300


@dataclass(frozen=True)
class ResponseWeights:
    """Weights of the ground line; shares 0-1, rain [mm]."""

    peak: float = 0.9
    floor: float = 0.025
    moisture_power: float = 1.3
    season_power: float = 0.7
    bucket_share: float = 0.5
    pulse_peak: float = 0.55
    pulse_none_mm: float = 10.0
    pulse_full_mm: float = book().value("forage.rain_trigger_mm")
    start_drought_mm: float = 50.0
    start_depletion_mm: float = 45.0
    place_share: float = 0.75
    """Share of the lack of an ordinary good flow in a place's best fortnights that is made up."""
    adaptation_power: float = 0.5


DEFAULT_WEIGHTS: Final = ResponseWeights()


@dataclass
class LandState:
    """What the land remembers, for one place (scalars) or many futures (shape (n,)).

    Rings hold the last ``WINDOW_D`` days, oldest first: shape (21,) or (21, n).
    """

    drought_mm: Floats
    spell_mm: Floats
    depletion_mm: Floats
    moist: Floats
    season: Floats
    spells: Floats

    def spread(self, n: int) -> LandState:
        """The same state for ``n`` futures."""

        def ring(a: Floats) -> Floats:
            return np.repeat(a[:, None], n, axis=1)

        def one(a: Floats) -> Floats:
            return np.full(n, float(a))

        return LandState(
            one(self.drought_mm), one(self.spell_mm), one(self.depletion_mm),
            ring(self.moist), ring(self.season), ring(self.spells),
        )  # fmt: skip

    def copy(self) -> LandState:
        """An independent copy."""
        parts = (self.drought_mm, self.spell_mm, self.depletion_mm, self.moist, self.season, self.spells)
        return LandState(*(np.array(a) for a in parts))


def start(weights: ResponseWeights = DEFAULT_WEIGHTS) -> LandState:
    """A middling land when nothing is known; the error fades with weather and is wiped by a soaking."""
    ks = float(soil.stress(weights.start_depletion_mm, soil.P_TABLE))
    moist = _moisture(np.float64(ks), np.float64(weights.start_drought_mm), weights)
    return LandState(
        np.array(weights.start_drought_mm), np.array(0.0), np.array(weights.start_depletion_mm),
        np.full(WINDOW_D, float(moist)), np.full(WINDOW_D, np.nan), np.zeros(WINDOW_D),
    )  # fmt: skip


def _moisture(ks: npt.ArrayLike, drought_mm: npt.ArrayLike, weights: ResponseWeights) -> Floats:
    dry = 1.0 - np.asarray(drought_mm, dtype=np.float64) / drought.DRIEST_MM
    return np.asarray(weights.bucket_share * np.asarray(ks) + (1.0 - weights.bucket_share) * dry)


def drives(
    latitude_deg: float,
    elevation_m: float,
    j: npt.ArrayLike,
    temp_max: npt.ArrayLike,
    temp_min: npt.ArrayLike,
    wind: npt.ArrayLike = np.nan,
    humidity: npt.ArrayLike = np.nan,
) -> tuple[Floats, Floats]:
    """Reference evapotranspiration [mm/day] and the day's growing-season index, for any number of days at once.

    Penman-Monteith where wind or humidity is known (the other at its default), Hargreaves where neither is.
    Arguments broadcast together; NaN is unknown.
    """
    hi, lo = np.asarray(temp_max, dtype=np.float64), np.asarray(temp_min, dtype=np.float64)
    u2, rh = np.asarray(wind, dtype=np.float64), np.asarray(humidity, dtype=np.float64)
    ra = extraterrestrial_mj(latitude_deg, j)
    ea = np.where(np.isnan(rh), actual_kpa_from_min_temp(lo), actual_kpa_from_mean(hi, lo, np.nan_to_num(rh, nan=50.0)))
    et0 = hargreaves_mm(hi, lo, ra)
    full = ~(np.isnan(u2) & np.isnan(rh))
    if np.any(full):
        calm = np.where(np.isnan(u2), DEFAULT_WIND_MS, u2)
        sun = solar_from_temps_mj(ra, hi, lo)
        et0 = np.where(full, penman_monteith_mm(hi, lo, ea, calm, sun, ra, elevation_m), et0)
    season = growing_season(lo, deficit_kpa(hi, lo, ea), daylength_h(latitude_deg, j))
    return np.asarray(et0), season


@dataclass(frozen=True)
class DayDrive:
    """What drives one day: high [C], rain [mm], evapotranspiration [mm], growing-season index; scalars or (n,)."""

    temp_max: Floats
    rain: Floats
    et0: Floats
    season: Floats


def step(
    state: LandState, day: DayDrive, annual_rain_mm: npt.ArrayLike, weights: ResponseWeights = DEFAULT_WEIGHTS
) -> tuple[Floats, Floats, Floats, Floats]:
    """Advance ``state`` by one day in place.

    Returns the three-week season, the three-week moisture, the rain pulse (each 0-1) and today's soil stress Ks.
    """
    state.drought_mm, state.spell_mm = drought.step_mm(
        state.drought_mm, state.spell_mm, day.rain, day.temp_max, annual_rain_mm
    )
    ks, state.depletion_mm = soil.step(state.depletion_mm, day.rain, day.et0)
    if np.isnan(state.season.flat[-1]):
        state.season[:] = day.season
    moist = _moisture(ks, state.drought_mm, weights)
    for ring, value in ((state.moist, moist), (state.season, day.season), (state.spells, state.spell_mm)):
        ring[:-1] = ring[1:]
        ring[-1] = value
    # the largest wet spell that lies 3 to 21 days back; the newest ring slot is today
    opened = state.spells[: WINDOW_D - PULSE_FROM_D].max(axis=0)
    pulse = weights.pulse_peak * ramp(opened, weights.pulse_none_mm, weights.pulse_full_mm)
    return np.asarray(state.season.mean(axis=0)), np.asarray(state.moist.mean(axis=0)), pulse, ks


def adaptation(moist: Floats, weights: ResponseWeights = DEFAULT_WEIGHTS) -> float:
    """Factor on moisture for a place whose plants are used to drought (1 in a moist place or a short record).

    Plants of a dry place flower on less. Half of the shortfall of the place's own good weeks (the 90th
    percentile of three-week moisture over at least 300 days) is made up; our assumption.
    """
    if moist.size < ADAPT_FROM_D:
        return 1.0
    usual = float(np.clip(np.quantile(moist[-2 * 365 :], 0.9), 0.2, 1.0))
    return float(usual**-weights.adaptation_power)


def place_lift(ground: Floats, weights: ResponseWeights = DEFAULT_WEIGHTS) -> float:
    """Log lift of the ground line for a place whose best fortnights stay below an ordinary good flow.

    What flowers where it is dry is what can make much of little water, and keepers put hives where
    something does flower: most of what the place's own best fortnights (95th percentile over at
    least 300 days) lack of an ordinary good flow is made up. Our assumption; 0 on a short record.
    """
    if ground.size < ADAPT_FROM_D:
        return 0.0
    fortnights = np.convolve(np.exp(ground), np.ones(14) / 14.0, mode="valid")
    best = float(np.quantile(fortnights, 0.95))
    return float(weights.place_share * np.clip(-np.log(max(best, 1e-3)), 0.0, 2.0))


def ground_line(
    season: npt.ArrayLike,
    moist: npt.ArrayLike,
    pulse: npt.ArrayLike,
    scale: float = 1.0,
    weights: ResponseWeights = DEFAULT_WEIGHTS,
) -> Floats:
    """Log of the index expected from weather: floor + (peak - floor) x season^a x water^b."""
    water = np.clip(np.maximum(np.asarray(moist, dtype=np.float64) * scale, pulse), 0.0, 1.0)
    share = np.asarray(season, dtype=np.float64) ** weights.season_power * water**weights.moisture_power
    return np.asarray(np.log(weights.floor + (weights.peak - weights.floor) * share))
