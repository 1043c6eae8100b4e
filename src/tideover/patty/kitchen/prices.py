"""How the cheapest mix answers when a price moves."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from tideover.patty.kitchen.limits import limit_rows
from tideover.patty.kitchen.outcome import Mix, PriceLine
from tideover.patty.kitchen.programme import solve
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.solving import program
from tideover.patty.kitchen.task import Item, Task

HALVINGS: Final = 7
MOST_BAGS: Final = 10
"""With more ingredients in whole bags than this each answer takes too long to move every price."""
NEAREST: Final = 3
UNUSED: Final = 1e-6
"""Share of the mix under which an ingredient counts as left out."""
SWAY: Final = 0.2
"""Share by which each price is moved to see how the mix answers."""


def price_lines(task: Task, held: Pattern, mix: Mix) -> tuple[PriceLine, ...]:
    """What each price does to the mix; for the cheapest mix only.

    With more than ``MOST_BAGS`` ingredients in whole bags prices are moved as if all were sold by weight.
    """
    if task.aim != "cheapest":
        return ()
    loose = replace(task, items=tuple(replace(i, bag_kg=0.0) for i in task.items))
    bags = sum(i.bag_kg > 0.0 for i in task.items)
    looked = task if bags <= MOST_BAGS else loose
    by_weight = solve(*program(loose, limit_rows(loose, held, mix.margins)))
    reduced = by_weight.reduced if by_weight.status == "found" else {}
    enters: dict[str, float | None] = {}
    for i in looked.items:
        if reduced and i.price is not None and mix.kilograms.get(i.name, 0.0) / mix.total_kg <= UNUSED:
            enters[i.name] = i.price - reduced[i.name] - reduced[f"buy {i.name}"]
    if 0 < bags <= MOST_BAGS:
        # bags have no shadow prices: those nearest to being taken are looked at one by one
        near = sorted(enters, key=lambda n: -(enters[n] or 0.0))[:NEAREST]
        enters = {i.name: _enters(task, held, mix, i) if i.name in near else None for i in task.items}
    found = []
    for item in looked.items:
        if item.price is None or item.name == "water":
            continue
        share = mix.kilograms.get(item.name, 0.0) / mix.total_kg
        if share <= UNUSED:
            # a price below nothing means that it would not be taken as a gift
            found.append(PriceLine(item.name, item.price, 0.0, enters.get(item.name)))
        else:
            found.append(PriceLine(item.name, item.price, 100.0 * share, None, *(
                _at_price(looked, held, mix, item, factor) for factor in (1.0 + SWAY, 1.0 - SWAY)
            )))  # fmt: skip
    return tuple(found)


def price_note(task: Task) -> tuple[str, ...]:
    """What has to be said of the prices of this task."""
    if task.aim != "cheapest" or sum(i.bag_kg > 0.0 for i in task.items) <= MOST_BAGS:
        return ()
    return ("Prices are moved as if all were sold by weight: with so many kinds of bags it would take too long.",)


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
