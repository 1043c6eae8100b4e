"""Parameters as normal scores of their priors, where members can move without bounds."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from tideover.colony.elementary import exp, log
from tideover.colony.layout import PARAM_NAMES
from tideover.figures import book

Floats = NDArray[np.float64]
Index = NDArray[np.intp]


class Space:
    """Parameters as standard normal scores of their priors, where unbounded moves make sense."""

    def __init__(self) -> None:
        """Read the priors' shapes."""
        priors = [book().row(f"colony.{name}").prior() for name in PARAM_NAMES]
        self.log = np.array([p.dist == "lognormal" for p in priors])
        self.flat = np.array([p.dist == "uniform" for p in priors])
        centre = np.array([p.center for p in priors])
        self.centre = np.where(self.log, np.log(np.maximum(centre, 1e-12)), centre)
        self.spread = np.array([max(p.spread, 1e-12) for p in priors])
        # A lognormal number never stands at nought: a floor there is none.
        self.floor = np.array(
            [-np.inf if p.floor is None or (p.dist == "lognormal" and p.floor <= 0.0) else p.floor for p in priors]
        )
        self.ceiling = np.array([np.inf if p.ceiling is None else p.ceiling for p in priors])
        # Scores of the limits themselves.
        self._lowest, self._highest = (
            (np.log(a, out=a.copy(), where=self.log & (a > 0.0)) - self.centre) / self.spread
            for a in (self.floor, self.ceiling)
        )

    def scores(self, params: Floats, rng: np.random.Generator | None = None) -> Floats:
        """Normal scores of parameters, both of shape (members, PARAMS).

        What stands on a limit of its row stands for all that lies beyond it: its score is drawn from there, or left
        on the limit without ``rng``. So a share that is exactly nothing stays what it was when members move, instead
        of thinning out with every move.
        """
        z = np.array(params.T, order="C")
        self.to_scores(z, rng)
        return np.ascontiguousarray(z.T)

    def params(self, scores: Floats) -> Floats:
        """Parameters of normal scores, held within their rows' limits."""
        z = np.array(scores.T, order="C")
        self.to_params(z)
        return np.ascontiguousarray(z.T)

    def to_scores(self, z: Floats, rng: np.random.Generator | None = None) -> None:
        """``scores`` in place, one row a parameter, shape (PARAMS, members): rows lie together in memory."""
        at_limits = self._at_limits(z) if rng is not None else []
        for k in np.flatnonzero(self.log):
            log(np.maximum(z[k], 1e-12), out=z[k])
        z -= self.centre[:, None]
        z /= self.spread[:, None]
        for k in np.flatnonzero(self.flat):
            z[k] = ndtri(np.clip(0.5 * (z[k] + 1.0), 1e-4, 1.0 - 1e-4))
        for row, beyond, outward in at_limits:
            assert rng is not None
            limit = self._lowest[row] if outward > 0.0 else self._highest[row]
            share = rng.random(beyond.size) * ndtr(outward * limit)
            z[row, beyond] = outward * ndtri(np.maximum(share, 1e-300))

    def _at_limits(self, z: Floats) -> list[tuple[int, Index, float]]:
        """Which members stand on a limit of which row, and which way leads back inside; few rows have any."""
        low = np.flatnonzero((z.min(axis=1) <= self.floor) & ~self.flat)
        high = np.flatnonzero((z.max(axis=1) >= self.ceiling) & ~self.flat)
        return [(int(k), np.flatnonzero(z[k] <= self.floor[k]), 1.0) for k in low] + [
            (int(k), np.flatnonzero(z[k] >= self.ceiling[k]), -1.0) for k in high
        ]

    def to_params(self, z: Floats) -> None:
        """``params`` in place, one row a parameter, shape (PARAMS, members)."""
        for k in np.flatnonzero(self.flat):
            z[k] = 2.0 * ndtr(z[k]) - 1.0
        z *= self.spread[:, None]
        z += self.centre[:, None]
        for k in np.flatnonzero(self.log):
            exp(z[k], out=z[k])
        np.clip(z, self.floor[:, None], self.ceiling[:, None], out=z)


@cache
def space() -> Space:
    """The parameters' space, made once."""
    return Space()
