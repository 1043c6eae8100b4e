"""What one ensemble member is made of: columns of the state and parameter arrays.

Counts are bees or cells, masses grams, honey grams. Reserves are shares of the
protein a full-bodied bee can give up (0-1). Ages are whole days.
"""

from __future__ import annotations

from typing import Final

from tideover.colony.fixed import Fixed

MG: Final = 0.001
"""Grams in a milligram."""
TINY: Final = 1e-9
SMALL: Final = 1e-6
"""Guards against division by nothing, far below a bee or a milligram."""

N_EGG: Final = 3
N_LARVA: Final = 6
N_YOUNG: Final = 3
"""Larvae of the first three days live on jelly alone."""
N_CAPPED: Final = 12
N_AGE: Final = 24
"""House bees by age; the last class holds every older house bee (winter bees among them)."""

EGG: Final = 0
LARVA: Final = EGG + N_EGG
CAPPED: Final = LARVA + N_LARVA
QUALITY: Final = CAPPED + N_CAPPED
"""Body quality of each capped day (1 = well fed larva)."""
HOUSE: Final = QUALITY + N_CAPPED
RESERVE: Final = HOUSE + N_AGE
FORAGER: Final = RESERVE + N_AGE
JELLY: Final = FORAGER + 1
BREAD: Final = JELLY + 1
"""Stored pollen [g, as fresh pollen]."""
HONEY: Final = BREAD + 1
"""Honey [g]."""
PATTY: Final = HONEY + 1
"""Patty on the hive [g]."""
PATTY_AGE: Final = PATTY + 1
PATTY_PROTEIN: Final = PATTY_AGE + 1
"""Crude protein share of the piece."""
PATTY_POLLEN: Final = PATTY_PROTEIN + 1
"""Pollen share of the piece."""
PATTY_DAYS: Final = PATTY_POLLEN + 1
"""Days since the piece was laid on (``PATTY_AGE`` also counts heat, for softness)."""
MITES: Final = PATTY_DAYS + 1
"""Mites per hundred bees."""
QUEEN: Final = MITES + 1
"""1 laying; negative: days until laying again; ``NO_QUEEN`` no queen to come."""
NO_QUEEN: Final = -9999.0
NUTRITION: Final = QUEEN + 1
"""Slow memory of jelly, what the queen's laying follows."""
POLLEN_MEMORY: Final = NUTRITION + 1
"""Slow memory of income and store against need."""
HIVE_DEV: Final = POLLEN_MEMORY + 1
"""Log departure of this hive's income from its yard."""
RETURNED: Final = HIVE_DEV + 1
"""Protein of brood eaten yesterday that comes back today [g crude protein]."""
FLIGHT_MEMORY: Final = RETURNED + 1
FEED_MEMORY: Final = FLIGHT_MEMORY + 1
"""Slow memory of patty eaten [g/d]."""
WARMTH: Final = FEED_MEMORY + 1
"""Two-week memory of the mean temperature [degC]."""
STATE: Final = WARMTH + 1

PARAM_NAMES: Final = (
    "laying_max",
    "larva_protein_mg",
    "nurse_intake_mg",
    "forager_hazard",
    "house_hazard",
    "winter_hazard",
    "income_scale",
    "nectar_scale",
    "heat_laying",
    "feed_value",
    "feed_harm",
    "patty_intake_mg",
    "forager_share",
    "cannibal_rate",
    "reserve_mg",
    "mite_growth",
    "hive_income_sd",
    "bees_per_dm2",
    "bread_per_cell_g",
    "honey_per_dm2_g",
    "brood_fill",
)
"""Parameters drawn per member, in column order; priors are the ``colony.*`` rows."""
PARAMS: Final = len(PARAM_NAMES)
P: Final = {name: i for i, name in enumerate(PARAM_NAMES)}

CONST_NAMES: Final = Fixed._fields
"""Fixed figures the kernel reads, in column order."""
C: Final = {name: i for i, name in enumerate(CONST_NAMES)}

OUT_NAMES: Final = (
    "adults",
    "eggs",
    "open",
    "capped",
    "pollen_g",
    "honey_g",
    "patty_g",
    "jelly",
    "reserve",
    "young_lost_share",
    "brood_lost",
    "income_g",
    "patty_eaten_g",
    "need_g",
    "foragers",
    "mites",
    "queen",
    "young_bees",
)
"""What is recorded per day: state at the end of the day, flows of the day.

``need_g`` is the pollen the brood at hand would need that day unthrottled [g];
``reserve`` the mean reserve of bees of nursing age; ``young_lost_share`` the share of
larvae under three days lost to shortage that day; ``brood_lost`` cells lost to shortage.
"""
OUTS: Final = len(OUT_NAMES)
O: Final = {name: i for i, name in enumerate(OUT_NAMES)}  # noqa: E741

LEDGER_NAMES: Final = (
    "emerged",
    "adult_deaths",
    "pollen_in_g",
    "bread_eaten_g",
    "patty_eaten_g",
    "patty_removed_g",
    "protein_eaten_g",
    "protein_returned_g",
    "protein_drawn_g",
    "protein_jelly_g",
    "protein_adult_g",
    "protein_waste_g",
    "honey_in_g",
    "honey_used_g",
    "patty_laid_g",
    "brood_lost",
    "laid",
    "overstay",
)
"""Running totals per member; bees and protein must balance over them to rounding."""
LEDGERS: Final = len(LEDGER_NAMES)
G: Final = {name: i for i, name in enumerate(LEDGER_NAMES)}

PASSAGES: Final = 3
"""Milestones whose first day is kept per member, in the order of ``ensemble.MILESTONES``."""
