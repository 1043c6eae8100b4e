"""What stands after an entry is what a desk that knows nothing would answer, at every hive of the books."""

from __future__ import annotations

import dataclasses
import json
import uuid
from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tideover.desk import Desk
from tideover.desk.asked import Answer, Asked, Listening
from tideover.desk.objects import as_text, plain
from tideover.records import Box, Entry, Hive, Yard, open_books

ZONE = ZoneInfo("America/Phoenix")
TODAY = date(2025, 8, 10)
LOOK: dict[str, Any] = {"seams": (6.0,), "outer_pollen": "scattered", "eggs": "yes", "brood_signs": "no"}
YARDS = {"dry": 2, "green": 2, "small": 1}


def at(back: int, hour: int = 9) -> datetime:
    """An hour of the day so many days before the round."""
    return datetime.combine(TODAY - timedelta(days=back), time(hour), ZONE)


def entry(kind: str, where: str, back: int, values: dict[str, Any], supersedes: str | None = None) -> Entry:
    """An entry about a hive (a yard's name, a dash, a number) or a yard."""
    yard, _, number = where.partition("-")
    return Entry(
        str(uuid.uuid4()), kind, yard, where if number else None, at(back), "K", "test", "metric", values, supersedes,
        recorded_at=at(back),
    )  # fmt: skip


@pytest.fixture
def desks(tmp_path: Path) -> Iterator[Callable[..., Desk]]:
    """Desks over the same books: three yards, each hive looked at twice, in flower at one of them."""
    path = tmp_path / "books.db"
    with open_books(path) as books:
        for yard in YARDS:
            books.put_yard(Yard(yard, yard, 36.0, -119.0, "America/Phoenix", 100.0, "unknown", "unknown"))
        for yard, n in YARDS.items():
            for k in range(1, n + 1):
                books.put_hive(Hive(f"{yard}-{k}", yard, f"{yard}-{k}", (Box(1), Box(2))))
        given = [
            entry("look", h.id, back, LOOK | {"outer_pollen": word})
            for h in books.hives()
            for back, word in ((25, "thin band"), (6, "scattered"))
        ]
        given += [entry("bloom note", yard, 5, {"bloom": "abundant" if yard == "green" else "none"}) for yard in YARDS]
        given += [
            entry("laid on", "dry-1", 20, {"weight": 400.0}),
            entry("taken off", "dry-1", 13, {"patty_left": 1.0, "patty_texture": "soft"}),
        ]
        books.add(given)
    opened: list[Desk] = []

    def make(processes: int = 1) -> Desk:
        opened.append(Desk(open_books(path), members=40, processes=processes))
        opened[-1].set_today(TODAY)
        return opened[-1]

    yield make
    for d in opened:
        d.close()


def told(value: Any) -> Any:
    """Everything in an answer as text and numbers: arrays whole, whatever holds them."""
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.shape, value.tobytes()
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: told(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, dict):
        return {k: told(v) for k, v in value.items()}
    if isinstance(value, list | tuple):
        return [told(v) for v in value]
    return value


def everything(desk: Desk) -> dict[str, Any]:
    """Every hive's answer to the last byte, and the round as a script gets it."""
    answers = {h.id: told(desk._answer(h.id)) for h in desk.books.hives()}
    seen = plain(desk.round())
    seen.pop("made_at")
    return answers | {"round": json.loads(as_text(seen)), "said": {y: plain(desk.yard_said(y)) for y in YARDS}}


def differing(one: dict[str, Any], two: dict[str, Any]) -> list[str]:
    """Hives (or 'round', 'said') told of differently."""
    assert one.keys() == two.keys()
    return [k for k in one if one[k] != two[k]]


@pytest.mark.slow
def test_after_any_entry_every_answer_is_that_of_a_desk_that_knew_nothing(desks: Callable[..., Desk]) -> None:
    """Looks of today and weeks late, bloom notes, counts, sickness and its clearing, pieces, a batch and its
    correction, a ban, a confirmation, a move to another hive and the withdrawal of each: byte for byte at all hives."""
    desk = desks()
    desk.warm()
    desk.books.put_settings({"patty_from": "stock"})
    late = entry("look", "dry-1", 14, LOOK | {"outer_pollen": "full side", "outer_half_sides": 6.0})
    bloom = entry("bloom note", "dry", 14, {"bloom": "abundant"})
    sick = entry("look", "green-1", 1, LOOK | {"brood_signs": "yes"})
    batch = entry("batch", "green", 3, {"batch": "B7", "weight": 5000.0, "protein": 21.0})
    odd = entry("look", "green-2", 0, {"seams": (0.5,), "brood_combs": 0.5, "capped_quarters": 0.5})
    steps = [
        [late],
        [bloom],
        [entry("withdraw", "dry", 0, {}, bloom.id)],
        [entry("entrance count", "small-1", 2, {"minutes": 1.0, "bees_in": 60, "with_pollen": 25, "shade_temp": 30.0})],
        [sick],
        [entry("event", "green-1", 0, {"event": "disease cleared"})],
        [batch],
        [entry("laid on", "dry-2", 1, {"weight": 300.0, "batch": "B7"})],
        [entry("batch", "green", 3, {"batch": "B7", "weight": 5000.0, "protein": 9.0}, batch.id)],
        [entry("taken off", "dry-2", 0, {"patty_left": 3.0, "patty_texture": "soft"})],
        [entry("event", "dry", 0, {"event": "fire ban on"})],
        [odd],
        [entry("confirm", "green-2", 0, {"entry": odd.id})],
        [entry("look", "dry-2", 14, LOOK, late.id), entry("bloom note", "green", 0, {"bloom": "none"})],
    ]
    for given in steps:
        desk.enter_all(given)
        fresh = desks()
        assert differing(everything(desk), everything(fresh)) == [], given[0].kind
        fresh.close()


def test_news_of_one_yard_leaves_the_others_alone(desks: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch) -> None:
    """A bloom note is worked out for its own yard: its hives are heard and answered anew, once each, and a hive of
    another yard only where the note makes that yard clearly better, or so no more; withdrawn, the same."""
    desk = desks()
    desk.warm()
    made: list[str] = []
    for task in (Listening, Asked):
        work = task.work
        monkeypatch.setattr(
            task, "work", lambda self, bench, _work=work: (made.append(f"{type(self).__name__} {self.case.hive}"), _work(self, bench))[1]
        )  # fmt: skip
    kept = {h.id: desk._answer(h.id) for h in desk.books.hives()}
    assert made == []
    note = entry("bloom note", "small", 14, {"bloom": "few"})
    desk.enter(note)
    desk.warm()
    assert sorted(made) == ["Asked small-1", "Listening small-1"]
    for h, answer in kept.items():
        assert (desk._answer(h) is answer) == (h != "small-1")

    made.clear()
    desk.enter(entry("withdraw", "small", 0, {}, note.id))
    desk.enter(entry("bloom note", "green", 1, {"bloom": "none"}))
    desk.warm()
    # small and dry looked to green; it is in flower no more
    green = {"Asked green-1", "Asked green-2", "Listening green-1", "Listening green-2"}
    assert green | {"Listening small-1", "Asked small-1"} <= set(made)
    assert not any(m.startswith("Listening dry") for m in made)
    assert len(made) == len(set(made))


def test_what_is_asked_of_a_hive_that_nothing_touched_is_the_very_same(desks: Callable[..., Desk]) -> None:
    """Another program writing to the books makes everything read again, and nothing worked out that stays alike."""
    desk, other = desks(), desks()
    before: dict[str, Answer] = {h.id: desk._answer(h.id) for h in desk.books.hives()}
    other.books.add([entry("look", "dry-1", 0, LOOK)])
    after = {h: desk._answer(h) for h in before}
    assert after["dry-1"] is not before["dry-1"]
    assert all(after[h] is before[h] for h in ("green-1", "green-2", "small-1"))
    other.books.put_settings({"margin": 0.05})
    assert all(desk._answer(h) is not after[h] for h in before)


def test_the_yard_written_about_is_worked_out_first(desks: Callable[..., Desk]) -> None:
    """Its keeper asks for it next; the others follow as the books name them, yards written about before first."""
    desk = desks()
    desk.enter(entry("bloom note", "small", 14, {"bloom": "few"}))
    desk.enter(entry("bloom note", "green", 14, {"bloom": "few"}))
    told: list[str] = []
    desk.work_ahead(progress=lambda done, total, hive: told.append(hive.rpartition("-")[0]))
    assert list(dict.fromkeys(told)) == ["green", "small", "dry"]
