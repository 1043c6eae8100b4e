"""Keetch-Byram drought: water missing from the upper soil, in millimetres from 0 to 203.2.

Keetch & Byram 1968 (USDA Forest Service Research Paper SE-38), with the constant corrected
by Alexander 1990 (8.30, not the 0.830 of the first printing). Order of a day: net rain comes
off first, then today's drying acts on what is left.
"""

from __future__ import annotations

from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book
from tideover.figures.units import F_AT_0_C, INCH_MM

Floats = npt.NDArray[np.float64]
_figure = book().value
DRIEST_MM: Final = _figure("forage.kbdi_max_mm")
INTERCEPTED_MM: Final = _figure("forage.kbdi_interception_mm")
"""The first 0.20 inch of a wet spell never counts."""
NO_DRYING_AT_OR_BELOW_C: Final = _figure("forage.kbdi_floor_c")
"""Operational floor: no drying when the day's high is 50 F or less."""
STAGE_MM: Final = INCH_MM
C1: Final = _figure("forage.kbdi_c1")
C2: Final = _figure("forage.kbdi_c2")
PER_F: Final = _figure("forage.kbdi_temp_f")
RAIN_D: Final = _figure("forage.kbdi_rain_d")
RAIN_E_PER_IN: Final = _figure("forage.kbdi_rain_e_in")
PER_C: Final = 0.0875
"""1.8 x 0.0486 as printed in the SI form (0.08748)."""


def drying_mm(
    drought_mm: npt.ArrayLike,
    temp_max_c: npt.ArrayLike,
    annual_rain_mm: npt.ArrayLike,
    rain_coefficient: float = RAIN_E_PER_IN / INCH_MM,
) -> Floats:
    """One day's drying [mm] (eq. 18 in SI), never negative."""
    q = np.asarray(drought_mm, dtype=np.float64)
    heat = C1 * np.exp(PER_C * np.asarray(temp_max_c, dtype=np.float64) + PER_F * F_AT_0_C) - C2
    cover = 1.0 + RAIN_D * np.exp(-rain_coefficient * np.asarray(annual_rain_mm, dtype=np.float64))
    return np.asarray(np.maximum(0.0, (DRIEST_MM - q) * heat * 1e-3 / cover))


def drying_us(drought: float, temp_max_f: float, annual_rain_in: float) -> float:
    """One day's drying in hundredths of an inch, for Fahrenheit and inches (eq. 18, corrected)."""
    heat = C1 * np.exp(PER_F * temp_max_f) - C2
    return float((800.0 - drought) * heat * 1e-3 / (1.0 + RAIN_D * np.exp(-RAIN_E_PER_IN * annual_rain_in)))


def net_rain_mm(
    spell_mm: npt.ArrayLike, rain_mm: npt.ArrayLike, intercepted_mm: float = INTERCEPTED_MM
) -> tuple[Floats, Floats]:
    """Rain that reaches the soil today, and the wet spell's running total [mm].

    A day without rain ends the spell. On the day the total first passes ``intercepted_mm``
    that much is lost once; afterwards every drop counts.
    """
    rain = np.asarray(rain_mm, dtype=np.float64)
    before = np.where(rain > 0.0, np.asarray(spell_mm, dtype=np.float64), 0.0)
    after = before + rain
    net = np.maximum(0.0, after - intercepted_mm) - np.maximum(0.0, before - intercepted_mm)
    return np.asarray(net), np.asarray(after)


def step_mm(
    drought_mm: npt.ArrayLike,
    spell_mm: npt.ArrayLike,
    rain_mm: npt.ArrayLike,
    temp_max_c: npt.ArrayLike,
    annual_rain_mm: npt.ArrayLike,
    *,
    cold_floor: bool = True,
    rain_coefficient: float = RAIN_E_PER_IN / INCH_MM,
) -> tuple[Floats, Floats]:
    """One day for one place or many at once: new drought [mm] and new wet-spell total [mm]."""
    net, spell = net_rain_mm(spell_mm, rain_mm)
    q = np.maximum(0.0, np.asarray(drought_mm, dtype=np.float64) - net)
    dry = drying_mm(q, temp_max_c, annual_rain_mm, rain_coefficient)
    if cold_floor:
        dry = np.where(np.asarray(temp_max_c) > NO_DRYING_AT_OR_BELOW_C, dry, 0.0)
    return np.asarray(np.minimum(DRIEST_MM, q + dry)), spell


def series_mm(
    rain_mm: npt.ArrayLike,
    temp_max_c: npt.ArrayLike,
    annual_rain_mm: float,
    start_mm: float = 0.0,
    *,
    cold_floor: bool = True,
    rain_coefficient: float = RAIN_E_PER_IN / INCH_MM,
) -> Floats:
    """Drought [mm] at the end of each day, starting from ``start_mm``.

    rain_coefficient: of yearly rain [1/mm]; some codes round 0.0441/25.4 to 0.001736 or 0.00173.
    """
    rain = np.atleast_1d(np.asarray(rain_mm, dtype=np.float64))
    tmax = np.atleast_1d(np.asarray(temp_max_c, dtype=np.float64))
    if rain.shape != tmax.shape:
        raise ValueError(f"rain has {rain.size} days and temperature {tmax.size}; give one of each per day.")
    if not 0.0 <= start_mm <= DRIEST_MM:
        raise ValueError(f"starting drought is {start_mm} mm, wanted 0 to {DRIEST_MM}; 0 is saturated soil.")
    out = np.empty(rain.size)
    q, spell = np.float64(start_mm), np.float64(0.0)
    for d in range(rain.size):
        new_q, new_spell = step_mm(
            q, spell, rain[d], tmax[d], annual_rain_mm, cold_floor=cold_floor, rain_coefficient=rain_coefficient
        )
        q, spell = np.float64(new_q), np.float64(new_spell)
        out[d] = q
    return out


def stage(drought_mm: float) -> int:
    """Stage 0 (saturated) to 7 (driest), eight steps of one inch."""
    return min(7, int(drought_mm // STAGE_MM))
