"""What an entry changes at its own hive, at its neighbours and at the whole yard."""

from __future__ import annotations

import uuid
from collections.abc import Callable
from datetime import date, datetime, time, timedelta

import pytest

from tests.desk.test_desk import LOOK, ZONE, entry, said
from tideover.desk import Desk
from tideover.evidence.clock import solar_noon_hour
from tideover.evidence.seen import Place
from tideover.records import Box, Entry, Hive, Yard, open_books

DAY = timedelta(days=1)


def codes(desk: Desk, hive: str) -> set[str]:
    """The gates that stand at a hive."""
    return {g.code for g in desk.hive(hive).line.call.gates}


def morning(desk: Desk, back: int = 0) -> datetime:
    """Nine in the morning some days before the round."""
    return datetime.combine(desk.today() - back * DAY, time(9), ZONE)


def yard_event(desk: Desk, yard: str, event: str, at: datetime) -> Entry:
    """Something that befell a whole yard."""
    made = str(uuid.uuid5(uuid.NAMESPACE_OID, f"{yard}{event}{at}"))
    return Entry(made, "event", yard, None, at, "K", "test", "metric", {"event": event}, recorded_at=at)


def test_a_suspected_hive_warns_its_neighbours_at_once(own_desk: Callable[[], Desk]) -> None:
    """Brood signs written at one hive hold for uniting and moving at the others of its yard, until they are cleared."""
    desk = own_desk()
    assert "yard-suspect" not in codes(desk, "mill-race-08")
    at = morning(desk, 1)
    desk.enter(entry(desk, "mill-race-01", "look", at, LOOK | {"brood_signs": "yes"}))
    assert "yard-suspect" in codes(desk, "mill-race-08")
    assert "brood-disease" in codes(desk, "mill-race-01")
    desk.enter(entry(desk, "mill-race-01", "event", at + timedelta(hours=1), {"event": "disease cleared"}))
    assert "yard-suspect" not in codes(desk, "mill-race-08")


def test_a_fire_ban_holds_for_every_hive_of_its_yard(own_desk: Callable[[], Desk]) -> None:
    """An entry about the yard is seen at hives already worked out, and nowhere else."""
    desk = own_desk()
    codes(desk, "mill-race-01")
    elsewhere = said(desk, "quarry-01")
    assert "fire-ban" not in codes(desk, "mill-race-02")
    desk.enter(yard_event(desk, "mill-race", "fire ban on", morning(desk, 1)))
    assert "fire-ban" in codes(desk, "mill-race-01")
    assert "fire-ban" in codes(desk, "mill-race-02")
    assert said(desk, "quarry-01") == elsewhere


def test_a_look_moved_to_the_right_hive_leaves_the_wrong_one(own_desk: Callable[[], Desk]) -> None:
    """A look typed in at the wrong hive and corrected to another: both answer as if it had never been wrong."""
    desk, other = own_desk(), own_desk()
    wrong = "mill-race-08"
    before = said(desk, wrong)
    at = morning(desk, 1)
    typed = entry(desk, wrong, "look", at, LOOK)
    desk.enter(typed)
    assert said(desk, wrong) != before
    desk.enter(entry(desk, "mill-race-01", "look", at, LOOK, supersedes=typed.id))
    assert said(desk, wrong) == before
    assert said(desk, "mill-race-01") == said(other, "mill-race-01")


def test_a_corrected_number_answers_as_if_right_at_once(own_desk: Callable[[], Desk]) -> None:
    """Seams mistyped and corrected give the bees and the action of seams typed right."""
    desk = own_desk()
    at = morning(desk, 1)
    wrong = entry(desk, "quarry-03", "look", at, LOOK | {"seams": (1.0,)})
    desk.enter(wrong)
    right = entry(desk, "quarry-03", "look", at, LOOK, supersedes=wrong.id)
    corrected = desk.enter(right)
    assert corrected is not None
    anew = own_desk().hive("quarry-03")
    assert corrected.line.call == anew.line.call
    assert corrected.line.bees == anew.line.bees


def test_two_desks_on_the_same_books_agree(own_desk: Callable[[], Desk]) -> None:
    """What one desk writes the other answers from, without being told."""
    one, two = own_desk(), own_desk()
    assert said(one, "quarry-06") == said(two, "quarry-06")
    one.enter(entry(one, "quarry-06", "look", morning(one, 1), LOOK))
    assert said(two, "quarry-06") == said(one, "quarry-06")


def test_a_day_asked_for_stays_that_day(own_desk: Callable[[], Desk]) -> None:
    """Asked as of a day in July, the desk answers with what was known then, and comes back."""
    desk = own_desk()
    now = said(desk, "quarry-01")
    july = date(2025, 7, 10)
    desk.set_today(july)
    view = desk.hive("quarry-01")
    assert view.line.call.made_for == july
    assert view.today == july
    assert view.line.last_look_day is not None
    assert view.line.last_look_day <= july
    desk.set_today(None)
    assert said(desk, "quarry-01") == now


def test_a_dead_hive_is_not_fed(own_desk: Callable[[], Desk]) -> None:
    """After a death nothing is laid on, given or united, and the call says what to see to."""
    desk = own_desk()
    view = desk.enter(entry(desk, "quarry-01", "event", morning(desk, 1), {"event": "death"}))
    assert view is not None
    assert view.line.call.action == "see to the cause first"
    assert "hive-dead" in {g.code for g in view.line.call.gates}
    assert view.line.call.loads_g == 0.0
    assert view.line.bees[2] < 1.0


def test_boxes_added_and_taken_show(own_desk: Callable[[], Desk]) -> None:
    """A box added stands on top; taken again, the hive is as before."""
    desk = own_desk()
    before = desk.hive("mill-race-05").boxes
    at = morning(desk, 1)
    more = desk.enter(entry(desk, "mill-race-05", "event", at, {"event": "box added", "box": "medium x8"}))
    assert more is not None
    assert more.boxes == f"{before} + medium x8"
    less = desk.enter(
        entry(desk, "mill-race-05", "event", at + timedelta(hours=1), {"event": "box removed", "box": "medium x8"})
    )
    assert less is not None
    assert less.boxes == before


def test_a_hive_with_one_look_and_no_weather(tmp_path: object) -> None:
    """One look and nothing else, north or south: a call with finite bees, answered at the hive on the day itself."""
    for latitude, month in ((38.0, 7), (-34.0, 1)):
        books = open_books(f"{tmp_path}/{latitude}.db")
        books.put_yard(Yard("y", "Y", latitude, 0.0, "UTC", 200.0, "unknown", "unknown"))
        books.put_hive(Hive("y-1", "y", "Y 1", (Box(1),)))
        desk = Desk(books, members=100)
        day = date(2024, month, 20)
        desk.set_today(day)
        view = desk.enter(entry(desk, "y-1", "look", datetime.combine(day, time(9), ZONE), LOOK))
        assert view is not None
        assert view.line.call.moment == "at the hive"
        assert 0 < view.line.bees[0] < view.line.bees[1] < view.line.bees[2] < 60_000
        # South of the equator the winter of January's summer lies in the same year, north in the same autumn.
        assert day < view.cluster_day < day + timedelta(days=250)
        books.close()


@pytest.mark.parametrize(
    ("place", "day", "noon"),
    [
        # Greenwich: 12 o'clock (definition of mean time; the equation of time is at most 16 minutes).
        (Place("a", 51.5, 0.0, timezone="Europe/London"), date(2025, 1, 10), 12.0),
        # Summer time moves the clock by one hour.
        (Place("a", 51.5, 0.0, timezone="Europe/London"), date(2025, 7, 10), 13.0),
        # 112 W on mountain standard time (105 W): 7 degrees, 28 minutes late (arithmetic, 4 minutes a degree).
        (Place("a", 33.4, -112.0, timezone="America/Phoenix"), date(2025, 7, 10), 12.0 + 28 / 60),
        # No longitude written.
        (Place("a", 37.0, 0.0, timezone="America/Los_Angeles"), date(2025, 7, 10), 12.0),
    ],
)
def test_solar_noon_on_the_clock(place: Place, day: date, noon: float) -> None:
    """The clock hour of the highest sun follows longitude and summer time."""
    assert solar_noon_hour(place, day) == pytest.approx(noon, abs=0.01)
