"""Bloom notes and entrance counts as evidence."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest
from scipy.special import gammaln

from tideover.evidence import words as spoken
from tideover.forage import notes as n
from tideover.forage.intervals import clopper_pearson, garwood, wilson

DAY = date(2025, 7, 10)
X = np.linspace(n.LOWEST_LOG, n.HIGHEST_LOG, 401)


def peak(like: np.ndarray) -> float:
    """Index at which a likelihood is highest."""
    return float(np.exp(X[int(np.argmax(like))]))


def mean_index(like: np.ndarray) -> float:
    """Geometric mean index under a flat prior."""
    return float(np.exp((like * X).sum() / like.sum()))


def test_bloom_words_are_those_of_the_books() -> None:
    """Every word a note may hold has a distribution, in rising order."""
    assert tuple(n.BLOOM_WORDS) == spoken.BLOOM
    medians = [w.median for w in n.BLOOM_WORDS.values()]
    assert medians == sorted(medians)


@pytest.mark.parametrize("word", spoken.BLOOM)
def test_overall_note_peaks_at_its_word(word: str) -> None:
    """The likelihood of an overall note is highest at the word's median."""
    assert peak(n.bloom_likelihood(n.BloomNote(DAY, word), X)) == pytest.approx(n.BLOOM_WORDS[word].median, rel=0.05)


def test_little_of_one_plant_is_no_proof_of_dearth() -> None:
    """A note on one plant never argues against a rich land; the same word overall does."""
    one = n.bloom_likelihood(n.BloomNote(DAY, "few", "thistle"), X)
    overall = n.bloom_likelihood(n.BloomNote(DAY, "few"), X)
    rich, poor = np.searchsorted(X, 0.0), np.searchsorted(X, np.log(0.1))

    assert one[rich] >= one[poor]
    assert overall[rich] < overall[poor]


def test_one_absurd_note_has_bounded_pull() -> None:
    """However far off a note is, it moves the odds by at most 1 + 0.97/0.03 x 7.6/(0.45 sqrt(2 pi)) = 219."""
    like = n.bloom_likelihood(n.BloomNote(DAY, "abundant"), X)

    assert like.max() / like.min() < 225.0


@pytest.mark.parametrize(("with_pollen", "bees"), [(0, 60), (3, 60), (15, 60), (40, 160)])
def test_more_pollen_bees_mean_a_higher_index(with_pollen: int, bees: int) -> None:
    """Adding pollen bees to a count moves the estimate up."""
    low = n.count_log_likelihood(n.CountNote(DAY, 9.0, 26.0, 5.0, bees, with_pollen), X, 0.9)
    high = n.count_log_likelihood(n.CountNote(DAY, 9.0, 26.0, 5.0, bees, with_pollen + 12), X, 0.9)

    assert mean_index(np.exp(high - high.max())) > mean_index(np.exp(low - low.max()))


def test_count_at_index_one_reads_as_about_one() -> None:
    """A standard colony at index 1.0 sends about 30 pollen bees a minute; five such minutes read near 1."""
    p = round(5 * n.RETURNS_PER_MIN_AT_ONE)
    like = n.count_log_likelihood(n.CountNote(DAY, 9.0, 24.0, 5.0, round(p / 0.27), p, 25_000.0), X, 1.0)

    assert peak(np.exp(like - like.max())) == pytest.approx(1.0, rel=0.2)


@pytest.mark.parametrize(("pollen", "index"), [(30, 1.0), (8, 0.27), (2, 0.067)])
def test_counts_are_read_without_a_slant(pollen: int, index: float) -> None:
    """Where the scatter is log-normal the mean of the log reading lies near the count's own rate, not above it.

    Two minutes with ``pollen`` loads a minute (arithmetic: over 30 a minute at index 1); a tenth of ln 10 is allowed
    for the prior that an even grid is, and the share of all bees is set to what belongs to that index.
    """
    share = 0.27 * index**0.6
    note = n.CountNote(DAY, 9.0, 24.0, 2.0, round(2 * pollen / share), 2 * pollen, 25_000.0)
    like = np.exp(n.count_log_likelihood(note, X, 1.0))

    assert float((like * X).sum() / like.sum()) == pytest.approx(np.log(index), abs=0.25)


def test_scatter_of_a_count_is_that_of_drawn_counts() -> None:
    """Drawn Poisson counts with log-normal scatter come as often as the likelihood says (simulation, fixed seed; 3 % chance at the rarest)."""
    rng = np.random.default_rng(5)
    rules = n.CountRules(rate_weight=1.0)
    mean = n.RETURNS_PER_MIN_AT_ONE * 2.0 * 0.3
    drawn = rng.poisson(mean * np.exp(rules.colony_log_sd * rng.standard_normal(200_000)))
    for pollen in (5, 18, 40):
        note = n.CountNote(DAY, 9.0, 24.0, 2.0, 200, pollen, 25_000.0)
        x = np.array([np.log(0.3)])
        told = float(np.exp(n.count_log_likelihood(note, x, 1.0, rules) - gammaln(pollen + 1))[0])
        assert told == pytest.approx(float(np.mean(drawn == pollen)), rel=0.08)


def test_rate_of_thirty_a_minute_is_the_published_arithmetic() -> None:
    """20 pollen returns a minute over 6-8 h are 100-134 g (arithmetic on a 14 mg load); the scale follows it."""
    assert pytest.approx(134.4, rel=0.01) == 20.0 / n.RETURNS_PER_MIN_AT_ONE * n.FINE_DAY_G


def test_counts_outside_pollen_hours_are_weak() -> None:
    """The same bees at 15 h and 42 C say far less than at 9 h and 28 C."""
    morning = n.CountNote(DAY, 9.0, 28.0, 5.0, 60, 2)
    heat = n.CountNote(DAY, 15.0, 42.0, 5.0, 60, 2)
    spread = []
    for note in (morning, heat):
        weight = n.pollen_hour_weight(note, 33.0, 41.0, 24.0)
        like = np.exp(n.count_log_likelihood(note, X, weight))
        like /= like.sum()
        mid = (like * X).sum()
        spread.append(float(np.sqrt((like * (X - mid) ** 2).sum())))

    assert n.pollen_hour_weight(heat, 33.0, 41.0, 24.0) < 0.2 * n.pollen_hour_weight(morning, 33.0, 41.0, 24.0)
    assert spread[1] > 1.3 * spread[0]


def test_many_counts_of_one_day_are_not_many_days() -> None:
    """Ten equal counts narrow less than ten independent ones would: the design effect caps them."""
    note = (n.CountNote(DAY, 9.0, 26.0, 5.0, 60, 10), 0.9)

    def spread(k: int) -> float:
        like = n.day_likelihood(X, [], [note] * k)
        like = like / like.sum()
        mid = (like * X).sum()
        return float(np.sqrt((like * (X - mid) ** 2).sum()))

    assert spread(10) < spread(1)
    assert spread(10) > spread(1) / np.sqrt(1.0 / 0.3) - 0.02


def test_counts_of_one_day_are_pooled_by_the_design_effect() -> None:
    """A mean of n alike by r varies by (1 + (n - 1) r) / n (Kish 1965, Survey Sampling), here from memory.

    Held against the middle half of the likelihood: its far tails are the wrong entry's, which is the same however many.
    """
    note = (n.CountNote(DAY, 9.0, 26.0, 5.0, 60, 10), 0.9)

    def half(k: int) -> float:
        like = n.day_likelihood(X, [], [note] * k)
        low, high = np.interp([0.25, 0.75], np.cumsum(like / like.sum()), X)
        return float(high - low)

    for k in (2, 3):
        assert half(k) / half(1) == pytest.approx(np.sqrt((1.0 + (k - 1) * 0.3) / k), rel=0.05)


@pytest.mark.parametrize(
    ("field", "value", "says"),
    [("with_pollen", 70, "no more than came in"), ("minutes", 0.0, "minutes watched"), ("hour", 25.0, "hour is")],
)
def test_impossible_counts_are_refused(field: str, value: float, says: str) -> None:
    """More pollen bees than bees, no minutes, or no such hour."""
    values = {"day": DAY, "hour": 9.0, "shade_temp_c": 26.0, "minutes": 5.0, "bees_in": 60, "with_pollen": 6}
    with pytest.raises(ValueError, match=says):
        n.CountNote(**{**values, field: value})  # type: ignore[arg-type]


def test_unknown_bloom_word_is_refused() -> None:
    """Only the four words."""
    with pytest.raises(ValueError, match="abundant"):
        n.BloomNote(DAY, "lots")


@pytest.mark.parametrize(("k", "n_seen"), [(0, 50), (3, 50), (15, 60), (60, 60)])
def test_exact_intervals_hold_the_share(k: int, n_seen: int) -> None:
    """Both share intervals hold the share itself and the exact one is never narrower than a point."""
    for low, high in (wilson(k, n_seen), clopper_pearson(k, n_seen)):
        assert low <= k / n_seen <= high
        assert high > low
    assert garwood(k)[0] <= k <= garwood(k)[1]
