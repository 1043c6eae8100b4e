"""Numbers of members as normal scores of the members' own law, and back: moves that keep its shape.

A kernel that keeps mean and covariance makes any law a little more like a normal one of the same spread. After a
look laws are peaked with long tails (what if one item was misread?), and a normal law of that spread is
too wide in its middle. Moved as normal scores, members keep what law each number has (a normal-score
transform, or Gaussian anamorphosis: Bertino, Evensen & Wackernagel 2003, Int Stat Rev 71:223-241, from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from tideover.evidence.bends import bend

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

KNOTS: Final = np.concatenate([[-3.0, -2.6], 0.2 * np.arange(-11, 12), [2.6, 3.0]])
"""Normal scores at which the law is read; straight lines lead from one to the next."""
FARTHEST: Final = 5.0
"""Scores beyond this are taken for it: one member in three million."""
ALIKE: Final = 1e-9
"""Numbers that differ by less are all alike: there is no law to read."""


@lru_cache(maxsize=64)
def _knots(members: int) -> tuple[Floats, Index, Index, Floats]:
    """Scores that so many members can tell; the places in the order of size, counted from nought, that lie about
    each; and how far it lies from the lower of them.
    """
    last = float(ndtri(1.0 - 0.5 / members))
    told = KNOTS if last >= KNOTS[-1] else np.concatenate([[-last], KNOTS[np.abs(KNOTS) < last - 0.05], [last]])
    places = np.clip(ndtr(told) * members - 0.5, 0.0, members - 1.0)
    below = places.astype(np.intp)
    return told, below, np.minimum(below + 1, members - 1), places - below


class Laws:
    """The laws of several numbers over the same members, read at ``KNOTS``.

    :param values: a row a number, shape (numbers, members), at least two members.
    """

    def __init__(self, values: Floats) -> None:
        """Read the laws."""
        scores, below, above, beyond = _knots(values.shape[1])
        ordered = np.sort(values, axis=1)
        low = ordered[:, below]
        self._values = low + beyond * (ordered[:, above] - low)
        steps = np.diff(self._values)
        self._told = self._values[:, -1] - self._values[:, 0] > ALIKE
        self._lumped = (steps <= 0.0).any(axis=1) & self._told
        self._scores = np.tile(scores, (len(values), 1))
        self._slopes = steps[:, [0, -1]] / np.diff(scores)[[0, -1]]

    def score(self, values: Floats) -> None:
        """Put numbers, shape (numbers, members), as normal scores, in place.

        Those that many members share stand in the middle of theirs.
        """
        back = np.divide(1.0, self._slopes, out=np.zeros_like(self._slopes), where=self._slopes > 0.0)
        # From above, a shared number is met at the lowest of its scores.
        shared = np.flatnonzero(self._lumped)
        above = -values[shared]
        bend(values, self._values, self._scores, back, self._told, np.inf)
        if shared.size:
            x, y = (np.ascontiguousarray(-a[shared, ::-1]) for a in (self._values, self._scores))
            bend(above, x, y, back[shared, ::-1].copy(), self._told[shared], np.inf)
            values[shared] = 0.5 * (values[shared] - above)

    def unscore(self, scores: Floats) -> None:
        """Put normal scores back as numbers, in place: straight on beyond a law's ends."""
        bend(scores, self._scores, self._values, self._slopes, self._told, FARTHEST)


def scored(z: Floats, rows: Sequence[int], who: Index | None) -> Laws:
    """Put rows of ``z`` (quantities, members) as normal scores of those ``who`` count, in place; return their laws."""
    own = _own(z, rows, who)
    laws = Laws(own)
    laws.score(own)
    _put(z, rows, who, own)
    return laws


def unscored(z: Floats, laws: Laws, rows: Sequence[int], who: Index | None) -> None:
    """Put rows of normal scores back as they were counted, in place."""
    own = _own(z, rows, who)
    laws.unscore(own)
    _put(z, rows, who, own)


def _own(z: Floats, rows: Sequence[int], who: Index | None) -> Floats:
    some = np.take(z, rows, axis=0)
    return some if who is None else np.take(some, who, axis=1)


def _put(z: Floats, rows: Sequence[int], who: Index | None, own: Floats) -> None:
    for k, values in zip(rows, own, strict=True):
        z[k, slice(None) if who is None else who] = values
