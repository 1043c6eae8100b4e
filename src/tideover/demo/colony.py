"""One invented colony, day by day, by rules of thumb.

Brood rides a conveyor of 21 days, all adults live in one tank, food lies in
buckets, a patty is eaten by a rule. The queen lays until the brood is as much as
the bees can cover. It is meant to be plausible and easy to check by reading, not
to be right: it is the world the readings are tried against.
"""

from __future__ import annotations

import math
import random
from dataclasses import dataclass, field
from datetime import date
from typing import Final

EGG_DAYS: Final = 3
OPEN_DAYS: Final = 6
CAPPED_DAYS: Final = 12
CONVEYOR: Final = EGG_DAYS + OPEN_DAYS + CAPPED_DAYS

LARVA_POLLEN_G: Final = 0.018
"""Pollen one open larva costs its colony on one day; six days come to 0.11 g."""
ADULT_POLLEN_G: Final = 0.00035
FLOW_G: Final = 200.0
"""Pollen a colony of 25,000 brings on a fine day when the land offers 1.0."""
PATTY_WORTH: Final = 0.6
"""Pollen one gram of patty stands for."""
APPETITE_G: Final = 38.0
"""Patty 10,000 bees eat on a day when it is fresh, soft and nothing flowers."""
BROOD_PER_BEE: Final = 3.2
"""Brood cells a bee can cover and feed, at the most."""


@dataclass
class Piece:
    """A patty on the hive: grams left, days on, how fast it dries, and whether it is hauled out."""

    laid: date
    weight_g: float
    left_g: float
    dries: float = 1.0
    touches: bool = True
    hauled: float = 0.0
    days: int = 0

    @property
    def hardness(self) -> float:
        """Return how hard it is, 0 soft to 1 like wood."""
        return min(1.0, self.dries * self.days / 26.0)


@dataclass
class Colony:
    """The state of one colony; amounts are bees, cells, grams and kilograms."""

    adults: float
    laying: float
    honey_kg: float
    mites: float
    pollen_g: float = 500.0
    brood: list[float] = field(default_factory=lambda: [0.0] * CONVEYOR)
    care: float = 1.0
    queen: str = "laying"
    queen_back: int = 0
    queenless_days: int = 0
    failing: float = 0.0
    brood_loss: float = 0.0
    keeps: float = 1.0
    water: bool = True
    hoards: float = 1.0
    pieces: list[Piece] = field(default_factory=list)
    eaten_g: float = 0.0
    income_g: float = 0.0
    eggs_many: bool = False
    honey_room_kg: float = 32.0

    @property
    def eggs(self) -> float:
        """Return the number of eggs."""
        return sum(self.brood[:EGG_DAYS])

    @property
    def open(self) -> float:
        """Return the number of open larvae."""
        return sum(self.brood[EGG_DAYS : EGG_DAYS + OPEN_DAYS])

    @property
    def capped(self) -> float:
        """Return the number of capped cells."""
        return sum(self.brood[EGG_DAYS + OPEN_DAYS :])

    @property
    def patty_g(self) -> float:
        """Return the patty lying on the hive [g]."""
        return sum(p.left_g for p in self.pieces)


def _season(day: date) -> float:
    """Return how much of her best a queen lays on this day of the year, at this latitude."""
    doy = day.timetuple().tm_yday
    return 0.62 + 0.38 * math.cos(2.0 * math.pi * (doy - 150) / 365.25)


def _lay(c: Colony, day: date, temp_max_c: float) -> float:
    """Return the eggs laid today."""
    if c.queen_back > 0:
        c.queen_back -= 1
        if c.queen_back == 0:
            c.queen = "laying"
    if c.queen in ("gone", "laying workers"):
        c.queenless_days += 1
        if c.queen == "laying workers" and c.queenless_days > 24:
            c.eggs_many = True
            return 130.0
        return 0.0
    if c.queen == "virgin":
        return 0.0
    c.queenless_days = 0
    c.laying *= 1.0 - c.failing
    brood = sum(c.brood)
    room = max(0.0, 1.0 - brood / (BROOD_PER_BEE * c.adults + 1.0))
    crowd = c.adults / (c.adults + 3500.0)
    heat = 1.0 if c.water else max(0.03, 1.0 - 0.30 * max(0.0, temp_max_c - 36.0))
    return c.laying * _season(day) * room * crowd * (0.08 + 0.92 * c.care) * heat


def _eat_patty(c: Colony, offer: float) -> float:
    """Eat from every piece; return the pollen it stands for [g]."""
    want = APPETITE_G * (c.adults / 10000.0) ** 0.85 / (1.0 + 6.0 * offer)
    got = 0.0
    for piece in c.pieces:
        soft = 1.0 - 0.95 * piece.hardness
        bite = min(piece.left_g, want * soft * (1.0 if piece.touches else 0.25))
        piece.left_g = max(0.0, piece.left_g - bite - piece.hauled)
        piece.days += 1
        c.eaten_g += bite
        got += bite
        want -= bite
    return got * PATTY_WORTH


def _protein(c: Colony, rng: random.Random, offer: float) -> None:
    """Bring pollen in, feed larvae and adults, let the youngest brood go when it is short."""
    need = c.open * LARVA_POLLEN_G + c.adults * ADULT_POLLEN_G
    greed = min(1.4, max(0.3, 1.4 - c.pollen_g / (1400.0 * c.hoards))) * (0.5 if c.queen == "gone" else 1.0)
    c.income_g = FLOW_G * offer * (c.adults / 25000.0) * greed * math.exp(rng.gauss(-0.02, 0.2))
    patty = _eat_patty(c, offer)
    direct = min(c.income_g, max(0.0, need - patty))
    reach = 0.55 + 0.45 * min(1.0, c.pollen_g / 150.0)
    from_store = min(c.pollen_g, max(0.0, need * reach - patty - direct))
    met = min(1.0, (patty + direct + from_store) / need) if need > 0 else 1.0
    c.pollen_g += c.income_g - direct - from_store
    c.care += (met - c.care) / 3.0
    short = max(0.0, 0.9 - c.care)
    for age in range(EGG_DAYS + 3):
        c.brood[age] *= 1.0 - min(0.6, 0.5 * short + c.brood_loss)


def _honey(c: Colony, nectar: float, temp_max_c: float) -> None:
    """Bring nectar in, burn honey; a starving colony loses bees fast."""
    gain = 1.1 * nectar * (c.adults / 25000.0) ** 1.2 * (0.2 if c.queen == "gone" else 1.0)
    burn = 0.0072e-3 * c.adults + 0.10e-3 * c.open / OPEN_DAYS
    burn += 0.02 * max(0.0, temp_max_c - 40.0) * c.adults / 25000.0
    c.honey_kg = min(c.honey_room_kg, c.honey_kg + gain - burn)
    if c.honey_kg < 0.0:
        c.honey_kg = 0.0
        c.adults *= 0.94


def _ageing(c: Colony, rng: random.Random) -> None:
    """Take the day's deaths: bees that nurse much die sooner, mites shorten life."""
    load = min(1.0, sum(c.brood) / (0.8 * c.adults + 1.0))
    life = 44.0 - 16.0 * load
    sick = 1.0 + 2.5 * max(0.0, c.mites - 0.03) / 0.1
    c.adults *= 1.0 - min(0.2, sick * c.keeps / life * math.exp(rng.gauss(0.0, 0.08)))
    grow = 0.016 if sum(c.brood) > 0.2 * c.adults else -0.004
    c.mites = min(0.25, c.mites * math.exp(grow))


def step(c: Colony, rng: random.Random, day: date, temp_max_c: float, pollen: float, nectar: float) -> None:
    """Move the colony one day on, on land that offers ``pollen`` and ``nectar``."""
    c.adults += c.brood[-1] * 0.98 * (0.0 if c.eggs_many else 1.0)
    c.brood = [_lay(c, day, temp_max_c) * math.exp(rng.gauss(0.0, 0.06)), *c.brood[:-1]]
    _protein(c, rng, pollen)
    _honey(c, nectar, temp_max_c)
    _ageing(c, rng)
    c.adults = max(150.0, c.adults)
