"""The linear program over the rounds listed, with its prices (HiGHS through SciPy)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog
from scipy.sparse import csc_matrix

from tideover.plan.rounds.cuts import Cut, weight

ASIDE_MIN: Final = 80.0
"""Rounds this much too dear at the present prices [min] are left out of the next program; they come back if found."""
MANY: Final = 1500
"""Fewer rounds than this are all kept in the program."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Round = tuple[int, tuple[int, ...]]
"""Day and route."""


@dataclass(frozen=True)
class Prices:
    """What the program says: prices of visits, days and cuts [min], its value, and how much of each round it takes."""

    visits: Floats
    days: Floats
    cuts: Floats
    value: float
    taken: Floats


@dataclass
class Master:
    """Rounds listed so far, and the program over them: every visit in a round or left out, one round a day."""

    visits: int
    days: int
    drops: Floats
    cuts: list[Cut] = field(default_factory=list)
    cost: dict[Round, int] = field(default_factory=dict)
    _counts: list[Ints] = field(default_factory=list)
    _number: dict[Round, int] = field(default_factory=dict)
    _active: set[int] = field(default_factory=set)

    def add(self, day: int, route: tuple[int, ...], cost: int) -> bool:
        """List a round and use it; False when it was in use already."""
        k = self._number.setdefault((day, route), len(self._number))
        if k in self._active:
            return False
        if (day, route) not in self.cost:
            self.cost[day, route] = cost
            self._counts.append(np.bincount(np.array(route, dtype=np.int64), minlength=self.visits))
        self._active.add(k)
        return True

    def counts(self) -> Ints:
        """How often each round listed visits each place (rounds, visits)."""
        return np.array(self._counts, dtype=np.int64).reshape(-1, self.visits)

    def solved(self) -> Prices:
        """Solve the program over the rounds in use, and put aside those that are far too dear."""
        keys = list(self.cost)
        of = np.array(sorted(self._active), dtype=np.int64)
        counts = self.counts()[of]
        day = np.array([keys[k][0] for k in of], dtype=np.int64)
        cost = np.array([self.cost[keys[k]] for k in of], dtype=np.float64)
        got = solve_program(counts, day, cost, self.days, self.drops, self.cuts)
        rest = cost - counts @ got.visits - got.days[day]
        for c, cut in enumerate(self.cuts):
            rest = rest - got.cuts[c] * weight(counts, cut)
        if len(of) > MANY:
            self._active = {int(k) for k in of[rest < ASIDE_MIN]}
        taken = np.zeros(len(keys))
        taken[of] = got.taken
        return Prices(got.visits, got.days, got.cuts, got.value, taken)


def solve_program(counts: Ints, day: Ints, cost: Floats, days: int, drops: Floats, cuts: Sequence[Cut] = ()) -> Prices:
    """The program over rounds: prices of visits lie between 0 and their drop, those of days and cuts at or below 0.

    Parameters: counts (rounds, visits): how often each visits each place; day, cost (rounds,); drops (visits,): what
    leaving each visit out costs [min].
    """
    rounds, n = counts.shape
    in_day = np.zeros((days, rounds))
    in_day[day, np.arange(rounds)] = 1.0
    rows = [-counts.T.astype(np.float64), in_day]
    if cuts:
        rows.append(np.array([weight(counts, cut) for cut in cuts], dtype=np.float64))
    left = np.zeros((n + days + len(cuts), n))
    left[:n] = -np.eye(n)
    table = csc_matrix(np.hstack([np.vstack(rows), left]))
    limits = np.concatenate([-np.ones(n), np.ones(days + len(cuts))])
    got = linprog(np.concatenate([cost, drops]), A_ub=table, b_ub=limits, bounds=(0, None), method="highs")
    duals = np.asarray(got.ineqlin.marginals)
    return Prices(
        np.clip(-duals[:n], 0.0, drops), np.minimum(duals[n : n + days], 0.0), np.minimum(duals[n + days :], 0.0),
        float(got.fun), np.asarray(got.x)[:rounds],
    )  # fmt: skip
