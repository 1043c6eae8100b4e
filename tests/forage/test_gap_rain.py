"""Rain nobody measured: usual rain of the season in usual wet days, held against real records with their end hidden."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from tests.forage.real_weather import series
from tideover.forage.gap_rain import filled, usual_rain_mm
from tideover.forage.index import yard_index
from tideover.forage.outlook import outlook
from tideover.forage.weather import LandDay

DAYS = np.arange(1.0, 366.0)


def record(place: str) -> list[LandDay]:
    """A place's days that have everything."""
    s = series(place)
    return [
        LandDay(d, float(hi), float(lo), float(rain))
        for d, hi, lo, rain in zip(s.days, s.high, s.low, s.rain, strict=True)
        if not np.isnan([hi, lo, rain]).any() and lo <= hi
    ]


def test_without_a_record_it_is_the_places_yearly_rain_in_wet_days() -> None:
    """365.25 mm a year is one a day: a wet day of 8 mm falls on every eighth day, and nothing on the days between."""
    got = filled(DAYS[:80], np.full(80, np.nan), 365.25, 8.0)
    assert np.flatnonzero(got).tolist() == [7, 15, 23, 31, 39, 47, 55, 63, 71, 79]
    assert set(got[got > 0.0]) == {8.0}


def test_usual_rain_of_a_day_by_hand() -> None:
    """Sixty-one days of the window with 2 mm each, and fifteen days' worth of a yearly 365.25 mm: (122 + 15) / 76."""
    near = np.where(np.abs(DAYS - 180.0) <= 30.0, 2.0, 50.0)
    assert usual_rain_mm(DAYS, near, 365.25, [180.0])[0] == pytest.approx(137.0 / 76.0)


def test_the_turn_of_the_year_is_no_edge() -> None:
    """The first of January learns from December."""
    fell = np.where(DAYS > 340.0, 4.0, np.where(DAYS < 40.0, np.nan, 0.0))
    assert usual_rain_mm(DAYS, fell, 100.0, [1.0])[0] > 2.0


def test_days_that_were_measured_stay_as_read_and_a_dry_season_stays_dry() -> None:
    """Three dry summers and a hole of twenty days in the fourth: nothing falls into it; readings are not touched."""
    j = np.concatenate([DAYS[151:243]] * 4)
    fell = np.zeros(j.size)
    fell[5] = 3.0
    hole = slice(3 * 92 + 40, 3 * 92 + 60)
    given = fell.copy()
    given[hole] = np.nan
    assert filled(j, given, 300.0, 7.5).tolist() == fell.tolist()


@pytest.mark.parametrize("place", ["cordoba", "seattle", "champion", "tunis"])
def test_the_ground_line_after_a_gap_is_nearer_the_truth_than_if_nothing_had_fallen(place: str) -> None:
    """Ten ends of a real record with the last 30 days' rain hidden, the dry guess made by saying that none fell."""
    days, s = record(place), series(place)
    usual, none = [], []
    for k in np.linspace(500, len(days) - 1, 10).astype(int):
        seen = days[max(0, k - 2 * 365) : k]
        last = seen[-1].day
        hidden = [replace(d, rain_mm=None) if d.day > last - timedelta(days=30) else d for d in seen]
        dry = [replace(d, rain_mm=0.0) if d.day > last - timedelta(days=30) else d for d in seen]
        true, guess, least = (
            yard_index(s.latitude, d, until=last, elevation_m=s.elevation_m) for d in (seen, hidden, dry)
        )
        usual.append(guess.ground[-1] - true.ground[-1])
        none.append(least.ground[-1] - true.ground[-1])
        assert guess.log_sd[-1] > true.log_sd[-1]
    assert np.sqrt(np.mean(np.square(usual))) < np.sqrt(np.mean(np.square(none)))


def test_where_nothing_was_ever_measured_no_drought_is_made_of_it() -> None:
    """A summer's day in a middling climate without any weather: the soil is not emptied by rain that was not looked for."""
    index = yard_index(48.0, [], until=date(2026, 7, 15))
    assert index.rain.sum() > 60.0
    assert index.soil_ks[-1] > 0.2
    assert not index.known.any()


def test_days_without_a_rain_reading_do_not_make_a_place_dry() -> None:
    """Every second reading lost: the yearly rain is reckoned from the days that have one."""
    whole = record("seattle")[: 2 * 365]
    half = [replace(d, rain_mm=None) if k % 2 else d for k, d in enumerate(whole)]
    a, b = (yard_index(47.4, d, until=whole[-1].day).usual.annual_rain_mm for d in (whole, half))
    assert b == pytest.approx(a, rel=0.25)


def test_a_past_years_missing_rain_is_another_years() -> None:
    """Futures of two years, one without any rain reading: as wet as the other, not half as wet."""
    wet = [LandDay(date(2024, 1, 1) + timedelta(days=k), 20.0, 10.0, 4.0) for k in range(366)]
    lost = [replace(d, day=date(2023, 1, 1) + timedelta(days=k), rain_mm=None) for k, d in enumerate(wet[:365])]
    index = yard_index(40.0, wet[:200], until=wet[199].day)
    got = outlook(index, index.days[-1] + timedelta(days=60), 200, 1, [lost, wet])
    assert got.rain.mean() == pytest.approx(4.0, rel=0.15)
