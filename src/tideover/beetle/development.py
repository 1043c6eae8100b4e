"""Degree-day laws of small hive beetle stages.

A stage ends when the sum of max(0, T - T0) reaches K. T0 are the published minimum
temperatures of Meikle & Patt 2011 (J. Econ. Entomol.); K follows from their two published
ends, 21 C and 35 C, and the smaller (earlier) of the two is used. The two K of a stage differ
by 3-7 %, so the straight line holds from 21 to 35 C. Above 35 C there are no data and more
die: the rate is held at its 35 C value. Below about 19 C the soil law is too fast.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import inf, sqrt
from typing import Final

from tideover.figures import book

_figure = book().value
RATE_HELD_ABOVE_C: Final = _figure("beetle.rate_cap_c")


@dataclass(frozen=True)
class Stage:
    """One stage: threshold ``t0_c`` [C], early ``k_early`` and late ``k_late`` degree-days [C d]."""

    name: str
    t0_c: float
    k_early: float
    k_late: float

    def rate_per_day(self, temp_c: float, late: bool = False) -> float:
        """Share of the stage passed in one day at ``temp_c`` [C]; zero at or below the threshold."""
        effective = min(temp_c, RATE_HELD_ABOVE_C) - self.t0_c
        if effective <= 0.0:
            return 0.0
        return effective / (self.k_late if late else self.k_early)

    def days(self, temp_c: float, late: bool = False) -> float:
        """Days the stage takes at a constant ``temp_c`` [C]; infinite where nothing develops."""
        rate = self.rate_per_day(temp_c, late)
        return 1.0 / rate if rate > 0.0 else inf


def _stage(name: str, t0_c: float, cool_days: float, warm_days: float) -> Stage:
    """A stage from its published ends at 21 and 35 C; the smaller heat sum is the early one."""
    sums = sorted(((21.0 - t0_c) * cool_days, (35.0 - t0_c) * warm_days))
    return Stage(name, t0_c, sums[0], sums[1])


EGG: Final = _stage(
    "egg", _figure("beetle.egg_base_c"), _figure("beetle.egg_h_21") / 24.0, _figure("beetle.egg_h_35") / 24.0
)
LARVA: Final = _stage(
    "larva to peak weight", _figure("beetle.larva_base_c"), _figure("beetle.larva_d_21"), _figure("beetle.larva_d_35")
)
SOIL: Final = _stage(
    "soil to adult", _figure("beetle.larva_base_c"), _figure("beetle.soil_d_21"), _figure("beetle.soil_d_35")
)

SLOW_EGG_HOURS: Final[Sequence[tuple[float, float]]] = (
    (26.0, _figure("beetle.egg_h_26_slow")),
    (34.0, _figure("beetle.egg_h_34_slow")),
)
"""The slow published egg times: 3 d at 24-28 C, 2 d at 34 C, read to the day (de Guzman & Frake 2007)."""

HATCH_NONE_RH_PCT: Final = _figure("beetle.no_hatch_rh_pct")
"""No egg hatches at or below this humidity at 30 C (government pest page, after Annand 2011)."""
HATCH_FULL_RH_PCT: Final = 50.0
"""Hatch is hindered below this (USDA, about 2001, quoted); hives hold 50-80 %."""

SOIL_T0_COOL_C: Final = 11.87
SOIL_K_COOL: Final = 306.2
"""Line through the midpoints of Bernier et al. 2014 at 16, 18, 20 C, for cool soil."""


def slow_egg_days(temp_c: float) -> float:
    """Egg time by the slow published figures [d], straight between 26 and 34 C.

    Outside that range the fast law is scaled by the ratio at the nearer end.
    """
    (t_lo, h_lo), (t_hi, h_hi) = SLOW_EGG_HOURS
    if temp_c <= t_lo:
        return EGG.days(temp_c) * (h_lo / 24.0) / EGG.days(t_lo)
    if temp_c >= t_hi:
        return EGG.days(temp_c) * (h_hi / 24.0) / EGG.days(t_hi)
    return (h_lo + (h_hi - h_lo) * (temp_c - t_lo) / (t_hi - t_lo)) / 24.0


def hatch_share(humidity_pct: float) -> float:
    """Share of eggs that can hatch at a relative humidity [%]: none at 34, all from 50, straight between."""
    if not 0.0 <= humidity_pct <= 100.0:
        raise ValueError(f"humidity is {humidity_pct} %, wanted 0 to 100; give relative humidity in percent.")
    share = (humidity_pct - HATCH_NONE_RH_PCT) / (HATCH_FULL_RH_PCT - HATCH_NONE_RH_PCT)
    return min(1.0, max(0.0, share))


def soil_days_cool(temp_c: float) -> float:
    """Soil stage in cool soil, 16-20 C [d], by the Bernier line."""
    effective = temp_c - SOIL_T0_COOL_C
    return SOIL_K_COOL / effective if effective > 0.0 else inf


def briere_optimum_c(t0_c: float, upper_c: float) -> float:
    """Temperature of fastest development of the Briere-1 curve [C].

    From r = a T (T - T0) sqrt(TL - T); setting dr/dT to zero gives a quadratic in T.
    """
    return (4 * upper_c + 3 * t0_c + sqrt(16 * upper_c**2 + 9 * t0_c**2 - 16 * t0_c * upper_c)) / 10.0


def degree_days(temp_c: float, days: float, base_c: float) -> float:
    """Degree-days above ``base_c`` of a constant temperature held for ``days``."""
    return max(0.0, temp_c - base_c) * days
