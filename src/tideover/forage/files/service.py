"""An open forecast service's JSON, as a file or as whatever fetched it.

No network is used here: a ``Fetch`` is any callable that gives the text, so that tests and offline use are the
same as online use. The shape is the common one of open services: a block ``daily`` with ``time`` and one list per
variable, units beside it in ``daily_units``, and the place at the top (from memory).
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from tideover.figures.units import F_AT_0_C, F_PER_C, INCH_MM, KMH_IN_MS, MPH_MS
from tideover.forage.air import wind_at_2m
from tideover.forage.files.parts import ReadFile, Station

Fetch = Callable[[float, float], str]
"""Gives the service's answer for a latitude and longitude; raises OSError when there is no way to it."""

_NAMES: Final[Mapping[str, str]] = {
    "temperature_2m_max": "temp_max_c", "temperature_2m_min": "temp_min_c", "precipitation_sum": "rain_mm",
    "rain_sum": "rain_mm", "wind_speed_10m_mean": "wind_ms", "relative_humidity_2m_mean": "humidity",
}  # fmt: skip
_UNITS: Final[Mapping[str, tuple[float, float]]] = {
    "°C": (1.0, 0.0), "°F": (1.0 / F_PER_C, -F_AT_0_C / F_PER_C), "mm": (1.0, 0.0), "inch": (INCH_MM, 0.0),
    "m/s": (1.0, 0.0), "km/h": (1.0 / KMH_IN_MS, 0.0), "mp/h": (MPH_MS, 0.0), "mph": (MPH_MS, 0.0), "%": (1.0, 0.0),
}  # fmt: skip


def is_service(text: str) -> bool:
    """Whether a text is such an answer."""
    return text.lstrip().startswith("{") and ('"daily"' in text or ('"hourly"' in text and '"temperature_2m"' in text))


def parse(text: str) -> ReadFile:
    """Read an answer; days up to the service's own today are its model's view, later ones a forecast."""
    out = ReadFile("open forecast service, JSON", "modelled")
    try:
        got: Any = json.loads(text)
    except ValueError as e:
        out.trouble(getattr(e, "lineno", 0), "", "", "this is not JSON", "fetch it again")
        return out
    daily = got.get("daily") if isinstance(got, dict) else None
    times = daily.get("time") if isinstance(daily, dict) else None
    if not isinstance(daily, dict) or not isinstance(times, list):
        out.trouble(0, "daily", "", "there is no 'daily' block with 'time'", "ask the service for daily values")
        return out
    units = got.get("daily_units") or {}
    place = Station("service", "", _float(got, "latitude"), _float(got, "longitude"), _float(got, "elevation"))
    for name, field in _NAMES.items():
        values = daily.get(name)
        if values is None:
            continue
        unit = units.get(name)
        if not isinstance(unit, str) or unit not in _UNITS:
            out.trouble(0, name, str(unit or ""), "the unit is not said or not known", f"ask for {', '.join(_UNITS)}")
            continue
        if not isinstance(values, list) or len(values) != len(times):
            out.trouble(0, name, "", "there is not one value for each day", "fetch it again")
            continue
        factor, offset = _UNITS[unit]
        for when, value in zip(times, values, strict=True):
            if value is None:
                continue
            try:
                day, got_value = date.fromisoformat(str(when)[:10]), float(value) * factor + offset
            except (TypeError, ValueError):
                out.trouble(0, f"{name} of {when}", str(value), "this is not a day and a number", "fetch it again")
                continue
            if field == "wind_ms":
                got_value = float(wind_at_2m(got_value))
            out.put(place, day, field, round(got_value, 3), 0)
    out.check_order()
    return out


def load(fetch: Fetch, latitude: float, longitude: float) -> tuple[ReadFile | None, str]:
    """Ask a service; without a way to it, nothing and a sentence that says what is missing.

    :returns: what was read (None without a network) and what to tell the keeper (empty when all is well).
    """
    try:
        text = fetch(latitude, longitude)
    except OSError as e:
        why = e.strerror or str(e) or "no connection"
        return None, f"no forecast: {why}; the days ahead are drawn from the usual weather of the place, more widely."
    return parse(text), ""


def _float(got: Mapping[str, Any], name: str) -> float | None:
    value = got.get(name)
    return float(value) if isinstance(value, (int, float)) and not isinstance(value, bool) else None
