"""A patty worked out: least cost, in whole bags, and with prices moved.

Protocol: best of five each, in one process; the baseline is the linear program alone in the same run.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import replace
from typing import Any

from tideover.patty.kitchen.formulate import formulate
from tideover.patty.kitchen.ingredients import pantry
from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.programme import solve
from tideover.patty.kitchen.requirement import pattern
from tideover.patty.kitchen.solving import program
from tideover.patty.kitchen.task import read_task


def _best(act: Callable[[], object]) -> float:
    found = []
    for _ in range(5):
        began = time.perf_counter()
        act()
        found.append(time.perf_counter() - began)
    return min(found)


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    items = [
        {"name": one.name, "price_kg": sum(one.hint) / 2.0, "confirmed": True} if one.hint else one.name
        for one in pantry().values()
    ]
    task = read_task({"batch_kg": 20, "ingredients": items})
    bags = replace(task, items=tuple(replace(i, bag_kg=0.0 if i.name == "water" else 2.5) for i in task.items))
    limits = limit_rows(task, pattern(), {})
    cases: list[tuple[str, Callable[[], object]]] = [
        ("linear program alone", lambda: solve(*program(task, limits))),
        ("mix with chances", lambda: formulate(task, prices=False)),
        ("and every price moved", lambda: formulate(task)),
        ("in whole bags", lambda: formulate(bags, prices=False)),
    ]
    rows = [{"case": name, "seconds": _best(act)} for name, act in cases]
    base = float(rows[0]["seconds"])  # type: ignore[arg-type]
    return {"rows": rows, "ratios": {f"{r['case']} to the program alone": float(r["seconds"]) / base for r in rows[1:]}}
