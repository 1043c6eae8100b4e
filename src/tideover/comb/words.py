"""The keeper's words for stored pollen, each a distribution and never a point.

A word names an area (share of ONE comb side) and how loosely keepers use it. Shares and
spreads (rows ``looks.*``) are our assumption: no published scale of these words was found. Two facts set
them. A well-filled pollen comb is a third to a half of a solid one (Schaefer & Farrar
1941), and observers differ by 20-30 % on one side and by much more on words. The shares
of words are of cells full of bread; half sides that are counted are of comb called
pollen, of whose cells a share is full (``stores.POLLEN_FILLED``).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import hypot
from types import MappingProxyType
from typing import Final

from tideover.comb.frames import FrameType
from tideover.comb.stores import BREAD_G_PER_DM2_OF_SIDE, BREAD_LOG_SD, POLLEN_FILLED, POLLEN_FILLED_LOG_SD
from tideover.figures import reader

_value = reader("looks")
NONE_ZERO: Final = _value("pollen_none_zero")
OUR_ASSUMPTION: Final = "our assumption"
LOG_SD_MOST: Final = 3.0
"""Wider than this a word would say nothing."""


@dataclass(frozen=True)
class WordAmount:
    """A log-normal amount behind a word.

    ``share_of_side`` is the median share of ONE comb side, ``log_sd`` the spread of the
    natural log of the area as keepers use the word, ``zero`` the chance that there is none at all.
    """

    word: str
    share_of_side: float
    log_sd: float
    zero: float = 0.0
    known: str = OUR_ASSUMPTION

    def __post_init__(self) -> None:
        """Keep shares, spreads and chances in range."""
        if not 0.0 < self.share_of_side <= 1.0:
            raise ValueError(f"share of a side for {self.word!r} is {self.share_of_side}, wanted above 0, at most 1.")
        if not 0.0 < self.log_sd <= LOG_SD_MOST:
            raise ValueError(f"log-sd for {self.word!r} is {self.log_sd}, wanted above 0 and at most {LOG_SD_MOST:g}.")
        if not 0.0 <= self.zero <= 1.0:
            raise ValueError(f"chance of none for {self.word!r} is {self.zero}, wanted 0 to 1.")

    def grams(self, frame: FrameType) -> Grams:
        """Bee bread that the word stands for on ONE side of ``frame`` (area and grams per area both uncertain)."""
        median = self.share_of_side * frame.dm2_per_side * BREAD_G_PER_DM2_OF_SIDE
        return Grams(median, hypot(self.log_sd, BREAD_LOG_SD), self.zero)


@dataclass(frozen=True)
class Grams:
    """A log-normal mass: median [g], log-sd, and the chance of exactly none."""

    median_g: float
    log_sd: float
    zero: float = 0.0


def _words(part: str, words: Sequence[str]) -> Mapping[str, WordAmount]:
    """Words of ``looks.PART_*`` in the order of rising amount; of the least there may be none at all."""
    keys = [f"{part}_{word.replace(' ', '_')}" for word in words]
    return MappingProxyType(
        {
            word: WordAmount(word, _value(key), _value(f"{key}_log_sd"), NONE_ZERO if word == words[0] else 0.0)
            for word, key in zip(words, keys, strict=True)
        }
    )


OUTER_POLLEN: Final = _words("outer", ("none", "scattered", "thin band", "broad band", "half side", "full side"))
"""Words for stored pollen on the outer comb, per side looked at."""

NEST_POLLEN: Final = _words("nest", ("none", "scattered", "thin band", "broad band"))
"""Words for the band of pollen around the brood, per side of a brood comb (a thin band
is one or two cells deep around a half-side of brood, a broad one four to six)."""

HALF_SIDE_LOG_SD: Final = _value("half_side_log_sd")
"""Spread of the area behind 'so many half sides' counted over several combs."""
NOUGHT, NOUGHT_LOG_SD, NOUGHT_ZERO = (_value(f"half_sides_nought{part}") for part in ("", "_log_sd", "_zero"))
"""Half sides behind 'none', their spread, and the chance that there is none at all."""
HALF_SIDES_MOST: Final = 64.0
"""More than this is a slip of the pen."""


def _of(table: Mapping[str, WordAmount], word: str, what: str) -> WordAmount:
    try:
        return table[word]
    except KeyError:
        raise ValueError(f"{what} is {word!r}, wanted one of {', '.join(table)}.") from None


def outer_pollen(word: str) -> WordAmount:
    """The area behind a word for pollen on one side of the outer comb."""
    return _of(OUTER_POLLEN, word, "pollen on the outer comb")


def nest_pollen(word: str) -> WordAmount:
    """The area behind a word for the pollen band on one side of a brood comb."""
    return _of(NEST_POLLEN, word, "pollen around the brood")


def half_sides_grams(half_sides: float, frame: FrameType) -> Grams:
    """Bee bread behind ``half_sides`` (0..16, halves allowed) half comb sides of pollen.

    Zero half sides is not proof of none: it stands for a little, with a wide spread.
    """
    if not 0.0 <= half_sides <= HALF_SIDES_MOST:
        raise ValueError(
            f"half sides of pollen is {half_sides}, wanted 0 to {HALF_SIDES_MOST:g}; two halves are a full side."
        )
    if half_sides == 0.0:
        return Grams(NOUGHT * 0.5 * frame.dm2_per_side * BREAD_G_PER_DM2_OF_SIDE, NOUGHT_LOG_SD, NOUGHT_ZERO)
    median = 0.5 * half_sides * POLLEN_FILLED * frame.dm2_per_side * BREAD_G_PER_DM2_OF_SIDE
    return Grams(median, hypot(HALF_SIDE_LOG_SD, BREAD_LOG_SD, POLLEN_FILLED_LOG_SD), 0.0)
