"""Forecasts in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

from tests.web.fake_desk import FakeDesk, runway
from tideover.plan.call import Runway
from tideover.web import say


def plain(text: str) -> str:
    """The words without the joiners that keep a range on one line."""
    return text.replace("\u2060", "")


def test_runway_within_the_horizon() -> None:
    """Median, then the range."""
    assert plain(say.runway(Runway(9.2, 5.4, 16.0, 0.93))) == "brood pays in 9 days (5–16)"
    assert plain(say.in_days(Runway(1.0, 0.2, 2.0, 1.0))) == "in 1 day (0–2)"
    assert plain(say.in_days(Runway(0.0, 0.0, 1.0, 1.0))) == "now (0–1)"
    assert say.runway(Runway(0.0, 0.0, 0.0, 1.0)) == "brood pays now"


def test_runway_past_the_horizon() -> None:
    """Nothing is claimed beyond the days looked at, and the chance within them is told."""
    assert say.runway(Runway(None, None, None, 0.12)) == "brood pays: not within 60 days (chance of it 12 %)"
    assert plain(say.in_days(Runway(41.0, 22.0, None, 0.7))) == "in 41 days (22 to over 60)"
    assert plain(say.in_days(Runway(None, 31.0, None, 0.3))) == "not within 60 days (chance of it 30 %)"


def test_percent_is_never_a_false_certainty() -> None:
    """Near 0 and 1 the rounding may not claim what the forecast does not."""
    assert say.percent(0.996) == "over 99 %"
    assert say.percent(0.004) == "under 1 %"
    assert say.percent(0.0) == "under 1 %"
    assert say.percent(1.0) == "over 99 %"
    assert say.percent(0.5) == "50 %"


def test_dates_name_the_month() -> None:
    """No order of numbers can be misread."""
    assert say.day(date(2026, 8, 4)) == "Tue 4 Aug"
    assert say.moment(datetime(2026, 8, 11, 14, 5)) == "Tue 11 Aug, 14:05"
    assert say.ago(None, date(2026, 8, 4)) == "not looked at yet"
    assert say.ago(date(2026, 7, 28), date(2026, 8, 4)) == "7 days ago"


def test_amount_and_sureness(desk: FakeDesk) -> None:
    """A call that gives nothing names no amount; a toss-up is called one."""
    calls = {c.action: c for c in desk.calls()}
    assert say.amount(calls["lay on"], "us") == "1 lb patty"
    assert say.amount(calls["lay on"], "metric") == "455 g patty"
    assert say.amount(calls["give sugar"], "metric") == "2 kg sugar"
    assert say.amount(calls["leave"], "us") == ""
    assert say.sure(replace(calls["leave"], toss_up=True, sure=0.55)) == "toss-up (55 %)"
    assert say.sure(replace(calls["leave"], toss_up=False, sure=0.83)) == "83 % sure"


def test_overdue_only_after_its_day(desk: FakeDesk) -> None:
    """A piece may stay through the day it is to be pulled."""
    call = next(c for c in desk.calls() if c.pull_by)
    assert call.pull_by is not None
    assert not say.overdue(call, call.pull_by.date())
    assert say.overdue(call, date(2026, 8, 12))


def test_call_made_by_a_gate_is_told_from_one_made_by_comparing(desk: FakeDesk) -> None:
    """A cause to be seen to was not found by comparing plans; laying on was, whatever gates stand beside it."""
    calls = {c.action: c for c in desk.calls()}
    assert say.sure(replace(calls["see to the cause first"], sure=None)) == "by a gate"


def test_every_milestone_of_the_model_has_words() -> None:
    """The names the model uses are all told in a keeper's words."""
    from tideover.colony.ensemble import MILESTONES

    assert set(MILESTONES) == set(say.MILESTONES)


def test_fake_runway_has_no_upper_end_past_forty() -> None:
    """The invented runways cover the open end too."""
    assert runway(45.0).high is None
