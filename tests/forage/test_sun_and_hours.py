"""Sun against a general astronomy library; hours fit for flight and pollen."""

from __future__ import annotations

from datetime import UTC, date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tideover.forage.hours import DEFAULT_RULES, FlightRules, fit_for_flight, fit_for_pollen, hours, temp_at
from tideover.forage.sun import day_of_year, daylength_h, declination_rad, sine_of_elevation

astral = pytest.importorskip("astral")
astral_sun = pytest.importorskip("astral.sun")


DECLINATION_ERROR_DEG = 1.5
"""FAO-56 takes the single sine of Cooper 1969, off by up to about 1.5 degrees in autumn (from memory)."""
REFRACTION_DEG = 0.833
"""Sunrise as commonly counted: 34 minutes of arc of refraction and 16 of the sun's disc."""


@pytest.mark.parametrize("latitude", [-43.0, -30.0, 0.0, 15.0, 33.3, 36.0, 45.7, 52.0])
def test_day_length_against_astral(latitude: float) -> None:
    """As near as refraction, which theirs counts, and the error of the FAO-56 declination allow at each latitude."""
    place = astral.Observer(latitude=latitude, longitude=0.0)
    phi = np.radians(latitude)
    for k in range(0, 365, 13):
        day = date(2025, 1, 1) + timedelta(days=k)
        j = day_of_year(day)
        span = astral_sun.daylight(place, day, tzinfo=UTC)
        theirs = (span[1] - span[0]) / timedelta(hours=1)
        ours = float(daylength_h(latitude, j))
        delta = float(declination_rad(j))
        slope = np.sin(ours * np.pi / 24.0)
        refraction = 2.0 / 15.0 * REFRACTION_DEG / (np.cos(phi) * np.cos(delta) * slope)
        allowed = 2.0 / 15.0 * DECLINATION_ERROR_DEG * abs(np.tan(phi)) / (np.cos(delta) ** 2 * slope) + 0.03
        assert abs(theirs - refraction - ours) <= allowed


@pytest.mark.parametrize("latitude", [-35.0, 10.0, 33.3, 50.0])
def test_noon_height_against_astral(latitude: float) -> None:
    """Height of the sun at solar noon within the error of the FAO-56 declination, on average within half a degree."""
    place = astral.Observer(latitude=latitude, longitude=0.0)
    off = []
    for k in range(0, 365, 29):
        day = date(2025, 1, 1) + timedelta(days=k)
        noon = astral_sun.noon(place, day, tzinfo=UTC)
        theirs = astral_sun.elevation(place, noon, with_refraction=False)
        ours = float(np.degrees(np.arcsin(sine_of_elevation(latitude, day_of_year(day), 12.0))))
        off.append(abs(ours - theirs))

    assert max(off) <= DECLINATION_ERROR_DEG
    assert np.mean(off) <= 0.5


@given(st.floats(-60.0, 60.0), st.integers(1, 365))
def test_hemispheres_mirror(latitude: float, j: int) -> None:
    """Day and night at one latitude are night and day at its mirror."""
    assert float(daylength_h(latitude, j)) + float(daylength_h(-latitude, j)) == pytest.approx(24.0)


@given(st.floats(-10.0, 45.0), st.floats(0.0, 25.0), st.floats(7.0, 17.0), st.floats(0.0, 23.99))
def test_day_course_stays_between_low_and_high(low: float, span: float, length: float, hour: float) -> None:
    """The sine day never leaves the day's low and high."""
    t = float(temp_at(low + span, low, length, hour))

    assert low - 1e-9 <= t <= low + span + 1e-9


@given(st.floats(8.0, 16.0))
def test_high_is_in_the_afternoon_and_low_at_sunrise(length: float) -> None:
    """The high lies one to three hours after noon, the low at sunrise."""
    grid = np.arange(0.0, 24.0, 0.05)
    t = temp_at(38.0, 22.0, length, grid)

    assert 13.0 <= grid[int(np.argmax(t))] <= 15.0
    assert grid[int(np.argmin(t))] == pytest.approx(12.0 - length / 2.0, abs=0.1)


@settings(deadline=None)
@given(st.floats(-50.0, 50.0), st.integers(1, 365), st.floats(-5.0, 48.0), st.floats(2.0, 22.0), st.floats(0.0, 50.0))
def test_hours_fit_in_the_day(latitude: float, j: int, tmax: float, span: float, rain: float) -> None:
    """Pollen hours never pass flight hours, nor flight hours the day."""
    flight, pollen = hours(latitude, j, tmax, tmax - span, rain)

    assert 0.0 <= float(pollen) <= float(flight) + 1e-9
    assert float(flight) <= float(daylength_h(latitude, j)) + 0.5


def test_morning_of_a_hot_day_still_counts() -> None:
    """On a 42 C day pollen hours fall but the morning is kept, and flight falls less."""
    fine = hours(33.0, 200, 32.0, 16.0)
    hot = hours(33.0, 200, 42.0, 24.0)

    assert 4.0 < float(hot[1]) < 0.7 * float(fine[1])
    assert float(hot[0]) > float(hot[1])


def test_cold_rain_and_wind_take_hours() -> None:
    """Each of cold, rain and wind leaves fewer hours than a fine day; frost leaves none."""
    fine = float(hours(40.0, 120, 22.0, 10.0, 0.0, 2.0)[0])

    assert float(hours(40.0, 120, 13.0, 4.0, 0.0, 2.0)[0]) < 0.3 * fine
    assert float(hours(40.0, 120, 22.0, 10.0, 12.0, 2.0)[0]) == pytest.approx(0.5 * fine)
    assert float(hours(40.0, 120, 22.0, 10.0, 0.0, 9.0)[0]) == 0.0
    assert float(hours(40.0, 15, 4.0, -5.0)[0]) == 0.0


@given(st.floats(-10.0, 55.0))
def test_pollen_is_never_fitter_than_flight(temp: float) -> None:
    """Heat stops pollen before it stops flying (Cooper et al. 1985), cold stops both alike."""
    assert float(fit_for_pollen(temp)) <= float(fit_for_flight(temp)) + 1e-12


def test_rules_refuse_knots_out_of_order() -> None:
    """Knots must rise."""
    assert DEFAULT_RULES.cold[0][1] == 0.0
    with pytest.raises(ValueError, match="cold of the flight rules"):
        FlightRules(cold=((16.0, 0.0), (12.0, 1.0)))
