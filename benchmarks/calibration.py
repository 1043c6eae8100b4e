"""Simulation-based calibration of the filter: does the truth fall where the members say it may?

Protocol: each season is drawn from the model itself (``benchmarks.simulated``): a start, parameters,
luck, land and one to five looks of random kinds; it is scored once, just after its last
look. The rank of the truth among the members must be uniform (Talts et al. 2018,
arXiv:1804.06788; Cook, Gelman & Rubin 2006), so central 50, 80 and 95 % intervals must hold 50, 80 and 95 %
of truths. Set ``TIDEOVER_SEASONS`` (default 600, up to 5,000) and ``TIDEOVER_MEMBERS`` (default 600).
``TIDEOVER_KEEP`` names a file to which every season is written as soon as it is done: a run that was broken off goes
on where it stood. Members and version of the program are written with it, and another's seasons are refused.
``--write`` keeps the result and makes the page's tables of it.
"""

from __future__ import annotations

import json
import os
from collections.abc import Sequence
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from typing import Any, Final

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.pages import ROOT, keep, put_part, version
from benchmarks.pages import table as in_markdown
from benchmarks.simulated import QUANTITIES, filtered, quantities, simulate, standing

LEVELS: Final = (0.5, 0.8, 0.95)
MOST: Final = 5000
ON_EVERY_RUN: Final = 300
"""Seasons the tests run: the first so many are told apart."""
PAGE: Final = Path(ROOT, "docs", "science", "validation.md")


def one(
    seed: int, members: int = 600, wrong: bool = True, rounded: bool = False, most_looks: int = 5, fewest_looks: int = 1
) -> list[float]:
    """Standing of the truth for each quantity in one season."""
    numba.set_num_threads(1)
    season = simulate(seed, wrong=wrong, rounded=rounded, most_looks=most_looks, fewest_looks=fewest_looks)
    known = filtered(season, members)
    truth = season.true_values(700_000_000 + seed)
    told = quantities(known.ensemble, season.sky, known.path, season.today, 800_000_000 + seed)
    rng = np.random.default_rng((seed, 31))
    return [standing(told[q], truth[q], rng) for q in QUANTITIES]


def standings(seeds: Sequence[int], members: int, *, workers: int = 2, **how: Any) -> NDArray[np.float64]:
    """Standings of many seasons, shape (seasons, quantities)."""
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        return np.array(list(pool.map(partial(one, members=members, **how), seeds, chunksize=10)))


def kept_in(path: Path, members: int, version: str) -> dict[int, list[float]]:
    """Seasons a file holds, by seed; an unfinished last line is left out.

    :raises ValueError: if a season was run with other members or by another version of the program.
    """
    found: dict[int, list[float]] = {}
    for line in path.read_text(encoding="utf-8").splitlines() if path.exists() else []:
        try:
            row = json.loads(line)
        except json.JSONDecodeError:
            continue
        if (row["members"], row["version"]) != (members, version):
            raise ValueError(
                f"{path} holds seasons of {row['members']} members by version {row['version']}, not of {members} "
                f"by {version}; name another file."
            )
        found[row["seed"]] = row["standing"]
    return found


def resumed(path: Path, seeds: Sequence[int], members: int, version: str, *, workers: int = 2) -> NDArray[np.float64]:
    """Standings of seasons, those a file holds taken from it and the rest written to it one by one."""
    found = kept_in(path, members, version)
    left = [s for s in seeds if s not in found]
    with (
        path.open("a", encoding="utf-8") as out,
        ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool,
    ):
        if out.tell() and not path.read_bytes().endswith(b"\n"):
            out.write("\n")  # the line a broken-off run left unfinished
        for seed, u in zip(left, pool.map(partial(one, members=members), left, chunksize=5), strict=True):
            out.write(json.dumps({"seed": seed, "members": members, "version": version, "standing": u}) + "\n")
            out.flush()
            found[seed] = u
    return np.array([found[s] for s in seeds])


def coverage(standing_of: NDArray[np.float64], level: float) -> float:
    """Share of truths inside the central interval of this level."""
    return float((np.abs(standing_of - 0.5) < 0.5 * level).mean())


def table(u: NDArray[np.float64]) -> list[dict[str, Any]]:
    """Coverage per quantity, with the mean standing (0.5 without bias) and the chi-square of ten bins (9 expected)."""
    rows = []
    n = u.shape[0]
    for k, name in enumerate(QUANTITIES):
        counts = np.histogram(u[:, k], bins=10, range=(0.0, 1.0))[0]
        rows.append(
            {"quantity": name}
            | {f"in {level:.0%}": coverage(u[:, k], level) for level in LEVELS}
            | {"mean standing": float(u[:, k].mean()), "chi2 of ten": float(((counts - n / 10) ** 2 / (n / 10)).sum())}
        )
    return rows


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = min(MOST, int(os.environ.get("TIDEOVER_SEASONS", "600")))
    members = int(os.environ.get("TIDEOVER_MEMBERS", "600"))
    kept = os.environ.get("TIDEOVER_KEEP", "")
    u = resumed(Path(kept), range(seasons), members, version()) if kept else standings(range(seasons), members)
    rows = table(u)
    worst = max(abs(r[f"in {level:.0%}"] - level) for r in rows for level in LEVELS)
    return {
        "rows": rows,
        "ratios": {},
        "seasons": seasons,
        "members": members,
        "version": version(),
        "worst_gap": worst,
        "on_every_run": table(u[:ON_EVERY_RUN]),
    }


_NAMES: Final = {"adults": "adult bees", "pollen": "stored pollen"}


def _shown(rows: list[dict[str, Any]]) -> str:
    return in_markdown(
        ["quantity", *(f"in {100 * level:.0f} %" for level in LEVELS), "mean standing (0.5 is unbiased)"],
        [
            [
                _NAMES.get(r["quantity"], r["quantity"]),
                *(f"{100 * r[f'in {level:.0%}']:.1f}" for level in LEVELS),
                f"{r['mean standing']:.3f}",
            ]
            for r in rows
        ],
    )


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's tables, by name."""
    n, m = result["seasons"], result["members"]
    errors = [100 * float(np.sqrt(level * (1 - level) / n)) for level in LEVELS]
    few = ", ".join(f"{100 * float(np.sqrt(level * (1 - level) / ON_EVERY_RUN)):.1f}" for level in LEVELS)
    said = (
        f"{n} seasons, {m} members answered with, version `{result['version']}`; one standard error is "
        f"{errors[0]:.1f}, {errors[1]:.1f} and {errors[2]:.1f} points, of the mean standing "
        f"{1 / np.sqrt(12 * n):.3f}. The interval furthest off is {100 * result['worst_gap']:.1f} points off.\n\n"
    )
    first = f"The first {ON_EVERY_RUN} of them, which the tests run (standard errors {few}):\n\n"
    return {
        "calibrated": said + _shown(result["rows"]),
        "every run": first + _shown(result["on_every_run"]) if n > ON_EVERY_RUN else "These are the seasons tests run.",
    }


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's tables of it."""
    keep("calibration", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
