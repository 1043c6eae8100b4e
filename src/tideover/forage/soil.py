"""Soil water under pasture as a bucket (FAO-56 chapter 8, equations 82-85)."""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book

Floats = npt.NDArray[np.float64]
AVAILABLE_MM: Final = book().value("forage.taw_default_mm")
"""Total available water of a pasture root zone [mm] (our assumption between Tables 19 and 22)."""
P_TABLE: Final = book().value("forage.depletion_p")
"""Share of it taken without stress, grazing pasture (Table 22)."""
CROP_FACTOR: Final = book().value("forage.kc_pasture")
"""Extensive grazing pasture, mid season (Table 12); no value exists for a wild meadow."""


def total_available_mm(water_m3_m3: float, root_depth_m: float) -> float:
    """TAW [mm] (eq. 82)."""
    return 1000.0 * water_m3_m3 * root_depth_m


def readily_available_mm(total_mm: float, p: float) -> float:
    """RAW [mm] (eq. 83)."""
    return p * total_mm


def depletion_share(p_table: float, etc_mm: npt.ArrayLike) -> Floats:
    """p adjusted to the day's evaporation [mm] (Table 22 note), within 0.1-0.8."""
    return np.asarray(np.clip(p_table + 0.04 * (5.0 - np.asarray(etc_mm, dtype=np.float64)), 0.1, 0.8))


def stress(depletion_mm: npt.ArrayLike, p: npt.ArrayLike, total_mm: float = AVAILABLE_MM) -> Floats:
    """Water stress Ks (eq. 84): 1 without stress, 0 at the wilting point."""
    share = np.asarray(p, dtype=np.float64)
    left = total_mm - np.asarray(depletion_mm, dtype=np.float64)
    return np.asarray(np.clip(left / ((1.0 - share) * total_mm), 0.0, 1.0))


def step(
    depletion_mm: npt.ArrayLike,
    rain_mm: npt.ArrayLike,
    et0_mm: npt.ArrayLike,
    total_mm: float = AVAILABLE_MM,
    p_table: float = P_TABLE,
    crop_factor: float = CROP_FACTOR,
    ignore_small_rain: bool = False,
) -> tuple[Floats, Floats]:
    """One day, rain first: (Ks, depletion [mm] at the day's end) for one place or many at once."""
    et0 = np.asarray(et0_mm, dtype=np.float64)
    rain = np.asarray(rain_mm, dtype=np.float64)
    if ignore_small_rain:
        rain = np.where(rain < 0.2 * et0, 0.0, rain)
    wet = np.maximum(0.0, np.asarray(depletion_mm, dtype=np.float64) - rain)
    etc = crop_factor * et0
    ks = stress(wet, depletion_share(p_table, etc), total_mm)
    return ks, np.asarray(np.clip(wet + ks * etc, 0.0, total_mm))
