"""A weight of patty as a keeper reads it off a kitchen scale, in grams or ounces."""

from __future__ import annotations

from tideover.figures.units import OUNCE_G
from tideover.records.entries import Units


def weight(grams: float, units: Units) -> str:
    """Grams below 1.5 kg, kilograms above; ounces to the tenth below a pound, pounds above."""
    if units == "metric":
        return f"{grams / 1000:.2f} kg" if abs(grams) >= 1500 else f"{grams:.0f} g"
    ounces = grams / OUNCE_G
    return f"{ounces:.1f} oz" if abs(ounces) < 16 else f"{ounces / 16:.2f} lb"
