"""Chances of what a look says, member by member, each in one compiled pass.

Written out over whole arrays the same sums pass over the members ten to twenty times, and are most of what a look costs
beside moving the members. ``tests/evidence/test_chances.py`` holds each to those sums.
"""

# The last vector begins where it ends with the last member, so that some members are worked out twice, alike.
# mypy: disable-error-code="untyped-decorator"
from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any, Final

import numba as nb
import numpy as np
from numpy.typing import NDArray

from tideover.colony.lanes import WIDTH, exp, lanes, load, log, store

Floats = NDArray[np.float64]

HALF_LOG_2PI: Final = 0.5 * math.log(2.0 * math.pi)


@nb.njit(cache=True, fastmath={"contract"}, error_model="numpy")
def _words(x: Floats, means: Floats, sds: Floats, ends: Floats, which: int, found: Floats) -> None:  # pragma: no cover
    n = x.size
    for i in range(0, n, WIDTH):
        at = min(i, n - WIDTH)
        v = load(x, at)
        z = (v - means[0]) / sds[0]
        top = z * z * -0.5 - ends[0]
        for k in range(1, means.size):
            z = (v - means[k]) / sds[k]
            top = max(top, z * z * -0.5 - ends[k])
        total = lanes(0.0)
        for k in range(means.size):
            z = (v - means[k]) / sds[k]
            total += exp(z * z * -0.5 - ends[k] - top)
        z = (v - means[which]) / sds[which]
        store(found, at, z * z * -0.5 - ends[which] - top - log(total))


@nb.njit(cache=True, fastmath={"contract"}, error_model="numpy")
def _counts(x: Floats, written: float, least: float, share: float, found: Floats) -> None:  # pragma: no cover
    n = x.size
    for i in range(0, n, WIDTH):
        at = min(i, n - WIDTH)
        v = load(x, at)
        variance = v * v * (share * share) + least * least
        off = v - written
        store(found, at, (off * off / variance + log(variance)) * -0.5 - HALF_LOG_2PI)


@nb.njit(cache=True, fastmath={"contract"}, error_model="numpy")
def _either(x: Floats, right: float, wrong: float, found: Floats) -> None:  # pragma: no cover
    n = x.size
    for i in range(0, n, WIDTH):
        at = min(i, n - WIDTH)
        v = load(x, at) + right
        store(found, at, max(v, wrong) + log(exp(min(v, wrong) - max(v, wrong)) + 1.0))


def _over(all_of: Callable[..., None], x: Floats, *rest: Any) -> Floats:
    """One of the passes over members of any number."""
    wide = np.ascontiguousarray(x, dtype=np.float64)
    if x.size < WIDTH:
        wide = np.concatenate([wide, np.ones(WIDTH - x.size)])
    found = np.empty_like(wide)
    all_of(wide, *rest, found)
    return found[: x.size]


def word(x_log: Floats, means: Floats, sds: Floats, which: int) -> Floats:
    """Log chance that a keeper writes one word of several: each word's bell over the log amount, over all bells' sum.

    :param x_log: log amount per member, shape (members,).
    :param means: middle of each word's bell, shape (words,).
    :param sds: its standard deviation.
    :param which: the word written.
    """
    return _over(_words, x_log, means, sds, np.log(sds), which)


def count(predicted: Floats, written: float, least: float, share: float) -> Floats:
    """Log density of a number counted by eye, whose spread grows with what is there.

    :param predicted: what is there, shape (members,).
    :param written: the number.
    :param least: standard deviation where there is nothing.
    :param share: and for each of what is there (the two as independent errors).
    """
    return _over(_counts, predicted, written, least, share)


def either(loglik: Floats, right: float, wrong: float) -> Floats:
    """Log of e^(loglik + right) + e^wrong: an item with its small chance of being wrong.

    :param loglik: log-likelihood if it is right, shape (members,).
    :param right: log chance that it is.
    :param wrong: log chance that it is wrong, and of what was written then.
    """
    return _over(_either, loglik, right, wrong)
