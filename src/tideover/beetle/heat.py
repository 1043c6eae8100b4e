"""How warm a piece lies: from daily extremes to hours, and from the air to the place on the hive.

Over brood, between boxes or on the top bars, the nest's own warmth rules: bees hold it at 33-36 C in air from frost
to well over 40 C. At the edge of the cluster a piece follows the air half way; how far was not found published.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import cos, pi
from typing import Final

from tideover.figures import book

NEST_C: Final = book().value("beetle.default_temp_c")
COLDEST_HOUR: Final = 5
HOTTEST_HOUR: Final = 15
"""Usual hours of the day's extremes (our assumption); only pieces at the edge depend on them."""
EDGE_FOLLOWS_AIR: Final = 0.5
"""Share of the difference between nest and air that a piece at the edge of the cluster takes on (our assumption)."""
EDGE: Final = "edge of cluster"


def hourly_from_daily(days: Sequence[tuple[float, float]]) -> list[float]:
    """Hourly air temperature [C] from (lowest, highest) of each day, starting at midnight; length 24 per day.

    Half cosines from the coldest hour to the hottest and on to the next coldest, so that each day's own extremes are
    met. Raises ValueError when a lowest is above its highest.
    """
    for low, high in days:
        if low > high:
            raise ValueError(f"a day has {low} C as its lowest and {high} C as its highest; swap or correct them.")
    # turning points in hours from the first midnight; the ends repeat the nearest
    points: list[tuple[float, float]] = []
    for i, (low, high) in enumerate(days):
        points += [(24.0 * i + COLDEST_HOUR, low), (24.0 * i + HOTTEST_HOUR, high)]
    if not points:
        return []
    points = [(points[0][0] - 14.0, days[0][1]), *points, (points[-1][0] + 14.0, days[-1][0])]
    out, at = [], 0
    for h in range(24 * len(days)):
        while points[at + 1][0] <= h:
            at += 1
        (h0, t0), (h1, t1) = points[at], points[at + 1]
        out.append(t0 + (t1 - t0) * 0.5 * (1.0 - cos(pi * (h - h0) / (h1 - h0))))
    return out


def piece_hourly(air_c: Sequence[float], place: str | None, nest_c: float = NEST_C) -> list[float]:
    """Temperature of a piece [C] hour by hour where it lies.

    air_c: hourly air temperature [C]. place: the word for where it was laid; None counts as over brood, which is the
    fast end. nest_c: of the nest under the top bars [C].
    """
    if place != EDGE:
        return [nest_c] * len(air_c)
    return [nest_c + EDGE_FOLLOWS_AIR * (t - nest_c) for t in air_c]
