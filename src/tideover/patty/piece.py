"""A piece of patty: weight in quarter pounds, what it is made of, portions offered."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from tideover.figures import book
from tideover.patty.intake import (
    QUARTER_POUND_G,
    chance_eaten,
    days_of_soft_eating,
    expected_intake_g_day,
    intake_prior,
    portion_eaten_by,
    share_left,
)
from tideover.patty.softness import TEXTURES, Texture, intake_factor, runs, texture

__all__ = [
    "DEFAULT_PROTEIN_PCT",
    "DEFAULT_SUGAR_PCT",
    "DEFAULT_WATER_PCT",
    "PORTIONS",
    "QUARTER_POUND_G",
    "TEXTURES",
    "Piece",
    "Portion",
    "Texture",
    "chance_eaten",
    "days_of_soft_eating",
    "expected_intake_g_day",
    "in_quarters",
    "intake_factor",
    "intake_prior",
    "portion_eaten_by",
    "runs",
    "share_left",
    "texture",
]

DEFAULT_PROTEIN_PCT: Final = 15.0
"""Crude protein, percent of weight as fed (published mixes 11-21 %)."""
DEFAULT_SUGAR_PCT: Final = 100.0 * book().value("colony.patty_sugar")
"""Sugar, percent of weight as fed (published mixes 35-50 %)."""
DEFAULT_WATER_PCT: Final = 20.0
"""Water, percent of weight as fed (soft paste that keeps 18-22 %)."""


@dataclass(frozen=True)
class Portion:
    """A portion that can be laid on: grams, quarter pounds and its name."""

    quarters: int
    name: str

    @property
    def grams(self) -> float:
        """Weight [g]."""
        return self.quarters * QUARTER_POUND_G


PORTIONS: Final[Sequence[Portion]] = (
    Portion(1, "a quarter pound"),
    Portion(2, "half a pound"),
    Portion(4, "one pound"),
    Portion(6, "one and a half pounds"),
    Portion(8, "two pounds"),
)
"""The portions compared when a call is made."""


@dataclass(frozen=True)
class Piece:
    """One piece laid on: weight [g], when, and composition in percent of weight."""

    grams: float
    laid_on: datetime
    protein_pct: float = DEFAULT_PROTEIN_PCT
    sugar_pct: float = DEFAULT_SUGAR_PCT
    water_pct: float = DEFAULT_WATER_PCT
    pollen_pct: float = 0.0
    paper_on: bool = True

    def __post_init__(self) -> None:
        """Keep weight and shares possible."""
        if not 0.0 < self.grams <= 5000.0:
            raise ValueError(f"weight of the piece is {self.grams} g, wanted above 0 and at most 5000 g.")
        for name in ("protein_pct", "sugar_pct", "water_pct", "pollen_pct"):
            value = getattr(self, name)
            if not 0.0 <= value <= 100.0:
                raise ValueError(f"{name} is {value}, wanted 0 to 100 percent of weight.")
        if self.protein_pct + self.sugar_pct + self.water_pct > 100.0 + 1e-9:
            raise ValueError("protein, sugar and water together pass 100 percent of weight; check the batch sheet.")

    @property
    def protein_g(self) -> float:
        """Crude protein in the piece [g]."""
        return self.grams * self.protein_pct / 100.0

    @property
    def sugar_g(self) -> float:
        """Sugar in the piece [g]."""
        return self.grams * self.sugar_pct / 100.0


def in_quarters(grams: float) -> int:
    """Nearest whole number of quarter pounds."""
    if grams < 0.0:
        raise ValueError(f"weight is {grams} g, wanted zero or more.")
    return int(grams / QUARTER_POUND_G + 0.5)
