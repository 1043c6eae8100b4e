"""The batch sheet as data: what to weigh, in which order, how many pieces, and the words on their labels."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from math import floor
from typing import Final

from tideover.patty.kitchen import cautions
from tideover.patty.kitchen import feel as feeling
from tideover.patty.kitchen.formulate import Mix
from tideover.patty.kitchen.makeup import paste_of
from tideover.patty.kitchen.water import activity
from tideover.patty.kitchen.worth import PollenWorth, pollen_worth

ORDER: Final[tuple[tuple[str, str], ...]] = (
    ("powder", "Mask on. Weigh the powders into a dry tub and stir until one colour: {names}."),
    ("minor", "Weigh these on a fine scale and keep them apart: {names}."),
    ("syrup", "Warm the syrup until it pours, no hotter than the hand bears: {names}."),
    ("sugar", "Stir the sugar into the water, warm (up to 40 °C, 104 °F), never boiling: {names}."),
    ("liquid", "Weigh the liquids: {names}."),
    ("oil", "Last, knead in the oil until nothing shines: {names}."),
)


@dataclass(frozen=True)
class Weighing:
    """One line of the sheet: ingredient, kilograms, share of the weight [%], cost, what to buy, what is left over."""

    name: str
    kilograms: float
    share: float
    cost: float | None
    bought_kg: float
    bags: int
    group: str
    left_kg: float
    """What then stands in the shed: stock and what was bought, less what went in."""


@dataclass(frozen=True)
class Sheet:
    """A batch ready to be made."""

    name: str
    total_kg: float
    weighings: tuple[Weighing, ...]
    steps: tuple[str, ...]
    pieces: int
    piece_g: float
    rest_g: float
    cost_per_piece: float | None
    protein_per_piece_g: float
    sugar_per_piece_g: float
    currency: str
    label: tuple[str, ...]
    cautions: tuple[cautions.Caution, ...]
    softness: float
    feel: str
    feel_says: str
    stiff_after_days: float | None
    hard_after_days: float | None
    water_activity: tuple[float, float]
    keeping: feeling.Keeping
    worth: PollenWorth


def sheet(mix: Mix, day: date | None = None) -> Sheet:
    """The batch sheet of a mix.

    day: the day it is mixed, for the label; none leaves a blank.
    Raises: ValueError when there is no mix.
    """
    if mix.makeup is None:
        raise ValueError("there is no mix to weigh; change the limits first.")
    items = {i.name: i for i in mix.task.items}
    total = mix.total_kg
    weighings = []
    for name, kg in sorted(mix.kilograms.items(), key=lambda pair: -pair[1]):
        item, bought = items[name], mix.bought.get(name, 0.0)
        bags = round(bought / item.bag_kg) if item.bag_kg > 0.0 and bought > 0.0 else 0
        cost = None if item.price is None else item.price * kg
        left = max(0.0, item.stock_kg + bought - kg)
        weighings.append(Weighing(name, kg, 100.0 * kg / total, cost, bought, bags, item.ingredient.group, left))
    ingredients = {name: item.ingredient for name, item in items.items()}
    paste = paste_of(ingredients, mix.kilograms)
    soft = feeling.softness(paste)
    water = activity(paste)
    kept = feeling.keeping(water[1])
    pieces = floor(total * 1000.0 / mix.task.piece_g + 1e-6)
    shares = mix.makeup.shares
    used = [ingredients[w.name] for w in weighings]
    label = _label(mix, weighings, kept, day)
    word, says = feeling.word(soft)
    return Sheet(
        mix.task.name, total, tuple(weighings), _steps(weighings), pieces, mix.task.piece_g,
        max(0.0, total * 1000.0 - pieces * mix.task.piece_g),
        None if mix.unpriced else mix.worth * mix.task.piece_g / 1000.0 / total,
        mix.task.piece_g * shares["protein"].best / 100.0, mix.task.piece_g * shares["sugar"].best / 100.0,
        mix.task.currency, label, cautions.of(used), soft, word, says, feeling.days_until(paste, 58.0),
        feeling.days_until(paste, feeling.HARD), water, kept, pollen_worth(mix),
    )  # fmt: skip


def _steps(weighings: list[Weighing]) -> tuple[str, ...]:
    steps = ["Wash hands, tubs and tools. Check every bag: no mould, no foreign smell, no live insects."]
    for group, words in ORDER:
        names = [w.name for w in weighings if w.group == group]
        if not names:
            continue
        if group == "sugar" and not any(w.name == "water" for w in weighings):
            words = "Add the sugar: {names}."
        if group == "liquid" and names == ["water"] and any(w.group == "sugar" for w in weighings):
            words = "The {names} is already with the sugar."
            continue
        steps.append(words.format(names="; ".join(names)))
        if group == "sugar":
            steps.append("Let it cool to the hand. Only then stir it into the powders, a little at a time.")
    if any(w.name == "citric acid" or w.name == "lemon juice" for w in weighings):
        steps.append("Acid goes in cold, at the very end: warm acid syrup makes HMF.")
    steps += [
        "Rest it covered for some hours: powders go on drinking. Too stiff: a spoon of water at a time; too "
        "soft: sugar.",
        "Roll flat between papers, about 1 cm (3/8 in) thick, cut and weigh the pieces, label each.",
        "What is not laid on this week goes into the cold, wrapped.",
    ]
    return tuple(steps)


def _label(mix: Mix, weighings: list[Weighing], kept: feeling.Keeping, day: date | None) -> tuple[str, ...]:
    assert mix.makeup is not None
    shares = mix.makeup.shares
    allergens = sorted(
        {a for i in mix.task.items if mix.kilograms.get(i.name, 0.0) > 0.0 and (a := i.ingredient.allergen)}
    )
    mixed = "Mixed: ____________" if day is None else f"Mixed {day.isoformat()}"
    until = "" if day is None else f", in the cold until {(day + timedelta(days=kept.cool_days)).isoformat()}"
    lines = [
        f"{mix.task.name}: feed for bees, not for people",
        f"{mixed}{until}",
        f"Protein {shares['protein'].best:.0f} %, sugar {shares['sugar'].best:.0f} %, water "
        f"{shares['water'].best:.0f} %",
        "Holds " + "; ".join(w.name for w in weighings),
    ]
    if allergens:
        lines.append("Allergens: " + ", ".join(allergens))
    lines.append("Not on hives with honey for sale. Off by the pull-by.")
    return tuple(lines)
