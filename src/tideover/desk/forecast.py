"""A yard's weather forecast as it is kept beside the books' settings, until its days are past.

A forecast is no observation: it is not an entry, the newest replaces the one before, and it is passed over when it was
made more than four days ago (our assumption).
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, Final

from tideover.forage.files import FileDay
from tideover.forage.outlook import Forecast
from tideover.forage.weather import LandDay

STALE_D: Final = 4
LONGEST_D: Final = 16


def forecast_key(yard_id: str) -> str:
    """The name of the setting that holds a yard's forecast."""
    return f"forecast:{yard_id}"


def forecast_object(days: Sequence[FileDay], made: date) -> dict[str, Any] | None:
    """Days ahead as they are kept; None when none has both temperatures."""
    kept = [
        [d.day.isoformat(), d.temp_max_c, d.temp_min_c, d.rain_mm, d.wind_ms, d.humidity]
        for d in days
        if d.temp_max_c is not None and d.temp_min_c is not None and d.day < made + timedelta(days=LONGEST_D)
    ]
    return {"made": made.isoformat(), "days": kept} if kept else None


def forecast_of(held: object, today: date) -> Forecast | None:
    """The forecast kept for a yard, if it can be read and is not stale on ``today``."""
    if not isinstance(held, dict):
        return None
    try:
        made = date.fromisoformat(str(held["made"]))
        days = [
            LandDay(date.fromisoformat(str(day)), float(hi), float(lo), _known(rain), _known(wind), _known(humidity))
            for day, hi, lo, rain, wind, humidity in held["days"]
        ]
    except (KeyError, TypeError, ValueError):
        return None
    days = [d for d in days if d.day >= today]
    if not days or not 0 <= (today - made).days <= STALE_D:
        return None
    return Forecast(made, tuple(days))


def _known(value: Any) -> float | None:
    return None if value is None else float(value)
