"""What a US unit is in metric ones: the one table of factors, below every room.

Each is exact by definition, not measured: pound and yard by the agreement of 1959, the US gallon as 231 cubic inches,
degrees Fahrenheit by their two fixed points; ``tests/figures/test_units.py`` rebuilds every factor from those.
Names say what one of the unit is, so that one multiplies to go to metric and divides to come back.
"""

from __future__ import annotations

from typing import Final

POUND_G: Final = 453.59237
POUND_KG: Final = 0.45359237
OUNCE_G: Final = 28.349523125
INCH_MM: Final = 25.4
INCH2_CM2: Final = 6.4516
FOOT_M: Final = 0.3048
MILE_KM: Final = 1.609344
MPH_MS: Final = 0.44704
KMH_IN_MS: Final = 3.6
"""Kilometres an hour in one metre a second."""
GALLON_L: Final = 3.785411784
"""The US gallon: four quarts, sixteen cups."""
QUART_L: Final = 0.946352946
CUP_L: Final = 0.2365882365
F_PER_C: Final = 1.8
"""Steps of Fahrenheit in one of Celsius; by this alone a difference of temperatures is turned."""
F_AT_0_C: Final = 32.0


def to_f(celsius: float) -> float:
    """A temperature [C] in degrees Fahrenheit."""
    return celsius * F_PER_C + F_AT_0_C


def to_c(fahrenheit: float) -> float:
    """A temperature [F] in degrees Celsius."""
    return (fahrenheit - F_AT_0_C) / F_PER_C
