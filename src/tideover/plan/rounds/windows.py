"""The hours in which a yard can be worked: from the keeper's start or sunrise until the heat index says stop."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from tideover.figures.units import to_c, to_f
from tideover.forage.air import saturation_kpa
from tideover.forage.heat import heat_index_f
from tideover.forage.hours import day_of_year, temp_at
from tideover.forage.sun import daylength_h

STEP_MIN: Final = 15
DRY_BY_C: Final = 2.0
"""Dew point below the night's low where no humidity was measured (FAO-56 practice for dry places)."""


@dataclass(frozen=True)
class DayHeat:
    """One day at one yard as far as heat goes: high and low [C], clock hour at which the sun stands highest."""

    day: date
    latitude: float
    temp_max_c: float
    temp_min_c: float
    noon_h: float = 12.0


@dataclass(frozen=True)
class Window:
    """Minutes of the day between which work may lie, and why it ends; ``opens`` is not before ``closes`` when shut."""

    opens: int
    closes: int
    why: str

    @property
    def minutes(self) -> int:
        """Length [min]; 0 when the day is closed."""
        return max(0, self.closes - self.opens)


def index_f(heat: DayHeat, minute: int, sun_f: float) -> float:
    """Heat index [F] in full sun at a minute of the day; the day's water vapour is that of its low less 2 C."""
    length = float(daylength_h(heat.latitude, np.array([day_of_year(heat.day)]))[0])
    solar = minute / 60.0 - heat.noon_h + 12.0
    temp = float(temp_at(heat.temp_max_c, heat.temp_min_c, length, solar))
    vapour = float(saturation_kpa(heat.temp_min_c - DRY_BY_C))
    humid = min(100.0, 100.0 * vapour / float(saturation_kpa(temp)))
    return heat_index_f(to_f(temp), humid) + sun_f


def window(heat: DayHeat, *, start_h: float, end_h: float, high_f: float, stop_f: float, sun_f: float) -> Window:
    """The working hours of one day at one yard.

    Parameters: start_h, end_h: the keeper's own hours [h]; high_f: index at which work ends [F]; stop_f: index
    at which it is not begun at all [F]; sun_f: added for full sun [F].
    """
    length = float(daylength_h(heat.latitude, np.array([day_of_year(heat.day)]))[0])
    rise = round((heat.noon_h - length / 2.0) * 60.0)
    opens = max(round(start_h * 60.0), rise)
    end = round(end_h * 60.0)
    if index_f(heat, opens, sun_f) >= min(stop_f, high_f):
        return Window(opens, opens, "too hot from the first hour on")
    for minute in range(opens, end, STEP_MIN):
        if index_f(heat, minute, sun_f) >= high_f:
            return Window(opens, minute, f"heat index in the sun {high_f:.0f} °F ({to_c(high_f):.0f} °C) then")
    return Window(opens, end, "the day's own end")
