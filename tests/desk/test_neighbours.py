"""What looks at one hive say of its yard's land reaches the calls of the others there, and nobody else's."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tests.desk.test_desk import ZONE, entry, said
from tideover.desk import Desk
from tideover.desk.asked import Bench
from tideover.desk.lookout import lookout
from tideover.desk.neighbours import LISTENED_D, YardSaid
from tideover.evidence.known import LandSaid
from tideover.records import Box, Hive, Yard, open_books

DAY = timedelta(days=1)
TODAY = date(2024, 7, 20)
EARLIER = {"seams": (8.0,), "outer_pollen": "thin band", "eggs": "yes", "heft": "fair"}


@pytest.fixture
def two_yards(tmp_path: Path) -> Iterator[Callable[[], Desk]]:
    """Six hives at one yard and one at another, each looked at three weeks ago; no weather, so that little is known
    of either land. Each call opens another desk on books of its own."""
    opened: list[Desk] = []

    def make() -> Desk:
        books = open_books(tmp_path / f"{len(opened)}.db")
        for yard in ("near", "far"):
            books.put_yard(Yard(yard, yard, 36.0, -119.0, "America/Phoenix", 100.0, "unknown", "unknown"))
        for hive in (*(f"near-{k}" for k in range(1, 7)), "far-1"):
            books.put_hive(Hive(hive, hive.split("-")[0], hive, (Box(1), Box(2))))
        desk = Desk(books, members=200)
        desk.set_today(TODAY)
        opened.append(desk)
        desk.enter_all([look(desk, h.id, 24, **EARLIER) for h in books.hives()])
        return desk

    yield make
    for d in opened:
        d.books.close()


def look(desk: Desk, hive: str, back: int, **values: Any) -> Any:
    """A look so many days ago."""
    return entry(desk, hive, "look", datetime.combine(TODAY - back * DAY, time(9), ZONE), values)


def offered(desk: Desk, hive: str) -> np.ndarray[Any, Any]:
    """Log of the pollen on offer that a hive's call is made for: today, over its futures."""
    return desk._worked.asked(hive, TODAY).heard(Bench()).weather.log_index[:, 0]


def neighbours_see(desk: Desk, word: str) -> None:
    """Five hives of the near yard looked at three days ago, their outer combs alike."""
    desk.enter_all([look(desk, f"near-{k}", 3, seams=(8.0,), outer_pollen=word) for k in range(2, 7)])


def test_neighbours_looks_sharpen_and_move_the_land_of_a_hive_left_alone(two_yards: Callable[[], Desk]) -> None:
    """Five neighbours' combs emptied in three weeks lower the pollen on offer that the sixth hive's call is made for by
    a quarter or more, and narrow it: several measurements of one thing know it better than none. The reasons of its
    call say so, and the other yard's call is the same to the last letter."""
    found = {}
    for word in ("", "none"):
        desk = two_yards()
        elsewhere = said(desk, "far-1")
        if word:
            neighbours_see(desk, word)
        assert said(desk, "far-1") == elsewhere
        reasons = " ".join(r.text for r in desk.hive("near-1").line.call.reasons)
        assert ("of the yard are in it" in reasons) == bool(desk._worked.asked("near-1", TODAY).said)
        found[word] = offered(desk, "near-1")
    assert found["none"].mean() < found[""].mean() - np.log(4.0 / 3.0)
    assert found["none"].std() < 0.9 * found[""].std()


def test_a_hive_never_hears_itself_and_the_far_yard_hears_nobody(two_yards: Callable[[], Desk]) -> None:
    """Messages of a hive are left out of its own land, so that nothing it saw counts twice."""
    desk = two_yards()
    neighbours_see(desk, "none")
    for k in (1, 2, 3):
        told = {m.hive for m in desk._worked.asked(f"near-{k}", TODAY).said}
        assert len(told) >= 2
        assert f"near-{k}" not in told
        assert "far-1" not in told
    assert desk._worked.asked("far-1", TODAY).said == ()
    land = desk._yards.land("far", TODAY)
    heard = desk._worked.asked("far-1", TODAY).heard(Bench())
    assert heard.weather is land.weather
    assert heard.sky is land.sky


def test_a_neighbour_answers_as_if_the_books_had_always_held_the_look(own_desk: Callable[[], Desk]) -> None:
    """What was worked out before a neighbour's look gives way where the look says something of the land: the same
    books give the same answer in whatever order they were written and asked."""
    desk = own_desk()
    before = desk._answer("mill-race-08")
    at = datetime.combine(desk.today() - 2 * DAY, time(9), ZONE)
    full = {"seams": (9.0, 6.0), "outer_pollen": "full side", "outer_half_sides": 8.0, "eggs": "yes"}
    desk.enter(entry(desk, "mill-race-02", "look", at, full))
    after = desk._answer("mill-race-08")
    assert (after is before) == (after.said == before.said)
    assert said(desk, "mill-race-08") == said(own_desk(), "mill-race-08")


def test_what_says_nothing_of_the_land_leaves_neighbours_as_they_are(own_desk: Callable[[], Desk]) -> None:
    """After a piece laid on next door, and after a look so old that it is listened to no more, a neighbour's answer is
    the same object: it is not worked out again."""
    desk = own_desk()
    kept = desk._answer("mill-race-08")
    old = datetime.combine(desk.today() - (LISTENED_D + 5) * DAY, time(9), ZONE)
    desk.enter(entry(desk, "mill-race-02", "look", old, {"seams": (9.0, 6.0)}))
    assert desk._answer("mill-race-08") is kept


def test_the_lookout_hears_all_hives_of_a_yard_and_no_other(two_yards: Callable[[], Desk]) -> None:
    """Five hives' combs emptied lower the strip by a quarter or more and narrow it; the other yard's is as it was."""
    desk = two_yards()
    neighbours_see(desk, "none")
    told = {y: desk.yard_said(y) for y in ("near", "far")}
    assert told["near"].listened == tuple(f"near-{k}" for k in range(1, 7))
    assert len(told["near"].telling) >= 3
    plain = {y.yard: y for y in lookout(desk.books, TODAY).yards}
    heard = {y.yard: y for y in lookout(desk.books, TODAY, hives={"near": told["near"]}).yards}
    assert heard["far"] == plain["far"]
    k = plain["near"].strip.days.index(TODAY - DAY)
    before, after = plain["near"].strip, heard["near"].strip
    assert after.median[k] < 0.75 * before.median[k]
    assert after.high[k] / after.low[k] < before.high[k] / before.low[k]
    assert heard["near"].alert.p_now > plain["near"].alert.p_now
    assert heard["near"].heard == told["near"].telling
    assert "What the hives stored is in it" in heard["near"].hives_in


def test_what_hives_say_is_told_at_once_only_when_it_is_whole(two_yards: Callable[[], Desk]) -> None:
    """Nothing is worked out by asking for what is known by now; once asked for whole, the two are the same."""
    desk = two_yards()
    assert desk.yard_said_by_now("near").waiting
    assert "not in it yet" in desk.yard_said_by_now("near").words
    whole = desk.yard_said("near")
    assert desk.yard_said_by_now("near") == whole
    assert desk.yard_said_by_now("far").waiting
    desk.enter(look(desk, "near-3", 2, seams=(8.0,), outer_pollen="none"))
    assert desk.yard_said_by_now("near").waiting


def test_words_on_whose_looks_are_in_a_strip() -> None:
    """Waiting, none looked at, looked at in vain, one hive, five of six."""

    def message(hive: str) -> LandSaid:
        return LandSaid(hive, "e", TODAY, TODAY + DAY, 0.0, 1.0)

    assert "open this again" in YardSaid(waiting=True).words
    assert f"last {LISTENED_D} days" in YardSaid().words
    assert "nothing of the land" in YardSaid((), ("a",)).words
    assert YardSaid((message("a"),), ("a",)).words.endswith("from its one hive (a).")
    five = YardSaid(tuple(message(h) for h in "abcde"), tuple("abcdef")).words
    assert five.endswith("from 5 of the 6 hives looked at (a, b, c, d and more).")
