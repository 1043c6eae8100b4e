"""One hive's answer from all that it depends on: nothing is read from the books here, so that any process may do it."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time
from typing import Any, Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from tideover.colony.weather import Weather
from tideover.desk import showing
from tideover.desk.cards import card_of, worth_opening
from tideover.desk.eating import expect
from tideover.desk.land import Land
from tideover.desk.neighbours import Alone, Ear, Heard, alone, alone_members
from tideover.desk.usual import Stocked, named, with_batch
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.checkpoints import Checkpoints
from tideover.evidence.known import LandSaid
from tideover.evidence.seen import HiveCase, Seen
from tideover.figures import reader
from tideover.patty.appetite import Appetite
from tideover.plan.advise import Advice, YardAhead, advise, with_flags
from tideover.plan.call import Call, Flag, Moment
from tideover.plan.cards.card import Card
from tideover.plan.options import usual_kind
from tideover.plan.portion import with_chance
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation, situation

MIN_MEMBERS: Final = 100
FEW: Final = np.arange(10_000, dtype=np.intp)
VISIT_HOUR: Final = int(reader("calls")("visit_h"))
BETTER_BY: Final = reader("calls")("better_by")
"""Another yard counts as better when its pollen on offer is this many times as much."""
SEED: Final = 20_250


class Bench:
    """What one process keeps from answer to answer because it is dear to make; answers are the same without.

    :param stood: where filters stood.
    """

    def __init__(self, stood: Checkpoints | None = None) -> None:
        self.ear = Ear(SEED + 2)
        self.stood = Checkpoints() if stood is None else stood


@dataclass(frozen=True)
class Elsewhere:
    """The other yard with most pollen on offer: its name, that pollen, and what may flower there."""

    name: str
    median: float
    weather: Weather

    def for_one_at(self, heard: Heard) -> tuple[Weather | None, str]:
        """Futures there and the yard's name where it is clearly better than a hive hears of its own yard."""
        if not self.median > BETTER_BY * heard.now.median:
            return None, ""
        days = min(self.weather.days, heard.weather.days)
        # Only what stands in flower is taken from the other yard; days and weather stay comparable.
        log_index = np.concatenate([self.weather.log_index[:, :days], heard.weather.log_index[:, days:]], axis=1)
        return replace(heard.weather, log_index=log_index), self.name


@dataclass(frozen=True)
class Listening:
    """All that depends on what one hive, known from its own late looks alone, says to the others.

    ``case`` holds what was written lately, see ``neighbours.lately``.
    """

    case: HiveCase
    land: Land
    day: date
    members: int
    settings: Settings

    def same(self, other: Listening) -> bool:
        """Whether the other leads to the same words: all alike, and the land the very same."""
        return _alike(self, other)

    def work(self, bench: Bench) -> Alone:
        """What the hive says."""
        # Alone a hive is only listened to, on another land than its own answer's: no checkpoint is kept.
        few = alone_members(self.members)
        known = assimilate(
            self.case, self.land.sky, self.day, members=few, seed=SEED,
            protein=self.settings.patty_protein, usual=usual_kind(self.settings),
        )  # fmt: skip
        return alone(known, self.day)


@dataclass(frozen=True)
class Answer:
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
    index: float
    """Pollen on offer today as the hive hears it, median."""


@dataclass(frozen=True)
class Asked:
    """All that one hive's answer depends on.

    :param said: what the looks at all other hives of the yard say of its land, in a fixed order.
    :param elsewhere: the best other yard.
    :param suspects: other hives of the yard that may be sick.
    :param notes: the yard's own entries but its weather days, of which there are thousands.
    :param appetites: of the yard's hives seen eating, where this one never was.
    :param beetles: words for beetles in the yard's looks.
    :param batch: what the yard is given next where it is not the usual patty.
    """

    case: HiveCase
    today: date
    land: Land
    said: tuple[LandSaid, ...]
    elsewhere: Elsewhere | None
    suspects: tuple[str, ...]
    notes: tuple[Seen, ...]
    appetites: tuple[Appetite, ...]
    beetles: tuple[str, ...]
    settings: Settings
    batch: Stocked | None
    members: int

    def same(self, other: Asked, index: float = 0.0) -> bool:
        """Whether the other leads to the same answer: all is alike, the land the very same.

        Another yard need be the same only where it is clearly better.

        :param index: pollen on offer as the hive hears it, of the answer to one of the two; with 0 any yard is better.
        """
        if not _alike(self, other):
            return False
        mine, theirs = (
            e if e is not None and e.median > BETTER_BY * index else None for e in (self.elsewhere, other.elsewhere)
        )
        if mine is None or theirs is None:
            return mine is theirs
        return mine.name == theirs.name and mine.weather is theirs.weather

    def heard(self, bench: Bench) -> Heard:
        """The yard's land as the hive hears it from the others."""
        return bench.ear.heard(self.land, self.said, self.members)

    def work(self, bench: Bench) -> Answer:
        """The answer: season, call, both answers for what does not fit, card."""
        heard = self.heard(bench)
        settings = with_batch(self.settings, self.batch)
        yard = self._ahead(heard)
        known = self.assimilated(bench)
        if self.appetites:
            expect(known, self.appetites)
        adults = float(np.median(known.ensemble.adults()))
        settings = with_chance(settings, self.case.place.beetles, adults, list(self.beetles))
        made, facts = self._call(known, yard, settings)
        call = named(with_flags(made.call, self._flags(known, heard, yard, settings)), self.batch)
        card = card_of(self.case, known, call, made.ground, facts, self.notes, yard, settings)
        # The filter itself is large and no longer needed: what is kept are the members it was answered with.
        known.walk = None
        call = worth_opening(call, card)
        return Answer(self.case, known, facts, call, made.line, card, self.said, heard.now.median)

    def assimilated(self, bench: Bench) -> Assimilated:
        """The hive's season up to today, on its land as it hears it from its neighbours."""
        return assimilate(
            self.case,
            self.heard(bench).sky,
            self.today,
            members=self.members,
            seed=SEED,
            protein=self.settings.patty_protein,
            usual=usual_kind(self.settings),
            checkpoints=bench.stood,
        )

    def _ahead(self, heard: Heard) -> YardAhead:
        land = self.land
        better, name = (None, "") if self.elsewhere is None else self.elsewhere.for_one_at(heard)
        return YardAhead(
            weather=heard.weather,
            better=better,
            better_name=name,
            index=heard.now,
            words=_first_sentence(land.words) + heard.words,
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
            suspects=self.suspects,
        )

    def _call(
        self, known: Assimilated, yard: YardAhead, settings: Settings, without: str | None = None
    ) -> tuple[Advice, Situation]:
        c, today = self.case, known.today
        seen = tuple(s for s in c.seen if s.id != without and s.day <= today)
        held = replace(c, seen=seen)
        zone = ZoneInfo(c.place.timezone)
        looks = [s for s in seen if s.kind == "look" and s.day == today]
        moment: Moment = "at the hive" if looks else "before the round"
        hour = looks[-1].hour if looks else float(VISIT_HOUR)
        at = datetime.combine(today, time(int(hour) % 24, int(hour % 1 * 60)), zone)
        facts = situation(held, self.notes, today, settings.mite_sample_bees)
        return advise(held, known, facts, yard, settings, at=at, moment=moment, seed=SEED), facts

    def _flags(self, known: Assimilated, heard: Heard, yard: YardAhead, settings: Settings) -> list[Flag]:
        """Both answers for each look that does not fit: with it believed, and without it."""
        found = []
        # what lay on before is taken for the keeper's usual patty, whatever is in stock now
        before = self.settings
        for odd in known.flags:
            # Two more seasons and two more calls: a third of the colonies is enough to tell which way each points.
            fewer = min(self.members, max(MIN_MEMBERS, self.members // 3))
            believed, left_out = (
                assimilate(
                    self.case,
                    heard.sky,
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
            with_it, _ = self._call(believed, few, settings)
            without_it, _ = self._call(left_out, few, settings, without=odd.entry)
            found.append(Flag(odd.entry, odd.text, showing.short(with_it.call), showing.short(without_it.call)))
        return found


def _alike(a: Any, b: Any) -> bool:
    """Whether two askings agree in all but another yard; lands are large, and the same one only when it is itself."""
    for f in fields(a):
        mine, theirs = getattr(a, f.name), getattr(b, f.name)
        if f.name == "land":
            if mine is not theirs:
                return False
        elif f.name != "elsewhere" and mine != theirs:
            return False
    return True


def _first_sentence(words: str) -> str:
    return words.split(";")[0].rstrip(".") + "."
