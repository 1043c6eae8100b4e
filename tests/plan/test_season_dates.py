"""Dates of the season against regional accounts, hemispheres and simple limits."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest

from tideover.evidence.seen import Place
from tideover.figures import book
from tideover.plan.season_dates import cluster_date, normal_mean_temp_c, season_phase, stop_window
from tideover.plan.settings import Settings

S = Settings()
SUMMER = date(2031, 7, 20)


@pytest.mark.parametrize(
    ("latitude", "earliest", "latest", "source"),
    [
        # working rule (low confidence): north early to mid September, Gulf late October to early November
        (45.0, date(2031, 9, 1), date(2031, 9, 15), "north"),
        (43.5, date(2031, 9, 1), date(2031, 9, 20), "Ontario"),
        (30.0, date(2031, 10, 20), date(2031, 11, 10), "Gulf"),
    ],
)
def test_stop_date_by_latitude_fits_the_working_rule(latitude, earliest, latest, source):
    """The derived stop date falls in the span that keepers of the region name."""
    window = stop_window(S, Place(source, latitude), SUMMER)
    assert window is not None
    assert earliest <= window.stop <= latest
    assert "rule of thumb" in window.how


def test_stop_date_of_the_mediterranean_short_stop():
    """At 41 N brood stops shortly in late autumn or early winter (Knoll et al. 2024, Sassari)."""
    window = stop_window(S, Place("sassari", 40.7), SUMMER)
    assert window is not None
    last_brood = window.stop + timedelta(weeks=7)
    assert date(2031, 11, 1) <= last_brood <= date(2031, 12, 21)


def test_last_brood_at_32_north_fits_the_broodless_spell():
    """At about 32 N brood stops for some thirty days round the solstice (figures book, winter.stop_32n_days)."""
    window = stop_window(S, Place("p", 32.0), SUMMER)
    assert window is not None
    spell_begins = date(2031, 12, 21) - timedelta(days=book().value("winter.stop_32n_days") / 2)
    assert abs((window.stop + timedelta(weeks=7) - spell_begins).days) <= 21


def test_stop_window_in_the_south_is_half_a_year_away():
    """A place as far south has its stop date half a year from its northern twin."""
    north = stop_window(S, Place("n", 37.0), SUMMER)
    south = stop_window(S, Place("s", -37.0), date(2031, 1, 20))
    assert north is not None
    assert south is not None
    assert abs((north.stop - south.stop).days - 182) <= 2
    assert south.until.month == 8


def test_stop_window_follows_what_the_keeper_set():
    """A set date wins, a set last brood is counted back from, and the tropics have none."""
    place = Place("p", 37.0)
    set_ = stop_window(Settings(patty_stop="10-01"), place, SUMMER)
    assert set_ is not None
    assert (set_.stop, set_.known) == (date(2031, 10, 1), "set by the keeper")
    counted = stop_window(Settings(last_brood="11-19", patty_stop_weeks=7), place, SUMMER)
    assert counted is not None
    assert counted.stop == date(2031, 10, 1)
    assert stop_window(S, Place("p", 10.0), SUMMER) is None
    holding = stop_window(S, place, date(2032, 1, 15))
    assert holding is not None
    assert holding.holds(date(2032, 1, 15))
    assert not holding.holds(holding.until)


def test_higher_places_stop_earlier():
    """122 m of height counts as a degree of latitude (Hopkins 1918, from memory)."""
    low = stop_window(S, Place("p", 38.0), SUMMER)
    high = stop_window(S, Place("p", 37.0, elevation_m=122.0), SUMMER)
    assert low is not None
    assert high is not None
    assert low.stop == high.stop


def _year(mean: float, half: float, warmest: int = 200) -> list[tuple[date, float, float]]:
    days = []
    for i in range(365):
        d = date(2030, 1, 1) + timedelta(days=i)
        t = mean + half * math.cos(2 * math.pi * (d.timetuple().tm_yday - warmest) / 365)
        days.append((d, t + 8, t - 8))
    return days


@pytest.mark.parametrize(("mean", "half"), [(14.0, 9.0), (16.0, 10.0), (18.0, 8.0), (11.0, 12.0)])
def test_cluster_date_is_the_crossing_of_a_known_curve(mean, half):
    """For a cosine year the crossing of 14 °C has a closed form; smoothing moves it by days at most."""
    exact = 200 + 365 * math.acos((14 - mean) / half) / (2 * math.pi)
    found = cluster_date(S, Place("p", 37.0), SUMMER, _year(mean, half))
    days = (found.day - date(2031, 1, 1)).days + 1
    assert abs(days - exact) <= 2.5
    assert "weather given" in found.how
    assert not found.clustered


def test_cluster_date_where_it_never_gets_cold():
    """A place that stays warm takes the coldest time of its year, and says so."""
    found = cluster_date(S, Place("p", 20.0), SUMMER, _year(22, 4))
    assert "never falls below" in found.how
    assert abs((found.day - date(2032, 1, 18)).days) <= 3


def test_cluster_date_moves_with_a_hot_summer():
    """Weather of one hot summer moves the date of latitude alone later, not earlier."""
    place = Place("p", 37.0, elevation_m=300.0)
    alone = cluster_date(S, place, SUMMER)
    hot = cluster_date(S, place, SUMMER, [(date(2031, 5, 1) + timedelta(days=i), 38.0, 20.0) for i in range(80)])
    few = cluster_date(S, place, SUMMER, [(date(2031, 5, 1) + timedelta(days=i), 38.0, 20.0) for i in range(44)])
    just = cluster_date(S, place, SUMMER, [(date(2031, 5, 1) + timedelta(days=i), 38.0, 20.0) for i in range(45)])
    assert hot.day > alone.day
    assert just.day > alone.day
    assert few.day == alone.day


def test_cluster_date_set_and_clustered():
    """A set date is taken as it is; in midwinter the colony is clustered already."""
    place = Place("p", 45.0)
    assert cluster_date(Settings(cluster_date="10-20"), place, SUMMER).day == date(2031, 10, 20)
    assert cluster_date(Settings(cluster_date="10-20"), place, date(2031, 10, 20)).day == date(2031, 10, 20)
    winter = cluster_date(Settings(cluster_date="10-20"), place, date(2031, 12, 20))
    assert winter.clustered
    assert winter.day == date(2032, 10, 20)
    assert cluster_date(S, place, date(2032, 1, 10)).clustered
    assert not cluster_date(S, place, SUMMER).clustered


@pytest.mark.parametrize(
    ("latitude", "day", "expected", "within"),
    # zonal means near the ground (textbook climatology, from memory; these are its inputs)
    [(30, date(2031, 7, 19), 26.8, 1.0), (40, date(2031, 1, 18), 4.6, 1.0), (-40, date(2031, 1, 18), 23.6, 1.0)],
)
def test_normal_temperature_turns_with_the_hemisphere(latitude, day, expected, within):
    """July in the north is January in the south; 6.5 K colder per kilometre (standard atmosphere)."""
    assert normal_mean_temp_c(latitude, 0, day) == pytest.approx(expected, abs=within)
    low, high = normal_mean_temp_c(latitude, 0, day), normal_mean_temp_c(latitude, 1000, day)
    assert low - high == pytest.approx(6.5)


@pytest.mark.parametrize(
    ("latitude", "day", "brood", "phase"),
    [
        (37, date(2031, 1, 15), 5000.0, "resting with brood"),
        (37, date(2031, 1, 15), 0.0, "resting without brood"),
        (37, date(2031, 1, 15), None, "resting with brood"),
        (37, date(2031, 4, 15), 5000.0, "growing"),
        (37, date(2031, 6, 21), 5000.0, "peak"),
        (37, date(2031, 8, 15), 5000.0, "shrinking"),
        (-37, date(2031, 12, 21), 5000.0, "peak"),
        (-37, date(2031, 2, 15), 5000.0, "shrinking"),
        (-37, date(2031, 7, 15), 0.0, "resting without brood"),
    ],
)
def test_season_phase_turns_with_the_hemisphere(latitude, day, brood, phase):
    """Phases follow the sun, so the south is half a year away."""
    assert season_phase(Place("p", latitude), day, None, brood) == phase


def test_season_phase_after_the_cluster_formed_is_resting():
    """When the next cluster date is most of a year away, this winter's has formed."""
    assert season_phase(Place("p", 45), date(2031, 11, 15), date(2032, 9, 27), 0.0) == "resting without brood"
    assert season_phase(Place("p", 45), date(2031, 9, 1), date(2031, 9, 27), 0.0) == "shrinking"
