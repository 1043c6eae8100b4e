"""How sure the amino acids are: batches of the same ingredients differ, and some contents are not known.

Draws: each ingredient's protein moves by its spread and takes its amino acids along; each amino acid moves by a
spread of its own; what is unknown is drawn evenly over its range. The spreads are those of
one published ingredient, taken for all (4.4 % for protein and 10.8 % for amino acids; more for pollen and for what is
known from a label): tables give means without spread.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.patty.kitchen.ingredients import Ingredient
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.requirement import Pattern, pattern

Floats = npt.NDArray[np.float64]
DRAWS: Final = 4000
SEED: Final = 6250


@dataclass(frozen=True)
class Chances:
    """Chance that each amino acid falls short of its need, that any does, and the score's 5, 50 and 95 % points."""

    short: Mapping[str, float]
    any_short: float
    score_low: float
    score_middle: float
    score_high: float


def ratios(
    ingredients: Mapping[str, Ingredient], kilograms: Mapping[str, float], held: Pattern | None = None,
    draws: int = DRAWS, seed: int = SEED,
) -> Floats:  # fmt: skip
    """Draws of the ratio of each amino acid to its need, shape (draws, 10); the same seed gives the same draws."""
    percent = (held or pattern()).percent
    rng = np.random.default_rng(seed)
    total = np.zeros(draws)
    amino = np.zeros((draws, len(AMINO)))
    # every ingredient takes its draws, used or not, so that two mixes are compared under the same luck
    for name, ingredient in ingredients.items():
        luck = rng.standard_normal((draws, 1 + len(AMINO)))
        even = rng.random((draws, 1 + len(AMINO)))
        kg = kilograms.get(name, 0.0)
        if kg <= 0.0 or ingredient["protein"].high <= 0.0:
            continue
        move = np.exp(ingredient.cv_protein * luck[:, 0])
        total += kg * _level(ingredient, "protein", even[:, 0]) * move
        for i, n in enumerate(AMINO):
            own = np.exp(ingredient.cv_amino * luck[:, 1 + i])
            amino[:, i] += kg * _level(ingredient, n, even[:, 1 + i]) * move * own
    need = np.array([percent[n] for n in AMINO]) / 100.0
    found: Floats = amino / np.maximum(total, 1e-12)[:, None] / need
    return found


def _level(ingredient: Ingredient, nutrient: str, even: Floats) -> Floats:
    content = ingredient[nutrient]
    level: Floats = content.low + (content.high - content.low) * even
    return level


def chances(
    ingredients: Mapping[str, Ingredient], kilograms: Mapping[str, float], held: Pattern | None = None,
    score_min: float = 1.0, draws: int = DRAWS, seed: int = SEED,
) -> Chances:  # fmt: skip
    """Chance that an amino acid falls short of ``score_min`` times its need."""
    found = ratios(ingredients, kilograms, held, draws, seed)
    short = found < score_min - 1e-9
    low, middle, high = np.quantile(found.min(axis=1), (0.05, 0.5, 0.95))
    return Chances(
        {n: float(short[:, i].mean()) for i, n in enumerate(AMINO)}, float(short.any(axis=1).mean()), float(low),
        float(middle), float(high),
    )  # fmt: skip
