"""Where a hive's filter stood, so that a new entry goes on from there instead of from the season's first.

A filter's way is settled by what it was begun with (``Begun``) and the entries it has met. One that was begun alike and
met the first of today's entries stands where replaying them would lead, to the byte.
"""

from __future__ import annotations

import copy
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

import numpy as np

from tideover.evidence.pieces import UsualPiece
from tideover.evidence.seen import BoxSpec, Place, Seen
from tideover.evidence.sky import Sky
from tideover.evidence.walk import Walk

LATE_D: Final = 15
"""Beside where it stands now, a filter is kept where it stood so many days ago, just over two weeks: most late entries
are newer."""

MOST: Final = 13
"""Hives whose filters are kept."""


@dataclass(frozen=True, eq=False)
class Begun:
    """All that a filter's way through given entries depends on."""

    seed: int
    members: int
    walkers: int
    wide: int
    first: date
    place: Place
    boxes: tuple[BoxSpec, ...]
    keepers: tuple[str, ...]
    usual: UsualPiece
    sky: Sky

    def same(self, other: Begun) -> bool:
        """Whether another filter was begun alike."""
        mine, theirs = vars(self), vars(other)
        return all(mine[k] == theirs[k] for k in mine if k != "sky") and _alike(self.sky, other.sky)


def _alike(a: Sky, b: Sky) -> bool:
    return a is b or (
        a.first == b.first and all(np.array_equal(getattr(a, k), getattr(b, k)) for k in vars(a) if k != "first")
    )


def standing(walk: Walk) -> Walk:
    """A copy of the filter that stays where it is while the original goes on, records included.

    The walk replaces its arrays from look to look and never writes into those of before, but for the colonies' states.
    """
    stays = copy.copy(walk)
    stays.rng = copy.deepcopy(walk.rng)
    stays.records, stays.seen = list(walk.records), list(walk.seen)
    a = walk.known
    stays.known = replace(
        a, ensemble=a.ensemble.copy(), flags=list(a.flags), reads=list(a.reads), effective=list(a.effective),
        land=list(a.land), walk=None,
    )  # fmt: skip
    return stays


@dataclass(frozen=True)
class _Stood:
    met: tuple[Seen, ...]
    walk: Walk


class Checkpoints:
    """Filters kept where they stood, two a hive, for the hives asked for last.

    :param most: hives kept; one takes some 20 MB at 600 members.
    """

    def __init__(self, most: int = MOST) -> None:
        self._most = most
        self._held: OrderedDict[str, tuple[Begun, tuple[_Stood, ...]]] = OrderedDict()

    def clear(self) -> None:
        """Let all go."""
        self._held.clear()

    def adopt(self, other: Checkpoints) -> None:
        """Keep what another keeps too, as asked for last."""
        for hive, kept in other._held.items():
            self._put(hive, kept)

    def nearest(self, hive: str, begun: Begun, entries: Sequence[Seen]) -> tuple[Walk | None, int]:
        """The filter that has come furthest through the first of these entries, and how many it has met."""
        kept = self._held.get(hive)
        if kept is None or not kept[0].same(begun):
            return None, 0
        self._held.move_to_end(hive)
        best: _Stood | None = None
        for stood in kept[1]:
            n = len(stood.met)
            fits = tuple(entries[:n]) == stood.met and (n == len(entries) or entries[n].day >= stood.walk.known.today)
            if fits and (best is None or n >= len(best.met)):
                best = stood
        return (None, 0) if best is None else (standing(best.walk), len(best.met))

    def keep(self, hive: str, begun: Begun, entries: Sequence[Seen], now: Walk, late: tuple[int, Walk] | None) -> None:
        """Keep a filter where it stands ``now`` after all ``entries``, and where it stood ``late``: entries met then.

        Where nothing newer stood late, what was kept of the same way before stays.
        """
        old = self._held.get(hive)
        found = [_Stood(tuple(entries), standing(now))]
        if late is not None:
            found.append(_Stood(tuple(entries[: late[0]]), late[1]))
        elif old is not None and old[0].same(begun):
            found += [s for s in old[1][1:] if tuple(entries[: len(s.met)]) == s.met]
        self._put(hive, (begun, tuple(found)))

    def _put(self, hive: str, kept: tuple[Begun, tuple[_Stood, ...]]) -> None:
        self._held[hive] = kept
        self._held.move_to_end(hive)
        while len(self._held) > self._most:
            self._held.popitem(last=False)


def late_before(today: date) -> date:
    """Entries up to this day have been met by a filter that is kept as it stood late."""
    return today - timedelta(days=LATE_D)
