"""From the books to the science: what is known of one hive, in the form evidence takes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Final
from zoneinfo import ZoneInfo

from tideover.evidence.seen import BoxSpec, HiveCase, Place, Seen
from tideover.records.entries import Box, Entry, Hive, Yard, parse_boxes
from tideover.records.store import Books

_BOOKKEEPING: Final = frozenset(
    {"confirm", "withdraw", "batch", "cold box", "discarded", "stock count", "road time", "planned visit", "task done"}
)
"""Kinds about other entries, patties off the hive, roads and rounds: none of them is a fact about bees."""


def seen_of(entry: Entry, zone: ZoneInfo, confirmed: bool = False) -> Seen:
    """Return an entry as a dated fact, with day and hour [h, 0 to 24] local to ``zone``."""
    local = entry.at.astimezone(zone)
    hour = local.hour + local.minute / 60 + (local.second + local.microsecond / 1e6) / 3600
    return Seen(entry.id, entry.kind, local.date(), hour, entry.values, entry.who, confirmed)


def place_of(yard: Yard) -> Place:
    """Return a yard as the place evidence needs."""
    return Place(
        yard.id, yard.latitude, yard.longitude, yard.elevation_m, yard.timezone, yard.beetles, yard.beetles_reportable
    )


def _facts(entries: Iterable[Entry], zone: ZoneInfo, confirmed: set[str]) -> tuple[Seen, ...]:
    return tuple(seen_of(e, zone, e.id in confirmed) for e in entries if e.kind not in _BOOKKEEPING)


def case(books: Books, hive_id: str) -> HiveCase:
    """Return all that stands in the books about one hive, in time order; UnknownNameError when there is none.

    ``boxes`` are those the hive came with (events change them from there); the place is the
    yard it stands in by the books' hive row.
    """
    hive = books.hive(hive_id)
    yard = books.yard(hive.yard)
    seen = _facts(books.entries(hive=hive_id), yard.zone, books.confirmed(hive=hive_id))
    return HiveCase(hive_id, place_of(yard), tuple(BoxSpec(b.frame, b.frames) for b in hive.boxes), seen)


def cases(books: Books, yard_id: str) -> dict[str, HiveCase]:
    """Return the case of every hive that now stands in a yard; the same as ``case`` one by one, in few queries."""
    yard = books.yard(yard_id)
    hives = {h.id: h for h in books.hives(yard_id)}
    confirmed = books.confirmed(in_yard=yard_id)
    by_hive: dict[str, list[Entry]] = {h: [] for h in hives}
    for e in books.entries_of_yard_hives(yard_id):
        by_hive[e.hive or ""].append(e)
    place = place_of(yard)
    return {
        h.id: HiveCase(
            h.id,
            place,
            tuple(BoxSpec(b.frame, b.frames) for b in h.boxes),
            _facts(by_hive[h.id], yard.zone, confirmed),
        )
        for h in hives.values()
    }


def yard_seen(books: Books, yard_id: str) -> list[Seen]:
    """Return what stands about a yard as a whole (weather, bloom, events of the yard), in time order."""
    yard = books.yard(yard_id)
    return list(_facts(books.entries(yard=yard_id, hive=""), yard.zone, books.confirmed(yard=yard_id)))


def boxes_now(hive: Hive, seen: Iterable[Seen]) -> tuple[Box, ...]:
    """Return the boxes after the box events in ``seen`` (in time order), starting from those the hive came with.

    An added box goes on top; a removed one is the topmost of that frame type, or the topmost
    when none is named; the last box stays.
    """
    boxes = list(hive.boxes)
    for s in seen:
        what = s.values.get("event")
        if s.kind != "event" or what not in ("box added", "box removed"):
            continue
        said = s.values.get("box")
        named = parse_boxes(said) if isinstance(said, str) else ()
        if what == "box added":
            boxes.extend(named or (Box(1, boxes[-1].frame, boxes[-1].frames),))
        else:
            for gone in named or (boxes[-1],):
                at = [i for i, b in enumerate(boxes) if b.frame == gone.frame] or [len(boxes) - 1]
                if len(boxes) > 1:
                    boxes.pop(at[-1])
    return tuple(replace(b, level=i) for i, b in enumerate(boxes, 1))
