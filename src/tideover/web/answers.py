"""The desk's answers kept ready: one at a time, the round worked out in the background with its progress."""

from __future__ import annotations

import logging
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date
from typing import Any, Generic, TypeVar

from tideover.desk.neighbours import YardSaid
from tideover.desk.views import HiveView, RoundView
from tideover.plan.call import Call
from tideover.records import Entry
from tideover.web.desk_like import DeskLike

T = TypeVar("T")
_LOG = logging.getLogger(__name__)


@dataclass(frozen=True)
class Working:
    """The round is not ready yet: so many hives of so many are done."""

    done: int
    total: int
    what: str


class Later(Generic[T]):
    """Something slow worked out once in the background; an error is raised to whoever asks, and tried again."""

    def __init__(self, make: Callable[[], T]) -> None:
        self._make = make
        self._lock = threading.Lock()
        self._future: Future[T] | None = None

    def get(self, patience_s: float) -> T | None:
        """The thing itself, or None when it is not ready within the patience [s]."""
        with self._lock:
            if self._future is None:
                self._future = Future()
                threading.Thread(target=self._work, args=(self._future,), daemon=True).start()
            future = self._future
        try:
            return future.result(timeout=patience_s)
        except TimeoutError:
            if not future.done():
                return None
            raise
        finally:
            if future.done() and future.exception() is not None:
                with self._lock:
                    self._future = None

    def _work(self, future: Future[T]) -> None:
        try:
            future.set_result(self._make())
        except Exception as e:  # raised again in get
            _LOG.exception("something slow failed")
            future.set_exception(e)


class Turns:
    """One lock with two doors: a keeper's page or entry goes before work in the background.

    A plain lock let the background have it again at once, hive after hive, while an entry stood waiting.
    """

    def __init__(self) -> None:
        self._lock = threading.RLock()
        self._door = threading.Condition()
        self._waiting = 0

    @contextmanager
    def first(self) -> Iterator[None]:
        """Hold the lock next."""
        with self._door:
            self._waiting += 1
        try:
            self._lock.acquire()
        finally:
            with self._door:
                self._waiting -= 1
                self._door.notify_all()
        try:
            yield
        finally:
            self._lock.release()

    @contextmanager
    def after(self) -> Iterator[None]:
        """Hold the lock when nobody else waits for it."""
        with self._door:
            self._door.wait_for(lambda: self._waiting == 0)
        with self._lock:
            yield


class Answers:
    """Guards the desk with one lock and remembers the round until the books change."""

    def __init__(self, desk: DeskLike, patience_s: float = 1.5) -> None:
        """``patience_s`` is how long a page waits for the round before it shows progress instead [s]."""
        self.desk = desk
        self._patience_s = patience_s
        self._turns = Turns()
        self._state = threading.Condition()
        self._key: tuple[int, date] | None = None
        self._round: RoundView | None = None
        self._error: Exception | None = None
        self._worker: threading.Thread | None = None
        self._progress = Working(0, 0, "")

    def round(self) -> RoundView | Working:
        """The coming round, or how far it has got; an error of the desk is raised here."""
        key = self._now()
        with self._state:
            if self._ready(key):
                return self._take(key)
            self.start()
            self._state.wait_for(lambda: self._ready(key), timeout=self._patience_s)
            return self._take(key) if self._ready(key) else self._progress

    def start(self) -> None:
        """Begin working the round out, unless that is under way."""
        with self._state:
            if self._worker is None or not self._worker.is_alive():
                self._progress = Working(0, 0, "")
                self._worker = threading.Thread(target=self._work, name="round", daemon=True)
                self._worker.start()

    def _now(self) -> tuple[int, date]:
        return self.desk.books.version(), self.desk.today()

    def _ready(self, key: tuple[int, date]) -> bool:
        return self._key == key and (self._round is not None or self._error is not None)

    def _take(self, key: tuple[int, date]) -> RoundView:
        if self._error is not None:
            error, self._key, self._error = self._error, None, None
            raise error
        assert self._round is not None
        return self._round

    def _work(self) -> None:
        """Hive by hive, so that a page or an entry never waits for more than one of them here."""
        while True:
            key = self._now()
            made: RoundView | None = None
            error: Exception | None = None
            try:
                if not self.desk.work_ahead(self._turns.after, self._tell):
                    continue
                with self._turns.after():
                    # what was written in between is worked out hive by hive as well, not in this one turn
                    if self._now() != key:
                        continue
                    made = self.desk.round()
                # known by now, since all hives were heard
                for yard in self.desk.books.yards():
                    with self._turns.after():
                        self.desk.yard_said(yard.id)
            except Exception as e:  # shown on the page that asked, which raises it again
                _LOG.exception("the round could not be worked out")
                error = e
            with self._state:
                self._key, self._round, self._error = key, made, error
                self._state.notify_all()
            if error is not None or self._now() == key:
                return

    def _tell(self, done: int, total: int, what: str) -> None:
        with self._state:
            self._progress = Working(done, total, what)

    def yard_said(self, yard_id: str) -> YardSaid:
        """What the yard's hives say of its land, at once; where it is not known yet it is begun in the background."""
        said = self.desk.yard_said_by_now(yard_id)
        if said.waiting:
            self.start()
        return said

    def hive(self, hive_id: str) -> HiveView:
        """One hive's answers."""
        with self._turns.first():
            return self.desk.hive(hive_id)

    def calls(self) -> list[Call]:
        """A call per hive."""
        with self._turns.first():
            return self.desk.calls()

    def whole_round(self) -> RoundView:
        """The round, waited for however long it takes."""
        with self._turns.first():
            return self.desk.round()

    def keep(self, settings: Mapping[str, Any]) -> tuple[int, int]:
        """Write settings that no answer depends on: the round stands. Returns the books' version before and after."""
        with self._turns.first():
            before = self.desk.books.version()
            self.desk.keep(settings)
            after = self.desk.books.version()
        with self._state:
            # one step is this write; more is somebody else's, and then the round is worked out anew
            if self._key is not None and self._key[0] == before and after == before + 1:
                self._key = after, self._key[1]
        return before, after

    def enter(self, entry: Entry) -> Any:
        """Write an entry."""
        with self._turns.first():
            return self.desk.enter(entry)

    def enter_all(self, entries: Sequence[Entry]) -> Any:
        """Write entries together."""
        with self._turns.first():
            return self.desk.enter_all(entries)
