"""From the calls of all hives to what is to be done, by when, and in as few openings of a yard as can be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, tzinfo
from math import floor
from typing import Final

from tideover.figures import reader
from tideover.plan.call import Action, Call
from tideover.plan.settings import Settings

_value = reader("calls")
URGENT_D: Final = int(_value("urgent_d"))
"""Days within which a cause, hunger or thirst is seen to."""
END_OF_DAY: Final = time(int(_value("day_ends_h")))
"""Hour of a due that is a whole day."""
EARLY_OFF_D: Final = int(_value("early_off_d"))
"""A rest is not fetched earlier than this before its pull-by: it may still be eaten."""

REST_SHARE: Final = _value("rest_share")
"""Share of a piece laid on for which the freezer keeps room: pieces are sized to be eaten."""

_TEXT: Final[dict[Action, str]] = {
    "lay on": "lay on patty",
    "leave": "nothing to give",
    "look again": "look: it may change the call",
    "take off": "take off the rest",
    "give sugar": "give sugar",
    "give water": "put out water",
    "unite": "unite, after a look",
    "move the yard": "move the yard",
    "see to the cause first": "see to the cause",
}


@dataclass(frozen=True)
class Job:
    """One thing to do at one hive.

    ``grams``: to give; ``load_g``: to have along for it; ``first``: not before this day;
    ``due``: the latest moment, None where nothing presses.
    """

    hive: str
    yard: str
    action: Action
    text: str
    grams: float
    load_g: float
    minutes: float
    first: date
    due: datetime | None
    why: str
    stay_d: int = 0
    """Days a piece laid on now may stay; 0 where none is laid on."""
    rest_g: float = 0.0
    """What may come off and go into the freezer [g]."""


@dataclass(frozen=True)
class Bundle:
    """Jobs of one yard done in one visit; ``number`` counts the yard's visits from here on."""

    yard: str
    number: int
    jobs: tuple[Job, ...]
    part: int = 0
    """Which part of a visit too long for any morning."""
    provisional: bool = False

    @property
    def first(self) -> date:
        """No job may be done before this day."""
        return max(j.first for j in self.jobs)

    @property
    def due(self) -> datetime | None:
        """The earliest due of its jobs."""
        dues = [j.due for j in self.jobs if j.due is not None]
        return min(dues) if dues else None

    @property
    def minutes(self) -> float:
        """Work at the hives, the yard's own minutes not counted."""
        return sum(j.minutes for j in self.jobs)


def jobs_of(
    call: Call, pull_by: datetime | None, settings: Settings, today: date, zone: tzinfo, left_g: float = 0.0
) -> list[Job]:
    """What one hive asks for in the coming days; empty when it can be left alone.

    Parameters: pull_by: when the piece now on the hive must be off, None without one; today: the first day
    that can be driven; zone: of the yard, for dues that are a whole day; left_g: what is left of the pieces on the
    hive as far as is written [g].
    """

    def by(days: float) -> datetime:
        return datetime.combine(today + timedelta(days=max(0, floor(days))), END_OF_DAY, zone)

    made: list[Job] = []

    def job(action: Action, minutes: float, due: datetime | None, why: str, first: date = today, **more: float) -> None:
        load = more.get("load_g", 0.0)
        grams = more.get("grams", 0.0)
        stay = int(more.get("stay_d", 0))
        rest = left_g if action == "take off" or (action == "lay on" and pull_by is not None) else 0.0
        made.append(
            Job(call.hive, call.yard, action, _TEXT[action], grams, load, minutes, first, due, why, stay, rest)
        )  # fmt: skip

    week, run = settings.visit_days, call.runway.low
    if call.action == "lay on":
        soon = week if run is None else min(week, max(1.0, run))
        why = "its weekly turn"
        if run is not None and run <= week:
            why = "its protein may be gone by now" if run < 1 else f"its protein may end in {run:.0f} days"
        due = by(soon)
        if pull_by is not None and pull_by < due:
            due, why = pull_by, "the piece on it must be off"
        stay = max(1, (call.pull_by.date() - call.made_for).days) if call.pull_by is not None else int(week)
        job("lay on", settings.visit_minutes, due, why, grams=call.grams, load_g=call.loads_g, stay_d=stay)
        return made
    if call.action == "take off":
        due = pull_by or call.pull_by or by(0)
        job("take off", settings.visit_minutes, due, "pull-by", load_g=call.loads_g)
        return made
    if call.action == "give sugar":
        job("give sugar", settings.visit_minutes, by(URGENT_D), "honey is short", grams=call.grams)
    elif call.action == "give water":
        job("give water", settings.visit_minutes, by(URGENT_D), "heat, and foragers carrying water")
    elif call.action == "see to the cause first":
        job("see to the cause first", settings.look_minutes, by(URGENT_D), "feeding would not mend it")
    elif call.action == "unite":
        job("unite", 2 * settings.look_minutes, by(week), "too few bees to come through alone")
    elif call.action == "look again" or (call.action == "leave" and call.worth_opening):
        job("look again", settings.look_minutes, by(week), "a look may change the call", load_g=call.loads_g)
    if pull_by is not None:
        first = max(today, pull_by.date() - timedelta(days=EARLY_OFF_D))
        job("take off", settings.visit_minutes, pull_by, "pull-by", first)
    return made


def follow_ups(jobs: Iterable[Job], done: datetime, settings: Settings) -> list[Job]:
    """What a visit leaves to be done later: each piece laid on is off, or followed by the next, by its pull-by."""
    out = []
    for j in jobs:
        if j.action == "lay on" and j.stay_d > 0:
            due = done + timedelta(days=j.stay_d)
            out.append(
                replace(
                    j,
                    action="take off",
                    text="off with the rest; the next piece if the call still stands",
                    first=due.date() - timedelta(days=EARLY_OFF_D),
                    due=due,
                    why="pull-by of the piece laid on before",
                    minutes=settings.visit_minutes,
                    load_g=j.grams,
                    grams=0.0,
                    stay_d=0,
                    rest_g=REST_SHARE * j.grams,
                )
            )
    return out


def bundles(yard: str, jobs: Sequence[Job], longest: float, number: int = 1, provisional: bool = False) -> list[Bundle]:
    """The jobs of one yard in the fewest visits that can meet every due (intervals pierced greedily by their ends).

    Parameters: longest: minutes at the hives that the yard's best morning holds; a visit that is longer is cut
    into parts of whole hives; number: of the first visit made here.
    """

    def end_of(j: Job) -> date:
        return date.max if j.due is None else max(j.due.date(), j.first)

    left = sorted(jobs, key=lambda j: (end_of(j), j.first, j.hive))
    out: list[Bundle] = []
    while left:
        ends = end_of(left[0])
        mine = [j for j in left if j.first <= ends]
        left = [j for j in left if j.first > ends]
        for part, group in enumerate(_cut(mine, longest)):
            out.append(Bundle(yard, number, tuple(group), part, provisional))
        number += 1
    return out


def _cut(jobs: Sequence[Job], longest: float) -> list[list[Job]]:
    """Whole hives into parts no longer than can be; a single hive that is longer stands alone."""
    by_hive: dict[str, list[Job]] = {}
    for j in sorted(jobs, key=lambda j: (j.hive, j.action)):
        by_hive.setdefault(j.hive, []).append(j)
    total = sum(j.minutes for j in jobs)
    parts = max(1, -(-int(total) // max(1, int(longest))))
    aim = total / parts
    out: list[list[Job]] = [[]]
    used = 0.0
    for mine in by_hive.values():
        length = sum(j.minutes for j in mine)
        if out[-1] and (used + length > longest or (used >= aim and len(out) < parts)):
            out.append([])
            used = 0.0
        out[-1] += mine
        used += length
    return out
