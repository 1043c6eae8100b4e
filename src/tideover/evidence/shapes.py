"""Numbers of members as normal scores of the members' own law, and back: moves that keep its shape.

A kernel that keeps mean and covariance makes any law a little more like a normal one of the same spread. After a
look laws are peaked with long tails (what if one item was misread?), and a normal law of that spread is
too wide in its middle. Moved as normal scores, members keep what law each number has (a normal-score
transform, or Gaussian anamorphosis: Bertino, Evensen & Wackernagel 2003, Int Stat Rev 71:223-241, from memory).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Floats = NDArray[np.float64]

KNOTS: Final = np.concatenate([[-3.0, -2.6], 0.2 * np.arange(-11, 12), [2.6, 3.0]])
"""Normal scores at which the law is read; straight lines lead from one to the next."""
FARTHEST: Final = 5.0
"""Scores beyond this are taken for it: one member in three million."""
ALIKE: Final = 1e-9
"""Numbers that differ by less are all alike: there is no law to read."""


@lru_cache(maxsize=64)
def _knots(members: int) -> tuple[Floats, Floats]:
    """Scores that so many members can tell, and their places in the order of size, counted from nought."""
    last = float(ndtri(1.0 - 0.5 / members))
    told = KNOTS if last >= KNOTS[-1] else np.concatenate([[-last], KNOTS[np.abs(KNOTS) < last - 0.05], [last]])
    return told, np.clip(ndtr(told) * members - 0.5, 0.0, members - 1.0)


class Law:
    """The law of one number over members, read at ``KNOTS``.

    :param values: the number per member, shape (members,), at least two.
    """

    def __init__(self, values: Floats) -> None:
        """Read the law."""
        self.scores, places = _knots(values.size)
        ordered = np.sort(values)
        below = places.astype(np.intp)
        above = np.minimum(below + 1, values.size - 1)
        self.values = ordered[below] + (places - below) * (ordered[above] - ordered[below])
        steps = np.diff(self.values)
        self.flat = not self.values[-1] - self.values[0] > ALIKE
        self.lumped = bool((steps <= 0.0).any())
        self.slopes = (
            float(steps[0] / (self.scores[1] - self.scores[0])),
            float(steps[-1] / (self.scores[-1] - self.scores[-2])),
        )

    def to_normal(self, values: Floats) -> Floats:
        """Normal scores of numbers, shape (members,); those that many members share stand in the middle of theirs."""
        if self.flat:
            return values
        z = np.interp(values, self.values, self.scores)
        if self.lumped:
            # From above, a shared number is met at the lowest of its scores.
            z = 0.5 * (z - np.interp(-values, -self.values[::-1], -self.scores[::-1]))
        back = tuple(1.0 / s if s > 0.0 else 0.0 for s in self.slopes)
        return self._beyond(z, values, self.values, self.scores, back)

    def from_normal(self, scores: Floats) -> Floats:
        """Numbers of normal scores, shape (members,): straight on beyond the law's ends."""
        if self.flat:
            return scores
        z = np.clip(scores, -FARTHEST, FARTHEST)
        return self._beyond(np.interp(z, self.scores, self.values), z, self.scores, self.values, self.slopes)

    @staticmethod
    def _beyond(found: Floats, at: Floats, x: Floats, y: Floats, slopes: tuple[float, ...]) -> Floats:
        """Lead straight on beyond both ends, in place: few members stand there."""
        low, high = np.flatnonzero(at < x[0]), np.flatnonzero(at > x[-1])
        found[low] = y[0] + slopes[0] * (at[low] - x[0])
        found[high] = y[-1] + slopes[1] * (at[high] - x[-1])
        return found


def scored(z: Floats, rows: Sequence[int], who: NDArray[np.intp] | None) -> dict[int, Law]:
    """Put rows of ``z`` (quantities, members) as normal scores of those ``who`` count, in place; return their laws."""
    laws = {}
    for k in rows:
        own = z[k] if who is None else z[k, who]
        laws[k] = Law(own)
        z[k, slice(None) if who is None else who] = laws[k].to_normal(own)
    return laws


def unscored(z: Floats, laws: Mapping[int, Law], who: NDArray[np.intp] | None) -> None:
    """Put rows of normal scores back as they were counted, in place."""
    some = slice(None) if who is None else who
    for k, law in laws.items():
        z[k, some] = law.from_normal(z[k, some])
