"""The calendar, read back by the library and held against RFC 5545, 5546 and 7986."""

from __future__ import annotations

import re
import uuid
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar

from tideover.paper.calendar import KEEPS_D, Event, advance, text, uid

MINE = str(uuid.UUID(int=7))
WEST = ZoneInfo("America/Los_Angeles")
SOUTH = ZoneInfo("Australia/Adelaide")
DESERT = ZoneInfo("America/Phoenix")
NOW = datetime(2031, 7, 14, 18, 0, tzinfo=UTC)
TODAY = date(2031, 7, 14)


def event(key: str = "stop/a", **changes: Any) -> Event:
    """A stop of two hours."""
    base = Event(
        key, "Quarry: 4 hives", "quarry-01: lay on, 115 g (¼ lb)\nWater at hand.",
        datetime(2031, 7, 20, 6, 30, tzinfo=WEST), datetime(2031, 7, 20, 8, 30, tzinfo=WEST),
        "Quarry", 37.2, -119.4, timedelta(hours=14),
    )  # fmt: skip
    return replace(base, **changes)


def written(*events: Event, publish: bool = True) -> bytes:
    """A calendar of these events, written for the first time."""
    return text(advance(events, {}, NOW, TODAY)[0], calendar_id=MINE, name="Hive rounds", publish=publish)


def read(made: bytes) -> dict[str, Any]:
    """Events by name, as the library reads them."""
    return {str(e["uid"]): e for e in Calendar.from_ical(made).walk("VEVENT")}


def test_lines_end_and_fold_as_the_standard_says() -> None:
    """RFC 5545 3.1: CR LF at each end, no line over 75 octets, UTF-8, folds that lose no letter."""
    long = "Köder prüfen, Frühstück; " * 40 + "\nzweite Zeile \\ Ende"
    made = written(event(text=long))
    assert made.endswith(b"END:VCALENDAR\r\n")
    assert b"\n" not in made.replace(b"\r\n", b"")
    lines = made.split(b"\r\n")
    assert max(len(line) for line in lines) <= 75
    for line in lines:
        line.decode("utf-8")
    (one,) = read(made).values()
    assert str(one["description"]) == long
    # RFC 5545 3.3.11: commas, semicolons and backslashes are escaped, line breaks become \n.
    whole = made.replace(b"\r\n ", b"").decode()
    assert "prüfen\\, Frühstück\\;" in whole
    assert "\\nzweite Zeile \\\\ Ende" in whole


@given(st.text(st.characters(blacklist_categories=("Cc", "Cs"), blacklist_characters="\ufeff"), max_size=300))
def test_any_text_comes_back_as_it_went_in(words: str) -> None:
    """Whatever a keeper writes survives the way out and back, in lines of at most 75 octets."""
    made = written(event(title=words or "x"))
    assert max(len(line) for line in made.split(b"\r\n")) <= 75
    (one,) = read(made).values()
    assert str(one["summary"]) == (words or "x")


def test_required_properties_stand_once() -> None:
    """RFC 5545 3.6 and 3.6.1: PRODID, VERSION 2.0; UID, DTSTAMP in UTC, DTSTART; RFC 5546 3.2.1: ORGANIZER, SUMMARY."""
    made = written(event(), event("day", start=date(2031, 7, 21), end=None))
    calendar = Calendar.from_ical(made)
    assert str(calendar["version"]) == "2.0"
    assert str(calendar["prodid"])
    assert str(calendar["method"]) == "PUBLISH"
    for one in calendar.walk("VEVENT"):
        for name in ("uid", "dtstamp", "dtstart", "summary", "sequence", "organizer", "status"):
            assert name in one, name
            assert not isinstance(one[name], list), name
    assert re.search(rb"\r\nDTSTAMP:\d{8}T\d{6}Z\r\n", made)
    # RFC 5545 3.8.1.3: the status of an event.
    assert {str(e["status"]) for e in calendar.walk("VEVENT")} == {"CONFIRMED"}
    assert not Calendar.from_ical(made).errors


def test_a_feed_has_no_method_and_says_how_often_to_ask() -> None:
    """RFC 5545 3.7.2: without a method it is a state, not a message; RFC 7986 5.7: REFRESH-INTERVAL with VALUE=DURATION."""
    made = written(event(), publish=False)
    assert b"METHOD" not in made
    assert b"ORGANIZER" not in made
    assert b"REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n" in made


def test_names_are_the_calendars_own_and_stay() -> None:
    """The same key has the same UID in one calendar for good, another in another; each is a UUID (RFC 7986 5.3)."""
    assert uid(MINE, "stop/a") == uid(MINE, "stop/a")
    assert uid(MINE, "stop/a") != uid(str(uuid.UUID(int=8)), "stop/a")
    assert uid(MINE, "stop/a") != uid(MINE, "stop/b")
    assert uuid.UUID(uid(MINE, "stop/a")).version == 5


def test_a_change_counts_up_and_nothing_else_does() -> None:
    """RFC 5545 3.8.7.4: SEQUENCE begins at 0 and goes up by one with each change; unchanged events stay as they were."""
    first, memory = advance([event("a"), event("b")], {}, NOW, TODAY)
    assert [p.sequence for p in first] == [0, 0]
    later = NOW + timedelta(hours=3)
    moved = event("b", start=datetime(2031, 7, 21, 6, tzinfo=WEST), end=datetime(2031, 7, 21, 7, tzinfo=WEST))
    second, memory2 = advance([event("a"), moved], memory, later, TODAY)
    found = {p.event.key: p for p in second}
    assert (found["a"].sequence, found["a"].changed) == (0, NOW)
    assert (found["b"].sequence, found["b"].changed) == (1, later)
    third, memory3 = advance([event("a"), moved], memory2, later + timedelta(hours=1), TODAY)
    assert third == second
    assert memory3 == memory2
    assert text(third, calendar_id=MINE, name="x") == text(second, calendar_id=MINE, name="x")


def test_what_vanishes_is_cancelled_and_what_comes_back_counts_on() -> None:
    """STATUS:CANCELLED with a higher SEQUENCE (RFC 5546 3.2.5), kept a month, then forgotten; never cancelled twice."""
    _, memory = advance([event("a"), event("b")], {}, NOW, TODAY)
    gone, memory = advance([event("a")], memory, NOW + timedelta(hours=1), TODAY)
    b = next(p for p in gone if p.event.key == "b")
    assert (b.cancelled, b.sequence) == (True, 1)
    made = read(text(gone, calendar_id=MINE, name="x", publish=True))
    assert str(made[uid(MINE, "b")]["status"]) == "CANCELLED"
    assert int(made[uid(MINE, "b")]["sequence"]) == 1
    assert not list(made[uid(MINE, "b")].walk("VALARM"))
    still, memory = advance([event("a")], memory, NOW + timedelta(hours=2), TODAY)
    assert next(p for p in still if p.event.key == "b") == b
    back, _ = advance([event("a"), event("b")], memory, NOW + timedelta(hours=3), TODAY)
    again = next(p for p in back if p.event.key == "b")
    assert (again.cancelled, again.sequence) == (False, 2)
    end = date(2031, 7, 20)
    kept, kept_memory = advance([], memory, NOW, end + timedelta(days=KEEPS_D))
    assert {p.event.key for p in kept} == {"a", "b"}
    assert advance([], kept_memory, NOW, end + timedelta(days=KEEPS_D + 1)) == ([], {})


def test_what_is_over_is_not_cancelled() -> None:
    """A stop of yesterday that is no longer planned was made: it stays as it was."""
    _, memory = advance([event("a")], {}, NOW, TODAY)
    after, _ = advance([], memory, NOW, date(2031, 7, 21))
    assert [(p.cancelled, p.sequence) for p in after] == [(False, 0)]


@pytest.mark.parametrize("zone", [WEST, SOUTH, DESERT], ids=str)
@pytest.mark.parametrize(
    "day", [(2031, 1, 15), (2031, 4, 5), (2031, 7, 1), (2031, 10, 5), (2031, 11, 2), (2032, 2, 29)]
)
def test_moments_are_right_on_both_sides_of_a_change_of_the_clock(zone: ZoneInfo, day: tuple[int, int, int]) -> None:
    """The instant read back is the instant written, and the VTIMEZONE carried gives the same offset by itself.

    Offsets come from the IANA time zone database by way of Python's zoneinfo.
    """
    start = datetime(*day, 6, 30, tzinfo=zone)
    made = written(event(start=start, end=start + timedelta(hours=1)))
    (one,) = read(made).values()
    assert one.decoded("dtstart").astimezone(UTC) == start.astimezone(UTC)
    assert f"DTSTART;TZID={zone.key}:{start:%Y%m%dT%H%M%S}".encode() in made
    (carried,) = Calendar.from_ical(made).walk("VTIMEZONE")
    assert str(carried["tzid"]) == zone.key
    own = carried.to_tz(lookup_tzid=False)
    naive = start.replace(tzinfo=None)
    offset = own.localize(naive).utcoffset() if hasattr(own, "localize") else naive.replace(tzinfo=own).utcoffset()
    assert offset == start.utcoffset()


def test_a_round_at_the_same_hour_stays_there_when_the_clock_changes() -> None:
    """06:30 before and after 2 November 2031 in Los Angeles are 24 hours on the clock and 25 in time (US rule, 2007)."""
    before = datetime(2031, 11, 1, 6, 30, tzinfo=WEST)
    after = datetime(2031, 11, 2, 6, 30, tzinfo=WEST)
    made = written(event("a", start=before, end=None), event("b", start=after, end=None))
    found = sorted((e.decoded("dtstart") for e in read(made).values()), key=lambda w: w.astimezone(UTC))
    assert [w.strftime("%H:%M") for w in found] == ["06:30", "06:30"]
    assert found[1].astimezone(UTC) - found[0].astimezone(UTC) == timedelta(hours=25)


def test_a_whole_day_is_a_date() -> None:
    """RFC 5545 3.6.1: DTSTART with VALUE=DATE and no zone; no VTIMEZONE is carried for days alone."""
    made = written(event("day", start=date(2031, 7, 21), end=date(2031, 7, 22)))
    assert b"DTSTART;VALUE=DATE:20310721\r\n" in made
    assert b"DTEND;VALUE=DATE:20310722\r\n" in made
    assert b"VTIMEZONE" not in made


def test_a_reminder_comes_before_the_start() -> None:
    """RFC 5545 3.6.6: ACTION, TRIGGER and DESCRIPTION; the trigger is negative."""
    (one,) = read(written(event())).values()
    (alarm,) = one.walk("VALARM")
    assert str(alarm["action"]) == "DISPLAY"
    assert alarm.decoded("trigger") == -timedelta(hours=14)
    assert str(alarm["description"])


def test_what_cannot_be_an_event_is_refused() -> None:
    """One sentence each: no zone, an end before the start, a day with a moment, one key twice."""
    with pytest.raises(ValueError, match="wanted a moment with the yard's zone"):
        event(start=datetime(2031, 7, 20, 6, 30), end=None)
    with pytest.raises(ValueError, match="wanted a moment with the yard's zone"):
        event(start=datetime(2031, 7, 20, 6, 30, tzinfo=UTC), end=None)
    with pytest.raises(ValueError, match="not after its start"):
        event(end=datetime(2031, 7, 20, 6, 30, tzinfo=WEST))
    with pytest.raises(ValueError, match="two of a kind"):
        event(end=date(2031, 7, 21))
    with pytest.raises(ValueError, match="two events have the key"):
        advance([event(), event()], {}, NOW, TODAY)
