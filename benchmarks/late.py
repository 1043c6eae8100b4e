"""What an entry dated weeks back costs against the newest: the hive it is of, and the rest of its yard.

Protocol: the invented season in a temporary folder, every hive answered. A look (the hive's own last one, without
what it says of a patty) is written as of today and of 1, 2, 4 and 8 weeks back; each is timed to the new call and then
withdrawn, so that every one is written in the same books. Shared times are processor times of the whole process,
lengthened little by other programs. A bloom note two weeks late touches the land of its yard: timed to the call
of the first hive asked for, and to the whole yard. ``replay`` is the time of assimilating a hive's season
with no checkpoint to go on from, which is what checkpoints save; the rest of an answer (plans to the cluster date,
card, views) is made anew in any case. ``cold`` is one hive answered with nothing known but its yard.
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
from tideover.records import Books, Entry, bring, open_books

WEEKS: Final = (0, 1, 2, 4, 8)
HIVES: Final = ("quarry-01", "mill-race-08", "long-fallow-07")
YARD: Final = 13
"""Hives of a yard in the budget: two weeks late, answered within about ten seconds."""


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
    desk._stood.clear()
    desk._assimilated(desk._case(hive), desk.today())


def _cold(desk: Desk, hive: str) -> None:
    """One hive's answer where its yard is known: season, plans, card."""
    desk._stood.clear()
    desk._answers.pop(hive, None)
    desk.hive(hive)


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    with tempfile.TemporaryDirectory() as folder:
        season = demo.make(Path(folder) / "season")
        books = open_books(Path(folder) / "books.db")
        bring(books, sorted(season.glob("*.csv")))
        books.put_settings(json.loads((season / "settings.json").read_text(encoding="utf-8")))
        desk = Desk(books)
        desk.warm()
        late = {hive: _one_hive(desk, books, hive) for hive in HIVES}
        replay = {h: _timed(lambda h=h: _replayed(desk, h)) for h in HIVES}  # type: ignore[misc]
        cold = {h: _timed(lambda h=h: _cold(desk, h)) for h in HIVES}  # type: ignore[misc]
        hive = HIVES[1]
        yard = books.hive(hive).yard
        note = _look(desk, books, hive, 2)
        note = replace(note, kind="bloom note", hive=None, values={"bloom": "some"})
        desk.enter(note)
        first = _timed(lambda: desk.hive(hive))
        others = [h.id for h in books.hives(yard) if h.id != hive]
        rest = _timed(lambda: [desk.hive(h) for h in others])
        books.close()
    mean = {w: sum(late[h][w] for h in HIVES) / len(HIVES) for w in WEEKS}
    share = sum(replay.values()) / len(replay) / mean[0]
    each = rest / len(others)
    alone = sum(cold.values()) / len(cold)
    rows = [
        {"case": "a look to the new call", "weeks back": w, "processor s": mean[w], "to the newest": mean[w] / mean[0]}
        for w in WEEKS
    ]
    rows += [
        {"case": "a bloom note two weeks late, first hive asked for", "processor s": first},
        {"case": "the same, each other hive of the yard", "processor s": each},
        {"case": f"the same, a yard of {YARD} hives", "processor s": first + (YARD - 1) * each},
        {"case": "replay of one season alone, no checkpoint", "processor s": share * mean[0]},
        {"case": "a hive answered with no checkpoint", "processor s": alone},
    ]
    return {
        "rows": rows,
        "ratios": {
            "a look two weeks late to the newest": mean[2] / mean[0],
            "a look eight weeks late to the newest": mean[8] / mean[0],
            "a look of today to a hive answered with no checkpoint": mean[0] / alone,
            "replay of the season to a hive answered with no checkpoint": share * mean[0] / alone,
            f"a late bloom note over a yard of {YARD} to one new call": (first + (YARD - 1) * each) / mean[0],
        },
    }
