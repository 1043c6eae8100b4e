"""Resampling, moving and wandering of members: what a particle filter does to them between and after looks.

Systematic resampling (Kitagawa 1996), kernel moves that keep mean and covariance (Liu & West 2001) of normal
scores and so the shape of each total's law (``shapes``), the return of the spread that a finite number of
families loses, and the model error between looks.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.elementary import exp
from tideover.colony.ensemble import Ensemble
from tideover.evidence.predict import Totals
from tideover.evidence.scaled import put_together, scale
from tideover.evidence.shapes import scored, unscored
from tideover.evidence.space import space
from tideover.figures import book, reader

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

MOVE: Final = 0.50
"""Width of the kernel relative to the ensemble's own spread. Of 0.3, 0.5 and 0.7 the one whose spreads after two or
three looks came nearest to those of many colonies weighted and never moved: narrower leaves families too alike, wider
loosens what the scores do not hold of how totals hang together."""
LEAST_OF_A_KIND: Final = 40
"""Fewer members of a kind than this stay where they are: their spread is not known well enough to move by."""
MOST_GROWTH: Final = 2.0
"""Most by which the variance is given back after one look, however few families are left."""
KEEP_EFFECTIVE: Final = 0.5
"""Share of members that every annealed step leaves effective."""

GROUPS: Final = (
    slice(lay.EGG, lay.LARVA),
    slice(lay.LARVA, lay.CAPPED),
    slice(lay.CAPPED, lay.QUALITY),
    slice(lay.HOUSE, lay.RESERVE),
    slice(lay.FORAGER, lay.FORAGER + 1),
    slice(lay.BREAD, lay.BREAD + 1),
    slice(lay.HONEY, lay.HONEY + 1),
    slice(lay.MITES, lay.MITES + 1),
)
"""Parts of the state that move as totals: their inner make-up stays."""


def _sums() -> Floats:
    made = np.zeros((lay.STATE, len(GROUPS)))
    for k, part in enumerate(GROUPS):
        made[part, k] = 1.0
    return made


_SUMS: Final = _sums()
_FIRST: Final = np.array([part.start for part in GROUPS], dtype=np.intp)
_LAST: Final = np.array([part.stop for part in GROUPS], dtype=np.intp)


def systematic(weights: Floats, n: int, rng: np.random.Generator) -> Index:
    """Choose ``n`` members so that each is taken floor or ceil of n times its weight (weights sum to one)."""
    ladder = np.cumsum(weights)
    ladder[-1] = 1.0
    return np.searchsorted(ladder, (rng.random() + np.arange(n)) / n).astype(np.intp)


def effective(weights: Floats) -> float:
    """Effective sample size of weights, which need not be normalised (Kish 1965; Kong, Liu & Wong 1994)."""
    return float(weights.sum() ** 2 / (weights * weights).sum())


def power(loglik: Floats, prior: Floats, left: float, keep: float = KEEP_EFFECTIVE) -> float:
    """Largest power of the likelihood, at most ``left``, that keeps a share of what the prior weights leave effective.

    :param loglik: log-likelihood per member.
    :param prior: weights before the look.
    :param left: what is left of the likelihood's power.
    :param keep: share of the effective members kept.
    """
    top = loglik - loglik.max()

    def after(p: float) -> float:
        return effective(prior * exp(p * top))

    wanted = keep * effective(prior)
    if after(left) >= wanted:
        return left
    low, high = 0.0, left
    for _ in range(14):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if after(mid) >= wanted else (low, mid)
    return max(low, 0.02 * left)


def families(ancestors: Index) -> float:
    """Effective number of families: one over the sum of squared shares of the ancestors."""
    counts = np.bincount(ancestors).astype(float)
    return effective(counts)


def _stir(
    z: Floats, noise: NDArray[np.float32], many: int, grow: float, width: float, mean: Floats | None = None
) -> None:
    """Shrink rows of ``z`` (quantities, members) towards their means and add noise of their covariance, in place.

    ``many`` members count; others that are in ``z`` stand at the ``mean`` and have no noise. Means and variances are
    kept to the letter, so that the luck of the noise does not let them wander from move to move.
    """
    if mean is None:
        mean = z.mean(axis=1, keepdims=True)
    z -= mean
    covariance = z @ z.T / (many - 1)
    root = np.linalg.cholesky(covariance + 1e-10 * np.eye(z.shape[0]))
    z *= float(np.sqrt(1.0 - width * width))
    z += (width * root).astype(np.float32) @ noise
    shift = z.sum(axis=1, keepdims=True) / many
    found = np.einsum("ij,ij->i", z, z) - many * shift[:, 0] ** 2
    wanted = (many - 1) * np.diagonal(covariance)
    times = grow * np.sqrt(np.divide(wanted, found, out=np.ones_like(wanted), where=found > 1e-12))[:, None]
    z *= times
    z += mean - times * shift


class Gist:
    """Members as a look sees them: totals, parameters and what else moves with them, a row each.

    Within a look members are drawn and moved several times, and all that changes are these rows: a total's inner
    make-up stays that of the member it came from. ``back`` puts it together again, once.

    :param e: members; left as they are until ``back``.
    :param beside: more numbers per member that move along, shape (members, k).
    """

    def __init__(self, e: Ensemble, beside: Floats | None = None) -> None:
        """Read the members' rows."""
        more = 0 if beside is None else beside.shape[1]
        g = len(GROUPS)
        self._moving = g + 2 + lay.PARAMS + more
        self._params = slice(g + 2, g + 2 + lay.PARAMS)
        self._rows = np.empty((self._moving + 2, e.members))
        np.matmul(_SUMS.T, e.state.T, out=self._rows[:g])
        for k, column in ((g, lay.HIVE_DEV), (g + 1, lay.JELLY), (-2, lay.QUEEN), (-1, lay.PATTY)):
            self._rows[k] = e.state[:, column]
        self._rows[self._params] = e.params.T
        if beside is not None:
            self._rows[self._params.stop : self._moving] = beside.T
        self._from = self._rows[:g]
        self.origin = np.arange(e.members, dtype=np.intp)
        """Which of the members first read each one came from."""

    @property
    def members(self) -> int:
        """Number of members."""
        return int(self._rows.shape[1])

    @property
    def beside(self) -> Floats:
        """What moves along, shape (k, members)."""
        return self._rows[self._params.stop : self._moving]

    def totals(self) -> Totals:
        """What can be seen of the members now."""
        eggs, larvae, capped, house, foragers, bread, honey, mites, dev, jelly = self._rows[: len(GROUPS) + 2]
        queen, patty = self._rows[-2:]
        return Totals(
            house + foragers, foragers, eggs, larvae, capped, bread, honey, mites, jelly, dev, queen, patty,
            self._rows[self._params],
        )  # fmt: skip

    def take(self, chosen: Index) -> None:
        """Keep the chosen members, in that order."""
        self._rows = np.take(self._rows, chosen, axis=1)
        self.origin = self.origin[chosen]

    def move(self, rng: np.random.Generator, width: float = MOVE, *, lost: float = 0.0) -> None:
        """Shrink towards the mean and add correlated kernel noise, keeping mean and covariance; see ``move``."""
        g = len(GROUPS)
        old = self._rows
        totals = old[:g]
        z = old[: self._moving].copy()
        # Totals that many members share are met again by their last digits: logs and powers of one library throughout.
        np.log(totals + 1.0, out=z[:g])
        space().to_scores(z[self._params], rng)
        noise = rng.standard_normal(z.shape, dtype=np.float32)
        grow = min(MOST_GROWTH, 1.0 / max(1e-9, 1.0 - lost)) ** 0.5
        laying = old[-2] > 0.5
        few, most = sorted((np.flatnonzero(laying), np.flatnonzero(~laying)), key=len)
        shaped = [*range(g + 2), *range(self._params.stop, self._moving)]
        apart = np.take(z, few, axis=1)
        if few.size >= LEAST_OF_A_KIND:
            laws = scored(apart, shaped, None)
            _stir(apart, np.take(noise, few, axis=1), few.size, grow, width)
            unscored(apart, laws, shaped, None)
        if most.size >= LEAST_OF_A_KIND:
            # The few stand at the mean of the most while these are moved where they lie, and add nothing to it.
            who = most if few.size else None
            laws = scored(z, shaped, who)
            noise[:, few] = 0.0
            z[:, few] = 0.0
            mean = z.sum(axis=1, keepdims=True) / most.size
            z[:, few] = mean
            _stir(z, noise, most.size, grow, width, mean)
            unscored(z, laws, shaped, who)
        z[:, few] = apart
        live = totals > 1.0
        target = np.maximum(np.exp(np.where(live, z[:g], 0.0)) - 1.0, 0.02 * totals)
        z[:g] = np.where(live, target, totals)
        np.clip(z[g + 1], 0.0, 1.0, out=z[g + 1])
        space().to_params(z[self._params])
        made = np.empty_like(old)
        made[: self._moving] = z
        made[self._moving :] = old[self._moving :]
        self._rows = made

    def back(self, e: Ensemble) -> Ensemble:
        """The members themselves, from the ensemble they were read of, which is left as it is."""
        g = len(GROUPS)
        state = put_together(e.state, _FIRST, _LAST, self.origin, self._from, self._rows[:g])
        state[:, lay.HIVE_DEV] = self._rows[g]
        state[:, lay.JELLY] = self._rows[g + 1]
        return Ensemble(state, np.ascontiguousarray(self._rows[self._params].T), e.piece)


def move(
    e: Ensemble, rng: np.random.Generator, width: float = MOVE, *, beside: Floats | None = None, lost: float = 0.0
) -> None:
    """Shrink towards the mean and add correlated kernel noise, keeping mean and covariance, in place.

    Totals move in logs, parameters as normal scores of their priors. A stage that holds next to nothing
    stays as it is. Colonies with and without a laying queen move among their own kind: brood and no brood
    are two clouds, and a kernel over both would smear one into the other.

    :param e: equally weighted members.
    :param rng: kernel noise.
    :param width: width of the kernel relative to the ensemble's own spread.
    :param beside: more numbers per member that move along, shape (members, k), changed in place.
    :param lost: share of the variance that resampling lost and that is given back: one over the number of
        families left, as the variance of K draws about their own mean is short by one part in K.
    """
    gist = Gist(e, beside)
    gist.move(rng, width, lost=lost)
    moved = gist.back(e)
    e.state[:], e.params[:] = moved.state, moved.params
    if beside is not None:
        beside[:] = gist.beside.T


DRIFT_D, DRIFT_SHARED = reader("looks")("drift_days"), reader("looks")("drift_shared")


@cache
def _drifts() -> tuple[float, float, float, float]:
    shelf = book()
    return (
        shelf.value("colony.drift_adults"),
        shelf.value("colony.drift_brood"),
        shelf.value("colony.drift_pollen"),
        shelf.value("colony.drift_honey"),
    )


def drift(e: Ensemble, days: int, rng: np.random.Generator) -> None:
    """Let totals wander by what the daily process is known to leave out, in place.

    Spreads are the ``colony.drift_*`` rows, growing with the square root of ``days``. Brood
    stages move together by half and each on its own by the rest.
    """
    adults, brood, pollen, honey = (v * np.sqrt(days / DRIFT_D) for v in _drifts())
    z = rng.standard_normal((e.members, 7))
    z = np.ascontiguousarray(z.T)
    steps = np.zeros((len(GROUPS), e.members))
    steps[:3] = brood * (DRIFT_SHARED * z[:1] + DRIFT_SHARED * z[1:4])
    steps[3:5] = adults * z[4]
    steps[5] = pollen * z[5]
    steps[6] = honey * z[6]
    scale(e.state, _FIRST, _LAST, exp(steps))
