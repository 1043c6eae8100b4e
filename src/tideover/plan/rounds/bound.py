"""A cost below which no plan can be, by generating rounds one at a time where a price says they could help.

The linear program over all rounds is a relaxation of the plan, tightened by cuts (``cuts``). Its rounds are found
by dynamic programming over place and minute, where a round may come back to a visit but not straight away, and
the vehicle's load is left out: both only let the bound lie lower. At any prices p of the visits and q of the cuts,

    sum of p - sum of q + sum over days of min(0, cheapest round of the day at these prices)

lies below the cost of every plan (Lagrange), so that the bound holds wherever the work stops. And a round that
costs more than the cheapest of its day by d at these prices is in no plan that costs less than the bound and d:
once a plan is known, only the rounds within the distance between the two need be listed (``every_round_within``).
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from math import inf
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.plan.rounds.cuts import MOST_CUTS, Cut, bits, broken
from tideover.plan.rounds.exact import Column
from tideover.plan.rounds.master import Master
from tideover.plan.rounds.objects import Plan, Problem
from tideover.plan.rounds.pricing import MOST_LABELS, WORD, every_near, labels, neighbours, onward

ROUNDS: Final = 200
SECONDS: Final = 15.0
NEAR: Final = 1e-6
REMEMBERED: Final = WORD
"""Visits that each visit remembers; more makes the bound sharper and slower."""
CUTS: Final = 30
"""Cuts added at most: each dozen costs about a second at forty visits and brings less than the one before."""
MOST_NEAR: Final = 150_000
"""Half-made rounds of one day beyond which the rounds near the bound are too many to list."""
MOST_LISTED: Final = 2_500
"""Rounds beyond which a choice among them would take too long."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_Labels = tuple[int, Floats, Ints, Ints]


@dataclass(frozen=True)
class Bound:
    """``value`` [min]; the rounds found on the way and the cuts; ``closed``: the program was solved to its end.

    ``visits``, ``cut_price``, ``least``: the prices at which the bound was reached, and what the cheapest round of
    each day costs at them [min].
    """

    value: float
    columns: list[Column]
    closed: bool
    cuts: tuple[Cut, ...] = ()
    visits: Floats | None = None
    cut_price: Floats | None = None
    least: Floats | None = None


@dataclass(frozen=True)
class _Table:
    """A problem as arrays: places and minutes of the visits, and their hours and extra cost on each day."""

    drive: Ints
    place: Ints
    minutes: Ints
    opens: Ints
    closes: Ints
    extra: Floats

    @classmethod
    def of(cls, problem: Problem) -> _Table:
        """Put a problem into arrays; a day on which a visit is shut closes at -1."""
        n, days = len(problem.visits), len(problem.days)
        opens, closes = np.zeros((days, n), dtype=np.int64), np.full((days, n), -1, dtype=np.int64)
        extra = np.zeros((days, n))
        for i, v in enumerate(problem.visits):
            for d, (a, b) in v.windows.items():
                opens[d, i], closes[d, i], extra[d, i] = a, b, v.penalty.get(d, 0)
        return cls(
            np.array(problem.drive, dtype=np.int64),
            np.array([v.place for v in problem.visits], dtype=np.int64),
            np.array([v.minutes for v in problem.visits], dtype=np.int64),
            opens, closes, extra,
        )  # fmt: skip


def _rounds_of(found: _Labels, home: Ints, trip: int, per_visit: int = 3) -> list[tuple[float, tuple[int, ...]]]:
    """For each last visit the cheapest rounds at the present prices, those that cost less than nothing only."""
    used, cost, node, parent = found
    value = cost[:used] + home[node[:used]] + trip
    good = np.flatnonzero(value < -NEAR)
    out = []
    taken: dict[int, int] = {}
    for k in good[np.argsort(value[good], kind="stable")]:
        last = int(node[k])
        if taken.get(last, 0) >= per_visit:
            continue
        taken[last] = taken.get(last, 0) + 1
        out.append((float(value[k]), _route(int(k), node, parent)))
    return out


def _route(k: int, node: Ints, parent: Ints) -> tuple[int, ...]:
    """The visits of a half-made round, first to last."""
    route = []
    while k >= 0:
        route.append(int(node[k]))
        k = int(parent[k])
    return tuple(reversed(route))


def lower_bound(
    problem: Problem, start: Plan, *, rounds: int = ROUNDS, seconds: float = SECONDS, cuts: int = CUTS
) -> Bound:
    """A bound for the cost of every plan of a problem.

    Parameters: start: any plan, whose rounds begin the list; rounds: how often prices are tried at most;
    seconds: a stop for slow machines [s]; cuts: how many may be added (at most 62). The bound is valid wherever
    the work stops.
    """
    n, days = len(problem.visits), len(problem.days)
    drops = np.array([v.drop for v in problem.visits], dtype=np.float64)
    if n == 0 or days == 0:
        return Bound(float(drops.sum()), [], True)
    table = _Table.of(problem)
    master = Master(n, days, drops)
    for d, route in enumerate(start.routes):
        if route:
            master.add(d, route, problem.route_cost(d, route))
    for i, v in enumerate(problem.visits):
        for d in v.windows:
            if problem.clock(d, (i,)) is not None:
                master.add(d, (i,), problem.route_cost(d, (i,)))
    memory = REMEMBERED
    near = neighbours(table.drive, table.place, memory)
    home = table.drive[table.place, 0]
    best = Bound(-inf, [], False)
    until = time.monotonic() + seconds
    rough = True
    for _ in range(rounds):
        got = master.solved()
        cut_bits, cut_price = bits(master.cuts, n), -got.cuts
        least = np.zeros(days)
        fresh = 0
        for d in range(days):
            leave, back = problem.days[d]
            ask = (leave, back, table.drive, table.place, table.minutes, table.opens[d], table.closes[d])
            worth = table.extra[d] - got.visits
            ahead = onward(*ask, worth)
            under = got.days[d] - problem.trip - NEAR
            made = labels(*ask, worth, near, *ahead, cut_bits, cut_price, under, rough, MOST_LABELS)
            while made[0] < 0 and memory > 0:
                # too many half-made rounds: remember less, which asks less of a round and still bounds every plan
                memory //= 2
                near = neighbours(table.drive, table.place, memory)
                made = labels(*ask, worth, near, *ahead, cut_bits, cut_price, under, rough, MOST_LABELS)
            if made[0] < 0:
                return _finished(best, master)
            found = _rounds_of(made, home, problem.trip)
            # no round cheaper than the day's price is known to be left where none was found
            least[d] = min([got.days[d], *(value for value, _ in found)])
            for value, route in found:
                if value - got.days[d] < -NEAR:
                    # a round that comes back to a visit costs its penalty each time, as it did in the search
                    fresh += master.add(d, route, _walk_cost(problem, d, route))
        late = time.monotonic() > until
        if not rough:
            value = float(got.visits.sum() - cut_price.sum() + least.sum())
            if value > best.value:
                best = Bound(value, [], False, tuple(master.cuts), got.visits, cut_price, least)
            if fresh == 0:
                best = replace(best, closed=True)
                room = max(0, min(cuts, MOST_CUTS) - len(master.cuts))
                new = broken(master.counts(), got.taken, set(master.cuts))[:room]
                if not new:
                    break
                master.cuts += new
            rough = fresh == 0 and not late
            if late:
                break
        elif fresh == 0 or late:
            rough = False
    return _finished(best, master)


def _finished(best: Bound, master: Master) -> Bound:
    listed = [(d, route, c) for (d, route), c in master.cost.items()]
    return replace(best, value=max(0.0, best.value), columns=listed)


def _walk_cost(problem: Problem, day: int, route: tuple[int, ...]) -> int:
    return problem.trip + problem.driving(route) + sum(problem.visits[i].penalty.get(day, 0) for i in route)


def every_round_within(problem: Problem, under: Bound, distance: float) -> list[Column] | None:
    """Every round that can be in a plan which costs less than the bound and ``distance`` [min] more.

    Of rounds that visit the same places on the same day only the cheapest is listed. None when they are too many,
    or the bound has no prices.
    """
    n = len(problem.visits)
    if under.visits is None or under.cut_price is None or under.least is None or n > WORD:
        return None
    table = _Table.of(problem)
    cut_bits = bits(list(under.cuts), n)
    kept: dict[tuple[int, frozenset[int]], Column] = {}
    for d, (leave, back) in enumerate(problem.days):
        ask = (leave, back, table.drive, table.place, table.minutes, table.opens[d], table.closes[d])
        worth = table.extra[d] - under.visits
        limit = float(under.least[d]) + distance - problem.trip + NEAR
        ahead = onward(*ask, worth)
        used, node, parent, whole = every_near(
            *ask, worth, *ahead, cut_bits, under.cut_price, limit, MOST_NEAR
        )  # fmt: skip
        if used < 0:
            return None
        for k in np.flatnonzero(whole[:used]):
            route = _route(int(k), node, parent)
            if not problem.fits(route):
                continue
            cost = problem.route_cost(d, route)
            key = d, frozenset(route)
            if key not in kept or cost < kept[key][2]:
                kept[key] = d, route, cost
        if len(kept) > MOST_LISTED:
            return None
    return list(kept.values())
