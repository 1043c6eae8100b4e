"""Small words for gates: dates and amounts as a keeper reads them.

Every amount stands in both systems of units, the second in brackets; what shows it puts the keeper's own first.
"""

from __future__ import annotations

from datetime import date
from typing import Final

from tideover.figures.units import MPH_MS, POUND_G, POUND_KG, to_c, to_f
from tideover.plan.call import Interval

# Spelled here so that the words do not change with the machine's locale.
_MONTHS: Final = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def on(day: date) -> str:
    """A day as '14 July'."""
    return f"{day.day} {_MONTHS[day.month - 1]}"


def sentence(*parts: str) -> str:
    """Parts joined with semicolons, the first letter made large and nothing else changed."""
    text = "; ".join(parts)
    return f"{text[:1].upper()}{text[1:]}"


def honey(kg: float, places: int = 1) -> str:
    """Honey [kg] as '5.7 kg (12.6 lb)', to so many decimal places."""
    return f"{kg:.{places}f} kg ({kg / POUND_KG:.{places}f} lb)"


def patty(grams: float) -> str:
    """Patty as '227 g (0.5 lb)'."""
    return f"{grams:.0f} g ({grams / POUND_G:.2g} lb)"


def temp(c: float) -> str:
    """A temperature as '38 °C (100 °F)'."""
    return f"{c:.0f} °C ({to_f(c):.0f} °F)"


def heat(f: float) -> str:
    """A heat index as '109 °F (43 °C)'."""
    return f"{f:.0f} °F ({to_c(f):.0f} °C)"


def wind(ms: float) -> str:
    """A wind as '8 m/s (18 mph)'."""
    return f"{ms:.0f} m/s ({ms / MPH_MS:.0f} mph)"


def bees(n: float) -> str:
    """A number of bees to two figures, as '8,400'."""
    if n <= 0:
        return "0"
    step = 10 ** max(0, len(str(int(n))) - 2)
    return f"{round(n / step) * step:,}"


def between(i: Interval) -> str:
    """A count with its range, as '8,400 (6,100 to 11,000)'."""
    return f"{bees(i.median)} ({bees(i.low)} to {bees(i.high)})"


def percent(p: float) -> str:
    """A probability in percent, never claiming 0 or 100."""
    return "under 1 %" if p < 0.01 else "over 99 %" if p > 0.99 else f"{100 * p:.0f} %"
