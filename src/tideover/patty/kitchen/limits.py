"""The limits of a task as rows of a program, each on its safe side.

A limit reads ``sum x_j (c_j - level) / 100 >= 0`` in kilograms, so that it holds for a batch of any size. Where a
content is a range, a 'least' uses its low end and a 'most' its high end: what is unknown must not help a mix through.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.programme import Column, Row
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.task import LIMITS, Item, Task
from tideover.patty.kitchen.water import SATURATED_20

DISSOLVED: Final = "dissolved sucrose"
CRYSTAL_FREE: Final = "whether all sucrose dissolves"
BIG: Final = 100.0
NUTRIENT: Final[dict[str, str]] = {
    "protein": "protein", "sugar": "sugar", "water": "water", "fat": "fat", "fibre": "fibre", "ash": "ash",
    "salt": "salt",
    "toxic": "toxic", "lactose": "lactose",
}  # fmt: skip
"""Limits that bound one nutrient: stem of the limit's key to the nutrient."""


@dataclass(frozen=True)
class Limit:
    """A wish as a row: its key, level, what a unit of slack is worth in kg per kg of batch, and its words."""

    key: str
    level: float
    per_unit: float
    """Kilograms by which the row's bound moves, per kg of batch, for one unit of the level."""
    loosens_up: bool
    """Whether raising the level makes it easier."""
    row: Row
    unit: str = "%"

    @property
    def says(self) -> str:
        """The limit in words."""
        return limit_words(self.key, self.level)


def limit_words(key: str, level: float) -> str:
    """A limit in words, such as ``protein at least 18 %``."""
    if key.startswith("amino:"):
        return f"{AMINO[key[6:]]} at least {100 * level:.3g} % of the need"
    if key.startswith(("least:", "most:")):
        side, name = key.split(":", 1)
        return f"{name} at {side} {level:.3g} % of the weight"
    if key == "budget":
        return f"spend at most {level:.4g}"
    if key == "batch":
        return f"a batch of {level:.4g} kg"
    if key.startswith("stock:"):
        return f"{key[6:]}: no more than there is"
    side = "at least" if key.endswith("_min") else "at most"
    unit = "" if key in ("omega_ratio_max", "score_min") or key.startswith("softness") else " %"
    return f"{LIMITS[key]} {side} {level:.4g}{unit}"


def limit_rows(task: Task, pattern: Pattern, margins: Mapping[str, float]) -> list[Limit]:
    """Every limit of the task as a row over the ingredients' kilograms.

    margins: by amino acid, how much above the score its ratio is held, so that spread seldom brings it under.
    """
    rows: list[Limit] = []
    items = task.items
    for key, level in task.limits.items():
        stem, _, side = key.rpartition("_")
        if stem in NUTRIENT:
            rows.append(_bound(key, NUTRIENT[stem], side, level, items))
    if (level := task.limits.get("toxic_of_sugar_max", -1.0)) >= 0.0:
        terms = {
            i.name: (i.ingredient["toxic"].high - level / 100.0 * i.ingredient["sugar"].low) / 100.0 for i in items
        }
        typical = task.limits.get("sugar_min", 40.0) / 100.0
        rows.append(
            Limit("toxic_of_sugar_max", level, typical / 100.0, True, Row("toxic_of_sugar_max", terms, high=0.0))
        )
    if (level := task.limits.get("omega_ratio_max", -1.0)) >= 0.0:
        terms = {i.name: (i.ingredient["la"].best - level * i.ingredient["ala"].best) / 100.0 for i in items}
        # a unit of the ratio is worth the omega-3 in the mix; half a percent stands in for it
        rows.append(Limit("omega_ratio_max", level, 0.005, True, Row("omega_ratio_max", terms, high=0.0), ""))
    rows += _amino(task, pattern, margins)
    rows += _softness(task)
    for item in items:
        for side, level in (("least", item.least), ("most", item.most)):
            if (side == "least" and level > 0.0) or (side == "most" and level < 100.0):
                terms = {i.name: (float(i is item) - level / 100.0) for i in items}
                row = Row(
                    f"{side}:{item.name}", terms, *((0.0, float("inf")) if side == "least" else (-float("inf"), 0.0))
                )
                rows.append(Limit(row.key, level, 0.01, side == "most", row))
    if task.budget is not None:
        terms = {f"buy {i.name}": i.price for i in items if i.price is not None}
        rows.append(Limit("budget", task.budget, 1.0, True, Row("budget", terms, high=task.budget), task.currency))
    return rows


def _bound(key: str, nutrient: str, side: str, level: float, items: tuple[Item, ...]) -> Limit:
    if side == "min":
        terms = {i.name: (i.ingredient[nutrient].low - level) / 100.0 for i in items}
        return Limit(key, level, 0.01, False, Row(key, terms, low=0.0))
    terms = {i.name: (i.ingredient[nutrient].high - level) / 100.0 for i in items}
    return Limit(key, level, 0.01, True, Row(key, terms, high=0.0))


def _amino(task: Task, pattern: Pattern, margins: Mapping[str, float]) -> list[Limit]:
    level = task.limits.get("score_min", 0.0)
    if level <= 0.0:
        return []
    found = []
    for n in AMINO:
        want = level * (1.0 + margins.get(n, 0.0)) * pattern.percent[n] / 100.0
        terms = {i.name: (i.ingredient[n].low - want * i.ingredient["protein"].high) / 100.0 for i in task.items}
        protein = task.limits.get("protein_min", 15.0) / 100.0
        found.append(Limit(f"amino:{n}", level, pattern.percent[n] / 100.0 * protein, False,
                           Row(f"amino:{n}", terms, low=0.0), ""))  # fmt: skip
    return found


def _softness(task: Task) -> list[Limit]:
    rows = []
    flows = {}
    for i in task.items:
        c, g = i.ingredient, i.ingredient.simple
        flows[i.name] = (c["water"].low + g * c["sugar"].low + c["fat"].low) / 100.0
    for key, side in (("softness_min", "low"), ("softness_max", "high")):
        level = task.limits.get(key)
        if level is None:
            continue
        terms = {n: v - level / 100.0 for n, v in flows.items()} | {DISSOLVED: 1.0}
        row = Row(key, terms, low=0.0) if side == "low" else Row(key, terms, high=0.0)
        rows.append(Limit(key, level, 0.01, side == "high", row, ""))
    if (level := task.limits.get("crystals_max")) is not None:
        terms = {n: v - level / 100.0 for n, v in _sucrose(task).items()} | {DISSOLVED: -1.0}
        rows.append(Limit("crystals_max", level, 0.01, True, Row("crystals_max", terms, high=0.0)))
    return rows


def _sucrose(task: Task) -> dict[str, float]:
    return {i.name: (1.0 - i.ingredient.simple) * i.ingredient["sugar"].best / 100.0 for i in task.items}


def nature(task: Task) -> tuple[list[Column], list[Row]]:
    """Columns and rows that hold by nature: no more sucrose dissolves than there is, nor than the water takes up.

    An upper limit on softness needs one whole number: whether all sucrose dissolves, or as much as the water takes.
    """
    if not {"softness_min", "softness_max", "crystals_max"} & set(task.limits):
        return [], []
    sucrose = _sucrose(task)
    water = {i.name: SATURATED_20 * i.ingredient["water"].best / 100.0 for i in task.items}
    columns = [Column(DISSOLVED)]
    rows = [
        Row("dissolves what there is", {DISSOLVED: 1.0} | {n: -v for n, v in sucrose.items()}, high=0.0),
        Row("dissolves in the water", {DISSOLVED: 1.0} | {n: -v for n, v in water.items()}, high=0.0),
    ]
    if "softness_max" in task.limits:
        reach = BIG * max(task.batch_kg or 100.0, 1.0)
        columns.append(Column(CRYSTAL_FREE, 0.0, 0.0, 1.0, True))
        rows += [
            Row("all sucrose dissolves", dict(sucrose.items()) | {DISSOLVED: -1.0,
            CRYSTAL_FREE: reach}, high=reach),
            Row("the water is full", dict(water.items()) | {DISSOLVED: -1.0,
            CRYSTAL_FREE: -reach}, high=0.0),
        ]  # fmt: skip
    return columns, rows
