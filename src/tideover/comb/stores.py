"""Honey and bee bread by area. A face of bread weighs 30-80 % of a face of honey: never mix the factors."""

from __future__ import annotations

from math import exp, log
from typing import Final

from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import FrameType
from tideover.figures import book
from tideover.figures.prior import Z95

HONEY_G_PER_DM2_OF_COMB: Final = book().value("stores.honey_g_per_dm2_comb")
"""Full comb, both faces together [g/dm2] (Apiculture moderne p. 56; Bertrand gives 311-333)."""
HONEY_G_PER_DM2_OF_SIDE: Final = HONEY_G_PER_DM2_OF_COMB / 2.0
"""Full super thickness, ONE face [g/dm2]."""
HONEY_G_PER_DM2_OF_SIDE_NEST: Final = book().value("stores.honey_g_per_dm2_face_liebefeld")
"""Brood-nest thickness, ONE face, the cautious Liebefeld working value [g/dm2]."""
HONEY_CEILING_G_PER_DM2_OF_COMB: Final = book().value("stores.honey_g_per_dm2_thick")
"""What a 25 mm comb can hold [g/dm2, both faces] (1.42 kg/L)."""

_BREAD: Final = book().row("protein.bread_g_per_dm2")
BREAD_G_PER_DM2_OF_SIDE: Final = _BREAD.number
"""Solid bee bread, ONE face [g/dm2]; our choice inside the published range."""
BREAD_LOW_G_PER_DM2_OF_SIDE, BREAD_HIGH_G_PER_DM2_OF_SIDE = _BREAD.span
BREAD_G_PER_CELL: Final = BREAD_G_PER_DM2_OF_SIDE / worker_cells_per_dm2()
"""Bee bread in a filled worker cell [g] (handbook 0.14-0.18)."""
BREAD_LOG_SD: Final = log(BREAD_HIGH_G_PER_DM2_OF_SIDE / BREAD_LOW_G_PER_DM2_OF_SIDE) / (2.0 * Z95)
"""Log-sd of grams per dm2 taking the published range as its 5 and 95 % points."""

_FILLED: Final = book().row("protein.pollen_filled")
POLLEN_FILLED: Final = _FILLED.number
"""Share of cells full of bread where a keeper counts half sides of pollen (our assumption, between a
well-filled pollen comb, 0.31-0.46 by Schaefer & Farrar 1941, and solid)."""
POLLEN_FILLED_LOG_SD: Final = log(_FILLED.span[1] / _FILLED.span[0]) / (2.0 * Z95)
"""Log-sd of that share taking the range as its 5 and 95 % points."""


def honey_kg_per_comb(frame: FrameType, g_per_dm2_of_comb: float = HONEY_G_PER_DM2_OF_COMB) -> float:
    """Honey in a comb filled on BOTH sides [kg]."""
    return frame.dm2_per_side * g_per_dm2_of_comb / 1000.0


def honey_kg_per_side(frame: FrameType, g_per_dm2_of_side: float = HONEY_G_PER_DM2_OF_SIDE_NEST) -> float:
    """Honey on ONE full side at brood-nest thickness [kg]."""
    return frame.dm2_per_side * g_per_dm2_of_side / 1000.0


def bread_g_per_side(frame: FrameType, share: float = 1.0, g_per_dm2_of_side: float = BREAD_G_PER_DM2_OF_SIDE) -> float:
    """Bee bread on ``share`` (0..1) of ONE side [g]."""
    if not 0.0 <= share <= 1.0:
        raise ValueError(f"share of a side is {share}, wanted 0 to 1; a full side is 1.")
    return frame.dm2_per_side * share * g_per_dm2_of_side


def bread_range_g_per_side(frame: FrameType, share: float = 1.0) -> tuple[float, float]:
    """The 5-95 % range of bee bread on ``share`` of ONE side [g]."""
    mid = bread_g_per_side(frame, share)
    return mid * exp(-Z95 * BREAD_LOG_SD), mid * exp(Z95 * BREAD_LOG_SD)
