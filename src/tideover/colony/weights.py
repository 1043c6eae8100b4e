"""Fixed shapes over age: who nurses, who forages, what a larva eats by day.

The shapes are ours, drawn through published ages: nursing mainly at 3-13 days
(Seeley 1982; Crailsheim et al. 1992), first foraging at 14-23 days (Page & Peng 2001;
Winston & Katz 1982), larval growth 0.65, 4.7, 24.6, 95, 158 mg on days 1-5 (Stabe 1930).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony.layout import N_AGE

Floats = NDArray[np.float64]

LARVA_NEED: Final[Floats] = np.array([0.02, 0.05, 0.13, 0.25, 0.30, 0.25])
"""Share of a larva's protein given on each of its six days."""
LARVA_CONTENT: Final[Floats] = np.cumsum(LARVA_NEED)
"""Share of its protein a larva holds at the end of each day."""

_age = np.arange(N_AGE, dtype=np.float64)
NURSING: Final[Floats] = np.clip(np.minimum(0.2 + 0.3 * _age, 1.0 - 0.1 * (_age - 11.0)), 0.15, 1.0)
"""Share of a house bee's day given to nursing in ordinary need, by age."""
FORAGING: Final[Floats] = np.clip((_age - 6.0) / 12.0, 0.0, 1.0)
"""Readiness to turn forager, by age."""
UPKEEP: Final[Floats] = np.where(_age < 14.0, 1.0, 0.03)
"""Protein upkeep relative to a young bee, by age."""
FILLING: Final[Floats] = np.where(_age < 12.0, 1.0, 0.4)
"""Speed of filling the reserve relative to a young bee, by age."""
YOUNG: Final[Floats] = np.where(_age < 12.0, 1.0, 0.0)
"""Bees counted as young in the records."""
EATING: Final[Floats] = np.where(_age < 12.0, 1.0, 0.45)
"""Appetite for patty by age. Young bees eat most (Crailsheim et al. 1992 for pollen); a colony with
few of them still empties a piece, since older house bees take up nursing (common practice)."""
