"""What the cores can do at all, and what a day of the colony asks of them: for the kernel's distance from the limit.

*Asked*: the floating-point operations of one member-day, counted as the readable day in NumPy does them (the compiled
day does the same sums; noise is hashing of whole numbers and is not counted). *Can do*: loops of nothing but
multiply-adds, of multiplications and minima that cannot be paired, and of divisions, over vectors as wide as the
kernel's, with so few sums at a time that none leaves the registers (four vectors fill ten of sixteen registers of 256
bits; eight are tried too, for wider ones).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from typing import Any

import numba as nb
import numpy as np

from benchmarks.colonies import ensemble, weather
from benchmarks.fits import best
from tideover.colony import lanes, layout, noise, reference
from tideover.colony.parameters import constants
from tideover.colony.weather import light_term

ROUNDS = 500
DAYS = 5


def counting() -> tuple[type[np.ndarray], Counter[str]]:
    """A kind of array that counts the floating-point operations done to it, and where it counts them, by name.

    A sum over n counts n, a product of matrices two for each number taken in.
    """
    counts: Counter[str] = Counter()

    class Counted(np.ndarray):
        def __array_ufunc__(self, ufunc: np.ufunc, method: str, *inputs: Any, **how: Any) -> Any:
            """Do it on plain arrays and count."""
            plain = [i.view(np.ndarray) if isinstance(i, Counted) else i for i in inputs]
            into = how.get("out")
            if into is not None:
                how["out"] = tuple(o.view(np.ndarray) if isinstance(o, Counted) else o for o in into)
            made = getattr(ufunc, method)(*plain, **how)
            if np.asarray(made).dtype.kind in "fb":
                size = np.asarray(plain[0] if method == "reduce" or ufunc is np.matmul else made).size
                counts[ufunc.__name__] += 2 * size if ufunc is np.matmul else size
            if into is not None:
                return into[0]
            return made.view(Counted) if isinstance(made, np.ndarray) else made

    return Counted, counts


def operations(members: int = 500) -> dict[str, float]:
    """Floating-point operations of one member-day by name, the mean of five days of the readable day.

    'divide' is apart from the others in what it costs.
    """
    counted, counts = counting()
    e, drivers, c = ensemble(members), weather(DAYS), constants()
    light = light_term(drivers.daylength_h, drivers.daylength_change_h, c)
    state, params = e.state.copy().view(counted), e.params.copy().view(counted)
    ledger = np.zeros((members, layout.LEDGERS)).view(counted)
    for d in range(DAYS):
        day = reference.Day(
            drivers.log_index[0, d], drivers.temp_max_c[0, d], drivers.temp_min_c[0, d], drivers.flight_h[0, d],
            drivers.pollen_h[0, d], float(light[d]),
        )  # fmt: skip
        reference.step(state, params, c, day, noise.key(1, 0), d, ledger)
    return {name: count / (members * DAYS) for name, count in counts.most_common()}


@nb.njit(parallel=True, fastmath=True)
def _paired_4(x: np.ndarray, rounds: int) -> float:
    total = 0.0
    for i in nb.prange(x.shape[0]):
        a, h = lanes.lanes(x[i]), lanes.lanes(0.5)
        b0, b1, b2, b3 = lanes.lanes(x[i]), lanes.lanes(x[i] + 1), lanes.lanes(x[i] + 2), lanes.lanes(x[i] + 3)
        for _ in range(rounds):
            b0 = b0 * a + h
            b1 = b1 * a + h
            b2 = b2 * a + h
            b3 = b3 * a + h
        table = lanes.rows(1)
        table[0] = b0 + b1 + b2 + b3
        total += lanes.take(table, 0, 0)
    return total


@nb.njit(parallel=True, fastmath=True)
def _paired_8(x: np.ndarray, rounds: int) -> float:
    total = 0.0
    for i in nb.prange(x.shape[0]):
        a, h = lanes.lanes(x[i]), lanes.lanes(0.5)
        b0, b1, b2, b3 = lanes.lanes(x[i]), lanes.lanes(x[i] + 1), lanes.lanes(x[i] + 2), lanes.lanes(x[i] + 3)
        b4, b5, b6, b7 = lanes.lanes(x[i] + 4), lanes.lanes(x[i] + 5), lanes.lanes(x[i] + 6), lanes.lanes(x[i] + 7)
        for _ in range(rounds):
            b0 = b0 * a + h
            b1 = b1 * a + h
            b2 = b2 * a + h
            b3 = b3 * a + h
            b4 = b4 * a + h
            b5 = b5 * a + h
            b6 = b6 * a + h
            b7 = b7 * a + h
        table = lanes.rows(1)
        table[0] = b0 + b1 + b2 + b3 + b4 + b5 + b6 + b7
        total += lanes.take(table, 0, 0)
    return total


@nb.njit(parallel=True, fastmath=True)
def _single(x: np.ndarray, rounds: int) -> float:
    total = 0.0
    for i in nb.prange(x.shape[0]):
        a, h = lanes.lanes(x[i] + 0.6), lanes.lanes(0.5)
        b0, b1, b2, b3 = lanes.lanes(x[i]), lanes.lanes(x[i] + 1), lanes.lanes(x[i] + 2), lanes.lanes(x[i] + 3)
        for _ in range(rounds):
            b0 = min(b0 * a, h)
            b1 = min(b1 * a, h)
            b2 = min(b2 * a, h)
            b3 = min(b3 * a, h)
        table = lanes.rows(1)
        table[0] = b0 + b1 + b2 + b3
        total += lanes.take(table, 0, 0)
    return total


@nb.njit(parallel=True)
def _divided(x: np.ndarray, rounds: int) -> float:
    total = 0.0
    for i in nb.prange(x.shape[0]):
        a = lanes.lanes(x[i] + 1.0)
        b0, b1, b2, b3 = lanes.lanes(x[i]), lanes.lanes(x[i] + 1), lanes.lanes(x[i] + 2), lanes.lanes(x[i] + 3)
        for _ in range(rounds):
            # Divided twice it is what it was: nothing becomes too small or too large to be quick.
            b0 = a / b0
            b1 = a / b1
            b2 = a / b2
            b3 = a / b3
        table = lanes.rows(1)
        table[0] = b0 + b1 + b2 + b3
        total += lanes.take(table, 0, 0)
    return total


def rates() -> dict[str, float]:
    """Thousand million operations a second with as many threads as are set, by kind of loop.

    'paired' is multiply-adds, each of two operations: what is usually called the arithmetic limit.
    """

    def of(loop: Callable[..., float], size: int, operations: int) -> float:
        x = np.linspace(0.1, 0.9, size)
        loop(x[:10], 2)
        return operations * lanes.WIDTH * size * ROUNDS / best(lambda: loop(x, ROUNDS)) / 1e9

    return {
        "paired": max(of(_paired_4, 50_000, 8), of(_paired_8, 50_000, 16)),
        "single": of(_single, 50_000, 8),
        "divided": of(_divided, 10_000, 4),
    }
