"""Cuts that the linear program over rounds must keep: of any three visits, one plan has at most one round with two.

Subset-row cuts of three rows (Jepsen, Petersen, Spoorendonk & Pisinger 2008, Operations Research 56:497-511, from
memory). A plan visits each of three places at most once, so that at most one of its rounds visits two or more of
them; half of one round and half of another, which a linear program likes, often breaks that.
"""

from __future__ import annotations

from itertools import combinations
from typing import Final

import numpy as np
from numpy.typing import NDArray

MOST_CUTS: Final = 62
"""As many as one word has bits for."""
A_TIME: Final = 12
"""Cuts added at a time."""
OFTEN: Final = 5
"""A visit is in at most so many of the cuts added at one time."""
BROKEN: Final = 0.05
"""By how much a cut must be broken to be added."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Cut = tuple[int, int, int]


def weight(counts: Ints, cut: Cut) -> Ints:
    """How much of a cut each round takes: for every two visits to its three places one.

    Parameters: counts: how often each round visits each place (rounds, visits).
    """
    return np.asarray(counts[:, list(cut)].sum(axis=1) // 2)


def broken(counts: Ints, taken: Floats, have: set[Cut]) -> list[Cut]:
    """Cuts that a choice of rounds breaks, the most broken first; at most ``A_TIME`` of them.

    Parameters: counts: how often each round visits each place (rounds, visits); taken: how much of each round is
    chosen (rounds,); have: cuts that are there already.
    """
    some = taken > 1e-7
    there = np.minimum(counts[some], 1).astype(np.float64)
    x = taken[some]
    # a visit of which one round is wholly taken is in no broken cut
    open_to = [int(i) for i in np.flatnonzero((there.T * np.minimum(x, 1 - x)).sum(axis=1) > 1e-7)]
    two = (there * x[:, None]).T @ there
    found: list[tuple[float, Cut]] = []
    for i, j, k in combinations(open_to, 3):
        pairs = two[i, j] + two[i, k] + two[j, k]
        if pairs <= 1.0 + BROKEN:
            continue
        three = float((x * there[:, i] * there[:, j] * there[:, k]).sum())
        by = pairs - 2.0 * three - 1.0
        if by > BROKEN and (i, j, k) not in have:
            found.append((by, (i, j, k)))
    found.sort(key=lambda one: (-one[0], one[1]))
    out: list[Cut] = []
    used = np.zeros(counts.shape[1], dtype=np.int64)
    for _, cut in found:
        if len(out) == A_TIME:
            break
        if all(used[i] < OFTEN for i in cut):
            out.append(cut)
            used[list(cut)] += 1
    return out


def bits(cuts: list[Cut], visits: int) -> Ints:
    """For each visit the cuts it belongs to, one bit a cut."""
    out = np.zeros(visits, dtype=np.int64)
    for c, cut in enumerate(cuts):
        for i in cut:
            out[i] |= np.int64(1) << np.int64(c)
    return out
