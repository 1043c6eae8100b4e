"""Cells and bees per square decimetre of comb, one side or both, said in the name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import sqrt
from types import MappingProxyType
from typing import Final

from tideover.comb.frames import FrameType
from tideover.figures import book

WORKER_WIDTH_MM: Final = 5.37
"""Width of a worker cell between parallel walls [mm]; the width behind '400 per dm2'."""
DRONE_WIDTH_MM: Final = sqrt(20_000.0 / sqrt(3.0) / book().value("strength.drone_cells_per_dm2"))
"""Drone cell width behind the Liebefeld 230 cells per dm2 [mm], about 7.09."""


@dataclass(frozen=True)
class Density:
    """A named level of how thickly bees cover comb: bees per dm2 of ONE face."""

    name: str
    bees_per_dm2: float
    says: str
    source: str


_LADDER: Final = (
    Density("contract minimum", 62.0, "least cover that hire clauses call an active frame (4 bees a square inch)",
            "pollination hire clause as quoted"),
    Density("occupied average", book().value("strength.bees_per_dm2_average"),
            "mean on occupied combs where there is room to spare",
            "Simpson 1969, J. Apic. Res. 8:3-8 (1,400 bees on a deep comb)"),
    Density("single layer", 110.0, "one layer of bees on both sides",
            "Kauffeld, cited in Burgett & Burikam 1985 (1,900 on a deep comb)"),
    Density("fully covered", book().value("strength.bees_per_dm2_full"),
            "dense single cover; the working value of the Liebefeld method",
            "Imdorf et al. 1987, Apidologie 18:137-146, by two teaching pages (Zander eighth = 125 bees)"),
    Density("swiss wiki", 130.0, "the same method as taught in Switzerland", "Swiss teaching page"),
    Density("holding capacity", 140.0, "comb filled to the limit",
            "Burgett & Burikam 1985, J. Econ. Entomol. 78:1154-1156 (2,430 on a deep comb; from memory)"),
)  # fmt: skip

DENSITIES: Final[Mapping[str, Density]] = MappingProxyType({d.name: d for d in _LADDER})
"""The density ladder, thinnest first: the same comb differs by a factor above two."""
FULLY_COVERED: Final = DENSITIES["fully covered"]
DENSITY_LOG_SD: Final = 0.15
"""Log-sd of bees per dm2 for one keeper's 'full seam' (our assumption: the ladder from
single layer to holding capacity spans 110-140, and trained observers err by about 10 %)."""


def _cells_per_dm2(width_mm: float) -> float:
    if not 4.0 <= width_mm <= 8.5:
        raise ValueError(f"cell width is {width_mm} mm, wanted 4.0 to 8.5 mm; measure ten cells and divide by ten.")
    return 20_000.0 / (sqrt(3.0) * width_mm**2)


def worker_cells_per_dm2(width_mm: float = WORKER_WIDTH_MM) -> float:
    """Worker cells per dm2 of ONE face, regular hexagons ``width_mm`` between walls [mm]: 11547 / w^2."""
    return _cells_per_dm2(width_mm)


def worker_cells_per_dm2_both_sides(width_mm: float = WORKER_WIDTH_MM) -> float:
    """Worker cells per dm2 of COMB, both faces counted: 23094 / w^2 (the older books' number)."""
    return 2.0 * _cells_per_dm2(width_mm)


def drone_cells_per_dm2(width_mm: float = DRONE_WIDTH_MM) -> float:
    """Drone cells per dm2 of ONE face."""
    return _cells_per_dm2(width_mm)


def cells_per_dm2_both_sides_from_row(cells_per_dm: float) -> float:
    """Cells per dm2 of COMB, both faces, from ``cells_per_dm`` cells counted along 10 cm: 2.309 n^2.

    Betts/Justrich field rule, Bee World 1938.
    """
    if not 8.0 <= cells_per_dm <= 25.0:
        raise ValueError(f"cells along 10 cm is {cells_per_dm}, wanted 8 to 25; count a straight row.")
    return 4.0 / sqrt(3.0) * cells_per_dm**2


def cells_per_side(frame: FrameType, width_mm: float = WORKER_WIDTH_MM) -> float:
    """Worker cells on ONE side of a fully built comb."""
    return frame.dm2_per_side * _cells_per_dm2(width_mm)


def cells_per_comb(frame: FrameType, width_mm: float = WORKER_WIDTH_MM) -> float:
    """Worker cells on BOTH sides of a fully built comb."""
    return 2.0 * cells_per_side(frame, width_mm)


def drone_cells_per_side(frame: FrameType, width_mm: float = DRONE_WIDTH_MM) -> float:
    """Drone cells on ONE side of a comb built of drone cells."""
    return frame.dm2_per_side * _cells_per_dm2(width_mm)


def bees_per_side(frame: FrameType, density: Density = FULLY_COVERED) -> float:
    """Bees on ONE side of a comb covered at ``density``."""
    return frame.dm2_per_side * density.bees_per_dm2


def bees_per_comb(frame: FrameType, density: Density = FULLY_COVERED) -> float:
    """Bees on BOTH sides of a comb covered at ``density``."""
    return 2.0 * bees_per_side(frame, density)


def bees_per_seam(frame: FrameType, density: Density = FULLY_COVERED) -> float:
    """Bees in one full seam: the two facing sides of neighbouring combs."""
    return 2.0 * bees_per_side(frame, density)
