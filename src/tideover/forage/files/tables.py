"""Plain tables with a header: one row a day, or one an hour reduced to days.

The unit stands at the end of a column's name; a temperature without one is refused rather than guessed. A day made
from hours needs 18 of 24 hours spread over it for its high and low, and every gap at most 3 hours (our
assumption); rain is the sum of at least 22 hours.
"""

from __future__ import annotations

import csv
from collections import defaultdict
from collections.abc import Callable, Mapping
from datetime import date, datetime
from typing import Final

import numpy as np

from tideover.forage.air import wind_at_2m
from tideover.forage.files.parts import ReadFile, Station, number

Convert = Callable[[float], float]


def _same(v: float) -> float:
    return v


def _f(v: float) -> float:
    return (v - 32.0) / 1.8


def _inch(v: float) -> float:
    return v * 25.4


def _kmh(v: float) -> float:
    return v / 3.6


def _mph(v: float) -> float:
    return v * 0.44704


_UNITS: Final[Mapping[str, Mapping[str, Convert]]] = {
    "temp": {"c": _same, "f": _f},
    "rain": {"mm": _same, "in": _inch},
    "wind": {"ms": _same, "kmh": _kmh, "mph": _mph},
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
MISSING: Final = frozenset({"", "na", "nan", "null", "-", "m", "-9999", "-9999.0", "-999", "-999.9"})
TRACE: Final = frozenset({"t", "trace"})
HOURS_NEEDED: Final = 18
RAIN_HOURS_NEEDED: Final = 22
LONGEST_GAP_H: Final = 3


def _columns(header: list[str], known: Mapping[str, tuple[str, str]], out: ReadFile) -> dict[int, tuple[str, Convert]]:
    found: dict[int, tuple[str, Convert]] = {}
    for i, raw in enumerate(header):
        name = raw.strip().lower()
        for base, (field, dimension) in known.items():
            if name == base or name.startswith(base + "_"):
                unit = name[len(base) :].lstrip("_")
                convert = _UNITS[dimension].get(unit)
                if convert is not None:
                    found[i] = (field, convert)
                    break
                if name == base:
                    units = " or ".join(f"{base}_{u}" for u in _UNITS[dimension])
                    out.trouble(1, raw, "", "the column does not say its unit", f"name it {units}")
                    break
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
            out.trouble(n, "", "", f"{len(row)} cells, wanted {len(header)}", "give every column a cell, if empty")
            continue
        try:
            day = date.fromisoformat(row[where].strip()[:10])
        except ValueError:
            out.trouble(n, header[where], row[where], "this is not a date", "write it as YYYY-MM-DD")
            continue
        station = Station(row[at].strip() if at is not None else "station")
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


def hourly(text: str) -> ReadFile:
    """Read a table with a row an hour (local clock) and reduce it to days."""
    out = ReadFile("table, one row an hour, reduced to days")
    rows = list(csv.reader(text.lstrip("\ufeff").splitlines()))
    header = [c.strip().lower() for c in rows[0]]
    where = next(i for i, c in enumerate(header) if c in ("time", "datetime", "hour"))
    columns = _columns(header, _HOURLY, out)
    hours = Hours()
    for n, row in enumerate(rows[1:], 2):
        if not any(c.strip() for c in row):
            continue
        try:
            when = datetime.fromisoformat(row[where].strip().replace("/", "-"))
        except ValueError:
            out.trouble(n, header[where], row[where], "this is not a time", "write it as YYYY-MM-DDTHH:MM")
            continue
        for i, (field, convert) in columns.items():
            value = _value(row[i] if i < len(row) else "", field)
            if isinstance(value, str):
                out.trouble(n, header[i], value, "this is not a number", "leave a missing reading empty")
            elif value is not None:
                got = convert(value)
                if field == "wind_10m":
                    field, got = "wind", float(wind_at_2m(got))
                hours.put(when.date(), when.hour, field, got, n)
    hours.reduce(Station("station"), out)
    out.check_order()
    return out


class Hours:
    """Readings by day and hour, reduced to days."""

    def __init__(self) -> None:
        self._at: dict[date, dict[str, dict[int, list[float]]]] = defaultdict(lambda: defaultdict(dict))
        self._line: dict[date, int] = {}

    def put(self, day: date, hour: int, field: str, value: float, line: int) -> None:
        """Keep one reading; several in an hour are kept together."""
        self._at[day][field].setdefault(hour, []).append(value)
        self._line.setdefault(day, line)

    def reduce(self, station: Station, out: ReadFile) -> None:
        """Days with enough hours go to ``out``; the rest are counted as left out."""
        for day, fields in sorted(self._at.items()):
            line = self._line[day]
            for field, by_hour in fields.items():
                known = sorted(by_hour)
                needed = RAIN_HOURS_NEEDED if field == "rain" else HOURS_NEEDED
                gap = max([known[0] + 1, 24 - known[-1], *np.diff(known).tolist()]) - 1
                if len(known) < needed or (field == "temp" and gap > LONGEST_GAP_H):
                    out.left_out[f"days with too few hours of {field}"] += 1
                    continue
                every = [v for h in known for v in by_hour[h]]
                if field == "temp":
                    out.put(station, day, "temp_max_c", round(max(every), 2), line)
                    out.put(station, day, "temp_min_c", round(min(every), 2), line)
                elif field == "rain":
                    # several reports within an hour are partial sums of it
                    out.put(station, day, "rain_mm", round(sum(every), 2), line)
                else:
                    name = "wind_ms" if field == "wind" else "humidity"
                    out.put(station, day, name, round(float(np.mean(every)), 2), line)
