"""Bloom notes and entrance counts as evidence on the log of the yard index.

Words are distributions, not points, and every likelihood has a small wrong-entry part, so that one
absurd note has bounded influence. Counts scatter more than chance, count for less when taken outside the yard's
pollen hours, and are divided by the foragers that an assumed colony would have. That scatter is log-normal about the
middle: a gamma of the same spread lies mostly below its mean, and read the land half as rich again as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import log
from types import MappingProxyType
from typing import Final

import numpy as np
import numpy.typing as npt
from scipy.special import logsumexp, ndtr

from tideover.figures import book
from tideover.forage.hours import FINE_DAY_POLLEN_H, fit_for_pollen, temp_at
from tideover.forage.sun import day_of_year, daylength_h, sine_of_elevation

Floats = npt.NDArray[np.float64]

_SHELF: Final = book()
FINE_DAY_G: Final = _SHELF.value("protein.income_good_g_per_day")
"""Pollen a standard colony brings on a fine day at index 1.0 [g] (published good flow 150-300 g/day)."""
STANDARD_ADULTS: Final = _SHELF.value("reading.standard_adults")
LOAD_G: Final = _SHELF.value("protein.load_mg") / 1000.0
"""A pair of pellets [g] (Park; Parker 1926: 14-15 mg)."""
RETURNS_PER_MIN_AT_ONE: Final = FINE_DAY_G / (LOAD_G * 60.0 * FINE_DAY_POLLEN_H)
"""Pollen returns a minute of a standard colony at index 1.0 (about 30)."""

WRONG_ENTRY: Final = _SHELF.value("reading.note_wrong")
LOWEST_LOG: Final = log(_SHELF.value("reading.index_least"))
HIGHEST_LOG: Final = log(_SHELF.value("reading.index_most"))


@dataclass(frozen=True)
class BloomWord:
    """Index behind a bloom word: median and log-sd (our assumption)."""

    median: float
    log_sd: float


BLOOM_WORDS: Final = MappingProxyType(
    {
        word: BloomWord(_SHELF.value(f"reading.bloom_{word}"), _SHELF.value(f"reading.bloom_{word}_log_sd"))
        for word in ("none", "few", "some", "abundant")
    }
)
"""The same words as the books', in order of rising amount."""


@dataclass(frozen=True)
class BloomNote:
    """How much is in flower: day, word, and which plant (empty: overall)."""

    day: date
    bloom: str
    plant: str = ""

    def __post_init__(self) -> None:
        """Only the known words."""
        if self.bloom not in BLOOM_WORDS:
            raise ValueError(f"bloom is {self.bloom!r}, wanted one of {', '.join(BLOOM_WORDS)}.")


@dataclass(frozen=True)
class CountNote:
    """Returning bees counted at one entrance: local sun hour, shade [C], minutes, bees in, of these with pollen.

    ``adults`` is a guess at the colony's bees if there is one.
    """

    day: date
    hour: float
    shade_temp_c: float | None
    minutes: float
    bees_in: int
    with_pollen: int
    adults: float | None = None

    def __post_init__(self) -> None:
        """Keep counts possible."""
        if not 0 <= self.with_pollen <= self.bees_in:
            raise ValueError(f"with pollen is {self.with_pollen} of {self.bees_in} bees; wanted no more than came in.")
        if not 0.0 < self.minutes <= 240.0:
            raise ValueError(f"minutes watched is {self.minutes}, wanted above 0 and at most 240.")
        if not 0.0 <= self.hour < 24.0:
            raise ValueError(f"hour is {self.hour}, wanted 0 up to 24.")
        if self.adults is not None and not 0.0 < self.adults <= 150_000.0:
            raise ValueError(f"adults is {self.adults}, wanted above 0 and at most 150000; leave it out if unknown.")


@dataclass(frozen=True)
class CountRules:
    """How a count is read; each value's reason and source stand in its row ``reading.*``, and each may be set."""

    colony_log_sd: float = _SHELF.value("reading.count_colony_log_sd")
    adults_unknown_log_sd: float = _SHELF.value("reading.count_adults_unknown_log_sd")
    outside_log_sd: float = _SHELF.value("reading.count_outside_log_sd")
    share_at_one: float = _SHELF.value("reading.count_share_at_one")
    share_power: float = _SHELF.value("reading.count_share_power")
    share_logit_sd: float = _SHELF.value("reading.count_share_logit_sd")
    rate_weight: float = _SHELF.value("reading.count_rate_weight")
    """Of the rate against the share."""
    same_day_correlation: float = _SHELF.value("reading.count_same_day")
    flowers_full_to_h: float = _SHELF.value("reading.flowers_full_to_h")
    flowers_empty_h: float = _SHELF.value("reading.flowers_empty_h")


DEFAULT_COUNT_RULES: Final = CountRules()
PLANT_SHARE: Final = _SHELF.value("reading.plant_share")
PLANT_BLUR: Final = _SHELF.value("reading.plant_blur")
FULL_LIGHT_SINE: Final = _SHELF.value("reading.light_full_sine")
LEAST_FIT: Final = _SHELF.value("reading.count_fit_least")
LEAST_SHARE: Final = _SHELF.value("reading.count_share_least")
MOST_SHARE: Final = _SHELF.value("reading.count_share_most")
_GRID: Final = (0.25, 0.7, 5.0)
"""Points of a normal scatter: widest step, step over a count's own width, reach, in standard deviations."""


def pollen_hour_weight(
    note: CountNote, latitude_deg: float, temp_max_c: float, temp_min_c: float, rules: CountRules = DEFAULT_COUNT_RULES
) -> float:
    """How much of the peak rate a count at that hour can show, 0-1.

    Temperature fit (shade reading if made, else the day's sine) x light x a morning that
    empties flowers as the day goes on.
    """
    j = day_of_year(note.day)
    length = float(daylength_h(latitude_deg, j))
    temp = note.shade_temp_c
    if temp is None:
        temp = float(temp_at(temp_max_c, temp_min_c, length, note.hour))
    light = float(np.clip(sine_of_elevation(latitude_deg, j, note.hour) / FULL_LIGHT_SINE, 0.0, 1.0))
    since = max(0.0, note.hour - rules.flowers_full_to_h)
    return float(fit_for_pollen(temp)) * light * float(np.exp(-since / rules.flowers_empty_h))


def bloom_likelihood(note: BloomNote, x: Floats) -> Floats:
    """Likelihood of a bloom note over log-index values ``x``.

    An overall note speaks both ways. A note on one plant only says that there is at least that
    plant's share: little of one plant is no proof of dearth.
    """
    word = BLOOM_WORDS[note.bloom]
    if note.plant.strip():
        like = ndtr((x - log(PLANT_SHARE * word.median)) / (PLANT_BLUR * word.log_sd))
        return np.asarray(WRONG_ENTRY + (1.0 - WRONG_ENTRY) * like)
    z = (x - log(word.median)) / word.log_sd
    return _guard(np.exp(-0.5 * z**2), x)


def _scatter(sd: float, count: int) -> tuple[Floats, Floats]:
    """Normal scatter of the log of a count as a column of points and their log weights.

    An even grid, finer than the count's own Poisson width: Gauss-Hermite points would miss large counts between them.
    """
    widest, of_own, reach = _GRID
    step = min(widest, of_own / (sd * (count + 1.0) ** 0.5))
    z = np.arange(-reach, reach + step, step)[:, None]
    return sd * z, np.asarray(-0.5 * z**2 - np.log(np.exp(-0.5 * z**2).sum()))


def count_log_likelihood(note: CountNote, x: Floats, weight: float, rules: CountRules = DEFAULT_COUNT_RULES) -> Floats:
    """Log-likelihood of one count over log-index values ``x``; ``weight`` from ``pollen_hour_weight``.

    Two readings of the same bees, the rate per minute and the share with pollen, are pooled with weights
    that sum to one, so that no bee is counted twice.
    """
    fit = max(weight, LEAST_FIT)
    outside = rules.outside_log_sd * (1.0 - fit)
    adults = note.adults if note.adults is not None else STANDARD_ADULTS
    doubt = np.hypot(rules.colony_log_sd, outside)
    if note.adults is None:
        doubt = np.hypot(doubt, rules.adults_unknown_log_sd)
    p, n = note.with_pollen, note.bees_in
    log_mean = log(RETURNS_PER_MIN_AT_ONE * note.minutes * fit * adults / STANDARD_ADULTS) + x
    scatter, log_weights = _scatter(float(doubt), p)
    at = log_mean + scatter
    rate = logsumexp(log_weights + p * at - np.exp(at), axis=0)
    # a count outside the pollen hours shows a lower share whatever the land gives
    share = np.clip(rules.share_at_one * np.exp(rules.share_power * x) * fit**0.5, LEAST_SHARE, MOST_SHARE)
    scatter, log_weights = _scatter(float(np.hypot(rules.share_logit_sd, outside)), n)
    odds = np.log(share / (1.0 - share)) + scatter
    split = logsumexp(log_weights + p * odds - n * np.logaddexp(0.0, odds), axis=0)
    return np.asarray(rules.rate_weight * rate + (1.0 - rules.rate_weight) * split)


def _guard(like: Floats, x: Floats) -> Floats:
    """Mix a likelihood with the wrong-entry part, flat over the range an index can have."""
    grid = np.linspace(LOWEST_LOG, HIGHEST_LOG, like.size) if x.size != like.size else x
    area = float(np.trapezoid(like, grid))
    span = HIGHEST_LOG - LOWEST_LOG
    scaled = like / area if area > 0.0 else np.full_like(like, 1.0 / span)
    return np.asarray((1.0 - WRONG_ENTRY) * scaled + WRONG_ENTRY / span)


def day_likelihood(
    x: Floats,
    bloom: Sequence[BloomNote],
    counts: Sequence[tuple[CountNote, float]],
    rules: CountRules = DEFAULT_COUNT_RULES,
) -> Floats:
    """Likelihood of all notes and (count, hour weight) of one day over log-index values ``x`` (wide, even grid)."""
    like = np.ones_like(x)
    for note in bloom:
        like = like * bloom_likelihood(note, x)
    # counts of one day share weather and hour: a design effect keeps many hives from looking like many days
    share = 1.0 / (1.0 + rules.same_day_correlation * (len(counts) - 1)) if counts else 1.0
    for count, weight in counts:
        log_like = count_log_likelihood(count, x, weight, rules)
        like = like * _guard(np.exp(log_like - log_like.max()), x) ** share
    return np.asarray(like / like.max())
