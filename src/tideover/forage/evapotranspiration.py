"""Reference evapotranspiration by FAO-56: Penman-Monteith, and Hargreaves when only temperatures are known."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.forage.air import (
    mean_saturation_kpa,
    psychrometric_kpa_per_c,
    slope_kpa_per_c,
)
from tideover.forage.sun import MM_PER_MJ_M2

Floats = npt.NDArray[np.float64]
STEFAN_BOLTZMANN_MJ: Final = 4.903e-9
DEFAULT_WIND_MS: Final = 2.0
"""Wind at 2 m when unknown (FAO-56 chapter 4)."""
KRS_INTERIOR: Final = 0.16
KRS_COAST: Final = 0.19


def _f(x: npt.ArrayLike) -> Floats:
    return np.asarray(x, dtype=np.float64)


def solar_from_sunshine_mj(ra_mj: npt.ArrayLike, sunshine_h: npt.ArrayLike, daylength_h: npt.ArrayLike) -> Floats:
    """Solar radiation Rs [MJ/m2/day] from hours of sunshine (eq. 35)."""
    return np.asarray((0.25 + 0.50 * _f(sunshine_h) / _f(daylength_h)) * _f(ra_mj))


def solar_from_temps_mj(
    ra_mj: npt.ArrayLike, temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, krs: float = KRS_INTERIOR
) -> Floats:
    """Solar radiation Rs [MJ/m2/day] from the daily temperature range (eq. 50)."""
    return np.asarray(krs * np.sqrt(np.maximum(0.0, _f(temp_max_c) - _f(temp_min_c))) * _f(ra_mj))


def clear_sky_mj(ra_mj: npt.ArrayLike, elevation_m: float) -> Floats:
    """Clear-sky radiation Rso [MJ/m2/day] (eq. 37)."""
    return np.asarray((0.75 + 2e-5 * elevation_m) * _f(ra_mj))


def net_longwave_mj(
    temp_max_c: npt.ArrayLike,
    temp_min_c: npt.ArrayLike,
    ea_kpa: npt.ArrayLike,
    rs_mj: npt.ArrayLike,
    rso_mj: npt.ArrayLike,
) -> Floats:
    """Net outgoing longwave radiation Rnl [MJ/m2/day] (eq. 39)."""
    hot, cold = _f(temp_max_c) + 273.16, _f(temp_min_c) + 273.16
    rso = _f(rso_mj)
    cloud = np.minimum(1.0, np.divide(_f(rs_mj), rso, out=np.ones_like(rso * _f(rs_mj)), where=rso > 0.0))
    return np.asarray(
        STEFAN_BOLTZMANN_MJ * (hot**4 + cold**4) / 2.0 * (0.34 - 0.14 * np.sqrt(_f(ea_kpa))) * (1.35 * cloud - 0.35)
    )


def penman_monteith_mm(
    temp_max_c: npt.ArrayLike,
    temp_min_c: npt.ArrayLike,
    ea_kpa: npt.ArrayLike,
    wind_2m_ms: npt.ArrayLike,
    rs_mj: npt.ArrayLike,
    ra_mj: npt.ArrayLike,
    elevation_m: float = 0.0,
    ground_mj: float = 0.0,
) -> Floats:
    """Reference evapotranspiration ET0 [mm/day] (eq. 6), floored at zero.

    ``ground_mj`` is soil heat [MJ/m2/day], zero for daily steps (eq. 42).
    """
    tmax, tmin = _f(temp_max_c), _f(temp_min_c)
    mean = (tmax + tmin) / 2.0
    slope = slope_kpa_per_c(mean)
    gamma = psychrometric_kpa_per_c(elevation_m)
    rs = _f(rs_mj)
    net = 0.77 * rs - net_longwave_mj(tmax, tmin, ea_kpa, rs, clear_sky_mj(ra_mj, elevation_m))
    u2 = _f(wind_2m_ms)
    deficit = mean_saturation_kpa(tmax, tmin) - _f(ea_kpa)
    top = 0.408 * slope * (net - ground_mj) + gamma * 900.0 / (mean + 273.0) * u2 * deficit
    return np.asarray(np.maximum(0.0, top / (slope + gamma * (1.0 + 0.34 * u2))))


def hargreaves_mm(temp_max_c: npt.ArrayLike, temp_min_c: npt.ArrayLike, ra_mj: npt.ArrayLike) -> Floats:
    """ET0 [mm/day] from temperatures alone (eq. 52), floored at zero; low in high wind, high in humid air."""
    tmax, tmin = _f(temp_max_c), _f(temp_min_c)
    span = np.sqrt(np.maximum(0.0, tmax - tmin))
    return np.asarray(np.maximum(0.0, 0.0023 * ((tmax + tmin) / 2.0 + 17.8) * span * MM_PER_MJ_M2 * _f(ra_mj)))
