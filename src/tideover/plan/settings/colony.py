"""When one plan beats another, and the levels of mites and honey."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.plan.settings.asked import num

_VARROA_GUIDE: Final = (
    "Tools for Varroa Management, coalition guide, editions about 2016-2018; later editions are lower in places"
)


@dataclass(frozen=True)
class ColonySettings:
    """Settings of the colony itself; see the package for what their metadata hold."""

    # --- how a plan must win -------------------------------------------------------------
    margin: float = num(
        0.02,
        "a plan must beat the next by this share of the bees at winter, or it is a toss-up",
        "share",
        0.0,
        0.5,
        "what a keeper would notice",
        "our assumption",
    )
    visit_days: float = num(7, "days between rounds", "d", 1, 60, "weekly round", "common practice")
    missed_visit: float = num(0.1, "chance that a planned visit is missed", "probability", 0, 0.9, "", "our assumption")

    # --- mites ---------------------------------------------------------------------------
    mites_caution_growing: float = num(
        1,
        "mites per 100 bees, colony growing: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.increase_fine",
    )
    mites_treat_growing: float = num(
        3,
        "mites per 100 bees, colony growing: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.increase_treat",
    )
    mites_caution_peak: float = num(
        2,
        "mites per 100 bees, colony at its peak: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.peak_fine",
    )
    mites_treat_peak: float = num(
        5,
        "mites per 100 bees, colony at its peak: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.peak_treat",
    )
    mites_caution_shrinking: float = num(
        2,
        "mites per 100 bees, late summer and autumn: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.decrease_fine",
    )
    mites_treat_shrinking: float = num(
        3,
        "mites per 100 bees, late summer and autumn: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE + "; a US federal bee laboratory quotes 3 per 100 in any season",
        "read second-hand",
        "mites.decrease_treat",
    )
    mites_caution_resting_brood: float = num(
        1,
        "mites per 100 bees, winter with brood: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.dormant_fine",
    )
    mites_treat_resting_brood: float = num(
        2,
        "mites per 100 bees, winter with brood: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.dormant_treat",
    )
    mites_caution_resting: float = num(
        1,
        "mites per 100 bees, winter without brood: caution from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.broodless_fine",
    )
    mites_treat_resting: float = num(
        3,
        "mites per 100 bees, winter without brood: treat from",
        "mites/100 bees",
        0,
        20,
        _VARROA_GUIDE,
        "from memory",
        "mites.broodless_treat",
    )
    mite_sample_bees: float = num(
        300,
        "bees taken to be in half a cup when nobody counted them",
        "bees",
        50,
        1000,
        "most guides say 300; a Mississippi State extension sheet says 400: count them if you can",
        "from memory",
        "mites.half_cup_bees",
    )
    mite_count_days: float = num(
        35,
        "a mite count older than this no longer says what the load is",
        "d",
        7,
        180,
        "counting about monthly in the season",
        "common practice",
    )

    # --- honey and sugar -------------------------------------------------------------------
    honey_emergency_kg: float = num(
        5.7,
        "below this much honey sugar comes before protein",
        "kg",
        0,
        30,
        "10-15 lb, about two full deep combs touching the cluster (extension convention)",
        "from memory",
        "stores.emergency_kg",
    )
    honey_days_short: float = num(
        10,
        "fewer days of honey than this also counts as short",
        "d",
        1,
        60,
        "a weekly visit missed by a few days",
        "our assumption",
    )
    honey_winter_kg: float = num(
        18,
        "honey wanted when the cluster forms",
        "kg",
        0,
        70,
        "warm areas 30-40 lb (handbook and Gulf practice); 60-90 lb in the north: set your own",
        "read",
    )
