"""The optimum held against GLPK, a general solver of others, where it is installed (package ``cvxopt``)."""

from __future__ import annotations

from dataclasses import replace
from math import inf
from typing import Any

import numpy as np
import pytest

from tests.patty.kitchen_help import raw
from tests.patty.test_kitchen_programme import random_program
from tideover.patty.kitchen.formulate import formulate
from tideover.patty.kitchen.ingredients import pantry
from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.programme import Column, Row, solve
from tideover.patty.kitchen.solving import program
from tideover.patty.kitchen.task import read_task

cvxopt: Any = pytest.importorskip("cvxopt", reason="the second general solver is not installed")
glpk: Any = pytest.importorskip("cvxopt.glpk", reason="cvxopt was built without GLPK")


def by_glpk(columns: list[Column], rows: list[Row]) -> float | None:
    """Least cost by GLPK, simplex or branch and cut; None when nothing meets all rows."""
    names = [c.name for c in columns]
    at = {n: i for i, n in enumerate(names)}
    left, right, equal, level = [], [], [], []
    for row in rows:
        a = np.zeros(len(names))
        for name, value in row.terms.items():
            a[at[name]] += value
        if row.low == row.high:
            equal.append(a)
            level.append(row.low)
            continue
        if row.high < inf:
            left.append(a)
            right.append(row.high)
        if row.low > -inf:
            left.append(-a)
            right.append(-row.low)
    for i, c in enumerate(columns):
        unit = np.zeros(len(names))
        unit[i] = 1.0
        left.append(-unit)
        right.append(-c.lower)
        if c.upper < inf:
            left.append(unit)
            right.append(c.upper)
    glpk.options["msg_lev"] = "GLP_MSG_OFF"
    cost = cvxopt.matrix([c.cost for c in columns])
    g, h = cvxopt.sparse(cvxopt.matrix(np.array(left))), cvxopt.matrix(np.array(right))
    a_eq = cvxopt.matrix(np.array(equal)) if equal else cvxopt.matrix(0.0, (0, len(names)))
    b_eq = cvxopt.matrix(np.array(level)) if level else cvxopt.matrix(0.0, (0, 1))
    whole = {i for i, c in enumerate(columns) if c.whole}
    if whole:
        status, x = glpk.ilp(cost, g, h, cvxopt.sparse(a_eq), b_eq, whole)
    else:
        status, x, *_ = glpk.lp(cost, g, h, cvxopt.sparse(a_eq), b_eq)
    return None if x is None or status not in ("optimal", "feasible") else float((cost.T * x)[0])


@pytest.mark.parametrize("seed", range(60))
def test_optimum_is_that_of_glpk(seed: int) -> None:
    """On random programs of twelve unknowns, every third in whole numbers."""
    columns, rows = random_program(5000 + seed, 12, 10, 6.0)
    if seed % 3 == 0:
        columns = [replace(c, whole=i % 2 == 0) for i, c in enumerate(columns)]
    found, second = solve(columns, rows, shadows=False), by_glpk(columns, rows)

    if second is None:
        assert found.status == "none"
    else:
        assert found.cost == pytest.approx(second, rel=1e-5, abs=1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_patty_at_random_prices_costs_what_glpk_says(seed: int) -> None:
    """Ten ingredients of the book at random, prices and limits at random, whole bags every second time."""
    rng = np.random.default_rng(6000 + seed)
    names = [n for n, one in pantry().items() if one.mind != "health" and n not in ("water", "white sugar")]
    items: list[Any] = [
        {"name": str(n), "price_kg": float(rng.uniform(0.5, 15)), "bag_kg": 2.5 if seed % 2 else 0}
        for n in rng.choice(names, 10, replace=False)
    ]
    items += [{"name": "white sugar", "price_kg": float(rng.uniform(0.5, 2))}, "water"]
    limits = {"protein_min": float(rng.uniform(10, 25)), "omega_ratio_max": float(rng.uniform(1, 6))}
    task = read_task({"batch_kg": 20, "ingredients": items, "limits": limits})
    columns, rows = program(task, limit_rows(task, task.pattern, {}))
    found, second = solve(columns, rows, shadows=False), by_glpk(columns, rows)

    if second is None:
        assert found.status == "none"
        assert not formulate(task, prices=False).found
    else:
        assert found.cost == pytest.approx(second, rel=1e-5)


@pytest.mark.parametrize("aim", ["most protein", "use up"])
def test_other_aims_are_as_good_as_glpk(aim: str) -> None:
    """The most protein within a budget, and the most made of what is in the shed."""
    items = raw()["ingredients"]
    stock = [{**i, "stock_kg": 2.0} for i in items if isinstance(i, dict)]
    changes: dict[str, Any] = {"budget": 40.0} if aim == "most protein" else {"ingredients": [*stock, "water"]}
    task = read_task(raw(aim=aim, **changes))
    columns, rows = program(task, limit_rows(task, task.pattern, {}))

    assert solve(columns, rows, shadows=False).cost == pytest.approx(by_glpk(columns, rows), rel=1e-6)


@pytest.mark.parametrize("seed", range(30))
def test_other_aims_at_random_are_as_good_as_glpk(seed: int) -> None:
    """Budgets, stocks, prices and bags at random; the shed used up with and without a batch size."""
    rng = np.random.default_rng(7000 + seed)
    aim = ("most protein", "use up", "use up")[seed % 3]
    names = [n for n, one in pantry().items() if one.mind != "health" and n not in ("water", "white sugar")]
    items: list[Any] = [
        {"name": str(n), "price_kg": float(rng.uniform(0.5, 15)), "stock_kg": float(rng.uniform(0.0, 3.0)),
         "bag_kg": 2.5 if seed % 2 and aim == "most protein" else 0}
        for n in rng.choice(names, 8, replace=False)
    ]  # fmt: skip
    items += [{"name": "white sugar", "price_kg": 0.8, "stock_kg": float(rng.uniform(1.0, 8.0))}, "water"]
    changes: dict[str, Any] = {"budget": float(rng.uniform(10.0, 60.0))} if aim == "most protein" else {}
    if seed % 3 != 2:
        changes["batch_kg"] = 10.0
    limits = {"protein_min": float(rng.uniform(8, 18)), "omega_ratio_max": float(rng.uniform(2, 8)), "fat_min": "none"}
    task = read_task({"aim": aim, "ingredients": items, "limits": limits} | changes)
    columns, rows = program(task, limit_rows(task, task.pattern, {}))
    found, second = solve(columns, rows, shadows=False), by_glpk(columns, rows)

    if second is None:
        assert found.status == "none"
        mix = formulate(task, prices=False)
        assert mix.together or mix.notes
    else:
        assert found.cost == pytest.approx(second, rel=1e-5, abs=1e-6)
