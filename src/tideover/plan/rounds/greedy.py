"""The plain rule: visits in the order they press, each where it costs least on the days it fits."""

from __future__ import annotations

from tideover.plan.rounds.objects import Plan, Problem


def pressing(problem: Problem) -> list[int]:
    """Visits by the last day on which they cost nothing extra, then by how few days are open, then by number."""

    def key(i: int) -> tuple[int, int, int]:
        v = problem.visits[i]
        least = min((v.penalty.get(d, 0) for d in v.windows), default=0)
        last = max((d for d in v.windows if v.penalty.get(d, 0) == least), default=-1)
        return last, len(v.windows), i

    return sorted(range(len(problem.visits)), key=key)


def greedy(problem: Problem, begun: Plan | None = None) -> Plan:
    """Place every visit in turn at its cheapest place in any day's route; one that fits nowhere is left out.

    Parameters: begun: a plan whose routes stand and are filled up with what it left out.
    """
    routes: list[list[int]] = [list(r) for r in begun.routes] if begun is not None else [[] for _ in problem.days]
    there = {i for r in routes for i in r}
    for i in pressing(problem):
        if i in there:
            continue
        best: tuple[int, int, int] | None = None
        for d in sorted(problem.visits[i].windows):
            before = problem.route_cost(d, routes[d])
            for k in range(len(routes[d]) + 1):
                tried = [*routes[d][:k], i, *routes[d][k:]]
                added = problem.route_cost(d, tried) - before
                if (best is None or added < best[0]) and problem.fits(tried) and problem.clock(d, tried) is not None:
                    best = added, d, k
        if best is not None and best[0] < problem.visits[i].drop:
            routes[best[1]].insert(best[2], i)
    return Plan(tuple(tuple(r) for r in routes), "greedy" if begun is None else begun.how)
