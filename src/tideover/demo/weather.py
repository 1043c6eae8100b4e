"""Invented daily weather: a yearly wave, slow swings around it, rain in two seasons.

Winter brings long soft rain, spring is dry, late summer has thunder showers. In
2025 the showers stay away, which is what makes the season a hard one.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from datetime import date
from typing import Final

from tideover.demo.place import LAST_DAY, WEATHER_FROM, YARDS, days_between

SHOWERS: Final = {2022: 1.3, 2023: 0.55, 2024: 0.9, 2025: 0.22}
"""Late-summer rain of each year against a middling year (1.0)."""

HOT_SPELL: Final = (date(2025, 8, 11), date(2025, 8, 31), 1.2)
"""First and last day of the hot spell before the round, and its height [C]."""


@dataclass(frozen=True)
class Day:
    """One day of weather at a yard."""

    day: date
    temp_max_c: float
    temp_min_c: float
    rain_mm: float
    wind_ms: float
    humidity: float

    def shade_c(self, hour: float) -> float:
        """Return the shade temperature [C] at ``hour`` [h]: coolest at 5, hottest at 15."""
        if 5.0 <= hour <= 15.0:
            rise = 0.5 - 0.5 * math.cos(math.pi * (hour - 5.0) / 10.0)
        else:
            rise = 0.5 + 0.5 * math.cos(math.pi * ((hour - 15.0) % 24.0) / 14.0)
        return self.temp_min_c + rise * (self.temp_max_c - self.temp_min_c)


def _rain(rng: random.Random, day: date) -> float:
    """Draw the valley's rain of one day [mm]."""
    doy = day.timetuple().tm_yday
    if 185 <= doy <= 262:
        wet = SHOWERS[day.year]
        chance, mean = 0.17 * min(wet, 1.2), 7.5 * wet**0.5
    elif 100 <= doy < 185:
        chance, mean = 0.012, 3.0
    else:
        chance, mean = 0.10, 7.0
    return rng.expovariate(1.0 / mean) if rng.random() < chance else 0.0


def valley(seed: int) -> dict[str, list[Day]]:
    """Return the weather of every yard by yard id, 2022 to the last day of the season."""
    rng = random.Random(f"{seed}/weather")
    out: dict[str, list[Day]] = {yard.id: [] for yard in YARDS}
    swing = 0.0
    for day in days_between(WEATHER_FROM, LAST_DAY):
        doy = day.timetuple().tm_yday
        wave = math.cos(2.0 * math.pi * (doy - 202) / 365.25)
        swing = 0.74 * swing + rng.gauss(0.0, 1.7)
        if HOT_SPELL[0] <= day <= HOT_SPELL[1]:
            swing = max(swing, HOT_SPELL[2])
        rain = _rain(rng, day)
        top = 25.6 + 10.9 * wave + swing - (3.5 if rain > 1 else 0.0)
        spread = 13.6 - 0.8 * wave - (3.0 if rain > 1 else 0.0) + rng.gauss(0.0, 1.0)
        damp = 48.0 - 24.0 * (0.5 + 0.5 * math.cos(2.0 * math.pi * (doy - 172) / 365.25))
        damp += (8.0 * SHOWERS[day.year] if 190 <= doy <= 262 else 0.0) + (18.0 if rain > 1 else 0.0)
        wind = max(0.4, rng.gauss(2.4 + 0.6 * (1.0 - wave) / 2.0, 0.8))
        for yard in YARDS:
            local = rain * max(0.0, rng.gauss(1.0, 0.35)) if rain > 0 else 0.0
            out[yard.id].append(
                Day(
                    day=day,
                    temp_max_c=round(top + yard.warmer_c + rng.gauss(0.0, 0.5), 1),
                    temp_min_c=round(top - max(8.0, spread) + 0.5 * yard.warmer_c + rng.gauss(0.0, 0.5), 1),
                    rain_mm=round(local, 1),
                    wind_ms=round(wind * rng.uniform(0.85, 1.15), 1),
                    humidity=round(min(96.0, max(8.0, damp + rng.gauss(0.0, 4.0)))),
                )
            )
    return out
