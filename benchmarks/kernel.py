"""The compiled colony day against the same day in NumPy vectorised over members.

Protocol: the full state (all columns of ``layout.STATE``), process noise on, no records;
the first call compiles and is left out; each case is the best of three; NumPy runs with
the members it does best at. How far it stands from what the cores can do at all is told in two steps (``limit``):
from a loop of nothing but multiply-adds, and from the time the day's operations would take one after another in loops
of their own kind, divisions in one and everything else, which seldom pairs into multiply-adds, in another.

Cost is measured in members (500 to 8,000), days (30 to 240) and hives (25 to 200, one after another), with a
straight line and a power law (exponent 1 is linear) through the processor time of one thread. Memory is that of
50, 200 and 800 hives taken one after another in a fresh process: 1,000 members over 60 recorded days each, of
which one number is kept.
"""

from __future__ import annotations

from typing import Any

import numba as nb
import numpy as np

from benchmarks.colonies import ensemble, weather
from benchmarks.fits import best, fit, memory, stream, work
from benchmarks.limit import operations, rates
from tideover.colony import layout, noise, reference
from tideover.colony.ensemble import run as step
from tideover.colony.parameters import constants
from tideover.colony.weather import light_term


def _compiled(members: int, days: int, threads: int) -> float:
    nb.set_num_threads(threads)
    drivers = weather(days)
    return best(lambda: step(ensemble(members), drivers, seed=1, record=False)) - best(lambda: ensemble(members))


def _work(members: int, days: int) -> float:
    """Processor time of the steps alone [s]."""
    drivers = weather(days)
    return work(lambda: step(ensemble(members), drivers, seed=1, record=False)) - work(lambda: ensemble(members))


def numpy_seconds(members: int, days: int) -> float:
    drivers, c = weather(days), constants()
    light = light_term(drivers.daylength_h, drivers.daylength_change_h, c)
    key = noise.key(1, 0)

    def walk() -> None:
        e = ensemble(members)
        ledger = np.zeros((members, layout.LEDGERS))
        for d in range(days):
            day = reference.Day(
                drivers.log_index[0, d], drivers.temp_max_c[0, d], drivers.temp_min_c[0, d],
                drivers.flight_h[0, d], drivers.pollen_h[0, d], float(light[d]),
            )  # fmt: skip
            reference.step(e.state, e.params, c, day, key, d, ledger)

    return best(walk) - best(lambda: ensemble(members))


def _row(path: str, members: int, days: int, seconds: float) -> dict[str, Any]:
    return {"path": path, "members": members, "days": days, "million_member_days_per_s": members * days / seconds / 1e6}


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    threads = min(2, nb.config.NUMBA_NUM_THREADS)
    step(ensemble(8), weather(3), seed=1, record=False)
    rows: list[dict[str, Any]] = []
    rate: dict[str, float] = {}
    for members in (500, 1000, 2000, 4000, 8000):
        seconds = _compiled(members, 120, threads)
        rows.append(_row(f"compiled, {threads} threads", members, 120, seconds))
    rate["compiled"] = max(r["million_member_days_per_s"] for r in rows)
    one = _compiled(4000, 120, 1)
    rows.append(_row("compiled, 1 thread", 4000, 120, one))
    slow = []
    for members in (250, 1000, 4000):
        seconds = numpy_seconds(members, 20)
        rows.append(_row("numpy", members, 20, seconds))
        slow.append(rows[-1]["million_member_days_per_s"])
    rate["numpy"] = max(slow)
    sizes, spans, hives = (500, 1000, 2000, 4000, 8000), (30, 60, 120, 240), (25, 50, 100, 200)
    nb.set_num_threads(1)
    fits = [
        fit("members", sizes, [_work(n, 120) for n in sizes]),
        fit("days", spans, [_work(2000, d) for d in spans]),
        fit("hives", hives, [work(lambda n=n: stream(n)) for n in hives]),  # type: ignore[misc]
    ]
    held = memory((50, 200, 800))
    rows += fits + held
    nb.set_num_threads(threads)
    asked, can = operations(), rates()
    in_all, divided = sum(asked.values()), asked["divide"]
    in_kind = 1e3 / ((in_all - divided) / can["single"] + divided / can["divided"])
    rows += [{"loop": name, "thousand million operations a second": rate} for name, rate in can.items()]
    rows.append({"operations of a member-day": in_all, "of them divisions": divided})
    return {
        "rows": rows,
        "ratios": {
            "compiled to numpy": rate["compiled"] / rate["numpy"],
            "two threads to one": rate["compiled"] / (4000 * 120 / one / 1e6),
            "multiply-adds alone to compiled": can["paired"] * 1e3 / (rate["compiled"] * in_all),
            "its operations in loops of their kind to compiled": in_kind / rate["compiled"],
            "arrays held by 800 hives to 50": held[-1]["most held by arrays, MB"] / held[0]["most held by arrays, MB"],
        },
        "state_columns": layout.STATE,
    }
