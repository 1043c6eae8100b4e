"""How the cheapest mix answers when a price moves."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.outcome import Mix, PriceLine
from tideover.patty.kitchen.programme import Answer, solve
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.solving import program
from tideover.patty.kitchen.task import Item, Task

HALVINGS: Final = 9
SWAY: Final = 0.2
"""Share by which each price is moved to see how the mix answers."""


def price_lines(task: Task, held: Pattern, mix: Mix) -> tuple[PriceLine, ...]:
    """What each price does to the mix; for the cheapest mix only."""
    if task.aim != "cheapest":
        return ()
    limits = limit_rows(task, held, mix.margins)
    whole = any(i.bag_kg > 0.0 for i in task.items)
    answer = solve(*program(task, limits)) if not whole else Answer("none")
    found = []
    for item in task.items:
        if item.price is None or item.name == "water":
            continue
        share = 100.0 * mix.kilograms.get(item.name, 0.0) / mix.total_kg
        if share <= 1e-4:
            enters = None
            if answer.status == "found":
                gap = answer.reduced[item.name] + answer.reduced[f"buy {item.name}"]
                enters = item.price - gap
            elif whole:
                enters = _enters(task, held, mix, item)
            # a price below nothing means that it would not be taken as a gift
            found.append(PriceLine(item.name, item.price, 0.0, enters))
        else:
            found.append(PriceLine(item.name, item.price, share, None, *(
                _at_price(task, held, mix, item, factor) for factor in (1.0 + SWAY, 1.0 - SWAY)
            )))  # fmt: skip
    return tuple(found)


def _enters(task: Task, held: Pattern, mix: Mix, item: Item) -> float | None:
    """Price below which an unused ingredient is taken, by halving: bags have no shadow prices."""

    def taken(price: float) -> bool:
        moved = _at_price(task, held, mix, item, price / (item.price or 1.0))
        return moved is not None and moved[0] > 1e-3

    if not item.price or not taken(0.0):
        return 0.0
    low, high = 0.0, item.price
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        low, high = (middle, high) if taken(middle) else (low, middle)
    return low


def _at_price(task: Task, held: Pattern, mix: Mix, item: Item, factor: float) -> tuple[float, float] | None:
    moved = tuple(replace(i, price=(i.price or 0.0) * factor) if i is item else i for i in task.items)
    other = replace(task, items=moved)
    limits = limit_rows(other, held, mix.margins)
    answer = solve(*program(other, limits), shadows=False)
    if answer.status != "found":
        return None
    total = sum(answer.x[i.name] for i in moved)
    spend = sum((i.price or 0.0) * answer.x[f"buy {i.name}"] for i in moved)
    return 100.0 * answer.x[item.name] / total, spend / total
