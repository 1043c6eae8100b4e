"""Softness, drying and keeping: our own scale, tied to moisture and sugar.

Softness is the share of a paste's weight that flows: water, sugar dissolved in it, and fat. The words were laid beside
published recipes: the yeast patty 66, the moist soy mix 70, the soy and yeast patty 72, the pollen and soy cake 81, a
slurry of one part powder to four of syrup 87. Drying is our assumption, pinned to the one trade rule there is: a
piece of 20 % water and 46 % sugar is hard at about two weeks.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from tideover.patty.kitchen.water import Paste, activity
from tideover.patty.softness import HALF_HARD_DAYS, pace

WORDS: Final[tuple[tuple[float, str, str], ...]] = (
    (50.0, "crumbles", "falls apart when lifted; bees carry it out as rubbish"),
    (58.0, "stiff", "harder than thick peanut butter; young bees leave it"),
    (66.0, "firm", "holds its edges, dents under a thumb"),
    (74.0, "soft", "presses flat between two papers, does not run"),
    (82.0, "very soft", "sags in the heat; only between papers and never in a hot hive"),
    (101.0, "runs", "flows between the combs and drowns bees"),
)
"""Upper end of each word on the scale, the word, and what it means."""
HARD: Final = 50.0
HIVE_DRYNESS: Final = 0.58
"""Water activity that the air over the brood pulls towards: 55-60 % relative humidity (our assumption)."""
REFERENCE: Final = Paste(water=20.0, sucrose=46.0, simple=0.0, protein=16.0, fat=5.0, rest=13.0)
STEP_D: Final = 0.125


def softness(paste: Paste) -> float:
    """Share of the weight that flows [%]."""
    return (
        100.0
        * (paste.water + paste.dissolved + paste.simple + min(paste.lactose, 0.2 * paste.water) + paste.fat)
        / paste.total
    )


def word(value: float) -> tuple[str, str]:
    """The word of the scale and what it means."""
    # a mix held at a word's own edge must not fall under it by rounding
    value = round(value, 3)
    return next((name, says) for top, name, says in WORDS if value < top or top > 100.0)


def dried(paste: Paste, days: float, rate: float, temp_c: float = 35.0, paper_on: bool = True) -> Paste:
    """The paste after some days on a hive.

    rate: water lost [g per 100 g of fresh paste, day and unit of water activity above the air's].
    """
    if days < 0.0:
        raise ValueError(f"days is {days:g}, wanted 0 or more.")
    speed = rate * pace(temp_c, paper_on) * paste.total / 100.0
    left, now = days, paste
    while left > 1e-9 and now.water > 1e-6:
        step = min(STEP_D, left)
        low, high = activity(now)
        pull = (low + high) / 2.0 - HIVE_DRYNESS
        if pull <= 0.0:
            break
        now = replace(now, water=max(0.0, now.water - speed * pull * step))
        left -= step
    return now


@cache
def rate() -> float:
    """The drying rate at which the reference paste is hard after the median age of the trade rule."""
    low, high = 0.01, 50.0
    for _ in range(40):
        middle = (low + high) / 2.0
        if softness(dried(REFERENCE, HALF_HARD_DAYS, middle)) > HARD:
            low = middle
        else:
            high = middle
    return (low + high) / 2.0


def days_until(
    paste: Paste, level: float, temp_c: float = 35.0, paper_on: bool = True, most: float = 60.0
) -> float | None:
    """Days on a hive until softness falls to ``level``; None when it does not within ``most``."""
    day, now = 0.0, paste
    while day <= most:
        if softness(now) < level - 1e-6:
            return day
        now = dried(now, 0.5, rate(), temp_c, paper_on)
        day += 0.5
    return None


@dataclass(frozen=True)
class Keeping:
    """How long an unused batch keeps, at the upper end of its water activity."""

    word: str
    shed_days: int
    cool_days: int
    says: str


KEEPS: Final[tuple[tuple[float, Keeping], ...]] = (
    (0.61, Keeping("keeps", 180, 365, "Nothing grows at this water activity; fat still turns rancid.")),
    (0.75, Keeping("keeps for months", 60, 180, "Only the hardiest moulds and yeasts grow, slowly.")),
    (0.80, Keeping("keeps for weeks", 30, 90, "Most moulds stop below 0.80.")),
    (0.85, Keeping("keeps for a week or two", 10, 45, "Moulds grow slowly; most bacteria do not.")),
    (0.90, Keeping("keeps for days", 4, 21, "Moulds and yeasts grow: make what you lay on, freeze the rest.")),
    (2.00, Keeping("does not keep", 1, 5, "Moist enough for bacteria: use it the same day or freeze it.")),
)
"""Levels from food microbiology (from memory); the days are common practice, no source, and cool is 4 C."""


def keeping(water_activity: float) -> Keeping:
    """How a batch keeps in its wrapping, not on a hive."""
    return next(kept for top, kept in KEEPS if water_activity <= top)
