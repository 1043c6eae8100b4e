"""What each kind of look teaches: how much narrower the members are after one look, per parameter and quantity.

Protocol: one look of one kind at a colony drawn from the starting prior, numbers as a keeper writes
them; contraction is one minus the ratio of variances after and before (logs of positive quantities), averaged over
seasons. Zero: the look taught nothing; one: all is known. The chance level is what a look at
nothing the parameter bears on gives, by luck of resampling. Three looks a fortnight apart are the last column.
Set ``TIDEOVER_SEASONS`` (default 60 per kind).
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.simulated import KINDS, filtered, quantities, simulate
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import PARAM_NAMES, P
from tideover.evidence.beginning import starting

TOTALS = ("adults", "open brood", "capped brood", "pollen", "honey")
UNIT = ("heat_laying", "feed_value", "brood_fill", "forager_share")
SEVERAL = "three looks into the nest"


def _spread(e: Ensemble) -> NDArray[np.float64]:
    """Variances: parameters (logs, shares as they are), then logs of totals."""
    columns = [e.params[:, P[n]] if n in UNIT else np.log(np.maximum(e.params[:, P[n]], 1e-9)) for n in PARAM_NAMES]
    q = quantities(e, None, None, None, 0, runway=False)  # type: ignore[arg-type]
    return np.array([np.var(c) for c in [*columns, *(np.log(q[t] + 1.0) for t in TOTALS)]])


def one(seed: int, kind: str, members: int) -> NDArray[np.float64]:
    """Contraction per parameter and quantity in one season."""
    numba.set_num_threads(1)
    several = kind == SEVERAL
    looks = 3 if several else 1
    season = simulate(
        seed, wrong=False, rounded=True, kinds=("into the nest",) if several else (kind,), fewest_looks=looks,
        most_looks=looks,
    )  # fmt: skip
    known = filtered(season, members)
    before = starting(np.random.default_rng(seed), 3000, season.sky, season.case.seen[0].day)
    return np.asarray(1.0 - _spread(known.ensemble) / _spread(before))


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "60"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "600"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    kinds = (*KINDS, SEVERAL)
    seeds = range(90_000, 90_000 + seasons)
    with ProcessPoolExecutor(workers, mp_context=get_context("fork")) as pool:
        found = {
            kind: np.mean(list(pool.map(partial(one, kind=kind, members=members), seeds, chunksize=5)), axis=0)
            for kind in kinds
        }
    rows = [
        {"of": name} | {kind: float(found[kind][k]) for kind in kinds} for k, name in enumerate((*PARAM_NAMES, *TOTALS))
    ]
    return {"rows": rows, "ratios": {}, "seasons": seasons, "members": members}
