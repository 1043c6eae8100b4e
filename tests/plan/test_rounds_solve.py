"""Rounds planned: right against a plain listing of everything, bounded from below, and the same every time."""

from __future__ import annotations

from itertools import permutations, product

import numpy as np
import pytest

from benchmarks.rounds import PUBLISHED, Published, invented
from tideover.plan.rounds.among import quick
from tideover.plan.rounds.bound import every_round_within, lower_bound
from tideover.plan.rounds.exact import choose, every_round, exact
from tideover.plan.rounds.greedy import greedy
from tideover.plan.rounds.objects import Plan, Problem, Visit
from tideover.plan.rounds.search import search
from tideover.plan.rounds.solve import solve


def small(seed: int, visits: int = 4, days: int = 3) -> Problem:
    """A small case with closed days, lateness, a tight vehicle and roads that differ by direction."""
    rng = np.random.default_rng(seed)
    drive = rng.integers(5, 60, (visits + 1, visits + 1))
    np.fill_diagonal(drive, 0)
    made = []
    for i in range(visits):
        windows, penalty = {}, {}
        for d in range(days):
            if rng.random() < 0.75:
                opens = 360 + int(rng.integers(0, 60))
                windows[d] = (opens, opens + int(rng.integers(60, 200)))
                penalty[d] = int(rng.integers(0, 4)) * 40
        made.append(Visit(f"v{i}", i + 1, int(rng.integers(20, 60)), windows, penalty, 900, float(rng.integers(1, 6))))
    return Problem([(300, 640)] * days, made, drive.tolist(), 15, 9.0)


def by_hand(problem: Problem) -> int:
    """The least cost by trying every day for every visit and every order on every day."""
    best: dict[tuple[int, tuple[int, ...]], int | None] = {}
    n, days = len(problem.visits), len(problem.days)

    def day_cost(d: int, group: tuple[int, ...]) -> int | None:
        if (d, group) not in best:
            costs = [
                problem.route_cost(d, order)
                for order in permutations(group)
                if problem.clock(d, order) is not None and problem.fits(order)
            ]
            best[d, group] = min(costs) if costs else None
        return best[d, group]

    least = sum(v.drop for v in problem.visits)
    for choice in product(range(days + 1), repeat=n):
        total = sum(problem.visits[i].drop for i in range(n) if choice[i] == days)
        for d in range(days):
            cost = day_cost(d, tuple(i for i in range(n) if choice[i] == d))
            if cost is None:
                break
            total += cost
        else:
            least = min(least, total)
    return least


@pytest.mark.parametrize("seed", range(12))
def test_small_problems_are_solved_exactly(seed: int) -> None:
    """The plan costs what the cheapest of all plans costs, which is found by listing them all."""
    problem = small(seed)
    expected = by_hand(problem)
    got = solve(problem)

    assert got.plan.faults(problem) == []
    assert got.plan.cost(problem) == got.cost == expected
    assert got.bound == pytest.approx(expected)


@pytest.mark.parametrize("seed", range(12))
def test_bound_lies_below_the_best_plan(seed: int) -> None:
    """Listing all plans gives the best; the bound is never above it, wherever its work is stopped."""
    problem = small(seed, visits=5, days=2)
    expected = by_hand(problem)
    for rounds in (1, 3, 100):
        assert lower_bound(problem, greedy(problem), rounds=rounds).value <= expected + 1e-6


@pytest.mark.parametrize("seed", range(6))
def test_every_way_gives_plans_that_can_be_driven(seed: int) -> None:
    """Plain rule, search and listed rounds: no repeated visit, hours and load kept, never below the bound."""
    problem = invented(12, seed, days=7)
    plain = greedy(problem)
    found = search(problem, iterations=200, start=plain)
    under = lower_bound(problem, plain)
    joined = quick(problem, under)
    for plan in (plain, found, joined):
        assert plan is not None
        assert plan.faults(problem) == []
        assert plan.cost(problem) >= under.value - 1e-6


@pytest.mark.parametrize("seed", range(8))
def test_no_cheaper_plan_has_a_round_that_was_not_listed(seed: int) -> None:
    """The rounds listed within the distance from bound to best hold a plan as cheap as the best of all plans."""
    problem = small(seed, visits=5, days=2)
    expected = by_hand(problem)
    under = lower_bound(problem, greedy(problem))
    listed = every_round_within(problem, under, expected - under.value + 0.5)
    assert listed is not None
    found = choose(problem, listed, 10.0)

    assert found is not None
    assert found[0].cost(problem) == expected
    fewer = every_round_within(problem, under, 1.0)
    assert fewer is not None
    assert len(fewer) <= len(listed)


def test_cuts_raise_the_bound_and_no_plan_breaks_them() -> None:
    """Twenty yards: with cuts the bound is no lower; in the best plan no cut is broken.

    A plan has at most one round with two or more of any three visits, by counting.
    """
    problem = invented(20, 1)
    plain = lower_bound(problem, greedy(problem), cuts=0)
    cut = lower_bound(problem, greedy(problem))
    best = solve(problem).plan

    assert cut.cuts
    assert cut.value >= plain.value - 1e-6
    for one in cut.cuts:
        assert sum(1 for r in best.routes if len(set(r) & set(one)) >= 2) <= 1


def test_forty_yards_come_out_the_same_twice_and_near_the_bound() -> None:
    """The work stops by its own counts, not by the clock; the plan is within the two percent asked for."""
    problem = invented(40, 2)
    first = solve(problem, iterations=200, seconds=600.0)
    again = solve(problem, iterations=200, seconds=600.0)

    assert first == again
    assert first.plan.faults(problem) == []
    assert first.cost < 0.5 * first.greedy_cost
    assert first.gap <= 0.02


def test_search_stops_at_its_own_limit(monkeypatch: pytest.MonkeyPatch) -> None:
    """Forty yards: the library is asked for no more steps than were allowed, and does no more."""
    import pyvrp

    done: list[int] = []
    plain = pyvrp.Model.solve

    def counted(self: pyvrp.Model, *args: object, **kwargs: object) -> object:
        got = plain(self, *args, **kwargs)  # type: ignore[arg-type]
        done.append(got.num_iterations)
        return got

    monkeypatch.setattr(pyvrp.Model, "solve", counted)
    assert search(invented(40, 1), iterations=50, seconds=600.0) is not None
    assert done == [50]


@pytest.mark.parametrize("one", PUBLISHED, ids=lambda one: one.name)
def test_published_instance_within_two_percent(one: Published) -> None:
    """Values and where they are from: data/README."""
    problem = one.problem()
    found = search(problem, iterations=3000, seconds=600.0)

    assert found is not None
    assert found.faults(problem) == []
    assert one.best <= found.cost(problem) / one.scale <= one.best * 1.02


def test_plain_rule_stands_in_when_the_library_is_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the routing library a plan still comes, with its bound."""
    monkeypatch.setattr("tideover.plan.rounds.solve.search", lambda *a, **k: None)
    problem = invented(12, 3, days=7)
    got = solve(problem)

    assert got.plan.faults(problem) == []
    assert got.bound <= got.cost <= got.greedy_cost


def test_keeping_the_plan_costs_nothing_and_moving_does() -> None:
    """A visit stays on the day it was on where another day would save less than moving costs."""
    drive = [[0, 20, 20], [20, 0, 4], [20, 4, 0]]
    hours = {0: (360, 600), 1: (360, 600)}
    free = [Visit("a", 1, 30, hours, {}, 900), Visit("b", 2, 30, hours, {}, 900)]
    together = solve(Problem([(300, 700)] * 2, free, drive))
    assert sorted(len(r) for r in together.plan.routes) == [0, 2]

    kept = [Visit("a", 1, 30, hours, {1: 60}, 900), Visit("b", 2, 30, hours, {0: 60}, 900)]
    apart = solve(Problem([(300, 700)] * 2, kept, drive))
    assert apart.plan.routes == ((0,), (1,))


def test_nothing_to_do_is_an_empty_plan() -> None:
    """No visit, no day, no cost."""
    assert solve(Problem([(300, 700)], [], [[0]])).plan.routes == ((),)
    assert every_round(Problem([], [], [[0]])) == []
    assert exact(Problem([], [], [[0]])) is not None


def test_visit_that_fits_no_day_is_left_out() -> None:
    """It costs its drop and the plan says which."""
    hours = {0: (360, 420)}
    problem = Problem(
        [(300, 480)], [Visit("far", 1, 30, hours, {}, 500), Visit("near", 2, 30, hours, {}, 500)],
        [[0, 200, 10], [200, 0, 200], [10, 200, 0]],
    )  # fmt: skip
    got = solve(problem)
    assert got.plan.routes == ((1,),)
    assert got.cost == 500 + 20


def test_faults_are_told() -> None:
    """A repeated visit, a day that cannot be driven, a load that does not fit."""
    hours = {0: (360, 420), 1: (360, 420)}
    problem = Problem([(300, 480)] * 2, [Visit("a", 1, 40, hours, {}, 500, 5.0)] * 2, [[0, 10], [10, 0]], 0, 8.0)
    told = Plan(((0, 1), (0,)), "by hand").faults(problem)
    assert told == [
        "Day 0 cannot be driven within its hours.",
        "Day 0 does not fit the vehicle or the freezer.",
        "Day 1 repeats a visit.",
    ]


def test_impossible_visits_are_refused() -> None:
    """A window that cannot hold the work and a cost below nothing are one sentence each."""
    with pytest.raises(ValueError, match="needs 90 min, but day 0 is open 60"):
        Visit("a", 1, 90, {0: (360, 420)}, {}, 10)
    with pytest.raises(ValueError, match="negative cost"):
        Visit("a", 1, 10, {}, {0: -1}, 10)
    with pytest.raises(ValueError, match="not in the problem"):
        Problem([], [Visit("a", 1, 10, {0: (360, 420)}, {}, 10)], [[0, 1], [1, 0]])
