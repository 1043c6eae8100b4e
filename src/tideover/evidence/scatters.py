"""How what a keeper writes strays from what is there: the rows ``looks.*`` of the figures book by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from tideover.comb.stores import POLLEN_FILLED_LOG_SD
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN, WordAmount
from tideover.evidence.words import HEFT, POLLEN_COMING
from tideover.figures import reader

_value = reader("looks")

WRONG_ITEM: Final = _value("wrong_item")
"""Chance that one item of a look is misread or mistyped."""
WRONG_LOOK: Final = _value("wrong_look")
"""Chance that a whole look belongs to another hive or day."""


@dataclass(frozen=True)
class Scatter:
    """How a number written strays: its spread is the hypotenuse of ``least`` and ``share`` of the number.

    ``elsewhere`` is the log density of the number at any hive.
    """

    least: float
    share: float
    elsewhere: float

    @staticmethod
    def of(name: str) -> Scatter:
        """Of the rows ``looks.NAME_*``."""
        return Scatter(_value(f"{name}_least_sd"), _value(f"{name}_log_sd"), _value(f"{name}_elsewhere"))


SEAMS, COMBS, QUARTERS, HONEY = (Scatter.of(name) for name in ("seams", "combs", "quarters", "honey"))
HEFT_KG: Final[Mapping[str, tuple[float, float]]] = {
    word: (_value(f"heft_{name}_kg"), _value(f"heft_{name}_log_sd"))
    for word, name in ((word, word.replace(" ", "_")) for word in HEFT)
}
"""Honey behind a word for heft: median [kg] and log-sd."""
HEFT_LOG: Final[Mapping[str, tuple[float, float]]] = {k: (float(np.log(m)), sd) for k, (m, sd) in HEFT_KG.items()}
HEFT_UNFELT_KG: Final = _value("heft_unfelt_kg")
POLLEN_COMING_LOG: Final[Mapping[str, tuple[float, float]]] = {
    word: (float(np.log(_value(f"coming_{word}"))), _value("coming_log_sd")) for word in POLLEN_COMING
}
"""Pollen on offer behind a word for pollen seen coming in: log of the median, and log-sd."""


def _pollen_table(words: Mapping[str, WordAmount], placement: float) -> dict[str, tuple[float, float]]:
    return {k: (float(np.log(v.share_of_side)), float(np.hypot(v.log_sd, placement))) for k, v in words.items()}


PLACEMENT_LOG_SD: Final = _value("placement_log_sd")
"""How unevenly stored pollen lies over the combs looked at."""
LEAST_SHARE: Final = _value("pollen_least_share")
"""An empty pantry still shows a few filled cells: share of a side below which all amounts look alike."""
HALF_SIDES_LOG_SD: Final = float(np.hypot(_value("half_sides_area_log_sd"), POLLEN_FILLED_LOG_SD))
"""Half sides counted: the area on the combs looked at, and how full its cells are."""
HALF_SIDES: Final = Scatter(_value("half_sides_least_sd"), HALF_SIDES_LOG_SD, _value("half_sides_elsewhere"))
OUTER: Final = _pollen_table(OUTER_POLLEN, PLACEMENT_LOG_SD)
NEST: Final = _pollen_table(NEST_POLLEN, PLACEMENT_LOG_SD)
OUTER_SHARE, OUTER_SIDES = _value("outer_share"), _value("outer_sides")
"""Share of all stored pollen on the outer combs, and comb sides it is spread over."""
NEST_SHARE: Final = _value("nest_share")
"""Share of all stored pollen in the band around the brood."""
MIDDLE_COMB: Final = _value("middle_comb")
"""Brood of a comb from the middle of the nest over that of the mean comb."""
EGGS_BY_MISTAKE, EGGS_FOUND, EGGS_E_FOLD = _value("eggs_by_mistake"), _value("eggs_found"), _value("eggs_e_fold")
JELLY_DRY, JELLY_FLOATING = _value("jelly_dry_below"), _value("jelly_floating_above")
JELLY_WIDTH, JELLY_LEAST, JELLY_BLUR = _value("jelly_width"), _value("jelly_least"), _value("jelly_blur")
JELLY_ALIKE: Final = _value("jelly_alike")
"""How many larvae of one comb are worth."""
QUEEN_SEEN: Final = _value("queen_seen_laying"), _value("queen_seen_idle"), _value("queen_seen_none")
"""Chance that a queen is seen who lays, who does not yet, who is not there."""
BEE_KG: Final = reader("adults")("bee_mass_mg") / 1e6
WEIGHT_SD, WEIGHT_ELSEWHERE = _value("weight_sd"), _value("weight_elsewhere")
WASH_BEES: Final = _value("wash_bees")
WASH_LOG_SD, WASH_LOG_SD_UNCOUNTED = _value("wash_log_sd"), _value("wash_log_sd_uncounted")
WASH_ELSEWHERE: Final = _value("wash_elsewhere")
PATTY_SD, PATTY_ELSEWHERE = _value("patty_left_sd"), _value("patty_left_elsewhere")
