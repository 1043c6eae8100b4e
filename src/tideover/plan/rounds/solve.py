"""One answer from several ways: the plain rule always, the search and the whole list where they can."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.plan.rounds.among import quick
from tideover.plan.rounds.bound import Bound, every_round_within, lower_bound
from tideover.plan.rounds.exact import choose, exact
from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.objects import Plan, Problem
from tideover.plan.rounds.search import ITERATIONS, search

HALVINGS: Final = 8
CLOSE: Final = 0.01
"""A plan this near its bound is good enough to stop at."""


@dataclass(frozen=True)
class Solved:
    """The plan, its cost and a bound below it [min], and what the plain rule would have cost."""

    plan: Plan
    cost: int
    bound: float
    greedy_cost: int

    @property
    def gap(self) -> float:
        """How far the plan may be from the best, as a share of its cost."""
        return max(0.0, (self.cost - self.bound) / self.cost) if self.cost > 0 else 0.0


def solve(problem: Problem, *, iterations: int = ITERATIONS, seconds: float = 20.0, seed: int = 1) -> Solved:
    """Plan a problem: exactly when it is small, else by search, never worse than the plain rule.

    Parameters: iterations: steps of the search; seconds: stop of each part on a slow machine [s]; seed: of the
    search's random numbers.
    """
    plain = greedy(problem)
    base = plain.cost(problem)
    listed = exact(problem, seconds=seconds)
    if listed is not None:
        plan, bound = listed
        cost = plan.cost(problem)
        if cost <= base and not plan.faults(problem):
            return Solved(plan, cost, min(bound, cost), base)
    under = lower_bound(problem, plain, seconds=seconds)
    best = _cheaper(problem, plain, quick(problem, under))
    best, bound = _closed(problem, under, best, seconds)
    if best.cost(problem) > (1.0 + CLOSE) * bound:
        best = _cheaper(problem, best, search(problem, iterations=iterations, seconds=seconds, seed=seed, start=best))
    cost = best.cost(problem)
    return Solved(best, cost, min(bound, cost), base)


def _cheaper(problem: Problem, one: Plan, other: Plan | None) -> Plan:
    """The cheaper of two plans that can be driven."""
    if other is None or other.faults(problem) or other.cost(problem) >= one.cost(problem):
        return one
    return other


def _closed(problem: Problem, under: Bound, best: Plan, seconds: float) -> tuple[Plan, float]:
    """The gap between bound and plan closed as far as can be: only rounds within it can make a better plan.

    Where they are too many, rounds within half of it are listed, and so on: what lies beyond then stays unknown.
    Returns: the plan and a bound [min].
    """
    gap = best.cost(problem) - under.value
    if gap < 1.0:
        # costs are whole minutes
        return best, float(best.cost(problem))
    distance, listed = gap - 1.0, None
    for _ in range(HALVINGS):
        listed = every_round_within(problem, under, distance)
        if listed is not None:
            break
        distance /= 2.0
    if listed is None:
        return best, under.value
    found = choose(problem, listed, seconds, CLOSE)
    if found is None:
        return best, under.value
    plan, least = found
    best = _cheaper(problem, best, greedy(problem, Plan(plan.routes, "search")))
    beyond = under.value + distance if distance < gap - 1.0 else float("inf")
    return best, max(under.value, min(least, beyond, float(best.cost(problem))))
