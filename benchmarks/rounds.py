"""Rounds over forty invented yards and ten days: the plan against its bound and against the plain rule.

Protocol: yards of 4 to 11 hives drawn in a square of 50 km around home, four minutes a hive and ten a yard,
straight line times 1.3 at 50 km/h, one day in seven off, open from six until the heat, which ends the morning
between nine and half past eleven by yard and day; pull-bys between the third and the tenth day. Seeds 0 to 2,
and 8 and 20 yards beside. Seconds of one process in one run; the baseline is the plain rule alone.
Published instances through the same search, 3000 steps, against the best values known: E-n22-k4, RC208 with its
first 25 and 50 places alone as they are published too, and pr107.
A missed first day of twenty yards: how many of the others keep their day, with and without a price on moving.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
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


def published(path: Path, vehicles: int, scale: int = 1, first: int | None = None) -> Problem:
    """A published instance with loads, and hours where it has them, as a problem of so many days that are alike.

    Distances are rounded to whole numbers, or with ``scale`` cut to that fraction of one, as the published
    values of either kind are reckoned. ``first`` takes so many of its places besides the depot.
    """
    lines = path.read_text(encoding="utf-8").split("\n")
    number = {k.strip(): v.strip() for k, _, v in (line.partition(":") for line in lines if ":" in line)}
    n = int(number["DIMENSION"]) if first is None else first + 1

    def section(name: str, columns: int) -> list[list[float]]:
        at = next((i for i, line in enumerate(lines) if line.startswith(name)), None)
        if at is None:
            return []
        return [[float(v) for v in line.split()[1 : 1 + columns]] for line in lines[at + 1 : at + 1 + n]]

    xy = np.array(section("NODE_COORD", 2))
    need = [row[0] for row in section("DEMAND", 1)] or [0.0] * n
    apart = np.hypot(*(xy[:, None] - xy[None]).transpose(2, 0, 1))
    drive = np.floor(apart * scale).astype(int) if scale > 1 else np.rint(apart).astype(int)
    service = max(1, int(float(number.get("SERVICE_TIME", "0")) * scale))
    hours = section("TIME_WINDOW", 2) or [[0.0, 100_000.0]] * n
    last = int(hours[0][1] * scale)
    visits = []
    for i in range(1, n):
        window = int(hours[i][0] * scale), int(hours[i][1] * scale) + service
        visits.append(Visit(str(i), i, service, dict.fromkeys(range(vehicles), window), {}, 100_000, need[i]))
    return Problem([(0, last)] * vehicles, visits, drive.tolist(), 0, float(number.get("CAPACITY", "inf")))


@dataclass(frozen=True)
class Published:
    """A published instance: file, vehicles, scale of distances, how many of its places, the best value known."""

    name: str
    file: str
    vehicles: int
    scale: int
    first: int | None
    best: float

    def problem(self) -> Problem:
        """The instance as a problem."""
        return published(INSTANCES / self.file, self.vehicles, self.scale, self.first)


PUBLISHED = (
    Published("E-n22-k4", "E-n22-k4.txt", 4, 1, None, 375.0),
    Published("RC208.25", "RC208.vrp", 4, 10, 25, 269.1),
    Published("RC208.50", "RC208.vrp", 4, 10, 50, 476.7),
    Published("RC208", "RC208.vrp", 4, 10, None, 776.1),
    Published("pr107", "pr107.tsp", 1, 1, None, 44_303.0),
)
"""tests/plan/data/README.md says where the values are from."""


def missed(seed: int) -> dict[str, float]:
    """The first day of twenty yards' plan is missed: shares of the other visits that keep their day, with and without
    a price on moving, and the cost of keeping (its own price left out) over the cost of planning anew."""
    problem = invented(20, seed)
    before = solve(problem, iterations=500)
    day = {i: d for d, r in enumerate(before.plan.routes) for i in r}
    closed = [replace(v, windows={d: w for d, w in v.windows.items() if d > 0}) for v in problem.visits]
    free = replace(problem, visits=closed)
    priced = replace(
        problem,
        visits=[
            replace(v, penalty={d: p + 30 * (day.get(i, 0) > 0 and d != day[i]) for d, p in v.penalty.items()})
            for i, v in enumerate(closed)
        ],
    )
    out = {}
    costs = {}
    for name, again in (("moving free", free), ("moving priced", priced)):
        got = solve(again, iterations=500)
        now = {i: d for d, r in enumerate(got.plan.routes) for i in r}
        others = [i for i, d in day.items() if d > 0]
        out[f"missed day, seed {seed}, {name}: share that keeps its day"] = sum(
            now.get(i) == day[i] for i in others
        ) / len(others)
        costs[name] = got.plan.cost(free)
    out[f"missed day, seed {seed}: cost of keeping to planning anew"] = costs["moving priced"] / costs["moving free"]
    return out


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    solve(invented(3, 9))  # what is compiled is compiled before the clock starts
    rows: list[dict[str, Any]] = []
    ratios: dict[str, float] = {}
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
    for one in PUBLISHED:
        instance = one.problem()
        began = time.perf_counter()
        found = search(instance, iterations=3000, seconds=600.0)
        if found is not None:
            got_s, value = time.perf_counter() - began, found.cost(instance) / one.scale
            rows.append({"case": one.name, "seconds": got_s, "value": value, "best known": one.best})
            ratios[f"{one.name}: search to the best value known"] = value / one.best
    for seed in (0, 1):
        ratios |= missed(seed)
    return {"rows": rows, "ratios": ratios}
