"""What an entry dated weeks back costs against the newest: the hive it is of, and the rest of its yard.

Protocol: the invented season in a temporary folder, every hive answered. A look (the hive's own last one, without
what it says of a patty) is written as of today and of 1, 2, 4 and 8 weeks back; each is timed to the new call and then
withdrawn, so that every one is written in the same books. These are processor times of one process, lengthened little
by other programs. ``replay`` is the time of assimilating a hive's season with no checkpoint to go on from, which is
what checkpoints save; the rest of an answer (plans to the cluster date, card, views) is made anew in any case.
``cold`` is one hive answered with nothing known but its yard.

A whole yard is timed by the clock, as the pages do it: four hives of another yard are written to it, so that it holds
13, all are answered, and then a bloom note two weeks late changes the land of the yard, or a look two weeks late tells
its neighbours something of it. The keeper asks for one hive at once (the look's own) while the rest is worked out in
the background: the yard's hives first, then those of other yards that now hear of a better or no better one, then the
round. Once with all in one process, whose processor time is told too, and once with two beside it, already started. The
clock runs longer where other programs run: ``idle`` is what a plain loop took of a processor meanwhile.
"""

from __future__ import annotations

import json
import tempfile
import time
import uuid
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any, Final

from tideover import demo
from tideover.desk import Desk
from tideover.desk.asked import Bench
from tideover.records import Books, Entry, bring, open_books
from tideover.web.answers import Answers, Working

WEEKS: Final = (0, 1, 2, 4, 8)
HIVES: Final = ("quarry-01", "mill-race-08", "long-fallow-07")
PLACE: Final = "mill-race"
YARD: Final = 13
"""Hives of a yard in the budget: two weeks late, answered within about ten seconds."""


PROCESSES: Final = (1, 2)


def _spin() -> int:
    """A plain loop of about a second."""
    total = 0
    for i in range(15_000_000):
        total += i & 7
    return total


def _timed(call: Callable[[], Any]) -> float:
    began = time.process_time()
    call()
    return time.process_time() - began


def _withdraw(desk: Desk, entry: Entry) -> None:
    gone = Entry(
        str(uuid.uuid4()), "withdraw", entry.yard, entry.hive, entry.at, "K", "bench", "metric", {}, supersedes=entry.id
    )
    desk.enter(gone)


def _look(desk: Desk, books: Books, hive: str, weeks: int) -> Entry:
    """The hive's last look as if made today, or so many weeks back."""
    last = books.entries(kind="look", hive=hive)[-1]
    values = {k: v for k, v in last.values.items() if not k.startswith("patty")}
    on = last.at.replace(year=desk.today().year, month=desk.today().month, day=desk.today().day)
    return replace(last, id=str(uuid.uuid4()), at=on - timedelta(weeks=weeks), recorded_at=None, values=values)


def _one_hive(desk: Desk, books: Books, hive: str) -> dict[int, float]:
    """Processor seconds from a look of so many weeks back to the hive's new view."""
    found = {}
    for weeks in WEEKS:
        entry = _look(desk, books, hive, weeks)
        found[weeks] = _timed(lambda entry=entry: desk.enter(entry))  # type: ignore[misc]
        _withdraw(desk, entry)
    return found


def _replayed(desk: Desk, hive: str) -> None:
    desk._worked.asked(hive, desk.today()).assimilated(Bench())


def _cold(desk: Desk, hive: str) -> None:
    """One hive's answer where its yard is known: season, plans, card."""
    desk._worked.asked(hive, desk.today()).work(Bench())
    desk.hive(hive)


def _through(desk: Desk, hive: str, entry: Entry) -> dict[str, float]:
    """Seconds by the clock from an entry to one hive's answer, the yard's and the round, as the pages go about it."""
    answers = Answers(desk, patience_s=0.05)
    kept = desk._worked._answers
    before = {h.id: kept[h.id][1] for h in desk.books.hives()}
    at: dict[str, float] = {}
    began, worked = time.perf_counter(), time.process_time()
    answers.enter(entry)
    answers.start()
    answers.hive(hive)
    first = time.perf_counter() - began
    while isinstance(answers.round(), Working):
        for h, answer in before.items():
            if h not in at and kept[h][1] is not answer:
                at[h] = time.perf_counter() - began
    done = time.perf_counter() - began
    anew = [h for h, answer in before.items() if kept[h][1] is not answer]
    mine = [at.get(h.id, done) for h in desk.books.hives(PLACE) if h.id in anew]
    return {
        "first": first, "yard": max(mine), "books": done, "worked": time.process_time() - worked,
        "hives": len(mine), "far": len(anew) - len(mine),
    }  # fmt: skip


def _yard(books: Books, processes: int) -> dict[str, dict[str, float]]:
    """A yard of ``YARD`` hives: the late note, and the late look."""
    desk = Desk(books, processes=processes)
    try:
        desk.warm()
        hive = HIVES[1]
        note = replace(_look(desk, books, hive, 2), kind="bloom note", hive=None, values={"bloom": "some"})
        found = {"note": _through(desk, hive, note)}
        _withdraw(desk, note)
        desk.warm()
        look = _look(desk, books, hive, 2)
        found["look"] = _through(desk, hive, look)
        _withdraw(desk, look)
        return found
    finally:
        desk._hands.close()


def _fill(books: Books) -> None:
    """Write hives of other yards to the one measured until it holds ``YARD``."""
    lacking = YARD - len(books.hives(PLACE))
    for h in [h for h in books.hives() if h.yard != PLACE and h.id not in HIVES][:lacking]:
        books.put_hive(replace(h, yard=PLACE))


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    with tempfile.TemporaryDirectory() as folder:
        season = demo.make(Path(folder) / "season")
        books = open_books(Path(folder) / "books.db")
        bring(books, sorted(season.glob("*.csv")))
        books.put_settings(json.loads((season / "settings.json").read_text(encoding="utf-8")))
        desk = Desk(books, processes=1)
        desk.warm()
        late = {hive: _one_hive(desk, books, hive) for hive in HIVES}
        replay = {h: _timed(lambda h=h: _replayed(desk, h)) for h in HIVES}  # type: ignore[misc]
        cold = {h: _timed(lambda h=h: _cold(desk, h)) for h in HIVES}  # type: ignore[misc]
        _fill(books)
        spun = time.perf_counter(), time.process_time()
        _spin()
        idle = (time.process_time() - spun[1]) / (time.perf_counter() - spun[0])
        yards = {n: _yard(books, n) for n in PROCESSES}
        books.close()
    mean = {w: sum(late[h][w] for h in HIVES) / len(HIVES) for w in WEEKS}
    share = sum(replay.values()) / len(replay) / mean[0]
    alone = sum(cold.values()) / len(cold)
    rows: list[dict[str, Any]] = [
        {"case": "a look to the new call", "weeks back": w, "processor s": mean[w], "to the newest": mean[w] / mean[0]}
        for w in WEEKS
    ]
    rows += [
        {"case": "replay of one season alone, no checkpoint", "processor s": share * mean[0]},
        {"case": "a hive answered with no checkpoint", "processor s": alone},
    ]
    for n, found in yards.items():
        for what, name in (("note", "a late bloom note"), ("look", "a late look")):
            one_by_one = {"processor s": found[what]["worked"]} if n == 1 else {}
            rows += [
                {"case": f"{name}, first hive asked for", "processes": n, "clock s": found[what]["first"]},
                {
                    "case": f"the same, {found[what]['hives']:.0f} hives of the yard of {YARD} answered anew",
                    "processes": n,
                    "clock s": found[what]["yard"],
                },
                {
                    "case": f"the same, the round, with {found[what]['far']:.0f} hives elsewhere",
                    "processes": n,
                    "clock s": found[what]["books"],
                    **one_by_one,
                },
            ]
    one, more = yards[PROCESSES[0]], yards[PROCESSES[-1]]
    return {
        "rows": rows,
        "idle": idle,
        "ratios": {
            "a look two weeks late to the newest": mean[2] / mean[0],
            "a look eight weeks late to the newest": mean[8] / mean[0],
            "a look of today to a hive answered with no checkpoint": mean[0] / alone,
            "replay of the season to a hive answered with no checkpoint": share * mean[0] / alone,
            "the round after a late bloom note to one new call": one["note"]["worked"] / mean[0],
            "the same by the clock, two processes to one": more["note"]["yard"] / one["note"]["yard"],
            "a late look with its neighbours by the clock, two to one": more["look"]["yard"] / one["look"]["yard"],
        },
    }
