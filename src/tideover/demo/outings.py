"""Beside looks and patties: roads timed, the last rounds as planned and as done, one look comb by comb."""

from __future__ import annotations

import json
import math
import random
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from tideover.demo.colony import Colony
from tideover.demo.keeping import World, boxes_on
from tideover.demo.place import moment
from tideover.demo.season import POUND_G, yard_of
from tideover.demo.sees import BEES_PER_SEAM, SIDE_CELLS, blurred, boxes_of
from tideover.demo.sheets import Sheets
from tideover.demo.stories import d
from tideover.demo.visits import VISITS, Visit, opened

ROADS: Final = (
    ("quarry", "home", 19, 14.5),
    ("mill-race", "home", 12, 9.0),
    ("long-fallow", "home", 15, 11.5),
    ("quarry", "mill-race", 15, 10.5),
)
"""Yard, other end, minutes, kilometres: what the two keepers timed; nobody timed the road to Long Fallow across."""

LAST_ROUNDS: Final = (("quarry", d(8, 9)), ("mill-race", d(8, 10)), ("long-fallow", d(8, 12)))
"""Visits that were planned as rounds: yard and the day it was done, which was the day planned."""
KEPT_BEFORE_D: Final = 2
LEFT_OPEN: Final = ("quarry-09", d(8, 9))
"""A task nobody said anything about afterwards."""
NOT_DONE: Final = ("mill-race-03", d(8, 10))
"""A task told as not done: nobody opened the hive."""
WHY_NOT: Final = "bees at the veil, closed up again"

COMB_BY_COMB: Final = ("mill-race-08", d(6, 22))
"""The hive taken apart comb by comb once, and the day."""


@dataclass(frozen=True)
class _Task:
    """One planned task: what, how many grams, and what became of it (empty: nobody said)."""

    hive: str
    action: str
    text: str
    grams: float
    outcome: str
    given_lb: float | None = None
    wrote: str = ""


def write_outings(world: World, sheets: Sheets) -> None:
    """Write road times, the plan kept for each of the last rounds with what became of it, and the comb sides."""
    for yard, to, minutes, km in ROADS:
        values = {"to": to, "minutes": f"{minutes}", "km": f"{km:g}"}
        sheets.add("road time", moment(d(6, 1), 19.0), "K", values, yard=yard, tag=to)
    for yard, day in LAST_ROUNDS:
        visits = [v for v in VISITS if v.yard == yard]
        visit = next(v for v in visits if v.day == day)
        before = max(v.day for v in visits if v.day < day)
        _round(world, sheets, visit, before)
    _comb_by_comb(world, sheets)


def _round(world: World, sheets: Sheets, visit: Visit, before: date) -> None:
    """Write one yard's plan and, that evening, what became of its tasks."""
    tasks = _tasks(world, sheets, visit)
    listed = [
        {
            "id": f"{t.hive}:{t.action}:{before.isoformat()}",
            "hive": t.hive,
            "action": t.action,
            "text": t.text,
            "grams": round(t.grams, 1),
            "minutes": 4.0,
            "due": None,
            "why": "its weekly turn",
        }
        for t in tasks
    ]
    hours = len(tasks) * 0.2
    begins = f"{int(visit.from_hour):02d}:{round(visit.from_hour % 1 * 60):02d}"
    until = visit.from_hour + hours
    values = {
        "day": visit.day.isoformat(),
        "stop": f"{visit.yard}/{before.isoformat()}/1",
        "begins": begins,
        "ends": f"{int(until):02d}:{int(until % 1 * 60):02d}",
        "tasks": json.dumps(listed, separators=(",", ":")),
    }
    kept = moment(visit.day - timedelta(days=KEPT_BEFORE_D), 19.5)
    sheets.add("planned visit", kept, "K", values, yard=visit.yard, tag=visit.day.isoformat())
    for n, (t, one) in enumerate(zip(tasks, listed, strict=True)):
        if not t.outcome:
            continue
        told = {"task": str(one["id"]), "outcome": t.outcome}
        if t.grams:
            told["planned_lb"] = f"{t.grams / POUND_G:.2f}"
        if t.given_lb is not None:
            told["weight_lb"] = f"{t.given_lb:.2f}"
        if t.wrote:
            told["wrote"] = t.wrote
        why = WHY_NOT if t.outcome == "not done" else ""
        sheets.add("task done", moment(visit.day, 19.5 + 0.02 * n), visit.who, told, hive=t.hive, note=why)


def _tasks(world: World, sheets: Sheets, visit: Visit) -> list[_Task]:
    """What the keepers meant to do: take off what lay there, else look, and lay a piece on at one hive."""
    day = visit.day.isoformat()
    off = {r["hive"]: r for r in sheets.rows["takings_off"] if r["at"].startswith(day)}
    out = []
    for hive in [s for s in world.lives if yard_of(s) == visit.yard]:
        told = "" if (hive, visit.day) == LEFT_OPEN else "not done" if (hive, visit.day) == NOT_DONE else "done"
        if hive in off:
            out.append(_Task(hive, "take off", "take off the rest", 0.0, told, None, off[hive]["id"]))
        elif told != "done" or any(o.story.hive == hive for o in opened(world.seed, visit)):
            out.append(_Task(hive, "look again", "look: it may change the call", 0.0, told))
    return [*out, *_laid(sheets, day, visit.yard)]


def _laid(sheets: Sheets, day: str, yard: str) -> list[_Task]:
    """Pieces laid on at that visit; half a pound was planned for each, and what was given is told."""
    return [
        _Task(r["hive"], "lay on", "lay on patty", POUND_G / 2.0, "changed", float(r["weight_lb"]), r["id"])
        for r in sheets.rows["layings_on"]
        if r["at"].startswith(day) and yard_of(r["hive"]) == yard
    ]


def _comb_by_comb(world: World, sheets: Sheets) -> None:
    """Judge every side of one hive in eighths: brood in the middle, pollen beside it, honey outside and above."""
    hive, day = COMB_BY_COMB
    rng = random.Random(f"{world.seed}/combs/{hive}/{day}")
    c = world.lives[hive].on(day)
    shelves = boxes_of(boxes_on(world.lives[hive].story, day))
    for level, (frame, frames) in enumerate(shelves, 1):
        for comb in range(1, frames + 1):
            for side in ("a", "b"):
                values = {"level": str(level), "comb": str(comb), "side": side}
                values |= _side(rng, c, shelves, level - 1, frame, comb + (0.25 if side == "b" else -0.25))
                at = moment(day, 8.6 + 0.02 * (comb + 10 * level))
                sheets.add("comb side", at, "K", values, hive=hive, tag=f"{level}.{comb}{side}")


def _hump(shelves: list[tuple[str, int]], level: int, at: float, wide: float, below: float) -> float:
    """This side's share of something that sits in the middle of each box, ``below`` of it in the bottom box."""

    def of(frames: int, place: float) -> float:
        return math.exp(-0.5 * ((place - (frames + 1) / 2.0) / wide) ** 2)

    frames = shelves[level][1]
    sides = sum(of(frames, k + s) for k in range(1, frames + 1) for s in (-0.25, 0.25))
    here = below if level == 0 else (1.0 - below) / max(1, len(shelves) - 1)
    return here * of(frames, at) / sides


def _side(
    rng: random.Random, c: Colony, shelves: list[tuple[str, int]], level: int, frame: str, at: float
) -> dict[str, str]:
    """One side in eighths, judged with a fifth's error; contents never fill more than the side."""
    cells = SIDE_CELLS[frame]
    nest = _hump(shelves, level, at, 1.8, 0.85)
    rim = max(0.0, _hump(shelves, level, at, 3.2, 0.7) - 0.55 * nest)
    true = {
        "bees": 8.0 * c.adults * 0.8 * _hump(shelves, level, at, 3.0, 0.66) / (BEES_PER_SEAM[frame] / 2.0),
        "capped": 8.0 * c.capped * nest / cells,
        "open": 8.0 * c.open * nest / cells,
        "eggs": 8.0 * c.eggs * nest / cells,
        "pollen": 8.0 * c.pollen_g * rim * 1.4 / (cells * 0.14),
    }
    out = {name: min(8.0, blurred(rng, amount, 0.2)) for name, amount in true.items()}
    room = max(0.0, 8.0 - sum(out[k] for k in ("capped", "open", "eggs", "pollen")))
    outside = 0.9 if level > 0 else 0.55
    out["honey"] = min(room, blurred(rng, 8.0 * outside * min(1.0, c.honey_kg / 22.0), 0.2))
    halves = {name: round(min(8.0, amount) / 0.5) for name, amount in out.items()}
    # each part is rounded by itself, so that together they may pass the side: the largest gives way
    in_cells = [name for name in halves if name != "bees"]
    for _ in range(sum(halves[name] for name in in_cells) - 16):
        halves[max(in_cells, key=lambda name: halves[name])] -= 1
    return {name: f"{0.5 * count:g}" for name, count in halves.items()}
