"""What a plan does on which day."""

from __future__ import annotations

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from tideover.patty.piece import PORTIONS
from tideover.plan.options import MOST_VISITS_D, options
from tideover.plan.settings import Settings

SETTINGS = Settings()
PLANS = options(patty_on=True, sugar_kg=3.0, can_move=True, look_days=7)


def test_plans_hold_every_kind_of_call() -> None:
    """Leaving, looking, every portion once, repeated feeding, taking off, sugar, water, uniting, moving, the cause."""
    assert {o.action for o in PLANS} == {
        "leave", "look again", "lay on", "take off", "give sugar", "give water", "unite", "move the yard",
        "see to the cause first",
    }  # fmt: skip
    once = {o.grams for o in PLANS if o.action == "lay on" and o.rhythm == "once"}
    assert once == {p.grams for p in PORTIONS}
    assert len({o.name for o in PLANS}) == len(PLANS)


def test_plans_come_from_least_to_most_intervention() -> None:
    """Leaving alone comes first, and more grams or more visits of the same kind never come before fewer."""
    assert PLANS[0].action == "leave"
    assert [o.effort for o in PLANS] == sorted(o.effort for o in PLANS)
    laid = [o for o in PLANS if o.action == "lay on"]
    rank = {"once": 0, "every other week": 1, "weekly": 2}
    for a in laid:
        for b in laid:
            more = b.grams >= a.grams and rank[b.rhythm] >= rank[a.rhythm]
            if more and (b.grams, rank[b.rhythm]) != (a.grams, rank[a.rhythm]):
                assert b.effort > a.effort


def test_nothing_to_take_off_or_move_to_is_not_offered() -> None:
    """Without a piece on the hive or a better yard those plans are not compared."""
    few = {o.action for o in options(patty_on=False, sugar_kg=0.0, can_move=False, look_days=7)}
    assert few.isdisjoint({"take off", "move the yard"})


@given(
    days=st.integers(1, 200), stay=st.integers(1, 20), stop=st.none() | st.integers(1, 120), k=st.integers(0, len(PLANS) - 1)
)  # fmt: skip
def test_schedule_keeps_to_its_days(days: int, stay: int, stop: int | None, k: int) -> None:
    """Over all plans: visits inside the days, nothing laid on after the stop (today apart) or past eight weeks."""
    plan = PLANS[k]
    visits = plan.visits(days, SETTINGS, stay, stop)
    feeding = plan.feeding(days, SETTINGS, stay, stop)
    assert feeding.visit_g.shape == (days,)
    for d, g in visits:
        assert 0 <= d < days
        assert g in (0.0, plan.grams)
        if g > 0 and d > 0:
            assert stop is None or d < stop
            assert d <= MOST_VISITS_D
        assert feeding.visit_g[d] == g
    unplanned = np.ones(days, dtype=bool)
    unplanned[[d for d, _ in visits]] = False
    if plan.change == "take off":
        unplanned[0] = False
        assert feeding.visit_g[0] == 0.0
    assert np.all(feeding.visit_g[unplanned] == -1.0)


def test_looking_again_after_the_stop_lays_nothing_on() -> None:
    """A look a week away with the stop in three days plans no piece."""
    look = next(o for o in PLANS if o.action == "look again")
    assert look.visits(90, SETTINGS, 7, 3) == []


def test_sugar_is_grams_of_sugar_on_the_first_day() -> None:
    """Three kilograms are 3,000 g today and nothing later (arithmetic)."""
    sugar = next(o for o in PLANS if o.action == "give sugar").feeding(30, SETTINGS, 7, None).sugar_g
    assert sugar[0] == 3000.0
    assert np.all(sugar[1:] == 0.0)
