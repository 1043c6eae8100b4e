"""The growing-season index: minimum temperature x dryness of the air x day length, each a ramp from 0 to 1.

Jolly, Nemani & Running 2005 (Glob. Change Biol. 11:619-632).
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]


def ramp(x: npt.ArrayLike, none_at: float, full_at: float) -> Floats:
    """0 at ``none_at``, 1 at ``full_at``, straight between; falls when ``full_at`` is below ``none_at``."""
    return np.asarray(np.clip((np.asarray(x, dtype=np.float64) - none_at) / (full_at - none_at), 0.0, 1.0))


def growing_season(temp_min_c: npt.ArrayLike, deficit_kpa: npt.ArrayLike, daylength_h: npt.ArrayLike) -> Floats:
    """One day's index, 0-1 (unsmoothed): Tmin -2 to 5 C, deficit 4.1 down to 0.9 kPa, day 10 to 11 h."""
    return np.asarray(ramp(temp_min_c, -2.0, 5.0) * ramp(deficit_kpa, 4.1, 0.9) * ramp(daylength_h, 10.0, 11.0))
