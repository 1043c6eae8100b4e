"""What a batch is worth: paste, softness, keeping, and grams of pollen, with the spread the literature has.

Protein counts up to the score: protein beyond what the limiting amino acid supports builds nothing (our assumption).
The score is that against a requirement, or the keeper's own needs: a mix held to a pattern that is no requirement is
worth no less for it.
What a gram of it is worth against pollen protein is drawn from the same prior as in the colony model, wide and with
nil inside.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np

from tideover.figures import book
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.outcome import Mix
from tideover.patty.kitchen.requirement import pattern, score
from tideover.patty.kitchen.robust import SEED, ratios

DRAWS: Final = 4000
POLLEN_PROTEIN: Final = (21.3, 12.0, 32.0)
"""Protein of mixed bee-collected pollen [%]: mean of over 100 studies (Thakur & Nanda 2020); our 5 and 95 % points."""


@dataclass(frozen=True)
class PollenWorth:
    """Grams of pollen that a kilogram does the work of: middle, 10 and 90 % points; and what counts."""

    grams_per_kg: float
    low: float
    high: float
    counted_protein: float
    """Crude protein times the score up to 1 [% of weight]: what the colony model is given."""
    pollen_share: float
    """Bee-collected pollen in the mix [% of weight]."""


def pollen_worth(mix: Mix, draws: int = DRAWS, seed: int = SEED) -> PollenWorth:
    """What the mix is worth in pollen.

    Raises: ValueError when there is no mix.
    """
    if mix.makeup is None:
        raise ValueError("there is no mix, so it has no worth; change the limits first.")
    made = mix.makeup
    pollen = 100.0 * mix.kilograms.get("pollen, bee-collected", 0.0) / mix.total_kg
    protein = made.shares["protein"].best
    if protein <= 0.0 or made.score is None:
        return PollenWorth(0.0, 0.0, 0.0, 0.0, pollen)
    held = pattern() if mix.pattern.kind == "pattern" else mix.pattern
    met = min(1.0, score({n: made.shares[n].best for n in AMINO}, protein, held).score)
    rng = np.random.default_rng(seed)
    value = book().row("colony.feed_value").prior().sample(rng, draws)
    # pollen in the mix lifts its worth towards pollen's own, as in the colony model
    value = value + np.maximum(0.0, 0.95 - value) * min(1.0, 3.0 * pollen / 100.0)
    middle, low, high = POLLEN_PROTEIN
    pollen_protein = middle * np.exp(rng.standard_normal(draws) * np.log(high / low) / (2 * 1.6449))
    ingredients = {i.name: i.ingredient for i in mix.task.items}
    got = np.minimum(1.0, ratios(ingredients, mix.kilograms, held, draws, seed).min(axis=1))
    grams = 1000.0 * protein * got * value / pollen_protein
    low_g, middle_g, high_g = (float(q) for q in np.quantile(grams, (0.1, 0.5, 0.9)))
    return PollenWorth(middle_g, low_g, high_g, protein * met, pollen)
