"""How a cost grows: straight lines and power laws through timings, and the memory a stream of hives holds."""

from __future__ import annotations

import resource
import time
import tracemalloc
from collections.abc import Callable, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from typing import Any

import numba as nb
import numpy as np

from benchmarks.colonies import ensemble, weather
from tideover.colony.ensemble import run as step

STREAM_MEMBERS, STREAM_DAYS = 1000, 60


def best(call: Callable[[], Any], times: int = 3) -> float:
    """The shortest of some calls [s]: what else the machine does only ever adds."""
    found = []
    for _ in range(times):
        began = time.perf_counter()
        call()
        found.append(time.perf_counter() - began)
    return min(found)


def work(call: Callable[[], Any], times: int = 3) -> float:
    """The least processor time of some calls [s], which another program on the machine lengthens little."""
    found = []
    for _ in range(times):
        began = time.process_time()
        call()
        found.append(time.process_time() - began)
    return min(found)


def fit(of: str, sizes: Sequence[float], seconds: Sequence[float]) -> dict[str, Any]:
    """How seconds grow with a size.

    :param of: what the size counts.
    :param sizes: the sizes measured, at least three.
    :param seconds: the time of each.
    :returns: the exponent of a power law through them (1 is linear) with one standard error, R2 of a straight
        line, its share that does not grow (of the largest time), and the worst departure from the line.
    :raises ValueError: if there are fewer than three sizes.
    """
    if len(sizes) < 3:
        raise ValueError(f"a fit needs three sizes or more, got {len(sizes)}.")
    x, y = np.asarray(sizes, float), np.asarray(seconds, float)
    u, v = np.log(x), np.log(y)
    exponent, at_one = np.polyfit(u, v, 1)
    left = v - exponent * u - at_one
    error = float(np.sqrt((left @ left) / (x.size - 2) / ((u - u.mean()) ** 2).sum()))
    slope, fixed = np.polyfit(x, y, 1)
    off = y - slope * x - fixed
    return {
        "cost in": of,
        "from": sizes[0],
        "to": sizes[-1],
        "exponent": float(exponent),
        "error": error,
        "R2 of a line": float(1.0 - (off @ off) / ((y - y.mean()) ** 2).sum()),
        "fixed share of the largest": float(fixed / y[-1]),
        "furthest from the line": float(np.abs(off / y).max()),
    }


def stream(hives: int) -> float:
    """Carry hives one after another, each with members of its own, keep one number of each and drop the rest.

    :param hives: how many.
    :returns: the sum over hives of the median bees on the last day.
    """
    drivers = weather(STREAM_DAYS)
    total = 0.0
    for hive in range(hives):
        members = ensemble(STREAM_MEMBERS, seed=hive + 1)
        record = step(members, drivers, seed=hive + 1)
        total += float(np.median(record.series("adults")[:, -1]))
    return total


def held(hives: int) -> dict[str, float]:
    """Memory of a stream of hives, in a process of its own [MB]: the most arrays held, and the most the process had."""
    nb.set_num_threads(1)
    stream(1)  # compiling takes memory too, and is no hive
    tracemalloc.start()
    stream(hives)
    most = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    # Linux tells the process's most in kilobytes.
    return {"arrays": most / 1e6, "process": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1e3}


def memory(sizes: Sequence[int]) -> list[dict[str, Any]]:
    """Memory of streams of these many hives, each in a fresh process."""
    rows = []
    for hives in sizes:
        with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
            found = pool.submit(held, hives).result()
        rows.append(
            {"hives": hives, "most held by arrays, MB": found["arrays"], "by the process, MB": found["process"]}
        )
    return rows
