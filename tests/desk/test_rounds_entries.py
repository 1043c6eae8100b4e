"""Entries of the rounds are no news of bees: the desk's answers stand."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime
from pathlib import Path

import pytest

from tideover.desk import Desk
from tideover.desk.asked import Asked
from tideover.records import Books, Entry, Hive, Yard, open_books

AT = datetime(2026, 7, 14, 16, 0, tzinfo=UTC)


@pytest.fixture
def books(tmp_path: Path) -> Books:
    """One yard with one hive."""
    made = open_books(tmp_path / "books.db")
    made.put_yard(Yard("quarry", "Quarry", 37.2, -119.4, "America/Los_Angeles"))
    made.put_hive(Hive("quarry-01", "quarry"))
    return made


def entry(kind: str, hive: str | None, values: dict[str, object], supersedes: str | None = None) -> Entry:
    """An entry of that day."""
    return Entry(str(uuid.uuid4()), kind, "quarry", hive, AT, "", "test", "metric", values, supersedes, "", AT)  # type: ignore[arg-type]


def test_plans_and_their_withdrawal_leave_answers_alone(books: Books, monkeypatch: pytest.MonkeyPatch) -> None:
    """A visit planned, a road entered, a task told and each withdrawn: nothing is worked out anew; a piece laid on is."""
    desk = Desk(books, members=100)
    desk.set_today(AT.date())
    made: list[str] = []
    work = Asked.work
    monkeypatch.setattr(Asked, "work", lambda self, bench: (made.append(self.case.hive), work(self, bench))[1])
    stands = desk._answer("quarry-01")
    assert made == ["quarry-01"]
    task = entry("task done", "quarry-01", {"task": "quarry-01:lay on:start", "outcome": "done"})
    visit = entry("planned visit", None, {"day": "2026-07-15"})
    for given in (
        task, visit, entry("road time", None, {"to": "home", "minutes": 20.0}),
        entry("withdraw", "quarry-01", {}, task.id), entry("withdraw", None, {}, visit.id),
    ):  # fmt: skip
        desk.enter(given)
        assert desk._answer("quarry-01") is stands, given.kind
    assert made == ["quarry-01"]
    desk.enter(entry("laid on", "quarry-01", {"weight": 400.0}))
    assert made == ["quarry-01", "quarry-01"]
    books.close()
