"""The filter where the truth is not what it supposes: other parameters, a swarm nobody saw, a keeper who overcounts.

Protocol: seasons of three to five looks as in ``benchmarks.simulated``, numbers written as a keeper writes
them, scored after the last look. 'Adults off' is the median absolute log error of the median;
'in 80 %' how many truths the central interval holds. For a look typed into the wrong
hive the last look is swapped for the last look of another simulated season of the same kind; flags on it
count as found, flags on the same look left right as false.
Set ``TIDEOVER_SEASONS`` (default 150 per case); ``--write`` keeps the result and makes the page's table of it.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numba
import numpy as np

from benchmarks.pages import ROOT, keep, put_part, table, version
from benchmarks.simulated import QUANTITIES, Season, filtered, quantities, simulate
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import P
from tideover.evidence.happenings import happen
from tideover.evidence.seen import Value

FULL: Final = ("into the nest", "everything")
LEVEL: Final = 0.8
PAGE: Final = Path(ROOT, "docs", "science", "validation.md")
CASES: Final = ("as supposed", "other parameters", "missed swarm", "overcounts by a third", "wrong hive")


def other_parameters(e: Ensemble, rng: np.random.Generator) -> None:
    """Truth at the edge of the priors or past it: short-lived foragers, a costly larva, a poor collector."""
    p = e.params
    for name, times in (("forager_hazard", 1.6), ("larva_protein_mg", 1.4), ("income_scale", 0.5), ("laying_max", 0.8)):
        p[:, P[name]] *= times


def swarm_after_first(e: Ensemble, k: int, rng: np.random.Generator) -> None:
    """A prime swarm leaves after the first look; nobody sees it."""
    if k == 0:
        happen(e, "swarm", {}, rng)


def overcount(values: dict[str, Value]) -> dict[str, Value]:
    """A keeper whose every number of seams, combs and quarters is a third too high."""
    many = ("seams", "brood_combs", "capped_quarters", "open_quarters", "honey_combs", "outer_half_sides")
    more = {k: round(2.0 * float(v) * 4.0 / 3.0) / 2.0 for k, v in values.items() if k in many and isinstance(v, float)}
    return values | more | {k: min(8.0, more[k]) for k in more if k.endswith("quarters")}


_HOW: Final[dict[str, dict[str, Callable[..., Any]]]] = {
    "as supposed": {},
    "other parameters": {"truly": other_parameters},
    "missed swarm": {"on_way": swarm_after_first},
    "overcounts by a third": {"keeper": overcount},
    "wrong hive": {},
}


def _season(seed: int, case: str) -> Season:
    return simulate(seed, wrong=False, rounded=True, kinds=FULL, fewest_looks=3, **_HOW[case])


def one(seed: int, case: str, members: int) -> dict[str, Any]:
    """One season of one case."""
    numba.set_num_threads(1)
    season = _season(seed, case)
    if case == "wrong hive":
        other = _season(seed + 1_000_003, case)
        swapped = replace(season.case.seen[-1], values=other.case.seen[-1].values)
        season.case = replace(season.case, seen=(*season.case.seen[:-1], swapped))
    known = filtered(season, members)
    truth = season.true_values(0, runway=False)
    told = quantities(known.ensemble, season.sky, known.path, season.today, 0, runway=False)
    found: dict[str, Any] = {"flagged": any(f.entry == season.case.seen[-1].id for f in known.flags)}
    for q in QUANTITIES[:5]:
        low, mid, high = np.quantile(told[q], [0.5 - LEVEL / 2, 0.5, 0.5 + LEVEL / 2])
        found[f"{q} held"] = bool(low <= truth[q] <= high)
        found[f"{q} off"] = float(abs(np.log((mid + 1.0) / (truth[q] + 1.0))))
    found["queen right"] = bool(season.truth.state[0, lay.QUEEN] > 0.5)
    found["effective"] = known.effective[-1][1] if known.effective else float("nan")
    found["ancestors"] = known.effective[-1][2] if known.effective else 0
    return found


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "150"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "1000"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    rows = []
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for case in CASES:
            got = list(pool.map(partial(one, case=case, members=members), range(70_000, 70_000 + seasons), chunksize=5))
            row: dict[str, Any] = {"case": case, "last look flagged": float(np.mean([g["flagged"] for g in got]))}
            for q in ("adults", "capped brood", "pollen", "honey"):
                row[f"{q} in 80 %"] = float(np.mean([g[f"{q} held"] for g in got]))
                row[f"{q} off"] = float(np.median([g[f"{q} off"] for g in got]))
            row["effective at last look"] = float(np.median([g["effective"] for g in got]))
            row["ancestors left"] = float(np.median([g["ancestors"] for g in got]))
            row["fewest ancestors"] = int(min(g["ancestors"] for g in got))
            rows.append(row)
    return {"rows": rows, "ratios": {}, "seasons": seasons, "members": members, "version": version()}


_SHOWN: Final = {
    "missed swarm": "a swarm nobody saw",
    "overcounts by a third": "a keeper who overcounts by a third",
    "wrong hive": "last look typed into the wrong hive",
}


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's table."""
    error = 100 * float(np.sqrt(LEVEL * (1 - LEVEL) / result["seasons"]))
    head = [
        "truth", "bees held", "off", "capped brood held", "off", "pollen held", "honey held", "last look flagged",
        "ancestors left, median (fewest)",
    ]  # fmt: skip
    rows = [
        [
            _SHOWN.get(r["case"], r["case"]), f"{100 * r['adults in 80 %']:.0f}", f"{100 * r['adults off']:.0f} %",
            f"{100 * r['capped brood in 80 %']:.0f}", f"{100 * r['capped brood off']:.0f} %",
            f"{100 * r['pollen in 80 %']:.0f}", f"{100 * r['honey in 80 %']:.0f}",
            f"{100 * r['last look flagged']:.0f}", f"{r['ancestors left']:.0f} ({r['fewest ancestors']})",
        ]
        for r in result["rows"]
    ]  # fmt: skip
    said = (
        f"{result['seasons']} seasons a case, three to five full looks, {result['members']} members answered with, "
        f"version `{result['version']}`. One standard error of what is held is {error:.0f} points.\n\n"
    )
    return {"robust": said + table(head, rows)}


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's table of it."""
    keep("robust", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
