"""The call's parts hang together, for every hive of the invented round."""

from __future__ import annotations

import json
from datetime import timedelta

import numpy as np

from tideover.desk import Desk
from tideover.desk.objects import call_object
from tideover.plan.gates_table import KINDS


def test_calls_are_json_and_finite(desk: Desk) -> None:
    """Every call goes into strict JSON and comes back equal: no NaN, no infinity."""
    for c in desk.calls():
        text = json.dumps(call_object(c), allow_nan=False)
        assert json.loads(text) == json.loads(json.dumps(call_object(c)))


def test_same_books_same_calls(desk: Desk) -> None:
    """A second desk over the same books, asked in another order, gives the same calls."""
    again = Desk(desk.books, members=desk._members)
    for hive in ("quarry-10", "mill-race-03", "quarry-01"):
        assert call_object(again.hive(hive).line.call) == call_object(desk.hive(hive).line.call)


def test_runways_are_ordered_and_censored(desk: Desk) -> None:
    """Percentiles in order within the horizon, with the chance that goes with them."""
    for c in desk.calls():
        for r in (c.runway, *c.milestones.values()):
            told = [v for v in (r.low, r.median, r.high) if v is not None]
            assert told == sorted(told)
            assert all(0 <= v < 60 for v in told)
            assert (r.median is not None) == (r.p_within_horizon >= 0.5) or abs(r.p_within_horizon - 0.5) < 0.02
            assert 0.0 <= r.p_within_horizon <= 1.0


def test_first_runway_is_the_earlier_milestone(desk: Desk) -> None:
    """Running short is reserves low or larvae eaten, whichever comes first: at least as likely as either."""
    for c in desk.calls():
        for name in ("nurses' reserves low", "larvae being eaten"):
            assert c.runway.p_within_horizon >= c.milestones[name].p_within_horizon


def test_no_blocked_action_is_called(desk: Desk) -> None:
    """A gate that forbids an action is never followed by that action."""
    for c in desk.calls():
        for g in c.gates:
            if g.effect == "blocks":
                assert c.action not in KINDS[g.code].forbids


def test_what_is_laid_on_has_grams_a_product_and_a_pull_by(desk: Desk) -> None:
    """Grams and a pull-by go with laying on; grams of sugar with sugar; nothing with leaving alone."""
    for c in desk.calls():
        if c.action == "lay on":
            assert c.grams > 0
            assert c.product
            assert c.pull_by is not None
            assert timedelta(0) < c.pull_by.date() - c.made_for <= timedelta(days=14)
            assert c.loads_g >= c.grams
        elif c.action == "give sugar":
            assert c.grams >= 1000.0
        else:
            assert c.grams == 0.0


def test_thin_evidence_says_what_to_look_at(desk: Desk) -> None:
    """Where the evidence is thin the call asks for something by name."""
    thin = [c for c in desk.calls() if c.evidence == "thin"]
    assert thin
    assert all(c.ask for c in thin)
    assert all(c.action != "lay on" for c in thin)


def test_alternatives_are_held_against_the_call(desk: Desk) -> None:
    """Chances are chances, intervals are in order, the plan called does not beat itself."""
    for c in desk.calls():
        medians = [a.bees_at_winter.median for a in c.alternatives]
        assert medians == sorted(medians, reverse=True)
        for a in c.alternatives:
            for i in (a.bees_at_winter, a.brood_lost, a.honey_kg):
                assert 0.0 <= i.low <= i.median <= i.high
            assert 0.0 <= a.better_than_call <= 1.0
            assert 0.0 <= a.beetle_risk <= 1.0
            assert a.cost >= 0.0
            if a.action == "leave":
                assert a.grams_season == 0.0
            if a.grams_now and c.action == "lay on" and a.grams_now == c.grams and a.action == "lay on":
                assert a.better_than_call <= 0.5 or a.grams_season > a.grams_now


def test_drivers_name_entries_of_the_hive(desk: Desk) -> None:
    """Every reason that points at an entry points at one of the hive's own that stands."""
    for c in desk.calls():
        own = {e.id for e in desk.books.entries(hive=c.hive)}
        assert all(r.entry in own for r in c.reasons if r.entry is not None)


def test_every_look_is_read_before_the_round(desk: Desk) -> None:
    """The ensemble has as many members as the desk was asked for, all of them possible colonies."""
    for hive in ("quarry-01", "mill-race-03", "long-fallow-06"):
        e = desk._answer(hive).known.ensemble
        assert e.members == desk._members
        assert np.isfinite(e.state).all()
        assert e.state[:, :].shape[1] > 0
        assert e.adults().min() >= 0
