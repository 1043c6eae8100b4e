"""Rows of numbers led along lines made of straight pieces, one line a row, in one compiled pass.

The sums are those of ``numpy.interp``, so that what comes out is the same to the byte.
"""

# mypy: disable-error-code="untyped-decorator"
from __future__ import annotations

import numba as nb
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@nb.njit(cache=True, error_model="numpy")
def bend(
    of: Floats, x: Floats, y: Floats, ends: Floats, told: NDArray[np.bool_], most: float
) -> None:  # pragma: no cover
    """Put each row of ``of`` (rows, members) where its line leads, in place.

    ``x`` and ``y`` (rows, knots) hold the lines' knots, ``x`` in rising order; where several stand at one place the
    last counts. ``ends`` (rows, 2) are the slopes before the first knot and after the last. Rows that are not ``told``
    stay; numbers farther from nought than ``most`` are taken for it.
    """
    members, knots = of.shape[1], x.shape[1]
    at = np.empty(members, np.int64)
    slope = np.zeros(knots)
    for row in range(of.shape[0]):
        if not told[row]:
            continue
        values, xs, ys = of[row], x[row], y[row]
        first, last = xs[0], xs[knots - 1]
        for i in range(members):
            values[i] = min(max(values[i], -most), most)
            at[i] = 0
        # Counting the knots passed takes a few steps more than halving, but many members a step.
        for k in range(1, knots):
            slope[k - 1] = (ys[k] - ys[k - 1]) / (xs[k] - xs[k - 1])
            for i in range(members):
                at[i] += values[i] >= xs[k]
        for i in range(members):
            v, k = values[i], at[i]
            if v < first:
                values[i] = ys[0] + ends[row, 0] * (v - first)
            elif v > last:
                values[i] = ys[knots - 1] + ends[row, 1] * (v - last)
            else:
                values[i] = slope[k] * (v - xs[k]) + ys[k]
