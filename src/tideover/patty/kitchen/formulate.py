"""The mix that serves the aim, or the reason there is none and the smallest change that would allow one.

Each ingredient has kilograms used, and kilograms bought where they cost: used is at most stock and bought together,
and bought is a whole number of bags where it comes in bags. Limits are rows that do not depend on the size of the
batch (see ``limits``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import inf
from typing import Final

from tideover.patty.kitchen.limits import Limit, limit_rows, nature
from tideover.patty.kitchen.makeup import Makeup, makeup
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.programme import Answer, Column, Row, conflict, solve
from tideover.patty.kitchen.requirement import Pattern, pattern
from tideover.patty.kitchen.robust import Chances, chances
from tideover.patty.kitchen.task import Item, Task

TIE: Final = 1e-5
"""Weight of a second aim that settles ties: use less of what has a price."""
TINY_KG: Final = 1e-6
STEPS: Final = 8
SWAY: Final = 0.2
"""Share by which each price is moved to see how the mix answers."""


@dataclass(frozen=True)
class Binding:
    """A limit that holds the mix back, and what a unit of it costs."""

    key: str
    says: str
    shadow: float
    """Change of the aim for one unit less strict: money per kg of mix, or kg of protein, or kg made."""
    unit: str


@dataclass(frozen=True)
class Change:
    """A limit that must give way, and how far."""

    key: str
    says: str
    level: float
    needed: float
    words: str


@dataclass(frozen=True)
class PriceLine:
    """How an ingredient's price rules the mix.

    ``enters_below``: the price under which an unused ingredient would be taken [money/kg].
    ``up`` and ``down``: its share of the mix and the mix's cost per kg when its price is a fifth higher or lower.
    """

    name: str
    price: float
    share: float
    enters_below: float | None = None
    up: tuple[float, float] | None = None
    down: tuple[float, float] | None = None


@dataclass(frozen=True)
class Mix:
    """What came out."""

    task: Task
    pattern: Pattern
    kilograms: Mapping[str, float] = field(default_factory=dict)
    bought: Mapping[str, float] = field(default_factory=dict)
    makeup: Makeup | None = None
    chances: Chances | None = None
    binding: tuple[Binding, ...] = ()
    prices: tuple[PriceLine, ...] = ()
    together: tuple[str, ...] = ()
    """Limits that cannot hold together, in words; empty when a mix was found."""
    changes: tuple[Change, ...] = ()
    instead: Mix | None = None
    """The mix that the changes allow."""
    notes: tuple[str, ...] = ()
    margins: Mapping[str, float] = field(default_factory=dict)

    @property
    def found(self) -> bool:
        """Whether there is a mix."""
        return self.makeup is not None

    @property
    def total_kg(self) -> float:
        """Weight of the batch [kg]."""
        return sum(self.kilograms.values())

    @property
    def spend(self) -> float:
        """Money to spend now, whole bags counted whole; what has no price is not in it."""
        price = {i.name: i.price or 0.0 for i in self.task.items}
        return sum(kg * price[name] for name, kg in self.bought.items())

    @property
    def worth(self) -> float:
        """What went into the batch at its prices, stock too."""
        price = {i.name: i.price or 0.0 for i in self.task.items}
        return sum(kg * price[name] for name, kg in self.kilograms.items())

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What is in the mix without a price: the cost is that much too low."""
        return tuple(i.name for i in self.task.items if i.price is None and self.kilograms.get(i.name, 0.0) > TINY_KG)


def formulate(task: Task, prices: bool = True) -> Mix:
    """Work out a task.

    prices: also move each price and see how the mix answers.
    """
    held = pattern(task.requirement)
    if task.aim == "as weighed":
        return _weighed(task, held)
    margins: dict[str, float] = {}
    mix = _once(task, held, margins)
    if task.chance_max is not None and mix.found:
        mix = _surer(task, held, mix)
    if not mix.found:
        return _explained(task, held, mix)
    return replace(mix, prices=_prices(task, held, mix) if prices else ())


def _weighed(task: Task, held: Pattern) -> Mix:
    kilograms = {i.name: i.amount_kg or 0.0 for i in task.items}
    ingredients = {i.name: i.ingredient for i in task.items}
    made = makeup(ingredients, kilograms, held)
    missed = tuple(
        f"It misses a limit: {limit.says}."
        for limit in limit_rows(replace(task, budget=None), held, {})
        if not limit.key.startswith(("softness", "crystals"))
        and not _holds(limit.row, kilograms, 1e-9 + 1e-6 * made.total_kg)
    )
    return Mix(task, held, kilograms, kilograms, made, _chances(task, held, kilograms, made), notes=missed)


def _holds(row: Row, kilograms: Mapping[str, float], slack: float) -> bool:
    value = sum(c * kilograms.get(name, 0.0) for name, c in row.terms.items())
    return row.low - slack <= value <= row.high + slack


def _chances(task: Task, held: Pattern, kilograms: Mapping[str, float], made: Makeup) -> Chances | None:
    if made.shares["protein"].low <= 0.0:
        return None
    level = task.limits.get("score_min", 1.0)
    return chances({i.name: i.ingredient for i in task.items}, kilograms, held, level)


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


def _once(task: Task, held: Pattern, margins: Mapping[str, float]) -> Mix:
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
        task, held, kilograms, bought, made, _chances(task, held, kilograms, made),
        _binding(task, limits, answer, made.total_kg), margins=dict(margins),
    )  # fmt: skip


def _binding(task: Task, limits: list[Limit], answer: Answer, total: float) -> tuple[Binding, ...]:
    found = []
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
            need = pattern(task.requirement).percent[limit.key[6:]] / 100.0
            per_unit = (
                0.01 * need * sum(i.ingredient["protein"].high * answer.x[i.name] for i in task.items) / 100.0 / total
            )
        elif limit.key == "budget":
            per_unit = 1.0 / total
        found.append(Binding(limit.key, limit.says, abs(shadow) * per_unit, _gain_unit(task)))
    return tuple(found)


def _gain_unit(task: Task) -> str:
    if task.aim == "cheapest":
        return f"{task.currency}/kg"
    return "kg protein/kg" if task.aim == "most protein" else "kg used/kg"


def _surer(task: Task, held: Pattern, mix: Mix) -> Mix:
    """Hold amino acids that fall short too often a little higher, until they seldom do or no mix is left."""
    best = mix
    margins: dict[str, float] = {}
    wanted = task.chance_max or 1.0
    for _ in range(STEPS):
        if best.chances is None or best.chances.any_short <= wanted:
            return best
        weak = [n for n in AMINO if best.chances.short[n] > wanted / 2.0] or [
            max(AMINO, key=lambda n: best.chances.short[n] if best.chances else 0.0)
        ]
        margins = margins | {n: margins.get(n, 0.0) + 0.03 for n in weak}
        tried = _once(task, held, margins)
        if not tried.found or tried.chances is None:
            break
        best = tried
    if best.chances is not None and best.chances.any_short > wanted:
        note = (
            f"No mix of these brings the chance of a shortfall down to {100 * wanted:.0f} %; "
            f"this one has {100 * best.chances.any_short:.0f} %."
        )
        best = replace(best, notes=(*best.notes, note))
    return best


def _explained(task: Task, held: Pattern, mix: Mix) -> Mix:
    if mix.notes:
        return mix
    sized = replace(task, batch_kg=task.batch_kg or 1.0)
    if task.batch_kg is None:
        # with any size allowed, none at all is always a mix: ask for a tenth of a kilogram
        sized = replace(task, batch_kg=0.1)
    limits = limit_rows(sized, held, {})
    columns, rows = program(sized, limits)
    by_key = {limit.key: limit.says for limit in limits}
    stocks = {r.key: f"there are only {i.stock_kg:g} kg of {i.name}" for i in task.items for r in rows
              if r.key == f"stock:{i.name}" and i.price is None}  # fmt: skip
    words = by_key | stocks
    together = tuple(words[k] for k in conflict(columns, rows, [*words]))
    changes = _changes(sized, limits, columns, rows)
    if not changes:
        note = "No change of limits allows a mix of these ingredients: more of them, or others, are needed."
        return replace(mix, together=together, notes=(note,))
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
    instead = _once(allowed, held, {})
    return replace(mix, together=together, changes=changes, instead=instead if instead.found else None)


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
    found = []
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
    return total(n, "low") / max(total("protein", "high") * pattern(task.requirement).percent[n] / 100.0, 1e-9)


def _prices(task: Task, held: Pattern, mix: Mix) -> tuple[PriceLine, ...]:
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
            # a price below nothing means that it would not be taken as a gift
            found.append(PriceLine(item.name, item.price, 0.0, enters))
        else:
            found.append(PriceLine(item.name, item.price, share, None, *(
                _at_price(task, held, mix, item, factor) for factor in (1.0 + SWAY, 1.0 - SWAY)
            )))  # fmt: skip
    return tuple(found)


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
