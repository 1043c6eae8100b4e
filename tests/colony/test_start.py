"""What a run starts from: parameters from their priors, colonies from totals, ensembles and drivers that fit."""

from __future__ import annotations

import re
from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.colony.establish import establish
from tideover.colony.parameters import central, constants, draw
from tideover.colony.weather import Feeding, Weather, light_term
from tideover.figures import book
from tideover.forage.sun import daylength_h

Floats = np.ndarray


def sky(days: int, rows: int = 1) -> Weather:
    """Plain days."""

    def flat(v: float) -> Floats:
        return np.full((rows, days), v)

    return Weather(flat(-1.0), flat(30.0), flat(18.0), flat(8.0), flat(6.0), np.full(days, 13.0), np.zeros(days))


# --- parameters


@pytest.mark.parametrize("name", lay.PARAM_NAMES)
def test_drawn_parameters_have_the_quantiles_of_their_row(name: str) -> None:
    """5, 50 and 95 % points of 40,000 draws stand where the row says, within four standard errors of a quantile
    (0.011 in probability at the median); draws stay inside the row's hard limits."""
    n = 40_000
    prior = book().row(f"colony.{name}").prior()
    x = draw(np.random.default_rng(8), n)[:, lay.P[name]]

    if prior.dist == "uniform":
        points = {0.05: prior.low + 0.05 * (prior.high - prior.low), 0.5: prior.median,
                  0.95: prior.low + 0.95 * (prior.high - prior.low)}  # fmt: skip
    else:
        points = {0.05: prior.low, 0.5: prior.median, 0.95: prior.high}
    for share, at in points.items():
        reach = 4.0 * np.sqrt(share * (1.0 - share) / n)
        assert (x < at - 1e-12).mean() <= share + reach, share
        assert (x <= at + 1e-12).mean() >= share - reach, share
    assert prior.floor is None or x.min() >= prior.floor
    assert prior.ceiling is None or x.max() <= prior.ceiling


def test_draws_depend_on_the_generator_alone() -> None:
    """The same generator state gives the same bytes, another seed other values in every column."""
    one, same, other = (draw(np.random.default_rng(s), 50) for s in (4, 4, 5))

    assert one.tobytes() == same.tobytes()
    assert not (one == other).all(axis=0).any()
    assert one.shape == (50, lay.PARAMS)


def test_each_parameter_and_constant_has_a_row_with_a_source() -> None:
    """No number of the model without a row of the book that names a source."""
    for name in (*lay.PARAM_NAMES, *lay.CONST_NAMES):
        assert book().row(f"colony.{name}").sources, name
    assert constants().shape == (len(lay.CONST_NAMES),)
    assert central().shape == (1, lay.PARAMS)


def test_constants_are_handed_out_as_copies() -> None:
    """Changing what one caller got changes nothing for the next."""
    mine = constants()
    mine[:] = 0.0

    assert constants().any()


# --- colonies from totals


@settings(max_examples=60, deadline=None)
@given(
    adults=st.floats(0.0, 80_000.0), eggs=st.floats(0.0, 6_000.0), larvae=st.floats(0.0, 14_000.0),
    capped=st.floats(0.0, 30_000.0), pollen=st.floats(0.0, 5_000.0), honey=st.floats(0.0, 80_000.0),
    jelly=st.floats(0.0, 1.0), flight=st.floats(0.0, 1.0),
)  # fmt: skip
def test_established_totals_are_those_asked_for(
    adults: float, eggs: float, larvae: float, capped: float, pollen: float, honey: float, jelly: float, flight: float
) -> None:
    """Bees, brood by stage and stores add up to what was asked, no age is negative, whatever the proportions."""
    e = establish(
        draw(np.random.default_rng(2), 20), adults=adults, eggs=eggs, open_larvae=larvae, capped=capped,
        pollen_g=pollen, honey_g=honey, jelly=jelly, flight=flight,
    )  # fmt: skip

    for got, wanted in (
        (e.adults(), adults), (e.eggs(), eggs), (e.open_larvae(), larvae), (e.capped(), capped),
        (e.state[:, lay.BREAD], pollen), (e.state[:, lay.HONEY], honey), (e.state[:, lay.JELLY], jelly),
    ):  # fmt: skip
        np.testing.assert_allclose(got, wanted, rtol=1e-9, atol=1e-6)
    assert (e.state[:, lay.HOUSE : lay.RESERVE] >= -1e-9).all()


def test_established_totals_may_differ_by_member() -> None:
    """Arrays give each member its own."""
    adults = np.array([5_000.0, 20_000.0, 40_000.0])
    e = establish(
        np.repeat(central(), 3, axis=0), adults=adults, eggs=adults / 10, open_larvae=adults / 5, capped=adults / 3,
        pollen_g=np.array([0.0, 1.0, 2.0]), honey_g=5_000.0,
    )  # fmt: skip

    np.testing.assert_allclose(e.adults(), adults)
    np.testing.assert_allclose(e.capped(), adults / 3)


# --- ensembles and drivers that fit


@pytest.mark.parametrize("members", [1, 10_001])
def test_ensembles_of_any_size_run(members: int) -> None:
    """One member and ten thousand and one; the first member does not depend on how many there are."""
    p = np.repeat(central(), members, axis=0)
    e = establish(
        p, adults=20_000.0, eggs=3_000.0, open_larvae=5_000.0, capped=9_000.0, pollen_g=500.0, honey_g=9_000.0
    )
    alone = e.take(np.array([0]))
    r = run(e, sky(20), seed=3, record=False)
    run(alone, sky(20), seed=3, record=False)

    assert r.ledger.shape == (members, lay.LEDGERS)
    assert r.out.size == 0
    assert np.isfinite(e.state).all()
    assert e.state[0].tobytes() == alone.state[0].tobytes()


def test_copy_and_take_are_independent() -> None:
    """What is done to a copy or a choice of members leaves the first alone."""
    p = draw(np.random.default_rng(1), 6)
    e = establish(p, adults=9_000.0, eggs=1.0, open_larvae=1.0, capped=1.0, pollen_g=1.0, honey_g=9_000.0)
    before = e.state.tobytes()
    some = e.take(np.array([5, 0, 0]))
    run(e.copy(), sky(5), seed=1)
    run(some, sky(5), seed=1)

    assert e.state.tobytes() == before
    assert some.members == 3
    assert (some.params[1] == some.params[2]).all()


def _short_sky() -> object:
    w = sky(5)
    return Weather(
        w.log_index[:, :4], w.temp_max_c, w.temp_min_c, w.flight_h, w.pollen_h, w.daylength_h, w.daylength_change_h
    )


def _flat_sky() -> object:
    w = sky(5)
    return Weather(
        w.log_index[0], w.temp_max_c, w.temp_min_c, w.flight_h, w.pollen_h, w.daylength_h, w.daylength_change_h
    )


@pytest.mark.parametrize(
    ("made", "says"),
    [
        (lambda: Ensemble(np.zeros((3, 5)), np.zeros((3, lay.PARAMS))), f"(3, 5); wanted (members, {lay.STATE})."),
        (lambda: Ensemble(np.zeros(lay.STATE), np.zeros((1, lay.PARAMS))), "wanted (members,"),
        (lambda: Ensemble(np.zeros((3, lay.STATE)), np.zeros((2, lay.PARAMS))), f"shape (2, {lay.PARAMS}); wanted (3,"),
        (_short_sky, "log_index has shape (1, 4); wanted (1 or members, 5)."),
        (_flat_sky, "log_index has shape (5,); wanted (1 or members, 5)."),
        (lambda: run(_five(), sky(5, rows=4), seed=1), "log_index has 4 rows; wanted 1 or 5, one per member."),
        (lambda: run(_five(), sky(5), Feeding.none(6), seed=1), "the feeding schedule has 6 days; wanted 5."),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused_in_a_sentence(made: Callable[[], object], says: str) -> None:
    """Shape errors say what was got and what was wanted."""
    with pytest.raises(ValueError, match=re.escape(says)):
        made()


def _five() -> Ensemble:
    return Ensemble(np.zeros((5, lay.STATE)), np.repeat(central(), 5, axis=0))


def test_weather_is_sliced_and_reordered_with_members() -> None:
    """Slices join to the whole; taking members reorders rows that are per member and leaves shared ones."""
    w = sky(6, rows=3)
    w.log_index[:] = np.arange(18.0).reshape(3, 6)

    assert (np.concatenate([w.slice(0, 2).log_index, w.slice(2, 6).log_index], axis=1) == w.log_index).all()
    assert w.slice(2, 6).days == 4
    assert (w.take(np.array([2, 0])).log_index == w.log_index[[2, 0]]).all()
    assert sky(6).take(np.array([0, 0, 0])).log_index.shape == (1, 6)


# --- light


def test_light_knows_no_month_only_days() -> None:
    """Half a year on and the other side of the equator, laying by day length is the same; it is less
    forty days before the winter solstice than forty days after (Avitabile 1978: brood small before, rising after)."""
    c, day = constants(), np.arange(1.0, 366.0)

    def light(latitude: float) -> Floats:
        h = daylength_h(latitude, day)
        return light_term(h, 0.5 * (daylength_h(latitude, day + 1.0) - daylength_h(latitude, day - 1.0)), c)

    north, south = light(42.0), light(-42.0)
    assert (north >= 0.0).all()
    assert (north <= 1.0 + 1e-12).all()
    assert abs(np.sort(north) - np.sort(south)).max() < 0.03
    # The same day length, 40 days before and after the solstice (day 355).
    assert north[354 - 40] < north[(354 + 40) % 365]
