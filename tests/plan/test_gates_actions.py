"""What gates mean for the call: what they forbid, what they force, and properties that always hold."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import HealthCheck, given
from hypothesis import settings as effort
from hypothesis import strategies as st

from tests.plan.hives import (
    CLEAN_LOOK,
    FED_BEFORE,
    PLACE,
    QUIET,
    TODAY,
    event,
    laid,
    look,
    quiet,
    seen,
    stand,
    state,
    wash,
)
from tideover.evidence import words as w
from tideover.evidence.seen import HiveCase
from tideover.plan.call import Gate, Interval
from tideover.plan.gates import asks, blocks, first_order, forced_action, gates, in_order, then_texts, visit_gates
from tideover.plan.gates_table import KINDS, ORDER
from tideover.plan.settings import Settings
from tideover.plan.situation import situation

REPORTABLE = replace(PLACE, beetles="unknown", beetles_reportable="present")
FEW = effort(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def _list(s, **changes):
    return list(stand(s, **changes).values())


def _reportable(*more):
    return list(stand(quiet(*more, place=REPORTABLE, beetles="few"), place=REPORTABLE).values())


@pytest.mark.parametrize(
    ("found", "action", "code"),
    [
        (lambda: _list(quiet(brood_signs="yes")), "lay on", "brood-disease"),
        (lambda: _list(quiet(brood_signs="yes")), "unite", "brood-disease"),
        (lambda: _list(quiet(brood_signs="yes")), "look again", None),
        (lambda: _list(quiet(event("honey boxes on", 9))), "lay on", "honey-boxes-on"),
        (lambda: _list(quiet(event("honey boxes on", 9))), "give sugar", "honey-boxes-on"),
        (lambda: _list(quiet(event("honey boxes on", 9))), "leave", None),
        (lambda: _list(quiet(event("dead bees seen", 9))), "lay on", "dead-bees"),
        (lambda: _list(quiet(event("dead bees seen", 9))), "give water", None),
        (lambda: _list(quiet(pollen_coming="plenty")), "lay on", "pollen-coming"),
        (lambda: _list(quiet(pollen_coming="plenty")), "give sugar", None),
        (lambda: _list(quiet(many_eggs="yes")), "lay on", "laying-workers"),
        (lambda: _list(quiet(event("robbing seen", 2))), "give sugar", None),
        (lambda: _list(quiet(event("fire ban on", 2)), heat_index_f=110.0), "lay on", None),  # the visit, not the feed
        (lambda: _reportable(), "take off", "beetle-report"),
        (lambda: _list(quiet(), yard_suspects=("quarry-07",)), "unite", "yard-suspect"),
        (lambda: _list(quiet(), yard_suspects=("quarry-07",)), "lay on", None),
    ],
)
def test_blocks(found, action, code):
    """A gate that blocks forbids its own actions and no others."""
    gate = blocks(found(), action)
    assert (gate.code if gate else None) == code


@pytest.mark.parametrize(
    ("found", "action", "code", "forced"),
    [
        (lambda: _list(quiet()), None, None, None),
        (lambda: _list(quiet(brood_signs="yes", heft="very light")), None, "brood-disease", "see to the cause first"),
        (lambda: _list(quiet(heft="very light")), "lay on", "honey-short", "give sugar"),
        (lambda: _list(quiet(heft="very light")), "leave", "honey-short", "give sugar"),
        (
            lambda: _list(quiet(event("honey boxes on", 9), heft="very light")),
            None,
            "honey-short-boxes-on",
            "see to the cause first",
        ),
        (lambda: _list(quiet(laid(8))), None, "pull-by-past", "take off"),
        (lambda: _list(quiet(laid(3), beetle_larvae="yes")), None, "beetle-larvae", "take off"),
        (lambda: _list(quiet(fed=False, brood_signs="not looked")), "lay on", "disease-not-looked", "look again"),
        (lambda: _list(quiet(fed=False, brood_signs="not looked")), "leave", None, None),
        (lambda: _list(quiet(pollen_coming="plenty")), "lay on", "pollen-coming", "leave"),
        (lambda: _list(quiet(eggs="no", queen_seen="yes"), temp_max_c=40.0), "lay on", "brood-pause", "look again"),
        (lambda: _list(quiet(look(5, eggs="no"), eggs="no")), "leave", "no-queen", "see to the cause first"),
        (lambda: _list(quiet(event("fire ban on", 2)), heat_index_f=110.0), "lay on", None, None),
        (lambda: _list(quiet(event("robbing seen", 2))), "lay on", None, None),
        (lambda: _reportable(laid(9)), None, "beetle-report", "see to the cause first"),
    ],
)
def test_first_order(found, action, code, forced):
    """The first gate that forces an action is found, and only gates before the action in mind count."""
    gate = first_order(found(), action)
    assert (gate.code if gate else None) == code
    assert (forced_action(gate) if gate else None) == forced


def test_visit_gates_rule_only_the_visit():
    """Fire and heat are told apart from gates on the hive, and force nothing there."""
    found = _list(quiet(event("fire ban on", 2), laid(8)), heat_index_f=110.0)
    assert [g.code for g in visit_gates(found)] == ["fire-ban", "heat"]
    assert all(forced_action(g) is None for g in visit_gates(found))


def test_mites_and_feed_are_separate_calls():
    """A high count forces nothing and adds treating as a call of its own; no count asks for one."""
    high = _list(state(look(), wash(20, 300)))
    assert first_order(high, "lay on") is None
    assert blocks(high, "lay on") is None
    assert then_texts(high) == ("Treat for mites within the label, as a call of its own.",)
    s = state(look())
    none = _list(s)
    assert first_order(none, "lay on") is None
    assert "count mites this visit" in asks(none, s, Settings())


def test_then_leaves_out_what_the_call_says():
    """Taking off is not said twice when it is the call itself."""
    found = _list(quiet(laid(8)))
    assert then_texts(found, "take off") == ()
    assert then_texts(found, "see to the cause first") == ("Take off the piece that is at its pull-by.",)


def test_asks_names_each_thing_once():
    """What to look at is listed once, in the order of the gates."""
    s = state(look(drop=("brood_signs",), deformed_wings="yes", heft="light"), fed=False)
    assert asks(_list(s), s, Settings()) == (
        "look for signs of brood disease",
        "count mites this visit",
        "heft the hive",
    )


def test_order_is_safety_then_diagnosis_then_use():
    """Safety and law come before wrong diagnosis, and that before usefulness."""
    groups = (
        ("brood-disease", "beetle-report", "dead-bees", "fire-ban", "heat", "honey-boxes-on", "pull-by-past"),
        ("honey-short", "laying-workers", "no-queen", "disease-not-looked", "brood-pause", "mites-high", "robbing"),
        ("pollen-coming", "stop-date", "patty-left", "low-confidence"),
    )
    for before, after in pairwise(groups):
        assert max(ORDER[c] for c in before) < min(ORDER[c] for c in after)


WORDS = {
    "heft": w.HEFT,
    "nest_pollen": w.POLLEN_NEST,
    "outer_pollen": w.POLLEN_OUTER,
    "jelly": w.JELLY,
    "beetles": w.BEETLES,
    "pollen_coming": w.POLLEN_COMING,
    "eggs": w.YES_NO,
    "brood_signs": w.YES_NO,
    "deformed_wings": w.YES_NO,
    "many_eggs": w.YES_NO,
    "drone_in_worker": w.YES_NO,
    "beetle_larvae": w.YES_NO,
    "queen_seen": w.YES_NO,
}
SIGNS = [n for n, v in WORDS.items() if v is w.YES_NO]
LOOKS = st.fixed_dictionaries(
    {},
    optional={n: st.sampled_from(v) for n, v in WORDS.items()}
    | {
        "capped_quarters": st.sampled_from([0.0, 2.0, 4.0]),
        "open_quarters": st.sampled_from([0.0, 0.5, 2.0]),
        "patty_left": st.sampled_from([0.0, 1.0]),
    },
)
EVENTS = st.lists(st.tuples(st.sampled_from(w.EVENTS), st.integers(0, 40)), max_size=3)


@st.composite
def histories(draw):
    """A few looks, events, pieces and washes in the last forty days."""
    days = draw(st.sets(st.integers(0, 40), max_size=3))
    entries = [seen("look", ago, id=f"look-{ago}", **draw(LOOKS)) for ago in days]
    entries += [event(what, ago, 10.0) for what, ago in draw(EVENTS)]
    entries += [laid(ago) for ago in draw(st.sets(st.integers(0, 20), max_size=2))]
    if draw(st.booleans()):
        entries += [wash(draw(st.integers(0, 40)), draw(st.sampled_from([None, 100, 300])), draw(st.integers(0, 50)))]
    return entries


FORECASTS = st.builds(
    lambda q, d, t, k: replace(QUIET, p_queenless=q, p_dearth=d, temp_max_c=t, honey_kg=Interval(0.8 * k, 0.6 * k, k)),
    st.floats(0, 1),
    st.floats(0, 1),
    st.floats(15, 48),
    st.floats(1, 30),
)


def _gates(entries, o, place=PLACE) -> list[Gate]:
    case = HiveCase("quarry-03", place, seen=tuple(entries))
    return gates(situation(case, (), TODAY), o, Settings(), place, TODAY, "at the hive")


@FEW
@given(histories(), FORECASTS, st.randoms(use_true_random=False))
def test_gates_do_not_depend_on_the_order_of_entries(entries, o, rng: random.Random):
    """Entries in any order give the same gates, in the fixed order."""
    mixed = list(entries)
    rng.shuffle(mixed)
    found = _gates(entries, o)
    assert _gates(mixed, o) == found
    turned = list(found)
    rng.shuffle(turned)
    assert in_order(turned) == found
    assert [ORDER[g.code] for g in found] == sorted(ORDER[g.code] for g in found)
    assert len({g.code for g in found}) == len(found)


@FEW
@given(histories(), FORECASTS)
def test_missing_mite_count_never_blocks_or_orders(entries, o):
    """Taking every mite count away changes nothing but warnings about mites."""
    without = [e for e in entries if e.kind != "mite wash"]
    rest = [g for g in _gates(entries, o) if not g.code.startswith("mites")]
    bare = _gates(without, o)
    assert [g for g in bare if not g.code.startswith("mites")] == rest
    assert all(g.effect == "warns" for g in bare if g.code.startswith("mites"))


@FEW
@given(histories(), FORECASTS, st.sampled_from(SIGNS))
def test_not_looked_changes_no_gate_and_never_reads_as_no(entries, o, name):
    """Adding 'not looked' to the newest look that leaves the field out changes no gate."""
    case = HiveCase("quarry-03", PLACE, seen=tuple(entries))
    before = situation(case, (), TODAY)
    more = seen("look", 0, 23.0, id="later", **{name: "not looked"})
    blank = seen("look", 0, 23.0, id="later")
    after = situation(replace(case, seen=(*entries, more)), (), TODAY)
    assert (after.sign(name).answer == "no") is (before.sign(name).answer == "no")
    if name == "eggs":
        return  # it makes the look a comb look, which is itself a fact
    with_it = [(g.code, g.effect) for g in _gates([*entries, more], o)]
    assert with_it == [(g.code, g.effect) for g in _gates([*entries, blank], o)]


@FEW
@given(histories(), FORECASTS)
def test_forced_action_is_never_itself_blocked(entries, o):
    """The action a gate forces is never one that another gate forbids."""
    for place in (PLACE, REPORTABLE):
        found = _gates(entries, o, place)
        gate = first_order(found)
        if gate:
            action = forced_action(gate)
            assert action is not None
            assert blocks(found, action) is None


@FEW
@given(histories(), FORECASTS)
def test_effects_agree_with_the_table(entries, o):
    """What blocks forbids something, and what only warns forces nothing."""
    for gate in _gates(entries, o):
        kind = KINDS[gate.code]
        assert (gate.effect == "blocks") is bool(kind.forbids), gate.code
        if gate.effect == "warns":
            assert forced_action(gate) is None


@FEW
@given(histories(), FORECASTS)
def test_no_laid_piece_outstays_its_pull_by_in_silence(entries, o):
    """A piece at its pull-by is always ordered off, warned of, or under a rule that nothing moves."""
    s = situation(HiveCase("quarry-03", PLACE, seen=tuple(entries)), (), TODAY)
    if s.patty is None or s.died is not None or (TODAY - s.patty.on).days < 7:
        return
    codes = {g.code for g in _gates(entries, o)}
    assert codes & {"pull-by-past", "pull-by-due"}


def test_clean_look_covers_every_sign():
    """The quiet hive answers every sign, so that a property on it is about an answered hive."""
    assert set(SIGNS) - set(CLEAN_LOOK) == {"queen_seen"}
    assert FED_BEFORE[0].kind == "laid on"
