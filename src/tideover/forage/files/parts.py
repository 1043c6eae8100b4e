"""What a weather file is once read: a station, its days, what was left out and what is wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, tzinfo
from typing import Final, Literal

from tideover.figures.units import INCH_MM, KMH_IN_MS, MPH_MS, to_c

FIELDS: Final = ("temp_max_c", "temp_min_c", "rain_mm", "wind_ms", "humidity")
"""Fields of a day, in canonical units; the wind is that at 2 m."""
RANGES: Final[Mapping[str, tuple[float, float]]] = {
    "temp_max_c": (-60.0, 60.0), "temp_min_c": (-70.0, 50.0), "rain_mm": (0.0, 1000.0), "wind_ms": (0.0, 60.0),
    "humidity": (0.0, 100.0),
}  # fmt: skip
"""The same ranges as the books'."""
Nature = Literal["measured", "modelled", "typical"]
UNNAMED: Final = "station"
"""The id of a table's station that the table does not name."""


@dataclass(frozen=True)
class Station:
    """Where a file's readings were taken; None where the file does not say. Degrees, [m]."""

    id: str
    name: str = ""
    latitude: float | None = None
    longitude: float | None = None
    elevation_m: float | None = None


@dataclass(frozen=True)
class Trouble:
    """One thing wrong with one line (0: the file as a whole), or the same thing with several.

    ``rows``: which lines or days in words, empty for one; ``count``: readings it is wrong with; ``value`` is the first.
    """

    line: int
    column: str
    value: str
    what: str
    remedy: str
    rows: str = ""
    count: int = 1


@dataclass(frozen=True)
class FileDay:
    """One day as read; None was not there, or did not pass its quality check."""

    day: date
    temp_max_c: float | None = None
    temp_min_c: float | None = None
    rain_mm: float | None = None
    wind_ms: float | None = None
    humidity: float | None = None
    line: int = 0

    def get(self, name: str) -> float | None:
        """The value of one of ``FIELDS``."""
        value: float | None = getattr(self, name)
        return value

    def with_(self, name: str, value: float | None) -> FileDay:
        """The same day with one field set."""
        return replace(self, **{name: value})  # type: ignore[arg-type]


@dataclass
class ReadFile:
    """A file as read: its format in words, stations with their days, readings left out (why, how many), troubles."""

    form: str
    nature: Nature = "measured"
    stations: dict[str, Station] = field(default_factory=dict)
    days: dict[str, dict[date, FileDay]] = field(default_factory=dict)
    left_out: Counter[str] = field(default_factory=Counter)
    troubles: list[Trouble] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    """Names of columns that were passed over."""
    for_zone: Callable[[tzinfo], ReadFile] | None = None
    """Reads the file anew with its hours on a yard's clock; None when its days do not hang on one."""

    def put(self, station: Station, day: date, name: str, value: float, line: int) -> None:
        """Keep a reading; out of range it is a trouble, and a second one for the same day too."""
        low, high = RANGES[name]
        # a file without lines of its own is told by the day
        column = name if line else f"{name} of {day}"
        if not low <= value <= high:
            self.trouble(line, column, f"{value:g}", f"outside {low:g} to {high:g}", hint(name, value))
            return
        self.stations.setdefault(station.id, station)
        held = self.days.setdefault(station.id, {})
        there = held.get(day, FileDay(day, line=line))
        before = there.get(name)
        if before is not None and abs(before - value) > 1e-9:
            self.trouble(line, column, f"{value:g}", f"{day} was given {before:g} before", "keep one of the two")
            return
        held[day] = there.with_(name, value)

    def trouble(self, line: int, column: str, value: str, what: str, remedy: str) -> None:
        """Note something wrong."""
        self.troubles.append(Trouble(line, column, value, what, remedy))

    def check_order(self) -> None:
        """A day's low above its high is a trouble, told once per day."""
        for held in self.days.values():
            for d in held.values():
                if d.temp_max_c is not None and d.temp_min_c is not None and d.temp_min_c > d.temp_max_c + 1e-9:
                    self.trouble(
                        d.line, "temp_min_c", f"{d.temp_min_c:g}", f"low above the high of {d.day} ({d.temp_max_c:g})",
                        "correct one of them",
                    )  # fmt: skip


def hint(name: str, value: float) -> str:
    """What such a value most likely is."""
    if name.startswith("temp") and 60.0 < value <= 140.0:
        return f"if these are Fahrenheit, say so in the column's name ({name.removesuffix('_c')}_f)"
    if name == "rain_mm" and value < 0.0:
        return "leave a missing reading empty"
    return "correct it, or leave it empty"


def number(text: str) -> float | None:
    """A plain decimal number, or None when it is none."""
    try:
        value = float(text.strip())
    except ValueError:
        return None
    return value if abs(value) < 1e9 else None


def from_f(v: float) -> float:
    """Degrees Fahrenheit as Celsius."""
    return to_c(v)


def from_inch(v: float) -> float:
    """Inches as millimetres."""
    return v * INCH_MM


def from_kmh(v: float) -> float:
    """Kilometres an hour as metres a second."""
    return v / KMH_IN_MS


def from_mph(v: float) -> float:
    """Miles an hour as metres a second."""
    return v * MPH_MS
