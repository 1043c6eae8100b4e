"""The usual weather of a place: a yearly wave from latitude and elevation, bent by what was measured.

The prior is deliberately loose (our assumption, a smooth fit of zonal means): it stands in only
until measured days take over by a Bayesian regression, and its remaining doubt goes into
the futures. No month is a constant; the wave is on day of year and turns over south of the equator.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book

Floats = npt.NDArray[np.float64]
YEAR_D: Final = 365.25
LAPSE_C_PER_M: Final = 0.0065
WARMEST_LAG_D: Final = 30.0
"""Days from the longest day to the warmest (our assumption)."""
MEMORY: Final = 0.70
"""Day-to-day memory of temperature anomalies (our assumption; daily AR(1) of mid-latitude stations is 0.6-0.8)."""
RAIN_PRIOR_MM_YEAR: Final = 700.0
RAIN_PRIOR_LOG_SD: Final = 0.6
WET_DAY_MM: Final = 7.5
"""Mean rain of a wet day where nothing is known [mm]."""
WET_AFTER_WET: Final = 1.8
"""How much likelier rain is the day after rain (our assumption)."""


def _waves(j: npt.ArrayLike) -> Floats:
    angle = 2.0 * np.pi * np.asarray(j, dtype=np.float64) / YEAR_D
    return np.stack([np.ones_like(angle), np.cos(angle), np.sin(angle)], axis=-1)


def _prior(latitude_deg: float, elevation_m: float) -> tuple[Floats, Floats, Floats, Floats]:
    """Prior coefficients (constant, cos, sin) and sds for the mean temperature and the daily range."""
    lat = abs(latitude_deg)
    mean = 27.5 - 0.0065 * lat**2 - LAPSE_C_PER_M * elevation_m
    swing = min(15.0, 1.0 + 0.30 * lat)
    longest = 172.0 if latitude_deg >= 0.0 else 355.0
    phase = 2.0 * np.pi * (longest + WARMEST_LAG_D) / YEAR_D
    mean_prior = np.array([mean, swing * np.cos(phase), swing * np.sin(phase)])
    range_prior = np.array([11.5, 1.5 * np.cos(phase), 1.5 * np.sin(phase)])
    return mean_prior, np.array([4.0, 3.5, 3.0]), range_prior, np.array([3.0, 1.5, 1.5])


@dataclass(frozen=True)
class Wave:
    """A yearly wave: coefficients, their covariance, residual sd [C]."""

    beta: Floats
    cov: Floats
    residual: float

    def at(self, j: npt.ArrayLike) -> Floats:
        """Expected value on day ``j``."""
        return np.asarray(_waves(j) @ self.beta)

    def drawn(self, j: npt.ArrayLike, n: int, rng: np.random.Generator) -> Floats:
        """``n`` waves with coefficients drawn from what is not known of them, shape (n, days)."""
        root = np.linalg.cholesky(self.cov + 1e-12 * np.eye(3))
        betas = self.beta + rng.standard_normal((n, 3)) @ root.T
        return np.asarray(betas @ _waves(j).T)


def _fit(j: Floats, y: Floats, prior: Floats, sd: Floats, residual: float) -> Wave:
    precision = np.diag(1.0 / sd**2)
    if y.size == 0:
        return Wave(prior, np.diag(sd**2), residual)
    x = _waves(j)
    # daily anomalies remember: n days carry as much as n (1 - r) / (1 + r) independent ones
    thin = (1.0 - MEMORY) / (1.0 + MEMORY)
    for _ in range(2):
        a = precision + thin / residual**2 * x.T @ x
        beta = np.linalg.solve(a, precision @ prior + thin / residual**2 * x.T @ y)
        left = y - x @ beta
        # two prior residual degrees of freedom keep a short season from looking too sure
        residual = float(np.sqrt((left @ left + 10.0 * residual**2) / (y.size + 10.0)))
    return Wave(np.asarray(beta, dtype=np.float64), np.asarray(np.linalg.inv(a), dtype=np.float64), residual)


@dataclass(frozen=True)
class TypicalYear:
    """A typical year at the yard's height: coefficients (constant, cos, sin) of the daily mean and range [C]."""

    mean: tuple[float, float, float]
    span: tuple[float, float, float]


_SHELF: Final = book()
_MEAN_WAVE: Final = _SHELF.value("lookout.typical_mean_wave_c")
_SPAN_WAVE: Final = _SHELF.value("lookout.typical_span_wave_c")
TYPICAL_MEAN_SD: Final = (_SHELF.value("lookout.typical_mean_c"), _MEAN_WAVE, _MEAN_WAVE)
TYPICAL_SPAN_SD: Final = (_SHELF.value("lookout.typical_span_c"), _SPAN_WAVE, _SPAN_WAVE)
"""How far the yard may lie from a typical year of a station near it [C], as parts of a yearly wave."""
TYPICAL_LEAST_D: Final = int(_SHELF.value("lookout.typical_least_d"))


def typical_year(j: npt.ArrayLike, temp_max: npt.ArrayLike, temp_min: npt.ArrayLike) -> TypicalYear:
    """Fit the yearly waves of a typical year by least squares; ValueError with fewer than 300 days.

    j: day of year; temperatures [C], already brought to the yard's height.
    """
    hi, lo = np.asarray(temp_max, dtype=np.float64), np.asarray(temp_min, dtype=np.float64)
    if hi.size < TYPICAL_LEAST_D:
        raise ValueError(f"a typical year has {hi.size} days with both temperatures, wanted {TYPICAL_LEAST_D} or more.")
    waves = _waves(j)
    (a, b, c), (d, e, f) = (np.linalg.lstsq(waves, y, rcond=None)[0].tolist() for y in ((hi + lo) / 2.0, hi - lo))
    return TypicalYear((a, b, c), (d, e, f))


@dataclass(frozen=True)
class Climate:
    """The usual weather of a place: waves of the daily mean and range, and yearly rain."""

    mean: Wave
    span: Wave
    annual_rain_mm: float
    annual_rain_log_sd: float
    wet_day_mm: float
    rests_on: str = "the latitude and elevation"

    def usual_max(self, j: npt.ArrayLike) -> Floats:
        """Usual daily high [C]."""
        return np.asarray(self.mean.at(j) + np.maximum(2.0, self.span.at(j)) / 2.0)

    def usual_min(self, j: npt.ArrayLike) -> Floats:
        """Usual daily low [C]."""
        return np.asarray(self.mean.at(j) - np.maximum(2.0, self.span.at(j)) / 2.0)


def climate(
    latitude_deg: float,
    elevation_m: float,
    j: npt.ArrayLike = (),
    temp_max: npt.ArrayLike = (),
    temp_min: npt.ArrayLike = (),
    rain: npt.ArrayLike = (),
    typical: TypicalYear | None = None,
) -> Climate:
    """Estimate the usual weather from the place and measured days (any number, none is fine).

    j: day of year of each measured day; temperatures [C]; rain [mm]. typical: a typical year near the place, which
    then stands for latitude and elevation until measured days take over; its rain is not known.
    """
    days = np.asarray(j, dtype=np.float64)
    hi, lo = np.asarray(temp_max, dtype=np.float64), np.asarray(temp_min, dtype=np.float64)
    fell = np.asarray(rain, dtype=np.float64)
    mean_prior, mean_sd, span_prior, span_sd = _prior(latitude_deg, elevation_m)
    if typical is not None:
        mean_prior, mean_sd = np.array(typical.mean), np.array(TYPICAL_MEAN_SD)
        span_prior, span_sd = np.array(typical.span), np.array(TYPICAL_SPAN_SD)
    mean = _fit(days, (hi + lo) / 2.0, mean_prior, mean_sd, 3.0)
    span = _fit(days, hi - lo, span_prior, span_sd, 3.0)
    # The share of a year seen says how far measured rain may speak for the year; the prior
    # counts as one year, and a part-year speaks less because seasons differ.
    years = fell.size / YEAR_D
    trust = years**2 / (years**2 + 0.35) if fell.size else 0.0
    seen = max(30.0, float(fell.sum()) / years) if fell.size else RAIN_PRIOR_MM_YEAR
    annual = float(np.exp((1.0 - trust) * np.log(RAIN_PRIOR_MM_YEAR) + trust * np.log(seen)))
    log_sd = float(np.hypot(RAIN_PRIOR_LOG_SD * (1.0 - trust), 0.25))
    wet = fell[fell > 0.5]
    wet_mm = float((wet.sum() + 10.0 * WET_DAY_MM) / (wet.size + 10.0)) if fell.size else WET_DAY_MM
    rests_on = "the latitude and elevation" if typical is None else "a typical year near the place"
    return Climate(mean, span, annual, log_sd, wet_mm, rests_on)
