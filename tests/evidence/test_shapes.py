"""Numbers as normal scores of their own law: there and back, and moves that keep the law's shape."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats
from scipy.special import ndtri

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.evidence.bends import bend
from tideover.evidence.moving import move
from tideover.evidence.shapes import FARTHEST, Laws


def scores(read: Laws, x: np.ndarray) -> np.ndarray:
    """Normal scores of one number over members, shape (members,)."""
    z = x[None].copy()
    read.score(z)
    return z[0]


def numbers(read: Laws, z: np.ndarray) -> np.ndarray:
    """Numbers of one row of scores, shape (members,)."""
    x = z[None].copy()
    read.unscore(x)
    return x[0]


@pytest.mark.parametrize("members", [2, 7, 40, 500, 4000])
@pytest.mark.parametrize("law", [stats.norm(), stats.lognorm(1.5), stats.uniform(), stats.t(2)])
def test_there_and_back_is_the_same_number(members: int, law: stats.rv_continuous) -> None:
    """Whatever the law and however few the members, a number's score leads back to it, but for one beyond all scores."""
    x = law.rvs(size=members, random_state=np.random.default_rng(members))
    read = Laws(x[None])
    z = scores(read, x)
    inside = np.abs(z) <= FARTHEST
    assert inside.mean() > 0.99
    np.testing.assert_allclose(numbers(read, z)[inside], x[inside], rtol=1e-9, atol=1e-12)
    assert np.all(np.diff(z[np.argsort(x)]) >= 0)


@pytest.mark.parametrize("law", [stats.lognorm(1.0), stats.expon(), stats.beta(0.7, 3.0)])
def test_scores_are_normal_and_those_of_ranks(law: stats.rv_continuous) -> None:
    """Scores of 4,000 draws have a standard normal law (Kolmogorov-Smirnov) and are those of ranks within 0.05.

    Scores of ranks: the normal quantile of (rank - 1/2) / n (Hazen 1914).
    """
    x = law.rvs(size=4000, random_state=np.random.default_rng(3))
    z = scores(Laws(x[None]), x)
    assert stats.kstest(z, "norm").statistic < 0.01
    other = ndtri((stats.rankdata(x) - 0.5) / x.size)
    middle = np.abs(other) < 2.2
    np.testing.assert_allclose(z[middle], other[middle], atol=0.05)


def test_numbers_that_many_share_stand_in_the_middle_of_their_scores() -> None:
    """Half of the members at nought: they stand at the middle of the lower half and go back to nought."""
    x = np.concatenate([np.zeros(2000), np.random.default_rng(1).exponential(size=2000)])
    read = Laws(x[None])
    z = scores(read, x)
    np.testing.assert_array_equal(z[:2000], z[0])
    assert -3.1 < z[0] < -0.1
    np.testing.assert_array_equal(numbers(read, z)[:2000], 0.0)


def test_numbers_all_alike_stay() -> None:
    """There is no law to read where all members agree."""
    x = np.full(100, 3.0)
    read = Laws(x[None])
    np.testing.assert_array_equal(numbers(read, scores(read, x)), x)


def test_moves_keep_a_peaked_law_with_long_tails() -> None:
    """Six moves leave the quantiles of a peaked law where they were (a kernel of its covariance would not).

    One member in ten has a spread five times the others': a normal law of the same spread is 1.7 times too wide at
    its quartiles. Bounds are three standard errors: of quantiles
    drawn afresh 1.7 and 5.5 % (sqrt(p (1 - p) / n) over the density), six moves of width 0.5 draw 1.6 times afresh.
    """
    n, rng = 8000, np.random.default_rng(2)
    log = np.where(rng.random(n) < 0.1, 0.5, 0.1) * rng.standard_normal(n)
    e: Ensemble = establish(
        draw(rng, n), adults=20_000.0, eggs=3_000.0, open_larvae=6_000.0, capped=12_000.0, pollen_g=500.0,
        honey_g=10_000.0 * np.exp(log),
    )  # fmt: skip

    def widths() -> np.ndarray:
        low, q1, q3, high = np.quantile(np.log(e.state[:, lay.HONEY]), [0.025, 0.25, 0.75, 0.975])
        return np.array([q3 - q1, high - low])

    before = widths()
    start = np.log(e.state[:, lay.HONEY])
    for _ in range(6):
        move(e, rng)
    np.testing.assert_array_less(np.abs(widths() / before - 1.0), [0.065, 0.21])
    assert abs(np.corrcoef(start, np.log(e.state[:, lay.HONEY]))[0, 1]) < 0.55


def test_bends_are_those_of_interp() -> None:
    """Within its knots a line leads where ``numpy.interp`` leads, to the byte; beyond, straight on at its slopes."""
    rng = np.random.default_rng(5)
    x, y = np.sort(rng.standard_normal((3, 9)), axis=1), np.sort(rng.standard_normal((3, 9)), axis=1)
    x[1, 4] = x[1, 3]
    of = 2.0 * rng.standard_normal((3, 500))
    of[:, :9] = x
    found, slopes = of.copy(), np.array([[1.0, 2.0], [0.5, 0.25], [3.0, 0.0]])
    bend(found, x, y, slopes, np.array([True, True, False]), 2.5)
    np.testing.assert_array_equal(found[2], of[2])
    for k in range(2):
        at = np.clip(of[k], -2.5, 2.5)
        inside = (at >= x[k, 0]) & (at <= x[k, -1])
        np.testing.assert_array_equal(found[k][inside], np.interp(at, x[k], y[k])[inside])
        low, high = at < x[k, 0], at > x[k, -1]
        assert low.any()
        assert high.any()
        np.testing.assert_array_equal(found[k][low], y[k, 0] + slopes[k, 0] * (at[low] - x[k, 0]))
        np.testing.assert_array_equal(found[k][high], y[k, -1] + slopes[k, 1] * (at[high] - x[k, -1]))
