"""The sun's day against the yard's clock."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import lru_cache
from typing import Final
from zoneinfo import ZoneInfo

from tideover.evidence.seen import Place

FARTHEST_H: Final = 3.5
"""No clock in use stands farther than this from its sun; a place that would has no longitude written."""


def solar_noon_hour(place: Place, day: date) -> float:
    """Clock hour at which the sun stands highest, to a quarter of an hour (the equation of time is left out).

    A place that lies hours away from its own time zone has no longitude written; noon is taken as 12.

    :param place: where the yard is, and its zone.
    :param day: the day, for summer time.
    """
    return _noon(place.longitude, place.timezone, day)


@lru_cache(maxsize=4096)
def _noon(longitude: float, zone: str, day: date) -> float:
    offset = datetime.combine(day, time(12), ZoneInfo(zone)).utcoffset() or timedelta()
    noon = 12.0 - longitude / 15.0 + offset.total_seconds() / 3600.0
    return noon if abs(noon - 12.0) <= FARTHEST_H else 12.0
