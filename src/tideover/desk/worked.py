"""What has been worked out, hive by hive, kept while all it was worked out from stands; many hives side by side."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import CancelledError, Future
from contextlib import AbstractContextManager, nullcontext, suppress
from dataclasses import replace
from datetime import date
from typing import Any, TypeVar

from tideover.colony.threads import at_most
from tideover.desk.asked import Answer, Asked, Bench, Listening
from tideover.desk.eating import beetle_words, seen_eating
from tideover.desk.hands import Done, HandLostError, Hands, Task
from tideover.desk.neighbours import Alone, alone, lately
from tideover.desk.yards import Yards
from tideover.evidence.checkpoints import MOST
from tideover.evidence.known import LandSaid
from tideover.evidence.seen import HiveCase
from tideover.patty.appetite import Appetite
from tideover.records import Books

Progress = Callable[[int, int, str], None]
Turn = Callable[[], AbstractContextManager[object]]
T = TypeVar("T", Listening, Asked)
Make = Callable[[str], T | None]
"""What must be worked out for a hive; None where what is kept stands."""
Keep = Callable[[str, T, Any], object]


class Worked:
    """Answers and what hives say to one another. All but ``ahead`` is called with the lock held.

    :param members: ensemble size.
    :param hands: processes beside this one.
    :param lock: guards all of the desk, and that one hive at a time is worked out in this process.
    """

    def __init__(self, books: Books, yards: Yards, members: int, hands: Hands, lock: threading.RLock) -> None:
        self._books = books
        self._yards = yards
        self._members = members
        self._hands = hands
        self._lock = lock
        self._bench = Bench()
        self._answers: dict[str, tuple[Asked, Answer]] = {}
        self._said: dict[str, tuple[Listening | None, Alone]] = {}
        self._doubted: dict[str, tuple[Listening | None, Alone]] = {}
        self._flying: dict[tuple[type, str], tuple[Task, Future[Done]]] = {}

    # --- what hives say to one another

    def doubt(self, hives: Iterable[str] | None = None) -> None:
        """Doubt what hives say, all of them or some; it stands again once all it comes from is seen to stand."""
        for h in list(self._said) if hives is None else hives:
            if h in self._said:
                self._doubted[h] = self._said.pop(h)

    def said_by_now(self) -> dict[str, Alone]:
        """What hives say as far as it stands without a doubt; a copy, taken without waiting for the lock."""
        return {h: a for h, (_, a) in self._said.copy().items()}

    def alone(self, hive_id: str, day: date) -> Alone:
        """What one hive, known from its own late looks alone, says to the others."""
        task = self._to_hear(hive_id, day)
        return self._said[hive_id][1] if task is None else self._heard_of(hive_id, task, self._do(task))

    def told(self, c: HiveCase, day: date) -> tuple[LandSaid, ...]:
        """What the looks at all other hives of a hive's yard say of its land, never its own, in a fixed order."""
        others = sorted(h for h in self._yards.yard(c.place.yard).cases if h != c.hive)
        unheard = [h for h in others if self._to_hear(h, day) is not None]
        # The others want to hear this one next: heard beside them it costs a keeper who waits next to nothing.
        self._hear([*unheard, c.hive] if unheard and self._hands.up else unheard, day)
        return tuple(m for h in others for m in self.alone(h, day).said)

    def _to_hear(self, hive_id: str, day: date) -> Listening | None:
        """What must be worked out to hear a hive; None where it is known."""
        kept = self._said.get(hive_id)
        if kept is not None and kept[1].day == day:
            return None
        c = lately(self._yards.case(hive_id), day)
        if c is None:
            self._said[hive_id] = None, alone(None, day)
            return None
        # what it got of suspect hives bears on its own call alone
        task = Listening(
            replace(c, received=()), self._yards.land(c.place.yard, day), day, self._members, self._yards.settings()
        )
        before = self._doubted.pop(hive_id, None)
        if before is not None and before[0] is not None and before[0].same(task):
            self._said[hive_id] = before
            return None
        return task

    def _heard_of(self, hive_id: str, task: Listening, said: Alone) -> Alone:
        self._said[hive_id] = task, said
        self._flying.pop((Listening, hive_id), None)
        return said

    def _hear(self, hives: Sequence[str], day: date) -> None:
        """Hear several hives for a keeper who waits: the other processes from the first on, this one from the last."""
        tasks = [(h, task) for h in hives if (task := self._to_hear(h, day)) is not None]
        if len(tasks) > 1 and self._hands.up:
            for _, task in reversed(tasks):
                self._send(task, first=True)
        begun = []
        for h, task in reversed(tasks):
            if self._is_begun(task):
                begun.append((h, task))
            else:
                with at_most(1) if self._hands.up else nullcontext():
                    self._heard_of(h, task, self._do(task))
        for h, task in begun:
            self._heard_of(h, task, self._do(task))

    # --- a hive's answer

    def asked(self, hive_id: str, day: date) -> Asked:
        """All that a hive's answer depends on; what is not known of its neighbours is worked out first."""
        c = self._yards.case(hive_id)
        yard = self._yards.yard(c.place.yard)
        return Asked(
            case=c,
            today=day,
            land=self._yards.land(c.place.yard, day),
            said=self.told(c, day),
            elsewhere=self._yards.elsewhere(c.place.yard, day),
            suspects=yard.suspects(hive_id),
            notes=yard.notes,
            appetites=self.appetites(c, day),
            beetles=tuple(beetle_words(yard.cases.values(), day)),
            settings=self._yards.settings(),
            batch=self._yards.usual(c.place.yard, day),
            members=self._members,
        )

    def appetites(self, c: HiveCase, day: date) -> tuple[Appetite, ...]:
        """What the yard's hives that were seen eating say of appetites, where this one never was: else nothing.

        Its own looks say nothing of it, so that its members still hold the prior, and nothing is counted twice.
        """
        if seen_eating(c, day):
            return ()
        cases = self._yards.yard(c.place.yard).cases
        fed = sorted(h for h, other in cases.items() if h != c.hive and seen_eating(other, day))
        return tuple(self.alone(h, day).appetite for h in fed)

    def answer(self, hive_id: str, day: date) -> Answer:
        """A hive's answer: the very same object until something it depends on changes."""
        asked = self.asked(hive_id, day)
        kept = self._standing(hive_id, asked)
        return self._answered(hive_id, asked, self._do(asked)) if kept is None else kept

    def _standing(self, hive_id: str, asked: Asked) -> Answer | None:
        kept = self._answers.get(hive_id)
        if kept is None or not kept[0].same(asked, kept[1].index):
            return None
        # the newer of two that lead to the same, so that no land of before is held
        self._answers[hive_id] = asked, kept[1]
        return kept[1]

    def _answered(self, hive_id: str, asked: Asked, answer: Answer) -> Answer:
        self._answers[hive_id] = asked, answer
        self._flying.pop((Asked, hive_id), None)
        return answer

    # --- many hives

    def ahead(
        self,
        hives: Sequence[str],
        day: date,
        day_of: Callable[[str], date],
        *,
        turn: Turn = nullcontext,
        progress: Progress | None = None,
    ) -> bool:
        """Work out hives beforehand, on other processes where that pays; called without the lock.

        :param day: day on which hives are heard; ``day_of`` gives the day a hive is answered for.
        :param turn: entered for each piece of work in this process, before the lock is taken.
        :param progress: told how many hives of how many are answered, and the next.
        :returns: False when the books have changed meanwhile; what still stands is kept.
        """
        with turn(), self._lock:
            version = self._books.version()

        def to_answer(hive_id: str) -> Asked | None:
            asked = self.asked(hive_id, day_of(hive_id))
            return asked if self._standing(hive_id, asked) is None else None

        return self._share(version, hives, lambda h: self._to_hear(h, day), self._heard_of, turn) and self._share(
            version, hives, to_answer, self._answered, turn, progress
        )

    def _share(
        self,
        version: int,
        hives: Sequence[str],
        make: Make[T],
        keep: Keep[T],
        turn: Turn,
        progress: Progress | None = None,
    ) -> bool:
        todo: list[tuple[str, T]] = []
        sent = 0
        try:
            for h in hives:
                with turn(), self._lock:
                    if self._books.version() != version:
                        return False
                    task = make(h)
                    if task is not None:
                        todo.append((h, task))
                    # at once, so that no process waits until all is known that is to be done
                    while sent < len(todo) and self._hands.worth(len(todo)):
                        # Bringing a filter back costs a tenth of an answer and saves a third of the next: worth it for
                        # hives answered first, not for those answered anew whenever something is said of their land.
                        self._send(todo[sent][1], keeps=sent < MOST and todo[sent][0] not in self._answers)
                        sent += 1
            for i, (h, task) in enumerate(todo):
                if progress is not None:
                    progress(len(hives) - len(todo) + i, len(hives), h)
                self._wait(task)
                with turn(), self._lock:
                    if self._books.version() != version:
                        return False
                    # the keeper may have asked for it meanwhile
                    still = make(h)
                    if still is not None:
                        keep(h, still, self._do(still))
            return True
        finally:
            self._call_off([task for _, task in todo])

    def _do(self, task: Task) -> Any:
        """A task's answer: from the process that is at it, else worked out here."""
        if self._is_begun(task):
            _, future = self._flying[_key(task)]
            with suppress(HandLostError, CancelledError):
                made, stood = future.result()
                if stood is not None:
                    self._bench.stood.adopt(stood)
                return made
        return task.work(self._bench)

    def _send(self, task: Task, *, first: bool = False, keeps: bool = False) -> None:
        """Have another process do a task, unless one is at it.

        :param keeps: whether where the filter of a hive answered stood comes back with the answer.
        """
        if not self._is_begun(task):
            self._flying[_key(task)] = task, self._hands.ask(task, first=first, keeps=keeps and isinstance(task, Asked))

    def _is_begun(self, task: Task) -> bool:
        """Whether another process is at the very task or done; one that only waits for a process is called off."""
        flying = self._flying.get(_key(task))
        return flying is not None and not flying[1].cancel() and _same(flying[0], task)

    def _wait(self, task: Task) -> None:
        """Wait for a process that may be at the task; called without the lock."""
        flying = self._flying.get(_key(task))
        if flying is not None:
            with suppress(CancelledError):
                flying[1].exception()

    def _call_off(self, tasks: Iterable[Task]) -> None:
        """Call off what no process has begun."""
        for task in tasks:
            flying = self._flying.get(_key(task))
            if flying is not None and flying[1].cancel():
                self._flying.pop(_key(task), None)


def _key(task: Task) -> tuple[type, str]:
    return type(task), task.case.hive


def _same(a: Task, b: Task) -> bool:
    if isinstance(a, Asked):
        return isinstance(b, Asked) and a.same(b)
    return isinstance(b, Listening) and a.same(b)
