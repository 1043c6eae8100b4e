"""Unusual rain of a season; the numbers of the fit itself are outside checks (land_season)."""

from __future__ import annotations

from datetime import date, timedelta

import numpy as np
import pytest

from tideover.checks import outside_checks
from tideover.forage.degree_days import simple, single_sine
from tideover.forage.standard_rain import fit, in_words, magnitude, of_day


def test_outside_checks_of_the_season_agree() -> None:
    """Degree days and standardised rain against worked values (sources stand in each check)."""
    made = outside_checks("season.")
    assert len(made) >= 18
    assert [c.key for c in made if c.verdict != "agrees"] == []


@pytest.mark.parametrize(
    ("index", "word"),
    [
        (-2.3, "extremely dry"), (-2.0, "extremely dry"), (-1.7, "severely dry"), (-1.0, "moderately dry"),
        (-0.99, "near normal"), (0.99, "near normal"), (1.0, "moderately wet"), (1.5, "severely wet"),
        (2.0, "extremely wet"),
    ],
)  # fmt: skip
def test_classes(index: float, word: str) -> None:
    """Ends belong to the more unusual class (IRI map room table after McKee, read)."""
    assert in_words(index) == word


def test_drought_runs_from_minus_one_to_above_nought() -> None:
    """McKee 1993: magnitude is minus the sum over the event; -0.4 - 1.2 begins at -1.2, +0.1 ends it."""
    assert magnitude([-0.4, -1.2, -0.5, -0.1]) == pytest.approx(1.8)
    assert magnitude([-0.4, -1.2, -0.5, 0.1]) == 0.0
    assert magnitude([-0.9, -0.9]) == 0.0


def test_season_against_the_same_days_of_earlier_years() -> None:
    """Ten years of ordinary rain and a dry eleventh: well below minus one; with four years no answer; a hole none."""
    rng = np.random.default_rng(4)
    first, last = date(2010, 1, 1), date(2020, 8, 31)
    days = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    rain = np.where(rng.random(len(days)) < 0.25, rng.exponential(8.0, len(days)), 0.0)
    rain[-90:] *= 0.1
    got = of_day(days, rain, last)
    assert got is not None
    assert got[0] < -1.5
    assert got[1] == 10
    short = [i for i, d in enumerate(days) if d.year >= 2016]
    assert of_day([days[i] for i in short], rain[short], last) is None
    rain[-60:-20] = np.nan
    assert of_day(days, rain, last) is None


def test_fit_refuses_what_cannot_be_fitted() -> None:
    """Nearly no rain, and totals all alike."""
    with pytest.raises(ValueError, match="at least 4"):
        fit([0.0, 0.0, 3.0, 4.0])
    with pytest.raises(ValueError, match="alike"):
        fit([5.0] * 6)


def test_sine_equals_the_average_above_the_base() -> None:
    """Both are the mean less the base when even the night is above it, and the sine is never less (textbook)."""
    hi, lo = np.array([30.0, 25.0, 18.0]), np.array([15.0, 8.0, 2.0])
    assert single_sine(hi, lo, 10.0)[0] == pytest.approx(12.5)
    assert np.all(single_sine(hi, lo, 10.0) >= simple(hi, lo, 10.0) - 1e-12)
