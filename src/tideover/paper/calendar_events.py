"""What goes into the calendar: stops of the coming rounds, pull-bys of pieces on hives, pieces frozen long enough."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tideover.desk.rounds_view import Rounds, Stop
from tideover.desk.views import PattyStay
from tideover.figures.units import MILE_KM
from tideover.paper import amounts
from tideover.paper.calendar import Event
from tideover.paper.sheet import SAFETY
from tideover.records import Books
from tideover.records.own_units import own_first

ALARM: Final = timedelta(hours=14)
"""A reminder the evening before a morning's work (our assumption)."""


@dataclass(frozen=True)
class Freezing:
    """A piece in the freezer.

    :param piece: its code.
    :param place: where it lies or whose it is, in words.
    :param done: when its core has been cold long enough (aware, with a zone).
    """

    piece: str
    place: str
    done: datetime


def pull_bys(books: Books, pieces: Mapping[str, PattyStay], units: str = "metric") -> list[Event]:
    """One event per yard and day on which pieces must be off.

    :param pieces: the piece on each hive, by hive.
    :param units: which unit stands first.
    """
    groups: dict[tuple[str, str], list[tuple[str, PattyStay]]] = {}
    for hive, stay in pieces.items():
        at = books.hive(hive).yard
        groups.setdefault((at, stay.pull_by.date().isoformat()), []).append((hive, stay))
    found = []
    for (yard_id, day), members in groups.items():
        yard = books.yard(yard_id)
        members.sort(key=lambda m: (m[1].pull_by, m[0]))
        first = members[0][1].pull_by
        many = f"{len(members)} hives" if len(members) > 1 else members[0][0]
        lines = [
            f"{hive}: {amounts.both(stay.grams, units)} on since {amounts.day(stay.on)}, "
            f"off by {amounts.hour(stay.pull_by)}"
            for hive, stay in members
        ]
        text = "\n".join([*lines, "Take off what is left, look at it for larvae, bag and freeze it.", "", SAFETY])
        found.append(
            Event(
                f"pull-by/{yard_id}/{day}",
                f"{yard.name}: pieces off by {first:%H:%M} ({many})",
                text,
                first,
                where=yard.name,
                latitude=yard.latitude,
                longitude=yard.longitude,
                alarm=ALARM,
                kind="pull-by",
            )
        )
    return found


def stops(books: Books, plan: Rounds, units: str = "metric") -> list[Event]:
    """One event per stop at a yard.

    :param plan: the coming rounds.
    :param units: which unit stands first.
    """
    found = []
    for day in plan.days:
        for stop in day.stops:
            yard = books.yard(stop.yard)
            hives = len({t.hive for t in stop.tasks})
            title = f"{stop.name}: {hives} hive{'s' if hives != 1 else ''}" + (
                " (if the first visit says so)" if stop.provisional else ""
            )
            end = stop.end if stop.end > stop.start else stop.start + timedelta(minutes=15)
            found.append(
                Event(
                    f"stop/{stop.id}",
                    title,
                    _stop_text(stop, units),
                    stop.start,
                    end,
                    where=stop.name,
                    latitude=yard.latitude,
                    longitude=yard.longitude,
                    alarm=ALARM,
                    kind="round",
                )
            )
    return found


def _stop_text(stop: Stop, units: str) -> str:
    lines = []
    for task in stop.tasks:
        amount = f", {amounts.both(task.grams, units)}" if task.grams > 0 else ""
        due = f" (by {amounts.hour(task.due)})" if task.due is not None else ""
        lines.append(f"{task.hive}: {task.text}{amount}{due}")
    lines += [own_first(text, units) for text in (*stop.why, *stop.cautions)]
    if stop.drive_km > 0:
        far = own_first(f"{stop.drive_km:.0f} km ({stop.drive_km / MILE_KM:.0f} mi)", units)
        lines.append(f"Drive there: {far}, {stop.drive_min:.0f} min.")
    return "\n".join([*lines, "", SAFETY])


def freezings(pieces: Iterable[Freezing]) -> list[Event]:
    """One event per piece that will have been frozen long enough."""
    return [
        Event(
            f"frozen/{one.piece}/{one.done.date().isoformat()}", f"Frozen long enough: {one.piece}",
            f"{one.piece}, {one.place}: its core has been cold long enough to kill beetles in every stage. "
            "Freezing does not kill the spores of foulbrood: a piece goes back to its own hive only.",
            one.done, kind="cold box",
        )
        for one in pieces
    ]  # fmt: skip
