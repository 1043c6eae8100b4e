"""What bees eat of a patty, and the portion sure to be gone by the pull-by.

Only young bees eat it, soft and in contact; it is not stored in comb. The published intakes
run over a factor of twenty (Brodschneider & Crailsheim 2010, Table I: substitutes 0.1-2.2 mg,
pollen patty 4.2-6.8 mg per bee and day in small colonies), so the prior is wide.
"""

from __future__ import annotations

from math import exp, floor
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book
from tideover.patty.softness import HARDEN_D, pace

Floats = npt.NDArray[np.float64]

QUARTER_POUND_G: Final = 113.398
INTAKE: Final = book().row("colony.patty_intake_mg")
"""Patty eaten per young house bee and day when no pollen comes in [mg]; the colony draws from the same row."""
POLLEN_IN_TURNS_AWAY: Final = book().value("colony.patty_off_pollen")
"""Share of intake lost when pollen comes in (practice: substitute is left alone while it does)."""
OUT_OF_TOUCH: Final = 0.1
"""Share taken of a piece that does not touch the cluster (our assumption)."""


def expected_intake_g_day(young_bees: float, index: float = 0.0, contact: bool = True) -> float:
    """Median patty eaten on the first, soft day [g/day].

    young_bees: bees of nursing age. index: pollen on offer, 1.0 an ordinary good flow.
    contact: the piece touches the cluster; if not a tenth is taken.
    """
    if young_bees < 0.0 or index < 0.0:
        raise ValueError("young bees or the pollen index is negative; give zero or more.")
    turned = 1.0 - POLLEN_IN_TURNS_AWAY * index / (index + 0.5)
    return young_bees * INTAKE.number / 1000.0 * turned * (1.0 if contact else OUT_OF_TOUCH)


def intake_prior(young_bees: float, n: int, seed: int, *, index: float = 0.0, contact: bool = True) -> Floats:
    """Draw ``n`` first-day intakes [g/day] from the prior; the same seed gives the same draws."""
    rng = np.random.default_rng(seed)
    median = expected_intake_g_day(young_bees, index, contact)
    draws: Floats = median / INTAKE.number * INTAKE.prior().sample(rng, n)
    return draws


def days_of_soft_eating(days: float, temp_c: float = 35.0, paper_on: bool = True) -> float:
    """Days of eating at the soft rate that ``days`` on the hive are worth as the piece dries."""
    if days <= 0.0:
        return 0.0
    fall = pace(temp_c, paper_on) / HARDEN_D
    return (1.0 - exp(-days * fall)) / fall


def portion_eaten_by(
    days: float,
    intake_g_day: npt.ArrayLike,
    probability: float = 0.9,
    *,
    temp_c: float = 35.0,
    paper_on: bool = True,
    largest_g: float = 8 * QUARTER_POUND_G,
) -> float:
    """Largest whole number of quarter pounds eaten within ``days`` with at least ``probability`` [g].

    intake_g_day: draws of first-day intake [g/day], shape (n,). Zero means that not even a
    quarter pound is sure to go: lay on less, or come back sooner.
    """
    draws = np.asarray(intake_g_day, dtype=np.float64).ravel()
    if draws.size == 0:
        raise ValueError("no intake draws were given; give at least one.")
    if np.any(draws < 0.0) or not np.all(np.isfinite(draws)):
        raise ValueError("an intake draw is negative or not a number; give grams a day.")
    if not 0.5 <= probability < 1.0:
        raise ValueError(f"probability is {probability}, wanted 0.5 up to below 1.")
    soft_days = days_of_soft_eating(days, temp_c, paper_on)
    # the portion eaten with probability p is what the (1 - p) quantile of hives can eat
    sure_g = float(np.quantile(draws, 1.0 - probability, method="lower")) * soft_days
    quarters = floor(min(sure_g, largest_g) / QUARTER_POUND_G + 1e-9)
    return quarters * QUARTER_POUND_G


def chance_eaten(
    grams: float, days: float, intake_g_day: npt.ArrayLike, temp_c: float = 35.0, paper_on: bool = True
) -> float:
    """Share of draws in which ``grams`` are gone within ``days``."""
    draws = np.asarray(intake_g_day, dtype=np.float64).ravel()
    return float(np.mean(draws * days_of_soft_eating(days, temp_c, paper_on) >= grams))


def share_left(days: float, grams: float, intake_g_day: float, temp_c: float = 35.0, paper_on: bool = True) -> float:
    """Expected share of a piece left after ``days``; the last crumbs go slowly."""
    if grams <= 0.0:
        return 0.0
    eaten = intake_g_day * days_of_soft_eating(days, temp_c, paper_on)
    ratio = eaten / grams
    # intake slows as the piece shrinks under fewer mouths: linear at first, exponential at the end
    return max(0.0, 1.0 - ratio) if ratio < 0.8 else 0.2 * exp(-(ratio - 0.8) / 0.2)
