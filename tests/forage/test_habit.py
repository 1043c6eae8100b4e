"""What earlier years teach: averaged by day of year, never surer than the years allow, off without them."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tideover.forage.filter import DEFAULT_DRIFT, Track
from tideover.forage.habit import habit
from tideover.forage.index import BloomNote, LandDay, outlook, yard_index


def years(n: int, wave: float, odd: float = 0.0) -> tuple[list[date], Track, np.ndarray]:
    """Years of a well-known land state that follows the same wave, each off by its own amount."""
    days = [date(2020, 1, 1) + timedelta(days=k) for k in range(365 * n)]
    j = np.array([d.timetuple().tm_yday for d in days])
    off = np.array([odd * (-1) ** d.year for d in days])
    u = wave * np.sin(2 * np.pi * j / 365) + off
    var = np.full(u.size, 0.02)
    noted = np.zeros(u.size, dtype=bool)
    noted[::7] = True
    return days, Track(u, var, u, var), noted


def test_habit_is_the_mean_of_the_years_drawn_towards_none() -> None:
    """Three years of a wave of 1.0: 3 / (3 + 0.35) of it, smoothed over nine days (about 1 % lower)."""
    got = habit(*years(3, 1.0))
    assert got is not None
    assert got.years == 3
    assert got.log.max() == pytest.approx(3 / 3.35, abs=0.03)
    assert int(np.argmax(got.log)) == pytest.approx(91, abs=4)


def test_years_that_agree_leave_less_doubt_than_years_that_do_not() -> None:
    """Never under half a log unit, never over the drift without any habit; one year alone takes none of it away."""
    alike, apart, one = habit(*years(4, 1.0)), habit(*years(4, 1.0, 0.8)), habit(*years(1, 1.0))
    assert alike is not None
    assert apart is not None
    assert one is not None
    assert 0.5 <= alike.left_sd < apart.left_sd <= DEFAULT_DRIFT.log_sd
    assert one.left_sd == DEFAULT_DRIFT.log_sd


def test_few_notes_teach_nothing() -> None:
    """Fewer than eight noted days in every year."""
    days, track, noted = years(3, 1.0)
    noted[:] = False
    noted[::100] = True
    assert habit(days, track, noted) is None


def test_index_and_futures_follow_the_habit() -> None:
    """A yard noted poor every July and rich every October: with the same summer, futures rise in October."""
    weather = [
        LandDay(date(2022, 1, 1) + timedelta(days=k), 24.0 - 8.0 * np.cos(2 * np.pi * (k % 365 - 20) / 365), 10.0, 2.0)
        for k in range(365 * 3 + 181)
    ]
    notes = [
        BloomNote(date(y, m, d), word)
        for y in (2022, 2023, 2024)
        for m, word in ((6, "some"), (7, "none"), (8, "none"), (10, "abundant"))
        for d in (3, 12, 22)
    ]
    old = yard_index(33.0, weather, notes, until=date(2024, 12, 31))
    learned = habit(old.days, old.track, old.noted)
    assert learned is not None
    until = date(2025, 6, 30)
    plain, taught = yard_index(33.0, weather, until=until), yard_index(33.0, weather, until=until, habit=learned)
    span = [outlook(i, date(2025, 11, 1), 300, 2) for i in (plain, taught)]
    july, october = 20, 106

    def rise(o: object) -> float:
        middle = np.median(o.log_index, axis=0)  # type: ignore[attr-defined]
        return float(middle[october] - middle[july])

    assert rise(span[1]) > rise(span[0]) + 1.0
    assert span[1].log_index[:, july].std() < span[0].log_index[:, july].std()
