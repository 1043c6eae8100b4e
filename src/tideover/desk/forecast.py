"""A yard's weather forecast and its typical year, as they are kept beside the books' settings.

A forecast is no observation: it is not an entry, the newest replaces the one before, and it is passed over when it was
made more than four days ago (our assumption). A typical year never happened: it stands in as the usual weather where
nothing was measured, and the newest replaces the one before.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from typing import Any, Final

from tideover.forage.climate import TypicalYear, typical_year
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


def typical_key(yard_id: str) -> str:
    """The name of the setting that holds a yard's typical year."""
    return f"typical:{yard_id}"


def typical_object(days: Sequence[FileDay], name: str) -> dict[str, Any] | None:
    """A typical year as it is kept: its yearly waves and where it is from; None when it has too few days."""
    whole = [(d.day.timetuple().tm_yday, d.temp_max_c, d.temp_min_c) for d in days]
    known = [(j, hi, lo) for j, hi, lo in whole if hi is not None and lo is not None]
    try:
        made = typical_year([j for j, _, _ in known], [hi for _, hi, _ in known], [lo for _, _, lo in known])
    except ValueError:
        return None
    return {"from": name, "mean": [round(v, 3) for v in made.mean], "span": [round(v, 3) for v in made.span]}


def typical_of(held: object) -> TypicalYear | None:
    """The typical year kept for a yard, if there is one that can be read."""
    if not isinstance(held, dict):
        return None
    try:
        (a, b, c), (d, e, f) = (tuple(float(v) for v in held[k]) for k in ("mean", "span"))
    except (KeyError, TypeError, ValueError):
        return None
    return TypicalYear((a, b, c), (d, e, f))
