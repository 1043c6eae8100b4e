"""Published recipes as weights, to be weighed again: what they printed stands beside what they make."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from tideover.patty.kitchen.ingredients import Ingredient, find, from_label
from tideover.patty.kitchen.makeup import Makeup, makeup

SOY: Final = "soy flour, defatted"
YEAST: Final = "yeast, brewer's, dried"
POLLEN: Final = "pollen, bee-collected"


@dataclass(frozen=True)
class Recipe:
    """A recipe: parts by weight in any one unit, where it was printed and how that is known."""

    name: str
    parts: Mapping[str, float]
    source: str
    known: str

    @property
    def total(self) -> float:
        """Sum of the parts."""
        return sum(self.parts.values())

    def makeup(self) -> Makeup:
        """What it is made of."""
        others = [spice(), *stand_ins()]
        return makeup({name: find(name, others) for name in self.parts}, self.parts)


@cache
def spice() -> Ingredient:
    """A dry spice of which nothing is counted."""
    return from_label({"name": "spice", "protein": 0, "fat": 0, "sugar": 0, "water": 10, "ash": 4, "harmful": 0})


@cache
def stand_ins() -> list[Ingredient]:
    """Things in old recipes that no book of ingredients needs."""
    dry = from_label({"name": "vinegar", "protein": 0, "fat": 0, "sugar": 0, "water": 95, "ash": 0, "harmful": 0,
                      "group": "liquid"})  # fmt: skip
    whey = from_label({"name": "whey protein isolate", "protein": 90, "fat": 1, "sugar": 0, "water": 5, "ash": 2,
                       "lactose": 1, "harmful": 0})  # fmt: skip
    return [dry, whey]


RECIPES: Final[dict[str, Recipe]] = {
    "haydak": Recipe(
        "soy flour 3, yeast 1, skim milk 1", {SOY: 3, YEAST: 1, "skim milk powder": 1},
        "Haydak 1967, as in Bees for Development Journal 77, 1995", "read",
    ),
    "soy-yeast": Recipe(
        "soy flour 8 oz, yeast 1 oz, sugar 12 oz, water 6 oz", {SOY: 8, YEAST: 1, "white sugar": 12, "water": 6},
        "club recipe sheet", "read",
    ),
    "moist": Recipe(
        "soy flour 3, sugar 3, water 2.5", {SOY: 3, "white sugar": 3, "water": 2.5},
        "encyclopedia of beekeeping 1985, as quoted by a club", "read",
    ),
    "moist-yeast": Recipe(
        "yeast 3, sugar 3, water 2.5", {YEAST: 3, "white sugar": 3, "water": 2.5},
        "encyclopedia of beekeeping 1985, as quoted by a club", "read",
    ),
    "dry": Recipe("soy flour 2, sugar 3", {SOY: 2, "white sugar": 3},
                  "encyclopedia of beekeeping 1985, as quoted by a club", "read"),
    "farrar": Recipe(
        "pollen 1, soy flour 3, sugar 8, water 4", {POLLEN: 1, SOY: 3, "white sugar": 8, "water": 4},
        "US agriculture handbooks after Farrar", "from memory",
    ),
    "open-air": Recipe("soy flour 4, yeast 1", {SOY: 4, YEAST: 1}, "state association sheet on dry feed", "read"),
    "yeast-patty": Recipe(
        "yeast patty with yolk, isolate and oil [kg]",
        {"egg yolk, dried": 2.5, "soy protein isolate": 2, YEAST: 22, "white sugar": 27, "citric acid": 0.5,
        "vinegar": 0.5,
         "spice": 0.6, "maize oil": 1.84, "water": 12},
        "teaching page on protein patties: around 23 % protein of dry matter, around 20 % water", "read",
    ),
    "home-batch": Recipe(
        "25 lb home batch [lb]",
        {"maize oil": 1.0, "citric acid": 3 / 16, "soy protein isolate": 1.0, "egg yolk, dried": 1.0,
        "white sugar": 10.0,
         "spice": 2 / 16, YEAST: 8.5, "water": 4.17},
        "keeper's page, 25 lb as printed (its vitamins stand in as spice and acid)", "read",
    ),
    "slurry": Recipe(
        "500 g dry mix in 2 L of 2:1 syrup by volume, as printed [g]",
        {SOY: 300, YEAST: 100, "skim milk powder": 100, "white sugar": 2607 * 0.629, "water": 2607 * 0.371},
        "Bees for Development Journal 77, 1995; 2 L to 500 g looks like a misprint", "read",
    ),
}  # fmt: skip
