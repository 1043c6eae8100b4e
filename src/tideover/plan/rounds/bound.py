"""A cost below which no plan can be, by generating rounds one at a time where a price says they could help.

The linear program over all rounds is a relaxation of the plan. Its rounds are found by dynamic programming
over place and minute, where a round may come back to a visit but not straight away, and the vehicle's load
is left out: both only let the bound lie lower. At any prices p of the visits,

    sum of p + sum over days of min(0, cheapest round of the day at these prices)

lies below the cost of every plan (Lagrange), so that the bound holds wherever the work stops.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csc_matrix

from tideover.plan.rounds.exact import Column, choose
from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.objects import Plan, Problem
from tideover.plan.rounds.pricing import MOST_LABELS, labels, neighbours

ROUNDS: Final = 120
SECONDS: Final = 15.0
NEAR: Final = 1e-6
REMEMBERED: Final = 10
"""Visits that each visit remembers; more makes the bound sharper and slower."""
SURE: Final = 0.9
"""A round the linear program takes this much of is taken whole."""
CLOSE: Final = 1e-3
"""A choice this close to the best among the rounds listed is good enough to stop at."""
MARGIN_MIN: Final = 40.0
PER_VISIT: Final = 30
"""Rounds up to this much too dear [min], and so many for each last visit of a day, are kept to choose a plan from."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@dataclass(frozen=True)
class Bound:
    """``value`` [min]; the rounds found on the way; ``closed``: the linear program was solved to its end."""

    value: float
    columns: list[Column]
    closed: bool


def _rounds_of(
    found: tuple[int, Floats, Ints, Ints], home: Ints, trip: int, per_visit: int = 3, under: float = -NEAR
) -> list[tuple[float, tuple[int, ...]]]:
    """For each last visit the cheapest rounds at the present prices, those below ``under`` only."""
    used, cost, node, parent = found
    value = cost[:used] + home[node[:used]] + trip
    out = []
    taken: dict[int, int] = {}
    for k in np.argsort(value, kind="stable"):
        if value[k] >= under:
            break
        last = int(node[k])
        if taken.get(last, 0) >= per_visit:
            continue
        taken[last] = taken.get(last, 0) + 1
        route, at = [], int(k)
        while at >= 0:
            route.append(int(node[at]))
            at = int(parent[at])
        out.append((float(value[k]), tuple(reversed(route))))
    return out


def lower_bound(problem: Problem, start: Plan, *, rounds: int = ROUNDS, seconds: float = SECONDS) -> Bound:
    """A bound for the cost of every plan of a problem.

    Parameters: start: any plan, whose rounds begin the list; rounds: how often prices are tried at most;
    seconds: a stop for slow machines [s]; the bound is valid wherever it stops.
    """
    n, days = len(problem.visits), len(problem.days)
    if n == 0 or days == 0:
        return Bound(float(sum(v.drop for v in problem.visits)), [], True)
    drive = np.array(problem.drive, dtype=np.int64)
    place = np.array([v.place for v in problem.visits], dtype=np.int64)
    minutes = np.array([v.minutes for v in problem.visits], dtype=np.int64)
    drops = np.array([v.drop for v in problem.visits], dtype=np.float64)
    opens, closes = np.zeros((days, n), dtype=np.int64), np.full((days, n), -1, dtype=np.int64)
    extra = np.zeros((days, n))
    for i, v in enumerate(problem.visits):
        for d, (a, b) in v.windows.items():
            opens[d, i], closes[d, i], extra[d, i] = a, b, v.penalty.get(d, 0)
    columns: dict[tuple[int, tuple[int, ...]], int] = {}
    for d, route in enumerate(start.routes):
        if route:
            columns[d, route] = problem.route_cost(d, route)
    for i, v in enumerate(problem.visits):
        for d in v.windows:
            if problem.clock(d, (i,)) is not None:
                columns[d, (i,)] = problem.route_cost(d, (i,))
    near_by: dict[tuple[int, tuple[int, ...]], int] = {}
    memory = REMEMBERED
    near = neighbours(drive, place, memory)
    best, closed, until = 0.0, False, time.monotonic() + seconds
    for _ in range(rounds):
        price, day_price = _prices(n, days, columns, drops)
        least = np.zeros(days)
        fresh = 0
        kept: list[tuple[int, Floats, Ints, Ints]] = []
        for d in range(days):
            leave, back = problem.days[d]
            worth = extra[d] - price
            made = labels(leave, back, drive, place, minutes, opens[d], closes[d], worth, near, MOST_LABELS)
            while made[0] < 0 and memory > 0:
                # too many half-made rounds: remember less, which asks less of a round and still bounds every plan
                memory //= 2
                near = neighbours(drive, place, memory)
                made = labels(leave, back, drive, place, minutes, opens[d], closes[d], worth, near, MOST_LABELS)
            if made[0] < 0:
                return Bound(best, _listed(columns), False)
            kept.append(made)
            found = _rounds_of(made, drive[place, 0], problem.trip)
            least[d] = min((value for value, _ in found), default=0.0)
            for value, route in found:
                if value - day_price[d] < -NEAR and (d, route) not in columns:
                    # a round that comes back to a visit costs its penalty each time, as it did in the search
                    columns[d, route] = _walk_cost(problem, d, route)
                    fresh += 1
        best = max(best, float(price.sum() + least.sum()))
        if fresh == 0:
            closed = True
            near_by.update(_near_by(problem, kept, drive, place, day_price))
            break
        if time.monotonic() > until:
            break
    return Bound(best, _listed({**columns, **near_by}), closed)


def _near_by(
    problem: Problem,
    kept: list[tuple[int, Floats, Ints, Ints]],
    drive: Ints,
    place: Ints,
    day_price: Floats,
) -> dict[tuple[int, tuple[int, ...]], int]:
    """Rounds without return that cost little more than the prices allow: a good plan is made of such."""
    out = {}
    for d, made in enumerate(kept):
        under = float(day_price[d]) + MARGIN_MIN
        for _, route in _rounds_of(made, drive[place, 0], problem.trip, PER_VISIT, under):
            if len(set(route)) == len(route):
                out[d, route] = problem.route_cost(d, route)
    return out


def _listed(columns: dict[tuple[int, tuple[int, ...]], int]) -> list[Column]:
    return [(d, route, c) for (d, route), c in columns.items()]


def _walk_cost(problem: Problem, day: int, route: tuple[int, ...]) -> int:
    return problem.trip + problem.driving(route) + sum(problem.visits[i].penalty.get(day, 0) for i in route)


def _prices(n: int, days: int, columns: dict[tuple[int, tuple[int, ...]], int], drops: Floats) -> tuple[Floats, Floats]:
    """Prices of visits (0 to what leaving them out costs) and of days (0 or less) over the rounds listed."""
    duals = np.asarray(_program(n, days, columns, drops).ineqlin.marginals)
    return np.clip(-duals[:n], 0.0, drops), np.minimum(duals[n:], 0.0)


def _program(n: int, days: int, columns: Mapping[tuple[int, tuple[int, ...]], int], drops: Floats) -> Any:
    """The linear program over the rounds listed, solved."""
    rows, cols, data = [], [], []
    for k, (d, route) in enumerate(columns):
        for i in set(route):
            rows.append(i)
            cols.append(k)
            data.append(-float(route.count(i)))
        rows.append(n + d)
        cols.append(k)
        data.append(1.0)
    m = len(columns)
    rows += range(n)
    cols += range(m, m + n)
    data += [-1.0] * n
    table = csc_matrix((data, (rows, cols)), shape=(n + days, m + n))
    cost = np.concatenate([np.array(list(columns.values()), dtype=np.float64), drops])
    limits = np.concatenate([-np.ones(n), np.ones(days)])
    return linprog(cost, A_ub=table, b_ub=limits, bounds=(0, None), method="highs")


def from_columns(problem: Problem, bound: Bound, seconds: float) -> Plan | None:
    """The best plan among the rounds the bound found that can be driven, for what it is worth.

    A quick choice always; the integer program's where it is done in time and cheaper.
    """
    usable = [
        (d, route, c)
        for d, route, c in bound.columns
        if len(set(route)) == len(route) and problem.fits(route) and problem.clock(d, route) is not None
    ]
    plans = [dive(problem, usable)]
    found = choose(problem, usable, seconds, CLOSE)
    if found is not None:
        plans.append(greedy(problem, Plan(found[0].routes, "search")))
    good = [p for p in plans if not p.faults(problem)]
    return min(good, key=lambda p: p.cost(problem)) if good else None


def dive(problem: Problem, columns: Sequence[Column]) -> Plan:
    """A quick choice of rounds: the linear program's heaviest is taken, what it rules out goes, and so on."""
    n, days = len(problem.visits), len(problem.days)
    drops = np.array([float(v.drop) for v in problem.visits])
    routes: list[tuple[int, ...]] = [() for _ in range(days)]
    left = list(columns)
    while left:
        x = _weights(n, days, left, drops)
        k = int(np.argmax(x))
        if x[k] < NEAR:
            break
        taken = [k] + [i for i in np.argsort(-x, kind="stable") if i != k and x[i] > SURE]
        for i in taken:
            d, route, _ = left[i]
            if not routes[d] and not any(set(route) & set(r) for r in routes):
                routes[d] = route
        left = _without(problem, left, routes)
    return greedy(problem, Plan(tuple(routes), "search"))


def _without(problem: Problem, columns: Sequence[Column], routes: Sequence[tuple[int, ...]]) -> list[Column]:
    """The rounds of days still free, what is placed already left out of them."""
    gone = {v for r in routes for v in r}
    kept: dict[tuple[int, tuple[int, ...]], int] = {}
    for d, route, _ in columns:
        rest = tuple(v for v in route if v not in gone)
        if routes[d] or not rest or (d, rest) in kept:
            continue
        if problem.clock(d, rest) is not None:
            kept[d, rest] = problem.route_cost(d, rest)
    return [(d, route, c) for (d, route), c in kept.items()]


def _weights(n: int, days: int, columns: Sequence[Column], drops: Floats) -> Floats:
    """How much of each round the linear program takes."""
    got = _program(n, days, {(d, r): c for d, r, c in columns}, drops)
    return np.asarray(got.x)[: len(columns)]
