"""A queen may have stopped since the last look: some members are made to say so, weighted by how likely it is.

Queens fail seldom, so among some hundred members next to none has lost hers just when a look finds no
eggs, and whether one survives the look would be luck. A share of the members therefore takes the
question up, and carries the ratio of its prior chance to that share as a weight (importance
sampling of a rare event).
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.parameters import constants

Floats = NDArray[np.float64]

SHARE: Final = 0.2
"""Share of laying members that take up the question."""
LONGEST_D: Final = 45
"""A stop longer ago than this has left no brood to tell it by."""
RAISES_ANOTHER: Final = 0.7
"""Chance that a colony left with young brood raises a queen; the daily process takes the same."""


def stop_laying(e: Ensemble, rows: NDArray[np.intp], idle_d: Floats, coming: NDArray[np.bool_]) -> None:
    """Let queens have stopped some days ago, in place: brood younger than that was never laid.

    :param rows: members concerned.
    :param idle_d: days since the last egg [d], shape of ``rows``.
    :param coming: whether a new queen is on the way, shape of ``rows``.
    """
    gap = constants()[lay.C["queen_gap"]]
    # Brood columns lie side by side by age: eggs, larvae, capped.
    ages = np.arange(lay.QUALITY - lay.EGG)
    e.state[np.ix_(rows, lay.EGG + ages)] *= np.clip(ages + 1.0 - idle_d[:, None], 0.0, 1.0)
    e.state[rows, lay.QUEEN] = np.where(coming, np.minimum(-1.0, np.ceil(idle_d) - gap), -9999.0)


def doubt(e: Ensemble, days: int, rng: np.random.Generator) -> Floats:
    """Let a share of the laying members have lost their queen in the days before a look, in place.

    :param e: members on the morning of the look.
    :param days: days since the last look.
    :param rng: who, when, and whether a new queen is on the way.
    :returns: log-weight per member, shape (members,): zero where nobody is laying.
    """
    days = max(1, min(days, LONGEST_D))
    laying = np.flatnonzero(e.state[:, lay.QUEEN] > 0.5)
    k = int(SHARE * laying.size)
    weight = np.zeros(e.members)
    if k == 0:
        return weight
    rows = np.sort(rng.permutation(laying)[:k]).astype(np.intp)
    chance = 1.0 - np.exp(-constants()[lay.C["queen_failure"]] * days)
    share = k / laying.size
    weight[laying] = np.log((1.0 - chance) / (1.0 - share))
    weight[rows] = np.log(chance / share)
    gap = constants()[lay.C["queen_gap"]]
    idle = rng.uniform(0.0, days, k)
    # After the gap a queen on the way would be laying again.
    stop_laying(e, rows, idle, (rng.random(k) < RAISES_ANOTHER) & (idle < gap))
    return weight
