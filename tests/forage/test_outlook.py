"""Futures: the same draws for the same seed, no persistence, honest spread."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tideover.forage.index import BloomNote, LandDay, YardIndex, outlook, yard_index
from tideover.forage.outlook import Forecast

TODAY = date(2025, 8, 15)
UNTIL = date(2025, 12, 31)


def made_up(first: date, last: date, seed: int) -> list[LandDay]:
    """Made-up weather of a dry inland valley at 33 N: a wave, slow swings, showers in late summer."""
    rng = np.random.default_rng(seed)
    out, swing = [], 0.0
    for k in range((last - first).days + 1):
        day = first + timedelta(days=k)
        wave = float(np.cos(2 * np.pi * (day.timetuple().tm_yday - 202) / 365.25))
        swing = 0.7 * swing + rng.normal(0.0, 1.7)
        wet = rng.random() < (0.15 if 210 < day.timetuple().tm_yday < 270 else 0.07)
        top = 27.0 + 11.0 * wave + swing
        out.append(LandDay(day, top, top - 14.0, float(rng.exponential(8.0)) if wet else 0.0))
    return out


@pytest.fixture(scope="module")
def index() -> YardIndex:
    """A yard in August of its first season."""
    return yard_index(33.3, made_up(date(2025, 3, 1), TODAY, 1), [BloomNote(date(2025, 8, 10), "none")], until=TODAY)


def test_same_seed_same_futures(index: YardIndex) -> None:
    """Plans are compared on the same draws; another seed gives others."""
    a, b, c = outlook(index, UNTIL, 50, 4), outlook(index, UNTIL, 50, 4), outlook(index, UNTIL, 50, 5)

    assert np.array_equal(a.log_index, b.log_index)
    assert np.array_equal(a.rain, b.rain)
    assert not np.array_equal(a.log_index, c.log_index)


@pytest.mark.parametrize("years", [0, 3])
def test_shapes_ranges_and_days(index: YardIndex, years: int) -> None:
    """Arrays are (members, days), start tomorrow, and hold possible weather."""
    past = [made_up(date(y, 1, 1), date(y, 12, 31), y) for y in range(2025 - years, 2025)]
    o = outlook(index, UNTIL, 200, 1, past)
    width = (UNTIL - TODAY).days

    assert o.days[0] == TODAY + timedelta(days=1)
    assert o.days[-1] == UNTIL
    for a in (o.log_index, o.temp_max, o.temp_min, o.flight_h, o.pollen_h, o.rain):
        assert a.shape == (200, width)
        assert np.all(np.isfinite(a))
    assert o.daylength_h.shape == (width,)
    assert np.all(o.temp_min <= o.temp_max)
    assert np.all(o.rain >= 0.0)
    assert np.all(o.pollen_h <= o.flight_h + 1e-9)


def test_tomorrow_is_near_today_and_spread_widens(index: YardIndex) -> None:
    """Futures start at today's estimate and widen to a seasonal prior."""
    o = outlook(index, UNTIL, 2000, 2)

    assert np.median(o.log_index[:, 0]) == pytest.approx(index.log_mean[-1], abs=0.25)
    assert o.log_index[:, 0].std() == pytest.approx(index.log_sd[-1], rel=0.2)
    assert o.log_index[:, 60].std() > 1.3 * o.log_index[:, 0].std()


def test_a_dearth_does_not_persist() -> None:
    """Today's departure from the expectation fades: two yards that differ today agree in four months."""
    weather = made_up(date(2025, 3, 1), TODAY, 1)
    poor = yard_index(33.3, weather, [BloomNote(TODAY, "none")], until=TODAY)
    rich = yard_index(33.3, weather, [BloomNote(TODAY, "abundant")], until=TODAY)
    a, b = outlook(poor, UNTIL, 3000, 3), outlook(rich, UNTIL, 3000, 3)
    gap = np.median(b.log_index, axis=0) - np.median(a.log_index, axis=0)

    assert gap[0] > 1.5
    assert abs(gap[-1]) < 0.15 * gap[0]


def test_past_years_bring_their_own_rain(index: YardIndex) -> None:
    """Futures drawn from wet years are wetter and richer than from dry ones."""
    wet = [
        [
            LandDay(d.day, d.temp_max_c, d.temp_min_c, 15.0 if d.day.day % 4 == 0 else 0.0)
            for d in made_up(date(y, 1, 1), date(y, 12, 31), y)
        ]
        for y in (2023, 2024)
    ]
    dry = [[LandDay(d.day, d.temp_max_c, d.temp_min_c, 0.0) for d in year] for year in wet]
    a, b = outlook(index, UNTIL, 500, 6, wet), outlook(index, UNTIL, 500, 6, dry)

    assert a.rain.mean() > 10.0 * max(b.rain.mean(), 0.01)
    assert np.median(a.log_index[:, 45]) > np.median(b.log_index[:, 45]) + 0.5
    assert "2 past years" in a.basis


def test_short_years_are_left_out(index: YardIndex) -> None:
    """A past year with half its days is not drawn from."""
    o = outlook(index, UNTIL, 20, 1, [made_up(date(2024, 1, 1), date(2024, 6, 30), 1)])

    assert "usual weather" in o.basis


def test_one_season_teaches_the_wave() -> None:
    """Held-out autumn: the 80 % band of daily highs drawn in August covers it most of the time, over seasons."""
    covered = []
    for seed in range(8):
        days = made_up(date(2025, 3, 1), UNTIL, 100 + seed)
        ix = yard_index(33.3, [d for d in days if d.day <= TODAY], until=TODAY)
        o = outlook(ix, UNTIL, 400, seed)
        low, high = np.quantile(o.temp_max, (0.1, 0.9), axis=0)
        truth = np.array([d.temp_max_c for d in days if d.day > TODAY])
        covered.append(float(np.mean((truth >= low) & (truth <= high))))

    assert 0.65 < np.mean(covered) < 0.97


def test_a_future_goes_on_from_its_own_past(index: YardIndex) -> None:
    """Given each member's own path, its future starts there; given too few, it is refused."""
    today = index.paths(300, 9)[:, -1]
    o = outlook(index, UNTIL, 300, 1, today_log_index=today)

    assert np.corrcoef(o.log_index[:, 0], today)[0, 1] > 0.9
    with pytest.raises(ValueError, match="one per future"):
        outlook(index, UNTIL, 10, 1, today_log_index=today)


def test_until_not_after_today_takes_the_horizon(index: YardIndex) -> None:
    """Asked for a day already past, the default horizon is drawn."""
    assert len(outlook(index, TODAY, 5, 1, horizon_days=30).days) == 30


def test_no_members_is_refused(index: YardIndex) -> None:
    """At least one future."""
    with pytest.raises(ValueError, match="one or more"):
        outlook(index, UNTIL, 0, 1)


def test_forecast_bends_the_first_days_and_fades(index: YardIndex) -> None:
    """The first day's futures stand about the forecast, with its error; from the twelfth day all is as without it."""
    made = TODAY + timedelta(days=1)
    days = tuple(LandDay(made + timedelta(days=k), 46.0, 30.0, 0.0) for k in range(16))
    plain, bent = outlook(index, UNTIL, 2000, 4), outlook(index, UNTIL, 2000, 4, forecast=Forecast(made, days))

    assert bent.temp_max[:, 0].mean() == pytest.approx(46.0, abs=0.1)
    assert bent.temp_max[:, 0].std() == pytest.approx(1.2, abs=0.1)
    assert bent.temp_max[:, 4].std() > bent.temp_max[:, 0].std()
    assert plain.temp_max[:, 9].mean() < bent.temp_max[:, 9].mean() < 46.0
    assert np.array_equal(plain.temp_max[:, 12:], bent.temp_max[:, 12:])
    assert np.array_equal(plain.rain[:, 12:], bent.rain[:, 12:])
    # told dry, fewer futures have rain; but a forecast may be wrong
    assert 0.0 < (bent.rain[:, 0] > 1.0).mean() < (plain.rain[:, 0] > 1.0).mean()
    assert bent.basis.endswith(f"forecast of {made}")
