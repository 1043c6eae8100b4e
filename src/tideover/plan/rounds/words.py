"""Settings of the rounds that are written as text: a place, days off, notice a yard wants."""

from __future__ import annotations

import re
from datetime import date
from typing import Final

WEEKDAYS: Final = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_PLACE = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*[,;\s]\s*(-?\d+(?:\.\d+)?)\s*\Z")


def home_of(text: str) -> tuple[float, float] | None:
    """Latitude and longitude [degrees] written as ``33.31, -113.42``; None for nothing.

    Raises: ValueError in one sentence when it cannot be read.
    """
    if not text.strip():
        return None
    found = _PLACE.match(text)
    if found is None or abs(float(found[1])) > 90 or abs(float(found[2])) > 180:
        raise ValueError(f"got '{text}', wanted latitude and longitude such as 33.31, -113.42: correct it")
    return float(found[1]), float(found[2])


def days_off(text: str) -> tuple[frozenset[int], frozenset[date]]:
    """Weekdays (Monday is 0) and dates on which nobody drives, written as ``sun, 2031-07-04``.

    Raises: ValueError in one sentence for a part that is neither.
    """
    weekdays, dates = set(), set()
    for part in re.split(r"[,;\s]+", text.strip().lower()):
        if not part:
            continue
        if part[:3] in WEEKDAYS and part.isalpha():
            weekdays.add(WEEKDAYS.index(part[:3]))
            continue
        try:
            dates.add(date.fromisoformat(part))
        except ValueError:
            raise ValueError(f"got '{part}', wanted a weekday such as sun or a date such as 2031-07-04") from None
    return frozenset(weekdays), frozenset(dates)


def notice_of(text: str) -> dict[str, int]:
    """Days of notice by yard, written as ``quarry=2, mill-race=1``.

    Raises: ValueError in one sentence for a part that is not of that form.
    """
    out = {}
    for part in re.split(r"[,;]+", text):
        if not part.strip():
            continue
        yard, sign, days = part.partition("=")
        if not sign or not yard.strip() or not days.strip().isdigit() or int(days) > 60:
            raise ValueError(f"got '{part.strip()}', wanted yard=days such as quarry=2, with 0 to 60 days")
        out[yard.strip()] = int(days)
    return out
