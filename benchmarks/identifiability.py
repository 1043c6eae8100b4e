"""What each kind of look teaches: how much narrower the members are after one look, per parameter and quantity.

Protocol: one look of one kind at a colony drawn from the starting prior, numbers as a keeper writes
them; contraction is one minus the ratio of variances after and before (normal scores of parameters, logs of
quantities, days of runway), averaged over seasons. Zero: the look taught nothing; one: all is known.
'Three looks into the nest' is a fortnight apart or so. Correlations are of parameters after the three looks,
averaged over seasons. Nothing is fed, so what is 'learnt' of a patty's worth is the luck of resampling
(those three are drawn afresh until a piece was laid on, and stand here as a check of that).
Set ``TIDEOVER_SEASONS`` (default 40 per kind); ``python -m benchmarks.identifiability FILE`` writes the page.
"""

from __future__ import annotations

import os
import sys
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.simulated import KINDS, filtered, quantities, runway_days, simulate
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import PARAM_NAMES
from tideover.evidence.beginning import starting
from tideover.evidence.keeper import count_log_sd
from tideover.evidence.moving import space

Floats = NDArray[np.float64]
TOTALS = ("adults", "open brood", "capped brood", "pollen", "honey")
SEVERAL = "three looks into the nest"
NAMES = (*PARAM_NAMES, "keeper's counting", *TOTALS, "runway")
LOOKED_FOR = 0.3
"""Correlations weaker than this, averaged over seasons, are not listed."""


def _totals(e: Ensemble) -> list[Floats]:
    q = quantities(e, None, None, None, 0, runway=False)  # type: ignore[arg-type]
    return [np.log(q[t] + 1.0) for t in TOTALS]


def one(seed: int, kind: str, members: int) -> tuple[Floats, Floats]:
    """Contraction per parameter and quantity in one season, and correlations of parameters after it."""
    numba.set_num_threads(1)
    several = kind == SEVERAL
    looks = 3 if several else 1
    season = simulate(
        seed, wrong=False, rounded=True, kinds=("into the nest",) if several else (kind,), fewest_looks=looks,
        most_looks=looks,
    )  # fmt: skip
    known = filtered(season, members)
    rng = np.random.default_rng(seed)
    before = starting(rng, 2000, season.sky, season.case.seen[0].day)
    paths = rng.integers(0, season.sky.paths.shape[0], before.members).astype(np.intp)
    runways = [
        runway_days(before, season.sky, paths, season.case.seen[0].day, seed),
        runway_days(known.ensemble, season.sky, known.path, season.today, seed),
    ]
    scores = [space().scores(e.params) for e in (before, known.ensemble)]
    told = np.concatenate([scores[1], known.count_log[:, :1]], axis=1)
    had = [*scores[0].var(axis=0), count_log_sd() ** 2, *(c.var() for c in _totals(before)), runways[0].var()]
    has = [*told.var(axis=0), *(c.var() for c in _totals(known.ensemble)), runways[1].var()]
    return 1.0 - np.array(has) / np.array(had), np.corrcoef(told.T)


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "40"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "600"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    kinds = (*KINDS, SEVERAL)
    seeds = range(90_000, 90_000 + seasons)
    found: dict[str, Floats] = {}
    error: dict[str, Floats] = {}
    ties: Floats = np.zeros(0)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for kind in kinds:
            got = list(pool.map(partial(one, kind=kind, members=members), seeds, chunksize=5))
            each = np.array([g[0] for g in got])
            found[kind] = each.mean(axis=0)
            error[kind] = each.std(axis=0) / np.sqrt(seasons)
            ties = np.mean([g[1] for g in got], axis=0)
    rows = [
        {"of": name} | {kind: float(found[kind][k]) for kind in kinds} | {"error": float(error[SEVERAL][k])}
        for k, name in enumerate(NAMES)
    ]
    tied = [
        {"of": NAMES[i], "and": NAMES[j], "correlation": float(ties[i, j])}
        for i in range(ties.shape[0])
        for j in range(i)
        if abs(ties[i, j]) >= LOOKED_FOR
    ]
    return {"rows": rows, "ratios": {}, "correlations": tied, "seasons": seasons, "members": members}


def page(result: dict[str, Any]) -> str:
    """The result as the page of the documentation."""
    kinds = [k for k in result["rows"][0] if k not in ("of", "error")]
    lines = [
        "# What looks can teach",
        "",
        "Written by `python -m benchmarks.identifiability docs/science/identifiability.md`.",
        "",
        "Share of the variance that goes with one look (three in the last column but one).",
        f"{result['seasons']} simulated seasons a kind, {result['members']} members, nothing fed.",
        "Zero: nothing learnt; one: all is known; below zero: wider than at the start.",
        "'Error' is one standard error of the three looks' column.",
        "A parameter within two of it stays, in truth, at its prior.",
        "",
        "| of | " + " | ".join(kinds) + " | error |",
        "|---|" + "---|" * (len(kinds) + 1),
    ]
    for r in result["rows"]:
        lines.append(
            f"| {r['of'].replace('_', ' ')} | " + " | ".join(f"{r[k]:.2f}" for k in kinds) + f" | {r['error']:.2f} |"
        )
    lines += ["", "## What cannot be told apart", ""]
    if not result["correlations"]:
        lines.append(f"After three looks into the nest no two are tied by more than {LOOKED_FOR}, mean over seasons.")
    else:
        lines += [
            "Parameters tied after three looks into the nest, mean over seasons.",
            "",
            "| of | and | correlation |",
            "|---|---|---|",
        ]
        lines += [
            f"| {t['of'].replace('_', ' ')} | {t['and'].replace('_', ' ')} | {t['correlation']:.2f} |"
            for t in result["correlations"]
        ]
    lines += [
        "",
        "## What a look is worth to the call",
        "",
        "The call turns on the runway and on bees.",
        "The rows 'runway' and 'adults' above are how much of their doubt each kind of look takes away.",
        "What a look would change in the call itself is not computed here; the field cards answer that per hive.",
    ]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(page(run()), encoding="utf-8")
