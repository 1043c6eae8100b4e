"""Hours a day fit for flying, and fit for pollen, from the day's high and low.

The day's course is a sine from sunrise with the high about two hours after noon (Parton & Logan
1981, from memory). Every hour of light counts with a weight. Pollen trips stop earlier in heat
than flight as a whole: on a 42 C day the hours before about nine still count in full. The sources
on the upper end disagree (best at 22-25 C or at 38-42 C), so its ends are the keeper's to set.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book
from tideover.forage.sun import day_of_year, daylength_h, sine_of_elevation

__all__ = ["FINE_DAY_POLLEN_H", "FlightRules", "day_of_year", "fit_for_flight", "fit_for_pollen", "hours", "temp_at"]

Floats = npt.NDArray[np.float64]
AFTERNOON_LAG_H: Final = 1.86
"""Hours from solar noon to the day's high (Parton & Logan 1981, Agric. Meteorol. 23:205-216; from memory)."""
NIGHT_DECAY: Final = 2.2
"""Night cooling coefficient of the same paper (from memory)."""
FULL_LIGHT_SINE: Final = 0.25
"""Sine of sun height from which light no longer limits: about 300 W/m2 under a clear sky (Vicens & Bosch 2000)."""
FINE_DAY_POLLEN_H: Final = 8.0
"""Pollen hours of the fine day that the index is scaled to (pollen trips run 6-8 h; 8 taken)."""
STEP_H: Final = 0.5


def _figure(key: str) -> float:
    return book().value(key)


@dataclass(frozen=True)
class FlightRules:
    """Knots of the weather ramps: temperature [C] or wind [m/s] and the weight there; rain [mm]."""

    cold: tuple[tuple[float, float], ...] = (
        (_figure("forage.start_c"), 0.0),
        (_figure("forage.rising_to_c"), 1.0),
    )
    flight_heat: tuple[tuple[float, float], ...] = (
        (_figure("forage.pollen_knee_c"), 1.0),
        (_figure("forage.pollen_half_c"), _figure("forage.nectar_at_38")),
        (_figure("forage.pollen_end_c"), 0.3),
        (50.0, 0.0),
    )
    pollen_heat: tuple[tuple[float, float], ...] = (
        (_figure("forage.pollen_knee_c"), 1.0),
        (_figure("forage.pollen_half_c"), 0.5),
        (_figure("forage.pollen_end_c"), 0.1),
        (_figure("forage.flight_seen_c"), 0.0),
    )
    wind: tuple[tuple[float, float], ...] = ((4.5, 1.0), (_figure("forage.wind_stop_ms"), 0.5), (8.9, 0.0))
    rain_half_mm: float = 12.0

    def __post_init__(self) -> None:
        """Knots must rise in temperature or wind and hold weights from 0 to 1."""
        for name in ("cold", "flight_heat", "pollen_heat", "wind"):
            knots = getattr(self, name)
            places = [x for x, _ in knots]
            if places != sorted(set(places)) or any(not 0.0 <= w <= 1.0 for _, w in knots):
                raise ValueError(f"{name} of the flight rules is {knots}, wanted rising places with weights 0 to 1.")


DEFAULT_RULES: Final = FlightRules()
"""Cold: almost none below 12 C, full from 16 C. Heat: pollen halves at 38 C and is a tenth at 43 C, flight as a
whole falls later (our assumption after Cooper et al. 1985). Wind: practice stops an hour at 15 mph (6.7 m/s), nothing
flies at 20 mph (8.9 m/s). Rain: half the light hours lost at 12 mm (our assumption)."""


def _weight(x: npt.ArrayLike, knots: tuple[tuple[float, float], ...]) -> Floats:
    return np.asarray(np.interp(np.asarray(x, dtype=np.float64), [k for k, _ in knots], [w for _, w in knots]))


def temp_at(
    temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, day_h: npt.ArrayLike, solar_hour: npt.ArrayLike
) -> Floats:
    """Air temperature [C] at a solar hour (noon is 12); arguments broadcast together."""
    hi, lo = np.asarray(temp_max_c, dtype=np.float64), np.asarray(temp_min_c, dtype=np.float64)
    length = np.clip(np.asarray(day_h, dtype=np.float64), 1.0, 23.0)
    hour = np.asarray(solar_hour, dtype=np.float64) % 24.0
    rise, fall = 12.0 - length / 2.0, 12.0 + length / 2.0
    by_day = lo + (hi - lo) * np.sin(np.pi * np.clip(hour - rise, 0.0, length) / (length + 2.0 * AFTERNOON_LAG_H))
    at_sunset = lo + (hi - lo) * np.sin(np.pi * length / (length + 2.0 * AFTERNOON_LAG_H))
    night = 24.0 - length
    since = np.where(hour > fall, hour - fall, hour + 24.0 - fall)
    # the exponential is scaled so that the night ends exactly at the day's low
    tail = np.exp(-NIGHT_DECAY)
    decay = (np.exp(-NIGHT_DECAY * since / night) - tail) / (1.0 - tail)
    by_night = lo + (at_sunset - lo) * decay
    return np.asarray(np.where((hour >= rise) & (hour <= fall), by_day, by_night))


def fit_for_flight(temp_c: npt.ArrayLike, rules: FlightRules = DEFAULT_RULES) -> Floats:
    """Weight 0-1 of an hour for flying by temperature alone [C]."""
    return np.asarray(_weight(temp_c, rules.cold) * _weight(temp_c, rules.flight_heat))


def fit_for_pollen(temp_c: npt.ArrayLike, rules: FlightRules = DEFAULT_RULES) -> Floats:
    """Weight 0-1 of an hour for pollen by temperature alone [C]."""
    return np.asarray(_weight(temp_c, rules.cold) * _weight(temp_c, rules.pollen_heat))


def rain_factor(rain_mm: npt.ArrayLike, rules: FlightRules = DEFAULT_RULES) -> Floats:
    """Share of the hours left by a day's rain [mm]; flight stops within minutes and resumes at once."""
    rain = np.maximum(0.0, np.asarray(rain_mm, dtype=np.float64))
    return np.asarray(rules.rain_half_mm / (rules.rain_half_mm + rain))


def wind_factor(wind_ms: npt.ArrayLike, rules: FlightRules = DEFAULT_RULES) -> Floats:
    """Weight 0-1 by mean wind [m/s]; unknown (NaN) counts as calm."""
    wind = np.nan_to_num(np.asarray(wind_ms, dtype=np.float64))
    return _weight(wind, rules.wind)


def hours(
    latitude_deg: float,
    j: npt.ArrayLike,
    temp_max_c: npt.ArrayLike,
    temp_min_c: npt.ArrayLike,
    rain_mm: npt.ArrayLike = 0.0,
    wind_ms: npt.ArrayLike = np.nan,
    rules: FlightRules = DEFAULT_RULES,
) -> tuple[Floats, Floats]:
    """Flight hours and pollen hours of each day; all arguments broadcast together.

    latitude_deg: [deg]. j: day of year. Temperatures [C], rain [mm], wind [m/s] (NaN unknown).
    """
    day = np.asarray(j, dtype=np.float64)
    hi, lo = np.asarray(temp_max_c, dtype=np.float64), np.asarray(temp_min_c, dtype=np.float64)
    length = daylength_h(latitude_deg, day)
    shape = np.broadcast_shapes(day.shape, hi.shape, lo.shape)
    flight, pollen = np.zeros(shape), np.zeros(shape)
    for hour in np.arange(STEP_H / 2.0, 24.0, STEP_H):
        light = np.clip(sine_of_elevation(latitude_deg, day, hour) / FULL_LIGHT_SINE, 0.0, 1.0)
        if not np.any(light > 0.0):
            continue
        temp = temp_at(hi, lo, length, hour)
        flight += light * fit_for_flight(temp, rules) * STEP_H
        pollen += light * fit_for_pollen(temp, rules) * STEP_H
    weather = rain_factor(rain_mm, rules) * wind_factor(wind_ms, rules)
    return np.asarray(flight * weather), np.asarray(pollen * weather)
