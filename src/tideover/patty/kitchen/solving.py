"""A task as a program, and one solution of it.

Each ingredient has kilograms used, and kilograms bought where they cost: used is at most stock and bought together,
and bought is a whole number of bags where it comes in bags. Limits are rows that do not depend on the size of the
batch (see ``limits``).
"""

from __future__ import annotations

from collections.abc import Mapping
from math import inf
from typing import Final

from tideover.patty.kitchen.limits import Limit, limit_rows, nature
from tideover.patty.kitchen.makeup import Makeup, makeup
from tideover.patty.kitchen.outcome import TINY_KG, Binding, Mix
from tideover.patty.kitchen.programme import Answer, Column, Row, solve
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.robust import Chances, chances
from tideover.patty.kitchen.task import Item, Task

TIE: Final = 1e-5
"""Weight of a second aim that settles ties: use less of what has a price."""
WORTH_TELLING: Final = 1e-4
"""Share of what is aimed at, per unit of a limit, under which a shadow price is the tie's and not the limit's."""


def program(task: Task, limits: list[Limit]) -> tuple[list[Column], list[Row]]:
    """The task as columns and rows; what is minimised is in the columns' costs."""
    free = task.batch_kg is None
    columns: list[Column] = []
    rows: list[Row] = [limit.row for limit in limits]
    for item in task.items:
        price = item.price or 0.0
        buys = item.price is not None and not (free and task.aim == "use up" and price > 0.0)
        columns.append(Column(item.name, _cost_of_use(task, item)))
        if buys and item.bag_kg > 0.0:
            columns.append(Column(f"bags {item.name}", 0.0, 0.0, inf, True))
            columns.append(Column(f"buy {item.name}", _cost_of_buying(task, price)))
            rows.append(Row(f"bag:{item.name}", {f"buy {item.name}": 1.0, f"bags {item.name}": -item.bag_kg}, 0.0, 0.0))
        elif buys:
            columns.append(Column(f"buy {item.name}", _cost_of_buying(task, price)))
        else:
            columns.append(Column(f"buy {item.name}", 0.0, 0.0, 0.0))
        rows.append(Row(f"stock:{item.name}", {item.name: 1.0, f"buy {item.name}": -1.0}, high=item.stock_kg))
        if task.aim == "use up" and item.stock_kg > 0.0 and not free:
            columns.append(Column(f"from stock {item.name}", -1.0, 0.0, item.stock_kg))
            rows.append(Row(f"used:{item.name}", {f"from stock {item.name}": 1.0, item.name: -1.0}, high=0.0))
    extra, natural = nature(task)
    columns += extra
    rows += natural
    if not free:
        size = float(task.batch_kg or 0.0)
        rows.append(Row("batch", {i.name: 1.0 for i in task.items}, size, size))
    return columns, rows


def _cost_of_buying(task: Task, price: float) -> float:
    return {"cheapest": price, "most protein": price * TIE, "use up": price * 1e-3}[task.aim]


def _cost_of_use(task: Task, item: Item) -> float:
    if task.aim == "most protein":
        return -item.ingredient["protein"].low / 100.0
    if task.aim == "use up" and task.batch_kg is None:
        return -1.0
    bought_so = item.bag_kg > 0.0 or item.stock_kg > 0.0
    return (item.price or 0.0) * TIE if bought_so else 0.0


def once(task: Task, held: Pattern, margins: Mapping[str, float]) -> Mix:
    """Solve the task once, with the limits moved by ``margins``."""
    limits = limit_rows(task, held, margins)
    columns, rows = program(task, limits)
    answer = solve(columns, rows)
    if answer.status != "found" or sum(answer.x.get(i.name, 0.0) for i in task.items) < 0.01:
        why = {
            "endless": "there is no end to what could be made; give a batch size.",
            "gave up": "the solver ran out of time; give fewer ingredients in whole bags.",
        }.get(answer.status, "")
        return Mix(task, held, notes=(why,) if why else ())
    kilograms = {i.name: kg for i in task.items if (kg := answer.x[i.name]) > TINY_KG}
    bought = {i.name: kg for i in task.items if (kg := answer.x[f"buy {i.name}"]) > TINY_KG}
    made = makeup({i.name: i.ingredient for i in task.items}, kilograms, held)
    return Mix(
        task, held, kilograms, bought, made, short_chances(task, held, kilograms, made),
        _binding(task, held, limits, answer, made.total_kg), margins=dict(margins),
    )  # fmt: skip


def _binding(task: Task, held: Pattern, limits: list[Limit], answer: Answer, total: float) -> tuple[Binding, ...]:
    found = []
    scale = _aimed_at(task, answer, total)
    for limit in limits:
        shadow = answer.shadow.get(limit.key, 0.0)
        value = sum(c * answer.x.get(n, 0.0) for n, c in limit.row.terms.items())
        bound = limit.row.low if limit.row.low > -inf else limit.row.high
        if abs(value - bound) > 1e-6 * max(1.0, total) or abs(shadow) < 1e-7:
            continue
        per_unit = limit.per_unit
        if limit.key == "toxic_of_sugar_max":
            per_unit = sum(i.ingredient["sugar"].low * answer.x[i.name] for i in task.items) / 100.0 / 100.0 / total
        elif limit.key == "omega_ratio_max":
            per_unit = sum(i.ingredient["ala"].best * answer.x[i.name] for i in task.items) / 100.0 / total
        elif limit.key.startswith("amino:"):
            # one hundredth of the need
            need = held.percent[limit.key[6:]] / 100.0
            per_unit = (
                0.01 * need * sum(i.ingredient["protein"].high * answer.x[i.name] for i in task.items) / 100.0 / total
            )
        elif limit.key == "budget":
            per_unit = 1.0 / total
        if abs(shadow) * per_unit >= WORTH_TELLING * scale:
            found.append(Binding(limit.key, limit.says, abs(shadow) * per_unit, _gain_unit(task)))
    return tuple(found)


def _aimed_at(task: Task, answer: Answer, total: float) -> float:
    """What the aim comes to per kg of mix, in the unit of the gains: money, kg of protein, or kg."""
    if task.aim == "cheapest":
        return sum((i.price or 0.0) * answer.x[i.name] for i in task.items) / total
    if task.aim == "most protein":
        return sum(i.ingredient["protein"].low / 100.0 * answer.x[i.name] for i in task.items) / total
    return 1.0


def _gain_unit(task: Task) -> str:
    if task.aim == "cheapest":
        return f"{task.currency}/kg"
    return "kg protein/kg" if task.aim == "most protein" else "kg used/kg"


def short_chances(task: Task, held: Pattern, kilograms: Mapping[str, float], made: Makeup) -> Chances | None:
    """Chances that an amino acid falls short in what was made; None where it may hold no protein at all."""
    if made.shares["protein"].low <= 0.0:
        return None
    level = task.limits.get("score_min", 1.0)
    return chances({i.name: i.ingredient for i in task.items}, kilograms, held, level)
