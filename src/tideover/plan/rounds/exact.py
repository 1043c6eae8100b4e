"""Every round of a small problem listed, and the best choice of one a day by an integer program (HiGHS)."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csc_matrix

from tideover.plan.rounds.objects import HOME, Plan, Problem

MOST_LABELS: Final = 20_000
"""Beyond this many half-made rounds a problem is not small."""

NODES: Final = 60
"""Branches the integer program may look at: a stop that does not depend on the machine."""

Column = tuple[int, tuple[int, ...], int]
"""Day, route, cost [min]."""


def every_round(problem: Problem, most: int = MOST_LABELS) -> list[Column] | None:
    """The cheapest order of every set of visits that one day can hold; None when they are too many.

    A half-made round is kept unless another with the same visits and the same last place is neither later
    nor dearer.
    """
    columns: list[Column] = []
    made = 0
    for d in range(len(problem.days)):
        leave, back = problem.days[d]
        open_here = [i for i, v in enumerate(problem.visits) if d in v.windows]
        layer: dict[tuple[frozenset[int], int], list[tuple[int, int, tuple[int, ...]]]] = {
            (frozenset(), -1): [(0, leave, ())]
        }
        while layer:
            grown: dict[tuple[frozenset[int], int], list[tuple[int, int, tuple[int, ...]]]] = {}
            best: dict[frozenset[int], Column] = {}
            for (there, last), labels in layer.items():
                at = HOME if last < 0 else problem.visits[last].place
                for cost, now, route in labels:
                    for i in open_here:
                        if i in there:
                            continue
                        v = problem.visits[i]
                        opens, closes = v.windows[d]
                        done = max(now + problem.drive[at][v.place], opens) + v.minutes
                        home = problem.drive[v.place][HOME]
                        longer = (*route, i)
                        if done > closes or done + home > back or not problem.fits(longer):
                            continue
                        spent = cost + problem.drive[at][v.place] + v.penalty.get(d, 0)
                        key = there | {i}, i
                        kept = grown.setdefault(key, [])
                        if any(c <= spent and t <= done for c, t, _ in kept):
                            continue
                        kept[:] = [one for one in kept if not (spent <= one[0] and done <= one[1])]
                        kept.append((spent, done, longer))
                        made += 1
                        if made > most:
                            return None
                        total = problem.trip + spent + home
                        if key[0] not in best or total < best[key[0]][2]:
                            best[key[0]] = d, longer, total
            columns += best.values()
            layer = grown
    return columns


def choose(problem: Problem, columns: list[Column], seconds: float, gap: float = 0.0) -> tuple[Plan, float] | None:
    """The cheapest choice of at most one column a day, and a bound for all choices among them [min].

    Parameters: gap: a choice whose cost is within this share of the bound is good enough to stop at.
    Returns: None when the solver found nothing in time.
    """
    n, days = len(problem.visits), len(problem.days)
    if n == 0:
        return Plan(tuple(() for _ in range(days)), "exact"), 0.0
    drops = np.array([v.drop for v in problem.visits], dtype=np.float64)
    cost = np.concatenate([np.array([c for _, _, c in columns], dtype=np.float64), drops])
    rows, cols = [], []
    for k, (d, route, _) in enumerate(columns):
        rows += [*route, n + d]
        cols += [k] * (len(route) + 1)
    rows += range(n)
    cols += range(len(columns), len(columns) + n)
    table = csc_matrix((np.ones(len(rows)), (rows, cols)), shape=(n + days, len(columns) + n))
    low = np.concatenate([np.ones(n), np.zeros(days)])
    with _quiet():
        got = milp(
            cost,
            constraints=LinearConstraint(table, low, np.ones(n + days)),
            integrality=np.ones(len(cost)),
            bounds=Bounds(0, 1),
            options={"time_limit": seconds, "node_limit": NODES, "mip_rel_gap": gap},
        )
    if got.x is None:
        return None
    routes: list[tuple[int, ...]] = [() for _ in range(days)]
    for k, (d, route, _) in enumerate(columns):
        if got.x[k] > 0.5:
            routes[d] = route
    bound = float(got.mip_dual_bound) if got.mip_dual_bound is not None else float("-inf")
    return Plan(tuple(routes), "exact"), bound


@contextmanager
def _quiet() -> Iterator[None]:
    """The solver writes a line of its own workings straight to the output now and then; it belongs to nobody."""
    try:
        sys.stdout.flush()
        kept = os.dup(1)
    except (OSError, ValueError):
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def exact(problem: Problem, *, most: int = MOST_LABELS, seconds: float = 10.0) -> tuple[Plan, float] | None:
    """The best plan and its bound [min]; None when the problem is not small or time ran out."""
    columns = every_round(problem, most)
    return None if columns is None else choose(problem, columns, seconds)
