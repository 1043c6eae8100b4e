"""Small real books, and a desk that gives prepared answers: commands are tested, not the science."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from tests.samples import call, hive_view, round_view
from tideover.cli.main import run as run_command
from tideover.desk.neighbours import YardSaid
from tideover.desk.views import HiveView, PattyStay, RoundView
from tideover.evidence.known import LandSaid
from tideover.plan.call import ACTIONS, Call
from tideover.records import Books, Entry, Hive, Yard, new_entry, open_books

HIVES = tuple(f"quarry-{i:02d}" for i in range(1, len(ACTIONS) + 1))
PIECES = {
    "quarry-01": PattyStay(
        date(2031, 7, 12), None, 453.59237, None, datetime(2031, 7, 19, 8, 30, tzinfo=ZoneInfo("America/Los_Angeles"))
    )
}


@dataclass(frozen=True)
class Ran:
    """What a command left behind."""

    code: int
    out: str
    err: str


Run = Callable[..., Ran]


class PreparedDesk:
    """Real books, made-up answers: every action once."""

    def __init__(self, path: str | Path, processes: int | None = None) -> None:
        self.books: Books = open_books(path)
        self._today = date(2031, 7, 14)
        self.entered: list[Entry] = []

    def close(self) -> None:
        """Close the books."""
        self.books.close()

    def today(self) -> date:
        """The day the answers are for."""
        return self._today

    def set_today(self, day: date) -> None:
        """Answer for another day."""
        self._today = day

    def calls(self, progress: Any = None) -> list[Call]:
        """One call per hive, each with another action."""
        if progress is not None:
            progress(0, len(HIVES), HIVES[0])
        return [
            call(hive, action, made_for=self._today, yard="quarry")
            for hive, action in zip(HIVES, ACTIONS, strict=True)
            if hive in {one.id for one in self.books.hives()}
        ]

    def round(self, day: date | None = None, progress: Any = None) -> RoundView:
        """The made-up round."""
        return round_view()

    def hive(self, hive_id: str) -> HiveView:
        """The made-up view of a hive."""
        return hive_view(hive_id, ACTIONS[HIVES.index(hive_id)])

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings."""
        self.books.put_settings(settings)

    def yard_said(self, yard_id: str, day: date | None = None, progress: Any = None) -> YardSaid:
        """Looks at one hive of each yard say that little is on offer."""
        hive = next((h.id for h in self.books.hives(yard_id)), "")
        today = day or self._today
        said = LandSaid(hive, "look", today - timedelta(days=20), today, -3.0, 0.5)
        return YardSaid((said,), (hive,)) if hive else YardSaid()

    def pieces_on(self) -> dict[str, PattyStay]:
        """One piece on one hive, when that hive is in the books."""
        return PIECES if any(h.id == "quarry-01" for h in self.books.hives()) else {}

    def enter(self, entry: Entry) -> HiveView | None:
        """Write it in the books and answer for its hive."""
        self.books.add([entry])
        return hive_view(entry.hive) if entry.hive else None


@pytest.fixture
def books(tmp_path: Path) -> Path:
    """Books with one yard, nine hives and two looks."""
    path = tmp_path / "books.db"
    with open_books(path) as opened:
        opened.put_yard(Yard("quarry", "Quarry", 37.2, -119.4, "America/Los_Angeles", 310.0, "present", "absent"))
        for hive in HIVES:
            opened.put_hive(Hive(hive, "quarry"))
        for day, seams in ((1, 8.0), (8, 6.5)):
            at = datetime(2025, 7, day, 16, 0, tzinfo=UTC)
            opened.add([new_entry("look", "quarry", HIVES[0], at, {"seams": (seams,), "eggs": "yes"}, at, who="jo")])
    return path


@pytest.fixture
def desk(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands open the prepared desk instead of the computing one."""
    monkeypatch.setattr("tideover.desk.open_desk", PreparedDesk, raising=False)


@pytest.fixture
def run(books: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command on the small books, or on others when ``--books`` is given."""

    def go(*words: object) -> Ran:
        given = [str(word) for word in words]
        if "--books" not in given and "--demo" not in given:
            given = ["--books", str(books), *given]
        code = run_command(given)
        captured = capsys.readouterr()
        return Ran(code, captured.out, captured.err)

    return go
