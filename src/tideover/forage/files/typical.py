"""Typical years: hourly files of building practice, with months from different years.

Columns by the formats' own handbooks (from memory; the TMY3 layout was read in an open solar library's file). They show
what is usual, never what happened, so their days may not be entered as measured: they give the usual weather only.
The hour is that ending at the time given (1 to 24). The rain columns of such files cannot be trusted (one read
file sums to 8,345 'mm' a year where 1,100 fall) and are left out.
"""

from __future__ import annotations

import csv
from datetime import date, datetime, time
from typing import Final

from tideover.forage.air import wind_at_2m
from tideover.forage.files.parts import ReadFile, Station, number
from tideover.forage.files.tables import Hours

USUAL_YEAR: Final = 2001
"""Days are put in one year without a leap day, since a typical year is no year."""
RAIN_NOTE: Final = "rain of a typical-year file (not trustworthy)"


def is_epw(line: str) -> bool:
    """Whether the first line is that of an EPW-like file."""
    return line.upper().startswith("LOCATION,")


def is_tmy3(first: str, second: str) -> bool:
    """Whether the first two lines are those of a TMY3-like file."""
    return second.lower().startswith("date (mm/dd/yyyy)")


def _day(month: str, day: str, out: ReadFile, n: int) -> date | None:
    try:
        return date(USUAL_YEAR, int(month), int(day))
    except ValueError:
        if (month.strip(), day.strip()) in (("2", "29"), ("02", "29")):
            return None
        out.trouble(n, "date", f"{month}-{day}", "this is not a day of the year", "fetch the file again")
        return None


def _hour(text: str, out: ReadFile, n: int) -> int | None:
    """The hour that ends at the time given, 1 to 24."""
    hour = number(text)
    if hour is None or not 1.0 <= hour <= 24.0:
        out.trouble(n, "hour", text, "this is not an hour from 1 to 24", "fetch the file again")
        return None
    return int(hour)


def epw(text: str) -> ReadFile:
    """Read an EPW-like file: eight lines of header, then 35 columns an hour."""
    out = ReadFile("typical year, 35 columns an hour", "typical")
    rows = list(csv.reader(text.splitlines()))
    head = rows[0] + [""] * 10
    place = Station(head[5].strip() or "typical", head[1].strip(), number(head[6]), number(head[7]), number(head[9]))
    hours = Hours(out)
    for n, row in enumerate(rows[8:], 9):
        if not row:
            continue
        if len(row) < 22:
            out.trouble(n, "", "", f"{len(row)} columns, wanted 35", "fetch the file again")
            continue
        day = _day(row[1], row[2], out, n)
        hour = _hour(row[3], out, n)
        if day is None or hour is None:
            continue
        for at, field, gone in ((6, "temp", 99.9), (8, "humidity", 999.0), (21, "wind", 999.0)):
            value = number(row[at])
            if value is None:
                out.trouble(n, field, row[at], "this is not a number", "fetch the file again")
            elif value < gone:
                got = float(wind_at_2m(value)) if field == "wind" else value
                hours.put(datetime.combine(day, time(hour - 1)), field, got, n, field)
    out.left_out[RAIN_NOTE] += 1
    hours.reduce(place)
    out.check_order()
    return out


def tmy3(text: str) -> ReadFile:
    """Read a TMY3-like file: a line of the station, a line of names, 8760 hours."""
    out = ReadFile("typical year, named columns", "typical")
    rows = list(csv.reader(text.splitlines()))
    head = rows[0] + [""] * 7
    place = Station(head[0].strip(), head[1].strip(), number(head[4]), number(head[5]), number(head[6]))
    names = [c.strip().lower() for c in rows[1]]
    wanted = (("dry-bulb (c)", "temp", "dry-bulb"), ("rhum (%)", "humidity", "rhum"), ("wspd (m/s)", "wind", "wspd"))
    columns = {}
    for exact, field, start in wanted:
        found = [i for i, c in enumerate(names) if c == exact] or [i for i, c in enumerate(names) if c == start]
        if found:
            columns[field] = found[0]
        elif field == "temp":
            out.trouble(2, exact, "", "the file has no such column", "fetch the file again")
            return out
    hours = Hours(out)
    for n, row in enumerate(rows[2:], 3):
        if not row:
            continue
        parts = row[0].split("/")
        day = _day(parts[0], parts[1], out, n) if len(parts) == 3 else None
        hour = _hour(row[1].split(":")[0] if len(row) > 1 else "", out, n)
        if day is None or hour is None:
            if len(parts) != 3:
                out.trouble(n, "date", row[0], "this is not a date", "fetch the file again")
            continue
        for field, at in columns.items():
            value = number(row[at]) if at < len(row) else None
            if value is not None and value > -9900.0:
                got = float(wind_at_2m(value)) if field == "wind" else value
                hours.put(datetime.combine(day, time(hour - 1)), field, got, n, field)
    out.left_out[RAIN_NOTE] += 1
    hours.reduce(place)
    out.check_order()
    return out
