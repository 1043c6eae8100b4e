"""Parameters of the colony: priors and fixed figures read from the figures book."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from tideover.colony.layout import CONST_NAMES, PARAM_NAMES
from tideover.figures import book

Floats = NDArray[np.float64]


@cache
def _constants() -> tuple[float, ...]:
    shelf = book()
    return tuple(shelf.value(f"colony.{name}") for name in CONST_NAMES)


def constants() -> Floats:
    """Return the fixed figures in ``layout.CONST_NAMES`` order, shape (len(CONST_NAMES),)."""
    return np.array(_constants(), dtype=np.float64)


def draw(rng: np.random.Generator, members: int) -> Floats:
    """Draw static parameters for an ensemble from their priors.

    :param rng: generator; the same generator state gives the same parameters.
    :param members: number of members.
    :returns: array of shape (members, len(PARAM_NAMES)).
    """
    shelf = book()
    columns = [shelf.row(f"colony.{name}").prior().sample(rng, members) for name in PARAM_NAMES]
    return np.ascontiguousarray(np.stack(columns, axis=1), dtype=np.float64)


def central() -> Floats:
    """Return the prior medians as one row, shape (1, len(PARAM_NAMES))."""
    shelf = book()
    return np.array([[shelf.row(f"colony.{name}").value for name in PARAM_NAMES]], dtype=np.float64)
