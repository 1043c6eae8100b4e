"""The best plan among rounds that are listed: a quick choice, and the integer program's."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.plan.rounds.bound import NEAR, Bound
from tideover.plan.rounds.exact import Column
from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.master import solve_program
from tideover.plan.rounds.objects import Plan, Problem

SURE: Final = 0.9
"""A round the linear program takes this much of is taken whole."""

Floats = NDArray[np.float64]


def usable(problem: Problem, columns: Sequence[Column]) -> list[Column]:
    """The rounds that can be driven and carried."""
    return [
        (d, route, c)
        for d, route, c in columns
        if len(set(route)) == len(route) and problem.fits(route) and problem.clock(d, route) is not None
    ]


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
    counts = np.zeros((len(columns), n), dtype=np.int64)
    for k, (_, route, _) in enumerate(columns):
        counts[k, list(route)] = 1
    day = np.array([d for d, _, _ in columns], dtype=np.int64)
    cost = np.array([c for _, _, c in columns], dtype=np.float64)
    return solve_program(counts, day, cost, days, drops).taken


def quick(problem: Problem, under: Bound) -> Plan:
    """A plan from the rounds the bound found, at once."""
    return dive(problem, usable(problem, under.columns))
