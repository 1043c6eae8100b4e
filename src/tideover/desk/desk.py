"""The desk: opens the books, works out what is asked, keeps it until an entry changes it."""

from __future__ import annotations

import threading
from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from tideover.colony.weather import Weather
from tideover.desk import showing
from tideover.desk.batches import Batches, batches, pieces_of, with_batches
from tideover.desk.cards import card_of, worth_opening
from tideover.desk.coldbox import received_until
from tideover.desk.eating import beetle_words, expect, seen_eating
from tideover.desk.forecast import forecast_key, typical_key
from tideover.desk.land import Land, build
from tideover.desk.neighbours import Alone, Heard, Wide, YardSaid, alone, alone_members, heard, lately, yard_said
from tideover.desk.usual import Stocked, named, stands_for, stocked, with_batch
from tideover.desk.views import HiveLine, HiveView, PattyStay, RoundView, YardLine
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.checkpoints import Checkpoints
from tideover.evidence.known import LandSaid
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Received, Seen
from tideover.evidence.sky import Sky
from tideover.figures import reader
from tideover.forage.heat import visit_cautions
from tideover.patty.appetite import Appetite
from tideover.plan.advise import Advice, YardAhead, advise, with_flags
from tideover.plan.call import Call, Flag, Moment
from tideover.plan.cards.card import Card
from tideover.plan.options import usual_kind
from tideover.plan.portion import with_chance
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation, situation
from tideover.records import Books, Entry, open_books
from tideover.records.cases import boxes_now, case, cases, place_of, yard_seen

Progress = Callable[[int, int, str], None]

MEMBERS: Final = 600
MIN_MEMBERS: Final = 100
FEW: Final = np.arange(10_000, dtype=np.intp)
BOOKS_ENDED_D: Final = int(reader("calls")("books_ended_d"))
"""Books whose last entry is older than this are read as of the day after it, not as of today."""
VISIT_HOUR: Final = int(reader("calls")("visit_h"))
BETTER_BY: Final = reader("calls")("better_by")
"""Another yard counts as better when its pollen on offer is this many times as much."""
SEED: Final = 20_250
_YARD_KINDS: Final = frozenset({"weather day", "bloom note", "entrance count"})
_ROUND_KINDS: Final = frozenset({"road time", "planned visit", "task done"})
_LEDGER_KINDS: Final = frozenset({"batch", "cold box", "discarded", "stock count"}) | _ROUND_KINDS
"""Kinds about patties, roads and rounds alone: they change no yard's land."""
_STOCK_KINDS: Final = frozenset({"batch", "laid on", "cold box", "discarded", "stock count"})
"""Kinds that may change what is in stock."""


@dataclass(frozen=True)
class _Answer:
    """What was worked out for one hive."""

    case: HiveCase
    known: Assimilated
    situation: Situation
    call: Call
    line: dict[str, NDArray[np.float64]]
    """Low, median and high per day under the plan called; see ``plan.advise.Advice``."""
    card: Card
    said: tuple[LandSaid, ...]
    """What the looks at the yard's other hives said of its land."""


@dataclass(frozen=True)
class _Yard:
    """A yard's place, its own entries (weather days apart) and its hives' cases."""

    place: Place
    seen: tuple[Seen, ...]
    cases: dict[str, HiveCase]

    @property
    def notes(self) -> tuple[Seen, ...]:
        """The yard's entries but its weather days, of which there are thousands."""
        return tuple(s for s in self.seen if s.kind != "weather day")


class Desk:
    """Answers from one set of books.

    :param books: open books.
    :param members: ensemble size; fewer is faster and rougher.
    """

    def __init__(self, books: Books, *, members: int = MEMBERS) -> None:
        self._books = books
        self._members = members
        self._today: date | None = None
        self._after: date | None = None
        self._zone_held: tuple[int, ZoneInfo | None] | None = None
        self._lock = threading.RLock()
        self._version = -1
        self._yards: dict[str, _Yard] = {}
        self._lands: dict[tuple[str, date], Land] = {}
        self._batches: Batches | None = None
        self._stock: tuple[date, tuple[Stocked, ...]] | None = None
        self._answers: dict[str, _Answer] = {}
        self._said: dict[str, Alone] = {}
        self._ear: tuple[str, date, Heard] | None = None
        self._wide = Wide(SEED + 2)
        self._stood = Checkpoints()
        self._reached: tuple[int, dict[str, tuple[Received, ...]]] | None = None

    @property
    def books(self) -> Books:
        """The books that are open."""
        return self._books

    @property
    def settings(self) -> Settings:
        """The keeper's settings as they stand in the books (names the settings do not know are left alone)."""
        held = self._books.settings()
        known = Settings().to_mapping()
        return Settings.from_mapping({k: v for k, v in held.items() if k in known})

    def today(self) -> date:
        """The day answers are for: the day set, else today where most yards lie.

        Books that ended long ago are read as of the day after.
        """
        if self._today is not None:
            return self._today
        now = datetime.now(self._zone()).date()
        last = self._books.last_at()
        if last is None:
            return now
        ended = last.date()
        if (now - ended).days <= BOOKS_ENDED_D:
            return now
        # Held while the desk is open: what is written on that day is a look at the hive, not a new day.
        if self._after is None:
            self._after = ended + timedelta(days=1)
        return self._after

    def _zone(self) -> ZoneInfo | None:
        """The zone most yards lie in (the first by name of several such); None, the machine's own, without yards."""
        version = self._books.version()
        if self._zone_held is None or self._zone_held[0] != version:
            zones = Counter(y.timezone for y in self._books.yards())
            most = min(zones, key=lambda z: (-zones[z], z)) if zones else None
            self._zone_held = version, ZoneInfo(most) if most else None
        return self._zone_held[1]

    def set_today(self, day: date | None) -> None:
        """Set the day answers are for; None follows the books again."""
        with self._lock:
            if day != self._today:
                self._today = day
                self._forget()

    def _forget(self) -> None:
        self._batches = None
        self._stock = None
        self._yards.clear()
        self._lands.clear()
        self._answers.clear()
        self._said.clear()
        self._ear = None
        self._wide = Wide(SEED + 2)
        self._stood.clear()

    def _fresh(self) -> None:
        """Drop what was worked out before the books last changed."""
        version = self._books.version()
        if version != self._version:
            self._forget()
            self._version = version

    # --- yards

    def _yard(self, yard_id: str) -> _Yard:
        """A yard's entries, read once until the books change."""
        held = self._yards.get(yard_id)
        if held is None:
            held = _Yard(
                place_of(self._books.yard(yard_id)), tuple(yard_seen(self._books, yard_id)), cases(self._books, yard_id)
            )
            self._yards[yard_id] = held
        return held

    def _land(self, yard_id: str, day: date) -> Land:
        land = self._lands.get((yard_id, day))
        if land is None:
            yard = self._yard(yard_id)
            counts = [s for c in yard.cases.values() for s in c.seen if s.kind == "entrance count"]
            held = self._books.settings()
            land = build(
                yard.place, yard.seen, counts, day, self.settings, members=self._members, seed=SEED,
                grows=held.get(f"bloom:{yard_id}"), forecast=held.get(forecast_key(yard_id)),
                typical=held.get(typical_key(yard_id)),
            )  # fmt: skip
            self._lands[yard_id, day] = land
        return land

    def _better(self, yard_id: str, day: date, mine: Heard) -> tuple[Weather | None, str]:
        """The best other yard's futures where it is clearly better than this one, as one of its hives hears it."""
        best: Land | None = None
        for y in self._books.yards():
            if y.id != yard_id:
                other = self._land(y.id, day)
                if other.now.median > BETTER_BY * mine.now.median and (
                    best is None or other.now.median > best.now.median
                ):
                    best = other
        if best is None:
            return None, ""
        days = min(best.weather.days, mine.weather.days)
        # Only what stands in flower is taken from the other yard; days and weather stay comparable.
        log_index = np.concatenate([best.weather.log_index[:, :days], mine.weather.log_index[:, days:]], axis=1)
        there = replace(mine.weather, log_index=log_index)
        return there, self._books.yard(best.place.yard).name

    def _suspects(self, yard_id: str, but: str) -> tuple[str, ...]:
        """Other hives of the yard whose brood signs were answered yes and have not been cleared since."""
        found = []
        for hive_id, c in self._yard(yard_id).cases.items():
            suspected = False
            for s in c.seen:
                if s.kind == "look" and s.values.get("brood_signs") == "yes":
                    suspected = True
                elif s.kind == "event" and s.values.get("event") == "disease cleared":
                    suspected = False
            if suspected and hive_id != but:
                found.append(hive_id)
        return tuple(found)

    def _alone(self, hive_id: str, day: date) -> Alone:
        """What one hive, known from its own late looks alone, says to the others; kept until it is written of."""
        kept = self._said.get(hive_id)
        if kept is None or kept.day != day:
            c = lately(self._case(hive_id), day)
            known = None
            if c is not None:
                sky = self._land(c.place.yard, day).sky
                known = self._assimilated(c, day, sky, members=alone_members(self._members))
            kept = alone(known, day)
            self._said[hive_id] = kept
        return kept

    def _told(self, c: HiveCase, day: date) -> tuple[LandSaid, ...]:
        """What the looks at all other hives of a hive's yard say of its land, never its own, in a fixed order."""
        others = sorted(h for h in self._yard(c.place.yard).cases if h != c.hive)
        return tuple(m for h in others for m in self._alone(h, day).said)

    def _heard(self, c: HiveCase, day: date) -> Heard:
        """The yard's land as one hive hears it from the others; held for the hive asked of last, since it is large."""
        said = self._told(c, day)
        if self._ear is None or self._ear[:2] != (c.hive, day) or self._ear[2].said != said:
            self._ear = c.hive, day, heard(self._land(c.place.yard, day), said, self._wide, self._members)
        return self._ear[2]

    def _ahead(self, c: HiveCase, day: date) -> YardAhead:
        land = self._land(c.place.yard, day)
        told = self._heard(c, day)
        better, name = self._better(c.place.yard, day, told)
        return YardAhead(
            weather=told.weather,
            better=better,
            better_name=name,
            index=told.now,
            words=_first_sentence(land.words) + told.words,
            cluster=land.cluster,
            cluster_how=land.cluster_how,
            stop=land.stop,
            temp_max_today_c=land.temp_max_today_c,
            heat_index_f=land.heat_index_f,
            humidity=land.humidity,
            wind_ms=land.wind_ms,
            rain_mm=land.rain_mm,
            drought_kbdi=land.drought_mm * 800.0 / 203.2,
            past_max_c=land.past_max_c,
            suspects=self._suspects(c.place.yard, c.hive),
        )

    # --- hives

    def _case(self, hive_id: str) -> HiveCase:
        if self._batches is None:
            self._batches = batches(self._books)
        c = with_batches(case(self._books, hive_id), self._batches)
        now = boxes_now(self._books.hive(hive_id), c.seen)
        boxes = tuple(BoxSpec(b.frame, b.frames) for b in now)
        return replace(c, boxes=boxes, received=self._received().get(hive_id, ()))

    def _received(self) -> dict[str, tuple[Received, ...]]:
        """What each hive got of pieces that had been on a hive now suspect."""
        version = self._books.version()
        if self._reached is None or self._reached[0] != version:
            self._reached = (version, received_until(self._books))
        return self._reached[1]

    def usual(self, yard_id: str, day: date | None = None) -> Stocked | None:
        """The batch in stock that the yard's hives are given next; None is the usual patty of the settings."""
        with self._lock:
            self._fresh()
            return self._usual(yard_id, day or self.today())

    def _usual(self, yard_id: str, day: date) -> Stocked | None:
        if self._stock is None or self._stock[0] != day:
            self._stock = day, stocked(self._books, day)
        return stands_for(self._stock[1], yard_id, len(self._books.hives(yard_id)), self.settings)

    def _answer(self, hive_id: str, day: date | None = None) -> _Answer:
        self._fresh()
        c = self._case(hive_id)
        looked = max((s.day for s in c.seen if s.kind != "event"), default=None)
        today = day or self.today()
        # A look written ahead of the clock here is answered as of its own day; a day asked for stays that day.
        if day is None and self._today is None and looked is not None and looked > today:
            today = looked
        kept = self._answers.get(hive_id)
        if kept is not None and kept.known.today == today and kept.said == self._told(c, today):
            return kept
        answer = self._work_out(c, today)
        self._answers[hive_id] = answer
        return answer

    def _work_out(self, c: HiveCase, today: date) -> _Answer:
        batch = self._usual(c.place.yard, today)
        settings = with_batch(self.settings, batch)
        land = self._land(c.place.yard, today)
        yard = self._ahead(c, today)
        known = self._assimilated(c, today)
        self._borrow(c, known, today)
        beetles = beetle_words(self._yard(c.place.yard).cases.values(), today)
        settings = with_chance(settings, c.place.beetles, float(np.median(known.ensemble.adults())), beetles)
        made, facts = self._call(c, known, yard, settings)
        call = named(with_flags(made.call, self._flags(c, known, land, yard, settings)), batch)
        card = card_of(c, known, call, made.ground, facts, self._yard(c.place.yard).notes, yard, settings)
        # The filter itself is large and no longer needed: what is kept are the members it was answered with.
        known.walk = None
        return _Answer(c, known, facts, worth_opening(call, card), made.line, card, self._told(c, today))

    def _appetite(self, hive_id: str, today: date) -> Appetite:
        """What a fed hive's leftovers say of its appetite."""
        return self._alone(hive_id, today).appetite

    def _borrow(self, c: HiveCase, known: Assimilated, today: date) -> None:
        """Let a hive never seen eating a patty expect the appetite of its yard's hives that were.

        Its own looks say nothing of it, so that its members still hold the prior, and nothing is counted twice.
        """
        if seen_eating(c, today):
            return
        fed = [h for h, other in self._yard(c.place.yard).cases.items() if h != c.hive and seen_eating(other, today)]
        if not fed:
            return
        expect(known, [self._appetite(h, today) for h in sorted(fed)])

    def _assimilated(
        self, c: HiveCase, today: date, sky: Sky | None = None, *, members: int | None = None
    ) -> Assimilated:
        """The hive's season up to today, on its land as it hears it from its neighbours unless a ``sky`` is given."""
        return assimilate(
            c,
            self._heard(c, today).sky if sky is None else sky,
            today,
            members=self._members if members is None else members,
            seed=SEED,
            protein=self.settings.patty_protein,
            usual=usual_kind(self.settings),
            # Alone a hive is only listened to, on another land than its own answer's.
            checkpoints=self._stood if sky is None else None,
        )

    def _call(
        self, c: HiveCase, known: Assimilated, yard: YardAhead, settings: Settings, without: str | None = None
    ) -> tuple[Advice, Situation]:
        today = known.today
        seen = tuple(s for s in c.seen if s.id != without and s.day <= today)
        held = replace(c, seen=seen)
        zone = ZoneInfo(c.place.timezone)
        looks = [s for s in seen if s.kind == "look" and s.day == today]
        moment: Moment = "at the hive" if looks else "before the round"
        hour = looks[-1].hour if looks else float(VISIT_HOUR)
        at = datetime.combine(today, time(int(hour) % 24, int(hour % 1 * 60)), zone)
        facts = situation(held, self._yard(c.place.yard).notes, today, settings.mite_sample_bees)
        return advise(held, known, facts, yard, settings, at=at, moment=moment, seed=SEED), facts

    def _flags(self, c: HiveCase, known: Assimilated, land: Land, yard: YardAhead, settings: Settings) -> list[Flag]:
        """Both answers for each look that does not fit: with it believed, and without it."""
        found = []
        sky = self._heard(c, known.today).sky
        # what lay on before is taken for the keeper's usual patty, whatever is in stock now
        before = self.settings
        for odd in known.flags:
            # Two more seasons and two more calls: a third of the colonies is enough to tell which way each points.
            fewer = min(self._members, max(MIN_MEMBERS, self._members // 3))
            believed, left_out = (
                assimilate(
                    c,
                    sky,
                    known.today,
                    members=fewer,
                    seed=SEED,
                    protein=before.patty_protein,
                    usual=usual_kind(before),
                    believing=believing,
                    without=without,
                )
                for believing, without in (({odd.entry}, frozenset[str]()), (frozenset[str](), {odd.entry}))
            )
            few = replace(
                yard,
                weather=yard.weather.take(FEW[:fewer]),
                better=None if yard.better is None else yard.better.take(FEW[:fewer]),
            )
            with_it, _ = self._call(c, believed, few, settings)
            without_it, _ = self._call(c, left_out, few, settings, without=odd.entry)
            found.append(Flag(odd.entry, odd.text, showing.short(with_it.call), showing.short(without_it.call)))
        return found

    # --- what is asked of the desk

    def yard_said(self, yard_id: str, day: date | None = None, progress: Progress | None = None) -> YardSaid:
        """What looks at all hives of a yard say of its land on a day, each known from its own looks alone."""
        with self._lock:
            self._fresh()
            today, hives = day or self.today(), sorted(self._yard(yard_id).cases)
            said = []
            for i, h in enumerate(hives):
                if progress is not None:
                    progress(i, len(hives), h)
                said.append(self._alone(h, today))
            return yard_said(said, self._yard(yard_id).cases, today)

    def listen(self, hive_id: str, day: date | None = None) -> None:
        """Know a hive from its own looks alone, as its neighbours hear it: part of their answers, done beforehand."""
        with self._lock:
            self._fresh()
            self._alone(hive_id, day or self.today())

    def yard_said_by_now(self, yard_id: str) -> YardSaid:
        """The same as far as it has been worked out, without waiting for other work: said whole, or waited for."""
        today, held = self.today(), self._said.copy()
        mine = cases(self._books, yard_id)
        said = [a for h in sorted(mine) if (a := held.get(h)) is not None and a.day == today]
        if len(said) < len(mine) or self._version != self._books.version():
            return YardSaid(waiting=True)
        return yard_said(said, mine, today)

    def calls(self, progress: Progress | None = None, day: date | None = None) -> list[Call]:
        """A call per living hive, in the order of the books."""
        return [a.call for a in self._all(progress, day)]

    def _all(self, progress: Progress | None, day: date | None) -> list[_Answer]:
        with self._lock:
            self._fresh()
            hives = [h for y in self._books.yards() for h in self._books.hives(y.id)]
            made = []
            for i, h in enumerate(hives):
                if progress is not None:
                    progress(i, len(hives), f"{h.id}")
                made.append(self._answer(h.id, day))
            if progress is not None and hives:
                progress(len(hives), len(hives), "done")
            return made

    def warm(self, progress: Progress | None = None) -> None:
        """Work out every hive now, so that pages answer at once."""
        self._all(progress, None)

    def enter(self, entry: Entry) -> HiveView | None:
        """Write one entry, then answer anew for its hive.

        :returns: the hive's new view; None for an entry about a yard.
        """
        return self.enter_all([entry])

    def enter_all(self, entries: Sequence[Entry]) -> HiveView | None:
        """Write entries together; the other hives' answers stay until the yard's land changes."""
        with self._lock:
            self._fresh()
            self._books.add(entries, now=datetime.now().astimezone())
            old = [self._books.entry(e.supersedes) for e in entries if e.supersedes is not None]
            plans = {e.id for e in (*entries, *old) if e.kind in _ROUND_KINDS}
            # a plan, or the withdrawal of one, is no news of bees: the answers stand
            bearing = [e for e in (*entries, *old) if e.id not in plans and e.supersedes not in plans]
            touched = {e.hive for e in bearing if e.hive}
            if any(self._touches_yard(e) for e in bearing):
                self._forget()
            self._restock([e for e in bearing if e.kind in _STOCK_KINDS])
            for h in touched:
                self._answers.pop(h, None)
                self._said.pop(h, None)
            if any(e.kind in ("laid on", "taken off") or "patty_left" in e.values for e in (*entries, *old)):
                self._forget_borrowers({e.yard for e in (*entries, *old)})
            # The other hives' answers stand, but what was read of the yards is read again.
            self._yards.clear()
            self._version = self._books.version()
            hive = next((e.hive for e in entries if e.hive), None)
            return self.hive(hive) if hive else None

    def _restock(self, entries: Sequence[Entry]) -> None:
        """Drop the answers of yards that another patty now stands for, and of hives with a piece of a batch rewritten.

        What is laid on today leaves the stock of this morning as it was; see ``desk.usual``.
        """
        old = self._stock
        zone = self._zone()
        if old is None or all(e.kind != "batch" and e.at.astimezone(zone).date() >= old[0] for e in entries):
            return
        self._stock, self._batches = None, None
        rewritten = {str(e.values.get("batch", "")).upper() for e in entries if e.kind == "batch"}
        if rewritten:
            self._said.clear()
        for h, a in list(self._answers.items()):
            yard, day = a.case.place.yard, a.known.today
            stood = stands_for(old[1], yard, len(self._books.hives(yard)), self.settings)
            if day != old[0] or stood != self._usual(yard, day) or rewritten & pieces_of(a.case):
                del self._answers[h]

    def _forget_borrowers(self, yards: set[str]) -> None:
        """Drop the answers of hives that expect their yard's appetite, of which something new may be known."""
        for h, a in list(self._answers.items()):
            if a.case.place.yard in yards and not seen_eating(a.case, a.known.today):
                del self._answers[h]

    @staticmethod
    def _touches_yard(entry: Entry) -> bool:
        """Whether an entry bears on its whole yard: its land, a fire ban, a hive that may be sick."""
        sick = entry.values.get("brood_signs") == "yes" or entry.values.get("event") == "disease cleared"
        if entry.kind in _LEDGER_KINDS:
            return False
        return entry.hive is None or entry.kind in _YARD_KINDS or sick

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on (what a calendar has sent, what things cost in the kitchen).

        What was worked out stays.
        """
        with self._lock:
            self._fresh()
            self._books.put_settings(settings)
            self._version = self._books.version()

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

    def hive(self, hive_id: str) -> HiveView:
        """Everything one hive's page shows."""
        with self._lock:
            a = self._answer(hive_id)
            land = self._land(a.case.place.yard, a.known.today)
            return showing.hive_view(self._books, a.case, a.known, a.situation, a.call, self._line(a), land, a.line)

    def _line(self, a: _Answer) -> HiveLine:
        e = a.known.ensemble
        low, mid, high = (float(v) for v in np.quantile(e.adults(), [0.1, 0.5, 0.9]))
        looks = [s for s in a.case.seen if s.kind == "look" and s.day <= a.known.today]
        said = showing.look_words(looks[-1]) if looks else "never looked at"
        yard = self._books.yard(a.case.place.yard)
        return HiveLine(
            a.case.hive, yard.id, yard.name, a.call, said, looks[-1].day if looks else None, (low, mid, high), a.card
        )

    def round(self, day: date | None = None, progress: Progress | None = None) -> RoundView:
        """The coming round: every yard with its load, cautions and one line per hive."""
        with self._lock:
            answers = self._all(progress, day)
            today = day or self.today()
            settings = self.settings
            yards = []
            for y in self._books.yards():
                mine = [a for a in answers if a.case.place.yard == y.id]
                if not mine:
                    continue
                land = self._land(y.id, today)
                banned = any(g.code == "fire-ban" for a in mine for g in a.call.gates)
                heaviest = "deep" if any(b.frame == "deep" for a in mine for b in a.case.boxes) else None
                cautions = visit_cautions(
                    land.temp_max_today_c,
                    land.humidity,
                    land.wind_ms,
                    land.rain_mm,
                    land.drought_mm,
                    fire_ban=banned,
                    heaviest_box=heaviest,
                )
                lines = [self._line(a) for a in mine]
                yards.append(
                    YardLine(
                        y.id,
                        y.name,
                        land.words,
                        (land.now.low, land.now.median, land.now.high),
                        sum(a.call.loads_g for a in mine),
                        tuple(c.text for c in cautions),
                        lines,
                    )
                )
            load = sum(y.load_g for y in yards)
            sugar = sum(showing.sugar_kg(a.call) for a in answers)
            patty = sum(y.load_g / 1000.0 * with_batch(settings, self._usual(y.yard, today)).patty_price for y in yards)
            cost = patty + sugar * settings.syrup_price
            note = ""
            last = self._books.last_at()
            if (
                last is not None
                and self._today is None
                and (datetime.now(self._zone()).date() - last.date()).days > BOOKS_ENDED_D
            ):
                note = f"The books end on {last.date():%-d %B %Y}; this is the round of the day after."
            return RoundView(today, datetime.now().astimezone(), yards, load, round(sugar, 1), round(cost, 2), note)


def _first_sentence(words: str) -> str:
    return words.split(";")[0].rstrip(".") + "."


def open_desk(path: str | Path, *, members: int = MEMBERS) -> Desk:
    """Open books and put a desk over them."""
    return Desk(open_books(path), members=members)
