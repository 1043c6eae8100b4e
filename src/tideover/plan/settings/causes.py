"""When the cause is something else than hunger; uniting, moving and water."""

from __future__ import annotations

from dataclasses import dataclass

from tideover.plan.settings.asked import num


@dataclass(frozen=True)
class CauseSettings:
    """Settings of other causes and other remedies."""

    # --- wrong diagnoses ---------------------------------------------------------------------
    brood_pause_tmax_c: float = num(
        37.8,
        "days this hot may stop the queen's laying",
        "°C",
        25,
        50,
        "about 100 °F, keepers' accounts only; no measured figure was found",
        "read second-hand",
    )
    queenless_p: float = num(
        0.5,
        "probability of no laying queen from which the queen is looked for first",
        "probability",
        0.05,
        1,
        "",
        "our assumption",
    )
    sign_days: float = num(
        21,
        "a sign seen longer ago than this is asked for again",
        "d",
        3,
        90,
        "about one generation of worker brood",
        "our assumption",
    )
    robbing_days: float = num(
        10, "robbing seen within this many days still rules how a hive is fed", "d", 1, 60, "", "our assumption"
    )
    robbing_bees: float = num(
        10000,
        "a colony with fewer bees than this is at risk of robbing in a dearth",
        "bees",
        0,
        60000,
        "weak colonies are robbed first (common); the number is ours",
        "our assumption",
    )
    look_stale_days: float = num(
        28, "a hive not looked into for this long cannot be read with confidence", "d", 7, 180, "", "our assumption"
    )
    thin_ratio: float = num(
        3,
        "the reading is thin when the high end of the bees is this many times the low end",
        "ratio",
        1.2,
        20,
        "",
        "our assumption",
    )

    # --- uniting, moving, water ----------------------------------------------------------------
    unite_winter_bees: float = num(
        12150,
        "expected bees at winter below which uniting is worth a thought",
        "bees",
        0,
        40000,
        "under 5 deep frames of bees x 2,430 (Burgett & Burikam 1985): handbook convention, not a survival curve",
        "from memory",
    )
    unite_now_bees: float = num(
        5000,
        "bees now below which uniting is worth a thought in any season",
        "bees",
        0,
        40000,
        "about two deep frames of bees",
        "our assumption",
    )
    move_index: float = num(
        0.05,
        "pollen on offer at or below which moving the yard is worth a thought",
        "index",
        0,
        1,
        "deep dearth on our index",
        "our assumption",
    )
    move_p_back: float = num(
        0.2,
        "only if pollen is no likelier than this to be back within 14 days",
        "probability",
        0,
        1,
        "",
        "our assumption",
    )
    move_days_left: float = num(
        42,
        "only if the cluster is at least this many days away",
        "d",
        0,
        200,
        "two generations of brood",
        "our assumption",
    )
    water_tmax_c: float = num(
        35,
        "days hotter than this count as hot for the water rule",
        "°C",
        20,
        50,
        "water carrying rises steeply above 30-35 °C outside; brood is held at 34-35 °C",
        "read",
    )
    water_days: float = num(
        3, "this many hot days within the next seven call for water at hand", "d", 1, 7, "", "our assumption"
    )
