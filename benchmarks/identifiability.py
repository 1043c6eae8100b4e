"""What each kind of look teaches: how much narrower the members are after one look, per parameter and quantity.

Protocol: one look of one kind at a colony drawn from the starting prior, numbers as a keeper writes
them; contraction is one minus the ratio of variances after and before (normal scores of parameters, logs of
quantities, days of runway), averaged over seasons. Zero: the look taught nothing; one: all is known.
'Three looks into the nest' is a fortnight apart or so. Correlations are of parameters after the look,
averaged over seasons. Nothing is fed, so what is 'learnt' of a patty's worth is the luck of resampling
(those three are drawn afresh until a piece was laid on, and stand here as a check of that).
Set ``TIDEOVER_SEASONS`` (default 40 per kind); ``--write`` keeps the result and makes the page's tables of it.
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.pages import ROOT, keep, put_part, table
from benchmarks.simulated import KINDS, filtered, quantities, runway_days, simulate
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import PARAM_NAMES
from tideover.evidence.beginning import starting
from tideover.evidence.keeper import count_log_sd
from tideover.evidence.space import space

Floats = NDArray[np.float64]
TOTALS = ("adults", "open brood", "capped brood", "pollen", "honey")
SEVERAL = "three looks into the nest"
NAMES = (*PARAM_NAMES, "keeper's counting", *TOTALS, "runway")
PAGE = Path(ROOT, "docs", "science", "identifiability.md")
LOOKED_FOR = 0.3
"""Correlations of this size, averaged over seasons, are counted as ties."""
STAYS = 0.1
"""A parameter that loses less than this share of its variance, or less than two standard errors, stays at its prior."""


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


def _strongest(kind: str, ties: Floats) -> dict[str, Any]:
    """The two parameters most tied after a kind of look, and how many pairs are tied by more than ``LOOKED_FOR``."""
    apart = np.abs(np.tril(ties, -1))
    i, j = np.unravel_index(int(apart.argmax()), apart.shape)
    return {
        "look": kind,
        "of": NAMES[i],
        "and": NAMES[j],
        "correlation": float(ties[i, j]),
        "pairs tied": int((apart >= LOOKED_FOR).sum()),
    }


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "40"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "600"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    kinds = (*KINDS, SEVERAL)
    seeds = range(90_000, 90_000 + seasons)
    found: dict[str, Floats] = {}
    error: dict[str, Floats] = {}
    ties: dict[str, Floats] = {}
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        for kind in kinds:
            got = list(pool.map(partial(one, kind=kind, members=members), seeds, chunksize=5))
            each = np.array([g[0] for g in got])
            found[kind] = each.mean(axis=0)
            error[kind] = each.std(axis=0) / np.sqrt(seasons)
            ties[kind] = np.mean([g[1] for g in got], axis=0)
    rows = [
        {"of": name} | {kind: float(found[kind][k]) for kind in kinds} | {"error": float(error[SEVERAL][k])}
        for k, name in enumerate(NAMES)
    ]
    tied = [_strongest(kind, ties[kind]) for kind in kinds]
    return {
        "rows": rows,
        "ratios": {},
        "correlations": tied,
        "seasons": seasons,
        "members": members,
    }


def _stays(rows: list[dict[str, Any]]) -> str:
    """Which parameters three looks into the nest leave at their prior, and which they narrow."""
    own = [r for r in rows if r["of"] in PARAM_NAMES or r["of"] == "keeper's counting"]
    stays = [r["of"] for r in own if r[SEVERAL] < max(STAYS, 2.0 * r["error"])]
    taught = [r for r in own if r["of"] not in stays]
    taught.sort(key=lambda r: -r[SEVERAL])

    def words(names: list[str]) -> str:
        return ", ".join(n.replace("_", " ") for n in names)

    narrowed = ", ".join(f"{r['of'].replace('_', ' ')} ({r[SEVERAL]:.2f})" for r in taught)
    return f"Narrowed by three looks into the nest: {narrowed}.\nLeft at the prior: {words(stays)}."


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's measured parts, by name."""
    kinds = [k for k in result["rows"][0] if k not in ("of", "error")]
    told = [[r["of"].replace("_", " "), *(f"{r[k]:.2f}" for k in kinds), f"{r['error']:.2f}"] for r in result["rows"]]
    tied = [
        [
            t["look"],
            f"{t['of'].replace('_', ' ')} and {t['and'].replace('_', ' ')}",
            f"{t['correlation']:.2f}",
            str(t["pairs tied"]),
        ]
        for t in result["correlations"]
    ]
    return {
        "measured": f"{result['seasons']} simulated seasons a kind, {result['members']} members, nothing fed.",
        "taught": table(["of", *kinds, "error"], told),
        "stays": _stays(result["rows"]),
        "tied": table(["after", "most tied", "mean correlation", f"pairs of {LOOKED_FOR} or more"], tied),
    }


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's tables of it."""
    keep("identifiability", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
