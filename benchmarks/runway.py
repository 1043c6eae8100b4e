"""The runway forecast, scored by CRPS against plain rules, on seasons whose truth is known.

Protocol: seasons drawn from the model (``benchmarks.simulated``), with numbers written as a keeper
writes them; observation errors are those of the figures and of ``evidence.likelihood``,
fixed beforehand. The runway is days until nurses' reserves are low or larvae are eaten,
censored at 60. Scored by the continuous ranked probability score (Gneiting & Raftery 2007), lower is better:

* members: the filter's members run on;
* grams over demand: pollen stored, by a keeper's word, over a fixed demand a day; a point, so its CRPS is the absolute
  error. The demand and the grams for a word are the best of a grid on a separate half of the seasons,
  which favours the rule;
* the same, dressed: that point with the errors it made on the first half as its spread;
* climatology: the runways of the first half, within 30 days of the same date.

Set ``TIDEOVER_SEASONS`` (default 400): the first half fits the rules, the second is scored. ``--write`` keeps the
result and makes the page's table of it.
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

from benchmarks.pages import ROOT, keep, put_part, table, version
from benchmarks.simulated import HORIZON_D, filtered, quantities, simulate
from tideover.comb.words import OUTER_POLLEN

Floats = NDArray[np.float64]
PAGE: Final = Path(ROOT, "docs", "science", "validation.md")
KINDS: Final = ("at the lid", "into the nest", "jelly counted")
"""Kinds of look that tell a word for pollen on the outer combs, which the plain rule needs."""


def crps(members: Floats, truth: float) -> float:
    """CRPS of an ensemble against one truth, in the unit of both (Gneiting & Raftery 2007, eq. 20)."""
    x = np.sort(members)
    n = x.size
    # Mean absolute difference of all pairs from the sorted values.
    pairs = 2.0 * float(np.dot(2.0 * np.arange(1, n + 1) - n - 1, x)) / (n * n)
    return float(np.abs(x - truth).mean() - 0.5 * pairs)


def one(seed: int, members: int) -> dict[str, Any]:
    """One season: true runway, members' runways, day, and what the plain rule reads."""
    numba.set_num_threads(1)
    season = simulate(seed, rounded=True, kinds=KINDS)
    known = filtered(season, members)
    told = quantities(known.ensemble, season.sky, known.path, season.today, 800_000_000 + seed)["runway"]
    values = season.case.seen[-1].values
    return {
        "truth": season.true_values(700_000_000 + seed)["runway"],
        "members": told,
        "day": season.today.timetuple().tm_yday,
        "share": OUTER_POLLEN[str(values["outer_pollen"])].share_of_side,
        "seams": float(values["seams"]),  # type: ignore[arg-type]
    }


def _rule(seasons: list[dict[str, Any]], days_per_share: float, per_seam: bool) -> Floats:
    """Grams over demand: days proportional to pollen seen, and where asked per seam of bees."""
    shown = np.array([s["share"] / (max(1.0, s["seams"]) / 8.0 if per_seam else 1.0) for s in seasons])
    return np.asarray(np.minimum(HORIZON_D + 1.0, days_per_share * shown))


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "400"))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "300"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        told = list(pool.map(partial(one, members=members), range(50_000, 50_000 + seasons), chunksize=10))
    fit, test = told[: seasons // 2], told[seasons // 2 :]
    truth_fit, truth = (np.array([s["truth"] for s in part]) for part in (fit, test))
    grid = np.geomspace(5.0, 3000.0, 60)
    rows, best = [], {}
    for per_seam in (False, True):
        errors = [float(np.abs(_rule(fit, g, per_seam) - truth_fit).mean()) for g in grid]
        best[per_seam] = float(grid[int(np.argmin(errors))])
    named: dict[str, Floats] = {}
    named["members"] = np.array([crps(s["members"], s["truth"]) for s in test])
    for per_seam, name in ((False, "grams over fixed demand"), (True, "grams over demand by seams")):
        point = _rule(test, best[per_seam], per_seam)
        named[name] = np.abs(point - truth)
        off = truth_fit - _rule(fit, best[per_seam], per_seam)
        named[f"{name}, dressed"] = np.array(
            [crps(np.clip(p + off, 0.0, HORIZON_D + 1.0), t) for p, t in zip(point, truth, strict=True)]
        )
    days = np.array([s["day"] for s in fit])
    named["climatology"] = np.array([crps(truth_fit[np.abs(days - s["day"]) <= 30], s["truth"]) for s in test])
    rng = np.random.default_rng(1)
    ratios = {}
    for name, score in named.items():
        draws = rng.integers(0, score.size, (1000, score.size))
        relative = named["members"][draws].mean(axis=1) / score[draws].mean(axis=1)
        low, high = np.quantile(relative, [0.05, 0.95])
        rows.append(
            {
                "forecast": name,
                "crps_d": float(score.mean()),
                "members_to_it": float(named["members"].mean() / score.mean()),
                "low": float(low),
                "high": float(high),
            }
        )
        if name != "members":
            ratios[f"{name} to members"] = float(score.mean() / named["members"].mean())
    return {
        "rows": rows,
        "ratios": ratios,
        "seasons_scored": len(test),
        "members": members,
        "version": version(),
        "censored_share": float((truth > HORIZON_D).mean()),
        "days_per_full_side": {"fixed": best[False], "by seams": best[True]},
    }


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's table."""
    rows = [
        [
            r["forecast"],
            f"{r['crps_d']:.1f}",
            "" if r["forecast"] == "members" else f"{r['members_to_it']:.2f} ({r['low']:.2f}–{r['high']:.2f})",
        ]
        for r in result["rows"]
    ]
    n = result["seasons_scored"]
    said = (
        f"{2 * n} seasons, the last {n} scored, {result['members']} members, version `{result['version']}`; "
        f"{100 * result['censored_share']:.0f} % of truths are beyond the 60 days.\n\n"
    )
    return {
        "runway": said + table(["forecast", "score, days", "members' score to it (90 % by resampling seasons)"], rows)
    }


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's table of it."""
    keep("runway", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
