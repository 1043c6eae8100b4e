"""A minute at the entrance turned into grams of pollen a day, with an interval.

The rate counted is brought from its hour to the whole day by the same hour weights that the index uses (temperature,
light, flowers emptying), times the mass of a pair of pellets. The interval holds the count's own chance (Poisson
with Jeffreys' prior), clumps in the traffic, the doubt of the hour weights and of the load.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from tideover.figures import book
from tideover.forage.intervals import wilson
from tideover.forage.notes import LOAD_G, CountNote, pollen_hour_weight

CLUMP_SD: Final = 0.35
"""Log-sd of the traffic from minute to minute beyond chance; falls with the root of minutes (our assumption)."""
HOUR_SD: Final = (0.25, 0.9)
"""Log-sd of the hour's weight at its best, and more when the hour is a poor one (our assumption)."""
LEAST_WEIGHT: Final = 0.08
"""Below this share of the day's best hour a count says little of the day."""
DRAWS: Final = 6000
SHARE_LOW: Final = 0.10
"""Share with pollen below which, with brood present, little is coming in (from memory)."""


@dataclass(frozen=True)
class DayPollen:
    """Grams a day: low, median, high (80 %); share with pollen and its 95 % interval; how good the hour was, 0-1."""

    grams: tuple[float, float, float]
    share: tuple[float, float, float] | None
    hour_weight: float
    words: str


def _load_sd() -> float:
    row = book().row("protein.load_mg")
    if row.low is not None and row.high is not None and row.value:
        return float(np.log(row.high / row.low) / 3.29)
    return 0.15


def grams_per_day(
    note: CountNote, latitude_deg: float, temp_max_c: float, temp_min_c: float, seed: int = 1
) -> DayPollen:
    """Grams of pollen that a hive brings in on the day of a count.

    :param note: hours by the sun (noon is 12).
    :param latitude_deg: south negative.
    :param temp_max_c: the day's high [C]; ``temp_min_c`` its low.
    """
    here = pollen_hour_weight(note, latitude_deg, temp_max_c, temp_min_c)
    hours = np.arange(0.25, 24.0, 0.5)
    plain = replace(note, shade_temp_c=None)
    weights = [pollen_hour_weight(replace(plain, hour=float(h)), latitude_deg, temp_max_c, temp_min_c) for h in hours]
    day_h, best = 0.5 * float(np.sum(weights)), max(weights)
    fit = here / best if best > 0.0 else 0.0
    rng = np.random.default_rng(seed)
    rate = rng.gamma(note.with_pollen + 0.5, 1.0, DRAWS) / note.minutes
    sd = np.hypot(CLUMP_SD / np.sqrt(note.minutes), HOUR_SD[0] + HOUR_SD[1] * (1.0 - min(1.0, fit)))
    sd = float(np.hypot(sd, _load_sd()))
    day = rate * 60.0 * day_h / max(here, LEAST_WEIGHT * max(best, 1e-6), 1e-6) * LOAD_G
    low, mid, high = (float(v) for v in np.quantile(day * np.exp(sd * rng.standard_normal(DRAWS)), [0.1, 0.5, 0.9]))
    share = None
    if note.bees_in > 0:
        a, b = wilson(note.with_pollen, note.bees_in)
        share = (a, note.with_pollen / note.bees_in, b)
    if best <= 0.0 or fit < LEAST_WEIGHT:
        words = "At this hour and heat bees fetch hardly any pollen whatever is in flower: count again in the morning."
        return DayPollen((0.0 if best <= 0.0 else low, mid if best > 0.0 else 0.0, high), share, fit, words)
    words = f"About {mid:.0f} g of pollen a day ({low:.0f} to {high:.0f})"
    words += "." if fit >= 0.5 else "; not the best hour for it, so the range is wide."
    if share is not None and share[2] < SHARE_LOW:
        words += " Under a tenth of the bees carry pollen: little is coming in."
    return DayPollen((low, mid, high), share, fit, words)
