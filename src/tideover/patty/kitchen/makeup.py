"""What a mix is made of: weights in, composition with its ranges out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tideover.patty.kitchen.ingredients import Ingredient
from tideover.patty.kitchen.nutrients import AMINO, NUTRIENTS
from tideover.patty.kitchen.requirement import Pattern, Score, score
from tideover.patty.kitchen.water import Paste

Amounts = Mapping[str, float]


@dataclass(frozen=True)
class Share:
    """A nutrient of a mix [% of weight]: the best value, its range, and which ingredients leave it unknown."""

    best: float
    low: float
    high: float
    unknown_in: tuple[str, ...] = ()


@dataclass(frozen=True)
class Makeup:
    """Composition of a mix, percent of weight as fed, and its amino acid score."""

    total_kg: float
    shares: Mapping[str, Share]
    score: Score | None
    score_low: Score | None
    score_high: Score | None

    @property
    def protein_of_dry(self) -> float:
        """Crude protein [% of dry matter]."""
        return 100.0 * self.shares["protein"].best / max(100.0 - self.shares["water"].best, 1e-9)

    @property
    def omega_ratio(self) -> float | None:
        """Omega-6 over omega-3; None when there is no omega-3."""
        ala = self.shares["ala"].best
        return self.shares["la"].best / ala if ala > 1e-9 else None


def makeup(ingredients: Mapping[str, Ingredient], kilograms: Amounts, held: Pattern | None = None) -> Makeup:
    """Composition of these kilograms.

    Raises: ValueError when nothing is weighed.
    """
    used = {name: kg for name, kg in kilograms.items() if kg > 0.0}
    total = sum(used.values())
    if total <= 0.0:
        raise ValueError("nothing is weighed; give at least one ingredient an amount above 0.")
    shares = {}
    for n in (*NUTRIENTS, "toxic", *AMINO):
        contents = {name: ingredients[name][n] for name in used}
        unknown = tuple(name for name, c in contents.items() if not c.known and c.high > 0.0)
        parts = ((used[name] / total, c) for name, c in contents.items())
        best = low = high = 0.0
        for share, c in parts:
            best, low, high = best + share * c.best, low + share * c.low, high + share * c.high
        shares[n] = Share(best, low, high, unknown)
    return Makeup(total, shares, *_scores(shares, held))


def _scores(shares: Mapping[str, Share], held: Pattern | None) -> tuple[Score | None, Score | None, Score | None]:
    protein = shares["protein"]
    if protein.low <= 0.0:
        return None, None, None
    return (
        score({n: shares[n].best for n in AMINO}, protein.best, held),
        score({n: shares[n].low for n in AMINO}, protein.high, held),
        score({n: shares[n].high for n in AMINO}, protein.low, held),
    )


def paste_of(ingredients: Mapping[str, Ingredient], kilograms: Mapping[str, float]) -> Paste:
    """The mix by what rules its water, in grams of 100 g."""
    total = sum(kilograms.values())
    parts = dict.fromkeys(("water", "sucrose", "simple", "lactose", "protein", "salt", "fat"), 0.0)
    for name, kg in kilograms.items():
        one, share = ingredients[name], kg / total
        sugar = one["sugar"].best
        parts["sucrose"] += share * sugar * (1.0 - one.simple)
        parts["simple"] += share * sugar * one.simple
        for n in ("water", "lactose", "protein", "salt", "fat"):
            parts[n] += share * one[n].best
    return Paste(**parts, rest=max(0.0, 100.0 - sum(parts.values())))
