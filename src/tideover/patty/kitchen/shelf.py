"""The keeper's own ingredients as the books keep them, and a batch as settings of a plan.

In the books' settings under the name ``ingredients``: a list of tables as ``from_label`` reads them.
"""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any, Final

from tideover.patty.kitchen.batch import Sheet, sheet
from tideover.patty.kitchen.ingredients import Ingredient, IngredientError, from_label
from tideover.patty.kitchen.outcome import Mix
from tideover.patty.kitchen.worth import PollenWorth

SETTING: Final = "ingredients"


def kept(settings: Mapping[str, Any]) -> tuple[list[Ingredient], list[str]]:
    """The keeper's own ingredients, and one sentence for each that can no longer be read."""
    found: list[Ingredient] = []
    problems: list[str] = []
    raw = settings.get(SETTING)
    for one in raw if isinstance(raw, list) else []:
        try:
            found.append(from_label(one if isinstance(one, Mapping) else {}))
        except IngredientError as error:
            problems.append(str(error))
    return found, problems


def with_one(settings: Mapping[str, Any], raw: Mapping[str, Any]) -> dict[str, Any]:
    """The setting with one ingredient added, or replaced when it has the name of one that is there.

    Raises: IngredientError when it cannot be used.
    """
    made = from_label(raw)
    old = settings.get(SETTING)
    others = [
        o for o in (old if isinstance(old, list) else []) if isinstance(o, Mapping) and o.get("name") != made.name
    ]
    return {SETTING: [*others, dict(raw) | {"name": made.name}]}


def written(settings: Mapping[str, Any], name: str) -> dict[str, Any]:
    """What the keeper wrote of one of his own ingredients; empty when there is none of that name."""
    old = settings.get(SETTING)
    for one in old if isinstance(old, list) else []:
        if isinstance(one, Mapping) and one.get("name") == name:
            return dict(one)
    return {}


def without(settings: Mapping[str, Any], name: str) -> dict[str, Any]:
    """The setting without the ingredient of that name."""
    old = settings.get(SETTING)
    return {
        SETTING: [
            o for o in (old if isinstance(old, list) else []) if not (isinstance(o, Mapping) and o.get("name") == name)
        ]
    }


PRICES: Final = "kitchen_prices"
"""In the books' settings: by ingredient, its price and bag as typed, with the unit in the name."""
_REMEMBERED: Final = ("price_kg", "price_lb", "bag_kg", "bag_lb")


def remembered(settings: Mapping[str, Any]) -> dict[str, dict[str, Any]]:
    """Price and bag of each ingredient that the keeper asked to be kept for the next mix."""
    held = settings.get(PRICES)
    if not isinstance(held, Mapping):
        return {}
    return {
        str(name): {n: one[n] for n in _REMEMBERED if one.get(n) not in (None, "")}
        for name, one in held.items()
        if isinstance(one, Mapping)
    }


def with_prices(settings: Mapping[str, Any], task: Mapping[str, Any]) -> dict[str, Any]:
    """The setting with price and bag of each ingredient of a task; of others it keeps what it had."""
    held = remembered(settings)
    given = task.get("ingredients")
    for one in given if isinstance(given, list) else []:
        if isinstance(one, Mapping) and one.get("name"):
            held[str(one["name"])] = {n: one[n] for n in _REMEMBERED if one.get(n) not in (None, "")}
    return {PRICES: {name: one for name, one in held.items() if one}}


LABEL_LONGEST: Final = 24
RECIPE_LONGEST: Final = 20_000
PIECE_THICK_MM: Final = 10.0
"""As the sheet says: rolled about 1 cm thick."""
NEVER_HARD_D: Final = 60.0
"""What stands for a batch that stays soft for as long as is looked."""


def hard_days(made: Sheet) -> float:
    """Days on a hive until a piece is hard, within what the calls can take [d]."""
    return min(NEVER_HARD_D, max(3.0, NEVER_HARD_D if made.hard_after_days is None else made.hard_after_days))


def label_name(name: str) -> str:
    """A short label for a batch: letters, digits and single dashes."""
    short = "-".join(re.findall(r"[A-Z0-9]+", name.upper()))[:LABEL_LONGEST].strip("-")
    return short or "BATCH"


def for_the_books(
    mix: Mix, made: Sheet, name: str = "", day: date | None = None, recipe: Mapping[str, Any] | None = None
) -> dict[str, Any]:
    """A batch as an entry of kind ``batch``, in canonical units.

    name: its label, else made from the name of the mix. day: the day it is mixed, for how long it keeps. recipe: the
    task it came from.
    Raises: ValueError when there is no mix.
    """
    if mix.makeup is None:
        raise ValueError("there is no mix to write down; change the limits first.")
    shares, worth = mix.makeup.shares, made.worth
    given: dict[str, Any] = {
        "batch": label_name(name or mix.task.name),
        "weight": round(1000.0 * made.total_kg, 1),
        "origin": "mixed",
        "protein": round(shares["protein"].best, 2),
        "counted_protein": round(worth.counted_protein, 2),
        "pollen_share": round(worth.pollen_share, 2),
        "sugar_share": round(shares["sugar"].best, 2),
        "water_share": round(shares["water"].best, 2),
        "hard_after": hard_days(made),
        "worth": round(max(0.0, worth.grams_per_kg), 1),
        "worth_low": round(max(0.0, worth.low), 1),
        "worth_high": round(worth.high, 1),
        "thickness": PIECE_THICK_MM,
    }
    if not mix.unpriced:
        given["cost"] = round(mix.worth, 2)
    if made.pieces:
        given["pieces"] = made.pieces
    if day is not None:
        given["keeps_until"] = (day + timedelta(days=made.keeping.cool_days)).isoformat()
    text = json.dumps(recipe, separators=(",", ":"), ensure_ascii=False) if recipe else ""
    if 0 < len(text) <= RECIPE_LONGEST:
        given["recipe"] = text
    return given


USED: Final = ("patty_protein", "patty_pollen_share", "patty_sugar", "patty_hard_days", "patty_price")
"""Settings that a batch used for the calls writes."""


def for_the_calls(mix: Mix, worth: PollenWorth) -> dict[str, float]:
    """Settings of a plan that make the calls reckon with this batch: protein that counts, pollen, sugar, drying, price.

    Raises: ValueError when there is no mix.
    """
    made = sheet(mix)
    assert mix.makeup is not None
    given = {
        "patty_protein": round(worth.counted_protein, 2),
        "patty_pollen_share": round(worth.pollen_share, 2),
        "patty_sugar": round(mix.makeup.shares["sugar"].best, 2),
        "patty_hard_days": hard_days(made),
    }
    if not mix.unpriced and mix.worth > 0.0:
        given["patty_price"] = round(mix.worth / mix.total_kg, 3)
    return given
