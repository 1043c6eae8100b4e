"""The keeper's own ingredients as the books keep them, and a batch as settings of a plan.

In the books' settings under the name ``ingredients``: a list of tables as ``from_label`` reads them.
"""

from __future__ import annotations

from collections.abc import Mapping
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


def without(settings: Mapping[str, Any], name: str) -> dict[str, Any]:
    """The setting without the ingredient of that name."""
    old = settings.get(SETTING)
    return {
        SETTING: [
            o for o in (old if isinstance(old, list) else []) if not (isinstance(o, Mapping) and o.get("name") == name)
        ]
    }


NEVER_HARD_D: Final = 60.0
"""What stands for a batch that stays soft for as long as is looked."""


def hard_days(made: Sheet) -> float:
    """Days on a hive until a piece is hard, within what the calls can take [d]."""
    return min(NEVER_HARD_D, max(3.0, NEVER_HARD_D if made.hard_after_days is None else made.hard_after_days))


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
