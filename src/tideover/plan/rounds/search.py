"""Search by a maintained routing library (PyVRP); the one file that knows its names.

A day is a vehicle with its own hours on one long clock, days that are alike are one kind of vehicle. A visit is
a group of which one member, standing for one kind of day, is driven to; what a day costs besides driving is the
prize its member does not bring.
"""

from __future__ import annotations

import warnings
from math import ceil
from typing import Any, Final

from tideover.plan.rounds.objects import Plan, Problem

DAY: Final = 1440
"""Least distance of two kinds of day on the long clock [min]."""
FINE: Final = 100
"""Loads are whole numbers there: tens of grams, hundredths of a litre, rounded against us."""
MOST: Final = 1e9
"""Stands for a vehicle without limit."""
ITERATIONS: Final = 3000
SECONDS: Final = 20.0


def search(
    problem: Problem,
    *,
    iterations: int = ITERATIONS,
    seconds: float = SECONDS,
    seed: int = 1,
    start: Plan | None = None,
) -> Plan | None:
    """Search for a cheap plan; the same problem, seed and number of iterations give the same plan.

    First every visit that can be driven at all must be; only where no such plan is found may visits be left out.
    (A search that need not weigh leaving out is quicker and its results differ less from seed to seed.)

    Parameters: iterations: steps of the search; seconds: a stop against slow machines [s], far above what the
    steps take; seed: of its random numbers; start: a plan to begin from.
    Returns: the best plan found, None when nothing that can be driven was found or the library is not there.
    """
    try:
        import pyvrp  # noqa: F401 - whether the library is there
    except ImportError:
        return None
    if not problem.visits or not problem.days:
        return Plan(tuple(() for _ in problem.days), "search")
    whole = start is None or all(i in start.placed() for i, v in enumerate(problem.visits) if v.windows)
    found = _searched(problem, iterations, seconds, seed, start, must=True) if whole else None
    return found if found is not None else _searched(problem, iterations, seconds, seed, start, must=False)


def _searched(
    problem: Problem, iterations: int, seconds: float, seed: int, start: Plan | None, *, must: bool
) -> Plan | None:
    """One search; ``must``: no visit that a day is worth driving for is left out."""
    from pyvrp import Model
    from pyvrp.stop import MaxIterations, MaxRuntime, MultipleCriteria

    model = Model()
    places = [model.add_location(i, 0) for i in range(len(problem.drive))]
    depot = model.add_depot(places[0])
    for a, row in zip(places, problem.drive, strict=True):
        for b, minutes in zip(places, row, strict=True):
            model.add_edge(a, b, distance=minutes, duration=minutes)
    holds = [int(min(cap, MOST) * FINE) for cap in (problem.weight_kg, problem.room_l, problem.rest_l)]
    kinds = alike(problem)
    longest = max([DAY, *(back + 1 for _, back in problem.days)])
    kind_of = {d: c for c, days in enumerate(kinds) for d in days}
    for c, days in enumerate(kinds):
        leave, back = problem.days[days[0]]
        model.add_vehicle_type(
            len(days), holds, depot, depot, fixed_cost=problem.trip,
            tw_early=c * longest + leave, tw_late=c * longest + back,
        )  # fmt: skip
    order: list[tuple[int, int]] = []
    for i, v in enumerate(problem.visits):
        worth = {
            c: v.drop - v.penalty.get(days[0], 0)
            for c, days in enumerate(kinds)
            if days[0] in v.windows and v.drop > v.penalty.get(days[0], 0)
        }
        group = model.add_client_group(required=must) if len(worth) > 1 else None
        for c, prize in worth.items():
            opens, closes = v.windows[kinds[c][0]]
            need = [ceil(round(amount * FINE, 6)) for amount in (v.weight_kg, v.room_l, v.rest_l)]
            model.add_client(
                places[v.place], need, service_duration=v.minutes,
                tw_early=c * longest + opens, tw_late=c * longest + closes - v.minutes,
                prize=prize, required=must and group is None, group=group,
            )  # fmt: skip
            order.append((i, c))
    if not order:
        return Plan(tuple(() for _ in problem.days), "search")
    data = model.data()
    first = None
    if start is not None:
        number = {pair: k for k, pair in enumerate(order)}
        first = _solution(data, start, number, kind_of)
    stop = MultipleCriteria([MaxIterations(iterations), MaxRuntime(seconds)])
    with warnings.catch_warnings():
        # that it finds nothing is no news to the keeper: another way is tried then
        warnings.simplefilter("ignore")
        found = model.solve(stop, seed=seed, collect_stats=False, display=False, initial_solution=first)
    if not found.is_feasible():
        return None
    routes: list[tuple[int, ...]] = [() for _ in problem.days]
    left = [list(days) for days in kinds]
    for route in found.best.routes():
        routes[left[route.vehicle_type()].pop(0)] = tuple(order[k][0] for k in _clients(route))
    plan = Plan(tuple(routes), "search")
    return None if plan.faults(problem) else plan


def alike(problem: Problem) -> list[list[int]]:
    """Days that are the same to every visit, hours and costs and all, in order of their first: one kind of vehicle."""
    kinds: dict[tuple[object, ...], list[int]] = {}
    for d, hours in enumerate(problem.days):
        seen = tuple((v.windows.get(d), v.penalty.get(d, 0) if d in v.windows else 0) for v in problem.visits)
        kinds.setdefault((tuple(hours), seen), []).append(d)
    return list(kinds.values())


def _clients(route: Any) -> list[int]:
    return [a.idx for a in route if a.is_client()]


def _solution(data: Any, plan: Plan, number: dict[tuple[int, int], int], kind_of: dict[int, int]) -> Any:
    """A plan in the library's words; None when it holds a visit that the library was not told of."""
    from pyvrp import Route, Solution

    routes = []
    for d, route in enumerate(plan.routes):
        c = kind_of[d]
        if any((i, c) not in number for i in route):
            return None
        if route:
            routes.append(Route(data, [number[i, c] for i in route], c))
    return Solution(data, routes)
