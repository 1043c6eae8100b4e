"""The sums of moving members, written out one number after another in NumPy and SciPy: what fast ones are held to."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import PARAM_NAMES
from tideover.evidence.shapes import ALIKE, FARTHEST, KNOTS
from tideover.figures import book

Floats = NDArray[np.float64]

PARTS = {
    "eggs": range(lay.EGG, lay.LARVA),
    "larvae": range(lay.LARVA, lay.CAPPED),
    "capped": range(lay.CAPPED, lay.QUALITY),
    "house": range(lay.HOUSE, lay.RESERVE),
    "foragers": [lay.FORAGER],
    "bread": [lay.BREAD],
    "honey": [lay.HONEY],
    "mites": [lay.MITES],
}
"""Columns of the state that are added up to a total, in the order totals are moved."""


class PlainLaw:
    """The law of one number over members: its quantiles at normal scores, straight lines between and beyond."""

    def __init__(self, x: Floats) -> None:
        # The outermost members stand at half a member from the end; knots that crowd them are left out.
        last = min(float(ndtri(1.0 - 0.5 / x.size)), 3.0)
        inner = [k for k in KNOTS if abs(k) < (last - 0.05 if last < 3.0 else 3.0)]
        self.scores = np.array([-last, *inner, last])
        self.values = np.quantile(x, ndtr(self.scores), method="hazen")
        self.told = bool(self.values[-1] - self.values[0] > ALIKE)

    def score(self, x: Floats) -> Floats:
        """Where a number stands; one that many members share, in the middle of theirs."""
        if not self.told:
            return x.copy()
        v, s = self.values, self.scores
        return np.array(
            [0.5 * (self._along(a, v, s, "left", np.inf) + self._along(a, v, s, "right", np.inf)) for a in x]
        )

    def number(self, z: Floats) -> Floats:
        """The number at a score, none farther out than ``FARTHEST``."""
        if not self.told:
            return z.copy()
        return np.array([self._along(a, self.scores, self.values, "right", FARTHEST) for a in z])

    @staticmethod
    def _along(at: float, x: Floats, y: Floats, side: str, most: float) -> float:
        at = min(max(at, -most), most)
        here = np.flatnonzero(x == at)
        if here.size:  # on knots: the line is met at the first coming from the left, at the last from the right
            return float(y[here[0] if side == "left" else here[-1]])
        low = min(max(int(np.searchsorted(x, at)) - 1, 0), x.size - 2)
        run, rise = x[low + 1] - x[low], y[low + 1] - y[low]
        corner = low if at < x[-1] else low + 1
        return float(y[corner] + (rise / run if run > 0.0 else 0.0) * (at - x[corner]))


def plain_scores(params: Floats, rng: np.random.Generator) -> Floats:
    """Normal scores of parameters, shape (members, PARAMS): what stands on a limit is drawn from beyond it.

    Draws are made row after row, of all lower limits first.
    """
    rows = [book().row(f"colony.{name}") for name in PARAM_NAMES]
    priors = [r.prior() for r in rows]
    z = np.empty_like(params)
    for k, p in enumerate(priors):
        x = params[:, k]
        if p.dist == "lognormal":
            z[:, k] = (np.log(x) - np.log(p.center)) / p.spread
        elif p.dist == "normal":
            z[:, k] = (x - p.center) / p.spread
        else:
            z[:, k] = ndtri(np.clip(0.5 + 0.5 * (x - p.center) / p.spread, 1e-4, 1.0 - 1e-4))
    for lower in (True, False):
        for k, p in enumerate(priors):
            limit = p.floor if lower else p.ceiling
            if limit is None or p.dist == "uniform":
                continue
            on = params[:, k] <= limit if lower else params[:, k] >= limit
            if on.any():
                at = (np.log(limit) - np.log(p.center) if p.dist == "lognormal" else limit - p.center) / p.spread
                share = rng.random(int(on.sum()))
                z[on, k] = ndtri(share * ndtr(at)) if lower else -ndtri(share * ndtr(-at))
    return z


def plain_params(z: Floats) -> Floats:
    """Parameters of normal scores, shape (members, PARAMS), held within limits."""
    out = np.empty_like(z)
    for k, name in enumerate(PARAM_NAMES):
        p = book().row(f"colony.{name}").prior()
        if p.dist == "lognormal":
            x = p.center * np.exp(p.spread * z[:, k])
        elif p.dist == "normal":
            x = p.center + p.spread * z[:, k]
        else:
            x = p.center + p.spread * (2.0 * ndtr(z[:, k]) - 1.0)
        out[:, k] = np.clip(x, p.floor, p.ceiling)
    return out


def plain_totals(state: Floats) -> Floats:
    """Totals of the parts, shape (members, parts)."""
    return np.stack([state[:, list(part)].sum(axis=1) for part in PARTS.values()], axis=1)


def plain_kernel(z: Floats, noise: Floats, width: float, grow: float) -> Floats:
    """Members (members, numbers) drawn to their mean by sqrt(1 - width^2), with noise of ``width`` of their covariance
    (Liu & West 2001); mean and ``grow`` times the spread of each number are then met exactly.
    """
    mean = z.mean(axis=0)
    covariance = np.atleast_2d(np.cov(z.T))
    # so little on the diagonal lets numbers that are all alike, or the same twice, be factored
    root = np.linalg.cholesky(covariance + 1e-10 * np.eye(z.shape[1]))
    moved = mean + np.sqrt(1.0 - width**2) * (z - mean) + width * noise @ root.T
    moved -= moved.mean(axis=0)
    spread, wanted = moved.std(axis=0, ddof=1), grow * np.sqrt(np.diagonal(covariance))
    return np.asarray(mean + moved * np.where(spread > 0.0, wanted / np.maximum(spread, 1e-300), 1.0))


def plain_move(
    e: Ensemble, rng: np.random.Generator, width: float, beside: Floats, lost: float, least: int, most_growth: float
) -> tuple[Ensemble, Floats]:
    """Members and what moves beside them (members, k) after one move; those given are left as they are.

    :param least: fewer members than this with, or without, a laying queen stay where they are.
    """
    totals = plain_totals(e.state)
    scores = plain_scores(e.params, rng)
    z = np.column_stack([np.log(totals + 1.0), e.state[:, [lay.HIVE_DEV, lay.JELLY]], scores, beside])
    noise = rng.standard_normal(z.T.shape, dtype=np.float32).T.astype(float)
    own_law = [*range(len(PARTS) + 2), *range(z.shape[1] - beside.shape[1], z.shape[1])]
    grow = np.sqrt(min(most_growth, 1.0 / (1.0 - lost)))
    laying = e.state[:, lay.QUEEN] > 0.5
    for kind in (laying, ~laying):
        if kind.sum() < least:
            continue
        own = z[kind]
        laws = {k: PlainLaw(own[:, k]) for k in own_law}
        for k, law in laws.items():
            own[:, k] = law.score(own[:, k])
        own = plain_kernel(own, noise[kind], width, grow)
        for k, law in laws.items():
            own[:, k] = law.number(own[:, k])
        z[kind] = own
    made = e.copy()
    for k, part in enumerate(PARTS.values()):
        was = totals[:, k]
        # next to nothing stays; no total falls to less than a fiftieth at once
        now = np.where(was > 1.0, np.maximum(np.exp(z[:, k]) - 1.0, 0.02 * was), was)
        for column in part:
            made.state[:, column] *= np.where(was > 0.0, now / np.where(was > 0.0, was, 1.0), 1.0)
    g = len(PARTS)
    made.state[:, lay.HIVE_DEV] = z[:, g]
    made.state[:, lay.JELLY] = np.clip(z[:, g + 1], 0.0, 1.0)
    made.params[:] = plain_params(z[:, g + 2 : g + 2 + lay.PARAMS])
    return made, z[:, g + 2 + lay.PARAMS :]
