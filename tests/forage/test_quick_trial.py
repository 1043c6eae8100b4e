"""The quick trial and the product are one model: the same season read by both says the same."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tests.forage import alert_trial, land_truth, quick_trial
from tideover.forage.alert import in_dearth
from tideover.forage.index import BloomNote, CountNote
from tideover.forage.notes import count_log_likelihood, day_likelihood


@pytest.fixture(scope="module")
def place() -> quick_trial.Place:
    """A land in real weather."""
    return quick_trial.place(500)


def test_a_season_read_by_both_says_the_same(place: quick_trial.Place) -> None:
    """Nine mornings from April to November with earlier years' notes: states equal, chances within five standard errors
    of two times 200 paths, and the same dearths told to within two days."""
    slow = alert_trial.season(500, 7, 28, taught=True, real=True)
    fast = quick_trial.season(place, watch_every=28)
    assert slow.truths == fast.truths
    assert slow.calendar == fast.calendar
    assert len(slow.weeks) == len(fast.weeks) == 9
    for a, b in zip(slow.weeks, fast.weeks, strict=True):
        error = 5.0 * np.sqrt(max(a.p_now * (1.0 - a.p_now), 0.01) * 2.0 / alert_trial.PATHS)
        assert abs(a.p_now - b.p_now) < error, a.today
        assert (a.today, a.state, a.true_now, a.true_within) == (b.today, b.state, b.true_now, b.true_within)
    assert len(slow.told) == len(fast.told) > 0
    for s, t in zip(slow.told, fast.told, strict=True):
        assert s.said == t.said
        assert s.taken_back == t.taken_back
        assert abs((s.start - t.start).days) <= 2


def test_runs_of_a_dearth_are_the_same() -> None:
    """Random paths about the line: every day of every path."""
    rng = np.random.default_rng(8)
    x = np.log(0.25) + 0.4 * np.cumsum(rng.standard_normal((60, 160)), axis=1) * 0.3
    assert in_dearth(x).any()
    assert np.array_equal(in_dearth(x), quick_trial.in_dearth(x))


def test_likelihood_of_a_day_is_the_same(place: quick_trial.Place) -> None:
    """A note and a count on the table's own points, against the product's functions on the same points."""
    day = place.land.days[1200]
    count = CountNote(day, 9.5, None, 2.0, 90, 21)
    assert quick_trial._table(count, 0.8) == pytest.approx(
        count_log_likelihood(count, quick_trial.TABLE, 0.8), abs=1e-9
    )
    mine = quick_trial._day_told(("few",), ((count, 0.8),))
    theirs = day_likelihood(quick_trial.TABLE, [BloomNote(day, "few")], [(count, 0.8)])
    assert mine == pytest.approx(theirs, abs=1e-9)
    pair = ((count, 0.8), (CountNote(day, 9.5, None, 2.0, 70, 9), 0.8))
    theirs = day_likelihood(quick_trial.TABLE, [BloomNote(day, "few")], pair)
    assert quick_trial._day_told(("few",), pair) == pytest.approx(theirs, abs=1e-9)


def test_hives_of_a_yard_are_alike_by_the_share_they_are_said_to_be() -> None:
    """Under plenty, where chance counts for nothing: log counts scatter by 0.5, and two hives' of a day go together by 0.3.

    Over 60 yards a correlation of 0.3 is known to about 0.02 on 365 days each, and by the lasting part to 0.05.
    """
    days = [date(2021, 1, 1) + timedelta(days=k) for k in range(365)]
    plenty = np.full(365, 100.0)
    land = land_truth.LandYears(34.0, days, plenty, plenty, plenty, plenty)
    logs = []
    for seed in range(60):
        first = [pollen for *_, pollen in land_truth.notes(land, 2021, seed, 1)]
        others = land_truth.other_hives(land, seed)
        logs.append(np.log([[p, *(q for _, q in others[d])] for d, p in zip(days, first, strict=True)]))
    x = np.concatenate(logs) - np.log(48.0 * 100.0**0.9)
    assert x.std(axis=0) == pytest.approx(0.5, abs=0.03)
    assert np.corrcoef(x.T)[np.triu_indices(3, 1)] == pytest.approx(0.3, abs=0.1)
