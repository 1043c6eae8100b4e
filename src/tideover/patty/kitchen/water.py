"""Water activity: how much of the water microbes can use, by published mixing equations.

Norrish 1966 for sugars (constants of Chirife, Favetto & Ferro Fontan 1982), Ross 1975 for mixtures, Grover 1947 with
equivalents per gram. They differ by some hundredths in a patty; all three are given as a range.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import exp, sqrt
from typing import Final

from tideover.figures import book

WATER_MOLAR: Final = 18.0153
SOLUTES: Final[dict[str, tuple[float, float]]] = {
    "sucrose": (book().value("kitchen.norrish_k_sucrose"), 342.30),
    "glucose": (book().value("kitchen.norrish_k_glucose"), 180.156),
    "fructose": (book().value("kitchen.norrish_k_glucose"), 180.156),
    "lactose": (10.2, 342.30),
    "maltose": (4.54, 342.30),
    "sorbitol": (1.65, 182.17),
    "glycerol": (1.16, 92.09),
    "xylose": (1.54, 150.13),
}
"""Norrish constant and molar mass [g/mol]; from memory of the 1982 table where the figures book has no row."""
GROVER: Final[dict[str, float]] = {
    "sucrose": 1.0, "lactose": 1.0, "glucose": 1.3, "fructose": 1.3, "maltose": 1.0, "protein": 1.3, "starch": 0.8,
    "acid": 2.5, "glycerol": 4.0, "salt": 9.0, "fat": 0.0,
}  # fmt: skip
"""Grams of sucrose that a gram stands for (from memory)."""
SATURATED_20: Final = 2.039
"""Grams of sucrose that a gram of water dissolves at 20 C (Mohos 2010)."""


def norrish(grams: Mapping[str, float], water_g: float) -> float:
    """Water activity of sugars in water, as one mixture: ln aw = ln Xw - (sum sqrt(K) X)^2.

    Raises: ValueError without water or for an unknown solute.
    """
    moles = _moles(grams)
    if water_g <= 0.0:
        raise ValueError(f"water is {water_g:g} g, wanted above 0.")
    water = water_g / WATER_MOLAR
    total = water + sum(moles.values())
    bend = sum(sqrt(SOLUTES[name][0]) * n / total for name, n in moles.items())
    return water / total * exp(-(bend**2))


def ross(grams: Mapping[str, float], water_g: float) -> float:
    """Water activity as the product of each solute's own in all the water."""
    product = 1.0
    for name, mass in grams.items():
        product *= norrish({name: mass}, water_g)
    return product


def money_born(sugar_moles_per_100g_water: float) -> float:
    """Water activity of confectionery syrup by moles of sugar per 100 g water (Money & Born 1951)."""
    return 1.0 / (1.0 + 0.27 * sugar_moles_per_100g_water)


def grover(grams: Mapping[str, float], water_g: float) -> float:
    """Water activity by sucrose equivalents: 1.04 - 0.1 Es + 0.0045 Es^2, at most 1; falls until Es is 11.1."""
    if water_g <= 0.0:
        raise ValueError(f"water is {water_g:g} g, wanted above 0.")
    es = min(sum(GROVER[name] * mass for name, mass in grams.items()) / water_g, 11.1)
    return min(1.0, 1.04 - 0.1 * es + 0.0045 * es * es)


def _moles(grams: Mapping[str, float]) -> dict[str, float]:
    for name in grams:
        if name not in SOLUTES:
            raise ValueError(f"no Norrish constant is held for {name!r}; wanted one of {', '.join(SOLUTES)}.")
    return {name: mass / SOLUTES[name][1] for name, mass in grams.items() if mass > 0.0}


@dataclass(frozen=True)
class Paste:
    """A paste by what rules its water, in grams of any one weight of it."""

    water: float
    sucrose: float
    simple: float
    lactose: float = 0.0
    protein: float = 0.0
    salt: float = 0.0
    fat: float = 0.0
    rest: float = 0.0

    @property
    def dissolved(self) -> float:
        """Sucrose in solution; the rest lies as crystals."""
        return min(self.sucrose, SATURATED_20 * self.water)

    @property
    def crystals(self) -> float:
        """Sucrose that does not dissolve."""
        return self.sucrose - self.dissolved

    @property
    def total(self) -> float:
        """All of it."""
        return self.water + self.sucrose + self.simple + self.lactose + self.protein + self.salt + self.fat + self.rest


def activity(paste: Paste) -> tuple[float, float]:
    """Lowest and highest of three estimates of a paste's water activity; only what is dissolved counts.

    Salt lowers each as an ideal electrolyte of two ions. Protein counts in Grover's sum alone.
    """
    if paste.water <= 1e-6:
        return 0.0, 0.0
    lactose = min(paste.lactose, 0.2 * paste.water)
    sugars = {"sucrose": paste.dissolved, "glucose": paste.simple / 2, "fructose": paste.simple / 2, "lactose": lactose}
    ions = 2.0 * paste.salt / 58.44 * WATER_MOLAR / paste.water
    salted = 1.0 / (1.0 + ions)
    found = (
        norrish(sugars, paste.water) * salted,
        ross(sugars, paste.water) * salted,
        grover({**sugars, "protein": paste.protein, "salt": paste.salt}, paste.water),
    )
    return max(0.0, min(found)), min(1.0, max(found))
