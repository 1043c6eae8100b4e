"""Dates and times as people write them in files."""

from __future__ import annotations

import calendar
import re
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta, timezone
from typing import Final
from zoneinfo import ZoneInfo

from tideover.records.errors import RecordsError

_ISO: Final = re.compile(
    r"(?P<y>\d{4})-(?P<mo>\d\d?)-(?P<d>\d\d?)"
    r"(?:[Tt ]\s*(?P<h>\d\d?):(?P<mi>\d\d)(?::(?P<s>\d\d)(?:\.(?P<f>\d{1,6}))?)?"
    r"\s*(?P<z>[Zz]|[+-]\d\d:?\d\d(?::\d\d)?)?)?\Z",
    re.ASCII,
)
EARLIEST_YEAR: Final = 1900
_SHAPE: Final = (
    "write it year-month-day with the time, such as 2026-07-14T08:30 (add +10:00 or Z for another zone than the yard's)"
)


class TimeError(RecordsError):
    """A time that cannot be; ``what`` and ``remedy`` are its two halves."""

    def __init__(self, what: str, remedy: str = _SHAPE) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what, self.remedy = what, remedy


@dataclass(frozen=True)
class Read:
    """A time as read: whether hour and zone were given, and whether the clocks made it ambiguous."""

    at: datetime
    hour_known: bool = True
    twice: bool = False
    zone_known: bool = False


def parse_time(text: str, zone: ZoneInfo) -> Read:
    """Read an ISO date or date-time; without a zone of its own it is in ``zone``; a date alone means 12:00.

    Raises TimeError for times that are not ISO, not in the calendar, or skipped when clocks went forward.
    """
    m = _ISO.match(text.strip())
    if m is None:
        raise TimeError("this is not a date and time")
    y, mo, d = int(m["y"]), int(m["mo"]), int(m["d"])
    if not 1 <= mo <= 12:
        raise TimeError(f"there is no month {mo}")
    if y < EARLIEST_YEAR:
        raise TimeError(f"the year {y} is before {EARLIEST_YEAR}", "correct the year")
    if not 1 <= d <= calendar.monthrange(y, mo)[1]:
        raise TimeError(f"there is no {d} {calendar.month_name[mo]} {y}", "correct the date")
    if m["h"] is None:
        return Read(_local(datetime(y, mo, d, 12), zone)[0], hour_known=False)  # noqa: DTZ001 - zone put on below
    h, mi, s = int(m["h"]), int(m["mi"]), int(m["s"] or 0)
    if h > 23 or mi > 59 or s > 59:
        raise TimeError(
            f"there is no time {h}:{mi:02d}" + (f":{s:02d}" if m["s"] else ""), "correct the time (00:00 to 23:59)"
        )
    naive = datetime(y, mo, d, h, mi, s, int((m["f"] or "0").ljust(6, "0")))  # noqa: DTZ001 - zone put on below
    if m["z"]:
        return Read(naive.replace(tzinfo=_offset(m["z"])), zone_known=True)
    at, twice = _local(naive, zone)
    return Read(at, twice=twice)


def _offset(text: str) -> timezone:
    if text in "Zz":
        return UTC
    digits = text[1:].replace(":", "")
    seconds = int(digits[:2]) * 3600 + int(digits[2:4]) * 60 + int(digits[4:6] or 0)
    if seconds >= 86400:
        raise TimeError(f"{text} is not a distance from UTC", "write it such as +10:00 or -07:00")
    return timezone(timedelta(seconds=-seconds if text[0] == "-" else seconds)) if seconds else UTC


def _local(naive: datetime, zone: ZoneInfo) -> tuple[datetime, bool]:
    first, second = naive.replace(tzinfo=zone), naive.replace(tzinfo=zone, fold=1)
    if first.utcoffset() == second.utcoffset():
        return first, False
    if first.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != naive:
        raise TimeError(f"the clocks skipped {naive:%H:%M} on {naive:%Y-%m-%d} in {zone.key}", "correct the hour")
    return first, True


def check_not_future(at: datetime, now: datetime) -> None:
    """Raise TimeError when ``at`` lies more than a day after ``now``."""
    if at - now > timedelta(days=1):
        raise TimeError(
            f"{at:%Y-%m-%d %H:%M} is in the future (today is {now:%Y-%m-%d})",
            "correct the date, or bring it when it has happened",
        )
