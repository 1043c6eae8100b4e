"""Counter-based luck: compiled and array draws are the same numbers, evenly spread, and unlike under another salt."""

from __future__ import annotations

import numba as nb
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tideover.colony import lanes, noise

N = 300_000
MEMBERS = np.arange(N, dtype=np.uint64)


@nb.njit
def _compiled(key, who, day, channel, found):  # type: ignore[no-untyped-def]  # pragma: no cover
    table = lanes.rows(2)
    for first in range(0, who.size, lanes.WIDTH):
        me = lanes.members(who, first, who.size - 1)
        table[0] = noise.normal(key, me, day, channel)
        table[1] = noise.uniform(key, me, day, channel)
        for j in range(lanes.WIDTH):
            for a in range(2):
                found[first + j, a] = lanes.take(table, a, j)


@settings(max_examples=25, deadline=None)
@given(
    seed=st.integers(0, 2**63 - 1), salt=st.integers(0, 2**40), day=st.integers(0, 800_000), channel=st.integers(0, 7)
)
def test_compiled_draws_are_the_array_draws(seed: int, salt: int, day: int, channel: int) -> None:
    """Normals and uniforms of 504 members equal to the last bit."""
    key, members, found = noise.key(seed, salt), np.arange(504, dtype=np.uint64), np.empty((504, 2))
    _compiled(np.uint64(key), np.arange(504), np.uint64(day), np.uint64(channel), found)

    assert (found[:, 0] == noise.normal_array(key, members, day, channel)).all()
    assert (found[:, 1] == noise.uniform_array(key, members, day, channel)).all()


def test_normals_have_mean_sd_and_kurtosis() -> None:
    """Mean 0 and sd 1 within three standard errors; kurtosis 3 - 1.2/4 = 2.7, exact for four uniforms (arithmetic)."""
    z = noise.normal_array(noise.key(5, 0), MEMBERS, 100, 1)
    # The variance of a sample variance of such draws is (kurtosis - 1) / n.
    assert abs(z.mean()) < 3.0 / np.sqrt(N)
    assert abs(z.var() - 1.0) < 3.0 * np.sqrt(1.7 / N)
    assert abs((z**4).mean() - 2.7) < 0.03
    assert np.abs(z).max() <= 2.0 * np.sqrt(3.0)


def test_uniforms_are_even() -> None:
    """A thousand equal bins hold equal counts: chi-square within four sd of its mean; all are in [0, 1)."""
    u = noise.uniform_array(noise.key(6, 1), MEMBERS, 3, 7)
    counts = np.bincount((u * 1000).astype(int), minlength=1000)
    chi2 = float(((counts - N / 1000) ** 2 / (N / 1000)).sum())

    assert abs(chi2 - 999.0) < 4.0 * np.sqrt(2.0 * 999.0)
    assert u.min() >= 0.0
    assert u.max() < 1.0


@pytest.mark.parametrize(("other_salt", "other_day", "other_channel"), [(1, 50, 0), (0, 51, 0), (0, 50, 1), (9, 80, 2)])
def test_other_salt_day_or_channel_is_other_luck(other_salt: int, other_day: int, other_channel: int) -> None:
    """Draws are uncorrelated, with four standard errors."""
    one = noise.normal_array(noise.key(1, 0), MEMBERS, 50, 0)
    other = noise.normal_array(noise.key(1, other_salt), MEMBERS, other_day, other_channel)

    assert abs(np.corrcoef(one, other)[0, 1]) < 4.0 / np.sqrt(N)


def test_days_and_members_are_not_chained() -> None:
    """No correlation between a member and the next, nor between a day and the next for the same member."""
    z = np.stack([noise.normal_array(noise.key(2, 0), MEMBERS[:3_000], d, 0) for d in range(100)])

    assert abs(np.corrcoef(z[:-1].ravel(), z[1:].ravel())[0, 1]) < 4.0 / np.sqrt(z.size)
    assert abs(np.corrcoef(z[:, :-1].ravel(), z[:, 1:].ravel())[0, 1]) < 4.0 / np.sqrt(z.size)


@given(seed=st.integers(0, 2**70), salt=st.integers(0, 2**70))
def test_key_is_64_bits_and_depends_on_both(seed: int, salt: int) -> None:
    """Any whole number gives a 64-bit key; another seed or salt gives another."""
    key = noise.key(seed, salt)

    assert 0 <= key < 2**64
    assert key != noise.key(seed + 1, salt)
    assert key != noise.key(seed, salt + 1)
