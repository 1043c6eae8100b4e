"""What a yard's own earlier years teach: how its pollen runs through the year, beyond what weather tells.

Earlier notes and counts give, day by day, how far the land stood from the line that weather alone draws. Averaged
by day of year over the years, weighted by how much each day was known, this becomes the yard's habit: it is added to
the ground line, and what is left to doubt shrinks with the years (our assumption: to no less than half).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.forage.filter import DEFAULT_DRIFT, Drift, Track

Floats = npt.NDArray[np.float64]
YEAR_D: Final = 366
LEAST_NOTES: Final = 8
"""A year with fewer days noted teaches nothing of its course."""
SMOOTH_D: Final = 9.0
UNSURE: Final = 0.35
"""How many fully known years 'no habit at all' is worth."""
LEAST_SD: Final = 0.5


@dataclass(frozen=True)
class Habit:
    """Log departure by day of year, shape (367,), number of years behind it, and the spread left around it."""

    log: Floats
    years: int
    left_sd: float

    def at(self, days: Sequence[date]) -> Floats:
        """Departure on each day."""
        return np.asarray(self.log[[d.timetuple().tm_yday for d in days]])

    def drift(self, drift: Drift = DEFAULT_DRIFT) -> Drift:
        """The land state's drift around the habit."""
        return Drift(min(drift.log_sd, self.left_sd), drift.memory_d)


def habit(
    days: Sequence[date], track: Track, noted: npt.NDArray[np.bool_], drift: Drift = DEFAULT_DRIFT
) -> Habit | None:
    """The habit of a yard from an index over earlier years; None when no year has notes enough.

    :param days: days of that index.
    :param track: its land state.
    :param noted: days with a note or count.
    """
    prior = drift.log_sd**2
    year = np.array([d.year for d in days])
    j = np.array([d.timetuple().tm_yday for d in days])
    known = np.clip(1.0 - track.smooth_var / prior, 0.0, 1.0)
    total, weight = np.zeros(YEAR_D + 1), np.zeros(YEAR_D + 1)
    rows: list[tuple[Floats, Floats]] = []
    for y in np.unique(year):
        here = year == y
        if int(noted[here].sum()) < LEAST_NOTES:
            continue
        u, w = np.zeros(YEAR_D + 1), np.zeros(YEAR_D + 1)
        u[j[here]], w[j[here]] = track.smooth_mean[here], known[here]
        total += w * u
        weight += w
        rows.append((u, w))
    if not rows:
        return None
    every = np.arange(YEAR_D + 1)
    apart = np.abs((every[:, None] - every[None, :] + YEAR_D / 2) % YEAR_D - YEAR_D / 2)
    kernel = np.exp(-0.5 * (apart / SMOOTH_D) ** 2)
    kernel /= kernel.sum(axis=1, keepdims=True)
    log = (kernel @ total) / (kernel @ weight + UNSURE)
    gaps = sum(float((w * (u - log) ** 2).sum()) for u, w in rows)
    # what one year shows around the habit is a little less than what the next will; one year alone shows nothing of it
    n = len(rows)
    shown = np.sqrt(gaps / max(1e-9, float(weight.sum()))) * np.sqrt((n + 1.0) / max(1.0, n - 0.5))
    left = drift.log_sd if n < 2 else max(LEAST_SD, float(shown), drift.log_sd / np.sqrt(1.0 + n))
    return Habit(np.asarray(log), n, min(drift.log_sd, left))
