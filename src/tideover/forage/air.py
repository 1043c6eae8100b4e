"""Water in the air by FAO-56: vapour pressure, deficit, pressure, wind at 2 m."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def saturation_kpa(temp_c: npt.ArrayLike) -> Floats:
    """Saturation vapour pressure e0(T) [kPa] (eq. 11)."""
    t = np.asarray(temp_c, dtype=np.float64)
    return np.asarray(0.6108 * np.exp(17.27 * t / (t + 237.3)))


def mean_saturation_kpa(temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike) -> Floats:
    """Daily es [kPa] (eq. 12): the mean of the ends, never e0 of the mean."""
    return np.asarray((saturation_kpa(temp_max_c) + saturation_kpa(temp_min_c)) / 2.0)


def actual_kpa_from_extremes(
    temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, rh_max_pct: npt.ArrayLike, rh_min_pct: npt.ArrayLike
) -> Floats:
    """Actual vapour pressure ea [kPa] from the day's humidity extremes [%] (eq. 17)."""
    hi, lo = np.asarray(rh_max_pct, dtype=np.float64), np.asarray(rh_min_pct, dtype=np.float64)
    return np.asarray((saturation_kpa(temp_min_c) * hi + saturation_kpa(temp_max_c) * lo) / 200.0)


def actual_kpa_from_mean(temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, rh_mean_pct: npt.ArrayLike) -> Floats:
    """Actual vapour pressure ea [kPa] from mean relative humidity [%] (eq. 19)."""
    return np.asarray(np.asarray(rh_mean_pct, dtype=np.float64) / 100.0 * mean_saturation_kpa(temp_max_c, temp_min_c))


def actual_kpa_from_min_temp(temp_min_c: npt.ArrayLike, dry_by_c: float = 2.0) -> Floats:
    """Actual vapour pressure ea [kPa] when humidity is unknown (eq. 48): dew point Tmin less 2-3 C in dry places."""
    return saturation_kpa(np.asarray(temp_min_c, dtype=np.float64) - dry_by_c)


def deficit_kpa(temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, ea_kpa: npt.ArrayLike) -> Floats:
    """Vapour pressure deficit es - ea [kPa], floored at zero."""
    es = mean_saturation_kpa(temp_max_c, temp_min_c)
    return np.asarray(np.maximum(0.0, es - np.asarray(ea_kpa, dtype=np.float64)))


def slope_kpa_per_c(temp_c: npt.ArrayLike) -> Floats:
    """Slope of the saturation curve [kPa/C] (eq. 13)."""
    t = np.asarray(temp_c, dtype=np.float64)
    return np.asarray(4098.0 * saturation_kpa(t) / (t + 237.3) ** 2)


def pressure_kpa(elevation_m: float) -> float:
    """Air pressure [kPa] at ``elevation_m`` (eq. 7)."""
    if not -500.0 <= elevation_m <= 6000.0:
        raise ValueError(f"elevation is {elevation_m} m, wanted -500 to 6000 m.")
    return float(101.3 * ((293.0 - 0.0065 * elevation_m) / 293.0) ** 5.26)


def psychrometric_kpa_per_c(elevation_m: float) -> float:
    """Psychrometric constant [kPa/C] (eq. 8)."""
    return 0.665e-3 * pressure_kpa(elevation_m)


def wind_at_2m(wind_ms: npt.ArrayLike, height_m: float = 10.0) -> Floats:
    """Wind speed at 2 m [m/s] from a measurement at ``height_m`` (eq. 47)."""
    return np.asarray(np.asarray(wind_ms, dtype=np.float64) * 4.87 / np.log(67.8 * height_m - 5.42))
