"""What looks at a yard's hives say of its land to one another: the land as one hive hears it from the others."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

import numpy as np

from tideover.colony.layout import P
from tideover.colony.weather import Weather
from tideover.desk.land import Land
from tideover.evidence.assimilate import LOOKS
from tideover.evidence.known import Assimilated, LandSaid
from tideover.evidence.seen import HiveCase
from tideover.evidence.sky import Sky
from tideover.evidence.yard import informed, led_on
from tideover.figures import book
from tideover.forage.index import YardIndex
from tideover.patty.appetite import PRIOR, Appetite, seen_in
from tideover.plan.call import Interval

WIDE: Final = 4000
"""Paths of the land that are weighed by what other hives' looks say; as many as members are drawn from them."""
ALONE: Final = 4
"""A hive is known from its own looks alone by one member for so many of an answer: it is only listened to."""
LEAST_ALONE: Final = 100
LISTENED_D: Final = int(book().value("reading.listened_d"))
"""Only looks of so many days back are listened to: twice the land's memory, after which a seventh of a departure is
left (``forage.filter.Drift``)."""


@dataclass(frozen=True)
class Heard:
    """A yard's land as one of its hives meets it.

    :param sky: its season so far, one path of the index a member.
    :param weather: its futures, led on from there.
    :param now: pollen on offer today: median, low, high.
    :param said: what the other hives' looks said, in a fixed order; the land's own where nothing was said.
    """

    sky: Sky
    weather: Weather
    now: Interval
    said: tuple[LandSaid, ...]

    @property
    def words(self) -> str:
        """A sentence on whose looks are in it; empty without any."""
        hives = sorted({m.hive for m in self.said})
        if not hives:
            return ""
        which = "one other hive" if len(hives) == 1 else f"{len(hives)} other hives"
        return f" Looks at {which} of the yard are in it ({_some(hives)})."


@dataclass(frozen=True)
class YardSaid:
    """What looks at all hives of a yard say of its land.

    :param said: their messages, in a fixed order.
    :param listened: hives with a look of the last ``LISTENED_D`` days, in order of their names.
    :param waiting: whether it is still being worked out; nothing is said yet then.
    """

    said: tuple[LandSaid, ...] = ()
    listened: tuple[str, ...] = ()
    waiting: bool = False

    @property
    def telling(self) -> tuple[str, ...]:
        """Hives whose looks say something of the land."""
        return tuple(sorted({m.hive for m in self.said if m.precision > 0.0}))

    @property
    def words(self) -> str:
        """A sentence on whose looks are in what is shown of the yard's land, or that they are not yet."""
        if self.waiting:
            return "What the hives stored is not in it yet: looks at them are being read; open this again in a minute."
        if not self.listened:
            return f"What the hives stored is not in it: no look at one was written in the last {LISTENED_D} days."
        if not self.telling:
            return "Looks at its hives were read; they say nothing of the land beyond the rest."
        of = len(self.listened)
        hives = "its one hive" if of == 1 else f"{len(self.telling)} of the {of} hives looked at"
        return f"What the hives stored is in it, from {hives} ({_some(self.telling)})."


def yard_said(each: Sequence[Alone], mine: Mapping[str, HiveCase], today: date) -> YardSaid:
    """What a yard's hives say together; ``mine`` are their cases by name."""
    listened = tuple(h for h in sorted(mine) if lately(mine[h], today) is not None)
    return YardSaid(tuple(m for a in each for m in a.said), listened)


def _some(hives: Sequence[str]) -> str:
    return f"{', '.join(hives[:4])}{' and more' if len(hives) > 4 else ''}"


def lately(c: HiveCase, today: date) -> HiveCase | None:
    """A hive as it is listened to: what was written of it lately; None without a look, which says nothing."""
    seen = tuple(s for s in c.seen if 0 <= (today - s.day).days <= LISTENED_D)
    if not any(s.kind in (*LOOKS, "comb side") for s in seen):
        return None
    return replace(c, seen=seen)


def alone_members(members: int) -> int:
    """Members a hive is known by when it is only listened to."""
    return min(members, max(LEAST_ALONE, members // ALONE))


@dataclass(frozen=True)
class Alone:
    """What a hive known from its own looks alone says to the others of its yard.

    ``said`` is what its looks say of the land, oldest first; ``appetite`` what its leftovers say of its appetite.
    """

    day: date
    said: tuple[LandSaid, ...]
    appetite: Appetite


def alone(known: Assimilated | None, day: date) -> Alone:
    """What a hive says, ``known`` from its own late looks alone; None was not looked at and says nothing."""
    if known is None:
        return Alone(day, (), PRIOR)
    said = tuple(sorted(known.land, key=lambda m: (m.day, m.entry)))
    return Alone(day, said, seen_in(known.ensemble.params[:, P["patty_intake_mg"]]))


class Wide:
    """Many paths of a land, held for the yard asked of last, since they are large.

    :param seed: seed of the paths; the same land gives the same ones.
    """

    def __init__(self, seed: int) -> None:
        self.seed = seed
        self._held: tuple[Land, Sky] | None = None

    def of(self, land: Land) -> Sky:
        """The season so far with so many paths."""
        if self._held is None or self._held[0] is not land:
            self._held = land, replace(land.sky, paths=land.index.paths(WIDE, self.seed))
        return self._held[1]


def heard(land: Land, said: tuple[LandSaid, ...], wide: Wide, members: int) -> Heard:
    """A yard's land given what the other hives' looks say of it.

    :param land: the yard's land from weather, bloom and counts.
    :param said: messages of the other hives; the same messages give the same land.
    :param wide: where its paths are weighed.
    :param members: paths drawn.
    """
    if not said:
        return Heard(land.sky, land.weather, land.now, ())
    many = wide.of(land)
    told = informed(many, said, wide.seed, draw=members)
    weather = led_on(land.weather, land.leads_from, land.index.drift.keep, many, told)
    low, middle, high = np.exp(np.quantile(weather.log_index[:, 0], [0.1, 0.5, 0.9]))
    return Heard(told, weather, Interval(float(middle), float(low), float(high)), said)


class Ear:
    """The land as it was heard last, held since it is large and asked for several times over.

    :param seed: seed of the paths that are weighed.
    """

    def __init__(self, seed: int) -> None:
        self._wide = Wide(seed)
        self._last: tuple[Land, int, Heard] | None = None

    def heard(self, land: Land, said: tuple[LandSaid, ...], members: int) -> Heard:
        """As ``heard``, which says what is given."""
        last = self._last
        if last is None or last[0] is not land or last[1] != members or last[2].said != said:
            self._last = last = land, members, heard(land, said, self._wide, members)
        return last[2]


def index_paths(index: YardIndex, told: YardSaid, n: int, seed: int) -> np.ndarray:
    """Whole paths of a yard's index, shape (n, days): weighed by what looks at its hives say, where they say something.

    :param index: from weather, bloom and counts.
    :param n: paths drawn.
    :param seed: seed; the same one gives the same paths.
    """
    if not told.telling:
        return index.paths(n, seed)
    return informed(Sky.of(index, WIDE, seed), told.said, seed, draw=n).paths
