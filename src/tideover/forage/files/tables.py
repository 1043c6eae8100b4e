"""Plain tables with a header: one row a day, or one an hour reduced to days.

The unit stands at the end of a column's name; a temperature without one is refused rather than guessed. A day made
from hours needs 18 of 24 hours spread over it for its high and low, and every gap at most 3 hours (our
assumption); rain is the sum of at least 22 hours.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import date, datetime, tzinfo
from functools import partial
from typing import Final

import numpy as np

from tideover.forage.air import wind_at_2m
from tideover.forage.files.parts import (
    RANGES,
    UNNAMED,
    ReadFile,
    Station,
    from_f,
    from_inch,
    from_kmh,
    from_mph,
    hint,
    number,
)  # fmt: skip

Convert = Callable[[float], float]


def _same(v: float) -> float:
    return v


_UNITS: Final[Mapping[str, Mapping[str, Convert]]] = {
    "temp": {"c": _same, "f": from_f},
    "rain": {"mm": _same, "in": from_inch},
    "wind": {"ms": _same, "kmh": from_kmh, "mph": from_mph},
    "humidity": {"": _same, "pct": _same},
}
_DAILY: Final[Mapping[str, tuple[str, str]]] = {
    "temp_max": ("temp_max_c", "temp"), "tmax": ("temp_max_c", "temp"), "temp_min": ("temp_min_c", "temp"),
    "tmin": ("temp_min_c", "temp"), "rain": ("rain_mm", "rain"), "precipitation": ("rain_mm", "rain"),
    "wind": ("wind_ms", "wind"), "wind_10m": ("wind_10m", "wind"), "humidity": ("humidity", "humidity"),
    "rh": ("humidity", "humidity"),
}  # fmt: skip
_HOURLY: Final[Mapping[str, tuple[str, str]]] = {
    "temp": ("temp", "temp"), "temperature": ("temp", "temp"), "rain": ("rain", "rain"),
    "precipitation": ("rain", "rain"), "wind": ("wind", "wind"), "wind_10m": ("wind_10m", "wind"),
    "humidity": ("humidity", "humidity"), "rh": ("humidity", "humidity"),
}  # fmt: skip
MISSING: Final = frozenset({"", "na", "nan", "null", "-", "--", "m"})
MARKS: Final = frozenset({-9999.0, -999.0, -999.9, -99.9, -99.0, 999.0, 999.9, 9999.0, 9999.9, 99999.0})
"""Numbers that stand for a missing reading in one archive or another; no air, rain or wind is like that."""
TRACE: Final = frozenset({"t", "trace"})
_NAMES_OF_ROWS: Final = frozenset({"date", "day", "time", "datetime", "hour", "station"})
OTHER_UNITS: Final[Mapping[str, frozenset[str]]] = {
    "temp": frozenset({"k", "kelvin"}), "rain": frozenset({"cm", "inch", "inches"}),
    "wind": frozenset({"kn", "kt", "kts", "knots", "fts", "mps", "kph"}), "humidity": frozenset(),
}  # fmt: skip
"""Units we do not read: a column in one of them is refused, since to pass over it would lose it unseen."""
HOURS_NEEDED: Final = 18
RAIN_HOURS_NEEDED: Final = 22
LONGEST_GAP_H: Final = 3
CLOCK_BACK: Final = frozenset({0, 1, 2, 3, 23})
"""Hours that may come twice, on the night when clocks go back."""
_RANGE_OF: Final[Mapping[str, str]] = {
    "temp": "temp_max_c", "rain": "rain_mm", "wind": "wind_ms", "humidity": "humidity",
}  # fmt: skip

_HINT_OF: Final = {"temp": "temp_c", "rain": "rain_mm"}


def _columns(header: list[str], known: Mapping[str, tuple[str, str]], out: ReadFile) -> dict[int, tuple[str, Convert]]:
    """The columns that are read, by their place; the names of the others go to ``out.unread``."""
    found: dict[int, tuple[str, Convert]] = {}
    for i, raw in enumerate(header):
        name = raw.strip().lower()
        passed = bool(name) and name not in _NAMES_OF_ROWS
        for base, (field, dimension) in known.items():
            if name == base or name.startswith(base + "_"):
                unit = name[len(base) :].lstrip("_")
                convert = _UNITS[dimension].get(unit)
                if convert is not None:
                    if field in {f for f, _ in found.values()}:
                        out.trouble(1, raw, "", f"there are two columns of {base}", "keep one of the two")
                    found[i] = (field, convert)
                    passed = False
                    break
                if name == base or unit in OTHER_UNITS[dimension]:
                    units = " or ".join(f"{base}_{u}" for u in _UNITS[dimension])
                    what = f"the unit {unit!r} is not read" if unit else "the column does not say its unit"
                    out.trouble(
                        1, raw, "", what, f"name it {units}" + (" and turn its numbers into that" if unit else "")
                    )
                    passed = False
                    break
        if passed:
            out.unread.append(raw.strip())
    return found


def header_of(line: str) -> list[str]:
    """The names in a header, in lower case."""
    return [c.strip().strip('"').lower() for c in line.lstrip("\ufeff").split(",")]


def is_hourly(line: str) -> bool:
    """Whether a header is that of an hourly table."""
    names = header_of(line)
    return any(n in ("time", "datetime", "hour") for n in names) and any(
        n.startswith(("temp_c", "temp_f", "temperature")) or n in ("temp", "temperature") for n in names
    )


def is_daily(line: str) -> bool:
    """Whether a header is that of a daily table."""
    names = header_of(line)
    return any(n in ("date", "day") for n in names) and any(n.startswith(("temp_max", "tmax")) for n in names)


def _value(text: str, field: str) -> float | str | None:
    """A number, None for missing, or the text itself when it is neither."""
    low = text.strip().lower()
    if low in MISSING:
        return None
    if field.startswith("rain") and low in TRACE:
        return 0.0
    value = number(text)
    if value in MARKS:
        return None
    return text if value is None else value


def daily(text: str) -> ReadFile:
    """Read a table with a row a day: date, temp_max_c, temp_min_c, rain_mm, wind_ms (2 m) or wind_10m_ms, humidity."""
    out = ReadFile("table, one row a day")
    rows = list(csv.reader(text.lstrip("\ufeff").splitlines()))
    header = [c.strip().lower() for c in rows[0]]
    where = next(i for i, c in enumerate(header) if c in ("date", "day"))
    at = header.index("station") if "station" in header else None
    columns = _columns(header, _DAILY, out)
    for n, row in enumerate(rows[1:], 2):
        if not any(c.strip() for c in row):
            continue
        if len(row) != len(header):
            out.trouble(
                n,
                "",
                "",
                f"{len(row)} cells, wanted {len(header)}",
                "give every column a cell, if empty, and write decimals with a point (1.5, not 1,5)",
            )
            continue
        try:
            day = date.fromisoformat(row[where].strip()[:10])
        except ValueError:
            out.trouble(n, header[where], row[where], "this is not a date", "write it as YYYY-MM-DD")
            continue
        station = Station((row[at].strip() if at is not None else "") or UNNAMED)
        for i, (field, convert) in columns.items():
            value = _value(row[i], field)
            if isinstance(value, str):
                out.trouble(n, header[i], value, "this is not a number", "leave a missing reading empty")
            elif value is not None:
                got = convert(value)
                if field == "wind_10m":
                    field, got = "wind_ms", float(wind_at_2m(got))
                out.put(station, day, field, round(got, 3), n)
    out.check_order()
    return out


def hourly(text: str, zone: tzinfo | None = None) -> ReadFile:
    """Read a table with a row an hour and reduce it to days of the yard's clock.

    Times without a zone are the yard's clock. Times with one (``Z``, ``-07:00``) are brought to ``zone``; without a
    ``zone`` the file says by ``for_zone`` that it wants one.
    """
    out = ReadFile("table, one row an hour, reduced to days")
    rows = list(csv.reader(text.lstrip("\ufeff").splitlines()))
    header = [c.strip().lower() for c in rows[0]]
    where = next(i for i, c in enumerate(header) if c in ("time", "datetime", "hour"))
    columns = _columns(header, _HOURLY, out)
    hours = Hours(out)
    for n, row in enumerate(rows[1:], 2):
        if not any(c.strip() for c in row):
            continue
        stamp = row[where].strip() if where < len(row) else ""
        try:
            when = datetime.fromisoformat(stamp.replace("/", "-"))
        except ValueError:
            out.trouble(n, header[where], stamp, "this is not a time", "write it as YYYY-MM-DDTHH:MM")
            continue
        if when.tzinfo is not None:
            out.for_zone = partial(hourly, text)
            when = when.astimezone(zone) if zone is not None else when
        for i, (field, convert) in columns.items():
            value = _value(row[i] if i < len(row) else "", field)
            if isinstance(value, str):
                out.trouble(n, header[i], value, "this is not a number", "leave a missing reading empty")
            elif value is not None:
                got = convert(value)
                if field == "wind_10m":
                    field, got = "wind", float(wind_at_2m(got))
                hours.put(when, field, got, n, header[i])
    hours.reduce(Station(UNNAMED))
    out.check_order()
    return out


class Hours:
    """Readings by day and hour, reduced to days of the file they belong to."""

    def __init__(self, out: ReadFile) -> None:
        self._out = out
        self._at: dict[date, dict[str, dict[int, list[float]]]] = defaultdict(lambda: defaultdict(dict))
        self._line: dict[date, int] = {}
        self._before: dict[tuple[datetime, str], float] = {}

    def put(self, when: datetime, field: str, value: float, line: int, column: str) -> None:
        """Keep one reading; several at different minutes of an hour are kept together.

        The same time twice is the same row twice, and counts once, or two readings that cannot both be; only in the
        small hours both may be true, on the night when the clock goes back.
        """
        low, high = RANGES[_RANGE_OF[field]]
        if not low <= value <= high:
            self._out.trouble(
                line, column, f"{value:g}", f"outside {low:g} to {high:g}", hint(_HINT_OF.get(field, field), value)
            )
            return
        there = self._before.get((when, field))
        self._before[when, field] = value
        if there is not None and abs(there - value) <= 1e-9:
            return
        if there is not None and when.hour not in CLOCK_BACK:
            self._out.trouble(line, column, f"{value:g}", f"{when:%Y-%m-%d %H:%M} was given {there:g} before",
                              "keep one of the two")  # fmt: skip
            return
        self._at[when.date()][field].setdefault(when.hour, []).append(value)
        self._line.setdefault(when.date(), line)

    def reduce(self, station: Station) -> None:
        """Days with enough hours go to the file; the rest are counted as left out."""
        for day, fields in sorted(self._at.items()):
            line = self._line[day]
            for field, by_hour in fields.items():
                known = sorted(by_hour)
                needed = RAIN_HOURS_NEEDED if field == "rain" else HOURS_NEEDED
                gap = max([known[0] + 1, 24 - known[-1], *np.diff(known).tolist()]) - 1
                if len(known) < needed or (field == "temp" and gap > LONGEST_GAP_H):
                    self._out.left_out[f"days with too few hours of {field}"] += 1
                    continue
                every = [v for h in known for v in by_hour[h]]
                if field == "temp":
                    self._out.put(station, day, "temp_max_c", round(max(every), 2), line)
                    self._out.put(station, day, "temp_min_c", round(min(every), 2), line)
                elif field == "rain":
                    # several reports within an hour are partial sums of it
                    self._out.put(station, day, "rain_mm", round(sum(every), 2), line)
                else:
                    self._out.put(station, day, _RANGE_OF[field], round(float(np.mean(every)), 2), line)
