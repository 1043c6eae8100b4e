"""Powers and logarithms of whole arrays against the platform's C library, one by one."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tideover.colony.elementary import exp, log

TWO_UNITS = 2.0


def units_off(found: np.ndarray, expected: np.ndarray) -> float:
    """The most by which numbers differ, in units of the last place."""
    return float((np.abs(found - expected) / np.spacing(np.abs(expected))).max())


def test_log_is_the_library_s_to_two_units_in_the_last_place() -> None:
    """Over all magnitudes, where the series changes its centre, and near 1, where most is lost of a difference."""
    root = math.sqrt(0.5)
    x = np.r_[
        np.exp(np.linspace(-700.0, 700.0, 100_001)), np.linspace(0.5, 2.0, 50_001), 1.0 + np.linspace(-1e-6, 1e-6, 2_001),
        root * (1.0 + np.linspace(-1e-9, 1e-9, 101)), 2.0 ** np.arange(-1022, 1024), np.finfo(float).tiny,
        np.finfo(float).max,
    ]  # fmt: skip
    assert units_off(log(x), np.array([math.log(v) for v in x])) <= TWO_UNITS


def test_exp_is_the_library_s_to_two_units_in_the_last_place() -> None:
    """From the smallest power taken eight at a time to the largest, and near nought."""
    x = np.r_[np.linspace(-700.0, 700.0, 100_001), np.linspace(-1e-3, 1e-3, 2_001), 0.0]
    assert units_off(exp(x), np.array([math.exp(v) for v in x])) <= TWO_UNITS


@pytest.mark.parametrize("members", range(20))
def test_any_number_of_members(members: int) -> None:
    """Fewer than a vector, one more than several: each as alone, and nothing beyond the end is touched."""
    x = np.random.default_rng(members).uniform(0.1, 3.0, members)
    held = np.full(members + 8, 7.0)
    assert (exp(x, out=held[:members]) == [exp(np.array([v]))[0] for v in x]).all()
    assert (held[members:] == 7.0).all()
    assert (log(x) == [log(np.array([v]))[0] for v in x]).all()


def test_what_the_series_is_not_made_for_is_the_library_s() -> None:
    """Nought, below nought, no number, infinities, the smallest of all, and powers beyond the range; others beside them
    stay as they are."""
    x = np.array([0.0, -0.0, -1.0, np.nan, np.inf, -np.inf, 5e-324, 800.0, -800.0, 705.0, -745.2, 1.0])
    with np.errstate(all="ignore"):
        np.testing.assert_array_equal(log(x), np.log(x))
        np.testing.assert_array_max_ulp(exp(x), np.exp(x), 2)


def test_shapes_and_places() -> None:
    """Tables, strips of tables and numbers put over themselves."""
    x = np.random.default_rng(3).uniform(0.1, 3.0, (5, 13))
    np.testing.assert_array_max_ulp(log(x), np.log(x), 2)
    np.testing.assert_array_max_ulp(log(x[:, 3]), np.log(x[:, 3]), 2)
    over = x.copy()
    assert exp(over[2], out=over[2]).base is not None
    np.testing.assert_array_max_ulp(over[2], np.exp(x[2]), 2)
    assert (over[[0, 1, 3, 4]] == x[[0, 1, 3, 4]]).all()
    assert exp(np.zeros((0, 4))).shape == (0, 4)


def test_a_strip_cannot_be_written_to() -> None:
    """What would be written to a copy and lost is refused with a sentence, and so is another shape."""
    x = np.ones((4, 6))
    for out in (x[:, 2], np.empty(5)):
        with pytest.raises(ValueError, match="same shape that lies in one piece"):
            exp(np.ones(4), out=out)
