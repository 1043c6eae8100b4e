"""What recorded events do to a colony: acts on the ensemble's state, in place.

How much of a colony an event takes, gives or leaves is mostly our assumption: rows ``reading.*`` of the figures book.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony import weights
from tideover.colony.ensemble import Ensemble
from tideover.evidence.seen import Value
from tideover.figures import book, reader

_value = reader("reading")

SWARM_SHARE: Final = book().row("reading.swarm_share").span
"""Share of adults leaving with a prime swarm."""
COMB_BROOD: Final = _value("comb_cells") * _value("comb_brood_filled")
"""Brood on a comb given or taken [cells]."""
COMB_BEES: Final = _value("comb_bees")
SURVIVE_TREATMENT: Final = book().row("reading.treated_mites_left").span
"""Share of mites left by a treatment."""
ROBBED: Final = book().row("reading.robbed_left").span
"""Share of the honey left once robbing is seen: from robbers turned away to a hive robbed out."""
WRITTEN_SD: Final = _value("swarm_written_sd")
SWARM_MOST: Final = _value("swarm_left_most")
REQUEENS, GAP_D = _value("swarm_requeens"), _value("swarm_gap_d")
TAKES, TAKES_D = _value("requeen_takes"), _value("requeen_gap_d")
SPLIT_PCT, UNITE_PCT = _value("split_share_pct"), _value("unite_share_pct")
MOVED_LOG_SD: Final = _value("moved_log_sd")
BROOD_LEFT: Final = _value("comb_brood_left")
HARVEST_KG, LEFT_G = _value("harvest_kg"), _value("harvest_left_g")
N_YOUNG_BEES: Final = int(weights.YOUNG.sum())
LIVE: Final = slice(lay.EGG, lay.QUALITY)


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
        left = 1.0 - _number(values, "share", SPLIT_PCT) / 100.0
        adults_times(left)
        for part in (slice(lay.EGG, lay.QUALITY), slice(lay.BREAD, lay.HONEY + 1)):
            x[:, part] *= left
    elif event == "unite":
        # What came from the other hive is its 'share' of this one's bees; unknown means a small colony.
        more = 1.0 + _number(values, "share", UNITE_PCT) / 100.0 * np.exp(MOVED_LOG_SD * rng.standard_normal(n))
        adults_times(more)
        x[:, lay.QUEEN] = np.where(x[:, lay.QUEEN] > 0.5, x[:, lay.QUEEN], 1.0)
    elif event == "swarm":
        # A share that was written is the keeper's guess by eye.
        written = values.get("share")
        gone = rng.uniform(*SWARM_SHARE, n)
        if isinstance(written, (int, float)):
            gone = np.clip(written / 100.0 + WRITTEN_SD * rng.standard_normal(n), 0.0, SWARM_MOST)
        adults_times(1.0 - gone)
        x[:, lay.QUEEN] = np.where(rng.random(n) < REQUEENS, -GAP_D, lay.NO_QUEEN)
    elif event == "requeen":
        x[:, lay.QUEEN] = np.where(rng.random(n) < TAKES, -TAKES_D, lay.NO_QUEEN)
    elif event == "combs given":
        combs = _number(values, "combs", 1.0)
        x[:, lay.CAPPED : lay.QUALITY] += (
            combs * COMB_BROOD / lay.N_CAPPED * np.exp(MOVED_LOG_SD * rng.standard_normal(n))[:, None]
        )
        x[:, lay.HOUSE : lay.HOUSE + N_YOUNG_BEES] += combs * COMB_BEES / N_YOUNG_BEES
    elif event == "combs taken":
        brood = x[:, LIVE].sum(axis=1) + lay.TINY
        taken = _number(values, "combs", 1.0) * COMB_BROOD
        x[:, LIVE] *= np.clip(1.0 - taken / brood, BROOD_LEFT, 1.0)[:, None]
    elif event == "harvest":
        x[:, lay.HONEY] = np.maximum(LEFT_G, x[:, lay.HONEY] - 1000.0 * _number(values, "honey", HARVEST_KG))
    elif event == "robbing seen":
        x[:, lay.HONEY] *= rng.uniform(*ROBBED, n)
    elif event == "treatment":
        x[:, lay.MITES] *= rng.uniform(*SURVIVE_TREATMENT, n)
    elif event == "death":
        adults_times(0.0)
        x[:, LIVE] = 0.0
        x[:, lay.QUEEN] = lay.NO_QUEEN
