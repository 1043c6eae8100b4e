"""Plans and the choice between them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.colony.establish import establish
from tideover.colony.layout import P
from tideover.colony.parameters import draw
from tideover.colony.weather import Weather
from tideover.patty.piece import QUARTER_POUND_G
from tideover.plan.compare import Ahead, Outcome, first_of, outcome, runway
from tideover.plan.decide import choose
from tideover.plan.options import Option, options
from tideover.plan.settings import Settings

SETTINGS = Settings()


def made(name: str, action: str, bees: list[float], grams: float = 0.0, eaten: float = 1.0) -> Outcome:
    """An invented outcome."""
    b = np.array(bees, dtype=np.float64)
    option = Option(name, action, grams)  # type: ignore[arg-type]
    return Outcome(option, b, b, b * 0, b * 0 + 10.0, b * 0, b * 0 + grams, 1, eaten)


@given(
    days=st.integers(8, 200), stay=st.integers(1, 14), first=st.integers(0, 10), stop=st.none() | st.integers(1, 120),
    rhythm=st.sampled_from(["once", "weekly", "every other week"]), grams=st.floats(1.0, 1_000.0),
)  # fmt: skip
def test_no_plan_leaves_a_piece_past_its_stay(
    days: int, stay: int, first: int, stop: int | None, rhythm: str, grams: float
) -> None:
    """After every laying on there is a visit within the stay, or the plan's days end first."""
    option = Option("x", "lay on", grams, rhythm, first)  # type: ignore[arg-type]
    visits = option.visits(days, SETTINGS, stay, stop)
    at = [d for d, _ in visits]

    assert at == sorted(set(at))
    for d, g in visits:
        if g > 0:
            assert any(d < e <= d + stay for e in at) or d + stay >= days


def test_leave_wins_when_nothing_is_gained() -> None:
    """Equal futures: leave, and sure of it."""
    c = choose([made("leave", "leave", [1000] * 50), made("a", "lay on", [1000] * 50, 113.0)], SETTINGS)

    assert c.best.option.action == "leave"
    assert c.sure == 1.0
    assert not c.toss_up


def test_least_intervention_that_is_not_beaten_by_the_margin() -> None:
    """Two pounds give one bee in a thousand more than a quarter: the quarter is called."""
    leave, quarter = made("leave", "leave", [1000] * 50), made("q", "lay on", [1200] * 50, QUARTER_POUND_G)
    c = choose([leave, quarter, made("two", "lay on", [1201] * 50, 8 * QUARTER_POUND_G)], SETTINGS)

    assert c.best.option.name == "q"
    assert c.sure == 1.0


def test_piece_not_eaten_by_pull_by_is_not_called() -> None:
    """The better piece is left out when it is not likely gone in time."""
    leave, quarter = made("leave", "leave", [1000] * 50), made("q", "lay on", [1200] * 50, QUARTER_POUND_G)
    c = choose([leave, quarter, made("two", "lay on", [2000] * 50, 8 * QUARTER_POUND_G, eaten=0.4)], SETTINGS)

    assert c.best.option.name == "q"


def test_better_on_average_but_not_more_often_is_a_toss_up() -> None:
    """A few great futures and many with nothing: the lesser intervention, called a toss-up."""
    c = choose(
        [made("leave", "leave", [1000] * 50), made("a", "lay on", [5000] * 10 + [1000] * 40, QUARTER_POUND_G)], SETTINGS
    )

    assert c.best.option.action == "leave"
    assert c.toss_up
    assert c.sure == pytest.approx(0.8)


def test_leaving_alone_is_needed() -> None:
    """Plans cannot be judged without it."""
    with pytest.raises(ValueError, match="leaving alone"):
        choose([made("a", "lay on", [1.0], 113.0)], SETTINGS)


def ahead(index: float, days: int, high: float = 30.0, light: float = 13.0, members: int = 120) -> Ahead:
    """Days all alike for every member."""

    def flat(v: float) -> np.ndarray:
        return np.full((members, days), v)

    w = Weather(
        np.log(flat(index)), flat(high), flat(high - 14.0), flat(8.0), flat(6.0), np.full(days, light), np.zeros(days)
    )
    return Ahead(w, None, 1, 5, 9_000)


def colonies(members: int = 120, **changed: float) -> object:
    """A good-sized late-summer colony."""
    totals = {
        "adults": 22_000.0, "eggs": 2_500.0, "open_larvae": 5_000.0, "capped": 9_000.0, "pollen_g": 300.0,
        "honey_g": 18_000.0,
    }  # fmt: skip
    params = draw(np.random.default_rng(8), members)
    value = changed.pop("value", None)
    if value is not None:
        params[:, P["feed_value"]] = value
        params[:, P["feed_harm"]] = 0.01
    return establish(params, **(totals | changed))


def compared(e: object, a: Ahead) -> list[Outcome]:
    """Every plan on the same futures."""
    plans = options(patty_on=False, sugar_kg=2.0, can_move=False, look_days=7)
    return [outcome(o, e, a, SETTINGS, stay_days=7, stop_day=None)[0] for o in plans]  # type: ignore[arg-type]


def test_leave_must_win_late_in_a_season_of_plenty() -> None:
    """Autumn with pollen coming in and a full pantry: patties do nothing that pays for the visit."""
    e = colonies(pollen_g=1_500.0, eggs=800.0, open_larvae=1_800.0, capped=4_000.0)
    c = choose(compared(e, ahead(0.9, 50, 22.0, 11.0)), SETTINGS)

    assert c.best.option.action == "leave"
    assert c.sure > 0.8


def test_feeding_must_win_in_a_long_dearth_with_good_feed() -> None:
    """Nothing comes in, ten weeks to winter, and the patty is nearly as good as pollen."""
    c = choose(compared(colonies(value=0.9), ahead(0.06, 75)), SETTINGS)

    assert c.best.option.action == "lay on"
    assert c.sure > 0.8


def test_worthless_feed_is_left() -> None:
    """The same dearth with a patty worth nothing that harms a little: leave."""
    e = colonies(value=0.0)
    e.params[:, P["feed_harm"]] = 0.15  # type: ignore[attr-defined]
    c = choose(compared(e, ahead(0.06, 75)), SETTINGS)

    assert c.best.option.action == "leave"


def test_same_luck_for_all_plans() -> None:
    """Two plans that do the same give identical futures, member by member."""
    e, a = colonies(), ahead(0.1, 40)
    one = outcome(Option("a", "leave"), e, a, SETTINGS, stay_days=7, stop_day=None)[0]  # type: ignore[arg-type]
    two = outcome(Option("b", "leave"), e, a, SETTINGS, stay_days=7, stop_day=None)[0]  # type: ignore[arg-type]

    assert one.bees.tobytes() == two.bees.tobytes()


def test_runway_is_censored() -> None:
    """Passages beyond 60 days or never count as beyond the horizon; percentiles there are None."""
    r = runway(np.array([1.0, 11.0, 21.0, 61.0, -1.0, 80.0, -1.0, -1.0, -1.0, -1.0]))

    assert r.p_within_horizon == pytest.approx(0.3)  # the 61st day lies beyond sixty
    assert r.median is None
    assert r.high is None
    assert r.low is not None
    assert runway(np.full(10, 6.0)).median == 5.0
    assert first_of(np.array([5.0, -1.0]), np.array([3.0, -1.0])).tolist() == [3.0, -1.0]


def test_only_large_pieces_that_are_not_eaten_in_time_can_still_be_judged() -> None:
    """Where no quarter pound was compared, the smallest piece is the one held against leaving alone."""
    leave, half = made("leave", "leave", [1000] * 50), made("half", "lay on", [1200] * 50, 226.8, eaten=0.1)
    c = choose([leave, half, made("two", "lay on", [2000] * 50, 907.2, eaten=0.0)], SETTINGS)

    assert c.best.option.name == "half"


def test_without_any_feeding_there_is_nothing_to_choose() -> None:
    """Leaving alone by itself is refused in one sentence."""
    with pytest.raises(ValueError, match="laying on"):
        choose([made("leave", "leave", [1000] * 5)], SETTINGS)
