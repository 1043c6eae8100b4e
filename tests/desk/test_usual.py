"""Which batch a yard is given next, worked out by hand on small books, and what the calls make of it."""

from __future__ import annotations

import uuid
from collections.abc import Callable, Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tideover.desk import Desk
from tideover.desk.usual import LEAST_G, standing, stands_for, stocked, with_batch
from tideover.plan.settings import Settings
from tideover.records import Books, Entry, Hive, Yard, open_books

START = datetime(2031, 7, 1, 16, tzinfo=UTC)
"""Nine in the morning at the yards."""
DAY = date(2031, 7, 10)
SETTINGS = Settings()


@pytest.fixture
def books(tmp_path: Path) -> Iterator[Books]:
    """Two yards with two hives and one."""
    made = open_books(tmp_path / "books.db")
    for yard, hives in (("quarry", ("q1", "q2")), ("mill", ("m1",))):
        made.put_yard(Yard(yard, yard.title(), 33.0, -112.0, "America/Phoenix", 300.0, "present", "absent"))
        for hive in hives:
            made.put_hive(Hive(hive, yard))
    yield made
    made.close()


def write(books: Books, kind: str, days: float, hive: str | None = None, yard: str = "quarry", **values: Any) -> Entry:
    """Write one entry so many days after the start."""
    entry = Entry(str(uuid.uuid4()), kind, yard, hive, START + timedelta(days=days), "A.", values=values)
    books.add([entry])
    return entry


def name_at(books: Books, yard: str, day: date = DAY, **settings: Any) -> str | None:
    """The label of the batch that stands for a yard."""
    found = standing(books, day, Settings.from_mapping(settings))[yard]
    return None if found is None else found.name


def test_own_store_first_then_what_keeps_shortest(books: Books) -> None:
    """The batch at the yard before one elsewhere; of those elsewhere the one that is good for the shortest time."""
    assert name_at(books, "quarry") is None
    write(books, "batch", 0, batch="LONG", weight=5000.0, protein=15.0, keeps_until="2031-09-01")
    write(books, "batch", 1, batch="SHORT", weight=5000.0, protein=15.0, keeps_until="2031-08-01")
    assert name_at(books, "mill") == "SHORT"
    write(books, "batch", 2, yard="mill", batch="MILL", weight=5000.0, protein=15.0)
    assert name_at(books, "mill") == "MILL"
    assert name_at(books, "quarry") == "SHORT"
    assert name_at(books, "quarry", date(2031, 8, 2)) == "LONG"


def test_what_does_not_reach_round_the_yard_does_not_stand(books: Books) -> None:
    """A quarter pound for each hive: enough for one hive stands for the yard of one and not for the yard of two."""
    write(books, "batch", 0, batch="REST", weight=1.5 * LEAST_G, protein=15.0)
    assert name_at(books, "mill") == "REST"
    assert name_at(books, "quarry") is None


def test_not_known_is_not_taken_for_anything(books: Books) -> None:
    """A batch whose protein nobody wrote leaves the settings as they are."""
    write(books, "batch", 0, batch="BOUGHT", weight=5000.0)
    assert stocked(books, DAY) == ()
    assert with_batch(SETTINGS, None) == SETTINGS


def test_the_setting_turns_it_off(books: Books) -> None:
    """With ``patty_from`` at ``settings`` no batch stands for anything."""
    write(books, "batch", 0, batch="B", weight=5000.0, protein=15.0)
    assert name_at(books, "quarry") == "B"
    assert name_at(books, "quarry", patty_from="settings") is None


def test_a_round_under_way_does_not_change_what_stands(books: Books) -> None:
    """What is laid on today counts from tomorrow; a batch made today counts today."""
    today = (START + timedelta(days=1)).date()
    write(books, "batch", 1, batch="B", weight=3 * LEAST_G, protein=15.0)
    assert name_at(books, "quarry", today) == "B"
    write(books, "laid on", 1.1, "q1", weight=2 * LEAST_G, batch="B")
    assert name_at(books, "quarry", today) == "B"
    assert name_at(books, "quarry", today + timedelta(days=1)) is None
    assert name_at(books, "mill", today + timedelta(days=1)) == "B"


def test_settings_take_what_is_written_and_keep_the_rest(books: Books) -> None:
    """Protein that counts before crude; money by the kilogram; drying within what the calls can take; sugar as set."""
    write(
        books, "batch", 0, batch="B", weight=4000.0, protein=18.0, counted_protein=16.5, pollen_share=4.0,
        hard_after=90.0, cost=12.0,
    )  # fmt: skip
    got = with_batch(SETTINGS, stands_for(stocked(books, DAY), "quarry", 2, SETTINGS))
    assert got.changed() == {
        "patty_protein": 16.5, "patty_pollen_share": 4.0, "patty_hard_days": 60.0, "patty_price": 3.0,
    }  # fmt: skip


def test_calls_reckon_with_the_batch_in_stock(own_desk: Callable[[], Desk]) -> None:
    """A rich batch written today is what is laid on, by name; withdrawn, the hive is answered as before."""
    desk = own_desk()
    before = desk.hive("quarry-01").line.call
    assert before.action == "lay on"
    assert before.product == "soft patty, 17 % protein, 4 % pollen"
    zone = desk.books.yard("quarry").zone
    at = datetime.combine(desk.today(), datetime.min.time(), zone) + timedelta(hours=7)
    values = {"batch": "RICH", "weight": 20_000.0, "protein": 25.0, "counted_protein": 24.0, "sugar_share": 40.0}
    batch = Entry(str(uuid.uuid4()), "batch", "quarry", None, at, "A.", values=values)
    desk.enter(batch)
    after = desk.hive("quarry-01").line.call
    assert after.product == "soft patty, 24 % protein, batch RICH"
    assert desk.usual("mill-race") is not None
    taken_back = Entry(
        str(uuid.uuid4()), "withdraw", "quarry", None, at + timedelta(minutes=1), "A.", supersedes=batch.id
    )
    desk.enter(taken_back)
    assert desk.usual("quarry") is None
    assert desk.hive("quarry-01").line.call == before


def test_prices_kept_for_the_kitchen_leave_the_answers(own_desk: Callable[[], Desk]) -> None:
    """What things cost bears on no colony: the call stands as the same object, and the price is in the books."""
    desk = own_desk()
    before = desk.hive("quarry-01").line.call
    desk.keep({"kitchen_prices": {"white sugar": {"price_kg": 0.8}}})
    assert desk.hive("quarry-01").line.call is before
    assert desk.books.settings()["kitchen_prices"]["white sugar"] == {"price_kg": 0.8}
