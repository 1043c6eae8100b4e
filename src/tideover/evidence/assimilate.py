"""One hive through its season: an ensemble that every look, leftover and count has corrected.

A bootstrap particle filter with systematic resampling (Gordon, Salmond & Smith 1993;
Kitagawa 1996) over state and static parameters; after each resampling totals and
parameters are moved by a kernel that keeps mean and spread (Liu & West 2001). Several members walk for
each one the hive is answered with, because telling looks leave few families. A late or corrected entry
replays the hive's season from its first entry, or from where a filter begun alike stood (``checkpoints``), which
leads to the same bytes; ``benchmarks.late`` says what that costs.
"""

from __future__ import annotations

import zlib
from collections.abc import Set
from dataclasses import replace
from datetime import date, timedelta
from typing import Final

import numpy as np

from tideover.evidence import combs
from tideover.evidence.beginning import starting
from tideover.evidence.checkpoints import Begun, Checkpoints, late_before, standing
from tideover.evidence.keeper import count_prior
from tideover.evidence.known import OBSERVABLES, Assimilated, LandSaid, Odd, Read
from tideover.evidence.pieces import PieceKind, UsualPiece
from tideover.evidence.seen import HiveCase, Seen
from tideover.evidence.sky import Sky
from tideover.evidence.supposing import held
from tideover.evidence.walk import DEFAULT_PROTEIN, START_FACTOR, Walk, tare_kg
from tideover.figures import reader

__all__ = [
    "DEFAULT_PROTEIN", "MEMBERS", "OBSERVABLES", "Assimilated", "LandSaid", "Odd", "Read", "assimilate", "tare_kg",
]  # fmt: skip

MEMBERS: Final = 1000
WALKERS: Final = 8
"""Members carried through the season for each member the hive is answered with."""
TAKEN_IN: Final = ("look", combs.KIND, "mite wash", "taken off", "laid on", "event")
"""What bears on a colony, in the order of a visit: of entries with the same time the old piece comes off
before the new one goes on."""
LOOKS: Final = ("look", combs.KIND)
FOUND: Final = frozenset({"robbing seen"})
"""Events that were under way before the visit on which they are written: a look of that day sees what they left."""
HELD_BACK_D: Final = int(reader("looks")("season_back_d"))
"""Entries of earlier seasons say nothing that the season's own looks do not say better."""
BEGUN_BACK_D: Final = int(reader("looks")("unlooked_back_d"))
"""Days before today from which a hive without entries is carried."""


def _seed(hive: str, seed: int) -> int:
    return zlib.crc32(hive.encode()) ^ (seed * 2654435761 & 0xFFFFFFFF)


def _since_restocked(entries: list[Seen]) -> list[Seen]:
    """Leave out what belongs to a colony that died, once a later look shows bees in the hive again."""
    for i in range(len(entries) - 1, -1, -1):
        if entries[i].kind == "event" and entries[i].values.get("event") == "death":
            return entries[i + 1 :] if any(_bees_seen(s) for s in entries[i + 1 :]) else entries
    return entries


def _found(s: Seen) -> bool:
    """Whether an entry tells of what a visit found rather than of what was done on it."""
    return s.kind == "event" and s.values.get("event") in FOUND


def _bees_seen(s: Seen) -> bool:
    """Whether a look found bees."""
    v = s.values.get("seams") if s.kind == "look" else s.values.get("bees") if s.kind == combs.KIND else None
    # Of a look comb by comb the first number is the area covered with bees.
    return isinstance(v, tuple) and (v[0] if s.kind == combs.KIND else sum(v)) > 0


def assimilate(
    case: HiveCase,
    sky: Sky,
    today: date,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    without: Set[str] = frozenset(),
    believing: Set[str] = frozenset(),
    protein: float = DEFAULT_PROTEIN,
    usual: PieceKind | None = None,
    walkers: int | None = None,
    checkpoints: Checkpoints | None = None,
) -> Assimilated:
    """Carry one hive from its first entry to the morning of ``today``.

    :param case: the hive with everything seen, in any order.
    :param sky: the yard's drivers; must reach to the day before ``today``.
    :param members: members the hive is answered with.
    :param seed: seed; the hive's name is mixed in.
    :param without: ids of entries to leave out.
    :param believing: ids of entries to take as confirmed.
    :param protein: crude protein of a piece laid on without its own written [percent].
    :param usual: sugar and drying of such a piece; the figures book's when omitted.
    :param walkers: members carried through the season, ``WALKERS`` times ``members`` when not given.
    :param checkpoints: where filters that were begun alike stood; this one is added. The answer is the same without.
    :returns: the hive as known, with flags and what each look changed.
    """
    mine = _seed(case.hive, seed)
    rng = np.random.default_rng(mine)
    since = min(sky.first, today - timedelta(days=HELD_BACK_D))
    once = {s.id: s for s in case.seen if s.kind in (*TAKEN_IN, "comb side") and since <= s.day <= today}
    # A look comb by comb goes by the id of its first side: leaving that out or believing it is meant of the whole.
    sides = combs.gather([s for s in once.values() if s.kind == "comb side"], case.boxes)
    entries = [s for s in (*once.values(), *sides) if s.kind in TAKEN_IN and s.id not in without]
    entries = sorted(entries, key=lambda s: (s.day, not _found(s), s.hour, TAKEN_IN.index(s.kind), s.id))
    entries = [replace(s, confirmed=True) if s.id in believing else s for s in entries]
    entries = _since_restocked(entries)
    first = entries[0].day if entries else max(sky.first, today - timedelta(days=BEGUN_BACK_D))
    sky = sky.reaching_back_to(min(first, today))
    carried = WALKERS * members if walkers is None else walkers
    seen_first = next((s.kind for s in entries if not _found(s)), None)
    wide = carried * START_FACTOR if seen_first in LOOKS else carried
    keepers = tuple(sorted({s.who for s in entries if s.kind in LOOKS})) or ("",)
    piece = UsualPiece(protein, usual or PieceKind())
    begun = Begun(mine, members, carried, wide, first, case.place, case.boxes, keepers, piece, sky)
    walk, met = (None, 0) if checkpoints is None else checkpoints.nearest(case.hive, begun, entries)
    if walk is None:
        known = Assimilated(
            case.hive, first, first, starting(rng, wide, sky, first),
            rng.integers(0, sky.paths.shape[0], wide).astype(np.intp), np.zeros((0, 0, 0), np.float32),
            keepers=keepers, count_log=count_prior(rng, wide, len(keepers)),
        )  # fmt: skip
        walk = Walk(
            case, sky, rng, carried, mine, known, np.arange(wide, dtype=np.intp),
            kept=members, population=True, usual=piece,
        )  # fmt: skip
    late = None
    # How many entries a filter kept as it stood late has met.
    old = sum(s.day <= late_before(today) for s in entries)
    for i in range(met, len(entries)):
        if checkpoints is not None and met < i == old:
            late = i, standing(walk)
        walk.forward(entries[i].day)
        walk.take_in(entries[i])
    walk.forward(today)
    if checkpoints is not None and met < len(entries):
        checkpoints.keep(case.hive, begun, entries, walk, late)
    known = walk.known
    known.walk = held(walk)
    walk.settle(members)
    return known
