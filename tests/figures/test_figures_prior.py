"""Priors sampled give back the quantiles their rows state."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from tideover.figures import FigureError, Prior, Row, book


def row(**fields: object) -> Row:
    """A row with just what a prior needs."""
    given = {"key": "x.y", "says": "x", "sources": ("s",), "known": "read", "confidence": "high", "unit": "d"}
    return Row(**{**given, **fields})  # type: ignore[arg-type]


def within_band(draws: np.ndarray, p: float, expected: float, density: float) -> bool:
    """Whether the sample quantile lies within five standard errors of the expected one."""
    error = np.sqrt(p * (1 - p) / draws.size) / density
    return bool(abs(np.quantile(draws, p) - expected) < 5 * error)


@pytest.mark.parametrize("p", [0.05, 0.25, 0.5, 0.75, 0.95])
def test_sample_normal_follows_scipy(p: float) -> None:
    """Quantiles of draws agree with scipy.stats.norm through the stated 5 % and 95 % points."""
    prior = row(value=10.0, low=7.0, high=13.0, dist="normal").prior()
    known = stats.norm(10.0, 3.0 / stats.norm.ppf(0.95))
    draws = prior.sample(np.random.default_rng(1), 40_000)
    assert within_band(draws, p, known.ppf(p), known.pdf(known.ppf(p)))


@pytest.mark.parametrize("p", [0.05, 0.25, 0.5, 0.75, 0.95])
def test_sample_lognormal_follows_scipy(p: float) -> None:
    """Quantiles of draws agree with scipy.stats.lognorm: median the value, spread from low and high."""
    prior = row(value=4.0, low=2.0, high=8.0, dist="lognormal").prior()
    known = stats.lognorm(np.log(4.0) / (2 * stats.norm.ppf(0.95)), scale=4.0)
    draws = prior.sample(np.random.default_rng(2), 40_000)
    assert within_band(draws, p, known.ppf(p), known.pdf(known.ppf(p)))
    assert known.ppf(0.05) == pytest.approx(2.0)


@pytest.mark.parametrize("p", [0.05, 0.5, 0.95])
def test_sample_uniform_follows_scipy(p: float) -> None:
    """Draws fill low to high evenly, and never leave it."""
    prior = row(value=3.0, low=1.0, high=7.0, dist="uniform").prior()
    known = stats.uniform(1.0, 6.0)
    draws = prior.sample(np.random.default_rng(3), 40_000)
    assert within_band(draws, p, known.ppf(p), 1 / 6)
    assert draws.min() >= 1.0
    assert draws.max() <= 7.0


def test_prior_points_are_the_distributions_own() -> None:
    """low, median and high are the 5, 50 and 95 % points that scipy gives."""
    prior = row(value=0.14, low=0.09, high=0.22, dist="lognormal").prior()
    known = stats.lognorm(prior.spread, scale=0.14)
    assert (prior.low, prior.median, prior.high) == pytest.approx(tuple(known.ppf([0.05, 0.5, 0.95])))


def test_sample_clips_at_hard_limits() -> None:
    """Nothing is drawn outside min and max, and what lay outside sits on the limit."""
    prior = row(value=0.5, low=0.0, high=1.0, dist="normal", floor=0.0, ceiling=0.9).prior()
    draws = prior.sample(np.random.default_rng(4), 20_000)
    assert draws.min() == 0.0
    assert draws.max() == 0.9
    assert np.mean(draws == 0.0) == pytest.approx(0.05, abs=0.008)
    assert prior.high == 0.9


def test_sample_repeats_from_the_same_generator_state() -> None:
    """The same seed gives the same draws; there is no hidden state."""
    prior = row(value=4.0, low=2.0, high=8.0, dist="lognormal").prior()
    one, two = (prior.sample(np.random.default_rng(7), 100) for _ in range(2))
    assert np.array_equal(one, two)
    assert one.shape == (100,)
    assert one.dtype == np.float64


def test_prior_without_shape_is_fixed() -> None:
    """A row with no shape has no spread, whatever range it shows; a bare range is uniform."""
    assert np.all(row(value=3.0, low=1.0, high=9.0).prior().sample(np.random.default_rng(0), 5) == 3.0)
    assert row(low=1.0, high=9.0).prior() == Prior("uniform", 5.0, 4.0)
    with pytest.raises(FigureError, match="is words"):
        row(text="a rule").prior()


@pytest.mark.parametrize("fault", [("gamma", 1.0, 1.0), ("normal", 1.0, -1.0), ("lognormal", 0.0, 1.0)])
def test_prior_refuses_what_cannot_be_drawn(fault: tuple[str, float, float]) -> None:
    """Impossible distributions are refused when made, and so is a negative count."""
    with pytest.raises(ValueError):
        Prior(*fault)
    with pytest.raises(ValueError, match="0 or more"):
        Prior("fixed", 1.0).sample(np.random.default_rng(0), -1)


def test_every_prior_in_the_book_can_be_drawn() -> None:
    """Each row with a shape draws finite values inside its hard limits, near its median."""
    rng = np.random.default_rng(5)
    rows = [r for r in book().rows() if r.dist]
    assert len(rows) > 60
    for r in rows:
        draws = r.prior().sample(rng, 400)
        assert np.isfinite(draws).all(), r.key
        assert r.floor is None or draws.min() >= r.floor, r.key
        assert r.ceiling is None or draws.max() <= r.ceiling, r.key
        assert r.prior().low <= np.median(draws) <= r.prior().high, r.key
