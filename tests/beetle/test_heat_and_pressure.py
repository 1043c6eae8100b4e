"""Hours from days, the warmth of a piece, beetle pressure, generations of a season."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.beetle.clock import clock
from tideover.beetle.heat import NEST_C, hourly_from_daily, piece_hourly
from tideover.beetle.pressure import counted, generations, higher

LAID = datetime(2031, 7, 1, 0, tzinfo=UTC)
DAYS = st.lists(
    st.tuples(st.floats(-10, 25), st.floats(0, 25)).map(lambda d: (d[0], d[0] + d[1])), min_size=1, max_size=9
)


@given(DAYS)
def test_hours_meet_each_days_extremes(days: list[tuple[float, float]]) -> None:
    """Each day's lowest and highest occur at their hours, and no hour lies outside the extremes around it."""
    hours = hourly_from_daily(days)
    assert len(hours) == 24 * len(days)
    low, high = min(d[0] for d in days), max(d[1] for d in days)
    for i, (least, most) in enumerate(days):
        assert hours[24 * i + 5] == pytest.approx(least)
        assert hours[24 * i + 15] == pytest.approx(most)
    assert all(low - 1e-9 <= t <= high + 1e-9 for t in hours)


def test_hours_of_no_day_and_of_a_wrong_one() -> None:
    """No day has no hours; a lowest above its highest is refused."""
    assert hourly_from_daily([]) == []
    with pytest.raises(ValueError, match="swap"):
        hourly_from_daily([(20.0, 10.0)])


def test_piece_over_brood_is_at_the_nests_warmth_whatever_the_air() -> None:
    """Over brood and where nothing is said the nest's 35 C hold; at the edge the piece follows the air half way."""
    air = [10.0, 45.0]
    assert piece_hourly(air, "top bars over brood") == [NEST_C, NEST_C]
    assert piece_hourly(air, "between boxes") == [NEST_C, NEST_C]
    assert piece_hourly(air, None) == [NEST_C, NEST_C]
    assert piece_hourly(air, "edge of cluster") == [NEST_C - 12.5, NEST_C + 5.0]


def test_cool_nights_at_the_edge_slow_the_clock_and_heat_does_not_hasten_it() -> None:
    """With days of 12-28 C the edge is slower than over brood; above 35 C the rate is held, so 30-48 C is not faster."""
    over = clock(LAID, NEST_C, "present")
    cool = clock(LAID, piece_hourly(hourly_from_daily([(12.0, 28.0)] * 20), "edge of cluster"), "present")
    hot = clock(LAID, piece_hourly(hourly_from_daily([(36.0, 48.0)] * 20), "edge of cluster"), "present")
    assert over.half_grown is not None
    assert cool.half_grown is not None
    assert cool.half_grown > over.half_grown
    assert hot.half_grown == over.half_grown


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["none"] * 4, None),
        (["none"] * 10, "low"),
        (["none"] * 9 + ["few"], "usual"),
        (["none"] * 8 + ["many"] * 2, "high"),
        (["few"] * 6, "usual"),
        (["not looked"] * 20, None),
    ],
)
def test_pressure_of_what_looks_found(words: list[str], said: str | None) -> None:
    """Shares of looks with any, and with many, beetles; fewer than five looks say nothing (our thresholds)."""
    assert counted(words) == said


def test_what_was_not_seen_never_lowers_the_keepers_word() -> None:
    """High stays high whatever looks missed; a full search misses beetles too."""
    assert higher("high", "low") == "high"
    assert higher("low", "high") == "high"
    assert higher("usual", None) == "usual"


def test_generations_of_a_warm_and_a_cool_season() -> None:
    """At 35 C egg to adult takes about 23 days (USDA: 23 d warm), at 21 C 49 (Meikle & Patt: stages added), so that
    a hundred days hold about four and two generations; below 10 C there are none.
    """
    assert 100.0 / generations([35.0] * 100) == pytest.approx(23.0, abs=3.0)
    assert generations([21.0] * 100) == pytest.approx(2.0, abs=0.4)
    assert generations([9.0] * 100) == 0.0
