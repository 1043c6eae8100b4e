"""Parameters as normal scores of their priors, held against the laws of the figures book as SciPy writes them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats
from scipy.special import ndtr, ndtri

from tideover.colony.layout import PARAM_NAMES, PARAMS, P
from tideover.colony.parameters import draw
from tideover.evidence.space import space
from tideover.figures import book

Floats = NDArray[np.float64]
members = st.integers(1, 40)
seeds = st.integers(0, 2**32)


def law(name: str) -> stats.rv_continuous:
    """A parameter's prior before its limits: a row's range holds 90 % of a normal or lognormal law, all of a flat one."""
    row = book().row(f"colony.{name}")
    low, high = float(row.low or 0.0), float(row.high or 0.0)
    if row.prior().dist == "uniform":
        return stats.uniform(low, high - low)
    wide = 2.0 * ndtri(0.95)
    if row.prior().dist == "normal":
        return stats.norm(row.value, (high - low) / wide)
    return stats.lognorm(np.log(high / low) / wide, scale=row.value)


def within(params: Floats) -> NDArray[np.bool_]:
    """Which numbers lie strictly between their rows' limits."""
    rows = [book().row(f"colony.{name}") for name in PARAM_NAMES]
    low = np.array([-np.inf if r.floor is None else r.floor for r in rows])
    high = np.array([np.inf if r.ceiling is None else r.ceiling for r in rows])
    return np.asarray((params > low) & (params < high))


def alike(found: Floats, expected: Floats) -> None:
    """The same parameters to twelve digits; a flat law's within the one in ten thousand that no score goes beyond."""
    flat = np.arange(PARAMS) == P["heat_laying"]
    np.testing.assert_allclose(found[:, ~flat], expected[:, ~flat], rtol=1e-12)
    np.testing.assert_allclose(found[:, flat], expected[:, flat], atol=1.001e-4 * 0.4)


@settings(max_examples=25, deadline=None)
@given(seed=seeds, n=members)
def test_a_score_is_as_rare_in_the_normal_law_as_its_number_in_the_prior(seed: int, n: int) -> None:
    """Phi(score) is the prior's distribution function (``scipy.stats``), both tails to nine digits."""
    p = draw(np.random.default_rng(seed), n)
    z = space().scores(p)
    for k, name in enumerate(PARAM_NAMES):
        inside = within(p)[:, k]
        x, score = p[inside, k], z[inside, k]
        if book().row(f"colony.{name}").prior().dist == "uniform":  # no score leads beyond one in ten thousand
            np.testing.assert_allclose(ndtr(score), np.clip(law(name).cdf(x), 1e-4, 1.0 - 1e-4), rtol=1e-9)
            continue
        np.testing.assert_allclose(ndtr(score), law(name).cdf(x), rtol=1e-9)
        np.testing.assert_allclose(ndtr(-score), law(name).sf(x), rtol=1e-9)


@settings(max_examples=25, deadline=None)
@given(seed=seeds, n=members, far=st.sampled_from([0.3, 1.0, 8.0, 40.0]))
def test_parameters_of_scores_are_the_prior_s_quantiles_held_within_limits(seed: int, n: int, far: float) -> None:
    """However far out scores lie: the quantile at Phi(score), or the limit it would pass; limits keep on all scores."""
    z = far * np.random.default_rng(seed).standard_normal((n, PARAMS))
    p = space().params(z)
    for k, name in enumerate(PARAM_NAMES):
        row = book().row(f"colony.{name}")
        # the upper half by its own tail, where a chance near one has no digits left
        plain = np.where(z[:, k] < 0.0, law(name).ppf(ndtr(z[:, k])), law(name).isf(ndtr(-z[:, k])))
        plain = np.clip(plain, row.floor, row.ceiling)
        seen = np.abs(z[:, k]) < 35.0  # beyond, a double holds no chance so small
        np.testing.assert_allclose(p[seen, k], plain[seen], rtol=1e-9, atol=1e-12)
        assert np.all(np.isfinite(p[:, k]))
        assert np.all(p[:, k] >= (-np.inf if row.floor is None else row.floor))
        assert np.all(p[:, k] <= (np.inf if row.ceiling is None else row.ceiling))


@settings(max_examples=25, deadline=None)
@given(seed=seeds, n=members, drawn=st.booleans())
def test_scores_lead_back_to_their_parameters(seed: int, n: int, drawn: bool) -> None:
    """There and back is the same number, on a limit too, whether or not what stands there was drawn from beyond it."""
    p = draw(np.random.default_rng(seed), n)
    p[:, P["feed_value"]] = np.resize([0.0, 1.0, 0.4], n)
    back = space().params(space().scores(p, np.random.default_rng(1) if drawn else None))
    alike(back, p)
    np.testing.assert_array_equal(back[:, P["feed_value"]] == 0.0, p[:, P["feed_value"]] == 0.0)
    np.testing.assert_array_equal(back[:, P["feed_value"]] == 1.0, p[:, P["feed_value"]] == 1.0)


def test_what_stands_on_a_limit_is_drawn_from_all_that_lies_beyond() -> None:
    """Scores of nought and of one have the normal law's tails beyond their limits (Kolmogorov-Smirnov); others stay."""
    n, k = 4_000, P["feed_value"]
    p = draw(np.random.default_rng(4), n)
    p[:, k] = np.resize([0.0, 1.0, 0.4], n)
    left, drawn = space().scores(p), space().scores(p, np.random.default_rng(5))
    nil, full = p[:, k] == 0.0, p[:, k] == 1.0
    prior = law("feed_value")
    beyond_nil, beyond_full = ndtr(drawn[nil, k]) / prior.cdf(0.0), ndtr(-drawn[full, k]) / prior.sf(1.0)
    for shares in (beyond_nil, beyond_full):
        assert shares.max() <= 1.0
        assert stats.kstest(shares, "uniform").pvalue > 1e-3
    np.testing.assert_array_equal(drawn[~(nil | full), k], left[~(nil | full), k])
    elsewhere = np.arange(PARAMS) != k
    np.testing.assert_array_equal(
        drawn[:, elsewhere][within(p)[:, elsewhere]], left[:, elsewhere][within(p)[:, elsewhere]]
    )


@pytest.mark.parametrize("n", [1, 2, 9])
@pytest.mark.parametrize("order", ["C", "F", "backwards"])
def test_what_was_given_is_left_as_it_was(n: int, order: str) -> None:
    """Scores and parameters are new arrays, however few members there are and however theirs lie in memory."""
    plain = draw(np.random.default_rng(7), n)
    given_ = plain[::-1].copy()[::-1] if order == "backwards" else np.array(plain, order=order)  # type: ignore[call-overload]
    given_.setflags(write=False)
    z = space().scores(given_, np.random.default_rng(1))
    np.testing.assert_array_equal(given_, plain)
    np.testing.assert_array_equal(z, space().scores(plain.copy(), np.random.default_rng(1)))
    scores = z[::-1].copy()[::-1] if order == "backwards" else np.array(z, order=order)  # type: ignore[call-overload]
    scores.setflags(write=False)
    p = space().params(scores)
    np.testing.assert_array_equal(scores, z)
    alike(p, plain)


def test_nothing_of_a_number_that_cannot_be_nothing_is_far_out_not_anywhere() -> None:
    """A lognormal law holds no nought: one put there stays next to nothing instead of being drawn from the whole law."""
    p = draw(np.random.default_rng(2), 50)
    p[:10, P["feed_harm"]] = 0.0
    z = space().scores(p, np.random.default_rng(3))
    assert np.all(z[:10, P["feed_harm"]] < -15.0)
    assert np.all(space().params(z)[:10, P["feed_harm"]] <= 1e-11)
