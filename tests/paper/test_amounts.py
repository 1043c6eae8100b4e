"""Amounts and odds in words."""

from __future__ import annotations

from datetime import UTC, date, datetime

import pytest

from tests.samples import call, runway
from tideover.paper import amounts
from tideover.plan.call import Runway


@pytest.mark.parametrize(
    ("grams", "metric", "us"),
    [
        # one avoirdupois pound is exactly 453.59237 g (international yard and pound agreement, 1959)
        (453.59237, "455 g (1 lb)", "1 lb (455 g)"),
        (226.796185, "225 g (½ lb)", "½ lb (225 g)"),
        (113.3980925, "115 g (¼ lb)", "¼ lb (115 g)"),
        (680.388555, "680 g (1½ lb)", "1½ lb (680 g)"),
        (907.18474, "905 g (2 lb)", "2 lb (905 g)"),
        (500.0, "500 g (1.1 lb)", "1.1 lb (500 g)"),
        (2721.55422, "2.72 kg (6 lb)", "6 lb (2.72 kg)"),
        (0.0, "0 g (0.0 lb)", "0.0 lb (0 g)"),
    ],
)
def test_amount_stands_in_both_units_the_keepers_first(grams: float, metric: str, us: str) -> None:
    """Quarters of a pound where they fit, decimals elsewhere."""
    assert amounts.both(grams) == metric
    assert amounts.both(grams, "us") == us


@pytest.mark.parametrize(
    ("share", "said"),
    [(0.0, "under 1 %"), (0.004, "under 1 %"), (0.5, "50 %"), (0.994, "over 99 %"), (1.0, "over 99 %")],
)
def test_percent_is_never_a_false_certainty(share: float, said: str) -> None:
    """Even where every drawn future agrees: the next might not. The pages say the same."""
    assert amounts.percent(share) == said


def test_runway_beyond_the_horizon_gives_the_chance() -> None:
    """A null median is said as such, with the probability within the horizon."""
    assert amounts.runway(runway(None, 0.12)) == "not within 60 days (chance 12 %)"
    assert amounts.runway(runway(9)) == "9 days (6 to 16)"
    assert amounts.runway(Runway(41.0, 22.0, None, 0.7)) == "41 days (22 to over 60)"
    assert amounts.runway(Runway(0.0, 0.0, 0.0, 1.0)) == "none left"
    assert amounts.runway(Runway(0.0, 0.0, 8.0, 1.0)) == "none left (up to 8 days)"
    assert amounts.runway(Runway(0.0, 0.0, 1.0, 1.0)) == "none left (up to 1 day)"
    assert amounts.runway(Runway(1.2, 0.0, 4.0, 1.0)) == "1 day (0 to 4)"


def test_piece_left_too_long_is_said_to_be_due() -> None:
    """A pull-by before the round is not printed as if there were still time."""
    assert amounts.pull_by(call()) == "pull by Sun 20 Jul 09:30"
    late = call(action="take off", pull_by=datetime(2031, 7, 9, 6, 30, tzinfo=UTC))
    assert amounts.pull_by(late) == "due off since Wed 9 Jul"
    assert amounts.pull_by(call(action="leave")) == ""


def test_toss_up_and_thin_evidence_are_said() -> None:
    """A call that hardly beats the next is not dressed up as sure."""
    assert amounts.sure(call(sure=0.83)) == "83 % sure"
    assert amounts.sure(call(sure=0.52, toss_up=True, evidence="thin")) == "toss-up (52 %), thin evidence"


def test_days_have_their_month_in_letters() -> None:
    """14 July 2031 is a Monday (proleptic Gregorian calendar, as Python's datetime)."""
    assert amounts.day(date(2031, 7, 14)) == "Mon 14 Jul"
    assert amounts.hour(datetime(2031, 7, 20, 9, 5, tzinfo=UTC)) == "Sun 20 Jul 09:05"
