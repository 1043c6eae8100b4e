"""The solver: the optimum against two solvers of our own that share nothing with it, and its shadow prices."""

from __future__ import annotations

from dataclasses import replace
from itertools import product
from math import inf

import numpy as np
import pytest

from tests.patty.kitchen_help import corners, raw, simplex
from tideover.patty.kitchen.formulate import formulate
from tideover.patty.kitchen.ingredients import pantry
from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.programme import Column, Row, conflict, solve
from tideover.patty.kitchen.requirement import pattern
from tideover.patty.kitchen.solving import program
from tideover.patty.kitchen.task import read_task


def random_program(seed: int, n: int, m: int, upper: float) -> tuple[list[Column], list[Row]]:
    """A program with bounded columns, rows of both kinds, and costs of both signs."""
    rng = np.random.default_rng(seed)
    columns = [Column(f"x{i}", float(rng.normal()), 0.0, upper) for i in range(n)]
    rows = []
    for k in range(m):
        terms = {f"x{i}": float(v) for i, v in enumerate(rng.normal(size=n))}
        if k % 3 == 0:
            rows.append(Row(f"r{k}", terms, low=float(rng.normal())))
        else:
            rows.append(Row(f"r{k}", terms, high=float(rng.normal() + 0.5)))
    return columns, rows


@pytest.mark.parametrize("seed", range(40))
def test_optimum_is_that_of_all_corners(seed: int) -> None:
    """On random programs the least cost is the least over every corner, or there is none in both."""
    columns, rows = random_program(seed, 3, 5, 4.0)
    found, exact = solve(columns, rows), corners(columns, rows)

    if exact is None:
        assert found.status == "none"
    else:
        assert found.cost == pytest.approx(exact, abs=1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_optimum_is_that_of_a_second_simplex(seed: int) -> None:
    """The same with more columns, against a textbook simplex."""
    rng = np.random.default_rng(1000 + seed)
    columns, rows = random_program(1000 + seed, 7, 6, inf)
    columns = [replace(c, cost=abs(c.cost)) for c in columns]
    rows.append(Row("size", {c.name: 1.0 for c in columns}, 1.0 + float(rng.random()), 4.0))
    found, second = solve(columns, rows), simplex(columns, rows)

    if second is None:
        assert found.status == "none"
    else:
        assert found.cost == pytest.approx(second, abs=1e-6)


@pytest.mark.parametrize("protein", [12, 15, 18, 21, 24, 27, 30, 60])
def test_patty_costs_the_same_by_the_second_simplex(protein: float) -> None:
    """The kitchen's own program, from easy to impossible."""
    task = read_task(raw(limits={"protein_min": protein, "fat_min": 5, "omega_ratio_max": 1}))
    columns, rows = program(task, limit_rows(task, pattern(), {}))
    # its only bounded columns are those that cannot be bought
    assert all(c.upper == inf for c in columns)
    found, second = solve(columns, rows), simplex(columns, rows)

    if second is None:
        assert found.status == "none"
    else:
        assert found.cost == pytest.approx(second, rel=1e-6)


@pytest.mark.parametrize("seed", range(12))
def test_whole_numbers_are_the_best_of_all(seed: int) -> None:
    """A program in whole numbers is as good as trying every one."""
    columns, rows = random_program(2000 + seed, 3, 3, 4.0)
    whole = [replace(c, whole=True) for c in columns]
    best = inf
    for x in product(range(5), repeat=3):
        sums = [sum(r.terms[f"x{i}"] * v for i, v in enumerate(x)) for r in rows]
        if all(r.low - 1e-9 <= s <= r.high + 1e-9 for r, s in zip(rows, sums, strict=True)):
            best = min(best, sum(c.cost * v for c, v in zip(columns, x, strict=True)))
    found = solve(whole, rows)

    assert (found.status == "none") if best == inf else (found.cost == pytest.approx(best, abs=1e-6))


@pytest.mark.parametrize("seed", range(20))
def test_shadow_price_is_what_a_small_change_costs(seed: int) -> None:
    """Moving a bound a hair changes the cost by the shadow price, to first order."""
    columns, rows = random_program(3000 + seed, 4, 4, 5.0)
    found = solve(columns, rows)
    if found.status != "found":
        return
    h = 1e-5
    for i, row in enumerate(rows):
        side = "low" if row.low > -inf else "high"
        moved = [*rows[:i], replace(row, **{side: getattr(row, side) + h}), *rows[i + 1 :]]
        after = solve(columns, moved)
        if after.status == "found":
            assert (after.cost - found.cost) / h == pytest.approx(found.shadow[row.key], abs=1e-3)


@pytest.mark.parametrize("seed", range(30))
def test_conflict_is_least(seed: int) -> None:
    """The rows named cannot hold together, and leaving any one of them out lets the others hold."""
    columns, rows = random_program(4000 + seed, 3, 9, 2.0)
    named = conflict(columns, rows, [r.key for r in rows])
    if not named:
        assert solve(columns, rows).status != "none"
        return
    kept = [r for r in rows if r.key in named]
    assert solve(columns, kept).status == "none"
    for row in kept:
        assert solve(columns, [r for r in kept if r is not row]).status != "none"


def test_unknown_column_is_refused() -> None:
    """A row must be about columns there are."""
    with pytest.raises(ValueError, match="no column"):
        solve([Column("a")], [Row("r", {"b": 1.0}, low=1.0)])


def test_endless_is_said() -> None:
    """Nothing to stop the cost from falling."""
    assert solve([Column("a", -1.0)], []).status == "endless"


def test_solver_prints_nothing(capfd: pytest.CaptureFixture[str]) -> None:
    """Thirty-three kinds of bags, at which the solver's presolve used to print on standard output."""
    items = [{"name": o.name, "price_kg": sum(o.hint) / 2 if o.hint else 1, "bag_kg": 2.5}
             for o in pantry().values() if o.mind != "health" and o.name != "water"]  # fmt: skip
    mix = formulate(read_task({"batch_kg": 20, "ingredients": [*items, "water"]}))
    assert mix.found
    assert any("as if all were sold by weight" in t for t in mix.notes)
    assert all(n.bag_kg > 0 or n.name == "water" for n in mix.task.items)
    assert capfd.readouterr() == ("", "")
