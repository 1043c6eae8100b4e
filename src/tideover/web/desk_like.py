"""What the pages ask of the desk: a narrow face, so that tests can stand an invented desk behind them."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from contextlib import AbstractContextManager
from datetime import date
from typing import Any, Protocol

from tideover.desk.neighbours import YardSaid
from tideover.desk.views import HiveView, PattyStay, RoundView
from tideover.plan.call import Call
from tideover.records import Books, Entry

Progress = Callable[[int, int, str], None]
Turn = Callable[[], AbstractContextManager[object]]


class DeskLike(Protocol):
    """The desk as the pages know it."""

    @property
    def books(self) -> Books:
        """The books that are open."""
        ...

    def today(self) -> date:
        """The day the answers are for."""
        ...

    def round(self, day: date | None = None, progress: Progress | None = None) -> RoundView:
        """The coming round."""
        ...

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on."""
        ...

    def pieces_on(self) -> Mapping[str, PattyStay]:
        """The piece now on each hive."""
        ...

    def yard_said(self, yard_id: str) -> YardSaid:
        """What looks at a yard's hives say of its land."""
        ...

    def yard_said_by_now(self, yard_id: str) -> YardSaid:
        """The same as far as it is worked out, at once."""
        ...

    def work_ahead(self, turn: Turn, progress: Progress | None = None) -> bool:
        """Work out every hive, entering a turn for each piece of work; False when the books changed meanwhile."""
        ...

    def hive(self, hive_id: str) -> HiveView:
        """Everything one hive's page shows."""
        ...

    def calls(self, progress: Progress | None = None) -> list[Call]:
        """A call per hive."""
        ...

    def enter(self, entry: Entry) -> Any:
        """Write an entry and answer anew for what it touches."""
        ...

    def enter_all(self, entries: Sequence[Entry]) -> Any:
        """Write entries together and answer anew for what they touch."""
        ...
