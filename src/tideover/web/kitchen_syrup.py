"""A syrup as the page shows it, in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass

from tideover.figures.units import GALLON_L, POUND_KG
from tideover.patty.kitchen import syrup as syrups
from tideover.web.units import System


@dataclass(frozen=True)
class SyrupLine:
    """A syrup as the page shows it."""

    says: str
    sugar: str
    water: str
    volume: str
    strength: str
    sweet: str
    density: str
    stores: str
    note: str


def syrup_line(says: str, made: syrups.Syrup, units: System) -> SyrupLine:
    """A syrup in the reader's units."""
    likely, least, most = made.stores_kg
    us = units == "us"
    f = POUND_KG if us else 1.0
    w = "lb" if us else "kg"
    water_l = made.water_kg / syrups.density_kg_l(0.0)
    if us:
        water = f"{made.water_kg / f:.2f} lb ({water_l / GALLON_L * 4:.2f} qt)"
    else:
        water = f"{made.water_kg:.2f} kg ({water_l:.2f} L)"
    return SyrupLine(
        says, f"{made.sugar_kg / f:.2f} {w}", water,
        f"{made.litres / GALLON_L:.2f} gal" if us else f"{made.litres:.2f} L", f"{100 * made.fraction:.1f} %",
        f"{made.sugar_kg / f / (made.litres / GALLON_L):.2f} lb sugar a gallon" if us
        else f"{1000 * made.sugar_kg / made.litres:.0f} g sugar a litre",
        f"a gallon weighs {syrups.density_kg_l(made.fraction) * GALLON_L / f:.2f} lb" if us
        else f"a litre weighs {syrups.density_kg_l(made.fraction):.3f} kg",
        f"{likely / f:.1f} {w} ({least / f:.1f} to {most / f:.1f})",
        "" if made.dissolves else "more sugar than stays dissolved at 20 °C (68 °F): it will crystallise",
    )  # fmt: skip
