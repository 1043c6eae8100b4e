"""The usual patty, how long a piece lies, and what too much and too little cost."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.patty.piece import DEFAULT_SUGAR_PCT
from tideover.patty.softness import HALF_HARD_DAYS
from tideover.plan.settings.asked import num, words

PATTY_FROM: Final = ("stock", "settings")
USUAL_SUGAR: Final = DEFAULT_SUGAR_PCT
USUAL_HARD_DAYS: Final = HALF_HARD_DAYS


@dataclass(frozen=True)
class PattySettings:
    """Settings of patties."""

    # --- patties ----------------------------------------------------------------------------
    pull_by_days: float = num(
        7,
        "a piece comes off after this many days where beetles are present or unknown",
        "d",
        1,
        30,
        "larvae can be fully fed at 8.7-9.3 d at 34 °C, at 7 d they cannot (arithmetic from Meikle & Patt 2011)",
        "arithmetic",
        "beetle.pull_max_d",
    )
    stay_days_no_beetles: float = num(
        14,
        "a piece comes off after this many days where there are no beetles",
        "d",
        3,
        60,
        "hardening and mould",
        "common practice",
        "beetle.absent_max_d",
    )
    eaten_by_pull_by: float = num(
        0.8,
        "a piece this likely to be eaten by its pull-by needs no special trip",
        "probability",
        0.5,
        0.99,
        "",
        "our assumption",
    )
    portion_chance: float = num(
        0,
        "a piece laid on is to be eaten by its pull-by with at least this chance; 0 works it out from your costs",
        "probability",
        0,
        0.99,
        "the cost of too much over that of too much and too little together (newsvendor rule)",
        "arithmetic",
    )
    bees_worth: float = num(
        12,
        "what a thousand bees reared are worth to you",
        "currency",
        0,
        1000,
        "a package of about 10,000 bees at 110-150 USD",
        "from memory",
    )
    colony_worth: float = num(
        200,
        "what a colony lost to beetles would cost you",
        "currency",
        0,
        5000,
        "price of a small colony",
        "from memory",
    )
    ruin_chance: float = num(
        0.01,
        "chance that a rest left on an ordinary colony where beetles are present ends in slimed combs",
        "probability",
        0,
        0.5,
        "three field trials that loaded hives with beetles found no larvae at all (Meikle et al. 2015): small, not nil",
        "our assumption",
    )
    leftover_minutes: float = num(3, "minutes to take off, bag and freeze a rest", "min", 0, 60, "", "our assumption")
    freezer_temp_c: float = num(
        -18,
        "temperature in your freezer, where an entry does not say it",
        "°C",
        -60,
        -1,
        "a household freezer; a thermometer in it is worth its price",
        "common practice",
    )
    patty_from: str = words(
        "stock",
        "what the calls take a new patty for: the batch in stock that reaches round the yard, or always the settings "
        "below",
        "",
        "what is in the store is what will be laid on",
        "our assumption",
        PATTY_FROM,
    )
    patty_protein: float = num(
        15,
        "crude protein of the usual patty",
        "% of weight",
        0,
        60,
        "usual home and bought mixes 10-20 %",
        "common practice",
    )
    patty_pollen_share: float = num(
        0, "bee-collected pollen in the usual patty", "% of weight", 0, 100, "most mixes hold none", "common practice"
    )
    patty_sugar: float = num(
        USUAL_SUGAR, "sugar in the usual patty", "% of weight", 0, 90, "published mixes hold 35-50 %", "our assumption"
    )
    patty_hard_days: float = num(
        USUAL_HARD_DAYS,
        "days on a hive at 35 °C until the usual patty is hard",
        "d",
        3,
        60,
        "a piece that lies two weeks is usually hard",
        "common practice",
    )
    pollen_share_enough: float = num(
        0.2,
        "share of returning bees with pollen from which pollen counts as coming in",
        "share",
        0.02,
        1,
        "20-30 % of returning foragers in good conditions; below about 10 % with brood is a warning",
        "from memory",
    )
    pollen_index_enough: float = num(
        0.5,
        "pollen on offer (1 = an ordinary good flow) from which pollen counts as coming in",
        "index",
        0.02,
        3,
        "half of an ordinary flow",
        "our assumption",
    )
