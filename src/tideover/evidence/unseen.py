"""What may have befallen a colony that nobody saw: a queen lost, a swarm gone, bees lost.

Each is rare, so that among thousands of members hardly one has met it at the very time a look points to.
It is proposed more often than it happens and the members are weighted by how often it does, which keeps
the answer the same and the members many (importance sampling).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.parameters import constants
from tideover.evidence.happenings import happen
from tideover.figures import book, reader

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

_value = reader("looks")
LOST_WITHIN_D: Final = _value("queen_lost_back_d")
"""A queen lost longer ago than this leaves no brood to tell when."""
PROPOSED: Final = 0.10
"""Share of members for which a loss is proposed in a stretch between entries."""
MOST_MORE: Final = 12.0
"""Most by which a loss is proposed more often than it happens."""
TIMES: Final = 3
"""Days within a stretch at which proposed losses may fall, drawn anew for each stretch."""
SWARMS_FROM: Final = _value("swarms_from_bees")
"""Smaller colonies than this do not swarm [adult bees]."""


@dataclass(frozen=True)
class Losses:
    """Rates [1/d] of what nobody saw and the share of bees lost other than by swarming."""

    swarm: float
    bees: float
    bees_low: float
    bees_high: float


@cache
def losses() -> Losses:
    """The ``colony.unseen_*`` rows."""
    shelf = book()
    low, high = shelf.row("colony.unseen_loss_share").span
    return Losses(shelf.value("colony.unseen_swarm_rate"), shelf.value("colony.unseen_loss_rate"), low, high)


@dataclass(frozen=True)
class Proposal:
    """Which members meet a loss in a stretch, on which of its days, and what that does to their weights."""

    at: tuple[tuple[int, Index, Index], ...]
    """Per time: days from the start of the stretch, members that swarm, members that lose bees."""
    log_weight: Floats


def propose(e: Ensemble, days: int, rng: np.random.Generator, *, truly: bool = False) -> Proposal:
    """Draw who meets a loss in a stretch of ``days``.

    :param e: members at the start of the stretch.
    :param days: its length [d].
    :param rng: luck.
    :param truly: at the rate it happens, with no weights (a colony simulated, not a hive known).
    """
    n = e.members
    rate = losses()
    swarms = np.where((e.state[:, lay.QUEEN] > 0.5) & (e.adults() > SWARMS_FROM), rate.swarm, 0.0)
    chance = -np.expm1(-(swarms + rate.bees) * days)
    offered = chance if truly else np.minimum(MOST_MORE * chance, np.maximum(chance, PROPOSED))
    met = rng.random(n) < offered
    weight = np.where(met, np.log(chance / offered), np.log1p(-chance) - np.log1p(-offered))
    swarmed = met & (rng.random(n) * (swarms + rate.bees) < swarms)
    times = min(TIMES, days)
    # One day in each part of the stretch, the same for all members: three runs instead of one a day.
    edges = np.linspace(0.0, days, times + 1)
    on = [int(min(days - 1, np.floor(rng.uniform(a, b)))) for a, b in pairwise(edges)]
    part = rng.integers(0, times, n)
    at = []
    for k, day in enumerate(on):
        here = met & (part == k)
        if here.any():
            at.append((day, np.flatnonzero(here & swarmed), np.flatnonzero(here & ~swarmed)))
    return Proposal(tuple(at), np.zeros(n) if truly else weight)


def befall(e: Ensemble, swarm: Index, bees: Index, rng: np.random.Generator) -> None:
    """Let the chosen members swarm, and the others lose bees, in place."""
    if swarm.size:
        some = e.take(swarm)
        happen(some, "swarm", {}, rng)
        e.state[swarm] = some.state
    if bees.size:
        rate = losses()
        left = 1.0 - rng.uniform(rate.bees_low, rate.bees_high, bees.size)
        e.state[bees, lay.HOUSE : lay.RESERVE] *= left[:, None]
        e.state[bees, lay.FORAGER] *= left


def lost_queens(e: Ensemble, window_d: float, rng: np.random.Generator) -> Floats:
    """Give the second half of the members a queen lost in the last ``window_d`` days; return prior weights.

    ``e`` holds every member twice, the copies in the second half; the state changes in place. Half of the
    chance is carried by the proposed losses, half by the members that lost a queen on the way. (Queens
    lost for good are counted whole on the way and half again here; their rate is uncertain by more.)
    """
    n = e.members // 2
    c = constants()
    gap = c[lay.C["queen_gap"]]
    rate = 0.5 * (1.0 - float(np.exp(-c[lay.C["queen_failure"]] * window_d)))
    x = e.state
    queen = x[:n, lay.QUEEN].copy()
    laying = queen > 0.5
    on_the_way = (queen < 0.0) & (queen + gap <= window_d) & (queen > 0.5 * lay.NO_QUEEN)
    lost = np.concatenate([np.zeros(n, dtype=np.bool_), laying])
    idle = rng.uniform(0.0, window_d, 2 * n)
    for first, stages in ((lay.EGG, lay.N_EGG), (lay.LARVA, lay.N_LARVA), (lay.CAPPED, lay.N_CAPPED)):
        for k in range(stages):
            # Cells of this age were laid so many days ago; none were after the queen was gone.
            x[lost & (idle > first - lay.EGG + k + 0.5), first + k] = 0.0
    raised = rng.random(2 * n) < c[lay.C["raise_chance"]]
    gone = np.where(raised, np.minimum(-1.0, np.round(idle) - gap), lay.NO_QUEEN)
    x[:, lay.QUEEN] = np.where(lost, gone, x[:, lay.QUEEN])
    kept = np.where(laying, 1.0 - rate, np.where(on_the_way, 0.5, 1.0))
    return np.concatenate([kept, np.where(laying, rate, 0.0)])
