"""Each compiled pass over the members against the sums it stands for, written out in NumPy and SciPy."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import logsumexp
from scipy.stats import norm

from tideover.evidence import chances

MEMBERS = pytest.mark.parametrize("members", [1, 7, 8, 9, 16, 4_805])


@MEMBERS
def test_a_word_is_its_bell_over_all_bells(members: int) -> None:
    """Against ``scipy.stats.norm`` and ``logsumexp``; chances of all words add to one."""
    x = 4.0 * np.random.default_rng(members).standard_normal(members)
    means, sds = np.array([-2.0, 0.0, 1.0, 3.0]), np.array([0.5, 0.7, 0.4, 1.0])
    bells = norm.logpdf(x[:, None], means, sds)
    found = np.stack([chances.word(x, means, sds, k) for k in range(means.size)], axis=1)

    np.testing.assert_allclose(found, bells - logsumexp(bells, axis=1, keepdims=True), rtol=1e-12, atol=1e-12)
    np.testing.assert_allclose(np.exp(found).sum(axis=1), 1.0, rtol=1e-13)


@MEMBERS
def test_a_count_scatters_with_what_is_there(members: int) -> None:
    """Against ``scipy.stats.norm``, from nothing there to much more than was written."""
    predicted = 40.0 * np.random.default_rng(members).random(members) ** 3
    predicted[0] = 0.0
    found = chances.count(predicted, 2.5, 0.6, 0.25)

    np.testing.assert_allclose(found, norm.logpdf(2.5, predicted, np.hypot(0.6, 0.25 * predicted)), rtol=1e-12)


@MEMBERS
def test_right_or_wrong_is_the_sum_of_both(members: int) -> None:
    """Against ``numpy.logaddexp``, where either outweighs the other by any amount; impossible if right is wrong."""
    loglik = 300.0 * np.random.default_rng(members).standard_normal(members) - 50.0
    loglik[-1] = -np.inf
    found = chances.either(loglik, -0.02, -6.0)

    np.testing.assert_allclose(found, np.logaddexp(loglik - 0.02, -6.0), rtol=1e-13, atol=1e-13)


def test_strips_of_a_table_are_read_as_they_are() -> None:
    """A column of a table is no row of numbers that lie one after another."""
    table = np.random.default_rng(1).standard_normal((40, 3))
    np.testing.assert_array_equal(
        chances.either(table[:, 1], -0.1, -3.0), chances.either(table[:, 1].copy(), -0.1, -3.0)
    )
