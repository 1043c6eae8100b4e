"""The standardised precipitation index: how unusual the rain of some weeks is for the place and season.

McKee, Doesken & Kleist 1993; gamma fit after Thom as in Edwards & McKee 1997 and WMO-No. 1090 (2012). Thirty years
are wanted; fewer give an index with its years said beside it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import isfinite, log, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.special import gammainc, ndtri

CLASSES: Final = (
    (-2.0, "extremely dry"), (-1.5, "severely dry"), (-1.0, "moderately dry"), (1.0, "near normal"),
    (1.5, "moderately wet"), (2.0, "severely wet"),
)  # fmt: skip
YEARS_WANTED: Final = 30
LEAST_YEARS: Final = 5


@dataclass(frozen=True)
class RainFit:
    """Share of totals that are nought, and the gamma of the others: shape, scale [mm]."""

    none: float
    shape: float
    scale_mm: float

    def index(self, total_mm: float) -> float:
        """The index of a total [mm]."""
        share = self.none
        if total_mm > 0.0:
            share += (1.0 - self.none) * float(gammainc(self.shape, total_mm / self.scale_mm))
        return float(ndtri(min(max(share, 1e-4), 1.0 - 1e-4)))


def fit(totals_mm: npt.ArrayLike) -> RainFit:
    """Fit totals of one season over the years [mm]; ValueError with fewer than four above nought or all alike."""
    x = np.asarray(totals_mm, dtype=np.float64)
    wet = x[x > 0.0]
    if wet.size < 4:
        raise ValueError(f"{wet.size} totals are above nought, wanted at least 4; bring more years of rain.")
    spread = log(float(wet.mean())) - float(np.log(wet).mean())
    if spread <= 0.0:
        raise ValueError("all totals are alike; bring more years of rain.")
    shape = (1.0 + sqrt(1.0 + 4.0 * spread / 3.0)) / (4.0 * spread)
    return RainFit(1.0 - wet.size / x.size, shape, float(wet.mean()) / shape)


def in_words(index: float) -> str:
    """The class of an index."""
    # a class holds its own lower end on the wet side and its upper end on the dry side
    for top, word in CLASSES:
        if index <= top if top < 0 else index < top:
            return word
    return "extremely wet"


def of_day(days: Sequence[date], rain_mm: npt.ArrayLike, day: date, width_d: int = 90) -> tuple[float, int] | None:
    """Index of the ``width_d`` days up to ``day`` against the same days of earlier years, and how many years there are.

    None with fewer than five earlier years (or too few with rain). rain_mm: [mm], NaN unknown; a window with over a
    tenth unknown does not count.
    """
    fell = dict(zip(days, np.asarray(rain_mm, dtype=np.float64).tolist(), strict=True))

    def total(end: date) -> float | None:
        window = [fell.get(end - timedelta(days=k), float("nan")) for k in range(width_d)]
        known = [v for v in window if isfinite(v)]
        return sum(known) * width_d / len(known) if len(known) >= 0.9 * width_d else None

    now = total(day)
    before = []
    for back in range(1, 200):
        leap = day.month == 2 and day.day == 29
        end = day.replace(year=day.year - back, day=28 if leap else day.day)
        if end < min(days, default=day):
            break
        got = total(end)
        if got is not None:
            before.append(got)
    if now is None or len(before) < LEAST_YEARS:
        return None
    try:
        return fit(before).index(now), len(before)
    except ValueError:
        return None


def chance(index: float) -> float:
    """Share of years drier than an index."""
    from scipy.special import ndtr

    return float(ndtr(index))


def magnitude(indices: npt.ArrayLike) -> float:
    """Magnitude of the drought running at the end: it starts at -1 or less and ends above 0 (McKee 1993)."""
    total, on = 0.0, False
    for i in np.asarray(indices, dtype=np.float64).tolist():
        if not on and i <= -1.0:
            on, total = True, 0.0
        if on and i > 0.0:
            on, total = False, 0.0
        if on:
            total -= i
    return total
