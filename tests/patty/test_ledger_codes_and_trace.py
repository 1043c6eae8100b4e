"""Codes of pieces, and the trace from a sick hive."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.patty.ledger import codes
from tideover.patty.ledger.facts import Fact
from tideover.patty.ledger.fold import fold
from tideover.patty.ledger.trace import trace

START = datetime(2031, 6, 1, 8, tzinfo=UTC)


@given(st.uuids())
def test_made_code_is_short_whole_and_free_of_look_alikes(entry: uuid.UUID) -> None:
    """Seven signs and a dash, none of I, L, O, U; the same entry gives the same code."""
    code = codes.made_code(str(entry))
    assert len(code) == 8
    assert not set(code) & set("ILOU")
    assert codes.code_is_whole(code)
    assert code == codes.made_code(str(entry).upper())
    assert codes.read_made(code.replace("0", "O").replace("1", "l")) == code


@given(st.uuids(), st.integers(0, 6), st.integers(1, 31))
def test_one_wrong_sign_is_noticed(entry: uuid.UUID, place: int, by: int) -> None:
    """Any one sign read as another breaks the check."""
    code = codes.made_code(str(entry)).replace("-", "")
    wrong = codes.ALPHABET[(codes.ALPHABET.index(code[place]) + by) % 32]
    bad = code[:place] + wrong + code[place + 1 :]
    assert not codes.code_is_whole(f"{bad[:4]}-{bad[4:]}")


@given(st.uuids(), st.integers(0, 4))
def test_swapped_neighbours_are_noticed_unless_half_the_alphabet_apart(entry: uuid.UUID, place: int) -> None:
    """Two neighbours swapped break the check, except where they are sixteen apart: their weights differ by two."""
    code = codes.made_code(str(entry)).replace("-", "")
    a, b = (codes.ALPHABET.index(code[place + i]) for i in (0, 1))
    bad = code[:place] + code[place + 1] + code[place] + code[place + 2 :]
    assert codes.code_is_whole(f"{bad[:4]}-{bad[4:]}") == ((a - b) % 16 == 0)


def test_piece_of_batch_and_back() -> None:
    """A batch's third piece is B12-3, which names its batch among those known, and only then."""
    assert codes.piece_of("b12", 3) == "B12-3"
    assert codes.batch_in("B12-3", {"B12"}) == "B12"
    assert codes.batch_in("B12-3", {"B1"}) is None
    assert codes.batch_in("7QD4-X2K", {"7QD4"}) is None
    with pytest.raises(ValueError, match="one or more"):
        codes.piece_of("B12", 0)


def _laid(n: int, day: float, hive: str, piece: str, grams: float = 300.0) -> Fact:
    return Fact(f"l{n}", "laid on", START + timedelta(days=day), "a", hive, piece=piece, grams=grams)


def _off(n: int, day: float, hive: str, piece: str, grams: float) -> Fact:
    return Fact(f"o{n}", "taken off", START + timedelta(days=day), "a", hive, piece=piece, grams=grams)


def _cold(n: int, day: float, hive: str, piece: str) -> Fact:
    return Fact(f"c{n}", "cold box", START + timedelta(days=day), "a", hive, piece=piece)


def test_trace_finds_every_piece_and_every_hive_it_reached() -> None:
    """Sick h1: its pieces P1, P2; P1 went to h2, where Q1 lay with it and then went on to h3. h4 had neither.

    Worked by hand.
    """
    facts = [
        _laid(1, 0, "h1", "P1"), _off(1, 7, "h1", "P1", 200.0), _cold(1, 7.2, "h1", "P1"),
        _laid(2, 7.1, "h1", "P2"), _off(2, 14, "h1", "P2", 100.0), _cold(2, 14.2, "h1", "P2"),
        _laid(3, 8, "h2", "Q1"), _laid(4, 8.1, "h2", "P1", 200.0),
        _off(3, 15, "h2", "Q1", 150.0), _laid(5, 15.1, "h3", "Q1", 150.0),
        _laid(6, 8, "h4", "R1"),
    ]  # fmt: skip
    (found,) = trace(fold(facts), {"h1": START + timedelta(days=20)})
    assert [(p.piece, p.hand) for p in found.pieces] == [("P1", 1), ("P2", 1), ("Q1", 2)]
    assert [(r.hive, r.piece, r.hand, r.still_on) for r in found.hives] == [
        ("h2", "P1", 1, True),
        ("h3", "Q1", 2, True),
    ]
    assert {p.piece: p.cold_g for p in found.pieces} == {"P1": 0.0, "P2": 100.0, "Q1": 0.0}


def test_trace_leaves_out_what_came_before() -> None:
    """A piece that lay on h2 and was gone before anything of the sick hive came there is not touched."""
    facts = [
        _laid(1, 0, "h2", "Q1"), _off(1, 7, "h2", "Q1", 150.0), _laid(2, 7.1, "h3", "Q1", 150.0),
        _laid(3, 0, "h1", "P1"), _off(3, 8, "h1", "P1", 200.0), _laid(4, 8.1, "h2", "P1", 200.0),
    ]  # fmt: skip
    (found,) = trace(fold(facts), {"h1": START + timedelta(days=20)})
    assert [p.piece for p in found.pieces] == ["P1"]
    assert [r.hive for r in found.hives] == ["h2"]


def test_trace_of_a_hive_that_got_a_piece_does_not_blame_its_donor() -> None:
    """The sick hive got its piece from h2: the piece is touched, h2 (before it) is not reached."""
    facts = [_laid(1, 0, "h2", "Q1"), _off(1, 7, "h2", "Q1", 150.0), _laid(2, 7.1, "h1", "Q1", 150.0)]
    (found,) = trace(fold(facts), {"h1": START + timedelta(days=20)})
    assert [p.piece for p in found.pieces] == ["Q1"]
    assert found.hives == ()
