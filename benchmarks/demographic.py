"""When does the luck of single bees matter? Against the luck of days, and against not knowing the colony's parameters.

Protocol: colonies of 300 to 30,000 adults with brood in proportion fly 30 plain days in a flow. *Parameters*: 400
members drawn from their priors, without luck of the day. *Days*: 400 members at the middle parameters with the daily
noise of laying, death and income. *Bees*: the middle course's births and death rates day by day, each bee dying or not
and each emergence a Poisson count, 4,000 times (seed 1). Shown is the spread (sd over mean) of adults on day 30.
``--write`` puts the table into docs/science/model.md.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any, Final

import numpy as np

from benchmarks.pages import ROOT, keep, put_part, table
from tideover.checks.colony_bench import colony, go, plain_params, sky
from tideover.colony.parameters import central, draw

SIZES: Final = (300.0, 1_000.0, 3_000.0, 10_000.0, 30_000.0)
DAYS: Final = 30
PAGE: Final = Path(ROOT, "docs", "science", "model.md")


def _spread(adults: Any) -> float:
    return float(np.std(adults) / np.mean(adults))


def one(size: float) -> dict[str, float]:
    """Spreads of adults after 30 days for one starting size."""
    rng = np.random.default_rng(1)
    laying = 0.03 * size
    known = go(colony(size, laying, pollen_g=0.03 * size, params=draw(rng, 400)), sky(DAYS))
    p = np.repeat(central(), 400, axis=0)
    days = go(colony(size, laying, pollen_g=0.03 * size, params=p), sky(DAYS), lucky=True, seed=3)
    hive = colony(size, laying, pollen_g=0.03 * size, params=plain_params())
    count = np.full(4_000, round(size))
    for _ in range(DAYS):
        before = float(hive.adults()[0])
        run = go(hive, sky(1))
        died = float(run.total("adult_deaths")[0]) / (before + float(run.total("emerged")[0]))
        count = count + rng.poisson(float(run.total("emerged")[0]), count.size)
        count = rng.binomial(count, 1.0 - died)
    return {
        "adults": size,
        "parameters": _spread(known.series("adults")[:, -1]),
        "days": _spread(days.series("adults")[:, -1]),
        "bees": _spread(count),
    }


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    return {"rows": [one(size) for size in SIZES], "ratios": {}}


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's table."""
    rows = [
        [f"{r['adults']:,.0f}".replace(",", " "), *(f"{100.0 * r[k]:.1f} %" for k in ("parameters", "days", "bees"))]
        for r in result["rows"]
    ]
    head = ["adults at the start", "not knowing the parameters", "luck of days", "luck of single bees"]
    return {"demographic": table(head, rows)}


def write(result: dict[str, Any]) -> None:
    """Keep the result and put its table into the page."""
    keep("demographic", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
