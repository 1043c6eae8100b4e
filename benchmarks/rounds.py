"""Rounds over forty invented yards and ten days: the plan against its bound and against the plain rule.

Protocol: yards of 4 to 11 hives drawn in a square of 50 km around home, four minutes a hive and ten a yard,
straight line times 1.3 at 50 km/h, one day in seven off, open from six until the heat, which ends the morning
between nine and half past eleven by yard and day; pull-bys between the third and the tenth day. Seeds 0 to 2,
and 8 and 20 yards beside. Seconds of one process in one run; the baseline is the plain rule alone.
Published instances: E-n22-k4 (optimum 375) through the same search.
"""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np

from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.objects import Problem, Visit
from tideover.plan.rounds.search import search
from tideover.plan.rounds.solve import solve

INSTANCES = Path(__file__).parent.parent / "tests" / "plan" / "data"


def invented(yards: int, seed: int, days: int = 10) -> Problem:
    """An invented case; the module's first lines say how it is drawn."""
    rng = np.random.default_rng(seed)
    xy = np.vstack([[0.0, 0.0], rng.uniform(-25.0, 25.0, (yards, 2))])
    apart = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    drive = np.rint(apart * 1.3 / 50.0 * 60.0).astype(int)
    visits = []
    for i in range(yards):
        minutes = 10 + 4 * int(rng.integers(4, 12))
        due = int(rng.integers(2, days))
        windows, penalty = {}, {}
        for d in range(days):
            closes = 360 + int(rng.integers(180, 330))
            if d % 7 != 6 and d >= due - 6 and closes - 360 >= minutes:
                windows[d] = (360, closes)
                penalty[d] = 240 * max(0, d - due) + (24 if d == due else 0)
        visits.append(Visit(f"yard {i + 1}", i + 1, minutes, windows, penalty, 5000, 4.0, 4.0))
    return Problem([(300, 780)] * days, visits, drive.tolist(), 20, 400.0, 800.0)


def capacity_instance(path: Path, vehicles: int) -> Problem:
    """A published instance with loads and no hours, as a problem of so many days; distances to whole numbers."""
    lines = path.read_text(encoding="utf-8").split("\n")
    number = {k.strip(): v.strip() for k, _, v in (line.partition(":") for line in lines if ":" in line)}
    n = int(number["DIMENSION"])
    at = next(i for i, line in enumerate(lines) if line.startswith("NODE_COORD"))
    xy = np.array([[float(v) for v in line.split()[1:3]] for line in lines[at + 1 : at + 1 + n]])
    at = next(i for i, line in enumerate(lines) if line.startswith("DEMAND"))
    need = [float(line.split()[1]) for line in lines[at + 1 : at + 1 + n]]
    drive = np.rint(np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))).astype(int)
    windows = dict.fromkeys(range(vehicles), (0, 1400))
    visits = [Visit(str(i), i, 1, windows, {}, 10_000, need[i], 0.0) for i in range(1, n)]
    return Problem([(0, 1_439)] * vehicles, visits, drive.tolist(), 0, float(number["CAPACITY"]))


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    solve(invented(3, 9))  # what is compiled is compiled before the clock starts
    rows, ratios = [], {}
    for yards, seeds in ((8, (0,)), (20, (0, 1)), (40, (0, 1, 2))):
        for seed in seeds:
            problem = invented(yards, seed)
            began = time.perf_counter()
            greedy(problem)
            plain_s = time.perf_counter() - began
            got = solve(problem)
            seconds = time.perf_counter() - began - plain_s
            case = f"{yards} yards, seed {seed}"
            rows.append(
                {
                    "case": case, "how": got.plan.how, "seconds": seconds, "cost": got.cost, "bound": got.bound,
                    "gap": got.gap, "greedy": got.greedy_cost, "left out": yards - len(got.plan.placed()),
                }
            )  # fmt: skip
            ratios[f"{case}: cost to bound"] = got.cost / got.bound
            ratios[f"{case}: plain rule to bound"] = got.greedy_cost / got.bound
            ratios[f"{case}: seconds to the plain rule's"] = seconds / plain_s
    small = capacity_instance(INSTANCES / "E-n22-k4.txt", 4)
    found = search(small, iterations=3000)
    if found is not None:
        ratios["E-n22-k4: search to the published optimum of 375"] = found.cost(small) / 375.0
    return {"rows": rows, "ratios": ratios}
