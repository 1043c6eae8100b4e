"""Times and lengths of road between home and the yards: entered where they were, else from the straight line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import asin, cos, radians, sin, sqrt
from typing import Final

EARTH_KM: Final = 6371.0088
"""Mean radius of the earth (IUGG)."""

Place = tuple[float, float]
"""Latitude and longitude [degrees]."""


@dataclass(frozen=True)
class Road:
    """What the keeper entered of one way: minutes, and kilometres where they were given."""

    minutes: float
    km: float | None = None


@dataclass(frozen=True)
class Roads:
    """Between all places, home first: minutes to drive and kilometres."""

    minutes: list[list[int]]
    km: list[list[float]]
    entered: int
    """Ways that were entered rather than reckoned."""


def straight_km(a: Place, b: Place) -> float:
    """Great-circle distance [km] by the haversine formula."""
    p, q = radians(a[0]), radians(b[0])
    h = sin((q - p) / 2) ** 2 + cos(p) * cos(q) * sin(radians(b[1] - a[1]) / 2) ** 2
    return 2 * EARTH_KM * asin(min(1.0, sqrt(h)))


def roads(
    names: Sequence[str], places: Sequence[Place], entered: Mapping[tuple[str, str], Road], factor: float, kmh: float
) -> Roads:
    """Minutes and kilometres between places.

    Parameters: names: of the places, home first; entered: roads by name of both ends, which hold for the way
    back as well unless that was entered too; factor: road over straight line; kmh: speed [km/h].
    """
    n = len(names)
    minutes, km = [[0] * n for _ in range(n)], [[0.0] * n for _ in range(n)]
    told = 0
    for i in range(n):
        for j in range(n):
            if i == j:
                continue
            far = straight_km(places[i], places[j]) * factor
            road = entered.get((names[i], names[j])) or entered.get((names[j], names[i]))
            if road is None:
                km[i][j], minutes[i][j] = far, round(far / kmh * 60.0)
            else:
                told += 1
                km[i][j] = far if road.km is None else road.km
                minutes[i][j] = round(road.minutes)
    return Roads(minutes, km, told)
