"""Sugar syrup by weight and by volume: strength, density, volume, and the stores it gives.

Density of sucrose in water at 20 C by the polynomial of ICUMSA SPS-4 (coefficients from memory; they give the tabled
densities within 0.0002 g/cm3), from 0 to 80 %.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.figures import book
from tideover.figures.units import CUP_L

COEFFICIENTS: Final = (998.2012, 385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890)
SATURATED: Final = 0.6709
"""Mass fraction of sucrose that stays dissolved at 20 C."""
CUP_SUGAR_G: Final = 200.0
"""A US cup of white sugar weighs about this (kitchen measure, read)."""
SUGAR_BULK_KG_L: Final = CUP_SUGAR_G / 1000.0 / CUP_L


def density_kg_l(fraction: float) -> float:
    """Density of a sucrose solution at 20 C [kg/L] from its mass fraction; ValueError beyond 0 to 0.80."""
    if not 0.0 <= fraction <= 0.80:
        raise ValueError(f"sugar is {100 * fraction:g} % by weight, wanted 0 to 80 %.")
    return sum(c * fraction**i for i, c in enumerate(COEFFICIENTS)) / 1000.0


def fraction_of(density: float) -> float:
    """Mass fraction of sucrose from the density at 20 C [kg/L], such as a hydrometer shows."""
    low, high = 0.0, 0.80
    if not density_kg_l(low) - 1e-9 <= density <= density_kg_l(high) + 1e-9:
        raise ValueError(f"density is {density:g} kg/L, wanted {density_kg_l(low):.4f} to {density_kg_l(high):.4f}.")
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if density_kg_l(middle) < density else (low, middle)
    return (low + high) / 2.0


@dataclass(frozen=True)
class Syrup:
    """A syrup of so much sugar in so much water."""

    sugar_kg: float
    water_kg: float

    def __post_init__(self) -> None:
        """Refuse what is no syrup."""
        if self.sugar_kg < 0.0 or self.water_kg <= 0.0:
            raise ValueError(
                f"got {self.sugar_kg:g} kg sugar in {self.water_kg:g} kg water, wanted sugar 0 or more and some water."
            )

    @property
    def fraction(self) -> float:
        """Sugar, share of the weight."""
        return self.sugar_kg / (self.sugar_kg + self.water_kg)

    @property
    def dissolves(self) -> bool:
        """Whether it stays clear at 20 C."""
        return self.fraction <= SATURATED

    @property
    def litres(self) -> float:
        """Volume at 20 C [L]."""
        return (self.sugar_kg + self.water_kg) / density_kg_l(self.fraction)

    @property
    def stores_kg(self) -> tuple[float, float, float]:
        """Capped stores it becomes [kg]: likely, least, most, after what taking and curing it costs."""
        loss, sweet = book().row("stores.syrup_handling_loss"), book().value("stores.honey_sugar_share")
        low, high = loss.low or 0.0, loss.high or 0.0
        return tuple(self.sugar_kg * (1.0 - share) / sweet for share in (loss.number, high, low))  # type: ignore[return-value]


def by_weight(sugar: float, water: float, litres: float) -> Syrup:
    """A syrup of ``sugar`` to ``water`` parts by weight that fills ``litres``."""
    part = Syrup(sugar, water)
    scale = litres / part.litres
    return Syrup(sugar * scale, water * scale)


def by_volume(sugar: float, water: float, litres: float) -> Syrup:
    """A syrup of ``sugar`` to ``water`` parts by volume, loose sugar in a measure, that fills ``litres``."""
    part = Syrup(sugar * SUGAR_BULK_KG_L, water * density_kg_l(0.0))
    scale = litres / part.litres
    return Syrup(part.sugar_kg * scale, part.water_kg * scale)
