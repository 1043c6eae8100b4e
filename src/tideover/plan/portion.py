"""How large a piece: the cost of a quarter pound too little against one too much, as a chance of being eaten.

The newsvendor rule: a further quarter pound pays as long as the chance that it is eaten in time is at least
``over / (over + under)``, where *over* is what one left at its pull-by costs (the patty, the minutes, the beetles it
may breed) and *under* what one missing costs (the bees not reared). Arrow, Harris & Marschak 1951, eq. for a single
period; every money figure is the keeper's to set.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import Final

from tideover.beetle.pressure import ORDER, counted, higher
from tideover.figures import book, reader
from tideover.figures.units import POUND_G
from tideover.patty.piece import QUARTER_POUND_G
from tideover.plan.settings import Settings

_value = reader("calls")
BEES_PER_POUND: Final = book().value("feeding.bees_per_pound_patty")
"""Bees a pound of patty of 15 % protein rears where its protein is worth as much as pollen's."""
WORTH: Final = book().value("colony.feed_value")
"""What patty protein is worth against pollen's, at the median of its prior."""
REFERENCE_PROTEIN: Final = _value("portion_protein_pct")
ORDINARY_BEES: Final = _value("guard_bees")
"""A colony of this size guards its combs as usual."""
GUARD_LOW, GUARD_HIGH = _value("guard_low"), _value("guard_high")
"""Ends of what size does to the risk, which goes with one over the square of it."""
PRESSURE: Final = {word: _value(f"pressure_{word}") for word in ("low", "usual", "high")}
"""What the keeper's word on beetle pressure does to the risk."""
REUSED: Final = _value("reused")
"""Share of a rest that goes back to its hive from the cold box where no beetles are."""
LEAST, MOST = _value("portion_least"), _value("portion_most")
"""Ends of the chance asked for: under three in ten a piece is mostly work, over the other nothing is ever laid on."""


@dataclass(frozen=True)
class PortionCost:
    """What a quarter pound too little and one too much cost, and the chance of being eaten that follows.

    Money is the keeper's currency per quarter pound.
    """

    under: float
    patty: float
    minutes: float
    beetles: float
    chance: float

    @property
    def over(self) -> float:
        """What a quarter pound left at its pull-by costs."""
        return self.patty + self.minutes + self.beetles

    def words(self, currency: str, asked: float | None = None) -> str:
        """The two costs and what follows, in a sentence or two; ``asked`` is the keeper's own chance, if he set one."""
        beetles = f", {self.beetles:.2f} of it the beetles it may breed" if self.beetles >= 0.005 else ""
        chance = self.chance if asked is None else asked
        own = "" if abs(chance - self.chance) < 0.005 else ", as you have set it"
        return (
            f"Portion: a quarter pound left over costs you about {self.over:.2f} {currency}{beetles}; one too little "
            f"about {self.under:.2f} {currency} in bees not reared. So the piece is as large as is eaten in time with "
            f"a chance of at least {chance:.0%}{own}."
        )


def eaten_words(chance: float, asked: float, grams: float) -> str:
    """How likely the piece called is to be eaten in time, set against the chance asked for, in a sentence."""
    if chance >= asked - 0.005:
        return f"This one is, with {chance:.0%}."
    if grams <= QUARTER_POUND_G + 2.0:
        return (
            f"Even a quarter pound, the smallest piece, is eaten in time with only {chance:.0%} here: "
            "be there by its pull-by and take off what is left."
        )
    return f"This one is so with only {chance:.0%}: be there by its pull-by and take off what is left."


def ruin_chance(settings: Settings, beetles: str, adults: float) -> float:
    """Chance that a rest left on the hive ends in slimed combs: none without beetles, more in a weak colony."""
    if beetles == "absent":
        return 0.0
    guard = min(GUARD_HIGH, max(GUARD_LOW, (ORDINARY_BEES / max(adults, 1.0)) ** 2))
    known = 1.0 if beetles == "present" else 0.5
    return min(1.0, settings.ruin_chance * guard * PRESSURE[settings.beetle_pressure] * known)


def portion_cost(settings: Settings, beetles: str, adults: float) -> PortionCost:
    """The costs of one hive.

    settings: the keeper's prices. beetles: 'present', 'absent' or 'unknown' at the yard. adults: bees now.
    """
    quarter_kg = QUARTER_POUND_G / 1000.0
    reused = REUSED if beetles == "absent" else 0.0
    patty = settings.patty_price * quarter_kg * (1.0 - reused)
    minutes = settings.leftover_minutes / 60.0 * settings.wage
    risk = ruin_chance(settings, beetles, adults) * settings.colony_worth
    reared = BEES_PER_POUND * WORTH * settings.patty_protein / REFERENCE_PROTEIN * QUARTER_POUND_G / POUND_G
    under = max(0.0, reared / 1000.0 * settings.bees_worth - settings.patty_price * quarter_kg)
    over = patty + minutes + risk
    asked = 1.0 if under <= 0.0 else over / (over + under)
    return PortionCost(under, patty, minutes, risk, min(MOST, max(LEAST, asked)))


def with_chance(settings: Settings, beetles: str, adults: float, seen: Iterable[str] = ()) -> Settings:
    """The settings with the chance asked for worked out, unless the keeper has set one.

    seen: the words for beetles of the yard's looks lately; they may raise the keeper's word on pressure.
    """
    word = next(w for w in ORDER if w == settings.beetle_pressure)
    if settings.portion_chance > 0.0:
        return settings
    settings = replace(settings, beetle_pressure=higher(word, counted(seen)))
    return replace(settings, portion_chance=round(portion_cost(settings, beetles, adults).chance, 3))
