"""The invented place: the Calder Basin, its three yards and the days of its season.

Nothing here exists. The coordinates are those of empty desert, chosen only so
that day length and sun are right for a hot dry inland valley at 33 degrees north.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta, timezone
from typing import Final

TIMEZONE: Final = "America/Phoenix"
"""A zone without summer time: local time is seven hours behind UTC all year."""
UTC_OFFSET: Final = timezone(timedelta(hours=-7))

WEATHER_FROM: Final = date(2022, 1, 1)
SEASON_FROM: Final = date(2025, 3, 1)
LAST_DAY: Final = date(2025, 8, 15)
ROUND_DAY: Final = date(2025, 8, 16)


@dataclass(frozen=True)
class YardPlan:
    """A yard of the basin and how its weather differs from the valley's mean.

    ``warmer_c`` is added to every maximum, half of it to every minimum. ``beetles_reportable``
    uses the books' words: present where beetles must be reported, absent where not.
    """

    id: str
    name: str
    latitude: float
    longitude: float
    elevation_m: float
    beetles: str
    beetles_reportable: str
    warmer_c: float
    note: str


YARDS: Final = (
    YardPlan(
        "quarry",
        "Quarry",
        33.31,
        -113.42,
        655.0,
        "present",
        "absent",
        3.4,
        "old stone pit, rock on three sides, no shade after ten; tub of water by the track",
    ),
    YardPlan(
        "mill-race",
        "Mill Race",
        33.36,
        -113.36,
        610.0,
        "unknown",
        "absent",
        -2.6,
        "irrigated margin below a field of fodder, cottonwoods to the west",
    ),
    YardPlan(
        "long-fallow",
        "Long Fallow",
        33.25,
        -113.33,
        640.0,
        "absent",
        "present",
        0.0,
        "resting fields, bare since spring; dry grass on all sides",
    ),
)


def moment(day: date, hour: float) -> datetime:
    """Return the local moment of ``day`` at ``hour`` [h, 0-24), to the minute."""
    minutes = round(hour * 60)
    return datetime.combine(day, time(minutes // 60, minutes % 60), UTC_OFFSET)


def days_between(first: date, last: date) -> list[date]:
    """Return every day from ``first`` to ``last``, both included."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]
