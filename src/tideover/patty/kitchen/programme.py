"""Linear and whole-number programs with named rows, solved by HiGHS through SciPy.

A program minimises ``cost @ x`` under ``low <= row @ x <= high`` for each row and ``lower <= x <= upper``. After a
program with whole numbers its numbers are held and the rest solved again, so that every answer has shadow prices.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.optimize import Bounds, LinearConstraint, linprog, milp

Floats = npt.NDArray[np.float64]
TIME_LIMIT_S: Final = 20.0


@dataclass(frozen=True)
class Row:
    """One constraint: coefficients by column name, and the bounds of their sum."""

    key: str
    terms: Mapping[str, float]
    low: float = -inf
    high: float = inf


@dataclass(frozen=True)
class Column:
    """One unknown: cost per unit, bounds, and whether it must be whole."""

    name: str
    cost: float = 0.0
    lower: float = 0.0
    upper: float = inf
    whole: bool = False


@dataclass(frozen=True)
class Answer:
    """What a solver found. ``shadow`` is the change of the cost per unit of a row's bound, by row."""

    status: str
    """``found``, ``none`` (nothing meets all rows), ``endless`` (cost falls for ever) or ``gave up``."""
    cost: float = inf
    x: Mapping[str, float] = field(default_factory=dict)
    shadow: Mapping[str, float] = field(default_factory=dict)
    reduced: Mapping[str, float] = field(default_factory=dict)


def solve(columns: Sequence[Column], rows: Sequence[Row], shadows: bool = True) -> Answer:
    """Solve a program.

    Raises: ValueError when a row names a column that is not there.
    """
    at = {c.name: i for i, c in enumerate(columns)}
    matrix = np.zeros((len(rows), len(columns)))
    for i, row in enumerate(rows):
        for name, value in row.terms.items():
            if name not in at:
                raise ValueError(f"row {row.key} names {name!r}, which is no column.")
            matrix[i, at[name]] += value
    cost = np.array([c.cost for c in columns])
    low, high = np.array([r.low for r in rows]), np.array([r.high for r in rows])
    lower, upper = np.array([c.lower for c in columns]), np.array([c.upper for c in columns])
    if any(c.whole for c in columns):
        found = milp(
            cost, integrality=np.array([int(c.whole) for c in columns]), bounds=Bounds(lower, upper),
            constraints=LinearConstraint(matrix, low, high) if len(rows) else (),
            # its presolve prints on standard output now and then, which belongs to whoever reads the answer
            options={"time_limit": TIME_LIMIT_S, "mip_rel_gap": 1e-6, "presolve": False},
        )  # fmt: skip
        if found.x is None:
            return Answer({2: "none", 3: "endless", 4: "none"}.get(found.status, "gave up"))
        if not shadows:
            return Answer("found", float(found.fun), _named(columns, found.x))
        whole = np.array([c.whole for c in columns])
        lower, upper = lower.copy(), upper.copy()
        lower[whole] = upper[whole] = np.round(found.x[whole])
    return _linear(columns, rows, matrix, cost, low, high, lower, upper)


def _linear(
    columns: Sequence[Column], rows: Sequence[Row], matrix: Floats, cost: Floats, low: Floats, high: Floats,
    lower: Floats, upper: Floats,
) -> Answer:  # fmt: skip
    equal = low == high
    above, below = np.isfinite(low) & ~equal, np.isfinite(high) & ~equal
    left = np.vstack([-matrix[above], matrix[below]]) if above.any() or below.any() else None
    right = np.concatenate([-low[above], high[below]]) if left is not None else None
    found = linprog(
        cost, A_ub=left, b_ub=right, A_eq=matrix[equal] if equal.any() else None,
        b_eq=low[equal] if equal.any() else None, bounds=np.column_stack([lower, upper]), method="highs",
    )  # fmt: skip
    if found.status != 0:
        return Answer({2: "none", 3: "endless", 4: "none"}.get(found.status, "gave up"))
    shadow = np.zeros(len(rows))
    n_above = int(above.sum())
    if left is not None:
        # the sign is turned for rows given as 'at least', since they went in as 'at most' of the negative
        shadow[np.flatnonzero(above)] -= found.ineqlin.marginals[:n_above]
        shadow[np.flatnonzero(below)] += found.ineqlin.marginals[n_above:]
    if equal.any():
        shadow[np.flatnonzero(equal)] = found.eqlin.marginals
    reduced = found.lower.marginals + found.upper.marginals
    return Answer(
        "found", float(found.fun), _named(columns, found.x),
        {r.key: float(s) for r, s in zip(rows, shadow, strict=True)}, _named(columns, reduced),
    )  # fmt: skip


def _named(columns: Sequence[Column], values: Floats) -> dict[str, float]:
    return {c.name: float(v) for c, v in zip(columns, values, strict=True)}


def conflict(columns: Sequence[Column], rows: Sequence[Row], may_go: Sequence[str]) -> list[str]:
    """Keys of rows that cannot hold together, none of them spare; empty when everything can.

    may_go: keys of the rows that are the asker's wish; the others hold by nature and are always kept.
    """
    free = [Column(c.name, 0.0, c.lower, c.upper, c.whole) for c in columns]
    kept = list(rows)
    if solve(free, kept, shadows=False).status != "none":
        return []
    for key in may_go:
        fewer = [r for r in kept if r.key != key]
        if len(fewer) < len(kept) and solve(free, fewer, shadows=False).status == "none":
            kept = fewer
    left = {r.key for r in kept}
    return [key for key in dict.fromkeys(may_go) if key in left]
