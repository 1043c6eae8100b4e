"""What the rounds draw on: patty in hand, room in the freezer, and what to buy beside what there is."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tests.web.fake_desk import TODAY, YARDS, FakeDesk
from tideover.desk.rounds import rounds
from tideover.desk.rounds_stock import Stock, freezer_over, stock_of, within_stock
from tideover.desk.rounds_view import Rounds
from tideover.desk.views import YardLine
from tideover.plan.call import Gate
from tideover.plan.rounds.load import frozen_l
from tideover.plan.rounds.work import Job
from tideover.plan.settings import Settings
from tideover.records import Entry, parse_values


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[FakeDesk]:
    """Twelve invented hives in three yards with every call once."""
    made = FakeDesk(tmp_path / "books.db")
    yield made
    made.books.close()


def plan(desk: FakeDesk) -> Rounds:
    """The rounds of those books from the invented day on."""
    view = desk.round()
    pull = {h.hive: desk.hive(h.hive).pull_by_open for y in view.yards for h in y.hives}
    return rounds(desk.books, view, pull, iterations=200)


def write(desk: FakeDesk, kind: str, yard: str, hive: str | None, raw: dict[str, Any], day: date = TODAY) -> None:
    """One entry at eight in the morning of a day."""
    at = datetime(day.year, day.month, day.day, 8, 0, tzinfo=YARDS[0].zone)
    values = parse_values(kind, raw, "metric")
    desk.books.add(
        [Entry(str(uuid.uuid4()), kind, yard, hive, at, "", "test", "metric", values, None, "", datetime.now(UTC))]
    )


def job(yard: str, hive: str, grams: float, due: int, action: str = "lay on") -> Job:
    """A thing to do, due so many days from the invented day."""
    at = datetime(TODAY.year, TODAY.month, TODAY.day, 20, tzinfo=UTC) + timedelta(days=due)
    return Job(hive, yard, action, "", grams, grams, 4.0, TODAY, at, "")  # type: ignore[arg-type]


def test_patty_in_hand_goes_where_it_presses_and_the_rest_wait() -> None:
    """1,000 g in hand by due: 300, 200, 300 are covered; 300 are not, the 200 after them still are. Nothing else waits."""
    yards = {
        "late": [job("late", "l1", 200, 6)],
        "soon": [job("soon", "s1", 300, 1), job("soon", "s2", 300, 4)],
        "middle": [job("middle", "m1", 200, 3), job("middle", "m2", 300, 5), job("middle", "m3", 0, 2, "take off")],
    }
    stock = Stock(1000.0, True, {}, 60.0)
    out, waits = within_stock(yards, stock, TODAY, Settings(patty_wait_d=2))

    assert waits == ["m2"]
    first = {j.hive: (j.first - TODAY).days for jobs in out.values() for j in jobs}
    assert first == {"l1": 0, "s1": 0, "s2": 0, "m1": 0, "m2": 2, "m3": 0}


@pytest.mark.parametrize(("stock", "wait"), [(Stock(0.0, False, {}, 60.0), 2.0), (Stock(0.0, True, {}, 60.0), 0.0)])
def test_nothing_waits_where_stock_is_not_written_or_patty_is_had_at_once(stock: Stock, wait: float) -> None:
    """Books that were never told of a batch do not hold up the round."""
    yards = {"a": [job("a", "a1", 300, 1)]}
    assert within_stock(yards, stock, TODAY, Settings(patty_wait_d=wait)) == (yards, [])


def test_hives_wait_for_patty_in_the_plan_and_the_plan_says_so(desk: FakeDesk) -> None:
    """A batch of 50 g is in the books: no piece is laid on before more can be had, and the hives are named."""
    write(desk, "batch", "quarry", None, {"batch": "T1", "weight_g": 50, "pieces": 1})
    desk.books.put_settings({"patty_wait_d": 3})
    made = plan(desk)
    first = [d.day for d in made.days for s in d.stops for t in s.tasks if t.action == "lay on"]

    assert first
    assert min(first) >= made.today + timedelta(days=3)
    assert any("does not reach" in n for n in made.notes)


def test_rests_fill_the_freezer_and_leave_it_when_they_are_back_on() -> None:
    """4 l a day with 7 l free, rests back after 7 days: the second day is over, the one eight days on is not."""
    days = [(TODAY, 4.0), (TODAY + timedelta(days=2), 4.0), (TODAY + timedelta(days=9), 4.0)]
    told = freezer_over(days, 7.0, 7.0)

    assert list(told) == [TODAY + timedelta(days=2)]
    assert "8.0 l" in told[TODAY + timedelta(days=2)]
    assert "7.0 l free" in told[TODAY + timedelta(days=2)]


def test_no_day_brings_home_more_than_the_freezer_has_room_for(desk: FakeDesk) -> None:
    """A piece on one hive of each yard, a freezer with room for one: each comes off on a day of its own, or it is told."""
    for hive, yard in (("quarry-01", "quarry"), ("mill-race-01", "mill-race"), ("long-fallow-01", "long-fallow")):
        if desk.books.hive(hive).yard == yard:
            write(desk, "laid on", yard, hive, {"weight_g": 900}, TODAY - timedelta(days=2))
    stock = stock_of(desk.books, TODAY, Settings())
    assert sum(stock.left_g.values()) >= 900
    room = round(frozen_l(1000.0), 1)
    desk.books.put_settings({"freezer_l": room})
    made = plan(desk)

    assert made.days
    for d in made.days:
        assert d.rests_l <= room + 0.05 or "Rests of up to" in d.over


def test_what_is_frozen_already_takes_room(desk: FakeDesk) -> None:
    """900 g in the freezer take its room: 900 g over the patty's density, bags half as much again."""
    before = stock_of(desk.books, TODAY, Settings()).freezer_l
    write(desk, "batch", "quarry", None, {"batch": "T2", "weight_g": 900, "pieces": 2}, TODAY - timedelta(days=3))
    write(desk, "cold box", "quarry", None, {"batch": "T2", "weight_g": 900, "freezer_temp_c": -18},
          TODAY - timedelta(days=2))  # fmt: skip
    after = stock_of(desk.books, TODAY, Settings())

    assert before - after.freezer_l == pytest.approx(frozen_l(900.0))
    assert after.known


def test_what_there_is_comes_off_what_is_to_be_bought(desk: FakeDesk) -> None:
    """Half of the sugar is in hand: half is to be bought, at its price; with enough, nothing is short."""
    plain = {n.what: n for n in plan(desk).shopping}
    sugar = plain["sugar"]
    assert sugar.in_hand == 0
    assert sugar.get == sugar.median > 0
    desk.books.put_settings({"have_sugar_kg": sugar.median / 2, "sugar_price": 2.0, "have_smoker_fillings": 500})
    some = {n.what: n for n in plan(desk).shopping}

    assert some["sugar"].get == pytest.approx(sugar.median / 2)
    assert some["sugar"].cost == pytest.approx(sugar.median)
    assert some["sugar"].short_now == 1.0
    assert some["smoker fuel"].get == 0
    assert some["smoker fuel"].short_now == 0.0


def test_no_fuel_is_bought_for_a_yard_under_a_fire_ban(desk: FakeDesk) -> None:
    """A ban at one yard: its visits get no filling, in the load or the shopping; the others do."""
    view = desk.round()
    ban = Gate("fire-ban", "warns", "Fire ban", "a ban holds", "no smoker", "", "")

    def under_ban(y: YardLine) -> YardLine:
        if y.yard != "quarry":
            return y
        return replace(y, hives=tuple(replace(h, call=replace(h.call, gates=(ban,))) for h in y.hives))

    view = replace(view, yards=tuple(under_ban(y) for y in view.yards))
    made = rounds(desk.books, view, {}, iterations=200)
    stops = [s for d in made.days for s in d.stops if any(t.action != "give water" for t in s.tasks)]
    lit = [s for s in stops if s.yard != "quarry"]
    fuel = next(n for n in made.shopping if n.what == "smoker fuel")

    assert 0 < len(lit) < len(stops)
    assert fuel.median == len(lit)
    assert "fire ban" in fuel.why
    for d in made.days:
        assert d.smoker == all(s.yard != "quarry" for s in d.stops)
