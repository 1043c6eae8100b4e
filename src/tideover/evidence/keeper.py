"""A keeper's own way of counting: a tendency shared by all his or her looks at seams and combs.

Observers err each in their own direction, and mostly the same way every time (Hernandez et al. 2020
measure it and take it off afterwards). Within one hive's looks it cannot be told from how densely
bees sit, so it stays near its prior unless something else, such as a scale, speaks of it.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tideover.figures import book

Floats = NDArray[np.float64]


@cache
def count_log_sd() -> float:
    """Spread of keepers' log tendency: the row ``strength.keeper_count_log_sd``."""
    return book().value("strength.keeper_count_log_sd")


def count_prior(rng: np.random.Generator, members: int, keepers: int) -> Floats:
    """Draw tendencies, one per member and keeper: log of the number written over the number there."""
    return count_log_sd() * rng.standard_normal((members, keepers))
