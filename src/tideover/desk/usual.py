"""The patty a yard's hives would be given next: the batch in stock, else the keeper's usual one.

A batch stands for a yard while what is left of it reaches round the yard. The batch stored at that yard goes before
one stored elsewhere, and of those the one that keeps shortest. What was laid on, frozen or thrown away today does not
count yet, so that the answer stays the same while a round goes on; a batch written down today counts at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

from tideover.desk.coldbox import facts_of
from tideover.patty.kitchen.files import parse
from tideover.patty.kitchen.task import TaskError
from tideover.patty.ledger.fold import fold
from tideover.patty.piece import QUARTER_POUND_G
from tideover.plan.call import Call
from tideover.plan.settings import Settings
from tideover.records import Books

FROM_STOCK: Final = "stock"
LEAST_G: Final = QUARTER_POUND_G
"""A batch reaches round a yard while there is this much of it for each hive: the smallest piece."""
SCALE_G: Final = 1.0
"""What a kitchen scale does not tell apart."""


@dataclass(frozen=True)
class Stocked:
    """A batch with something left of it [g], and what the forecast needs to know of it; None is not written."""

    name: str
    entry: str
    yard: str
    left_g: float = field(compare=False)
    keeps_until: date | None
    protein: float
    """Protein that counts, else crude protein [% of weight]."""
    counted: bool
    pollen_share: float
    sugar: float | None
    hard_days: float | None
    price: float | None
    """Money per kilogram."""
    worth: tuple[float, float, float] | None
    """Grams of pollen that a kilogram does the work of: low, middle, high."""


def stocked(books: Books, day: date) -> tuple[Stocked, ...]:
    """Batches still good on ``day`` of which something was left that morning and whose protein is known."""
    zones = {y.id: y.zone for y in books.yards()}
    facts = [
        f
        for f in facts_of(books)
        if (local := f.at.astimezone(zones[f.yard]).date()) < day or (local == day and f.kind == "batch")
    ]
    left = fold(facts).batches
    values = {e.id: e.values for e in books.entries(kind="batch")}
    found = []
    for b in left.values():
        held = values.get(b.entry, {})
        counted, crude = _number(held, "counted_protein"), _number(held, "protein")
        protein = crude if counted is None else counted
        if protein is None or b.shelf_g < LEAST_G - SCALE_G or (b.keeps_until is not None and b.keeps_until < day):
            continue
        cost, weight = _number(held, "cost"), _number(held, "weight")
        low, middle, high = (_number(held, n) for n in ("worth_low", "worth", "worth_high"))
        found.append(
            Stocked(
                b.name, b.entry, b.yard, b.shelf_g, b.keeps_until, protein, counted is not None,
                _number(held, "pollen_share") or 0.0, _number(held, "sugar_share"), _number(held, "hard_after"),
                None if cost is None or not weight else 1000.0 * cost / weight,
                None if low is None or middle is None or high is None else (low, middle, high),
            )
        )  # fmt: skip
    return tuple(sorted(found, key=lambda b: (b.keeps_until or date.max, b.name)))


def _number(values: Mapping[str, object], name: str) -> float | None:
    value = values.get(name)
    return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None


def stands_for(stock: Iterable[Stocked], yard: str, hives: int, settings: Settings) -> Stocked | None:
    """The batch that a yard of so many hives is given next; None is the usual patty of the settings."""
    if settings.patty_from != FROM_STOCK:
        return None
    enough = [b for b in stock if b.left_g >= LEAST_G * max(1, hives) - SCALE_G]
    return next((b for b in enough if b.yard == yard), enough[0] if enough else None)


def standing(books: Books, day: date, settings: Settings) -> dict[str, Stocked | None]:
    """What each yard is given next, by yard; None is the usual patty of the settings."""
    stock = stocked(books, day)
    return {y.id: stands_for(stock, y.id, len(books.hives(y.id)), settings) for y in books.yards()}


@dataclass(frozen=True)
class InStock:
    """A batch in stock, the names of the yards that are given it next, and its recipe where the kitchen can read it."""

    batch: Stocked
    yards: tuple[str, ...]
    task: Mapping[str, object] | None


@dataclass(frozen=True)
class StockView:
    """What is in stock, and the names of the yards that are given the usual patty of the settings."""

    batches: tuple[InStock, ...]
    others: tuple[str, ...]


def stock_view(books: Books, day: date, settings: Settings) -> StockView:
    """What each yard is given next, seen from the batches."""
    stock = stocked(books, day)
    recipes = {e.id: str(e.values.get("recipe", "")) for e in books.entries(kind="batch")}
    names: dict[str, list[str]] = {b.entry: [] for b in stock}
    others: list[str] = []
    for y in books.yards():
        found = stands_for(stock, y.id, len(books.hives(y.id)), settings)
        (others if found is None else names[found.entry]).append(y.name)
    return StockView(
        tuple(InStock(b, tuple(names[b.entry]), task_of(recipes.get(b.entry, ""))) for b in stock), tuple(others)
    )


def task_of(recipe: str) -> Mapping[str, object] | None:
    """The kitchen's task in a batch's recipe; None where it is a text of another kind."""
    try:
        raw = parse(recipe) if recipe.lstrip().startswith("{") else {}
    except TaskError:
        return None
    return raw if isinstance(raw.get("ingredients"), list) else None


def with_batch(settings: Settings, batch: Stocked | None) -> Settings:
    """Settings whose usual patty is this batch; what is not written of it stays as set."""
    if batch is None:
        return settings
    return Settings.from_mapping(
        settings.to_mapping()
        | {
            "patty_protein": batch.protein,
            "patty_pollen_share": batch.pollen_share,
            "patty_sugar": settings.patty_sugar if batch.sugar is None else min(90.0, batch.sugar),
            "patty_hard_days": settings.patty_hard_days
            if batch.hard_days is None
            else min(60.0, max(3.0, batch.hard_days)),
            "patty_price": settings.patty_price if batch.price is None else batch.price,
        }
    )


def named(call: Call, batch: Stocked | None) -> Call:
    """The call with the batch's name in what is laid on."""
    if batch is None or call.action != "lay on" or call.product is None:
        return call
    return replace(call, product=f"{call.product}, batch {batch.name}")
