"""When seasons turn at a place: last brood, stop date of patties, cluster date, mite phase.

No month is a constant: dates follow latitude, elevation, hemisphere and weather, or
what the keeper set. What is derived from latitude alone is a rule of thumb and says so.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.plan.settings import PhaseName, Settings, month_day

_HALF_YEAR: Final = timedelta(days=182)
_YEAR_D: Final = 365
_value = reader("calls")
_METRES_PER_DEGREE: Final = _value("metres_per_degree")
# Two anchors: brood shrinks but hardly stops on the Gulf (30 N, late December); little brood from late
# October in Ontario and further north (45 N). Our rule of thumb.
_LAST_BROOD, _DAYS_PER_DEGREE = _value("last_brood_doy"), _value("last_brood_per_degree")
_LAST_BROOD_AT: Final = _value("last_brood_from_degrees")
# Below this (effective) latitude brood never stops, so there is no stop date to derive.
_NO_WINTER_BELOW, _COLD_END = _value("no_winter_below_degrees"), _value("cold_end_degrees")
_BUILDING: Final = timedelta(days=_value("building_d"))
_GROWING_TO, _PEAK_TO = timedelta(days=_value("growing_to_d")), timedelta(days=_value("peak_to_d"))
_SET_WINTER_D, _CLUSTER_FAR_D = _value("set_winter_d"), _value("cluster_far_d")
_BROODLESS_CELLS: Final = _value("broodless_cells")
# Zonal mean air temperature near the ground: annual mean and half range [deg C] by latitude.
_ZONAL_LAT: Final = (0, 10, 20, 30, 40, 50, 60, 70)
_ZONAL_MEAN: Final = tuple(_value(f"zonal_mean_{lat}_c") for lat in _ZONAL_LAT)
_ZONAL_HALF_RANGE: Final = tuple(_value(f"zonal_half_{lat}_c") for lat in _ZONAL_LAT)
_LAPSE_PER_M, _WARMEST_DAY = _value("lapse_k_m"), _value("warmest_doy")
_CURVE_LEAST_D, _CURVE_PART_D = _value("curve_least_d"), _value("curve_part_d")
_CURVE_SMOOTH_D: Final = int(_value("curve_smooth_d"))
_CURVE_PENALTY_D: Final = _value("curve_penalty_d")


@dataclass(frozen=True)
class StopWindow:
    """Days on which the stop date of patties has passed: from ``stop`` until ``until`` (not included)."""

    stop: date
    until: date
    how: str
    known: str

    def holds(self, day: date) -> bool:
        """Whether the stop date has passed on this day."""
        return self.stop <= day < self.until


@dataclass(frozen=True)
class ClusterDate:
    """The next day (today or later) on which the cluster is taken to form; ``clustered`` if it has already."""

    day: date
    how: str
    known: str
    clustered: bool


def effective_latitude(place: Place) -> float:
    """Latitude [degrees, without sign] raised by a degree for so much elevation (``calls.metres_per_degree``)."""
    return abs(place.latitude) + max(0.0, place.elevation_m) / _METRES_PER_DEGREE


def stop_window(settings: Settings, place: Place, today: date) -> StopWindow | None:
    """The stop window that holds today or comes next; None where brood never stops and nothing is set.

    It ends six weeks after midwinter, when days lengthen and colonies build again (``calls.building_d``).
    """
    windows = [w for y in (-1, 0, 1) if (w := _window_of(settings, place, today.year + y))]
    return next((w for w in windows if today < w.until), None)


def _window_of(settings: Settings, place: Place, year: int) -> StopWindow | None:
    weeks = timedelta(days=round(7 * settings.patty_stop_weeks))
    south = place.latitude < 0
    if settings.patty_stop:
        stop, how, known = _on(settings.patty_stop, year), "the stop date you set", "set by the keeper"
    elif settings.last_brood:
        stop = _on(settings.last_brood, year) - weeks
        how, known = f"{settings.patty_stop_weeks:g} weeks before the usual last brood you set", "our assumption"
    else:
        latitude = effective_latitude(place)
        if latitude < _NO_WINTER_BELOW:
            return None
        beyond = min(latitude, _COLD_END) - _LAST_BROOD_AT
        last = date(year, 1, 1) + timedelta(days=round(_LAST_BROOD - _DAYS_PER_DEGREE * beyond) - 1)
        stop = last + (_HALF_YEAR if south else timedelta(0)) - weeks
        how = (
            f"{settings.patty_stop_weeks:g} weeks before a usual last brood derived from latitude and elevation "
            "(rule of thumb, give or take three weeks)"
        )
        known = "our assumption"
    return StopWindow(stop, _midwinter_after(stop, south) + _BUILDING, how, known)


def _on(text: str, year: int) -> date:
    found = month_day(text)
    if found is None:  # refused when the settings were made
        raise ValueError(f"'{text}' is not a month-day such as 09-05: correct the setting.")
    return date(year, *found)


def _midwinter_after(day: date, south: bool) -> date:
    month = 6 if south else 12
    this_year = date(day.year, month, 21)
    return this_year if this_year >= day else date(day.year + 1, month, 21)


def normal_mean_temp_c(latitude_deg: float, elevation_m: float, day: date) -> float:
    """Rough normal of the mean day temperature [deg C] from latitude and elevation alone.

    Zonal means and half ranges (textbook climatology, from memory) with 6.5 K per km; a
    fallback only, several degrees off inland and on coasts.
    """
    latitude = min(abs(latitude_deg), _ZONAL_LAT[-1])
    mean = float(np.interp(latitude, _ZONAL_LAT, _ZONAL_MEAN)) - _LAPSE_PER_M * elevation_m
    half = float(np.interp(latitude, _ZONAL_LAT, _ZONAL_HALF_RANGE))
    shifted = day - _HALF_YEAR if latitude_deg < 0 else day
    return mean + half * math.cos(2 * math.pi * (shifted.timetuple().tm_yday - _WARMEST_DAY) / 365.25)


def cluster_date(
    settings: Settings,
    place: Place,
    today: date,
    days: Sequence[tuple[date, float, float]] = (),
) -> ClusterDate:
    """The next day on which the smoothed mean day temperature falls below the cluster temperature.

    Args:
        days: weather days as (day, highest [deg C], lowest [deg C]); used when they cover at
            least 300 days of the year, averaged by day of year over all years given; fewer
            (from 45 on) only move the normal of latitude and elevation.
    """
    if settings.cluster_date:
        day = next(d for y in (0, 1) if (d := _on(settings.cluster_date, today.year + y)) >= today)
        # 120 days of winter after the date set: only used to say that the cluster has formed.
        clustered = (today - (day - timedelta(days=_YEAR_D))).days < _SET_WINTER_D
        return ClusterDate(day, "the date you set", "set by the keeper", clustered)
    curve = _weather_curve(days)
    if curve is not None:
        how, known = "mean day temperature in the weather given, smoothed over 31 days", "arithmetic"
    else:
        curve, how = _shifted_normal(place, days)
        known = "our assumption"
    warmest = int(np.argmax(curve))
    after = np.roll(curve, -warmest)
    cold = np.flatnonzero(after < settings.cluster_temp_c)
    if cold.size:
        index = (warmest + int(cold[0])) % _YEAR_D
    else:
        index = int(np.argmin(curve))
        how += f"; it never falls below {settings.cluster_temp_c:g} °C, so the coldest time of the year is taken"
    day = next(d for y in (0, 1, 2) if (d := date(today.year + y, 1, 1) + timedelta(days=index)) >= today)
    clustered = bool(curve[min(today.timetuple().tm_yday, _YEAR_D) - 1] < settings.cluster_temp_c)
    return ClusterDate(day, how, known, clustered)


def _weather_curve(days: Sequence[tuple[date, float, float]]) -> np.ndarray | None:
    total, count = np.zeros(_YEAR_D), np.zeros(_YEAR_D)
    for day, high, low in days:
        i = min(day.timetuple().tm_yday, _YEAR_D) - 1
        total[i] += 0.5 * (high + low)
        count[i] += 1
    if np.count_nonzero(count) < _CURVE_LEAST_D:
        return None
    # A circular running mean over 31 days, weighted by how often each day was seen.
    reach = np.arange(-_CURVE_SMOOTH_D, _CURVE_SMOOTH_D + 1)
    window = (np.arange(_YEAR_D)[:, None] + reach[None, :]) % _YEAR_D
    curve: np.ndarray = total[window].sum(axis=1) / np.maximum(count[window].sum(axis=1), 1)
    return curve


def _shifted_normal(place: Place, days: Sequence[tuple[date, float, float]]) -> tuple[np.ndarray, str]:
    """The normal of latitude and elevation, moved towards the weather of a part of the year if there is any.

    One summer cannot tell a warmer place from a place with a wider swing, so the excess is shared
    between mean and swing by ridge regression (``calls.curve_penalty_d``).
    """
    year = [date(2001, 1, 1) + timedelta(days=i) for i in range(_YEAR_D)]
    normal = np.array([normal_mean_temp_c(place.latitude, place.elevation_m, d) for d in year])
    how = "latitude and elevation alone (rule of thumb, give or take three weeks)"
    index = np.array([min(d.timetuple().tm_yday, _YEAR_D) - 1 for d, _, _ in days], dtype=int)
    if np.unique(index).size < _CURVE_PART_D:
        return normal, how
    swing = (normal - normal.mean()) / max(float(np.ptp(normal)) / 2, 1e-9)
    X = np.column_stack([np.ones(index.size), swing[index]])
    excess = np.array([0.5 * (high + low) for _, high, low in days]) - normal[index]
    shift, stretch = np.linalg.solve(X.T @ X + _CURVE_PENALTY_D * np.eye(2), X.T @ excess)
    moved: np.ndarray = normal + shift + stretch * swing
    how = f"latitude and elevation, moved towards {index.size} days of weather (rule of thumb, give or take two weeks)"
    return moved, how


def season_phase(place: Place, today: date, cluster: date | None, brood_cells: float | None) -> PhaseName:
    """Which phase of the mite table holds today.

    Growing from six weeks after midwinter to three weeks before midsummer, at its peak until
    four weeks after it, shrinking until the cluster forms, then resting (limits are our
    assumption; the table itself names no dates). Where brood is not known it is taken as
    present in the resting phase, whose level is the lower one.
    """
    shifted = today - _HALF_YEAR if place.latitude < 0 else today
    midsummer = date(shifted.year, 6, 21)
    resting: PhaseName = (
        "resting without brood" if brood_cells is not None and brood_cells < _BROODLESS_CELLS else "resting with brood"
    )
    if shifted < date(shifted.year - 1, 12, 21) + _BUILDING:
        return resting
    if shifted < midsummer - _GROWING_TO:
        return "growing"
    if shifted < midsummer + _PEAK_TO:
        return "peak"
    # The cluster date given is the next one: far away means that it has passed already.
    if cluster is not None and (cluster - today).days > _CLUSTER_FAR_D:
        return resting
    return "shrinking"
