"""Checks of small hive beetle development, counting and freezing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Final

from tideover.beetle import freezing as f
from tideover.beetle.clock import FREEZE_CORE_C, FREEZE_CORE_HOURS, clock
from tideover.beetle.count import beetles_from_strip
from tideover.beetle.development import (
    EGG,
    LARVA,
    SOIL,
    briere_optimum_c,
    degree_days,
    hatch_share,
    slow_egg_days,
    soil_days_cool,
)
from tideover.checks.base import AT_MOST, add, from_book

_MEIKLE: Final = "Meikle & Patt 2011, J. Econ. Entomol. (read abstract)"
_BERNIER: Final = "Bernier et al. 2014, J. Econ. Entomol. (read abstract)"
_NOOR: Final = "Noor-ul-Ane & Jung 2020/21, temperature-dependent development (read abstract)"
_LAID: Final = datetime(2025, 7, 1, 9, 0, tzinfo=UTC)


def _egg_and_larva(temp_c: float) -> float:
    return EGG.days(temp_c) + LARVA.days(temp_c)


from_book("beetle.egg_h_21", lambda: EGG.days(21.0) * 24.0, used_as_input=True)
from_book("beetle.egg_h_35", lambda: EGG.days(35.0) * 24.0, used_as_input=True, tolerance=AT_MOST)
from_book("beetle.larva_d_21", lambda: LARVA.days(21.0), used_as_input=True)
from_book("beetle.larva_d_35", lambda: LARVA.days(35.0), used_as_input=True, tolerance=AT_MOST)
from_book("beetle.soil_d_21", lambda: SOIL.days(21.0), used_as_input=True)
from_book("beetle.soil_d_35", lambda: SOIL.days(35.0), used_as_input=True)
from_book("beetle.sum_d_21", lambda: EGG.days(21.0) + LARVA.days(21.0) + SOIL.days(21.0), used_as_input=True)
from_book("beetle.egg_k_dd", lambda: EGG.k_early, used_as_input=True)
from_book("beetle.larva_k_dd", lambda: LARVA.k_early, used_as_input=True)
from_book("beetle.soil_k_dd", lambda: SOIL.k_early, used_as_input=True)
for temp in (25, 30, 34):
    from_book(f"beetle.egg_larva_d_{temp}", partial(_egg_and_larva, temp), used_as_input=False)
from_book(
    "beetle.soil_d_20",
    lambda: SOIL.days(20.0),
    used_as_input=False,
    expected=(36.0, 39.0),
    tolerance=0.5,
    note="The source gives whole days. An independent laboratory inside our law's own range.",
)
for temp, low, high in ((16, 69.0, 78.0), (18, 47.0, 54.0), (20, 36.0, 39.0)):
    add(
        f"beetle.soil_cool_{temp}",
        f"Time in cool soil at {temp} C by the line through the midpoints",
        partial(soil_days_cool, temp),
        source=_BERNIER,
        kind="observed",
        used_as_input=True,
        expected=(low, high),
        tolerance=0.0,
        unit="d",
    )
from_book(
    "beetle.soil_d_18",
    lambda: SOIL.days(18.0),
    used_as_input=False,
    expected=(47.0, 54.0),
    tolerance=0.0,
    note="Known to differ: below about 19 C the straight law is too fast, so cool soil has its own line.",
)
from_book("beetle.instar_to_adult_d_34", lambda: LARVA.days(34.0) + SOIL.days(34.0), used_as_input=False)
from_book("beetle.instar_to_adult_d_26", lambda: LARVA.days(26.0) + SOIL.days(26.0), used_as_input=False)
from_book("beetle.total_d_35", lambda: EGG.days(35.0) + LARVA.days(35.0) + SOIL.days(35.0), used_as_input=False)
add(
    "beetle.total_d_18_6",
    "Egg to adult at 18.6 C",
    lambda: EGG.days(18.6) + LARVA.days(18.6) + SOIL.days(18.6),
    source=_NOOR,
    kind="observed",
    used_as_input=False,
    expected=53.9,
    tolerance=5.4,
    unit="d",
    note="Known to differ: the laboratories disagree in the cool; the clock of a patty works at 28-35 C.",
)
add(
    "beetle.usda_cycle_warm",
    "Whole cycle in the warm",
    lambda: EGG.days(34.0) + LARVA.days(34.0) + SOIL.days(34.0),
    source="USDA Baton Rouge bee laboratory page: about 23 days (read)",
    kind="observed",
    used_as_input=False,
    expected=23.0,
    tolerance=2.3,
    unit="d",
)
add(
    "beetle.usda_cycle_cool",
    "Whole cycle in the cool (24-28 C)",
    lambda: EGG.days(26.0) + LARVA.days(26.0) + SOIL.days(26.0),
    source="USDA Baton Rouge bee laboratory page: about 39 days (read)",
    kind="observed",
    used_as_input=False,
    expected=39.0,
    tolerance=3.9,
    unit="d",
)
for temp in (24, 28):
    add(
        f"beetle.slow_egg_{temp}",
        f"Slow egg band at {temp} C",
        partial(slow_egg_days, temp),
        source="de Guzman & Frake 2007, J. Apic. Res. 46:88-93: about 3 d at 24-28 C (read abstract)",
        kind="observed",
        used_as_input=True,
        expected=3.0,
        tolerance=0.6,
        unit="d",
    )
add(
    "beetle.slow_egg_34",
    "Slow egg band at 34 C",
    lambda: slow_egg_days(34.0),
    source="de Guzman & Frake 2007, J. Apic. Res. 46:88-93: about 2 d at 34 C (read abstract)",
    kind="observed",
    used_as_input=True,
    expected=2.0,
    tolerance=0.01,
    unit="d",
)
add(
    "beetle.none_at_threshold",
    "Development at the thresholds (egg 13.5 C, larva and soil 10 C)",
    lambda: EGG.rate_per_day(13.5) + LARVA.rate_per_day(10.0) + SOIL.rate_per_day(10.0),
    source=_MEIKLE,
    kind="observed",
    used_as_input=True,
    expected=0.0,
    tolerance=0.0,
    unit="1/d",
)
from_book(
    "beetle.no_hatch_rh_pct",
    lambda: hatch_share(34.0),
    used_as_input=True,
    expected=0.0,
    tolerance=0.0,
    says="Share of eggs hatching at 34 % humidity",
)
from_book("beetle.egg_optimum_c", lambda: briere_optimum_c(16.0, 46.5), used_as_input=False)
add(
    "beetle.pupa_optimum",
    "Fastest temperature of the soil stage by the Briere curve",
    lambda: briere_optimum_c(12.6, 42.5),
    source=_NOOR,
    kind="arithmetic",
    used_as_input=False,
    expected=35.5,
    tolerance=0.3,
    unit="degC",
)
add(
    "beetle.degree_days_18_6",
    "Heat sum above 11.8 C of 53.9 d at 18.6 C",
    lambda: degree_days(18.6, 53.9, 11.8),
    source=_NOOR,
    kind="arithmetic",
    used_as_input=False,
    expected=366.5,
    tolerance=0.1,
    unit="degC d",
)
add(
    "beetle.degree_days_35",
    "Heat sum above 11.8 C of 20 d at 35 C",
    lambda: degree_days(35.0, 20.0, 11.8),
    source=_NOOR,
    kind="arithmetic",
    used_as_input=False,
    expected=464.0,
    tolerance=0.1,
    unit="degC d",
)


def _full_grown_days(temp_c: float) -> float:
    full = clock(_LAID, temp_c, "present").full_grown
    return (full - _LAID) / timedelta(days=1) if full is not None else float("inf")


add(
    "beetle.stay_at_34",
    "A stay at 34 C that ends before larvae are full grown: longer than 7 d, shorter than 10 d",
    lambda: _full_grown_days(34.0),
    source=f"arithmetic on {_MEIKLE}",
    kind="arithmetic",
    used_as_input=False,
    expected=(7.0, 10.0),
    tolerance=0.0,
    unit="d",
)
add(
    "beetle.larval_stage_handbook",
    "Larval stage in the brood nest, 34 C, against the handbook's 10-14 d to leaving the hive",
    lambda: LARVA.days(34.0),
    source="Stedman 2006 in the COLOSS BEEBOOK (read): 10-14 d, wandering included",
    kind="observed",
    used_as_input=False,
    expected=14.0,
    tolerance=AT_MOST,
    unit="d",
)
from_book("beetle.strip_six", lambda: beetles_from_strip(6), used_as_input=False, tolerance=0.01)

from_book("freezing.rule_c", lambda: FREEZE_CORE_C, used_as_input=True, tolerance=0.0)
from_book("freezing.rule_h", lambda: float(FREEZE_CORE_HOURS), used_as_input=True, tolerance=0.0)
from_book("freezing.one_patty_h", lambda: f.core_hours(), used_as_input=False)
from_book("freezing.stack_four_h", lambda: f.core_hours(4 * 12.7), used_as_input=False)
from_book("freezing.stack_twelve_still_h", lambda: f.core_hours(152.0, film_w_m2k=5.0), used_as_input=False)
add(
    "freezing.two_methods",
    "One patty by the series against stepped differences: ratio",
    lambda: f.core_hours() / f.core_hours_stepped(),
    source="two independent methods must agree",
    kind="arithmetic",
    used_as_input=False,
    expected=1.0,
    tolerance=0.002,
    unit="1",
)
add(
    "freezing.lumped",
    "One patty taken as one temperature",
    lambda: f.core_hours_lumped(),
    source="lumped cooling law, worked by hand",
    kind="arithmetic",
    used_as_input=False,
    expected=1.37,
    tolerance=0.03,
    unit="h",
)
add(
    "freezing.biot",
    "Biot number of one patty",
    lambda: f.biot(12.7, 8.0),
    source="8 x 0.00635 / 0.27",
    kind="arithmetic",
    used_as_input=False,
    expected=0.188,
    tolerance=0.001,
    unit="1",
)
from_book(
    "freezing.practice_h",
    lambda: f.freezer_hours(),
    used_as_input=False,
    tolerance=AT_MOST,
    note="A single patty needs about 26 h; two days are on the safe side.",
)
add(
    "freezing.stack_72h",
    "A 152 mm stack in still air at -18 C, with the 24 h hold, is safe within the 72 h rule",
    lambda: f.core_hours(152.0, film_w_m2k=5.0) + f.HOLD_H,
    source="keepers' rule: freeze a patty with larvae 72 h",
    kind="observed",
    used_as_input=False,
    practice=True,
    expected=72.0,
    tolerance=AT_MOST,
    unit="h",
)
add(
    "freezing.stack_72h_warm",
    "The same stack in a -15 C freezer: 72 h are not enough",
    lambda: f.core_hours(152.0, air_c=-15.0, film_w_m2k=5.0) + f.HOLD_H,
    source="arithmetic: 53.5 + 24 = 77.5 h",
    kind="arithmetic",
    used_as_input=False,
    expected=77.5,
    tolerance=1.6,
    unit="h",
)
from_book("freezing.ice_point_10_aw", lambda: f.ice_point_water_activity(-10.0), used_as_input=False)
from_book("freezing.ice_point_15_aw", lambda: f.ice_point_water_activity(-15.0), used_as_input=False)
