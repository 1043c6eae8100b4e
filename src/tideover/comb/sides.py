"""A look comb by comb: eighths of each side into areas, and areas into bees, cells and grams by named factors.

The standard method: both sides of every comb, each content judged in eighths of the side
(Imdorf et al. 1987; Delaplane et al. 2013 ask for the same as shares of the face). The areas
are what was seen; the factors are choices, and published ones differ by a factor of two, so each has
its name and its alternatives.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType
from typing import Final

from tideover.comb.density import DRONE_WIDTH_MM, worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.comb.stores import (
    BREAD_G_PER_DM2_OF_SIDE,
    BREAD_HIGH_G_PER_DM2_OF_SIDE,
    BREAD_LOW_G_PER_DM2_OF_SIDE,
    HONEY_G_PER_DM2_OF_SIDE,
    HONEY_G_PER_DM2_OF_SIDE_NEST,
)
from tideover.figures import book

EIGHTHS: Final = 8.0
CONTENTS: Final = ("bees", "capped", "open", "eggs", "pollen", "honey")


@dataclass(frozen=True)
class Factor:
    """A named factor: what one dm2 of one face stands for (bees, cells, or grams)."""

    name: str
    per_dm2: float
    source: str


def _bees() -> tuple[Factor, ...]:
    shelf = book()
    deep = 2.0 * frame("deep").dm2_per_side
    return (
        Factor("fully covered", shelf.value("strength.bees_per_dm2_full"), "standard method: 125 to a Zander eighth"),
        Factor("occupied average", shelf.value("strength.bees_per_dm2_average"), "Simpson 1969"),
        Factor(
            "single layer", shelf.value("strength.bees_deep_single_layer") / deep, "Kauffeld, in Burgett & Burikam 1985"
        ),
        Factor("to the limit", shelf.value("strength.bees_deep_capacity") / deep, "Burgett & Burikam 1985"),
    )  # fmt: skip


FACTORS: Final[Mapping[str, tuple[Factor, ...]]] = MappingProxyType(
    {
        "bees": _bees(),
        "cells": (
            Factor("400 to the dm2", book().value("strength.cells_per_dm2"), "standard method; cells 5.37 mm wide"),
            Factor("Italian cells", worker_cells_per_dm2(5.13), "geometry of cells 5.13 mm wide"),
            Factor("Carniolan cells", worker_cells_per_dm2(5.5), "geometry of cells 5.5 mm wide"),
            Factor("drone cells", book().value("strength.drone_cells_per_dm2"), f"cells {DRONE_WIDTH_MM:.2f} mm wide"),
        ),
        "pollen": (
            Factor("middle", BREAD_G_PER_DM2_OF_SIDE, "our choice inside the published range"),
            Factor("low end", BREAD_LOW_G_PER_DM2_OF_SIDE, "published range"),
            Factor("high end", BREAD_HIGH_G_PER_DM2_OF_SIDE, "published range"),
        ),
        "honey": (
            Factor("brood nest", HONEY_G_PER_DM2_OF_SIDE_NEST, "standard method, eighth of a Zander side = 125 g"),
            Factor("full thickness", HONEY_G_PER_DM2_OF_SIDE, "full super comb, half of both faces"),
        ),
    }
)
"""Per measure, the standard factor first, then its alternatives."""


@dataclass(frozen=True)
class Side:
    """One face of one comb: eighths per content; a content that is missing was not judged."""

    frame: str
    eighths: Mapping[str, float]

    def __post_init__(self) -> None:
        """Refuse what no face can hold."""
        for name, v in self.eighths.items():
            if name not in CONTENTS or not 0.0 <= v <= EIGHTHS:
                raise ValueError(f"{name} is {v} eighths, wanted one of {', '.join(CONTENTS)} from 0 to 8.")

    def dm2(self, content: str) -> float:
        """Area of a content [dm2]."""
        return self.eighths.get(content, 0.0) / EIGHTHS * frame(self.frame).dm2_per_side


@dataclass(frozen=True)
class Totals:
    """Sums over sides: area of each content [dm2], and how many sides it was judged on."""

    dm2: Mapping[str, float]
    sides: Mapping[str, int]


def totals(sides: Sequence[Side]) -> Totals:
    """Sum areas over sides; contents judged on no side are left out."""
    judged = {c: sum(c in s.eighths for s in sides) for c in CONTENTS}
    return Totals(
        {c: sum(s.dm2(c) for s in sides) for c in CONTENTS if judged[c]}, {c: n for c, n in judged.items() if n}
    )


def measure(content: str) -> str:
    """The measure a content is turned into: bees, cells, pollen (g) or honey (g)."""
    return content if content in FACTORS else "cells"


def amounts(sums: Totals) -> dict[str, tuple[tuple[Factor, float], ...]]:
    """Each content by every factor it may be turned with: bees, cells, or grams."""
    return {c: tuple((f, area * f.per_dm2) for f in FACTORS[measure(c)]) for c, area in sums.dm2.items()}
