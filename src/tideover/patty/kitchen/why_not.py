"""Why there is no mix, and the smallest change that would allow one."""

from __future__ import annotations

from dataclasses import replace
from math import ceil, inf
from typing import Final

from tideover.figures.units import POUND_KG
from tideover.patty.kitchen.ingredients import CONFIRM, pantry
from tideover.patty.kitchen.limits import Limit, limit_rows
from tideover.patty.kitchen.outcome import Change, Mix
from tideover.patty.kitchen.programme import Answer, Column, Row, conflict, solve
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.solving import once, program
from tideover.patty.kitchen.task import DEFAULT_LIMITS, Item, Task

MOST_CONFLICTS: Final = 3
"""Separate conflicts that are told; more would bury the reader."""
MOST_HELPERS: Final = 6
"""Ingredients named that would help."""


def explained(task: Task, held: Pattern, mix: Mix) -> Mix:
    """The empty mix with what cannot hold together, the smallest change, the mix it allows, and what would help."""
    if mix.notes:
        return mix
    # with any size allowed, none at all is always a mix: ask for a tenth of a kilogram
    sized = replace(task, batch_kg=task.batch_kg or 0.1)
    limits = limit_rows(sized, held, {})
    columns, rows = program(sized, limits)
    together = _conflicts(sized, limits, columns, rows)
    mix = replace(mix, together=together, helpers=_helpers(sized, held), budget_needed=_budget_needed(task, held))
    changes = _changes(sized, limits, columns, rows)
    if not changes:
        note = "No change of limits allows a mix of these ingredients: more of them, or others, are needed."
        return replace(mix, notes=(note,))
    loosened = dict(task.limits)
    items, budget = list(task.items), task.budget
    for change in changes:
        # a hair beyond what is needed, so that rounding does not shut the door again
        level = change.needed
        if change.key.startswith("amino:"):
            loosened["score_min"] = min(loosened.get("score_min", 1.0), level)
        elif change.key.startswith(("least:", "most:")):
            side, name = change.key.split(":", 1)
            items = [_loosened(i, side, level) if i.name == name else i for i in items]
        elif change.key == "budget":
            budget = level
        else:
            loosened[change.key] = level
    allowed = replace(task, limits=loosened, items=tuple(items), budget=budget, chance_max=None)
    instead = once(allowed, held, {})
    return replace(mix, changes=changes, instead=instead if instead.found else None)


def _budget_needed(task: Task, held: Pattern) -> float | None:
    """What a mix of this size costs at the least, rounded up to a hundredth; None without a budget or without a mix."""
    if task.budget is None:
        return None
    cheapest = once(replace(task, aim="cheapest", budget=None, chance_max=None), held, {})
    return ceil(100.0 * cheapest.spend + 1e-6) / 100.0 if cheapest.found else None


def _conflicts(task: Task, limits: list[Limit], columns: list[Column], rows: list[Row]) -> tuple[tuple[str, ...], ...]:
    """Groups of limits that cannot hold together, none of a group spare, no limit in two groups."""
    said = {limit.key: limit.says for limit in limits}
    said |= {
        f"stock:{i.name}": f"there are only {i.stock_kg:.3g} kg ({i.stock_kg / POUND_KG:.3g} lb) of {i.name}"
        for i in task.items
        if i.price is None
    }
    # the usual limits are let go first, so that what the keeper asked for himself is what is named
    usual = [limit.key for limit in limits if _usual(limit, task)]
    order = [*usual, *(key for key in said if key not in usual)]
    groups: list[tuple[str, ...]] = []
    left = rows
    while len(groups) < MOST_CONFLICTS and (found := conflict(columns, left, order)):
        groups.append(tuple(said[key] for key in found))
        left = [r for r in left if r.key not in found]
    return tuple(groups)


def _usual(limit: Limit, task: Task) -> bool:
    if limit.key.startswith("amino:"):
        return not task.need and limit.level == DEFAULT_LIMITS["score_min"]
    return DEFAULT_LIMITS.get(limit.key) == limit.level


def _helpers(task: Task, held: Pattern) -> tuple[str, ...]:
    """Ingredients of the book, not at hand, any one of which would allow a mix with no limit changed."""
    if task.budget is not None:
        # what they cost is not known
        return ()
    named = {i.name for i in task.items}
    found: list[str] = []
    for one in pantry().values():
        if one.name in named or one.mind == CONFIRM or len(found) == MOST_HELPERS:
            continue
        more = replace(task, items=(*task.items, Item(one, 0.0)))
        columns, rows = program(more, limit_rows(more, held, {}))
        free = [replace(c, cost=0.0) for c in columns]
        if solve(free, rows, shadows=False).status == "found":
            found.append(one.name)
    return tuple(found)


def _changes(task: Task, limits: list[Limit], columns: list[Column], rows: list[Row]) -> tuple[Change, ...]:
    """The least sum of relative changes of limits that lets a mix through."""
    size = float(task.batch_kg or 1.0)
    slack_columns = [Column(c.name, 0.0, c.lower, c.upper, c.whole) for c in columns]
    loose = []
    by_key = {limit.key: limit for limit in limits}
    for row in rows:
        limit = by_key.get(row.key)
        if limit is None:
            loose.append(row)
            continue
        sign = 1.0 if row.low > -inf else -1.0
        per = limit.per_unit * (1.0 if limit.key == "budget" else size)
        loose.append(Row(row.key, {**row.terms, f"slack {row.key}": sign * per}, row.low, row.high))
        most = inf if limit.loosens_up else limit.level
        slack_columns.append(Column(f"slack {row.key}", 1.0 / max(limit.level, 0.5), 0.0, most))
    answer = solve(slack_columns, loose, shadows=False)
    if answer.status != "found":
        return ()
    found: list[Change] = []
    for limit in limits:
        slack = answer.x[f"slack {limit.key}"]
        if slack <= 1e-6 * max(1.0, limit.level):
            continue
        if limit.key in ("toxic_of_sugar_max", "omega_ratio_max") or limit.key.startswith("amino:"):
            needed = _exact(limit, task, answer)
        else:
            needed = limit.level + slack * (1.0 if limit.loosens_up else -1.0)
        needed += (1.0 if limit.loosens_up else -1.0) * 1e-4 * max(1.0, limit.level)
        if limit.key == "budget":
            words = f"spend {needed:.2f} instead of {limit.level:.2f}"
        else:
            words = f"let {limit.says} become {_level(limit.key, max(needed, 0.0))}"
        found.append(Change(limit.key, limit.says, limit.level, max(needed, 0.0), words))
    return tuple(found)


def _loosened(item: Item, side: str, level: float) -> Item:
    return replace(item, least=level) if side == "least" else replace(item, most=level)


def _level(key: str, level: float) -> str:
    if key.startswith("amino:"):
        return f"{100 * level:.1f} %"
    return f"{level:.2f}" if key == "omega_ratio_max" or key.startswith("softness") else f"{level:.2f} %"


def _exact(limit: Limit, task: Task, answer: Answer) -> float:
    """Level at which a ratio holds for the mix that was found; the row's slack is only near it."""
    x = {i.name: answer.x[i.name] for i in task.items}

    def total(nutrient: str, end: str) -> float:
        return sum(float(getattr(i.ingredient[nutrient], end)) * x[i.name] for i in task.items)

    if limit.key == "toxic_of_sugar_max":
        return 100.0 * total("toxic", "high") / max(total("sugar", "low"), 1e-9)
    if limit.key == "omega_ratio_max":
        return total("la", "best") / max(total("ala", "best"), 1e-9)
    n = limit.key[6:]
    return total(n, "low") / max(total("protein", "high") * task.pattern.percent[n] / 100.0, 1e-9)
