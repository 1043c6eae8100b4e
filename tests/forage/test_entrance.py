"""A minute at the entrance in grams a day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from tideover.forage.entrance import grams_per_day
from tideover.forage.notes import CountNote

NOTE = CountNote(date(2025, 6, 20), 10.0, None, 1.0, 60, 15)


def test_share_has_wilsons_interval() -> None:
    """15 of 60: 0.1578 to 0.3723 (Wilson 1927, textbook value)."""
    got = grams_per_day(NOTE, 36.0, 28.0, 15.0)
    assert got.share == pytest.approx((0.1578, 0.25, 0.3723), abs=1e-4)


def test_published_rates_give_the_grams_derived_from_them() -> None:
    """4.88 pollen bees a minute over 600 minutes at 14 mg make 41 g (Alqarni 2021 rates; load 13-15 mg).

    Bees do not keep the best hour's rate all day, so that the mean rate stands at a middling hour.
    """
    got = grams_per_day(CountNote(date(2025, 6, 20), 11.0, None, 50.0, 1620, 244), 25.0, 36.0, 22.0)
    low, mid, high = got.grams
    assert low < 41.0 < high
    assert 20.0 < mid < 70.0


def test_good_flow_is_the_figure_it_is_scaled_to() -> None:
    """30 pollen bees a minute in the best hour of a fine day: 150 to 300 g a day is a published good flow."""
    got = grams_per_day(CountNote(date(2025, 6, 20), 10.0, None, 10.0, 1000, 300), 36.0, 27.0, 14.0)
    assert 110.0 < got.grams[1] < 300.0


def test_more_minutes_narrow_the_interval() -> None:
    """Ten minutes at the same rate."""
    short, long = (
        grams_per_day(NOTE, 36.0, 28.0, 15.0),
        grams_per_day(replace(NOTE, minutes=10.0, bees_in=600, with_pollen=150), 36.0, 28.0, 15.0),
    )
    assert long.grams[2] / long.grams[0] < short.grams[2] / short.grams[0]
    assert long.grams[1] == pytest.approx(short.grams[1], rel=0.15)


def test_no_pollen_bee_is_not_no_pollen() -> None:
    """None of 50: the interval reaches above nought, and the share to 7 % (Wilson: 0.0713)."""
    got = grams_per_day(replace(NOTE, bees_in=50, with_pollen=0), 36.0, 28.0, 15.0)
    assert got.grams[2] > 1.0
    assert got.share is not None
    assert got.share[2] == pytest.approx(0.0713, abs=1e-4)
    assert "Under a tenth" in got.words


def test_bad_hour_says_so() -> None:
    """Three in the afternoon at 44 C, and at night."""
    hot = grams_per_day(replace(NOTE, hour=15.0, shade_temp_c=44.0), 36.0, 44.0, 27.0)
    assert "count again in the morning" in hot.words
    assert "count again in the morning" in grams_per_day(replace(NOTE, hour=1.0), 36.0, 28.0, 15.0).words


def test_same_count_later_in_the_day_means_more_pollen() -> None:
    """Flowers empty as the day goes on: the same rate at 13 h stands for a richer day than at 9 h."""
    early, late = (grams_per_day(replace(NOTE, hour=h), 36.0, 26.0, 14.0) for h in (9.0, 13.0))
    assert late.grams[1] > early.grams[1]
    assert late.grams[2] / late.grams[0] > early.grams[2] / early.grams[0]
