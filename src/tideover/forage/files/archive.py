"""Climate archives: the US GHCN-Daily layouts, fixed width and both tables.

Layout and flags from the archive's own readme (NOAA GHCN-Daily readme, section III; flags read, columns of the
fixed-width record from memory and confirmed against the older USHCN record of the same style). Any quality flag
means the reading failed a check, and it is taken as missing. Units: tenths of mm, C and m/s.
"""

from __future__ import annotations

import csv
import re
from calendar import monthrange
from collections.abc import Callable, Mapping
from datetime import date
from typing import Final, Literal

from tideover.forage.air import wind_at_2m
from tideover.forage.files.parts import ReadFile, Station, from_f, from_inch, from_mph, number

RECORD: Final = 269
"""Letters in a fixed-width record: 21 and 31 times 8."""
QUALITY: Final[Mapping[str, str]] = {
    "D": "duplicate", "G": "gap", "I": "inconsistent with itself", "K": "streak", "L": "several days in one",
    "M": "mega-consistency", "N": "naught", "O": "climatological outlier", "R": "lagged range", "S": "spatial",
    "T": "temporal", "W": "too warm for snow", "X": "out of bounds", "Z": "official investigation",
}  # fmt: skip
ELEMENTS: Final[Mapping[str, tuple[str, float]]] = {
    "TMAX": ("temp_max_c", 0.1), "TMIN": ("temp_min_c", 0.1), "PRCP": ("rain_mm", 0.1), "AWND": ("wind_ms", 0.1),
    "RHAV": ("humidity", 1.0),
}  # fmt: skip
"""Element, our field and the factor to canonical units; the wind is measured at 10 m and brought to 2 m."""
MISSING: Final = -9999
_FIXED: Final = re.compile(r"[A-Z]{2}[A-Z0-9_\-]{9}\d{4}(0[1-9]|1[0-2])[A-Z0-9]{4}")
_BY_YEAR: Final = re.compile(r'"?[A-Z]{2}[A-Z0-9_\-]{9}"?,"?\d{8}"?,"?[A-Z0-9]{4}"?,')
_BY_YEAR_NAMES: Final = ("ID", "DATE", "ELEMENT")
_UNLIKELY_C: Final = 60.0
_UNLIKELY_F: Final = 140.0
"""No air was ever measured hotter: whole numbers beyond are tenths of a degree."""
Order = Literal["tenths", "metric", "us"]
_ORDERS: Final[Mapping[str, str]] = {
    "tenths": "tenths, as archived", "metric": "metric units, as ordered", "us": "US units, as ordered",
}  # fmt: skip
_US: Final[Mapping[str, Callable[[float], float]]] = {
    "TMAX": from_f, "TMIN": from_f, "PRCP": from_inch, "AWND": from_mph, "RHAV": lambda v: v,
}  # fmt: skip


def is_fixed(line: str) -> bool:
    """Whether a line is a record of the fixed-width archive."""
    return bool(_FIXED.match(line))


def is_by_year(line: str) -> bool:
    """Whether a line is a row of the archive's table of single readings, or the header some copies of it have."""
    return bool(_BY_YEAR.match(line)) or tuple(_names(line)[:3]) == _BY_YEAR_NAMES


def is_summary(line: str) -> bool:
    """Whether a header is that of the archive's daily summaries."""
    names = _names(line)
    return "STATION" in names and "DATE" in names and bool(set(names) & {"TMAX", "TMIN", "PRCP"})


def _names(line: str) -> list[str]:
    return [c.strip().strip('"').upper() for c in line.split(",")]


def _keep(out: ReadFile, station: Station, day: date, element: str, raw: float, flags: tuple[str, str], line: int,
          order: Order = "tenths") -> None:  # fmt: skip
    """One reading with its measurement and quality flags, in the units of its file."""
    measured, quality = flags
    if raw == MISSING:
        return
    if quality:
        out.left_out[f"quality flag {quality} ({QUALITY.get(quality, 'unknown flag')})"] += 1
        return
    if element == "PRCP" and measured == "P":
        # 'missing presumed zero' is no measurement
        out.left_out["rain missing, presumed zero (P)"] += 1
        return
    name, tenth = ELEMENTS[element]
    value = raw * tenth if order == "tenths" else _US[element](raw) if order == "us" else raw
    if element == "AWND":
        value = float(wind_at_2m(value))
    out.put(station, day, name, round(value, 3), line)


def fixed(text: str) -> ReadFile:
    """Read the fixed-width archive: one station, month and element in a record, 31 values with three flags each."""
    out = ReadFile("climate archive, fixed width")
    for n, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        if not is_fixed(line):
            out.trouble(n, "", line[:30], "this is not a record of the archive", "remove it")
            continue
        record = line.ljust(RECORD)
        if len(record) != RECORD:
            out.trouble(n, "", line[:21], f"the record has {len(line)} letters, wanted {RECORD}", "fetch it again")
            continue
        element = record[17:21]
        if element not in ELEMENTS:
            continue
        year, month = int(record[11:15]), int(record[15:17])
        last = monthrange(year, month)[1] if 1 <= year <= 9999 else 0
        for day in range(1, 32):
            at = 21 + 8 * (day - 1)
            cell = record[at : at + 5].strip()
            if not cell:
                continue
            try:
                value = int(cell)
            except ValueError:
                out.trouble(n, f"{element} day {day}", cell, "this is not a whole number", "fetch it again")
                continue
            if day > last:
                if value != MISSING:
                    out.trouble(n, f"{element} day {day}", cell, "the month has no such day", "fetch it again")
                continue
            flags = record[at + 5].strip(), record[at + 6].strip()
            _keep(out, Station(record[:11]), date(year, month, day), element, value, flags, n)
    out.check_order()
    return out


def by_year(text: str) -> ReadFile:
    """Read the archive's single readings: ID, YYYYMMDD, element, value, three flags, hour; with or without a header."""
    out = ReadFile("climate archive, one reading a row")
    for n, row in enumerate(csv.reader(text.splitlines()), 1):
        cells = [c.strip() for c in row] + [""] * 8
        if not row or (n == 1 and tuple(c.upper() for c in cells[:3]) == _BY_YEAR_NAMES):
            continue
        if cells[2] not in ELEMENTS:
            continue
        day = _day(cells[1])
        value = number(cells[3])
        if day is None:
            out.trouble(n, "date", cells[1], "this is not a date", "write it as YYYYMMDD")
        elif value is None:
            out.trouble(n, cells[2], cells[3], "this is not a number", "leave the row out when it is missing")
        else:
            _keep(out, Station(cells[0]), day, cells[2], value, (cells[4], cells[5]), n)
    out.check_order()
    return out


def summary(text: str, order: Order | None = None) -> ReadFile:
    """Read daily summaries with a header; flags stand in ``*_ATTRIBUTES`` as 'measured,quality,source'.

    order: units the file was ordered in. None: told from the file (``_order``); where that cannot be told, it is a
    trouble and nothing is guessed.
    """
    lines = text.splitlines()
    names = _names(next(iter(lines), ""))
    rows = list(enumerate(csv.reader(lines[1:]), 2))
    told = order or _order(names, [r for _, r in rows])
    out = ReadFile("climate archive, daily summaries" + (f" ({_ORDERS[told]})" if told else ""))
    if told is None:
        out.trouble(
            1, "TMAX", "", "whether these are tenths of Celsius or Fahrenheit cannot be told without a rain column",
            "order the file again with PRCP in it, or head the columns date,temp_max_f,temp_min_f (or _c)",
        )  # fmt: skip
        return out
    for n, row in rows:
        if not row:
            continue
        cell = dict(zip(names, (c.strip() for c in row), strict=False))
        day = _day(cell.get("DATE", ""))
        if day is None:
            out.trouble(n, "DATE", cell.get("DATE", ""), "this is not a date", "write it as YYYY-MM-DD")
            continue
        place = [number(cell.get(k, "")) for k in ("LATITUDE", "LONGITUDE", "ELEVATION")]
        elevation = None if place[2] is None or place[2] <= -999.0 else place[2]
        station = Station(cell.get("STATION", ""), cell.get("NAME", ""), place[0], place[1], elevation)
        for element in ELEMENTS:
            text_value = cell.get(element, "")
            if not text_value:
                continue
            value = number(text_value)
            if value is None:
                out.trouble(n, element, text_value, "this is not a number", "leave a missing reading empty")
                continue
            flags = [*cell.get(f"{element}_ATTRIBUTES", "").split(","), "", ""][:2]
            _keep(out, station, day, element, value, (flags[0].strip(), flags[1].strip()), n, told)
    out.check_order()
    return out


def _order(names: list[str], rows: list[list[str]]) -> Order | None:
    """Units of daily summaries, None when they cannot be told.

    The archive's own tenths are whole numbers, rain too. Orders in metric units write temperatures with a decimal, and
    orders in US units whole degrees with rain in hundredths of an inch.
    """

    def cells(*wanted: str) -> list[str]:
        at = [i for i, name in enumerate(names) if name in wanted]
        found = (r[i].strip() for r in rows for i in at if i < len(r))
        return [c for c in found if number(c) not in (None, MISSING)]

    temps, rain = cells("TMAX", "TMIN"), cells("PRCP")
    hottest = max((abs(float(c)) for c in temps), default=0.0)
    if any("." in c for c in temps):
        return "us" if hottest > _UNLIKELY_C else "metric"
    if hottest > _UNLIKELY_F or not temps:
        return "metric" if not temps and any("." in c for c in rain) else "tenths"
    if rain:
        return "us" if any("." in c for c in rain) else "tenths"
    return None


def _day(text: str) -> date | None:
    try:
        if re.fullmatch(r"\d{8}", text):
            return date(int(text[:4]), int(text[4:6]), int(text[6:]))
        return date.fromisoformat(text[:10])
    except ValueError:
        return None
