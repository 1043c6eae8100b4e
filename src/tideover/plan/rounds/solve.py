"""One answer from several ways: the plain rule always, the search and the whole list where they can."""

from __future__ import annotations

from dataclasses import dataclass

from tideover.plan.rounds.bound import from_columns, lower_bound
from tideover.plan.rounds.exact import exact
from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.objects import Plan, Problem
from tideover.plan.rounds.search import ITERATIONS, search


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
    best = plain
    under = lower_bound(problem, plain, seconds=seconds)
    joined = from_columns(problem, under, seconds)
    if joined is not None and joined.cost(problem) < best.cost(problem):
        best = joined
    found = search(problem, iterations=iterations, seconds=seconds, seed=seed, start=best)
    if found is not None and found.cost(problem) < best.cost(problem):
        best = found
    cost = best.cost(problem)
    return Solved(best, cost, min(under.value, cost), base)
