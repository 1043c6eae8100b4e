"""What is asked of the kitchen: ingredients at hand, limits, and what to aim for.

A task is read from plain values (a file, a form) so that a file, a page and a script ask the same thing the same way.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from math import isfinite
from typing import Any, Final

from tideover.figures import book
from tideover.figures.units import POUND_G, POUND_KG
from tideover.patty.kitchen.ingredients import CONFIRM, Ingredient, IngredientError, find, from_label
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.requirement import NEED_LEAST, NEED_MOST, Pattern, changed, pattern

AIMS: Final[dict[str, str]] = {
    "cheapest": "the least money for a batch of this size",
    "most protein": "the most protein in a batch of this size, within a budget",
    "use up": "as much as can be made, or used, of what is in the shed",
    "as weighed": "no choice: tell me what these weights make",
}
SOURCE_LONGEST: Final = 120

_figures = book()
DEFAULT_LIMITS: Final[dict[str, float]] = {
    "protein_min": _figures.value("kitchen.limit_protein_min"),
    "sugar_min": _figures.row("kitchen.sugar_pct").low or 35.0,
    "sugar_max": _figures.value("kitchen.limit_sugar_max"),
    "water_min": _figures.row("kitchen.water_pct").low or 17.0,
    "water_max": _figures.value("kitchen.limit_water_max"),
    "fat_min": _figures.value("kitchen.limit_fat_min"),
    "fat_max": _figures.row("kitchen.fat_pct").high or 7.0,
    "ash_max": _figures.value("kitchen.ash_max_pct"),
    "salt_max": _figures.value("kitchen.limit_salt_max"),
    "toxic_max": _figures.value("kitchen.limit_toxic_max"),
    "toxic_of_sugar_max": _figures.value("kitchen.toxic_share_max_pct"),
    "omega_ratio_max": _figures.value("kitchen.limit_omega_ratio_max"),
    "softness_min": _figures.value("kitchen.limit_softness_min"),
    "score_min": 1.0,
}
"""The usual limits: percent of weight as fed; ``toxic_of_sugar_max`` percent of the sugar; ratios and score as such."""

LIMITS: Final[dict[str, str]] = {
    "protein_min": "protein", "protein_max": "protein", "sugar_min": "useful sugar", "sugar_max": "useful sugar",
    "water_min": "water", "water_max": "water", "fat_min": "fat", "fat_max": "fat", "fibre_max": "fibre",
    "ash_max": "ash", "salt_max": "salt", "toxic_max": "harmful sugars", "lactose_max": "lactose",
    "toxic_of_sugar_max": "harmful sugars, of all useful sugar", "omega_ratio_max": "omega-6 to omega-3",
    "softness_min": "softness", "softness_max": "softness", "score_min": "amino acid score",
    "crystals_max": "undissolved sugar",
}  # fmt: skip
"""Every limit that can be set, and what it is about."""


class TaskError(ValueError):
    """The task cannot be read; ``problems`` holds one sentence per fault."""

    def __init__(self, problems: Sequence[str]) -> None:
        """Keep every fault."""
        self.problems: Final = tuple(problems)
        super().__init__(
            "the mix cannot be worked out: " + str(len(self.problems)) + " to put right\n" + "\n".join(problems)
        )


@dataclass(frozen=True)
class Item:
    """One ingredient at hand: price, what there is, what it is sold in, and bounds on its share."""

    ingredient: Ingredient
    price: float | None = None
    """Money per kg; None is unknown."""
    least: float = 0.0
    most: float = 100.0
    stock_kg: float = 0.0
    bag_kg: float = 0.0
    amount_kg: float | None = None

    @property
    def name(self) -> str:
        """The ingredient's name."""
        return self.ingredient.name


@dataclass(frozen=True)
class Task:
    """Everything a mix is worked out from."""

    items: tuple[Item, ...]
    aim: str = "cheapest"
    name: str = "Patty"
    batch_kg: float | None = 10.0
    limits: Mapping[str, float] = field(default_factory=lambda: dict(DEFAULT_LIMITS))
    requirement: str = ""
    need: Mapping[str, float] = field(default_factory=dict)
    """The keeper's own amino acid needs [% of protein] by short name; what is not there is as in ``requirement``."""
    need_source: str = ""
    """Where the keeper has his own needs from."""
    budget: float | None = None
    chance_max: float | None = None
    currency: str = "USD"
    piece_g: float = POUND_G
    left_out: tuple[str, ...] = ()
    """Why ingredients that were named take no part, one sentence each."""

    @property
    def pattern(self) -> Pattern:
        """The amino acid needs the mix is held to."""
        return changed(pattern(self.requirement), self.need, self.need_source)


def _float(raw: Mapping[str, Any], name: str, low: float, high: float, where: str, problems: list[str]) -> float | None:
    value = raw.get(name)
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    try:
        if isinstance(value, bool):
            raise ValueError
        number = float(value.replace(",", ".") if isinstance(value, str) else value)
    except (TypeError, ValueError):
        problems.append(f"{where}{name} got {value!r}, wanted a number from {low:g} to {high:g}.")
        return None
    if not isfinite(number) or not low <= number <= high:
        problems.append(f"{where}{name} is {number:g}, wanted {low:g} to {high:g}.")
        return None
    return number


def _mass(raw: Mapping[str, Any], name: str, where: str, problems: list[str], most: float = 5000.0) -> float | None:
    """A weight given as NAME_kg, NAME_g, NAME_lb or NAME_oz [kg]."""
    found = None
    for suffix, factor in (("kg", 1.0), ("g", 1e-3), ("lb", POUND_KG), ("oz", POUND_KG / 16.0)):
        value = _float(raw, f"{name}_{suffix}", 0.0, most / factor, where, problems)
        if value is not None:
            if found is not None:
                problems.append(f"{where}{name} is given twice in different units; keep one.")
            found = value * factor
    return found


_ITEM_KEYS: Final = (
    {"name", "min", "max", "price_kg", "price_lb", "confirmed"}
    | {f"{n}_{u}" for n in ("stock", "bag", "amount") for u in ("kg", "g", "lb", "oz")}
)  # fmt: skip
_TASK_KEYS: Final = {
    "name", "aim", "batch_kg", "batch_g", "batch_lb", "batch_oz", "budget", "currency", "piece_g", "piece_kg",
    "piece_lb",
    "piece_oz", "requirement", "need", "chance_max", "limits", "ingredients", "own",
}  # fmt: skip


def _strangers(raw: Mapping[str, Any], known: Sequence[str], where: str, problems: list[str]) -> None:
    for key in raw:
        if key not in known:
            near = difflib.get_close_matches(str(key), known, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"wanted any of {', '.join(sorted(known))}."
            problems.append(f"{where}there is no {key!r}; {hint}")


def read_task(raw: Mapping[str, Any], own: Sequence[Ingredient] = ()) -> Task:
    """A task from plain values.

    raw: as in docs/kitchen.md. own: ingredients the keeper has kept in the books.
    Raises: TaskError listing every fault.
    """
    if not isinstance(raw, Mapping):
        raise TaskError(["the file holds no table of names and values; see the example in the manual."])
    problems: list[str] = []
    _strangers(raw, sorted(_TASK_KEYS), "", problems)
    mine = {one.name: one for one in own}
    given_own = raw.get("own") or []
    if not isinstance(given_own, list):
        problems.append("own is not a list; give one table per ingredient.")
        given_own = []
    for one in given_own:
        try:
            made = from_label(one)
            mine[made.name] = made
        except IngredientError as error:
            problems.append(str(error))
    aim = str(raw.get("aim") or "cheapest")
    if aim not in AIMS:
        problems.append(f"aim got {aim!r}, wanted one of {', '.join(repr(a) for a in AIMS)}.")
    items, left_out = _items(raw.get("ingredients"), aim, list(mine.values()), problems)
    requirement = str(raw.get("requirement") or "")
    try:
        pattern(requirement)
    except ValueError as error:
        problems.append(str(error))
    need, need_source = _need(raw.get("need"), problems)
    limits = _limits(raw.get("limits"), problems)
    batch = _mass(raw, "batch", "", problems)
    piece = _mass(raw, "piece", "", problems, 5.0)
    if batch is None and aim in ("cheapest", "most protein"):
        batch = 10.0
    if batch is not None and batch < 0.05:
        problems.append("batch is under 50 g (1.8 oz), wanted 0.05 to 5000 kg (0.11 to 11,000 lb).")
    if piece is not None and piece < 0.02:
        problems.append("piece is under 20 g (0.7 oz), wanted 0.02 to 5 kg (0.044 to 11 lb).")
    if aim == "use up" and items and not any(i.stock_kg > 0.0 for i in items):
        problems.append("to use up what there is, say what there is: give at least one ingredient a stock.")
    budget = _float(raw, "budget", 0.0, 1e6, "", problems)
    chance = _float(raw, "chance_max", 0.01, 0.9, "", problems)
    currency = str(raw.get("currency") or "USD")
    if len(currency) > 8:
        problems.append(f"currency got {currency!r}, wanted up to 8 characters.")
    if problems:
        raise TaskError(problems)
    return Task(
        tuple(items), aim, str(raw.get("name") or "Patty")[:60], batch, limits, requirement, need, need_source, budget,
        chance, currency, POUND_G if piece is None else piece * 1000.0, tuple(left_out),
    )  # fmt: skip


def _need(raw: Any, problems: list[str]) -> tuple[dict[str, float], str]:
    """The keeper's own needs by short name, full names taken too, and where he has them from."""
    if raw is None:
        return {}, ""
    if not isinstance(raw, Mapping):
        problems.append("need is no table; give amino acids and percent of protein, such as methionine = 1.8.")
        return {}, ""
    short = {full: n for n, full in AMINO.items()} | {n: n for n in AMINO}
    _strangers(raw, [*sorted(short), "source"], "need: ", problems)
    source = " ".join(str(raw.get("source") or "").split())
    if len(source) > SOURCE_LONGEST:
        problems.append(f"need: source has {len(source)} characters, wanted up to {SOURCE_LONGEST}; say it shorter.")
    found: dict[str, float] = {}
    for key in raw:
        if key == "source":
            continue
        number = _float(raw, key, NEED_LEAST, NEED_MOST, "need: ", problems)
        if key in short and number is not None:
            if short[key] in found:
                problems.append(f"need: {AMINO[short[key]]} is given twice; keep one.")
            found[short[key]] = number
    return found, source


def _limits(raw: Any, problems: list[str]) -> dict[str, float]:
    limits = dict(DEFAULT_LIMITS)
    if raw is None:
        return limits
    if not isinstance(raw, Mapping):
        problems.append("limits is no table; give names and numbers such as protein_min = 18.")
        return limits
    _strangers(raw, sorted(LIMITS), "limits: ", problems)
    for key in LIMITS:
        if key not in raw:
            continue
        value = raw[key]
        if value is None or (isinstance(value, str) and value.strip().lower() in ("", "none")):
            limits.pop(key, None)
            continue
        number = _float(raw, key, 0.0, 100.0, "limits: ", problems)
        if number is not None:
            limits[key] = number
    for key in list(limits):
        if key.endswith("_min") and (top := key.replace("_min", "_max")) in limits and limits[key] > limits[top]:
            problems.append(f"limits: {key} is {limits[key]:g}, above {top} ({limits[top]:g}); the least comes first.")
    return limits


def _items(raw: Any, aim: str, own: Sequence[Ingredient], problems: list[str]) -> tuple[list[Item], list[str]]:
    items: list[Item] = []
    left_out: list[str] = []
    priceless: list[str] = []
    weightless: list[str] = []
    if not isinstance(raw, list) or not raw:
        problems.append("ingredients is empty; name at least one, with what it costs.")
        return items, left_out
    for number, one in enumerate(raw, start=1):
        one = {"name": one} if isinstance(one, str) else one
        if not isinstance(one, Mapping):
            problems.append(f"ingredient {number} is no table; give a name and a price.")
            continue
        where = f"{one.get('name') or f'ingredient {number}'}: "
        _strangers(one, sorted(_ITEM_KEYS), where, problems)
        try:
            ingredient = find(str(one.get("name") or ""), own)
        except IngredientError as error:
            problems.append(str(error))
            continue
        price = _float(one, "price_kg", 0.0, 10000.0, where, problems)
        by_pound = _float(one, "price_lb", 0.0, 10000.0, where, problems)
        if price is not None and by_pound is not None:
            problems.append(f"{where}price is given per kg and per lb; keep one.")
        price = by_pound / POUND_KG if price is None and by_pound is not None else price
        if ingredient.name == "water" and price is None:
            price = 0.0
        least = _float(one, "min", 0.0, 100.0, where, problems) or 0.0
        most = _float(one, "max", 0.0, 100.0, where, problems)
        amount = _mass(one, "amount", where, problems)
        stock, bag = _mass(one, "stock", where, problems) or 0.0, _mass(one, "bag", where, problems) or 0.0
        item = Item(ingredient, price, least, 100.0 if most is None else most, stock, bag, amount)
        if item.least > item.most:
            problems.append(f"{where}min is {item.least:g}, above max ({item.most:g}); the least comes first.")
        if any(item.name == other.name for other in items):
            problems.append(f"{where}named twice; keep one.")
        elif ingredient.mind == CONFIRM and one.get("confirmed") is not True:
            text = (
                f"{item.name} is left out until you say (confirmed) that it is irradiated or from your "
                f"own healthy hives."
            )
            problems.append(text) if aim == "as weighed" or least > 0 else left_out.append(text)
        elif aim == "as weighed" and amount is None:
            weightless.append(item.name)
        elif price is None and aim in ("cheapest", "most protein") and stock <= 0.0:
            priceless.append(item.name)
        else:
            items.append(item)
    if weightless:
        problems.append(
            f"{'; '.join(weightless)}: no weight in the recipe. Put one for each (in a file amount_kg, amount_g, "
            "amount_lb or amount_oz), or leave out what does not go in."
        )
    if priceless:
        many = len(priceless) > 1
        left_out.append(
            f"{'; '.join(priceless)} {'have' if many else 'has'} no price, and unknown is not free: left out until "
            f"you enter {'them' if many else 'one'}."
        )
        if all(i.name == "water" for i in items) and not problems:
            problems.append(
                "nothing but water is left, since the rest has no price, and unknown is not free. Enter what things "
                "cost, or what is in the shed already; to weigh a recipe without prices take the aim 'as weighed'."
            )
    if not items and not problems:
        problems.extend(left_out or ["no ingredient is left to mix."])
    return items, left_out
