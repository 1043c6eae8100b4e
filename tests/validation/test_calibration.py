"""The filter against truths drawn from the model itself: do its intervals hold what they say?

Simulation-based calibration (Talts et al. 2018, arXiv:1804.06788): where truth and looks come from
what the filter supposes, the rank of the truth among the members is uniform.
"""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from benchmarks.calibration import LEVELS, coverage, standings
from benchmarks.simulated import KINDS, QUANTITIES, another, as_written, draw_look, simulate, sky, standing, walk_of
from tideover.colony import layout as lay
from tideover.evidence.beginning import starting
from tideover.evidence.likelihood import look_items, together, weigh
from tideover.evidence.predict import Shown
from tideover.evidence.seen import Seen, Value
from tideover.evidence.walk import tare_kg

SEASONS = 300
MEMBERS = 500
"""Fewer members than a hive is answered with (600): what is lacking at 500 is lacking there too."""


@pytest.fixture(scope="module")
def ranks() -> NDArray[np.float64]:
    """Standings of the truth in 300 seasons, shape (seasons, quantities)."""
    return standings(range(SEASONS), MEMBERS)


@pytest.mark.slow
@pytest.mark.parametrize("quantity", QUANTITIES)
def test_intervals_hold_what_they_say(ranks: NDArray[np.float64], quantity: str) -> None:
    """Central 50, 80 and 95 % intervals hold that share of truths, within three standard errors."""
    u = ranks[:, QUANTITIES.index(quantity)]
    for level in LEVELS:
        error = np.sqrt(level * (1 - level) / SEASONS)
        assert coverage(u, level) == pytest.approx(level, abs=3 * error), f"{level:.0%} of {quantity}"


@pytest.mark.slow
def test_there_is_no_bias(ranks: NDArray[np.float64]) -> None:
    """The mean rank of the truth is one half, within three standard errors (1/sqrt(12 n))."""
    np.testing.assert_allclose(ranks.mean(axis=0), 0.5, atol=3 / np.sqrt(12 * SEASONS))


def test_standing_of_a_draw_from_the_members_is_uniform() -> None:
    """Where truth and members come from one law, ties included, standings are uniform: mean 1/2, variance 1/12."""
    rng = np.random.default_rng(4)
    u = np.array([standing(*(lambda z: (z[1:], z[0]))(rng.integers(0, 6, 41).astype(float)), rng) for _ in range(4000)])
    assert u.mean() == pytest.approx(0.5, abs=4 / np.sqrt(12 * 4000))
    assert u.var() == pytest.approx(1 / 12, rel=0.06)


@pytest.mark.parametrize("kind", list(KINDS))
def test_drawn_looks_have_the_likelihood_as_their_law(kind: str) -> None:
    """The mean of L(other) / L(true) over looks drawn at the true colony is one: looks follow the filter's likelihood.

    This identity (the likelihood ratio has mean one under the truth) holds for any second colony only if
    looks are drawn from the very law they are weighed with. The other colony is a little off, so that
    the ratio's own spread stays small.
    """
    rng = np.random.default_rng(11)
    season = simulate(5, most_looks=1)
    day = season.today
    e = starting(np.random.default_rng(2), 1, sky(0), day)
    w = walk_of(season.case, sky(0), e, day, rng, 1)
    blank = Seen("a", "look", day, 10.0, {})
    now, hours = w.show(blank)
    other = e.copy()
    other.state[:, lay.EGG : lay.CAPPED] *= 1.04
    other.state[:, lay.HOUSE : lay.RESERVE] *= 1.03
    other.state[:, lay.BREAD] *= 1.1
    other.state[:, lay.HONEY] *= 1.03
    other.state[:, lay.JELLY] = np.clip(other.state[:, lay.JELLY] - 0.02, 0, 1)
    beside = walk_of(season.case, sky(0), other, day, rng, 1)
    beside.known.count_log = w.known.count_log.copy()
    there, _ = beside.show(blank)
    # The hive a look may be of by mistake is one and the same for both.
    third = another(w, blank)
    tare = tare_kg(season.case)

    def log_of(s: Shown, values: dict[str, Value]) -> float:
        nowhere = together(look_items(third, values, tare_kg=tare, pollen_hours=hours))
        items = look_items(s, values, tare_kg=tare, pollen_hours=hours)
        return float(weigh(items, np.ones(1), confirmed=False, elsewhere=nowhere).loglik[0])

    ratios = []
    for _ in range(250):
        values = draw_look(now, KINDS[kind], rng, tare=tare, pollen_hours=hours, other=third)
        ratios.append(np.exp(log_of(there, values) - log_of(now, values)))
    r = np.array(ratios)
    assert r.mean() == pytest.approx(1.0, abs=4 * r.std() / np.sqrt(r.size))


def test_a_look_as_written_is_in_halves_and_never_below_nothing() -> None:
    """What a keeper writes is rounded to halves, quarters lie between none and eight, words stay."""
    out = as_written({"seams": -0.4, "brood_combs": 3.3, "capped_quarters": 9.2, "heft": "fair", "jelly_dry": 3.0})
    assert out == {"seams": 0.0, "brood_combs": 3.5, "capped_quarters": 8.0, "heft": "fair", "jelly_dry": 3.0}


def test_a_season_is_the_same_for_the_same_seed() -> None:
    """Everything in a simulated season follows from its seed."""
    a, b = simulate(12), simulate(12)
    assert a.case == b.case
    np.testing.assert_array_equal(a.truth.state, b.truth.state)
