"""Growing degree days by the single sine (Baskerville & Emin 1969), the simple average and the four cases.

The single sine is the default of two extension services' phenology models (read named); the four cases are those of
the Irish and UK met services (read).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def single_sine(temp_max: npt.ArrayLike, temp_min: npt.ArrayLike, base: float, upper: float | None = None) -> Floats:
    """Degree days of each day above ``base``, with a horizontal cut-off at ``upper``; any one unit of temperature."""
    hi, lo = np.broadcast_arrays(np.asarray(temp_max, dtype=np.float64), np.asarray(temp_min, dtype=np.float64))
    above = _sine(hi, lo, base)
    return above if upper is None else np.asarray(above - _sine(hi, lo, upper))


def _sine(hi: Floats, lo: Floats, base: float) -> Floats:
    mean, half = (hi + lo) / 2.0, np.maximum((hi - lo) / 2.0, 1e-12)
    theta = np.arcsin(np.clip((base - mean) / half, -1.0, 1.0))
    part = ((mean - base) * (np.pi / 2.0 - theta) + half * np.cos(theta)) / np.pi
    return np.asarray(np.where(lo >= base, mean - base, np.where(hi <= base, 0.0, part)))


def simple(temp_max: npt.ArrayLike, temp_min: npt.ArrayLike, base: float) -> Floats:
    """Mean of high and low above ``base``, never negative."""
    mean = (np.asarray(temp_max, dtype=np.float64) + np.asarray(temp_min, dtype=np.float64)) / 2.0
    return np.asarray(np.maximum(0.0, mean - base))


def four_cases(temp_max: npt.ArrayLike, temp_min: npt.ArrayLike, base: float) -> Floats:
    """The met services' four cases."""
    hi, lo = np.asarray(temp_max, dtype=np.float64), np.asarray(temp_min, dtype=np.float64)
    mean = (hi + lo) / 2.0
    middle = np.where(mean > base, (hi - base) / 2.0 - (base - lo) / 4.0, (hi - base) / 4.0)
    return np.asarray(np.where(lo >= base, mean - base, np.where(hi <= base, 0.0, middle)))
