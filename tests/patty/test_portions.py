"""Portions, drying and what is sure to be eaten in time."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.evidence import words as spoken
from tideover.patty import piece as p

POUND = 453.59237


def test_portions_are_whole_quarter_pounds() -> None:
    """A quarter, half, one, one and a half and two pounds by the definition of the pound."""
    assert [x.grams for x in p.PORTIONS] == pytest.approx([POUND * q for q in (0.25, 0.5, 1.0, 1.5, 2.0)], rel=1e-4)


def test_textures_are_the_words_of_the_books() -> None:
    """The same three words as a look may hold, and their chances sum to one at any age."""
    assert p.TEXTURES == spoken.PATTY_TEXTURE
    for age in (0.0, 0.5, 3.0, 7.0, 14.0, 60.0):
        t = p.texture(age)
        assert t.soft + t.firm + t.hard == pytest.approx(1.0)


@given(st.floats(0.0, 30.0), st.floats(0.1, 10.0), st.floats(20.0, 45.0))
def test_pieces_only_get_harder(age: float, more: float, temp: float) -> None:
    """Softness falls with age, and heat and missing paper never help."""
    assert p.texture(age + more, temp).soft <= p.texture(age, temp).soft + 1e-12
    assert p.texture(age, temp, paper_on=False).hard >= p.texture(age, temp).hard - 1e-12
    assert p.intake_factor(age + more, temp) <= p.intake_factor(age, temp)


@given(st.floats(0.0, 14.0), st.floats(20.0, 45.0))
def test_soft_days_are_the_area_under_intake(days: float, temp: float) -> None:
    """The closed form equals the sum of daily intake taken in small steps."""
    steps = 4000
    mid = (np.arange(steps) + 0.5) * days / steps
    area = sum(p.intake_factor(float(t), temp) for t in mid) * days / steps

    assert p.days_of_soft_eating(days, temp) == pytest.approx(area, rel=1e-4, abs=1e-9)


@given(st.lists(st.floats(0.0, 120.0), min_size=5, max_size=200), st.floats(0.5, 10.0), st.floats(0.5, 0.99))
def test_portion_is_eaten_with_the_stated_probability(draws: list[float], days: float, probability: float) -> None:
    """At least the stated share of draws finishes the portion; one quarter more would not (below the cap)."""
    grams = p.portion_eaten_by(days, draws, probability)
    quarters = grams / p.QUARTER_POUND_G

    assert quarters == pytest.approx(round(quarters))
    if grams > 0.0:
        assert p.chance_eaten(grams, days, draws) >= probability - 1.0 / len(draws) - 1e-9
    if grams < 8 * p.QUARTER_POUND_G - 1e-6:
        assert p.chance_eaten(grams + p.QUARTER_POUND_G + 0.01, days, draws) <= probability + 1.0 / len(draws)


@given(st.floats(0.5, 7.0), st.floats(0.1, 3.0), st.integers(0, 1000))
def test_more_days_or_less_sureness_never_shrink_the_portion(days: float, more: float, seed: int) -> None:
    """Longer stays and weaker demands allow at least as much."""
    draws = p.intake_prior(15_000.0, 300, seed)

    assert p.portion_eaten_by(days + more, draws) >= p.portion_eaten_by(days, draws)
    assert p.portion_eaten_by(days, draws, 0.6) >= p.portion_eaten_by(days, draws, 0.95)


def test_intake_prior_is_reproducible_and_wide() -> None:
    """Same seed, same draws; the middle is the expected intake; the spread spans a factor of three."""
    a, b = p.intake_prior(10_000.0, 4000, 7), p.intake_prior(10_000.0, 4000, 7)

    assert np.array_equal(a, b)
    assert np.median(a) == pytest.approx(p.expected_intake_g_day(10_000.0), rel=0.05)
    assert np.quantile(a, 0.95) / np.quantile(a, 0.05) > 3.0


def test_pollen_coming_in_turns_bees_away() -> None:
    """Substitute is left alone while pollen comes in (common practice), and out of touch little is taken."""
    assert p.expected_intake_g_day(10_000.0, 1.0) < p.expected_intake_g_day(10_000.0, 0.05)
    assert p.expected_intake_g_day(10_000.0, contact=False) < 0.2 * p.expected_intake_g_day(10_000.0)


@given(st.floats(50.0, 900.0), st.floats(5.0, 120.0), st.floats(0.0, 10.0), st.floats(0.1, 3.0))
def test_share_left_falls_and_stays_a_share(grams: float, intake: float, days: float, more: float) -> None:
    """What is left never grows and is never negative."""
    now, later = p.share_left(days, grams, intake), p.share_left(days + more, grams, intake)

    assert 0.0 <= later <= now + 1e-9 <= 1.0 + 1e-9


@pytest.mark.parametrize(
    ("kwargs", "says"),
    [
        ({"grams": -5.0}, "weight of the piece"),
        ({"grams": 100.0, "protein_pct": 120.0}, "protein_pct"),
        ({"grams": 100.0, "sugar_pct": 80.0}, "pass 100 percent"),
    ],
)
def test_impossible_pieces_are_refused(kwargs: dict[str, float], says: str) -> None:
    """A piece cannot weigh less than nothing or hold more than itself."""
    with pytest.raises(ValueError, match=says):
        p.Piece(laid_on=datetime(2025, 7, 1, tzinfo=UTC), **kwargs)
