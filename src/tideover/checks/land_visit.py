"""Checks of heat and lifting for the visit, and of intervals of counts."""

from __future__ import annotations

from functools import partial
from typing import Final

from scipy.special import bdtr

from tideover.checks.base import AT_MOST, add, from_book
from tideover.forage import heat
from tideover.forage.intervals import clopper_pearson, garwood, wilson

# --- heat index and lifting

_WPC: Final = "US Weather Prediction Center heat index formula with both corrections, worked by hand (read)"
for temp, rh, value in (
    (70, 50, 69.53),
    (80, 40, 79.79),
    (84, 50, 85.13),
    (82, 90, 91.99),
    (85, 90, 101.78),
    (90, 50, 94.60),
    (90, 70, 105.92),
    (96, 50, 107.64),
    (95, 55, 108.95),
    (100, 40, 109.26),
    (100, 50, 118.32),
    (100, 10, 94.12),
    (110, 10, 104.39),
    (110, 40, 135.66),
):
    add(
        f"safety.heat_index_{temp}_{rh}",
        f"Heat index at {temp} F, {rh} %",
        partial(heat.heat_index_f, temp, rh),
        source=_WPC,
        kind="arithmetic",
        used_as_input=False,
        expected=value,
        tolerance=0.05,
        unit="degF",
    )
_CHART: Final = {
    (80, 40): 80,
    (84, 50): 85,
    (90, 50): 95,
    (96, 50): 108,
    (94, 55): 106,
    (96, 55): 112,
    (100, 40): 109,
    (100, 50): 118,
    (110, 40): 136,
}
add(
    "safety.heat_chart",
    "Largest miss of nine cells of the public chart",
    lambda: max(abs(heat.heat_index_f(t, r) - v) for (t, r), v in _CHART.items()),
    source="National Weather Service heat index chart, as copied (read)",
    kind="arithmetic",
    used_as_input=False,
    expected=0.51,
    tolerance=AT_MOST,
    unit="degF",
)
_BAND_NUMBER: Final = {"lower": 0.0, "moderate": 1.0, "high": 2.0, "very high to extreme": 3.0}


def _band(index_f: float) -> float:
    return _BAND_NUMBER[heat.osha_band(index_f)]


for index, band in ((94.6, "moderate"), (109.6, "high"), (116.0, "very high to extreme"), (88.0, "lower")):
    add(
        f"safety.osha_{index:g}",
        f"Work-site band of a heat index of {index:g} F is {band}",
        partial(_band, index),
        source="OSHA heat bands (read)",
        kind="arithmetic",
        used_as_input=True,
        expected=_BAND_NUMBER[band],
        tolerance=0.0,
        unit="band",
    )
from_book("safety.lift_limit_kg", lambda: heat.LIFT_LIMIT_KG, used_as_input=True, tolerance=0.2)
from_book(
    "safety.deep_ratio",
    lambda: heat.lift_ratio(sum(heat.BOX_KG["deep"]) / 2.0),
    used_as_input=False,
    expected=(1.57, 1.76),
    tolerance=0.02,
)

# --- intervals of counts


def _exact_pct(mites: int, side: int) -> float:
    return 100.0 * clopper_pearson(mites, 300)[side]


def _wilson(k: int, n: int, side: int) -> float:
    return wilson(k, n)[side]


def _garwood(k: int, side: int) -> float:
    return garwood(k)[side]


for mites, low, high in ((6, 0.74, 4.30), (9, 1.38, 5.62), (3, 0.21, 2.89), (0, 0.0, 1.22)):
    for side, value in ((0, low), (1, high)):
        add(
            f"mites.exact_{mites}_in_300_{('low', 'high')[side]}",
            f"Exact 95 % bound of {mites} mites in 300 bees",
            partial(_exact_pct, mites, side),
            source="Clopper & Pearson 1934, worked independently",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=0.02,
            unit="%",
        )
from_book("mites.zero_at_1pct_100", lambda: 0.99**100, used_as_input=False, tolerance=0.001)
from_book("mites.zero_at_1pct_300", lambda: 0.99**300, used_as_input=False, tolerance=0.001)
from_book("mites.miss_at_3pct", lambda: float(bdtr(5, 300, 0.03)), used_as_input=False, tolerance=0.002)
for k, n, low, high in (
    (15, 60, 0.1578, 0.3723),
    (3, 50, 0.0206, 0.1622),
    (0, 50, 0.0, 0.0713),
    (2, 20, 0.0279, 0.3010),
    (15, 100, 0.0931, 0.2328),
    (30, 100, 0.2189, 0.3958),
):
    for side, value in ((0, low), (1, high)):
        add(
            f"counts.wilson_{k}_{n}_{('low', 'high')[side]}",
            f"Wilson 95 % bound, {k} of {n}",
            partial(_wilson, k, n, side),
            source="Wilson 1927, worked independently",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=1e-3,
            unit="1",
        )
for k, low, high in (
    (0, 0.0, 3.689),
    (5, 1.623, 11.668),
    (10, 4.795, 18.390),
    (30, 20.241, 42.827),
    (75, 58.992, 94.013),
    (100, 81.364, 121.627),
):
    for side, value in ((0, low), (1, high)):
        add(
            f"counts.poisson_{k}_{('low', 'high')[side]}",
            f"Exact 95 % bound of a count of {k}",
            partial(_garwood, k, side),
            source="Garwood 1936, worked independently",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=0.01,
            unit="1",
        )
