"""A daily filter and smoother for the slow land state behind the yard index.

log index = ground line (weather) + u, with u an AR(1) that stands for everything weather does not tell:
crops, irrigation, the year's seed, our error in the ground line. Between notes this is the scalar
Kalman filter; a day with notes is updated on a grid and its mean and variance kept, which is exact for
normal notes and bounded for the rest. The smoother is Rauch-Tung-Striebel.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
GRID_POINTS: Final = 241


@dataclass(frozen=True)
class Drift:
    """The AR(1) land state: stationary log-sd and memory [d].

    Our assumption, wide on purpose: water that weather does not know (irrigation, a river, deep-rooted trees) makes
    a land several times richer than its rain, and heat alone is no proof of dearth. At 1.1 the 80 % band is a
    factor of four either way until somebody looks.
    """

    log_sd: float = 1.10
    memory_d: float = 40.0

    def __post_init__(self) -> None:
        """Both must be above zero."""
        if self.log_sd <= 0.0 or self.memory_d <= 0.0:
            raise ValueError("drift spread or memory is not above zero; give both above zero.")

    @property
    def keep(self) -> float:
        """Share of the state kept from one day to the next."""
        return exp(-1.0 / self.memory_d)

    @property
    def step_sd(self) -> float:
        """Sd of one day's change."""
        return self.log_sd * sqrt(1.0 - self.keep**2)


DEFAULT_DRIFT: Final = Drift()


@dataclass(frozen=True)
class Track:
    """Filtered and smoothed moments of u, each of shape (days,)."""

    filtered_mean: Floats
    filtered_var: Floats
    smooth_mean: Floats
    smooth_var: Floats


Likelihood = Callable[[Floats], Floats]


def _update(
    mean: float, var: float, ground: float, likelihood: Likelihood, low: float, high: float
) -> tuple[float, float]:
    """Moments of u after a day's notes; the grid spans both the forecast and the range of the notes."""
    sd = sqrt(var)
    u = np.linspace(min(mean - 6.0 * sd, low - ground), max(mean + 6.0 * sd, high - ground), GRID_POINTS)
    # small sds need their own resolution
    if (u[1] - u[0]) > sd / 4.0:
        u = np.linspace(u[0], u[-1], int((u[-1] - u[0]) / (sd / 4.0)) + 1)
    weight = np.exp(-0.5 * ((u - mean) / sd) ** 2) * likelihood(u + ground)
    total = weight.sum()
    if not np.isfinite(total) or total <= 0.0:
        return mean, var
    new_mean = float((weight * u).sum() / total)
    return new_mean, max(1e-6, float((weight * (u - new_mean) ** 2).sum() / total))


def run(
    ground: Floats,
    likelihoods: Mapping[int, Likelihood],
    extra_sd: Floats | None = None,
    drift: Drift = DEFAULT_DRIFT,
    span: tuple[float, float] = (-6.0, 2.0),
) -> Track:
    """Filter and smooth over ``ground`` (days,).

    likelihoods: day number -> likelihood of that day's notes over log-index values.
    extra_sd: more daily movement of u where weather was not measured, shape (days,).
    span: log-index range that the notes' likelihoods need on the grid.
    """
    n = ground.size
    keep, step_var = drift.keep, drift.step_sd**2
    more = np.zeros(n) if extra_sd is None else np.asarray(extra_sd, dtype=np.float64) ** 2
    fm, fv, pm, pv = np.empty(n), np.empty(n), np.empty(n), np.empty(n)
    mean, var = 0.0, drift.log_sd**2
    for d in range(n):
        if d:
            mean, var = keep * mean, keep**2 * var + step_var + more[d]
        pm[d], pv[d] = mean, var
        if d in likelihoods:
            mean, var = _update(mean, var, float(ground[d]), likelihoods[d], *span)
        fm[d], fv[d] = mean, var
    sm, sv = fm.copy(), fv.copy()
    for d in range(n - 2, -1, -1):
        gain = fv[d] * keep / pv[d + 1]
        sm[d] = fm[d] + gain * (sm[d + 1] - pm[d + 1])
        sv[d] = fv[d] + gain**2 * (sv[d + 1] - pv[d + 1])
    return Track(fm, fv, sm, np.maximum(sv, 1e-6))


def sample_paths(
    track: Track, n: int, rng: np.random.Generator, drift: Drift = DEFAULT_DRIFT, extra_sd: Floats | None = None
) -> Floats:
    """Draw ``n`` whole paths of u given all notes, shape (n, days), by backward sampling."""
    days = track.filtered_mean.size
    keep, step_var = drift.keep, drift.step_sd**2
    more = np.zeros(days) if extra_sd is None else np.asarray(extra_sd, dtype=np.float64) ** 2
    noise = rng.standard_normal((days, n))
    out = np.empty((days, n))
    out[-1] = track.filtered_mean[-1] + np.sqrt(track.filtered_var[-1]) * noise[-1]
    for d in range(days - 2, -1, -1):
        m, v = track.filtered_mean[d], track.filtered_var[d]
        ahead = keep**2 * v + step_var + more[d + 1]
        gain = v * keep / ahead
        out[d] = m + gain * (out[d + 1] - keep * m) + np.sqrt(max(0.0, v - gain**2 * ahead)) * noise[d]
    return np.ascontiguousarray(out.T)
