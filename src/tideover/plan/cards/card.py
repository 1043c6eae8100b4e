"""The shape of a field card: first rows, the table of looks, how long it holds, whether looking pays."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from tideover.plan.call import Action

How = Literal["weighed", "worked out", "cannot tell"]
"""How an answer was found: members weighed by the look, all of it worked out anew, or not at all."""


@dataclass(frozen=True)
class Answer:
    """What would be called after one look.

    :param action: the call; 'look again' where nothing can be told.
    :param grams: what would be laid on or given [g]; 0 where nothing is.
    :param words: the gate's or case's sentence where one decides; '' where plans are compared.
    :param sure: as in a call; None where a rule decides.
    :param bees: mean bees at winter under the plan called.
    :param effective: how many colonies still speak after the look (effective sample size).
    """

    action: Action
    grams: float
    words: str
    plan: str
    sure: float | None
    toss_up: bool
    bees: float
    effective: float
    how: How = "weighed"

    @property
    def does(self) -> tuple[str, float]:
        """What is done and how much of it: two answers that do the same are one."""
        return self.action, round(self.grams, 1)


@dataclass(frozen=True)
class Cell:
    """The answer for one pair of pollen and jelly seen.

    :param chance: how likely this look is, among looks that pass the first rows (0-1).
    :param odd: chance that such a look is a wrong entry (0-1); from a half on, look twice.
    """

    pollen: str
    jelly: str
    chance: float
    odd: float
    answer: Answer


@dataclass(frozen=True)
class Row:
    """The answer for a sign that comes before pollen and jelly.

    :param chance: how likely the sign is, None where the forecast does not know it.
    """

    name: str
    says: str
    chance: float | None
    answer: Answer


@dataclass(frozen=True)
class Card:
    """A hive's field card.

    :param made_for: the day it was worked out for.
    :param good_until: last day it holds.
    :param rain_mm: rain since ``made_for`` [mm] that ends it earlier.
    :param now: the call without a look.
    :param first_off: a piece comes off first; the table is for the hive without it.
    :param same: chance that a look at one brood comb (eggs, pollen, jelly) leaves the call as it is.
    :param gain: bees at winter that the table is worth on average over the call without a look; 0 where
        the plans cannot be set against one another.
    :param worth: whether opening pays.
    :param why: that in one sentence.
    """

    hive: str
    yard: str
    made_for: date
    good_until: date
    rain_mm: float
    now: Answer
    first_off: bool
    rows: tuple[Row, ...]
    cells: tuple[Cell, ...]
    same: float
    gain: float
    worth: bool
    why: str

    def cell(self, pollen: str, jelly: str) -> Cell:
        """The cell of a pair of words.

        :raises KeyError: when the card has no such pair.
        """
        for one in self.cells:
            if (one.pollen, one.jelly) == (pollen, jelly):
                return one
        raise KeyError(f"the card of {self.hive} has no look with pollen {pollen!r} and jelly {jelly!r}.")
