"""The desk: from the books to a call per hive, and what an entry changes."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tideover.desk import Desk
from tideover.desk.objects import call_object
from tideover.records import Box, Entry, Hive, Yard, open_books

ZONE = ZoneInfo("America/Phoenix")
NOW = datetime(2030, 1, 1, tzinfo=ZONE)


def entry(desk: Desk, hive: str, kind: str, at: datetime, values: dict[str, Any], **more: Any) -> Entry:
    """An entry as a phone would make it."""
    return Entry(
        str(uuid.uuid5(uuid.NAMESPACE_OID, f"{hive}{kind}{at}{values}{more}")), kind, desk.books.hive(hive).yard, hive,
        at, "K", "test", "metric", values, recorded_at=at, **more,
    )  # fmt: skip


def said(desk: Desk, hive: str) -> str:
    """A hive's call as a script gets it."""
    return json.dumps(call_object(desk.hive(hive).line.call), sort_keys=True)


LOOK = {"seams": (6.0,), "outer_pollen": "scattered", "eggs": "yes", "jelly": "damp", "brood_signs": "no"}


def test_look_changes_its_hive_and_no_other_yard(own_desk: Callable[[], Desk]) -> None:
    """After a look the hive is answered at the hive, of that day; a neighbour's answer is the same object unless the
    look says something new of the yard's land, and that of a hive of another yard always is."""
    desk = own_desk()
    before, neighbour, far = said(desk, "quarry-01"), desk._answer("quarry-03"), desk._answer("mill-race-05")
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    view = desk.enter(entry(desk, "quarry-01", "look", at, LOOK))

    assert view is not None
    assert view.line.call.moment == "at the hive"
    assert view.line.last_look_day == at.date()
    assert said(desk, "quarry-01") != before
    assert desk._answer("mill-race-05") is far
    now = desk._answer("quarry-03")
    assert (now is neighbour) == (desk._worked.asked("quarry-03", desk.today()).said == neighbour.said)


def test_undo_restores_the_answer(own_desk: Callable[[], Desk]) -> None:
    """Withdrawing a look gives back exactly the call there was."""
    desk = own_desk()
    before = said(desk, "mill-race-08")
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    look = entry(desk, "mill-race-08", "look", at, LOOK)
    desk.enter(look)
    assert said(desk, "mill-race-08") != before
    desk.enter(entry(desk, "mill-race-08", "withdraw", at + timedelta(minutes=1), {}, supersedes=look.id))

    assert said(desk, "mill-race-08") == before


def test_order_of_entries_does_not_matter(own_desk: Callable[[], Desk]) -> None:
    """Two looks sent late and in the wrong order, one of them twice, give the answer of looks sent in time."""
    first, second = own_desk(), own_desk()
    day = datetime.combine(first.today(), datetime.min.time(), ZONE)
    a = entry(first, "quarry-03", "look", day - timedelta(days=3, hours=-9), LOOK)
    b = entry(first, "quarry-03", "look", day - timedelta(days=1, hours=-9), LOOK | {"seams": (5.0,)})
    first.enter_all([b])
    first.enter_all([a, b])
    answer = said(first, "quarry-03")

    assert said(second, "quarry-03") == answer


def test_absurd_look_is_flagged_with_both_answers_until_confirmed(own_desk: Callable[[], Desk]) -> None:
    """One seam where 25,000 bees were: flagged, bounded, both answers shown; confirming removes the flag."""
    desk = own_desk()
    bees = desk.hive("mill-race-08").line.bees[1]
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    odd = {"seams": (1.0,), "brood_combs": 0.5, "capped_quarters": 0.5, "open_quarters": 0.0, "honey_combs": 0.5}
    look = entry(desk, "mill-race-08", "look", at, odd)
    view = desk.enter(look)
    assert view is not None
    flags = view.line.call.flags

    assert [f.entry for f in flags] == [look.id]
    assert flags[0].call_with
    assert flags[0].call_without
    assert view.line.bees[1] > 0.5 * bees
    assert any(h.state == "flagged" for h in view.history)
    confirmed = desk.enter(entry(desk, "mill-race-08", "confirm", at + timedelta(minutes=2), {"entry": look.id}))
    assert confirmed is not None
    assert not confirmed.line.call.flags
    assert confirmed.line.bees[1] < 0.5 * bees


def books_of(tmp_path: Path, latitude: float, hives: int = 1) -> Desk:
    """A desk over books with one yard and nothing seen."""
    books = open_books(tmp_path / "few.db")
    books.put_yard(Yard("home", "Home", latitude, 0.0, "UTC", 100.0, "unknown", "unknown"))
    for i in range(hives):
        books.put_hive(Hive(f"h{i}", "home", f"h{i}", (Box(1, "deep", 10),)))
    desk = Desk(books, members=100)
    desk.set_today(date(2025, 8, 16))
    return desk


def test_empty_books_have_an_empty_round(tmp_path: Path) -> None:
    """No hives: a round with nothing in it, not an error."""
    desk = books_of(tmp_path, 33.0, hives=0)

    assert desk.round().yards == []
    assert desk.calls() == []


@pytest.mark.parametrize("latitude", [33.0, -33.0, 52.0])
def test_hive_nobody_looked_at_is_to_be_looked_at(tmp_path: Path, latitude: float) -> None:
    """Without any entry, and without weather, the evidence is thin on either half of the earth."""
    call = books_of(tmp_path, latitude).calls()[0]

    assert call.action == "look again"
    assert call.evidence == "thin"
    assert call.ask
