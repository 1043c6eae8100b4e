"""Checks of degree days, the standardised precipitation index and radiation units."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Final

from tideover.checks.base import add
from tideover.forage import degree_days as dd
from tideover.forage import standard_rain as rain

_SINE: Final = "Baskerville & Emin 1969 single sine, by hand"
_MET: Final = "Met Eireann degree-day note, four cases (read), by hand"
_THOM: Final = "Thom's gamma fit as in Edwards & McKee 1997, a sample of 30 by hand"
_TOTALS: Final = (
    12, 30, 5, 48, 60, 22, 75, 18, 9, 40, 33, 27, 55, 14, 66, 21, 38, 90, 11, 45, 29, 17, 52, 36, 8, 70, 25, 19, 43, 31,
)  # fmt: skip


def _add(
    key: str, says: str, measure: Callable[[], float], expected: float, tolerance: float, unit: str, source: str
) -> None:
    add(key, says, measure, source=source, kind="arithmetic", used_as_input=False, expected=expected,
        tolerance=tolerance, unit=unit)  # fmt: skip


for number, (hi, lo, base, expected) in enumerate(((70, 40, 50, 7.5424), (30, 10, 15, 6.0900), (20, 6, 15, 1.3197)), 1):
    _add(f"season.sine_{number}", f"Degree days of a day {hi}/{lo} above {base}",
         partial(lambda h, low, b: float(dd.single_sine(h, low, b)), hi, lo, base), expected, 1e-3, "degree days",
         _SINE)  # fmt: skip
_add("season.sine_cutoff", "Degree days of a day 90/60 between 50 and 86",
     lambda: float(dd.single_sine(90.0, 60.0, 50.0, 86.0)), 24.3715, 1e-3, "degree days", _SINE)  # fmt: skip
for number, (hi, lo, base, expected) in enumerate(((30, 10, 15, 6.25), (20, 6, 15, 1.25)), 1):
    _add(f"season.four_cases_{number}", f"Degree days of a day {hi}/{lo} above {base}, four cases",
         partial(lambda h, low, b: float(dd.four_cases(h, low, b)), hi, lo, base), expected, 1e-9, "degree days",
         _MET)  # fmt: skip
_add(
    "season.spi_shape", "Gamma shape of thirty rain totals", lambda: rain.fit(_TOTALS).shape, 2.446397, 1e-5, "1", _THOM
)
_add(
    "season.spi_scale",
    "Gamma scale of thirty rain totals",
    lambda: rain.fit(_TOTALS).scale_mm,
    14.293128,
    1e-5,
    "mm",
    _THOM,
)
for total, expected in ((5, -2.0724), (10, -1.3918), (30, -0.0164), (60, 1.1326), (90, 1.9493)):
    _add(f"season.spi_{total:02d}", f"Standardised rain of {total} mm",
         partial(lambda t: rain.fit(_TOTALS).index(t), total),
         expected, 1e-3, "sd", _THOM)  # fmt: skip


def _with_noughts(total: float) -> float:
    """The same fit with a tenth of totals nought."""
    fitted = rain.fit(_TOTALS)
    return rain.RainFit(0.1, fitted.shape, fitted.scale_mm).index(total)


for total, expected in ((0, -1.2816), (5, -1.1891)):
    _add(f"season.spi_noughts_{total}", f"Standardised rain of {total} mm where a tenth of totals is nought",
         partial(_with_noughts, total), expected, 1e-3, "sd", _THOM)  # fmt: skip
for index, expected in ((-2.0, 0.0228), (-1.5, 0.0668), (-1.0, 0.1587)):
    _add(f"season.spi_chance_{-index:.1f}", f"Share of years drier than {index}", partial(rain.chance, index), expected,
         1e-4, "1", "published table of cumulative probabilities of the index (read)")  # fmt: skip
