"""What to make or buy for the coming rounds, with the chance of running short.

Each hive's next pieces are uncertain: whether protein is still the call, and whether the land takes over. The
hives of a yard live off the same land, so that they stop together; that is drawn once per yard and round, and a
yard that has stopped does not begin again within the rounds looked at (our assumption).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.figures import reader
from tideover.plan.call import Call

DRAWS: Final = 4000
_value = reader("calls")
LEAVE_UNSAID: Final = _value("leave_unsaid")
"""Chance that leaving alone is right where it was not compared."""
ROUND_SD: Final = _value("later_piece_log_sd")
"""Log-sd of a later piece's weight about today's."""


@dataclass(frozen=True)
class Appetite:
    """One hive: the chance that it is laid on at the coming visit, the piece then, and its later pieces."""

    yard: str
    chance: float
    grams: float


@dataclass(frozen=True)
class Need:
    """Grams needed over the rounds: 10th, 50th and 90th percentile, what to get, and the chance of running short."""

    low: float
    median: float
    high: float
    get: float
    short_now: float
    short_then: float


def chance_of_laying(call: Call) -> float:
    """The chance that protein is what the hive wants at the coming visit.

    For a call to lay on, what is left when not feeding beats it; for any other, the best chance among the
    feeding plans to beat the call, but only where something was to be loaded for it.
    """
    if call.action == "lay on":
        others = [a.better_than_call for a in call.alternatives if a.action == "leave"]
        return float(np.clip(1.0 - max(others, default=LEAVE_UNSAID), 0.0, 1.0))
    if call.loads_g <= 0.0:
        return 0.0
    feeding = [a.better_than_call for a in call.alternatives if a.action == "lay on"]
    return float(np.clip(max(feeding, default=0.0), 0.0, 1.0))


def appetite(call: Call) -> Appetite:
    """A hive's appetite by its call; a piece is what is laid on, or what would be loaded."""
    return Appetite(call.yard, chance_of_laying(call), call.grams if call.action == "lay on" else call.loads_g)


def needs(
    hives: Sequence[Appetite],
    dearth: Mapping[str, Sequence[float]],
    *,
    in_hand_g: float,
    short: float,
    unit_g: float,
    seed: int,
    draws: int = DRAWS,
) -> tuple[Need, NDArray[np.float64]]:
    """What the coming rounds will take.

    Parameters: dearth: per yard the probability of a dearth at each round, this one first; in_hand_g: good
    pieces there are [g]; short: chance of running short that is accepted; unit_g: pieces come in this size [g];
    seed: of the draws.
    Returns: the need over all rounds, and the draws themselves (draws, rounds) [g].
    """
    if not 0.0 < short < 1.0 or unit_g <= 0.0:
        raise ValueError(f"Got a chance of {short} and pieces of {unit_g} g, wanted between 0 and 1, and more than 0.")
    rounds = max((len(v) for v in dearth.values()), default=1)
    rng = np.random.default_rng(seed)
    total = np.zeros((draws, rounds))
    luck = {y: rng.random(draws) for y in sorted({h.yard for h in hives})}
    for h in hives:
        chain = list(dearth.get(h.yard, [1.0] * rounds))
        now = max(chain[0], 1e-9)
        # never rising: a yard that has stopped stays stopped; given a dearth now, the share that is still in one
        still = np.minimum.accumulate([min(1.0, p / now) for p in chain])
        wants = rng.random(draws) < h.chance
        for r in range(rounds):
            size = np.exp(ROUND_SD * rng.standard_normal(draws)) if r else np.ones(draws)
            total[:, r] += h.grams * size * wants * (luck[h.yard] < still[r])
    every = total.sum(axis=1)
    low, median, high = (float(v) for v in np.quantile(every, [0.1, 0.5, 0.9]))
    wanted = float(np.quantile(every, 1.0 - short, method="higher")) - in_hand_g
    get = max(0.0, ceil(wanted / unit_g - 1e-9) * unit_g)
    return Need(
        low, median, high, get, float((every > in_hand_g + 1e-6).mean()), float((every > in_hand_g + get + 1e-6).mean())
    ), total
