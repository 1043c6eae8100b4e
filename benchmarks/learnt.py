"""Is what looks teach of parameters right? Calibration of every static parameter and of the keeper's tendency.

Protocol: seasons as in ``benchmarks.calibration`` (one to five looks of random kinds, wrong ones included), other
seeds; after the last look the rank of the true parameter among the members must be uniform (Talts et al. 2018,
arXiv:1804.06788), so central 50, 80 and 95 % intervals must hold 50, 80 and 95 % of truths, for parameters that looks
narrow as for those they leave at their prior. Pooled over parameters by the number of looks it shows whether intervals
grow too narrow as families die out; ranks of one season are nearly independent of one another, as its parameters are.
Families and effective sample size after the last look are told beside it, of ``members`` times eight carried.
Set ``TIDEOVER_SEASONS`` (default 400), ``TIDEOVER_MEMBERS`` (default 1,000), ``TIDEOVER_WORKERS`` (default 2).
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.calibration import LEVELS, coverage
from benchmarks.pages import ROOT, keep, put_part, table, version
from benchmarks.simulated import filtered, simulate, standing
from tideover.colony.layout import PARAM_NAMES

Floats = NDArray[np.float64]
PAGE: Final = Path(ROOT, "docs", "science", "identifiability.md")
NAMES: Final = (*PARAM_NAMES, "keeper's counting")
FIRST_SEED: Final = 500_000
LOOKS: Final = 5


def one(seed: int, members: int) -> tuple[int, list[float], float, int]:
    """Looks, standing of each true parameter, effective sample size and families after the last look."""
    numba.set_num_threads(1)
    season = simulate(seed)
    known = filtered(season, members)
    rng = np.random.default_rng((seed, 31))
    drawn = [*known.ensemble.params.T, known.count_log[:, 0]]
    true = [*season.truth.params[0], season.count_log]
    _, effective, families = known.effective[-1] if known.effective else (None, float("nan"), 0)
    return season.looks, [standing(m, float(t), rng) for m, t in zip(drawn, true, strict=True)], effective, families


def _held(u: Floats) -> dict[str, float]:
    return {f"in {level:.0%}": coverage(u, level) for level in LEVELS}


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "400"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "1000"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    seeds = range(FIRST_SEED, FIRST_SEED + seasons)
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        got = list(pool.map(partial(one, members=members), seeds, chunksize=10))
    looks, u = np.array([g[0] for g in got]), np.array([g[1] for g in got])
    rows = [{"of": name} | _held(u[:, k]) | {"mean standing": float(u[:, k].mean())} for k, name in enumerate(NAMES)]
    by_looks = []
    for n in range(1, LOOKS + 1):
        these = looks == n
        left = np.array([[g[2], g[3]] for g in got])[these]
        by_looks.append(
            {"looks": n, "seasons": int(these.sum())}
            | _held(u[these].ravel())
            | {
                "effective": float(np.median(left[:, 0])),
                "least effective": float(left[:, 0].min()),
                "families": float(np.median(left[:, 1])),
                "fewest families": int(left[:, 1].min()),
            }
        )
    return {
        "rows": rows, "ratios": {}, "by_looks": by_looks, "seasons": seasons, "members": members, "version": version(),
    }  # fmt: skip


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's tables, by name."""
    n = result["seasons"]
    levels = [f"in {level:.0%}" for level in LEVELS]
    head = [f"in {100 * level:.0f} %" for level in LEVELS]
    errors = ", ".join(f"{100 * float(np.sqrt(level * (1 - level) / n)):.1f}" for level in LEVELS)
    said = (
        f"{n} seasons, {result['members']} members answered with, version `{result['version']}`; one standard error is "
        f"{errors} points, of the mean standing {1 / np.sqrt(12 * n):.3f}.\n\n"
    )
    rows = [
        [r["of"].replace("_", " "), *(f"{100 * r[k]:.1f}" for k in levels), f"{r['mean standing']:.3f}"]
        for r in result["rows"]
    ]
    looks = [
        [
            str(r["looks"]), str(r["seasons"]), *(f"{100 * r[k]:.1f}" for k in levels),
            f"{r['effective']:.0f} ({r['least effective']:.1f})", f"{r['families']:.0f} ({r['fewest families']})",
        ]
        for r in result["by_looks"]
    ]  # fmt: skip
    return {
        "learnt": said + table(["of", *head, "mean standing (0.5 is unbiased)"], rows),
        "by looks": table(
            ["looks", "seasons", *head, "effective at the last look, median (least)", "families left, median (fewest)"],
            looks,
        ),
    }


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's tables of it."""
    keep("learnt", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
