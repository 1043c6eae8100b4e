"""The yard index: a hot dry summer, autumn rain, winter, either hemisphere, notes and counts."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest

from tideover.forage.index import BloomNote, CountNote, LandDay, YardIndex, in_words, income_g, yard_index


def season(south: bool = False, autumn_rain: bool = True, irrigated: bool = False) -> list[LandDay]:
    """Sixteen months of made-up Mediterranean weather, on a fixed wave without noise.

    Rain every fifth day from autumn to spring, none in the ten hottest weeks; warmest 30 days after midsummer.
    """
    out = []
    first = date(2023, 9, 1)
    for k in range(490):
        day = first + timedelta(days=k)
        j = day.timetuple().tm_yday + (182 if south else 0)
        warm = float(np.cos(2 * np.pi * (j - 202) / 365.25))
        wet = 12.0 if (k % 5 == 0 and warm < 0.55) else 0.0
        if irrigated and k % 5 == 0:
            wet = 30.0
        if not autumn_rain and day >= date(2024, 8, 1) and not south:
            wet = 0.0
        out.append(LandDay(day, 25.0 + 12.0 * warm, 12.0 + 9.0 * warm, wet))
    return out


def median(index: YardIndex, first: date, last: date) -> float:
    """Mean over days of the median index."""
    return float(index.median[index.at(first) : index.at(last) + 1].mean())


@pytest.fixture(scope="module")
def north() -> YardIndex:
    """A yard at 36 N."""
    return yard_index(36.0, season(), until=date(2024, 12, 31), elevation_m=200.0)


def test_summer_dearth_and_autumn_recovery(north: YardIndex) -> None:
    """The index falls with drought in summer and comes back after autumn rain; winter days are poor."""
    spring = median(north, date(2024, 4, 1), date(2024, 4, 30))
    summer = median(north, date(2024, 8, 1), date(2024, 8, 31))
    autumn = median(north, date(2024, 10, 10), date(2024, 10, 31))
    winter = median(north, date(2024, 12, 15), date(2024, 12, 31))

    assert summer < 0.35 * spring
    assert autumn > 2.0 * summer
    assert winter < 0.3 * spring


def test_drought_and_soil_follow_the_weather(north: YardIndex) -> None:
    """Late summer is drier in both the drought index and the soil than spring."""
    spring, summer = north.at(date(2024, 4, 15)), north.at(date(2024, 8, 25))

    assert north.drought[summer] > north.drought[spring] + 50.0
    assert north.soil_ks[summer] < 0.1


def test_southern_summer_mirrors_the_northern() -> None:
    """No month is a constant: half a year shifted and mirrored gives the same course."""
    south = yard_index(-36.0, season(south=True), until=date(2024, 12, 31), elevation_m=200.0)
    summer = median(south, date(2024, 2, 1), date(2024, 2, 28))
    spring = median(south, date(2024, 10, 1), date(2024, 10, 31))

    assert summer < 0.4 * spring


def test_rain_opens_bloom_after_a_lag() -> None:
    """A single soaking in drought lifts the expectation between 3 and 21 days later, hardly before."""
    dry = season(autumn_rain=False)
    wet = [LandDay(d.day, d.temp_max_c, d.temp_min_c, 25.0) if d.day == date(2024, 8, 20) else d for d in dry]
    until = date(2024, 10, 5)
    a, b = yard_index(36.0, dry, until=until), yard_index(36.0, wet, until=until)
    lift = b.ground - a.ground
    k = b.at(date(2024, 8, 20))

    # before the rain only the estimate of the place's yearly rain moves, a little
    assert abs(lift[k - 1]) < 0.06
    assert lift[k + 1] < 0.45
    assert lift[k + 5] > 0.8
    assert lift[k + 18] > 0.8
    assert lift[k + 35] < 0.4 * lift[k + 10]


def test_water_keeps_flowers_in_heat() -> None:
    """Heat alone is not a dearth: the same heat with water gives several times the dry land's index."""
    dry = yard_index(36.0, season(), until=date(2024, 8, 31))
    watered = yard_index(36.0, season(irrigated=True), until=date(2024, 8, 31))

    assert watered.median[-1] > 2.5 * dry.median[-1]


def test_notes_move_and_narrow(north: YardIndex) -> None:
    """A bloom note moves the estimate its way, narrows it, and fades over weeks."""
    until = date(2024, 8, 31)
    plain = yard_index(36.0, season(), until=until)
    noted = yard_index(36.0, season(), [BloomNote(date(2024, 8, 10), "some")], until=until)
    k = plain.at(date(2024, 8, 10))

    assert noted.log_mean[k] > plain.log_mean[k] + 0.5
    assert noted.log_sd[k] < plain.log_sd[k]
    assert noted.log_mean[k] - plain.log_mean[k] > noted.log_mean[-1] - plain.log_mean[-1] > 0.0
    assert noted.log_sd[-1] > noted.log_sd[k]


def test_an_absurd_note_widens_instead_of_convincing() -> None:
    """Abundant bloom noted in a deep dearth leaves both answers open: more doubt, not a confident jump."""
    until = date(2024, 8, 31)
    plain = yard_index(36.0, season(), until=until)
    odd = yard_index(36.0, season(), [BloomNote(date(2024, 8, 25), "abundant")], until=until)
    k = plain.at(date(2024, 8, 25))

    assert odd.log_sd[k] > plain.log_sd[k]
    assert odd.median[k] < 0.6


def test_counts_and_notes_agree_on_a_dearth() -> None:
    """Few pollen bees in good hours pull the index down, many pull it up."""
    until = date(2024, 8, 12)
    poor = yard_index(36.0, season(), (), [CountNote(date(2024, 8, 10), 8.5, 27.0, 5.0, 110, 2)], until=until)
    rich = yard_index(36.0, season(), (), [CountNote(date(2024, 8, 10), 8.5, 27.0, 5.0, 300, 90)], until=until)

    assert poor.log_mean[-1] < rich.log_mean[-1] - 0.8


def test_order_of_entries_does_not_matter() -> None:
    """Weather and notes in any order give the same index, bit for bit."""
    days = season()
    notes = [
        BloomNote(date(2024, 5, 1), "some"),
        BloomNote(date(2024, 7, 1), "few", "mint"),
        BloomNote(date(2024, 7, 1), "few"),
    ]
    a = yard_index(36.0, days, notes, until=date(2024, 8, 1))
    b = yard_index(36.0, days[::-1], notes[::-1], until=date(2024, 8, 1))

    assert np.array_equal(a.ground, b.ground)
    assert a.log_mean == pytest.approx(b.log_mean, abs=1e-12)


def test_what_comes_after_is_not_looked_at() -> None:
    """Notes and weather after the day asked for change nothing."""
    until = date(2024, 7, 1)
    later = [BloomNote(date(2024, 7, 20), "abundant")]
    a = yard_index(36.0, [d for d in season() if d.day <= until], until=until)
    b = yard_index(36.0, season(), later, until=until)

    assert np.array_equal(a.log_mean, b.log_mean)


def test_gaps_are_filled_with_more_doubt() -> None:
    """Three weeks without weather: no hole in the arrays, more doubt than with it."""
    until = date(2024, 7, 1)
    full = season()
    holed = [d for d in full if not date(2024, 6, 5) <= d.day <= date(2024, 6, 26)]
    a, b = yard_index(36.0, full, until=until), yard_index(36.0, holed, until=until)

    assert len(a.days) == len(b.days)
    assert np.all(np.isfinite(b.log_mean))
    assert b.log_sd[b.at(date(2024, 6, 26))] > a.log_sd[a.at(date(2024, 6, 26))]
    assert np.abs(b.temp_max - a.temp_max).max() < 6.0


def test_no_weather_at_all_still_answers() -> None:
    """A yard with one note and no thermometer gets an index from its latitude, loosely."""
    index = yard_index(33.0, [], [BloomNote(date(2025, 7, 1), "few")], until=date(2025, 7, 10), elevation_m=600.0)

    assert index.days[-1] == date(2025, 7, 10)
    assert not index.known.any()
    assert index.log_sd[-1] > 0.4
    assert 25.0 < index.temp_max[-1] < 45.0


def test_paths_share_the_weather_and_the_doubt(north: YardIndex) -> None:
    """Whole paths: same seed same paths, medians on the index, neighbours in time strongly alike."""
    a, b = north.paths(800, 5), north.paths(800, 5)

    assert np.array_equal(a, b)
    assert np.median(a[:, -1]) == pytest.approx(north.log_mean[-1], abs=0.1)
    assert np.corrcoef(a[:, -1] - a[:, -1].mean(), a[:, -8] - a[:, -8].mean())[0, 1] > 0.6


def test_words_say_level_doubt_and_basis(north: YardIndex) -> None:
    """The sentence names the level, the doubt, and that nothing was seen."""
    said = in_words(north)

    assert "no bloom or count noted" in said
    assert "of a good flow" in said
    assert said.endswith(".")


def test_income_scale() -> None:
    """Index 1.0 on a fine day of eight pollen hours is 200 g for 25,000 bees."""
    assert float(income_g(1.0, 25_000.0, 8.0)) == pytest.approx(200.0)
    assert float(income_g(1.0, 25_000.0, 14.0)) == pytest.approx(250.0)
    assert float(income_g(1.0, 25_000.0, 0.0)) == 0.0


def test_nothing_given_is_refused() -> None:
    """Without weather, note or date there is no day to answer for."""
    with pytest.raises(ValueError, match="give the day"):
        yard_index(36.0, [])


@pytest.mark.parametrize(
    ("values", "says"),
    [((20.0, 25.0, 0.0), "low not above"), ((25.0, 20.0, -1.0), "rain is"), ((95.0, 70.0, 0.0), "wanted -70")],
)
def test_impossible_weather_is_refused(values: tuple[float, float, float], says: str) -> None:
    """Low above high, negative rain, Fahrenheit."""
    with pytest.raises(ValueError, match=says):
        LandDay(date(2025, 1, 1), *values)


def test_filled_temperatures_widen_the_season() -> None:
    """Days whose temperatures were filled in are followed with more doubt than read ones, never more than days unknown."""
    days = [d for d in season() if d.day <= date(2024, 9, 30)]
    gap = [date(2024, 9, 10) + timedelta(days=k) for k in range(20)]
    filled = [replace(d, temp_sd_c=2.0) if d.day in gap else d for d in days]
    gone = [d for d in days if d.day not in gap]
    note = [BloomNote(date(2024, 9, 9), "some")]
    read_, guessed, unknown = (
        float(yard_index(36.0, d, note, until=date(2024, 9, 30)).log_sd[-1]) for d in (days, filled, gone)
    )
    assert read_ < guessed - 0.005
    assert guessed < unknown
