"""Too little against too much: the newsvendor rule, checked by brute force, and what moves it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tideover.patty.piece import QUARTER_POUND_G
from tideover.plan.portion import LEAST, MOST, eaten_words, portion_cost, ruin_chance, with_chance
from tideover.plan.settings import Settings

SETTINGS = Settings()


@pytest.mark.parametrize("seed", range(40))
def test_chance_asked_for_is_where_expected_cost_is_least(seed: int) -> None:
    """Over all whole numbers of quarter pounds, the one of least expected cost is the largest that is eaten with a
    chance of over / (over + under): the single-period rule of Arrow, Harris & Marschak 1951, here by brute force.
    """
    rng = np.random.default_rng(seed)
    over, under = rng.uniform(0.1, 20.0, 2)
    eats = rng.integers(0, 12, 200)  # quarter pounds a hive would eat, equally likely
    cost = [float(np.mean(over * np.maximum(0, q - eats) + under * np.maximum(0, eats - q))) for q in range(13)]
    asked = over / (over + under)
    by_rule = max(q for q in range(13) if q == 0 or np.mean(eats >= q) >= asked)

    assert cost[by_rule] == pytest.approx(min(cost), abs=1e-9)


def test_costs_of_a_quarter_pound_by_hand() -> None:
    """Patty at 2.9 a kilogram, 3 minutes at 15 an hour, 12 000 bees, beetles present, a colony worth 200.

    Over: 0.1134 kg x 2.9 = 0.329; 0.75; 0.01 x 200 = 2.0. Under: 2 270 bees a pound x 0.5 / 4 = 284 bees at 12 a
    thousand, less the patty: 3.41 - 0.33 = 3.08. Chance: 3.08 / 6.16 = 50 %.
    """
    c = portion_cost(SETTINGS, "present", 12_000.0)

    assert (c.patty, c.minutes, c.beetles) == pytest.approx((0.329, 0.75, 2.0), abs=0.001)
    assert c.under == pytest.approx(2270 * 0.5 / 4 * 12 / 1000 - 0.329, abs=0.01)
    assert c.chance == pytest.approx(c.over / (c.over + c.under))
    assert c.under == pytest.approx(3.08, abs=0.01)
    assert c.chance == pytest.approx(0.50, abs=0.005)


def test_weak_hive_is_asked_for_more_and_a_strong_one_for_less() -> None:
    """A rest breeds beetles the sooner the fewer bees guard it; where there are none, a rest costs little."""
    weak, strong = (portion_cost(SETTINGS, "present", n).chance for n in (6_000.0, 24_000.0))
    none = portion_cost(SETTINGS, "absent", 12_000.0)
    unknown = portion_cost(SETTINGS, "unknown", 12_000.0)

    assert weak > portion_cost(SETTINGS, "present", 12_000.0).chance > strong
    assert none.beetles == 0.0
    assert none.chance == LEAST
    assert unknown.beetles == pytest.approx(1.0)
    assert ruin_chance(replace(SETTINGS, beetle_pressure="high"), "present", 12_000.0) == pytest.approx(0.03)


def test_worthless_bees_ask_for_the_most() -> None:
    """Where a bee is worth less than its patty nothing speaks for a larger piece."""
    assert portion_cost(replace(SETTINGS, bees_worth=0.0), "present", 12_000.0).chance == MOST


def test_the_keepers_own_chance_stands() -> None:
    """A chance that was set is left alone; otherwise it is worked out for the hive."""
    own = replace(SETTINGS, portion_chance=0.8)

    assert with_chance(own, "present", 5_000.0) is own
    assert with_chance(SETTINGS, "present", 12_000.0).asked_chance == pytest.approx(
        portion_cost(SETTINGS, "present", 12_000.0).chance, abs=0.001
    )
    assert SETTINGS.asked_chance == SETTINGS.eaten_by_pull_by


def test_words_name_both_costs_and_the_chance() -> None:
    """The sentence holds the cost of too much, of too little and the chance, and says when it is the keeper's own."""
    c = portion_cost(SETTINGS, "present", 12_000.0)
    said = c.words("USD")

    assert f"{c.over:.2f} USD" in said
    assert f"{c.under:.2f} USD" in said
    assert f"at least {c.chance:.0%}." in said
    assert "as you have set it" in c.words("USD", 0.9)
    assert pytest.approx(453.59237 / 4, abs=0.001) == QUARTER_POUND_G


def test_many_beetles_seen_raise_the_chance_asked_for() -> None:
    """Looks that found many beetles count as high pressure whatever the keeper's word; none seen lowers nothing."""
    usual = with_chance(SETTINGS, "present", 12_000.0).portion_chance
    assert with_chance(SETTINGS, "present", 12_000.0, ["many"] * 5).portion_chance > usual
    assert with_chance(SETTINGS, "present", 12_000.0, ["none"] * 50).portion_chance == usual


def test_words_say_when_even_the_smallest_piece_is_unlikely_to_be_eaten() -> None:
    """A piece below the chance asked for is never said to reach it."""
    assert eaten_words(0.7, 0.62, 226.8) == "This one is, with 70%."
    small = eaten_words(0.26, 0.62, 113.4)
    large = eaten_words(0.26, 0.62, 226.8)
    for words in (small, large):
        assert "only 26%" in words
        assert "take off what is left" in words
        assert "This one is, with" not in words
    assert "Even a quarter pound" in small
    assert "quarter pound" not in large
