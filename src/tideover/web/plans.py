"""The rounds as they are planned now: worked out once, and shown the same by every page that tells of them."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from tideover.desk.rounds import rounds
from tideover.desk.rounds_view import Rounds
from tideover.desk.views import RoundView
from tideover.web.answers import Answers, Later
from tideover.web.desk_like import DeskLike


class Plans:
    """The plan of the books as they are; asked anew when they change or the day does."""

    def __init__(self, desk: DeskLike, answers: Answers, patience_s: float) -> None:
        self.desk, self.answers, self.patience_s = desk, answers, patience_s
        self.last: dict[date, Rounds] = {}
        """The plan made last, by its day: shown while the next one is worked out."""
        self._held: dict[tuple[int, date], Later[Rounds]] = {}

    def now(self, view: RoundView) -> Rounds | None:
        """The rounds of the books as they are now, or None while they are worked out."""
        key = self.desk.books.version(), self.desk.today()
        if key not in self._held:
            self._held.clear()

            def make() -> Rounds:
                pull = {h.hive: self.answers.hive(h.hive).pull_by_open for y in view.yards for h in y.hives}
                now = datetime.now().astimezone()
                return rounds(self.desk.books, view, pull, now=now if now.date() == view.day else None)

            self._held[key] = Later(make)
        made = self._held[key].get(self.patience_s)
        if made is not None:
            self.last.clear()
            self.last[key[1]] = made
        return made

    def wait(self, view: RoundView) -> Rounds:
        """The same, however long it takes."""
        made = None
        while made is None:
            made = self.now(view)
        return made

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on (what a calendar has sent): the plan stands."""
        before, after = self.answers.keep(settings)
        if after == before + 1:
            self._held = {(after if v == before else v, day): made for (v, day), made in self._held.items()}
