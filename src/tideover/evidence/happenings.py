"""What recorded events do to a colony: acts on the ensemble's state, in place."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.evidence.seen import Value

SWARM_SHARE = (0.45, 0.75)
"""Share of adults leaving with a prime swarm (from memory; Winston 1987 gives about 0.75 at most)."""
DEEP_COMB_CELLS = 6_900.0
DEEP_COMB_BEES = 1_400.0
SURVIVE_TREATMENT = (0.05, 0.40)
"""Share of mites left by a treatment (from memory; wide, because the product and brood are not known)."""
ROBBED = (0.02, 1.0)
"""Share of the honey left once robbing is seen: from robbers turned away to a hive robbed out (common practice, no
source; nothing published on what robbers take)."""
LIVE = slice(lay.EGG, lay.QUALITY)


def _number(values: Mapping[str, Value], name: str, default: float) -> float:
    v = values.get(name, default)
    return float(v) if isinstance(v, (int, float)) else default


def happen(ensemble: Ensemble, event: str, values: Mapping[str, Value], rng: np.random.Generator) -> None:
    """Apply one event to every member.

    :param ensemble: members; ``state`` changes in place.
    :param event: a word of ``words.EVENTS``. Events that only matter to the keeper's rules change nothing.
    :param values: the event's fields.
    :param rng: draws what is not known about the event (a swarm's size, a treatment's effect).
    """
    x = ensemble.state
    n = ensemble.members
    house = slice(lay.HOUSE, lay.RESERVE)

    def adults_times(f: float | NDArray[np.float64]) -> None:
        x[:, house] *= np.reshape(f, (-1, 1)) if np.ndim(f) else f
        x[:, lay.FORAGER] *= f

    if event == "split":
        left = 1.0 - _number(values, "share", 50.0) / 100.0
        adults_times(left)
        for part in (slice(lay.EGG, lay.QUALITY), slice(lay.BREAD, lay.HONEY + 1)):
            x[:, part] *= left
    elif event == "unite":
        # What came from the other hive is its 'share' of this one's bees; unknown means a small colony.
        more = 1.0 + _number(values, "share", 30.0) / 100.0 * np.exp(0.3 * rng.standard_normal(n))
        adults_times(more)
        x[:, lay.QUEEN] = np.where(x[:, lay.QUEEN] > 0.5, x[:, lay.QUEEN], 1.0)
    elif event == "swarm":
        # A share that was written is the keeper's guess by eye; 0.05 either way is our assumption.
        written = values.get("share")
        gone = rng.uniform(*SWARM_SHARE, n)
        if isinstance(written, (int, float)):
            gone = np.clip(written / 100.0 + 0.05 * rng.standard_normal(n), 0.0, 0.95)
        adults_times(1.0 - gone)
        x[:, lay.QUEEN] = np.where(rng.random(n) < 0.9, -22.0, -9999.0)
    elif event == "requeen":
        x[:, lay.QUEEN] = np.where(rng.random(n) < 0.85, -3.0, -9999.0)
    elif event == "combs given":
        combs = _number(values, "combs", 1.0)
        x[:, lay.CAPPED : lay.QUALITY] += (
            combs * DEEP_COMB_CELLS * 0.5 / lay.N_CAPPED * np.exp(0.3 * rng.standard_normal(n))[:, None]
        )
        x[:, lay.HOUSE : lay.HOUSE + 12] += combs * DEEP_COMB_BEES / 12.0
    elif event == "combs taken":
        brood = x[:, LIVE].sum(axis=1) + 1e-9
        taken = _number(values, "combs", 1.0) * DEEP_COMB_CELLS * 0.5
        x[:, LIVE] *= np.clip(1.0 - taken / brood, 0.05, 1.0)[:, None]
    elif event == "harvest":
        x[:, lay.HONEY] = np.maximum(500.0, x[:, lay.HONEY] - 1000.0 * _number(values, "honey", 10.0))
    elif event == "robbing seen":
        x[:, lay.HONEY] *= rng.uniform(*ROBBED, n)
    elif event == "treatment":
        x[:, lay.MITES] *= rng.uniform(*SURVIVE_TREATMENT, n)
    elif event == "death":
        adults_times(0.0)
        x[:, LIVE] = 0.0
        x[:, lay.QUEEN] = -9999.0
