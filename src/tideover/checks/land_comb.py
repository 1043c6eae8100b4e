"""Checks of comb geometry: cells, bees, honey and bee bread, one side or both."""

from __future__ import annotations

from functools import partial
from math import pi
from typing import Final

from tideover.checks.base import add, from_book
from tideover.comb import density as d
from tideover.comb.frames import FRAMES, FrameType, frame
from tideover.comb.stores import (
    BREAD_G_PER_DM2_OF_SIDE,
    HONEY_G_PER_DM2_OF_COMB,
    bread_g_per_side,
    honey_kg_per_comb,
    honey_kg_per_side,
)

DEEP: Final = frame("deep")
ZANDER: Final = frame("zander")
BLATT: Final = frame("dadant-blatt")
BRITISH: Final = frame("british deep")


def _side(kind: FrameType) -> float:
    return kind.dm2_per_side


for width, row in ((4.9, "490"), (5.2, "520"), (5.37, "537"), (5.4, "540")):
    from_book(f"strength.cells_{row}_per_dm2", partial(d.worker_cells_per_dm2, width), used_as_input=width == 5.37)
from_book("strength.cells_550_both_per_dm2", lambda: d.worker_cells_per_dm2_both_sides(5.5), used_as_input=False)
from_book("strength.cells_per_dm2", lambda: d.worker_cells_per_dm2(), used_as_input=True, tolerance=1.0)
from_book("strength.betts_128_per_dm2", lambda: d.cells_per_dm2_both_sides_from_row(12.8), used_as_input=False)
from_book("strength.betts_200_per_dm2", lambda: d.cells_per_dm2_both_sides_from_row(20.0), used_as_input=False)
_RACES: Final = "natural-history page on cell widths of three races (read)"
for race, width, cells in (("Italian", 5.13, 875.0), ("dark", 5.37, 800.0), ("Carniolan", 5.5, 760.0)):
    add(
        f"comb.cells_both_{race.lower()}",
        f"Worker cells on one dm2 of comb, both faces, {race} bees of {width} mm",
        partial(d.worker_cells_per_dm2_both_sides, width),
        source=_RACES,
        kind="observed",
        used_as_input=False,
        expected=cells,
        tolerance=0.01 * cells,
        unit="cells/dm2",
    )

from_book("strength.deep_side_dm2", lambda: DEEP.dm2_per_side, used_as_input=True, tolerance=0.09)
from_book("strength.deep_side_in2", lambda: DEEP.in2_per_side, used_as_input=False, tolerance=1.4)
from_book("strength.ten_deep_in2", lambda: 20 * DEEP.in2_per_side, used_as_input=False, tolerance=27.0)
from_book("strength.deep_side_cells", lambda: d.cells_per_side(DEEP), used_as_input=False, tolerance=40.0)
from_book("strength.zander_side_cells", lambda: d.cells_per_side(ZANDER), used_as_input=False, tolerance=10.0)
from_book(
    "strength.zander_side_drone_cells", lambda: d.drone_cells_per_side(ZANDER), used_as_input=True, tolerance=10.0
)
from_book("strength.dadant_blatt_side_dm2", lambda: BLATT.dm2_per_side, used_as_input=True, tolerance=0.02)
from_book("strength.dadant_blatt_dozen_dm2", lambda: 12 * BLATT.dm2_per_side, used_as_input=False, tolerance=0.2)
from_book(
    "strength.dadant_blatt_cells",
    lambda: d.cells_per_comb(BLATT),
    used_as_input=False,
    tolerance=600.0,
    note="Bertrand's combs work out at 5.22 mm cells, ours at 5.37 mm: 6 % fewer.",
)
from_book(
    "strength.brood_600in2_cells",
    lambda: 600 * 0.064516 * d.worker_cells_per_dm2(),
    used_as_input=False,
    tolerance=20.0,
)
from_book(
    "strength.ellipse_cells", lambda: pi / 4 * 3.0 * 1.5 * d.worker_cells_per_dm2(), used_as_input=False, tolerance=2.0
)

from_book("strength.zander_side_bees", lambda: d.bees_per_side(ZANDER), used_as_input=True, tolerance=1.0)
from_book("strength.bees_deep_liebefeld", lambda: d.bees_per_comb(DEEP), used_as_input=False, tolerance=22.0)
from_book(
    "strength.bees_deep_average",
    lambda: d.bees_per_comb(DEEP, d.DENSITIES["occupied average"]),
    used_as_input=True,
    tolerance=28.0,
)
from_book(
    "strength.bees_british_average",
    lambda: d.bees_per_comb(BRITISH, d.DENSITIES["occupied average"]),
    used_as_input=True,
    tolerance=28.0,
)
from_book(
    "strength.bees_deep_single_layer",
    lambda: d.bees_per_comb(DEEP, d.DENSITIES["single layer"]),
    used_as_input=True,
    tolerance=19.0,
)
from_book(
    "strength.bees_deep_capacity",
    lambda: d.bees_per_comb(DEEP, d.DENSITIES["holding capacity"]),
    used_as_input=True,
    tolerance=49.0,
)
from_book(
    "strength.active_comb_bees",
    lambda: 2 * 8 * 17 * 0.064516 * d.DENSITIES["contract minimum"].bees_per_dm2 * 0.75,
    used_as_input=True,
    tolerance=2.0,
)
from_book("strength.dadant_sides_per_5000", lambda: 5000 / d.bees_per_side(BLATT), used_as_input=False, tolerance=0.11)
from_book(
    "strength.swiss_sides_per_5000", lambda: 5000 / d.bees_per_side(frame("swiss")), used_as_input=False, tolerance=0.25
)
from_book(
    "strength.eight_deep_capacity",
    lambda: 8 * d.bees_per_comb(DEEP, d.DENSITIES["holding capacity"]),
    used_as_input=False,
    tolerance=390.0,
)

from_book("stores.honey_g_per_dm2_comb", lambda: HONEY_G_PER_DM2_OF_COMB, used_as_input=True, tolerance=0.0)
from_book("stores.comb_12_dm2_kg", lambda: 12 * HONEY_G_PER_DM2_OF_COMB / 1000, used_as_input=True, tolerance=0.1)
from_book(
    "stores.dadant_blatt_comb_kg",
    lambda: honey_kg_per_comb(BLATT),
    used_as_input=False,
    expected=(3.5, 3.75),
    tolerance=0.0,
)
for name, row in (("deep", "deep_comb_kg"), ("medium", "medium_comb_kg"), ("shallow", "shallow_comb_kg")):
    from_book(f"stores.{row}", partial(honey_kg_per_comb, frame(name)), used_as_input=False, tolerance=0.03)
for name, row, slack in (
    ("deep", "deep_comb_habit_kg", 0.28),
    ("medium", "medium_comb_habit_kg", 0.18),
    ("shallow", "shallow_comb_habit_kg", 0.18),
    ("british deep", "british_deep_comb_kg", 0.1),
):
    from_book(f"stores.{row}", partial(honey_kg_per_comb, frame(name)), used_as_input=False, tolerance=slack)
add(
    "comb.zander_side_food",
    "Food on a full Zander side, brood-nest thickness",
    lambda: 1000 * honey_kg_per_side(ZANDER),
    source="teaching page of the Liebefeld method (read second-hand)",
    kind="arithmetic",
    used_as_input=True,
    expected=1000.0,
    tolerance=1.0,
    unit="g",
)
add(
    "comb.zander_page_example",
    "One Zander side with food on 4/8, capped brood on 1/8, bees on 2/8: food + cells + bees",
    lambda: 500 * honey_kg_per_side(ZANDER) + d.cells_per_side(ZANDER) / 8 + d.bees_per_side(ZANDER) / 4,
    source="teaching page of the Liebefeld method, its own example: 500 g, 400 cells, 250 bees (read second-hand)",
    kind="arithmetic",
    used_as_input=True,
    expected=1150.0,
    tolerance=1.0,
    unit="sum",
)
from_book("protein.bread_deep_side_kg", lambda: bread_g_per_side(DEEP) / 1000, used_as_input=True, tolerance=0.03)
add(
    "comb.bread_against_honey",
    "A face of bee bread weighs 30-80 % of a face of honey",
    lambda: BREAD_G_PER_DM2_OF_SIDE / (HONEY_G_PER_DM2_OF_COMB / 2),
    source="strength figures, arithmetic on read values",
    kind="arithmetic",
    used_as_input=False,
    expected=(0.3, 0.8),
    tolerance=0.0,
    unit="1",
)
add(
    "comb.bread_zander_eighth",
    "Bee bread in a filled eighth of a Zander comb, if the eighth is of the whole comb",
    lambda: BREAD_G_PER_DM2_OF_SIDE * 2.0,
    source="German bee journal article on the Liebefeld method: about 100 g (read)",
    kind="observed",
    used_as_input=False,
    expected=100.0,
    tolerance=30.0,
    unit="g",
    note="Read as an eighth of one side it would be 100 g/dm2, the top of the published range.",
)

_GEOMETRY: Final = {
    "deep": (8.65, 6920, 2.85),
    "medium": (5.54, 4430, 1.83),
    "shallow": (4.59, 3670, 1.52),
    "dadant us": (10.94, 8750, 3.6),
    "dadant-blatt": (11.25, 9000, 3.7),
    "dadant-blatt super": (5.59, 4470, 1.84),
    "british deep": (6.64, 5310, 2.2),
    "british shallow": (4.08, 3260, 1.35),
    "british 14x12": (9.64, 7710, 3.2),
    "commercial": (9.09, 7275, 3.0),
    "zander": (8.00, 6400, 2.6),
    "german normal": (7.1, 5680, 2.3),
    "swiss": (9.45, 7560, 3.1),
    "layens": (11.5, 9180, 3.8),
    "warre": (6.0, 4800, 2.0),
    "top bar": (8.8, 7060, 2.9),
}
"""dm2 a side, worker cells of a comb, honey of a comb [kg], worked by hand from the inside sizes."""
for name, (dm2, cells, honey) in _GEOMETRY.items():
    for what, unit, value, ours in (
        ("dm2_per_side", "dm2", dm2, partial(_side, FRAMES[name])),
        ("cells_per_comb", "cells", float(cells), partial(d.cells_per_comb, FRAMES[name])),
        ("honey_kg_per_comb", "kg", honey, partial(honey_kg_per_comb, FRAMES[name])),
    ):
        add(
            f"comb.{name.replace(' ', '_')}.{what}",
            f"{what.replace('_', ' ')} of {FRAMES[name].says}",
            ours,
            source=f"by hand from the inside size ({FRAMES[name].source}), 400 cells/dm2 a side, 330 g/dm2 a comb",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=0.02 * value,
            unit=unit,
        )

_EXAM: Final = "British exam table of cells per brood box, as published by a study group (read second-hand)"
add(
    "comb.exam_langstroth_box",
    "Worker cells in a ten-comb deep box",
    lambda: 10 * d.cells_per_comb(DEEP),
    source=_EXAM,
    kind="observed",
    used_as_input=False,
    practice=True,
    expected=61_000.0,
    tolerance=6_100.0,
    unit="cells",
    note="The table is 12 % below the geometry of a fully built comb; built and usable area is 90-97 %.",
)
add(
    "comb.exam_national_box",
    "Worker cells in an eleven-comb National box",
    lambda: 11 * d.cells_per_comb(BRITISH),
    source=_EXAM,
    kind="observed",
    used_as_input=False,
    practice=True,
    expected=55_000.0,
    tolerance=5_500.0,
    unit="cells",
)
