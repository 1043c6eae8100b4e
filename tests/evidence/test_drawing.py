"""How far one step goes and whom it draws, against sums of plain weights."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.special import logsumexp

from tideover.evidence.moving import effective, families, power, systematic

seeds = st.integers(0, 2**32)


@settings(max_examples=60, deadline=None)
@given(seed=seeds, pairs=st.integers(1, 30), far=st.sampled_from([0.1, 3.0, 100.0, 1e6]), left=st.floats(0.01, 1.0))
def test_a_step_takes_as_much_of_the_look_as_half_of_the_members_bear(
    seed: int, pairs: int, far: float, left: float
) -> None:
    """Of equal weights: all that is left where half stay effective, else the most that keeps half to a part in 2^13 of
    it, or a fiftieth of it. Members that cannot be are no trouble; an odd number, of which they are never just half."""
    members = 2 * pairs + 1
    rng = np.random.default_rng(seed)
    loglik = -far * rng.exponential(size=members)
    loglik[1:][rng.random(members - 1) < 0.1] = -np.inf
    prior = np.full(members, 1.0 / members)

    def stays(p: float) -> float:
        """Share of members that stay effective: (sum w)^2 / sum w^2 (Kish 1965), by logs."""
        lw = p * loglik
        return float(np.exp(2.0 * logsumexp(lw) - logsumexp(2.0 * lw))) / members

    found = power(loglik, prior, left)
    assert 0.0 < found <= left
    if stays(left) >= 0.5 + 1e-9:
        assert found == left
    elif found > 0.02 * left:
        assert stays(found) >= 0.5 - 1e-9
        assert stays(found + left / 2**13) < 0.5
    else:
        assert found == 0.02 * left
        assert stays(0.02 * left + left / 2**13) < 0.5


@settings(max_examples=60, deadline=None)
@given(seed=seeds, members=st.integers(1, 50), n=st.integers(1, 200), few=st.booleans())
def test_systematic_drawing_walks_up_the_ladder_of_weights(seed: int, members: int, n: int, few: bool) -> None:
    """One draw, then n even steps: each takes the first member at which the weights so far reach it (Kitagawa 1996).
    A member of no weight is never taken, and no other random number is."""
    rng = np.random.default_rng(seed)
    weights = np.where(rng.random(members) < (0.7 if few else 0.1), 0.0, rng.exponential(size=members))
    weights[int(rng.integers(members))] += 1.0
    weights /= weights.sum()
    one, other = np.random.default_rng(seed), np.random.default_rng(seed)
    found = systematic(weights, n, one)
    start, so_far, expected = other.random(), 0.0, []
    steps = [(start + j) / n for j in range(n)]
    for i, weight in enumerate(weights):
        so_far += weight
        while len(expected) < n and (steps[len(expected)] <= so_far or i == members - 1):
            expected.append(i)
    np.testing.assert_array_equal(found, expected)
    assert np.all(weights[found] > 0.0)
    assert one.bit_generator.state == other.bit_generator.state
    shares = np.bincount(found, minlength=members) / n
    assert families(found) == pytest.approx(1.0 / float((shares**2).sum()))
    assert effective(7.0 * weights) == pytest.approx(1.0 / float((weights**2).sum()))
