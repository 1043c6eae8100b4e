"""How a patty dries: soft, firm, hard by age on the hive and by heat.

Our assumption throughout: no drying curve of a patty on a hive was found. Two trade rules
fix the scale: a piece is refused once it is harder than thick peanut butter, and a piece
that lies two weeks is usually hard or mouldy. Paper left on the outer face slows it.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, log
from typing import Final

from tideover.figures import book

TEXTURES: Final = ("soft", "firm", "hard")
HALF_HARD_DAYS: Final = 14.0
"""Median age at which a piece with paper on is hard, at 35 C [d]."""
FIRM_SHARE_OF_HARD: Final = 0.5
"""A piece turns firm at half the age at which it turns hard."""
SPREAD: Final = 0.25
"""Logistic spread of the natural log of that age between pieces and hives."""
HEAT_PER_C: Final = 0.05
"""Drying goes this much faster per degree above 35 C, as in the colony."""
NO_PAPER_FACTOR: Final = 1.7
"""Without paper on the outer face a piece dries this much faster."""
HARDEN_D: Final = book().value("colony.patty_harden_d")
"""Days over which intake falls to 1/e as a piece hardens: the law the colony itself uses."""


@dataclass(frozen=True)
class Texture:
    """Chances of a piece being soft, firm or hard; they sum to one."""

    soft: float
    firm: float
    hard: float


def pace(temp_c: float = 35.0, paper_on: bool = True) -> float:
    """How many days of ordinary drying one day is worth at ``temp_c`` [C]."""
    return (1.0 + HEAT_PER_C * max(0.0, temp_c - 35.0)) * (1.0 if paper_on else NO_PAPER_FACTOR)


def intake_factor(age_days: float, temp_c: float = 35.0, paper_on: bool = True) -> float:
    """Intake of a piece of this age relative to a fresh soft one."""
    return exp(-age_days * pace(temp_c, paper_on) / HARDEN_D)


def texture(age_days: float, temp_c: float = 35.0, paper_on: bool = True) -> Texture:
    """Chances of each texture after ``age_days`` on a hive with the piece at ``temp_c`` [C]."""
    if age_days < 0.0:
        raise ValueError(f"age of the piece is {age_days} days, wanted zero or more; count from laying on.")
    effective = age_days * pace(temp_c, paper_on)

    def passed(median: float) -> float:
        if effective <= median * 1e-6:
            return 0.0
        return 1.0 / (1.0 + exp(log(median / effective) / SPREAD))

    hard = passed(HALF_HARD_DAYS)
    not_soft = passed(HALF_HARD_DAYS * FIRM_SHARE_OF_HARD)
    return Texture(1.0 - not_soft, not_soft - hard, hard)


def runs(temp_c: float) -> float:
    """Chance that a piece softens so far that it runs: it begins above 35-40 C (from memory)."""
    return 1.0 / (1.0 + exp(-(temp_c - 40.0) / 1.5))
