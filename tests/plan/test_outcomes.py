"""What each kind of plan does to a colony, by its sign, and the properties of choosing between them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.plan.test_choice import SETTINGS, ahead, colonies, made
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.plan.basis import Basis, Drawing
from tideover.plan.call import Runway
from tideover.plan.compare import Ahead, Outcome, outcome, runway
from tideover.plan.decide import choose, margin_bees
from tideover.plan.options import Option, options
from tideover.plan.wording import quantiles

PLANS = {o.name: o for o in options(patty_on=True, sugar_kg=8.0, can_move=True, look_days=7)}


def run_plan(action: str, e: object, a: Ahead, grams: float = 0.0, stay: int = 7) -> Outcome:
    """The outcome of the plan with an action (and, for feeding, these grams once)."""
    plan = next(o for o in PLANS.values() if o.action == action and (o.grams == grams or not grams))
    return outcome(plan, e, a, SETTINGS, stay_days=stay, stop_day=None)[0]  # type: ignore[arg-type]


def changed(e: object, **columns: float) -> Ensemble:
    """A copy with state columns set."""
    assert isinstance(e, Ensemble)
    c = e.copy()
    for name, v in columns.items():
        c.state[:, getattr(lay, name)] = v
    return c


def test_comparing_leaves_the_hive_as_it_was() -> None:
    """No plan changes the colony it is tried on."""
    e = colonies()
    assert isinstance(e, Ensemble)
    before = e.state.tobytes()
    for plan in PLANS.values():
        outcome(plan, e, replace(ahead(0.1, 30), moved=ahead(0.8, 30).weather), SETTINGS, stay_days=7, stop_day=None)
    assert e.state.tobytes() == before


def test_moving_to_a_better_yard_gives_more_bees() -> None:
    """A good flow instead of nothing gives more bees in nearly every future."""
    a = replace(ahead(0.03, 70), moved=ahead(0.9, 70).weather)
    e = colonies()
    stay, gone = run_plan("leave", e, a), run_plan("move the yard", e, a)
    assert np.mean(gone.bees > stay.bees) > 0.9


def test_sugar_saves_a_starving_colony_and_adds_honey() -> None:
    """With a kilogram of honey and no nectar, eight kilograms of sugar leave more bees and more honey."""
    e = colonies(honey_g=1_000.0)
    a = ahead(0.03, 40)
    none, fed = run_plan("leave", e, a), run_plan("give sugar", e, a)
    assert np.mean(fed.bees) > 1.2 * np.mean(none.bees)
    assert np.all(fed.honey_kg >= none.honey_kg - 1e-9)


def test_water_helps_in_heat_and_not_in_the_cool() -> None:
    """Water near by never costs bees at 42 C on average and changes nothing at 30 C."""
    e = colonies()
    hot, cool = ahead(0.3, 40, high=42.0), ahead(0.3, 40, high=30.0)
    assert np.mean(run_plan("give water", e, hot).bees) >= np.mean(run_plan("leave", e, hot).bees)
    np.testing.assert_array_equal(run_plan("give water", e, cool).bees, run_plan("leave", e, cool).bees)


def test_uniting_keeps_some_of_a_tiny_colony_and_never_less_than_none() -> None:
    """What a handful of bees adds to a strong hive is counted as bees, at least zero, at most what a hive can gain."""
    tiny = colonies(adults=1_500.0, eggs=200.0, open_larvae=300.0, capped=600.0)
    joined = run_plan("unite", tiny, ahead(0.2, 40))
    assert np.all(joined.bees >= 0.0)
    assert np.mean(joined.bees) > 0.0
    assert np.mean(joined.bees) < 15_000.0


def test_seeing_to_the_cause_saves_the_queenless_and_the_infested() -> None:
    """Without a queen, or with twelve mites per hundred, putting that right gives more bees than leaving alone."""
    a = ahead(0.4, 70)
    for sick in (changed(colonies(), QUEEN=-9999.0), changed(colonies(), MITES=12.0)):
        assert np.mean(run_plan("see to the cause first", sick, a).bees > run_plan("leave", sick, a).bees) > 0.8


def test_taking_off_stops_the_overstay() -> None:
    """A piece left on goes past its stay; taken off today it does not."""
    on = changed(colonies(), PATTY=400.0, PATTY_DAYS=6.0)
    a = ahead(0.9, 20)
    assert np.mean(run_plan("leave", on, a).overstay) > 0.0
    assert np.all(run_plan("take off", on, a).overstay == 0.0)


@pytest.mark.parametrize("days", [5, 30])
def test_a_piece_too_large_to_be_eaten_is_told_so(days: int) -> None:
    """Two pounds on two thousand bees are not eaten by the pull-by, however near the winter is."""
    tiny = colonies(adults=2_000.0, eggs=100.0, open_larvae=100.0, capped=300.0)
    two_pounds = max(o.grams for o in PLANS.values() if o.rhythm == "once")
    assert run_plan("lay on", tiny, ahead(0.05, days), two_pounds).eaten_by_pull_by < 0.05


def test_missed_visits_are_part_of_the_futures() -> None:
    """A weekly plan is laid on less often than planned when visits are missed, and not at all less when none is."""
    weekly = next(o for o in PLANS.values() if o.rhythm == "weekly" and o.action == "lay on")
    a, e = ahead(0.05, 50), colonies()
    planned = sum(g for _, g in weekly.visits(50, SETTINGS, 7, None))
    sure, often = (
        outcome(weekly, e, a, replace(SETTINGS, missed_visit=m), stay_days=7, stop_day=None)[0]
        for m in (0.0, 0.5)  # type: ignore[arg-type]
    )
    np.testing.assert_allclose(sure.laid_g, planned)
    # The first piece is laid on today; of the seven later ones half are missed.
    first = weekly.grams
    assert np.mean(often.laid_g) == pytest.approx(first + 0.5 * (planned - first), rel=0.1)


def test_splitting_the_run_at_the_pull_by_changes_nothing() -> None:
    """A plan of nothing but an empty visit gives the bees of leaving alone, member by member."""
    a, e = ahead(0.3, 40), colonies()
    nothing = Option("a crumb", "lay on", 1e-9)
    left = run_plan("leave", e, a)
    np.testing.assert_allclose(
        outcome(nothing, e, a, SETTINGS, stay_days=7, stop_day=None)[0].bees, left.bees, rtol=1e-6
    )  # type: ignore[arg-type]


# --- runway


@given(st.lists(st.integers(-1, 90), min_size=1, max_size=60), st.integers(1, 80), st.integers(0, 20))
def test_runway_probability_rises_with_the_horizon(days: list[int], horizon: int, more: int) -> None:
    """A longer horizon never lowers the chance, and a percentile is told exactly when that share lies within."""
    passage = np.array([d if d > 0 else -1 for d in days], dtype=float)
    short, long = runway(passage, horizon), runway(passage, horizon + more)
    assert short.p_within_horizon <= long.p_within_horizon
    assert short.p_within_horizon == np.mean((passage > 0) & (passage <= horizon))
    for r in (short, long):
        assert isinstance(r, Runway)
        known = [v for v in (r.low, r.median, r.high) if v is not None]
        assert known == sorted(known)
        assert all(0 <= v < r.horizon_days for v in known)
        if r.high is not None:
            assert r.low is not None
            assert r.median is not None
        assert (r.median is None) == (
            np.sort(np.where(passage > 0, passage, 1e9))[round(0.5 * (len(days) - 1))] > r.horizon_days
        )


def test_runway_of_days_certain() -> None:
    """Passage on the tenth day of every member: nine whole days are left (arithmetic)."""
    r = runway(np.full(40, 10.0))
    assert (r.low, r.median, r.high, r.p_within_horizon) == (9.0, 9.0, 9.0, 1.0)


# --- choosing


@pytest.mark.parametrize(
    ("means", "chosen"),
    [
        ((100.0, 101.0, 101.5, 101.9), 0),  # margin is 2: nothing pays
        ((100.0, 103.0, 103.5, 104.0), 1),  # the first step pays, no later one does
        ((100.0, 103.0, 106.0, 107.0), 2),
        ((100.0, 103.0, 106.0, 109.0), 3),
        ((100.0, 90.0, 95.0, 110.0), 3),  # poor steps are stepped over
        ((100.0, 90.0, 80.0, 70.0), 0),  # feeding harms
    ],
)
def test_choose_climbs_while_steps_pay(means: tuple[float, ...], chosen: int) -> None:
    """From leaving alone up, each step taken gains the margin of 2 % over the last one taken."""
    plans = [made(str(i), "lay on" if i else "leave", [m] * 30, 100.0 * i) for i, m in enumerate(means)]
    assert choose(plans, SETTINGS).best.option.name == str(chosen)


def test_sure_is_the_share_of_futures() -> None:
    """Feeding that gains in 80 of 100 futures is sure to 0.8; so is leaving where feeding gains in 20."""
    leave = made("leave", "leave", [1000.0] * 100)
    wins = made("a", "lay on", [1200.0] * 80 + [1000.0] * 20, 113.0)
    loses = made("b", "lay on", [1100.0] * 20 + [900.0] * 80, 113.0)
    won, lost = choose([leave, wins], SETTINGS), choose([leave, loses], SETTINGS)
    assert (won.best.option.name, won.sure) == ("a", pytest.approx(0.8))
    assert (lost.best.option.name, lost.sure) == ("leave", pytest.approx(0.8))


def test_margin_is_the_keepers_share_of_leaving() -> None:
    """Two in a hundred of the mean of leaving alone, and another share where the keeper sets one."""
    leave = made("leave", "leave", [900.0, 1100.0])
    assert margin_bees(leave, SETTINGS) == pytest.approx(20.0)
    assert margin_bees(leave, replace(SETTINGS, margin=0.1)) == pytest.approx(100.0)


def test_a_wider_margin_never_asks_for_more() -> None:
    """Raising the margin never leads to a plan of more effort."""
    plans = [made(str(i), "lay on" if i else "leave", [100.0 + 4.0 * i] * 30, 100.0 * i) for i in range(6)]
    efforts = [choose(plans, replace(SETTINGS, margin=m)).best.option.effort for m in (0.01, 0.03, 0.05, 0.1, 0.3)]
    assert efforts == sorted(efforts, reverse=True)


def test_gain_is_held_against_leaving_alone() -> None:
    """The gain per future is that of the plan called, or of the best feeding where leaving is called."""
    leave, feed = made("leave", "leave", [100.0] * 10), made("f", "lay on", [90.0] * 10, 113.0)
    c = choose([leave, feed], SETTINGS)
    np.testing.assert_allclose(c.gain, -10.0)
    assert c.runner_up is feed


def test_interval_is_numpys_quantile_to_the_last_bit() -> None:
    """The quick 10, 50 and 90 % points are those of ``numpy.quantile``, for few and many values and for ties."""
    rng = np.random.default_rng(1)
    for n in (1, 2, 3, 10, 37, 399, 600):
        for values in (np.exp(3.0 * rng.standard_normal(n)), rng.integers(0, 4, n).astype(float)):
            assert quantiles(values) == tuple(np.quantile(values, [0.1, 0.5, 0.9]).tolist())


@pytest.mark.parametrize("members", [2, 3, 11, 100, 300, 401, 600, 1000])
def test_runways_are_numpys_nearest_quantiles(members: int) -> None:
    """Low, median and high are what ``numpy.quantile`` gives by its method 'nearest', halves to the even rank."""
    rng = np.random.default_rng(members)
    for reached in (0.05, 0.5, 0.95, 1.0):
        passage = np.where(rng.random(members) < reached, rng.integers(1, 80, members), -1).astype(np.float64)
        days = np.where((passage > 0) & (passage <= 60), passage - 1.0, np.inf)
        told = runway(passage)
        for got, want in zip(
            (told.low, told.median, told.high), np.quantile(days, [0.1, 0.5, 0.9], method="nearest"), strict=True
        ):
            assert (np.inf if got is None else got) == want


def test_colonies_drawn_are_judged_as_if_they_were_the_hive() -> None:
    """A basis drawn from a ground holds, colony by colony, what the ground's own colonies and outcomes hold."""
    rng = np.random.default_rng(5)
    e = colonies()
    assert isinstance(e, Ensemble)
    n = e.members
    option = Option("a pound now", "lay on", 453.6)
    kept = np.arange(0, n, 2)
    eaten = (rng.random(kept.size) < 0.4).astype(np.float64)
    arrays = [rng.random(kept.size) for _ in range(6)]
    plan = Outcome(option, *arrays, 2, float(eaten.mean()), eaten)
    plain = Outcome(Option("leave alone", "leave"), *arrays, 0, 1.0)
    passage = rng.integers(-1, 60, (n, 3)).astype(np.float64)
    days = rng.random(n)
    base = Basis.of(e, passage, rng.random((n, 7)), rng.random((n, 7)), days, 60, [plain, plan])
    chosen = rng.integers(0, kept.size, 50)
    drawn = Drawing(base, kept).draw(chosen)
    some = e.take(kept[chosen])
    np.testing.assert_array_equal(drawn.total("adults"), some.adults())
    np.testing.assert_array_equal(drawn.total("honey_g"), some.state[:, lay.HONEY])
    np.testing.assert_array_equal(drawn.passage, passage[kept[chosen]].T)
    np.testing.assert_array_equal(drawn.honey_days, days[kept[chosen]])
    assert drawn.outcomes[1].eaten is not None
    np.testing.assert_array_equal(drawn.outcomes[1].eaten, eaten[chosen])
    assert drawn.outcomes[1].eaten_by_pull_by == pytest.approx(float(eaten[chosen].mean()))
    assert drawn.outcomes[0].eaten is None
    for name, a in zip(("bees", "emerged", "brood_lost", "honey_kg", "overstay", "laid_g"), arrays, strict=True):
        np.testing.assert_array_equal(getattr(drawn.outcomes[1], name), a[chosen])
