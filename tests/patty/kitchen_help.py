"""A plain task, and an exact solver of small programs to hold the fast one against."""

from __future__ import annotations

from itertools import combinations
from math import inf
from typing import Any

import numpy as np

from tideover.patty.kitchen.programme import Column, Row

PRICES = {
    "soy flour, defatted": 1.5, "yeast, brewer's, dried": 3.0, "egg yolk, dried": 10.0, "egg white, dried": 12.0,
    "skim milk powder": 3.0, "spirulina, dried": 12.0, "white sugar": 0.8, "rapeseed oil": 1.5, "flaxseed oil": 6.0,
}  # fmt: skip
"""Money per kg, made up."""


def raw(**changes: Any) -> dict[str, Any]:
    """A task for 20 kg of the cheapest patty, with changes."""
    made: dict[str, Any] = {
        "aim": "cheapest",
        "batch_kg": 20,
        "ingredients": [{"name": n, "price_kg": p} for n, p in PRICES.items()] + ["water"],
        "limits": {"protein_min": 18, "fat_min": 5, "sugar_min": 40, "water_max": 20, "omega_ratio_max": 1},
    }
    made.update(changes)
    return made


def corners(columns: list[Column], rows: list[Row]) -> float | None:
    """Least cost over all corners of a small program with bounded columns; None when there is no corner.

    Every corner is where as many bounds hold as there are columns: all choices of them are tried.
    """
    n = len(columns)
    planes: list[tuple[np.ndarray, float]] = []
    for i, c in enumerate(columns):
        unit = np.zeros(n)
        unit[i] = 1.0
        planes += [(unit, c.lower)] + ([(unit, c.upper)] if c.upper < inf else [])
    for r in rows:
        a = np.array([r.terms.get(c.name, 0.0) for c in columns])
        planes += [(a, b) for b in {r.low, r.high} if abs(b) < inf]
    best = None
    cost = np.array([c.cost for c in columns])
    for chosen in combinations(planes, n):
        a, b = np.array([p[0] for p in chosen]), np.array([p[1] for p in chosen])
        if abs(np.linalg.det(a)) < 1e-9:
            continue
        x = np.linalg.solve(a, b)
        if all(c.lower - 1e-7 <= v <= c.upper + 1e-7 for c, v in zip(columns, x, strict=True)) and all(
            r.low - 1e-7 <= float(sum(r.terms.get(c.name, 0.0) * v for c, v in zip(columns, x, strict=True))) <= r.high + 1e-7
            for r in rows
        ):  # fmt: skip
            value = float(cost @ x)
            best = value if best is None else min(best, value)
    return best


def simplex(columns: list[Column], rows: list[Row]) -> float | None:
    """Least cost by the two-phase simplex method with Bland's rule; None when nothing meets all rows.

    For columns from 0 upwards without upper bounds. Written from the textbook, so that it shares nothing with HiGHS.
    """
    n = len(columns)
    left: list[list[float]] = []
    right: list[float] = []
    slack: list[int] = []
    for r in rows:
        a = [r.terms.get(c.name, 0.0) for c in columns]
        if r.low == r.high:
            left, right, slack = [*left, a], [*right, r.low], [*slack, 0]
            continue
        if r.high < inf:
            left, right, slack = [*left, a], [*right, r.high], [*slack, 1]
        if r.low > -inf:
            left, right, slack = [*left, [-v for v in a]], [*right, -r.low], [*slack, 1]
    m = len(left)
    table = np.zeros((m, n + m + m + 1))
    for i in range(m):
        sign = -1.0 if right[i] < 0 else 1.0
        table[i, :n] = sign * np.array(left[i])
        table[i, n + i] = sign * slack[i]
        table[i, n + m + i] = 1.0
        table[i, -1] = sign * right[i]
    basis = [n + m + i for i in range(m)]
    phase_one = np.concatenate([np.zeros(n + m), np.ones(m)])
    if _pivot(table, basis, phase_one, n + m + m) > 1e-7:
        return None
    cost = np.concatenate([[c.cost for c in columns], np.zeros(m), np.zeros(m)])
    for i, b in enumerate(list(basis)):
        if b >= n + m:
            for j in range(n + m):
                if abs(table[i, j]) > 1e-9:
                    _turn(table, basis, i, j)
                    break
    return _pivot(table, basis, cost, n + m)


def _pivot(table: np.ndarray, basis: list[int], cost: np.ndarray, width: int) -> float:
    while True:
        reduced = cost[:width] - cost[basis] @ table[:, :width]
        enter = next((j for j in range(width) if reduced[j] < -1e-9), None)
        if enter is None:
            return float(cost[basis] @ table[:, -1])
        ratios = [(table[i, -1] / table[i, enter], basis[i], i) for i in range(len(basis)) if table[i, enter] > 1e-9]
        if not ratios:
            return -inf
        least = min(r[0] for r in ratios)
        _turn(table, basis, min((r for r in ratios if r[0] <= least + 1e-12), key=lambda r: r[1])[2], enter)


def _turn(table: np.ndarray, basis: list[int], row: int, column: int) -> None:
    table[row] /= table[row, column]
    for i in range(len(basis)):
        if i != row:
            table[i] -= table[i, column] * table[row]
    basis[row] = column
