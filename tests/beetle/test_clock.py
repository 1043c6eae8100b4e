"""The beetle clock of a patty."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.beetle.clock import clock
from tideover.beetle.development import EGG, LARVA, SOIL, hatch_share
from tideover.evidence import words as spoken

LAID = datetime(2025, 7, 1, 9, 0, tzinfo=UTC)


def days(moment: datetime | None) -> float:
    """Days from laying on."""
    assert moment is not None
    return (moment - LAID) / timedelta(days=1)


def test_fast_ends_are_the_published_ones() -> None:
    """Egg 61 h and larva 17 d at 21 C, under 22 h and under 8 d at 35 C (Meikle & Patt 2011)."""
    assert EGG.days(21.0) * 24.0 == pytest.approx(61.0, abs=0.5)
    assert EGG.days(35.0) * 24.0 < 22.0
    assert LARVA.days(21.0) == pytest.approx(17.0, abs=0.1)
    assert LARVA.days(35.0) < 8.0


def test_soil_time_meets_another_laboratory() -> None:
    """Soil stage at 20 C lies in the 36-39 whole days of Bernier et al. 2014, who are no input."""
    assert 35.5 <= SOIL.days(20.0) <= 39.5


def test_brood_nest_clock() -> None:
    """At 34 C egg and larva take 8.7 d: ten days are too long, seven are not (arithmetic on the fast ends)."""
    c = clock(LAID, 34.0, "present")

    assert days(c.full_grown) == pytest.approx(8.7, abs=0.1)
    assert 7.0 < days(c.full_grown) < 10.0


@pytest.mark.parametrize("beetles", ["present", "unknown"])
def test_pull_by_is_the_earlier_of_seven_days_and_half_grown(beetles: str) -> None:
    """With a longer limit of the keeper's, half grown comes first in the warm; else seven days."""
    warm, cool = clock(LAID, 35.0, beetles, stay_limit_days=9.0), clock(LAID, 22.0, beetles)

    assert warm.pull_by == warm.half_grown
    assert 7.0 < days(warm.pull_by) < 9.0
    assert days(cool.pull_by) == pytest.approx(7.0)
    assert days(clock(LAID, 35.0, beetles).pull_by) == pytest.approx(7.0)


def test_absent_yard_is_limited_by_hardening() -> None:
    """Without beetles a piece stays until it is hard or mouldy, fourteen days by default."""
    assert days(clock(LAID, 35.0, "absent").pull_by) == pytest.approx(14.0)
    assert days(clock(LAID, 35.0, "absent", hardening_limit_days=10.0).pull_by) == pytest.approx(10.0)


@given(st.integers(1, 60), st.floats(-5.0, 9.9))
def test_chilling_pauses_and_no_more(hours: int, cold_c: float) -> None:
    """Hours below every threshold shift each milestone by exactly those hours."""
    plain = clock(LAID, 35.0, "present")
    chilled = clock(LAID, [35.0] * 24 + [cold_c] * hours, "present")

    shift = timedelta(hours=hours)
    for name in ("half_grown", "full_grown", "slow_full_grown"):
        before, after = getattr(plain, name), getattr(chilled, name)
        assert abs(after - before - shift) < timedelta(seconds=1)
    assert chilled.resets == ()


@given(st.integers(24, 80), st.integers(0, 60))
def test_completed_core_freeze_starts_anew(frozen: int, warm: int) -> None:
    """After -12 C for 24 h at the core the clock runs from the first warm hour as if new."""
    c = clock(LAID, [35.0] * warm + [-12.0] * frozen, "present")
    fresh = clock(LAID, 35.0, "present")

    assert len(c.resets) == 1
    assert c.starts == LAID + timedelta(hours=warm + frozen)
    assert fresh.half_grown is not None
    assert c.half_grown is not None
    assert abs((c.half_grown - c.starts) - (fresh.half_grown - LAID)) < timedelta(seconds=1)


@pytest.mark.parametrize(("temp", "hours"), [(-12.0, 23), (-11.9, 48)])
def test_short_or_mild_freeze_only_pauses(temp: float, hours: int) -> None:
    """A freeze that is too short or not cold enough resets nothing (-12 C, 24 h: Regulation (EU) 142/2011 pages)."""
    c = clock(LAID, [35.0] * 24 + [temp] * hours, "present")

    assert c.resets == ()
    assert c.starts == LAID


@given(st.lists(st.floats(10.0, 42.0), min_size=1, max_size=240))
def test_milestones_come_in_order(temps: list[float]) -> None:
    """Hatch before half grown before full grown; slow never before fast; pull-by within seven days."""
    c = clock(LAID, temps, "unknown")

    assert c.earliest_hatch is not None
    assert c.half_grown is not None
    assert c.full_grown is not None
    assert LAID < c.earliest_hatch < c.half_grown < c.full_grown
    assert c.slow_hatch is not None
    assert c.slow_hatch >= c.earliest_hatch
    assert c.slow_full_grown is not None
    assert c.slow_full_grown >= c.full_grown
    assert c.pull_by <= LAID + timedelta(days=7)


@given(st.floats(15.0, 34.0), st.floats(0.1, 6.0))
def test_warmer_is_never_later(temp: float, more: float) -> None:
    """A warmer piece is never given longer."""
    assert clock(LAID, temp + more, "present").pull_by <= clock(LAID, temp, "present").pull_by


def test_too_cold_never_hatches() -> None:
    """At a refrigerator's 4 C nothing develops, and seven days still hold."""
    c = clock(LAID, 4.0, "present")

    assert c.earliest_hatch is None
    assert c.full_grown is None
    assert days(c.pull_by) == pytest.approx(7.0)


def test_dry_air_does_not_lengthen_the_stay() -> None:
    """No egg hatches at 34 % humidity, yet the pull-by stays: hives are moister than that."""
    dry = clock(LAID, 35.0, "present", humidity_pct=30.0)

    assert hatch_share(34.0) == 0.0
    assert dry.pull_by == clock(LAID, 35.0, "present").pull_by
    assert "not lengthened" in dry.why


def test_words_of_presence_are_those_of_the_books() -> None:
    """Each word a yard may carry is understood, any other is refused."""
    for word in spoken.PRESENCE:
        assert clock(LAID, 35.0, word).why
    with pytest.raises(ValueError, match="present, absent, unknown"):
        clock(LAID, 35.0, "maybe")


def test_fahrenheit_is_refused() -> None:
    """A temperature of 95 is not Celsius."""
    with pytest.raises(ValueError, match="degrees Celsius"):
        clock(LAID, 95.0, "present")
