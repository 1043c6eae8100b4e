"""Every gram of a season is somewhere: by batch, by yard, in all, in any order, with entries missing."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.patty.ledger_season import HIVES, START, season
from tideover.patty.ledger import balance
from tideover.patty.ledger.facts import Fact
from tideover.patty.ledger.fold import fold

GRAM = 1e-6


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000))
def test_balance_of_a_whole_season_is_the_true_one(seed: int) -> None:
    """With every entry written, each account of each batch and yard is what was truly there, and nothing is open.

    The truth is kept by the season's own generator, which knows nothing of accounts.
    """
    s = season(seed)
    ledger = fold(s.facts)
    assert ledger.holes == ()
    for name in s.made:
        b = balance.of_batch(ledger, name)
        assert b.got_g == pytest.approx(s.made[name], abs=GRAM)
        assert b.off_g == pytest.approx(0.0, abs=GRAM)
        got = (b.held["shelf"], b.held["eaten"], b.held["discarded"], b.held["cold box"], b.held["on hive"])
        true = (s.shelf[name], s.eaten[name], s.discarded[name], s.cold[name], s.on[name])
        # a piece seen but not yet taken off has been eaten into: only the last pieces can differ, and only so
        assert got[0] == pytest.approx(true[0], abs=GRAM)
        assert got[1] + got[4] == pytest.approx(true[1] + true[4], abs=GRAM)
        assert got[2:4] == pytest.approx(true[2:4], abs=GRAM)
        assert b.open_g == pytest.approx(0.0, abs=GRAM)
    for yard in ("a", "b"):
        y = balance.of_yard(ledger, yard)
        assert y.got_g == pytest.approx(s.yard_laid[yard], abs=GRAM)
        assert y.off_g == pytest.approx(0.0, abs=GRAM)
        assert y.held["eaten"] + y.held["on hive"] >= s.yard_eaten[yard] - GRAM
    everything = balance.of_all(ledger)
    assert everything.got_g == pytest.approx(sum(s.made.values()), abs=GRAM)
    assert everything.off_g == pytest.approx(0.0, abs=GRAM)


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000), st.randoms(use_true_random=False))
def test_fold_any_order_and_twice(seed: int, rng: random.Random) -> None:
    """The order facts arrive in, and the same fact twice, change nothing."""
    facts = season(seed).facts
    mixed = [*facts, *facts[: len(facts) // 2]]
    rng.shuffle(mixed)
    one, other = fold(facts), fold(mixed)
    assert one.moves == other.moves
    assert one.holes == other.holes


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_balance_holds_with_an_entry_missing(seed: int, which: int) -> None:
    """Whatever entry is left out, grams in are still grams out; what cannot be placed has an account of its own."""
    facts = season(seed).facts
    gone = facts[which % len(facts)]
    ledger = fold([f for f in facts if f is not gone])
    for name in ledger.batches:
        assert balance.of_batch(ledger, name).off_g == pytest.approx(0.0, abs=GRAM)
    assert balance.of_all(ledger).off_g == pytest.approx(0.0, abs=GRAM)
    for yard in ("a", "b"):
        assert balance.of_yard(ledger, yard).off_g == pytest.approx(0.0, abs=GRAM)


@settings(max_examples=80, deadline=None)
@given(st.integers(0, 10_000), st.integers(0, 10_000))
def test_hole_names_the_missing_entry(seed: int, which: int) -> None:
    """Leave out a taking off with a rest, a freezing or a batch: a hole asks for that very kind, hive and piece."""
    facts = season(seed).facts
    asked = [f for f in facts if (f.kind == "taken off" and f.grams) or f.kind in ("cold box", "batch", "discarded")]
    if not asked:
        return
    gone = asked[which % len(asked)]
    ledger = fold([f for f in facts if f is not gone])
    fixes = [(x.kind, x.hive, x.values.get("piece", x.values.get("batch"))) for h in ledger.holes for x in h.fixes]
    assert (gone.kind, None if gone.kind == "batch" else gone.hive, gone.piece or gone.batch) in fixes


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10_000))
def test_hole_closes_with_what_it_asks_for(seed: int) -> None:
    """Writing the entry a hole asks for, as prefilled, closes that hole."""
    facts = season(seed).facts
    frozen = [f for f in facts if f.kind == "cold box"]
    if not frozen:
        return
    gone = frozen[seed % len(frozen)]
    rest = [f for f in facts if f is not gone]
    later_use = any(f.piece == gone.piece and f.kind == "laid on" and f.at > gone.at for f in rest)
    if later_use:
        return
    before = fold(rest)
    hole = next(h for h in before.holes if h.code == "where-did-it-go" and h.piece == gone.piece)
    fix = hole.fixes[0]
    weight = fix.values["weight"]
    assert isinstance(weight, float)
    written = Fact("new", fix.kind, hole.at + timedelta(hours=3), fix.yard, fix.hive, piece=gone.piece, grams=weight)
    after = fold([*rest, written])
    assert hole not in after.holes
    assert len(after.holes) == len(before.holes) - 1


def _batch(grams: float = 2000.0) -> Fact:
    return Fact("b", "batch", START, "a", batch="B1", grams=grams)


def _laid(entry: str, days: float, grams: float = 300.0, hive: str = "a1", **more: object) -> Fact:
    return Fact(entry, "laid on", START + timedelta(days=days), HIVES[hive], hive, grams=grams, **more)  # type: ignore[arg-type]


def test_another_piece_laid_on_asks_what_became_of_the_first() -> None:
    """A piece followed by another with nothing between: a hole with 'it was eaten' first, dated before the second."""
    ledger = fold([_batch(), _laid("1", 0, batch="B1", piece="B1-1"), _laid("2", 14, batch="B1", piece="B1-2")])
    (hole,) = ledger.holes
    assert (hole.code, hole.grams, hole.piece) == ("not-said", 300.0, "B1-1")
    assert hole.fixes[0].kind == "taken off"
    assert hole.fixes[0].values == {"piece": "B1-1", "patty_left": 0.0}
    assert hole.fixes[0].at is not None
    assert hole.fixes[0].at < START + timedelta(days=14)
    assert hole.say(lambda g: f"{g:.0f} g") == (
        "Piece B1-1 was on a1 (300 g when last known) when another was laid on; what became of it is not written."
    )
    eaten = Fact("3", "taken off", hole.fixes[0].at, "a", "a1", piece="B1-1", quarters=0.0)
    assert fold([_batch(), *_two(), eaten]).holes == ()


def _two() -> list[Fact]:
    return [_laid("1", 0, batch="B1", piece="B1-1"), _laid("2", 14, batch="B1", piece="B1-2")]


def test_pieces_in_two_places_lie_there_together() -> None:
    """A piece between the boxes and one on the top bars are both on; a look speaks of the newer one."""
    first = _laid("1", 0, place="between boxes")
    second = _laid("2", 5, place="top bars over brood")
    seen = Fact("3", "seen", START + timedelta(days=7), "a", "a1", quarters=1.0)
    ledger = fold([first, second, seen])
    assert ledger.holes == ()
    assert sorted(s.left_g for p in ledger.pieces.values() for s in p.on) == [75.0, 300.0]


def test_two_pieces_of_one_visit_are_seen_together() -> None:
    """Two pieces laid on at one visit and half of them left: half of each is left."""
    seen = Fact("3", "seen", START + timedelta(days=7), "a", "a1", quarters=2.0)
    ledger = fold([_laid("1", 0), _laid("2", 0.01, 200.0), seen])
    assert sorted(s.left_g for p in ledger.pieces.values() for s in p.on) == [100.0, 150.0]
    assert balance.eaten_by_hive(ledger) == {"a1": 250.0}


def test_stock_count_short_asks_for_a_laying_on() -> None:
    """The shelf weighs 300 g less than the books have: 300 g are missing, and a laying on is asked for."""
    count = Fact("c", "stock count", START + timedelta(days=3), "a", batch="B1", grams=1400.0)
    ledger = fold([_batch(), _laid("1", 0, batch="B1"), count])
    (hole,) = ledger.holes
    assert (hole.code, hole.grams) == ("count-differs", 300.0)
    assert hole.fixes[0].kind == "laid on"
    assert hole.fixes[0].values == {"batch": "B1", "weight": 300.0}
    assert balance.of_batch(ledger, "B1").held["difference"] == pytest.approx(300.0)
    found = _laid("2", 1, 300.0, "a2", batch="B1")
    assert fold([_batch(), _laid("1", 0, batch="B1"), count, found]).holes == ()


def test_weighing_twice_within_the_slack_is_no_hole() -> None:
    """60 g came off and 58 g went into the freezer: two grams of weighing, no hole, still balanced."""
    off = Fact("2", "taken off", START + timedelta(days=7), "a", "a1", grams=60.0)
    cold = Fact("3", "cold box", START + timedelta(days=7, hours=3), "a", "a1", grams=58.0)
    ledger = fold([_batch(), _laid("1", 0, batch="B1"), off, cold])
    assert ledger.holes == ()
    b = balance.of_batch(ledger, "B1")
    assert (b.held["cold box"], b.held["difference"], b.held["eaten"]) == pytest.approx((58.0, 2.0, 240.0))
    assert b.off_g == pytest.approx(0.0, abs=GRAM)


def test_part_of_a_frozen_piece_goes_back_and_the_rest_stays() -> None:
    """Of 200 g in the cold box 80 g are laid on: 120 g stay in it, and the spell goes on."""
    facts = [
        _batch(), _laid("1", 0, batch="B1", piece="B1-1"),
        Fact("2", "taken off", START + timedelta(days=7), "a", "a1", grams=200.0, piece="B1-1"),
        Fact("3", "cold box", START + timedelta(days=7, hours=3), "a", "a1", grams=200.0, piece="B1-1", freezer_c=-18.0),
        _laid("4", 14, 80.0, piece="B1-1"),
    ]  # fmt: skip
    ledger = fold(facts)
    piece = ledger.pieces["B1-1"]
    assert ledger.holes == ()
    assert (piece.cold_g, [s.laid_g for s in piece.on]) == (pytest.approx(120.0), [80.0])
    assert piece.spell is not None


def test_batch_used_up_says_so() -> None:
    """More taken from a batch than it weighed: the batch's own entry is the one to look at."""
    ledger = fold([_batch(500.0), _laid("1", 0, 450.0, batch="B1"), _laid("2", 7, 300.0, "a2", batch="B1")])
    (hole,) = ledger.holes
    assert (hole.code, hole.correct) == ("short-batch", "b")
    assert hole.grams == pytest.approx(250.0)


def test_loose_frozen_batch_is_drawn_from_when_the_shelf_is_empty() -> None:
    """Half a batch is frozen loose; a piece laid on after the shelf is empty comes out of it."""
    cold = Fact("2", "cold box", START + timedelta(hours=5), "a", None, batch="B1", grams=1500.0)
    facts = [_batch(), cold, _laid("1", 3, 500.0, batch="B1"), _laid("3", 4, 400.0, "a2", batch="B1")]
    ledger = fold(facts)
    b = balance.of_batch(ledger, "B1")
    assert ledger.holes == ()
    assert (b.held["shelf"], b.held["cold box"], b.held["on hive"]) == pytest.approx((0.0, 1100.0, 900.0))
