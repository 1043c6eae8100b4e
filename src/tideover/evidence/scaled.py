"""Parts of the members' states multiplied as wholes, their inner make-up kept, in one compiled pass."""

# mypy: disable-error-code="untyped-decorator"
from __future__ import annotations

import numba as nb
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Index = NDArray[np.intp]


@nb.njit(cache=True, error_model="numpy")
def scale(state: Floats, first: Index, last: Index, times: Floats) -> None:  # pragma: no cover
    """Multiply the parts of each state, columns ``first`` to ``last`` (exclusive), in place.

    :param state: shape (members, STATE).
    :param times: shape (parts, members).
    """
    for i in range(state.shape[0]):
        for k in range(first.size):
            for j in range(first[k], last[k]):
                state[i, j] *= times[k, i]


@nb.njit(cache=True, error_model="numpy")
def put_together(
    state: Floats, first: Index, last: Index, origin: Index, was: Floats, is_now: Floats
) -> Floats:  # pragma: no cover
    """States of the members drawn, whose parts add up to what they are now.

    A part that was nothing stays nothing.

    :param state: of the members they were drawn from, shape (drawn from, STATE).
    :param origin: which of these each one is, shape (members,).
    :param was: totals of the parts of those drawn from, shape (parts, drawn from).
    :param is_now: totals now, shape (parts, members).
    :returns: shape (members, STATE).
    """
    made = np.empty((origin.size, state.shape[1]))
    for i in range(origin.size):
        come_from = origin[i]
        made[i] = state[come_from]
        for k in range(first.size):
            before = was[k, come_from]
            times = is_now[k, i] / before if before > 0.0 else 1.0
            for j in range(first[k], last[k]):
                made[i, j] *= times
    return made
