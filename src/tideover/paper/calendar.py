"""The rounds and pull-bys as iCalendar: one event keeps one name, changes count up, what vanishes is cancelled.

Follows RFC 5545 (the file), RFC 5546 (publishing and cancelling) and RFC 7986 (names of calendars,
refresh). Nothing is remembered here: what was sent before comes in and what was sent now goes out.
"""

from __future__ import annotations

import hashlib
import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any, Final
from zoneinfo import ZoneInfo

from icalendar import Alarm, Calendar, vDuration, vText

PRODUCT: Final = "-//Tideover//Rounds and pull-bys//EN"
KEEPS_D: Final = 30
"""Days that an event stays in the calendar after it is over, and a cancelled one after it would have been."""
REFRESH: Final = timedelta(hours=1)


@dataclass(frozen=True)
class Event:
    """One thing to do at a time.

    :param key: its name, the same for as long as it is the same thing.
    :param start: aware moment with the yard's own zone, or a day.
    :param end: like ``start``; None for a moment that lasts no time, or for one whole day.
    :param alarm: how long before the start to remind; None for no reminder.
    :raises ValueError: for a moment without a zone, or an end that is not after the start.
    """

    key: str
    title: str
    text: str
    start: datetime | date
    end: datetime | date | None = None
    where: str = ""
    latitude: float | None = None
    longitude: float | None = None
    alarm: timedelta | None = None
    kind: str = "round"

    def __post_init__(self) -> None:
        for name in ("start", "end"):
            when = getattr(self, name)
            if isinstance(when, datetime) and not isinstance(when.tzinfo, ZoneInfo):
                raise ValueError(f"the {name} of {self.key!r} is {when}, wanted a moment with the yard's zone.")
        if self.end is not None:
            if isinstance(self.start, datetime) != isinstance(self.end, datetime):
                raise ValueError(f"{self.key!r} begins with {self.start} and ends with {self.end}; give two of a kind.")
            if self.end <= self.start:
                raise ValueError(f"{self.key!r} ends at {self.end}, not after its start at {self.start}.")

    def as_plain(self) -> dict[str, Any]:
        """As JSON can hold it, to be remembered."""
        return {
            "title": self.title,
            "text": self.text,
            "start": _plain(self.start),
            "end": None if self.end is None else _plain(self.end),
            "where": self.where,
            "latitude": self.latitude,
            "longitude": self.longitude,
            "alarm_s": None if self.alarm is None else self.alarm.total_seconds(),
            "kind": self.kind,
        }

    @staticmethod
    def of_plain(key: str, held: Mapping[str, Any]) -> Event:
        """What was remembered, as an event again."""
        return Event(
            key, held["title"], held["text"], _when(held["start"]),
            None if held["end"] is None else _when(held["end"]),
            held["where"], held["latitude"], held["longitude"],
            None if held["alarm_s"] is None else timedelta(seconds=held["alarm_s"]), held["kind"],
        )  # fmt: skip

    def over(self, today: date) -> int:
        """Days since it was over; negative while it is ahead."""
        last = self.end or self.start
        day = last.date() if isinstance(last, datetime) else last
        return (today - day).days


@dataclass(frozen=True)
class Published:
    """An event as it goes out: which revision it is, when it was last changed, whether it is cancelled."""

    event: Event
    sequence: int
    changed: datetime
    cancelled: bool = False


def _plain(when: datetime | date) -> dict[str, str]:
    if isinstance(when, datetime):
        zone = when.tzinfo
        assert isinstance(zone, ZoneInfo)
        return {"at": when.replace(tzinfo=None).isoformat(), "zone": zone.key, "fold": str(when.fold)}
    return {"day": when.isoformat()}


def _when(held: Mapping[str, str]) -> datetime | date:
    if "day" in held:
        return date.fromisoformat(held["day"])
    return datetime.fromisoformat(held["at"]).replace(tzinfo=ZoneInfo(held["zone"]), fold=int(held["fold"]))


def _digest(event: Event) -> str:
    return hashlib.sha256(json.dumps(event.as_plain(), sort_keys=True).encode()).hexdigest()[:16]


def advance(
    events: Sequence[Event], sent: Mapping[str, Any], now: datetime, today: date
) -> tuple[list[Published], dict[str, Any]]:
    """Hold the events of now against what was sent before.

    An event that says something else than before counts its revision up; one that is gone before it was over is
    cancelled, and one that comes back counts up again. What is long over is forgotten.
    :param events: what is to be done now; keys are all different.
    :param sent: what ``advance`` gave back last time; empty at first.
    :param now: the moment of writing (aware).
    :param today: the day the books are read for.
    :returns: what goes out, in the order of its start, and what to remember.
    :raises ValueError: if two events have one key.
    """
    keys = [e.key for e in events]
    if len(set(keys)) != len(keys):
        twice = sorted({k for k in keys if keys.count(k) > 1})
        raise ValueError(f"two events have the key {twice[0]!r}; give each its own.")
    stamp = now.astimezone(UTC).replace(microsecond=0)
    out: list[Published] = []
    memory: dict[str, Any] = {}
    for event in events:
        held = sent.get(event.key)
        mark = _digest(event)
        if held is None:
            one = Published(event, 0, stamp)
        elif held["mark"] == mark and not held["cancelled"]:
            one = Published(event, int(held["sequence"]), datetime.fromisoformat(held["changed"]))
        else:
            one = Published(event, int(held["sequence"]) + 1, stamp)
        out.append(one)
        memory[event.key] = _remembered(one)
    for key, held in sent.items():
        if key in memory:
            continue
        event = Event.of_plain(key, held["event"])
        if event.over(today) > KEEPS_D:
            continue
        one = Published(event, int(held["sequence"]), datetime.fromisoformat(held["changed"]), bool(held["cancelled"]))
        if not one.cancelled and event.over(today) <= 0:
            one = replace(one, sequence=one.sequence + 1, changed=stamp, cancelled=True)
        out.append(one)
        memory[key] = _remembered(one)
    out.sort(key=lambda p: (_instant(p.event.start), p.event.key))
    return out, memory


def _remembered(one: Published) -> dict[str, Any]:
    return {
        "event": one.event.as_plain(),
        "mark": _digest(one.event),
        "sequence": one.sequence,
        "changed": one.changed.isoformat(),
        "cancelled": one.cancelled,
    }


def _instant(when: datetime | date) -> datetime:
    if isinstance(when, datetime):
        return when.astimezone(UTC)
    return datetime(when.year, when.month, when.day, tzinfo=UTC)


def uid(calendar_id: str, key: str) -> str:
    """The name of an event in every calendar of the world: from the calendar's own id and its key."""
    return str(uuid.uuid5(uuid.UUID(calendar_id), key))


def text(published: Sequence[Published], *, calendar_id: str, name: str, publish: bool = False) -> bytes:
    """The calendar as iCalendar text: UTF-8, lines folded at 75 octets and ended by CR LF.

    :param published: what goes out.
    :param calendar_id: a UUID that is the calendar's own for good.
    :param name: what the calendar is called.
    :param publish: as a message to be brought into a calendar (METHOD:PUBLISH, with an organiser, as RFC 5546
        asks); otherwise as the state of a feed, which has no method.
    """
    made = Calendar()
    made.add("prodid", PRODUCT)
    made.add("version", "2.0")
    made.add("calscale", "GREGORIAN")
    if publish:
        made.add("method", "PUBLISH")
    made.add("uid", calendar_id)
    made.add("name", name)
    made.add("x-wr-calname", name)
    refresh = vDuration(REFRESH)
    refresh.params["VALUE"] = "DURATION"
    made.add("refresh-interval", refresh)
    made.add("x-published-ttl", vDuration(REFRESH))
    for one in published:
        made.add_component(_event(one, calendar_id, name, publish))
    moments = [p.event.start for p in published if isinstance(p.event.start, datetime)]
    if moments:
        # A year before and two after: every change of the clock that a reader could need, and no more.
        made.add_missing_timezones(min(moments).date() - timedelta(days=370), max(moments).date() + timedelta(days=740))
    return bytes(made.to_ical())


def _event(one: Published, calendar_id: str, name: str, publish: bool) -> Any:
    from icalendar import Event as Component
    from icalendar import vCalAddress

    e = one.event
    made = Component()
    made.add("uid", uid(calendar_id, e.key))
    made.add("dtstamp", one.changed)
    made.add("last-modified", one.changed)
    made.add("sequence", one.sequence)
    made.add("status", "CANCELLED" if one.cancelled else "CONFIRMED")
    made.add("summary", e.title)
    if e.text:
        made.add("description", e.text)
    made.add("dtstart", e.start)
    if e.end is not None:
        made.add("dtend", e.end)
    if e.where:
        made.add("location", e.where)
    if e.latitude is not None and e.longitude is not None:
        made.add("geo", (round(e.latitude, 6), round(e.longitude, 6)))
    made.add("categories", [e.kind])
    # A pull-by or a round takes nobody's time away in a shared calendar until he says so.
    made.add("transp", "TRANSPARENT" if e.end is None else "OPAQUE")
    if publish:
        organiser = vCalAddress(f"urn:uuid:{calendar_id}")
        organiser.params["CN"] = vText(name)
        made.add("organizer", organiser)
    if e.alarm is not None and not one.cancelled:
        alarm = Alarm()
        alarm.add("action", "DISPLAY")
        alarm.add("description", e.title)
        alarm.add("trigger", -e.alarm)
        made.add_component(alarm)
    return made
