"""What the invented land gives: pollen and nectar on offer at each yard, day by day.

Pollen on offer is counted so that 1.0 brings a colony of 25,000 bees about 200 g
on a fine day. Plants are bumps on the calendar, fed or starved by a bucket of
soil water; one yard is watered, one lies bare.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from datetime import date
from typing import Final

from tideover.demo.weather import Day


@dataclass(frozen=True)
class Plant:
    """A plant's bloom: middle day of the year, half width [d], height, nectar share, thirst 0-1."""

    name: str
    middle: int
    width: float
    pollen: float
    nectar: float
    thirst: float


PLANTS: Final[dict[str, tuple[Plant, ...]]] = {
    "quarry": (
        Plant("creosote bush", 88, 22, 1.00, 0.5, 0.35),
        Plant("mesquite", 128, 17, 1.00, 1.0, 0.25),
        Plant("catclaw", 150, 11, 0.55, 0.9, 0.30),
        Plant("wild buckwheat", 178, 13, 0.20, 0.3, 0.75),
        Plant("desert broom", 285, 20, 0.80, 0.4, 0.50),
    ),
    "mill-race": (
        Plant("cottonwood and willow", 76, 14, 1.10, 0.1, 0.0),
        Plant("mesquite", 128, 18, 0.80, 0.9, 0.20),
        Plant("sweet clover", 160, 22, 0.50, 0.8, 0.0),
        Plant("fodder in flower", 205, 42, 0.34, 0.4, 0.0),
        Plant("marsh weeds", 245, 34, 0.26, 0.2, 0.0),
    ),
    "long-fallow": (
        Plant("wild mustard", 80, 20, 1.20, 0.6, 0.20),
        Plant("fiddleneck and poppies", 100, 14, 0.70, 0.3, 0.30),
        Plant("mesquite", 127, 14, 0.70, 0.9, 0.25),
        Plant("star thistle", 158, 12, 0.35, 0.5, 0.80),
        Plant("tumbleweed", 262, 24, 0.35, 0.0, 0.85),
    ),
}

MOWN: Final = ("mill-race", date(2025, 7, 22), 19)
"""The field beside this yard is mown on this day; its flower is back after so many days."""

BARE: Final = {"quarry": 0.08, "mill-race": 0.06, "long-fallow": 0.008}
"""What stray weeds give when nothing else flowers."""


@dataclass(frozen=True)
class Offer:
    """What the land offers on one day: pollen (1.0 = a good flow), nectar likewise, by plant."""

    day: date
    pollen: float
    nectar: float
    plants: dict[str, float]


def offers(seed: int, yard: str, weather: list[Day]) -> list[Offer]:
    """Return what the land offers at ``yard`` on every day of ``weather``."""
    rng = random.Random(f"{seed}/land/{yard}")
    water = 40.0
    after_rain = 0.0
    drift = 0.0
    out: list[Offer] = []
    for today in weather:
        loss = 0.10 * max(0.0, today.temp_max_c - 8.0)
        water = min(90.0, max(0.0, water + 0.85 * today.rain_mm - loss * (0.25 + 0.75 * water / 90.0)))
        moist = water / (water + 14.0)
        after_rain = 0.94 * after_rain + 0.0035 * max(0.0, today.rain_mm - 6.0)
        drift = 0.9 * drift + rng.gauss(0.0, 0.09)
        doy = today.day.timetuple().tm_yday
        each: dict[str, float] = {}
        nectar = 0.0
        for plant in PLANTS[yard]:
            bump = math.exp(-0.5 * ((doy - plant.middle) / plant.width) ** 2)
            height = plant.pollen * bump * (1.0 - plant.thirst * (1.0 - moist))
            if yard == MOWN[0] and plant.name == "fodder in flower":
                since = (today.day - MOWN[1]).days
                if 0 <= since < MOWN[2]:
                    height *= 0.15 + 0.85 * since / MOWN[2]
            each[plant.name] = height
            nectar += height * plant.nectar
        pollen = (BARE[yard] + after_rain + sum(each.values())) * math.exp(drift)
        if today.rain_mm > 4.0:
            pollen *= 0.4
        if today.temp_max_c > 40.0:
            pollen *= max(0.5, 1.0 - 0.12 * (today.temp_max_c - 40.0))
        out.append(Offer(today.day, pollen, nectar, each))
    return out
