"""Units at the border: canonical numbers to and from what a keeper reads and writes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from tideover.records.entries import Units
from tideover.records.errors import RecordsError
from tideover.records.kinds import UNITS

PREFERRED: Final[Mapping[Units, Mapping[str, str]]] = {
    "metric": {
        "temperature": "c", "patty": "g", "honey": "kg", "rain": "mm", "wind": "ms", "height": "m", "volume": "l",
        "thickness": "mm",
    },
    "us": {
        "temperature": "f", "patty": "lb", "honey": "lb", "rain": "in", "wind": "mph", "height": "ft", "volume": "gal",
        "thickness": "in",
    },
}  # fmt: skip
"""The suffix a form or sentence uses for each dimension, in each system of units."""

CANONICAL: Final[Mapping[str, str]] = {
    dim: next(s for s, (factor, offset) in table.items() if factor == 1.0 and offset == 0.0)
    for dim, table in UNITS.items()
}
"""The suffix of the unit the books keep, for each dimension."""

US_SUFFIXES: Final = frozenset({"f", "lb", "oz", "in", "mph", "ft", "gal", "qt"})

SIGNS: Final[Mapping[str, str]] = {
    "c": "°C", "f": "°F", "g": "g", "kg": "kg", "lb": "lb", "oz": "oz", "mm": "mm", "in": "in", "ms": "m/s",
    "kmh": "km/h", "mph": "mph", "m": "m", "ft": "ft", "l": "L", "gal": "gal", "qt": "qt",
}  # fmt: skip
"""How each suffix is written for people."""

NAMES: Final[Mapping[str, str]] = {
    "c": "degrees Celsius", "f": "degrees Fahrenheit", "g": "grams", "kg": "kilograms", "lb": "pounds",
    "oz": "ounces", "mm": "millimetres", "in": "inches", "ms": "metres per second", "kmh": "kilometres per hour",
    "mph": "miles per hour", "m": "metres", "ft": "feet", "l": "litres", "gal": "US gallons", "qt": "US quarts",
}  # fmt: skip


def _factors(dimension: str, suffix: str) -> tuple[float, float]:
    try:
        return UNITS[dimension][suffix]
    except KeyError:
        known = ", ".join(UNITS.get(dimension, ())) or "none: the dimension itself is unknown"
        raise RecordsError(f"{suffix!r} is not a unit of {dimension}; use one of {known}") from None


def from_units(value: float, dimension: str, suffix: str) -> float:
    """Return ``value`` [unit of ``suffix``] in the canonical unit of ``dimension``; RecordsError if unknown."""
    factor, offset = _factors(dimension, suffix)
    return factor * value + offset


def to_units(value: float, dimension: str, suffix: str) -> float:
    """Return ``value`` [canonical unit of ``dimension``] in the unit of ``suffix``; RecordsError if unknown."""
    factor, offset = _factors(dimension, suffix)
    return (value - offset) / factor


def unit_for(dimension: str, units: Units) -> str:
    """Return the suffix that a form in this system of units uses for the dimension."""
    return PREFERRED[units][dimension]
