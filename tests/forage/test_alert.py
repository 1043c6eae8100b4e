"""The dearth alert: what counts as a dearth, what is said when, and how it does over invented seasons."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tests.forage.alert_trial import report, season
from tideover.forage.alert import AlertRules, alert, chance, in_dearth, look_by, smooth

FIRST = date(2025, 5, 1)


def path(*runs: tuple[int, float]) -> np.ndarray:
    """A log index that holds each value for so many days."""
    return np.log(np.concatenate([np.full(n, v) for n, v in runs]))


def days(n: int) -> list[date]:
    """So many days from the first of May."""
    return [FIRST + timedelta(days=k) for k in range(n)]


def test_week_mean() -> None:
    """The mean of the last seven days, of fewer at the start (by hand)."""
    assert smooth(np.arange(10.0))[[0, 3, 6, 9]] == pytest.approx([0.0, 1.5, 3.0, 6.0])


def test_two_weeks_below_the_line_make_a_dearth_from_their_first_day() -> None:
    """A step to a twentieth: the mean of the week is 0.05^(k/7) after k days, 0.28 after three and 0.18 after four."""
    on = in_dearth(path((30, 1.0), (40, 0.05), (40, 1.0)))[0]
    assert on[:33].sum() == 0
    assert on[33:70].all()
    # back: 1.0^(4/7) x 0.05^(3/7) = 0.277 on the fourth day, and seven such days
    assert not on[73:].any()


def test_twelve_poor_days_are_no_dearth() -> None:
    """Shorter than two weeks does not count."""
    assert not in_dearth(path((30, 1.0), (12, 0.05), (60, 1.0))).any()


def test_a_good_week_is_needed_to_end_it() -> None:
    """Three good days in between do not."""
    on = in_dearth(path((30, 1.0), (30, 0.05), (3, 1.0), (30, 0.05), (1, 0.05)))[0]
    assert on[40:].all()


@pytest.mark.parametrize(
    ("runs", "today", "state"),
    [
        (((60, 1.0), (60, 1.0)), 60, "pollen"),
        (((60, 1.0), (6, 0.6), (54, 0.05)), 60, "dearth ahead"),
        (((30, 1.0), (90, 0.05)), 60, "dearth"),
        (((20, 1.0), (30, 0.05), (70, 1.0)), 65, "pollen is back"),
    ],
)
def test_states(runs: tuple[tuple[int, float], ...], today: int, state: str) -> None:
    """Each state from sure paths, with words that begin with it."""
    x = np.repeat(path(*runs)[None, :], 50, axis=0)
    told = alert(days(x.shape[1]), x, FIRST + timedelta(days=today))
    assert told.state == state
    assert told.words.endswith(".")


def test_probabilities_are_shares_of_paths() -> None:
    """Thirty of a hundred paths fall: 30 % within two weeks, and neither alert nor all clear."""
    good, bad = path((60, 1.0), (60, 1.0)), path((62, 1.0), (58, 0.05))
    x = np.concatenate([np.repeat(good[None], 70, 0), np.repeat(bad[None], 30, 0)])
    told = alert(days(120), x, FIRST + timedelta(days=60))
    assert told.p_within == pytest.approx(0.30)
    assert told.p_now == 0.0
    assert told.state == "cannot tell"


def test_lead_time_and_dates_told() -> None:
    """A fall twenty days on begins its dearth on the fourth day of it; one begun on 4 June is dated so."""
    x = np.repeat(path((60, 1.0), (10, 1.0), (50, 0.05))[None], 20, 0)
    told = alert(days(120), x, FIRST + timedelta(days=60))
    assert told.starts_in == (13.0, 13.0, 13.0)
    x = np.repeat(path((30, 1.0), (90, 0.05))[None], 20, 0)
    told = alert(days(120), x, FIRST + timedelta(days=60))
    assert told.began is not None
    assert told.began[1] == FIRST + timedelta(days=33)


def test_day_outside_is_refused() -> None:
    """Today must lie inside the days."""
    with pytest.raises(ValueError, match="inside"):
        alert(days(10), np.zeros((2, 10)), date(2024, 1, 1))


def test_seasons_of_an_invented_land() -> None:
    """The first six seasons of another program's land (``land_truth``), weekly notes: starts dated better than a calendar.

    The calendar knows the dearths of three earlier years without error. The whole trial, with its misses, is in
    docs/science/lookout.md.
    """
    got = report([season(s, watch_every=70) for s in range(6)])
    assert got["dearths"] >= 6
    assert got["dated at the end: start within 7 d"] >= 0.8
    assert got["dated at the end: start within 7 d"] > got["calendar: start within 7 d"]


def test_without_earlier_years_no_dearth_is_announced() -> None:
    """The same paths that call a dearth ahead are 'cannot tell' for a yard that taught nothing; a dearth on is told."""
    x = np.repeat(path((60, 1.0), (6, 0.6), (54, 0.05))[None, :], 50, axis=0)
    today = FIRST + timedelta(days=60)
    assert alert(days(120), x, today).state == "dearth ahead"
    untaught = alert(days(120), x, today, taught=False)
    assert untaught.state == "cannot tell"
    assert untaught.p_within == 1.0
    dry = np.repeat(path((30, 1.0), (90, 0.05))[None, :], 50, axis=0)
    assert alert(days(120), dry, today, taught=False).state == "dearth"


def test_a_dearth_two_times_in_five_is_said_with_its_doubt() -> None:
    """Forty of a hundred paths in dearth: said, as about as likely as not; thirty-nine: not said."""
    good, bad = path((120, 1.0)), path((30, 1.0), (90, 0.05))
    for n, state in ((40, "dearth"), (39, "cannot tell")):
        x = np.concatenate([np.repeat(bad[None], n, 0), np.repeat(good[None], 100 - n, 0)])
        told = alert(days(120), x, FIRST + timedelta(days=60))
        assert told.state == state
    x = np.concatenate([np.repeat(bad[None], 40, 0), np.repeat(good[None], 60, 0)])
    assert "about as likely as not, 40 %" in alert(days(120), x, FIRST + timedelta(days=60), taught=False).words


def test_a_look_is_asked_for_when_paths_disagree() -> None:
    """A fall four days on in half the paths: its week's mean is below the line from the fourth day of it, the eighth from now.

    So nothing is asked six days before that, and today when it is on in half; none where all agree.
    """
    good, fall = path((120, 1.0)), path((64, 1.0), (56, 0.05))
    x = np.repeat(np.stack([good, fall]), 20, axis=0)
    today = FIRST + timedelta(days=60)
    begins = FIRST + timedelta(days=67)
    assert look_by(days(120), x, today, None) == begins
    assert look_by(days(120), x, today - timedelta(days=1), None) is None
    assert look_by(days(120), x, begins + timedelta(days=2), None) == begins + timedelta(days=2)
    assert look_by(days(120), np.repeat(fall[None], 20, 0), today, None) is None


def test_while_a_dearth_is_said_a_small_chance_of_its_end_asks_for_a_look() -> None:
    """One path in ten, and one in twenty-five, back from the tenth day on: ten days on for the first, never for the second.

    A flow at 1.0 after 0.05 lifts the week's mean above the line on its fourth day. Without a dearth said the same
    chance of one beginning asks for nothing before it is a week off.
    """
    today, tenth = FIRST + timedelta(days=60), FIRST + timedelta(days=70)
    on, ends = path((120, 0.05)), path((67, 0.05), (53, 1.0))
    x = np.concatenate([np.repeat(on[None], 90, 0), np.repeat(ends[None], 10, 0)])
    assert look_by(days(120), x, today, None) == tenth
    assert look_by(days(120), x, today - timedelta(days=1), None) is None
    assert look_by(days(120), x, tenth, tenth - timedelta(days=1)) == tenth + timedelta(days=2)
    rare = np.concatenate([np.repeat(on[None], 96, 0), np.repeat(ends[None], 4, 0)])
    assert look_by(days(120), rare, today, None) is None
    good, falls = path((120, 1.0)), path((67, 1.0), (53, 0.05))
    y = np.concatenate([np.repeat(good[None], 85, 0), np.repeat(falls[None], 15, 0)])
    assert look_by(days(120), y, today, None) is None


def test_a_look_is_not_asked_for_again_within_three_days() -> None:
    """A note written yesterday: asked for in two days."""
    x = np.repeat(np.stack([path((120, 1.0)), path((30, 1.0), (90, 0.05))]), 20, axis=0)
    today = FIRST + timedelta(days=60)
    assert look_by(days(120), x, today, today - timedelta(days=1)) == today + timedelta(days=2)
    assert look_by(days(120), x, today, today - timedelta(days=9)) == today


def test_chances_are_set_right_by_their_odds() -> None:
    """By hand: two paths in five have odds of 2/3, told 0.87 + 1.19 ln(2/3) = 0.387, that is 0.596; the ends stay."""
    assert chance(0.4) == pytest.approx(0.596, abs=0.001)
    assert (chance(0.0), chance(1.0)) == (0.0, 1.0)
    assert chance(0.4, AlertRules(odds=(0.0, 1.0))) == pytest.approx(0.4)


def test_what_is_said_goes_by_shares_and_chances_follow() -> None:
    """Two paths in five in dearth: said from there on, told as 60 % with earlier years and as 40 % without."""
    good, bad = path((120, 1.0)), path((30, 1.0), (90, 0.05))
    x = np.concatenate([np.repeat(good[None], 60, 0), np.repeat(bad[None], 40, 0)])
    today = FIRST + timedelta(days=60)
    told, untaught = alert(days(120), x, today), alert(days(120), x, today, taught=False)
    assert told.state == untaught.state == "dearth"
    assert told.p_now == pytest.approx(0.596, abs=0.001)
    assert untaught.p_now == pytest.approx(0.4)
    assert "60 % likely" in told.words
    assert "about as likely as not, 40 %" in untaught.words
    assert told.p_within == told.p_now


def test_the_first_days_of_an_end_are_told_as_perhaps() -> None:
    """A flow after a dearth lifts the week's mean above the line on its fourth day: perhaps for five days, then back."""
    x = np.repeat(path((20, 1.0), (40, 0.05), (60, 1.0))[None], 50, axis=0)
    first_out = FIRST + timedelta(days=63)
    for later, state in ((0, "perhaps back"), (4, "perhaps back"), (5, "pollen is back")):
        told = alert(days(120), x, first_out + timedelta(days=later))
        assert told.state == state
        assert told.back is not None
        assert told.back[1] == first_out
    assert "told as sure from about Tuesday 8 July" in alert(days(120), x, first_out).words
    assert alert(days(120), x, first_out - timedelta(days=1)).state == "dearth"


def test_a_dearth_many_paths_never_had_is_taken_back_with_its_day() -> None:
    """Three paths in ten had one that ended: its day is told, with its doubt; two in ten are too few to speak of it."""
    good, had = path((120, 1.0)), path((20, 1.0), (30, 0.05), (70, 1.0))
    today = FIRST + timedelta(days=65)
    for n, state in ((30, "pollen is back"), (20, "pollen")):
        x = np.concatenate([np.repeat(had[None], n, 0), np.repeat(good[None], 100 - n, 0)])
        told = alert(days(120), x, today)
        assert told.state == state
    told = alert(days(120), np.concatenate([np.repeat(had[None], 30, 0), np.repeat(good[None], 70, 0)]), today)
    assert told.words.startswith("If there was a dearth, pollen is back, since about 12 days ago")
    assert told.back is not None
    assert told.back[1] == FIRST + timedelta(days=53)
