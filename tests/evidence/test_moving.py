"""One move of members, and their laws as normal scores, against the same sums written out plainly (``plain``)."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tests.evidence.hives import colonies
from tests.evidence.plain import PARTS, PlainLaw, plain_move, plain_scores, plain_totals
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import PARAMS, P
from tideover.evidence.moving import LEAST_OF_A_KIND, MOST_GROWTH, MOVE, Gist, move
from tideover.evidence.shapes import Laws
from tideover.evidence.space import space

Floats = NDArray[np.float64]
seeds = st.integers(0, 2**32)


def hives(n: int, idle: int, empty: float, seed: int) -> Ensemble:
    """Unlike colonies, the first ``idle`` without a laying queen, a share of them without a crumb of some part."""
    rng = np.random.default_rng(seed)

    def some(middle: float) -> Floats:
        return np.where(rng.random(n) < empty, 0.0, middle * np.exp(0.6 * rng.standard_normal(n)))

    e = colonies(
        n, adults=20_000.0 * np.exp(0.4 * rng.standard_normal(n)), eggs=some(3_000.0), open_larvae=some(5_000.0),
        capped=some(9_000.0), pollen_g=some(500.0), honey_g=some(12_000.0), jelly=np.clip(rng.normal(0.8, 0.3, n), 0, 1),
        mites=rng.lognormal(0.0, 1.0, n),
    )  # fmt: skip
    e.state[:, lay.HIVE_DEV] = 0.3 * rng.standard_normal(n)
    e.state[rng.permutation(n)[:idle], lay.QUEEN] = 0.0
    return e


# --- laws


@settings(max_examples=40, deadline=None)
@given(
    seed=seeds,
    n=st.integers(2, 300),
    law=st.sampled_from(["normal", "long tails", "half at nought", "few values", "alike"]),
)
def test_scores_of_numbers_and_numbers_of_scores_are_those_of_plain_quantiles(seed: int, n: int, law: str) -> None:
    """Scores by ``numpy.quantile`` (Hazen's plotting positions) one member at a time, for members and for others."""
    rng = np.random.default_rng(seed)
    x = {
        "normal": rng.normal(3.0, 2.0, n),
        "long tails": rng.standard_t(1.5, n),
        "half at nought": np.where(rng.random(n) < 0.5, 0.0, rng.exponential(size=n)),
        "few values": rng.integers(0, 4, n).astype(float),
        "alike": np.full(n, 7.25),
    }[law]
    read, plain = Laws(np.stack([x, -x])), PlainLaw(x)
    others = np.concatenate([x, x[rng.integers(n, size=40)] + rng.normal(0.0, 1.0, 40), [x.min() - 9.0, x.max() + 9.0]])
    found = np.stack([others, -others])
    read.score(found)
    np.testing.assert_allclose(found[0], plain.score(others), rtol=1e-9, atol=1e-9)
    # what is turned about has its scores turned about
    np.testing.assert_allclose(found[1], -found[0] if plain.told else -others, rtol=1e-9, atol=1e-9)
    z = np.concatenate([rng.normal(0.0, 2.0, 60), [-9.0, -5.0, 0.0, 5.0, 9.0]])
    back = np.stack([z, z])
    read.unscore(back)
    np.testing.assert_allclose(back[0], plain.number(z), rtol=1e-9, atol=1e-9)


# --- one move


@settings(max_examples=30, deadline=None)
@given(
    seed=seeds,
    n=st.integers(LEAST_OF_A_KIND, 260),
    idle=st.sampled_from([0, 1, LEAST_OF_A_KIND - 1, LEAST_OF_A_KIND, 100, 10_000]),
    empty=st.sampled_from([0.0, 0.3]),
    width=st.sampled_from([0.1, MOVE, 0.9]),
    lost=st.sampled_from([0.0, 0.01, 0.7]),
    keepers=st.integers(0, 2),
)
def test_a_move_is_the_plain_sums(
    seed: int, n: int, idle: int, empty: float, width: float, lost: float, keepers: int
) -> None:
    """State, parameters and what moves beside, for any numbers of members with and without a laying queen, parts that
    some or all lack, and the same draws. The noise is told in single precision: five digits.
    """
    e = hives(n, idle, empty, seed)
    e.params[:, P["feed_value"]] = np.where(np.arange(n) % 9 == 0, 0.0, e.params[:, P["feed_value"]])
    beside = 0.1 * np.random.default_rng(seed + 1).standard_normal((n, keepers))
    before, beside_before = e.copy(), beside.copy()
    one, other = np.random.default_rng(seed), np.random.default_rng(seed)
    expected, expected_beside = plain_move(e, other, width, beside, lost, LEAST_OF_A_KIND, MOST_GROWTH)
    gist = Gist(e, beside)
    gist.move(one, width, lost=lost)
    made = gist.back(e)
    np.testing.assert_array_equal(e.state, before.state)
    np.testing.assert_array_equal(e.params, before.params)
    np.testing.assert_array_equal(beside, beside_before)
    assert one.bit_generator.state == other.bit_generator.state
    np.testing.assert_allclose(plain_totals(made.state), plain_totals(expected.state), rtol=1e-5, atol=1e-5)
    np.testing.assert_allclose(made.state, expected.state, rtol=1e-5, atol=1e-5)
    np.testing.assert_allclose(made.params, expected.params, rtol=1e-5, atol=1e-5)
    np.testing.assert_allclose(gist.beside.T, expected_beside, rtol=1e-5, atol=1e-5)
    # in place and by itself it is the same move
    move(e, np.random.default_rng(seed), width, beside=beside if keepers else None, lost=lost)
    np.testing.assert_array_equal(e.state, made.state)
    np.testing.assert_array_equal(e.params, made.params)
    np.testing.assert_array_equal(beside, gist.beside.T)


@settings(max_examples=15, deadline=None)
@given(seed=seeds, idle=st.sampled_from([0, 60, 150]), lost=st.sampled_from([0.0, 0.2]))
def test_means_and_spreads_of_scores_are_kept_to_the_letter(seed: int, idle: int, lost: float) -> None:
    """Of each kind's parameters mean and variance are as before to nine digits, the variance times 1 / (1 - lost) where
    it is given back. Parameters stand well within their limits, so that none is held there afterwards."""
    e = hives(300, idle, 0.0, seed)
    e.params[:] = space().params(0.35 * np.random.default_rng(seed).standard_normal((300, PARAMS)))
    laying = e.state[:, lay.QUEEN] > 0.5
    before = space().scores(e.params)
    gist = Gist(e)
    gist.move(np.random.default_rng(seed), lost=lost)
    after = space().scores(gist.back(e).params)
    free = np.arange(PARAMS) != P["feed_value"]  # its limits lie within the law
    for kind in (laying, ~laying):
        if not kind.any():
            continue
        was, is_now = before[kind][:, free], after[kind][:, free]
        np.testing.assert_allclose(is_now.mean(axis=0), was.mean(axis=0), atol=1e-9)
        np.testing.assert_allclose(is_now.var(axis=0), was.var(axis=0) / (1.0 - lost), rtol=1e-9)


@settings(max_examples=15, deadline=None)
@given(seed=seeds, n=st.integers(LEAST_OF_A_KIND, 200), idle=st.integers(0, 80))
def test_what_is_drawn_is_what_is_shown_and_put_back(seed: int, n: int, idle: int) -> None:
    """Drawn twice and moved between: totals shown are those of the members put back, made up as those they came from;
    queens and pieces go along unmoved."""
    e = hives(n, idle, 0.2, seed)
    rng = np.random.default_rng(seed)
    gist = Gist(e)
    first, second = rng.integers(n, size=2 * n), rng.integers(2 * n, size=n)
    gist.take(first)
    gist.move(rng)
    gist.take(second)
    np.testing.assert_array_equal(gist.origin, first[second])
    assert gist.members == n
    of, made, was = gist.totals(), gist.back(e), e.state[first[second]]
    totals, totals_was = plain_totals(made.state), plain_totals(was)
    shown = [of.eggs, of.open_larvae, of.capped, of.adults - of.foragers, of.foragers, of.bread_g, of.honey_g, of.mites]
    for k, (part, now) in enumerate(zip(PARTS.values(), shown, strict=True)):
        np.testing.assert_allclose(totals[:, k], now, rtol=1e-9, atol=1e-9)
        some = totals_was[:, k] > 0.0
        np.testing.assert_allclose(
            made.state[some][:, list(part)] / totals[some, k, None], was[some][:, list(part)] / totals_was[some, k, None],
            rtol=1e-9,
        )  # fmt: skip
    np.testing.assert_array_equal(of.queen, was[:, lay.QUEEN])
    np.testing.assert_array_equal(of.patty_g, was[:, lay.PATTY])
    np.testing.assert_array_equal(of.params, made.params.T)
    np.testing.assert_array_equal(of.jelly, made.state[:, lay.JELLY])
    np.testing.assert_array_equal(of.hive_dev, made.state[:, lay.HIVE_DEV])


@pytest.mark.parametrize("n", [1, 2, LEAST_OF_A_KIND - 1])
def test_too_few_to_tell_a_spread_by_stay_where_they_are(n: int) -> None:
    """Fewer than forty members: nothing moves but what is drawn anew from beyond a limit and held on it again."""
    e = hives(n, 0, 0.0, 3)
    made = Gist(e)
    made.move(np.random.default_rng(1))
    after = made.back(e)
    np.testing.assert_allclose(after.state, e.state, rtol=1e-9)
    np.testing.assert_allclose(after.params, e.params, rtol=1e-9, atol=1e-4)


@settings(max_examples=20, deadline=None)
@given(seed=seeds, n=st.integers(1, 60))
def test_scores_with_draws_are_the_plain_ones(seed: int, n: int) -> None:
    """Formulas of the priors one row at a time; limits are drawn row after row, lower ones first, by as many draws."""
    e = colonies(n)
    e.params[:, P["feed_value"]] = np.resize([0.0, 1.0, 0.3, 0.0], n)
    e.params[::2, P["mite_growth"]] = 0.0
    one, other = np.random.default_rng(seed), np.random.default_rng(seed)
    found, expected = space().scores(e.params, one), plain_scores(e.params, other)
    assert found.shape == (n, PARAMS)
    np.testing.assert_allclose(found, expected, rtol=1e-9, atol=1e-9)
    assert one.bit_generator.state == other.bit_generator.state
