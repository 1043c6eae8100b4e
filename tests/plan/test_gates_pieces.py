"""Gates of pieces that came from a suspect hive; the rule is common practice (spores survive freezing), from memory."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from tests.plan.hives import QUIET, TODAY, days_ago, stand, state
from tideover.evidence.seen import HiveCase, Received
from tideover.plan.gates import asks, blocks, first_order, forced_action, gates
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation, situation

GOT = Received("B3-4", "quarry-02", days_ago(6), days_ago(7), 1, True, 68.0)


def _with(*received: Received) -> Situation:
    return replace(state(), received=received)


def _gates(s: Situation):  # type: ignore[no-untyped-def]
    return gates(s, QUIET, Settings(), s.place, TODAY)


def test_piece_still_on_is_taken_off_before_anything_is_laid_on() -> None:
    """A piece of a suspect hive lies here: take off, lay nothing on, unite and move nothing, look at the brood."""
    found = _gates(_with(GOT))
    gate = next(g for g in found if g.code == "suspect-piece-on")
    assert (gate.effect, forced_action(gate), gate.refers_to) == ("blocks", "take off", "inspector")
    assert "B3-4" in gate.seen
    assert "quarry-02" in gate.seen
    assert "not frozen" in gate.do
    first = first_order(found, "lay on")
    assert first is not None
    assert first.code == "suspect-piece-on"
    for action in ("lay on", "unite", "move the yard"):
        assert blocks(found, action) is not None
    assert "look for signs of brood disease" in asks(found, _with(GOT), Settings())


def test_piece_eaten_blocks_only_what_goes_to_other_hives() -> None:
    """It is gone: feeding is not forbidden by it, uniting and moving are."""
    found = stand(_with(replace(GOT, still_on=False)))
    gate = found["suspect-piece-eaten"]
    assert (gate.effect, forced_action(gate)) == ("blocks", None)
    only = [gate]
    assert blocks(only, "lay on") is None
    assert blocks(only, "unite") is not None


def test_second_hand_says_so() -> None:
    """A piece that lay with another's is told as coming by way of another hive."""
    assert "by way of another hive" in stand(_with(replace(GOT, hand=2)))["suspect-piece-on"].seen


@pytest.mark.parametrize("code", ["suspect-piece-on", "suspect-piece-eaten"])
def test_nothing_received_raises_neither(code: str) -> None:
    """A hive that got no such piece has no such gate."""
    assert code not in stand(_with())


def test_received_later_than_today_is_left_out() -> None:
    """The situation of a day knows no piece, and no suspicion, of a later day."""
    base = state()
    later = replace(GOT, on=TODAY + timedelta(days=1))
    not_yet = replace(GOT, suspect_since=TODAY + timedelta(days=1))
    case = HiveCase("quarry-05", base.place, received=(GOT, later, not_yet))
    assert situation(case, [], TODAY).received == (GOT,)
