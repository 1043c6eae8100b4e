"""A hive borrows its appetite from its yard: against the exact answer by enumeration, and at its limits."""

from __future__ import annotations

from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.patty.appetite import PRIOR, Appetite, moved, of_yard, seen_in


def test_nothing_learnt_gives_the_prior() -> None:
    """No fed hive, or hives whose posteriors are their priors: the prior, exactly."""
    for others in ([], [PRIOR, PRIOR]):
        got = of_yard(others)
        assert (got.mean, got.sd) == pytest.approx((PRIOR.mean, PRIOR.sd))


@given(st.lists(st.tuples(st.floats(0.5, 2.0), st.floats(0.1, 0.9)), min_size=1, max_size=4))
def test_same_as_enumeration(hives: list[tuple[float, float]]) -> None:
    """Bayes' rule on a fine grid of the yard's part gives the same mean and spread (general rule, no formula shared)."""
    others = [Appetite(PRIOR.mean + log(f), PRIOR.sd * s) for f, s in hives]
    got = of_yard(others)
    half = PRIOR.sd**2 / 2.0
    u = np.linspace(PRIOR.mean - 8 * PRIOR.sd, PRIOR.mean + 8 * PRIOR.sd, 20_001)
    weight = np.exp(-0.5 * (u - PRIOR.mean) ** 2 / half)
    for a in others:
        # a likelihood whose product with the prior N(m, s^2) of that hive is its posterior
        precision = 1 / a.sd**2 - 1 / PRIOR.sd**2
        at = (a.mean / a.sd**2 - PRIOR.mean / PRIOR.sd**2) / precision
        var = half + 1 / precision
        weight *= np.exp(-0.5 * (u - at) ** 2 / var)
    weight /= weight.sum()
    mean = float((weight * u).sum())
    var = float((weight * (u - mean) ** 2).sum()) + half
    assert got.mean == pytest.approx(mean, abs=1e-6)
    assert got.sd == pytest.approx(var**0.5, abs=1e-6)


def test_one_big_eater_moves_the_others_part_of_the_way() -> None:
    """A neighbour known to eat twice the usual moves the expectation up, by less than half of that, and narrows it."""
    got = of_yard([Appetite(PRIOR.mean + log(2.0), 0.05)])
    assert 1.0 < exp(got.mean - PRIOR.mean) < 2.0**0.5 + 0.01
    assert got.sd < PRIOR.sd


def test_many_neighbours_leave_the_hives_own_spread() -> None:
    """However many neighbours were seen, half the variance stays the hive's own."""
    got = of_yard([Appetite(PRIOR.mean, 0.01)] * 500)
    assert got.sd == pytest.approx(PRIOR.sd * 0.5**0.5, rel=0.01)


def test_moved_keeps_ranks_and_has_the_new_spread() -> None:
    """Draws of the prior become draws of the new appetite; who ate most still does."""
    rng = np.random.default_rng(7)
    draws = np.exp(PRIOR.mean + PRIOR.sd * rng.standard_normal(4000))
    to = Appetite(log(6.0), 0.25)
    out = moved(draws, to)
    assert np.array_equal(np.argsort(out), np.argsort(draws))
    assert seen_in(out).mean == pytest.approx(to.mean, abs=0.02)
    assert seen_in(out).sd == pytest.approx(to.sd, abs=0.02)
