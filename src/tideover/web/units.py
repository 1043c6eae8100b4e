"""Numbers as a keeper reads them: metric or US, rounded to what is worth saying."""

from __future__ import annotations

from typing import Final, Literal

from tideover.figures.units import MILE_KM, OUNCE_G, POUND_G
from tideover.records.units import PREFERRED, SIGNS, from_units, to_units

System = Literal["metric", "us"]

SYSTEMS: Final[tuple[System, ...]] = ("metric", "us")

_QUARTERS: Final = {0: "", 1: "¼", 2: "½", 3: "¾"}


def system(name: str | None) -> System:
    """The unit system of that name; anything else is metric."""
    return "us" if name == "us" else "metric"


def plain(value: float, places: int = 0) -> str:
    """A number with thousands marks and no trailing noughts."""
    text = f"{value:,.{places}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text == "-0" else text


def bees(count: float) -> str:
    """Bees (or brood cells) to the nearest 500 from 2,000 up, else to 100: the error of any look is larger."""
    step = 500 if abs(count) >= 2000 else 100
    return plain(round(count / step) * step)


def patty(grams: float, units: System) -> str:
    """Grams of patty; in US units pounds in quarters when they fit within 3 %, else ounces or decimals."""
    if units == "metric":
        return f"{plain(grams / 1000, 2)} kg" if grams >= 1500 else f"{plain(round(grams / 5) * 5)} g"
    pounds = grams / POUND_G
    whole, quarter = divmod(round(pounds * 4), 4)
    if pounds > 0 and abs(pounds * 4 - round(pounds * 4)) <= 0.03 * pounds * 4 and (whole or quarter):
        return f"{whole or ''}{_QUARTERS[quarter]} lb"
    if pounds < 1:
        return f"{plain(grams / OUNCE_G)} oz"
    return f"{plain(pounds, 1)} lb"


def honey(kilograms: float, units: System) -> str:
    """Honey or sugar to the half kilogram or the pound."""
    if units == "us":
        return f"{plain(to_units(kilograms, 'honey', 'lb'))} lb"
    return f"{plain(round(kilograms * 2) / 2, 1)} kg"


def road(kilometres: float, units: System, places: int = 0) -> str:
    """A length of road."""
    if units == "us":
        return f"{plain(kilometres / MILE_KM, places)} mi"
    return f"{plain(kilometres, places)} km"


def by_dimension(value: float, dimension: str, units: System) -> str:
    """Any canonical value with its unit in words."""
    if dimension == "patty":
        return patty(value, units)
    suffix = PREFERRED[units][dimension]
    return f"{plain(to_units(value, dimension, suffix), 1)} {SIGNS[suffix]}"


_MPH_A_KMH: Final = to_units(from_units(1.0, "wind", "kmh"), "wind", "mph")
_PER: Final = {
    "currency/kg": ("currency/lb", from_units(1.0, "honey", "lb")),
    "currency/L": ("currency/gal", from_units(1.0, "volume", "gal")),
    "currency/km": ("currency/mile", 1.0 / _MPH_A_KMH),
    "km/h": ("mph", _MPH_A_KMH),
}


def other_way(value: float, unit: str, units: System) -> str:
    """The same value with its unit in the other system, where ``unit`` is not of ``units``; else nothing.

    Thresholds are kept in one unit each, so a keeper who reads the other has it said beside the field.
    """
    if unit == "°F" and units == "metric":
        return f"{plain(from_units(value, 'temperature', 'f'), 1)} °C"
    if units != "us":
        return ""
    if unit in _PER:
        name, factor = _PER[unit]
        return f"{plain(value * factor, 2)} {name}"
    dimension = {"kg": "honey", "°C": "temperature", "m/s": "wind", "mm": "rain", "l": "volume"}.get(unit)
    return by_dimension(value, dimension, "us") if dimension else ""
