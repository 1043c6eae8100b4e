"""The desk: opens the books, works out what is asked, keeps it until an entry changes it."""

from __future__ import annotations

import threading
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final

from tideover.desk import showing
from tideover.desk.asked import Answer
from tideover.desk.coming import coming_round, hive_line
from tideover.desk.hands import Hands, how_many
from tideover.desk.neighbours import YardSaid, yard_said
from tideover.desk.usual import Stocked
from tideover.desk.views import HiveView, PattyStay, RoundView
from tideover.desk.worked import Progress, Turn, Worked
from tideover.desk.yards import Yards
from tideover.figures import reader
from tideover.plan.call import Call
from tideover.plan.settings import Settings
from tideover.records import Books, Entry, open_books
from tideover.records.cases import cases

MEMBERS: Final = 600
BOOKS_ENDED_D: Final = int(reader("calls")("books_ended_d"))
"""Books whose last entry is older than this are read as of the day after it, not as of today."""
_ROUND_KINDS: Final = frozenset({"road time", "planned visit", "task done"})


class Desk:
    """Answers from one set of books.

    :param books: open books.
    :param members: ensemble size; fewer is faster and rougher.
    :param processes: hives worked out at once where many wait; with 1 all is done in this process, one by one. When
        not given two, or what ``TIDEOVER_PROCESSES`` says; never more than processors. Answers are the same.
    """

    def __init__(self, books: Books, *, members: int = MEMBERS, processes: int | None = None) -> None:
        self._books = books
        self._members = members
        self._today: date | None = None
        self._after: date | None = None
        self._lock = threading.RLock()
        self._version = -1
        self._lately: list[str] = []
        """Yards written about here, the last first."""
        self._hands = Hands(how_many(processes))
        self._yards = Yards(books, members)
        self._worked = Worked(books, self._yards, members, self._hands, self._lock)

    def close(self) -> None:
        """End what works beside this process, and close the books."""
        self._hands.close()
        self._books.close()

    @property
    def books(self) -> Books:
        """The books that are open."""
        return self._books

    @property
    def settings(self) -> Settings:
        """The keeper's settings as they stand in the books (names the settings do not know are left alone)."""
        return self._yards.settings()

    def today(self) -> date:
        """The day answers are for: the day set, else today where most yards lie.

        Books that ended long ago are read as of the day after.
        """
        if self._today is not None:
            return self._today
        now = datetime.now(self._yards.zone()).date()
        last = self._yards.last_at()
        if last is None:
            return now
        ended = last.date()
        if (now - ended).days <= BOOKS_ENDED_D:
            return now
        # Held while the desk is open: what is written on that day is a look at the hive, not a new day.
        if self._after is None:
            self._after = ended + timedelta(days=1)
        return self._after

    def set_today(self, day: date | None) -> None:
        """Set the day answers are for; None follows the books again."""
        with self._lock:
            self._today = day

    def _fresh(self) -> None:
        """Doubt what was read and worked out before the books last changed."""
        version = self._books.version()
        if version != self._version:
            self._yards.read_again()
            self._worked.doubt()
            self._version = version

    def usual(self, yard_id: str, day: date | None = None) -> Stocked | None:
        """The batch in stock that the yard's hives are given next; None is the usual patty of the settings."""
        with self._lock:
            self._fresh()
            return self._yards.usual(yard_id, day or self.today())

    # --- answers

    def _day_of(self, hive_id: str, day: date | None = None) -> date:
        """The day a hive is answered for."""
        today = day or self.today()
        if day is not None or self._today is not None:
            return today
        # A look written ahead of the clock here is answered as of its own day; a day asked for stays that day.
        looked = max((s.day for s in self._yards.case(hive_id).seen if s.kind != "event"), default=today)
        return max(today, looked)

    def _answer(self, hive_id: str, day: date | None = None) -> Answer:
        self._fresh()
        return self._worked.answer(hive_id, self._day_of(hive_id, day))

    def work_ahead(self, turn: Turn = nullcontext, progress: Progress | None = None, day: date | None = None) -> bool:
        """Work out every hive, those of the yard last written about first, on other processes where that pays.

        :param turn: entered for each piece of work in this process, which is at most one hive.
        :param progress: told how many hives of how many are answered, and the next.
        :returns: False when the books have changed meanwhile: what was changed is to be worked out yet.
        """
        with turn(), self._lock:
            self._fresh()
            # whoever writes about a yard asks for its hives next
            rank = {y: i for i, y in enumerate(self._lately)}
            yards = sorted((y.id for y in self._books.yards()), key=lambda y: rank.get(y, len(rank)))
            hives = [h.id for y in yards for h in self._books.hives(y)]
            today = day or self.today()
        return self._worked.ahead(hives, today, lambda h: self._day_of(h, day), turn=turn, progress=progress)

    def _all(self, progress: Progress | None, day: date | None) -> list[Answer]:
        self.work_ahead(progress=progress, day=day)
        with self._lock:
            hives = [h.id for y in self._books.yards() for h in self._books.hives(y.id)]
            made = [self._answer(h, day) for h in hives]
        if progress is not None and hives:
            progress(len(hives), len(hives), "done")
        return made

    def warm(self, progress: Progress | None = None) -> None:
        """Work out every hive now, so that pages answer at once."""
        self._all(progress, None)

    def calls(self, progress: Progress | None = None, day: date | None = None) -> list[Call]:
        """A call per living hive, in the order of the books."""
        return [a.call for a in self._all(progress, day)]

    def hive(self, hive_id: str) -> HiveView:
        """Everything one hive's page shows."""
        with self._lock:
            a = self._answer(hive_id)
            land = self._yards.land(a.case.place.yard, a.known.today)
            line = hive_line(self._books, a)
            return showing.hive_view(self._books, a.case, a.known, a.situation, a.call, line, land, a.line)

    def pieces_on(self) -> dict[str, PattyStay]:
        """The piece now on each hive, by hive, with its pull-by; hives without one are left out."""
        with self._lock:
            found = {}
            for hive in self._books.hives():
                a = self._answer(hive.id)
                open_now = [s for s in showing.stays(a.case, a.known.today) if s.off is None]
                if open_now and a.situation.patty is not None:
                    found[hive.id] = open_now[-1]
            return found

    def round(self, day: date | None = None, progress: Progress | None = None) -> RoundView:
        """The coming round: every yard with its load, cautions and one line per hive."""
        answers = self._all(progress, day)
        with self._lock:
            return coming_round(self._books, self._yards, answers, day or self.today(), self._ended)

    def _ended(self) -> str:
        """A sentence where the books ended long ago; else empty."""
        last = self._yards.last_at()
        if last is None or self._today is not None:
            return ""
        if (datetime.now(self._yards.zone()).date() - last.date()).days <= BOOKS_ENDED_D:
            return ""
        return f"The books end on {last.date():%-d %B %Y}; this is the round of the day after."

    # --- what the looks say of a yard's land

    def yard_said(self, yard_id: str, day: date | None = None, progress: Progress | None = None) -> YardSaid:
        """What looks at all hives of a yard say of its land on a day, each known from its own looks alone."""
        with self._lock:
            self._fresh()
            today, hives = day or self.today(), sorted(self._yards.yard(yard_id).cases)
            said = []
            for i, h in enumerate(hives):
                if progress is not None:
                    progress(i, len(hives), h)
                said.append(self._worked.alone(h, today))
            return yard_said(said, self._yards.yard(yard_id).cases, today)

    def yard_said_by_now(self, yard_id: str) -> YardSaid:
        """The same as far as it has been worked out, without waiting for other work: said whole, or waited for."""
        today, held = self.today(), self._worked.said_by_now()
        mine = cases(self._books, yard_id)
        said = [a for h in sorted(mine) if (a := held.get(h)) is not None and a.day == today]
        if len(said) < len(mine) or self._version != self._books.version():
            return YardSaid(waiting=True)
        return yard_said(said, mine, today)

    # --- writing

    def enter(self, entry: Entry) -> HiveView | None:
        """Write one entry, then answer anew for its hive.

        :returns: the hive's new view; None for an entry about a yard.
        """
        return self.enter_all([entry])

    def enter_all(self, entries: Sequence[Entry]) -> HiveView | None:
        """Write entries together; every answer stands that depends on nothing they change."""
        with self._lock:
            self._fresh()
            self._books.add(entries, now=datetime.now().astimezone())
            old = [self._books.entry(e.supersedes) for e in entries if e.supersedes is not None]
            plans = {e.id for e in (*entries, *old) if e.kind in _ROUND_KINDS}
            # a plan, or the withdrawal of one, is no news of bees
            bearing = [e for e in (*entries, *old) if e.id not in plans and e.supersedes not in plans]
            self._read_again(bearing)
            hive = next((e.hive for e in entries if e.hive), None)
            return self.hive(hive) if hive else None

    def _read_again(self, entries: Sequence[Entry]) -> None:
        """Doubt what was read of the yards that entries just written are about."""
        version = self._books.version()
        if version > self._version + 1:
            # somebody else has written too
            return
        self._version = version
        if not entries:
            return
        yards = {e.yard for e in entries} | {self._books.hive(e.hive).yard for e in entries if e.hive}
        self._lately = [*sorted(yards), *(y for y in self._lately if y not in yards)]
        self._yards.read_again(yards)
        # a batch may be on any hive; what else is written is heard in its own yard
        far = any(e.kind == "batch" for e in entries)
        self._worked.doubt(None if far else [h.id for y in yards for h in self._books.hives(y)])

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on (what a calendar has sent, what things cost in the kitchen).

        What was worked out stays.
        """
        with self._lock:
            self._fresh()
            self._books.put_settings(settings)
            self._version = self._books.version()


def open_desk(path: str | Path, *, members: int = MEMBERS, processes: int | None = None) -> Desk:
    """Open books and put a desk over them."""
    return Desk(open_books(path), members=members, processes=processes)
