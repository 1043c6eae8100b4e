"""Looks supposed: the filter taken on from where it stands, the season not replayed."""

from __future__ import annotations

import copy
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tideover.evidence.known import Assimilated
from tideover.evidence.predict import Shown
from tideover.evidence.seen import Seen
from tideover.evidence.walk import Walk


def held(walk: Walk) -> Walk:
    """A copy of the filter that stays where it is while the original goes on; nothing large is copied.

    The walk replaces its arrays from look to look and never writes into those of before, but for the
    colonies' states, which ``supposing`` copies. Records of past days are left out.
    """
    stays = copy.copy(walk)
    stays.rng = copy.deepcopy(walk.rng)
    stays.records, stays.seen = [], []
    a = walk.known
    stays.known = replace(
        a,
        out=np.zeros((0, 0, 0), np.float32),
        flags=list(a.flags),
        reads=[],
        effective=list(a.effective),
        land=list(a.land),
        walk=None,
    )
    return stays


def supposing(known: Assimilated, entries: Sequence[Seen]) -> Assimilated:
    """The hive as it would be known if ``entries`` were written as the last ones of the day.

    The same steps with the same luck as assimilating the season with them in it, so that the members
    come out the same. ``known`` is left as it is; what was recorded of past days is left out.
    :param known: a hive as assimilated, with its filter; one that was never looked at cannot be taken on,
        since its first look starts from a broader ensemble.
    :param entries: entries of the day ``known.today``, in order, by keepers who have looked before.
    :raises ValueError: if an entry is of another day, or nothing was looked at before.
    """
    for s in entries:
        if s.day != known.today:
            raise ValueError(
                f"an entry of {s.day} was supposed at a hive known up to {known.today}; suppose one of that day."
            )
    if known.walk is None or known.looks == 0:
        raise ValueError(
            f"{known.hive} was never looked at, or its filter was let go: assimilate it with the look instead."
        )
    walk = held(known.walk)
    walk.known = replace(walk.known, ensemble=walk.known.ensemble.copy())
    for s in entries:
        walk.take_in(s)
    walk.settle(known.ensemble.members)
    return walk.known


def at_large(known: Assimilated, s: Seen) -> Shown | None:
    """What hives drawn at large from this land and day would show; None where the filter was let go."""
    return None if known.walk is None else held(known.walk).any_hive(s)
