"""What the books know of rounds: roads entered, the plan kept, what became of its tasks, when a yard was seen."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any, Final, cast

from tideover.desk.rounds_view import HiveTask, State
from tideover.figures import reader
from tideover.plan.rounds.roads import Road
from tideover.records import Books

HOME_NAME: Final = "home"
VISIT_KINDS: Final = frozenset({"look", "laid on", "taken off", "event", "mite wash", "task done"})
OPEN_FOR_D: Final = int(reader("calls")("round_back_d"))
"""Tasks of days kept longer ago than this are no longer asked about."""


@dataclass(frozen=True)
class KeptStop:
    """One stop of the plan that was kept: yard, day, the tasks as they were planned, and the entry that says so."""

    entry: str
    stop: str
    yard: str
    day: date
    begins: str
    ends: str
    tasks: tuple[HiveTask, ...]
    kept_at: datetime


@dataclass(frozen=True)
class Outcome:
    """What became of one task: the entry, what was given [g] and the entry written with it."""

    entry: str
    task: str
    hive: str
    at: datetime
    outcome: State
    weight_g: float | None
    wrote: str


def entered_roads(books: Books) -> dict[tuple[str, str], Road]:
    """Road times that stand, by yard and other end; the last entered counts."""
    found: dict[tuple[str, str], Road] = {}
    for e in books.entries(kind="road time"):
        km = e.values.get("km")
        to = str(e.values["to"]).strip()
        end = HOME_NAME if to.lower() == HOME_NAME else to
        minutes = float(cast(float, e.values["minutes"]))
        found[e.yard, end] = Road(minutes, float(km) if isinstance(km, int | float) else None)
    return found


def tasks_text(tasks: Iterable[HiveTask]) -> str:
    """Tasks as they are kept in an entry."""
    return json.dumps(
        [
            {
                "id": t.id, "hive": t.hive, "action": t.action, "text": t.text, "grams": round(t.grams, 1),
                "minutes": float(t.minutes), "due": t.due.isoformat() if t.due else None, "why": t.why,
            }
            for t in tasks
        ],
        separators=(",", ":"), ensure_ascii=False,
    )  # fmt: skip


def tasks_of(text: str) -> tuple[HiveTask, ...]:
    """Tasks from an entry; what cannot be read is passed over, since a kept plan is only a plan."""
    try:
        listed = json.loads(text or "[]")
    except ValueError:
        return ()
    out = []
    for one in listed if isinstance(listed, list) else []:
        try:
            due = one.get("due")
            out.append(
                HiveTask(
                    str(one["id"]), str(one["hive"]), one["action"], str(one["text"]), float(one["grams"]),
                    float(one["minutes"]), datetime.fromisoformat(due) if due else None, str(one.get("why", "")),
                )
            )  # fmt: skip
        except (KeyError, TypeError, ValueError, AttributeError):
            continue
    return tuple(out)


def kept_plan(books: Books) -> list[KeptStop]:
    """The plan kept last: for each yard and visit the entry that stands and was written last."""
    latest: dict[tuple[str, str], KeptStop] = {}
    for e in sorted(books.entries(kind="planned visit"), key=lambda e: (e.written_at, e.id)):
        day = date.fromisoformat(str(e.values["day"]))
        stop = str(e.values.get("stop", "")) or f"{e.yard}/{day}"
        latest[e.yard, stop] = KeptStop(
            e.id, stop, e.yard, day, str(e.values.get("begins", "")), str(e.values.get("ends", "")),
            tasks_of(str(e.values.get("tasks", ""))), e.at,
        )  # fmt: skip
    return sorted(latest.values(), key=lambda k: (k.day, k.begins, k.yard))


def outcomes(books: Books, since: datetime) -> dict[str, Outcome]:
    """What became of tasks, by task; the last word stands."""
    found: dict[str, Outcome] = {}
    for e in sorted(books.entries(kind="task done", since=since), key=lambda e: (e.written_at, e.id)):
        weight = e.values.get("weight")
        found[str(e.values["task"])] = Outcome(
            e.id, str(e.values["task"]), e.hive or "", e.at, cast(State, e.values["outcome"]),
            float(weight) if isinstance(weight, int | float) else None, str(e.values.get("wrote", "")),
        )  # fmt: skip
    return found


def last_seen(books: Books, yard: str, before: date) -> date | None:
    """The last local day before ``before`` on which anything was done at a hive of the yard."""
    zone = books.yard(yard).zone
    until = datetime.combine(before, time(0), zone)
    days = [
        e.at.astimezone(zone).date()
        for e in books.entries_of_yard_hives(yard)
        if e.kind in VISIT_KINDS and e.at < until and e.values.get("outcome") != "not done"
    ]
    return max(days, default=None)


def done_since(books: Books, today: date) -> dict[str, Outcome]:
    """Outcomes young enough to be asked about."""
    return outcomes(books, datetime.combine(today - timedelta(days=OPEN_FOR_D + 1), time(0), UTC))


def with_outcome(task: HiveTask, found: Mapping[str, Outcome]) -> HiveTask:
    """The task with what became of it."""
    got = found.get(task.id)
    if got is None:
        return task
    given = got.weight_g if got.outcome != "done" or got.weight_g is not None else task.grams
    return HiveTask(
        task.id, task.hive, task.action, task.text, task.grams, task.minutes, task.due, task.why,
        got.outcome, given, got.entry,
    )  # fmt: skip


def visit_entry_values(stop_id: str, day: date, begins: str, ends: str, tasks: Iterable[HiveTask]) -> dict[str, Any]:
    """The values of a planned visit."""
    return {"day": day.isoformat(), "stop": stop_id, "begins": begins, "ends": ends, "tasks": tasks_text(tasks)}
