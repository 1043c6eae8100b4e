"""How far trials of one thing differ from one another, beyond what each one's own spread explains."""

from __future__ import annotations

from dataclasses import dataclass
from math import log, sqrt
from typing import Final

import numpy as np
from numpy.typing import ArrayLike
from scipy import stats

from tideover.figures import book

INTAKE_ROWS: Final = ("feeding.intake_pollen_mg_per_bee", "feeding.intake_nuclei_mg_per_bee")
"""What two laboratories saw eaten of pollen feed as the only protein: both stand behind the prior of appetite."""
EIGHT_OF_TEN: Final = 2.0 * stats.norm.ppf(0.9)
"""Standard deviations from the low to the high end of a row, which hold eight of ten."""


@dataclass(frozen=True)
class Between:
    """Heterogeneity of some trials: ``sd`` between them, with the ends of its 95 % interval, and Cochran's Q."""

    sd: float
    low: float
    high: float
    q: float
    trials: int


def between(values: ArrayLike, variances: ArrayLike) -> Between:
    """Spread between trials by the method of moments (DerSimonian & Laird 1986, Controlled Clinical Trials 7:177-188).

    :param values: what each trial saw, on a scale on which spreads add (logarithms of ratios or amounts), two or more.
    :param variances: each one's own variance, above nothing.
    :returns: the spread, with an interval that takes Q over its mean for a chi-square over its degrees of freedom
        (our simple form; exact where all variances are alike): wide where trials are few.
    :raises ValueError: if there are fewer than two trials or a variance is not above nothing.
    """
    y, v = np.asarray(values, float), np.asarray(variances, float)
    if y.size < 2 or y.shape != v.shape or not (v > 0.0).all():
        raise ValueError(f"{y.size} trials with variances {v.tolist()}; wanted two or more, each above nothing.")
    w = 1.0 / v
    mean = (w @ y) / w.sum()
    q = float(w @ (y - mean) ** 2)
    freedom = y.size - 1
    scale = float(w.sum() - (w @ w) / w.sum())

    def sd(of: float) -> float:
        return sqrt(max(0.0, (of - freedom) / scale))

    # Q is about its mean times a chi-square: the mean grows with the spread.
    low, high = (q * freedom / stats.chi2.ppf(p, freedom) for p in (0.975, 0.025))
    return Between(sd(q), sd(low), sd(high), q, int(y.size))


def intake_between() -> Between:
    """Between laboratories, of the logarithm of pollen feed eaten per bee, from the trials that informed the prior."""
    rows = [book().row(key) for key in INTAKE_ROWS]
    ends = [(r.low, r.high) for r in rows]
    sds = [log(float(high) / float(low)) / EIGHT_OF_TEN for low, high in ends if low and high]
    return between([log(r.number) for r in rows], [sd**2 for sd in sds])
