"""Cases for uniting, moving and water, on both sides of their levels."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from scipy import stats

from tests.plan.hives import PLACE, QUIET, TODAY, days_ago, event, quiet, stand
from tideover.plan.call import Interval
from tideover.plan.gates import move_yard_case, p_below, unite_case, water_case
from tideover.plan.settings import Settings

S = Settings()


@pytest.mark.parametrize("level", [4.0, 9.0, 10.0, 12.0, 25.0])
def test_p_below_is_the_log_normal_of_the_interval(level):
    """Agrees with scipy's log-normal distribution for an interval that is even in logs."""
    sigma = 0.4
    spread = stats.lognorm(sigma, scale=10.0)
    i = Interval(10.0, spread.ppf(0.1), spread.ppf(0.9))
    assert p_below(i, level) == pytest.approx(spread.cdf(level), abs=1e-9)


def test_p_below_of_an_interval_that_reaches_zero():
    """Agrees with scipy's normal distribution where logs cannot be taken, and is sure of a point."""
    i = Interval(10.0, 0.0, 20.0)
    assert p_below(i, 5.0) == pytest.approx(stats.norm(10, 10 / stats.norm.ppf(0.9)).cdf(5.0), abs=1e-9)
    assert p_below(Interval(3, 3, 3), 4) == 1.0
    assert p_below(Interval(3, 3, 3), 2) == 0.0


def test_unite_from_bees_now_and_at_winter():
    """Uniting is a case only below the keeper's levels, with its probability and its caveat."""
    assert unite_case(quiet(), QUIET, S) is None
    tiny = replace(QUIET, adults=Interval(4999, 4000, 6000))
    case = unite_case(quiet(), tiny, S)
    assert case is not None
    assert 0.5 <= case.probability < 0.55
    assert "not a survival curve" in case.why
    assert unite_case(quiet(), replace(QUIET, adults=Interval(5001, 4000, 6000)), S) is None
    # 5 frames x 2,430 bees = 12,150 (Burgett & Burikam 1985 times the handbook convention)
    small = replace(QUIET, bees_at_winter=Interval(12100, 9000, 15000))
    assert unite_case(quiet(), small, S) is not None
    assert unite_case(quiet(), replace(QUIET, bees_at_winter=Interval(12200, 9000, 15000)), S) is None


def test_unite_never_with_disease_in_question():
    """Brood signs here or elsewhere in the yard forbid uniting; brood signs not looked for are asked for."""
    tiny = replace(QUIET, adults=Interval(3000, 2000, 4000))
    s = quiet(brood_signs="yes")
    assert unite_case(s, tiny, S, list(stand(s).values())) is None
    other = stand(quiet(), yard_suspects=("quarry-07",))
    assert unite_case(quiet(), tiny, S, list(other.values())) is None
    case = unite_case(quiet(brood_signs="not looked"), tiny, S)
    assert case is not None
    assert "Look for signs of brood disease in both first" in case.why


DEARTH = replace(QUIET, index=Interval(0.05, 0.02, 0.12), p_pollen_back=0.2, p_dearth=0.9)


@pytest.mark.parametrize(
    ("changes", "stands"),
    [
        ({}, True),
        ({"index": Interval(0.051, 0.02, 0.12)}, False),
        ({"p_pollen_back": 0.21}, False),
        ({"p_pollen_back": None}, False),
        ({"cluster": TODAY + timedelta(days=42)}, True),
        ({"cluster": TODAY + timedelta(days=41)}, False),
    ],
)
def test_move_yard_levels(changes, stands):
    """Moving is a case only in deep dearth, with little hope and time left for it to matter."""
    assert (move_yard_case(replace(DEARTH, **changes), S, PLACE, TODAY) is not None) is stands


@pytest.mark.parametrize(
    ("temps", "given", "stands"),
    [
        ((36.0, 36.0, 36.0, 30.0, 30.0, 30.0, 30.0), None, True),
        ((36.0, 36.0, 35.0, 30.0, 30.0, 30.0, 30.0), None, False),  # 35 is not above 35
        ((40.0,) * 7, 3, False),
        ((40.0,) * 7, 4, True),
    ],
)
def test_water_levels(temps, given, stands):
    """Three days above the level in the next seven, unless water was written down within three days."""
    s = quiet(*(() if given is None else (event("water given", given),)))
    case = water_case(s, replace(QUIET, temp_max_next_c=temps), S, TODAY)
    assert (case is not None) is stands
    if case and given:
        assert f"{days_ago(given).day} July" in case.why
