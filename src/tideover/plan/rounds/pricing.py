"""The rounds that a price could make worth having, by labels: the compiled inner loops of the bound.

A round may come back to a visit only after it has been among places far from it (neighbourhood routes,
Baldacci, Mingozzi & Roberti 2011, Operations Research 59:1269-1283, from memory): every real round is among
them, so that a bound over them lies below every plan. Each label also carries which of the cuts it stands half
through (Jepsen, Petersen, Spoorendonk & Pisinger 2008, Operations Research 56:497-511, from memory).
"""

# The three loops write out the same step, from a place and minute to the next visit done. Put into a function of its
# own, even one forced inline, it gave the same bytes in a third to four fifths more time.

from __future__ import annotations

from typing import Final

import numpy as np
from numba import njit
from numpy.typing import NDArray

MOST_LABELS: Final = 60_000
WORD: Final = 62
"""Visits one memory word tells apart; what lies beyond shares bits, which lets more rounds pass and stays valid."""

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def neighbours(drive: Ints, place: Ints, size: int) -> Ints:
    """For each visit the bits of the visits it remembers: itself and those nearest by drive."""
    n = place.size
    masks = np.zeros(n, dtype=np.int64)
    for k in range(n):
        apart = drive[place[k], place] + drive[place, place[k]]
        apart[k] = -1
        for j in np.argsort(apart, kind="stable")[:size]:
            if j < WORD:
                masks[k] |= np.int64(1) << np.int64(j)
    return masks


@njit(cache=True)
def _sum_of(bits: int, cut_price: Floats) -> float:  # pragma: no cover - compiled
    """Prices of the cuts whose bits are set."""
    total = 0.0
    at = 0
    while bits != 0:
        if bits & 1:
            total += cut_price[at]
        bits >>= 1
        at += 1
    return total


@njit(cache=True)
def labels(
    leave: int,
    back: int,
    drive: Ints,
    place: Ints,
    minutes: Ints,
    opens: Ints,
    closes: Ints,
    price: Floats,
    near: Ints,
    best: Floats,
    then: Ints,
    second: Floats,
    cut_bits: Ints,
    cut_price: Floats,
    under: float,
    rough: bool,
    most: int,
) -> tuple[int, Floats, Ints, Ints]:  # pragma: no cover - compiled
    """Labels of half-made rounds: how many, their cost, last visit and the label before; -1 labels when too many.

    Only rounds that cost less than ``under`` [min], trip left out, are asked for; ``best``, ``then`` and ``second``
    (from ``onward``) tell which half-made rounds can still become one. ``cut_bits``: for each visit the cuts it
    belongs to; ``cut_price`` [min]: what every second visit to a cut's places costs. A label is dropped when
    another at the same visit is neither later, nor dearer even where it has yet to pay a cut that this one has not,
    nor remembers more. ``rough`` asks for the first two only: quicker, good for finding rounds, not for a bound.
    """
    n = place.size
    cost = np.empty(most)
    node = np.empty(most, dtype=np.int64)
    clock = np.empty(most, dtype=np.int64)
    mask = np.empty(most, dtype=np.int64)
    half = np.empty(most, dtype=np.int64)
    parent = np.empty(most, dtype=np.int64)
    alive = np.empty(most, dtype=np.bool_)
    same_time = np.full(most, -1, dtype=np.int64)
    at_time = np.full(back + 1, -1, dtype=np.int64)
    same_node = np.full(most, -1, dtype=np.int64)
    at_node = np.full(n, -1, dtype=np.int64)
    used = 0
    for t in range(leave - 1, back + 1):
        if t == leave - 1:
            cur = -2
        else:
            cur = at_time[t]
        while cur != -1:
            if cur == -2 or alive[cur]:
                for k in range(n):
                    if closes[k] < 0:
                        continue
                    bit = np.int64(0)
                    if k < WORD:
                        bit = np.int64(1) << np.int64(k)
                    if cur == -2:
                        there, now, spent, memory, begun = 0, leave, 0.0, np.int64(0), np.int64(0)
                    else:
                        if node[cur] == k or (mask[cur] & bit) != 0:
                            continue
                        there, now, spent, memory, begun = place[node[cur]], t, cost[cur], mask[cur], half[cur]
                    done = max(now + drive[there, place[k]], opens[k]) + minutes[k]
                    if done > closes[k] or done + drive[place[k], 0] > back:
                        continue
                    c = spent + drive[there, place[k]] + price[k]
                    if begun & cut_bits[k]:
                        c += _sum_of(begun & cut_bits[k], cut_price)
                    rest = best[k, done] if cur == -2 or then[k, done] != node[cur] else second[k, done]
                    if c + rest >= under:
                        continue
                    h = begun ^ cut_bits[k]
                    m = (memory & near[k]) | bit
                    beaten = False
                    other = at_node[k]
                    before = -1
                    while other != -1:
                        onward = same_node[other]
                        if cost[other] <= c and clock[other] <= done and (rough or (mask[other] & ~m) == 0):
                            if rough:
                                beaten = True
                                break
                            owed = half[other] & ~h
                            if owed == 0 or cost[other] + _sum_of(owed, cut_price) <= c:
                                beaten = True
                                break
                        gone = False
                        if c <= cost[other] and done <= clock[other] and (rough or (m & ~mask[other]) == 0):
                            owed = h & ~half[other]
                            gone = rough or owed == 0 or c + _sum_of(owed, cut_price) <= cost[other]
                        if gone:
                            alive[other] = False
                            if before == -1:
                                at_node[k] = onward
                            else:
                                same_node[before] = onward
                        else:
                            before = other
                        other = onward
                    if beaten:
                        continue
                    if used == most:
                        return -1, cost, node, parent
                    cost[used], node[used], clock[used], mask[used], half[used] = c, k, done, m, h
                    parent[used] = cur
                    alive[used] = True
                    same_node[used] = at_node[k]
                    at_node[k] = used
                    same_time[used] = at_time[done]
                    at_time[done] = used
                    used += 1
            if cur == -2:
                cur = -1
            else:
                cur = same_time[cur]
    return used, cost, node, parent


@njit(cache=True)
def onward(
    leave: int,
    back: int,
    drive: Ints,
    place: Ints,
    minutes: Ints,
    opens: Ints,
    closes: Ints,
    price: Floats,
) -> tuple[Floats, Ints, Floats]:  # pragma: no cover - compiled
    """The least that a round can still cost after a visit, by visit and minute at which its work is done.

    Returns: that cost (visits, back + 1) [min], the visit that comes next in it (-1 is home), and the least where
    another visit comes next, so that a round need not go straight back. Cuts only add to it.
    """
    n = place.size
    best = np.full((n, back + 1), np.inf)
    second = np.full((n, back + 1), np.inf)
    then = np.full((n, back + 1), -2, dtype=np.int64)
    for t in range(back, leave - 1, -1):
        for k in range(n):
            if t > closes[k] or t < opens[k] + minutes[k]:
                continue
            if t + drive[place[k], 0] <= back:
                best[k, t], then[k, t] = float(drive[place[k], 0]), -1
            for j in range(n):
                if j == k or closes[j] < 0:
                    continue
                done = max(t + drive[place[k], place[j]], opens[j]) + minutes[j]
                if done > closes[j] or done + drive[place[j], 0] > back:
                    continue
                rest = best[j, done] if then[j, done] != k else second[j, done]
                c = drive[place[k], place[j]] + price[j] + rest
                if c < best[k, t]:
                    second[k, t] = best[k, t]
                    best[k, t], then[k, t] = c, j
                elif c < second[k, t]:
                    second[k, t] = c
    return best, then, second


@njit(cache=True)
def every_near(
    leave: int,
    back: int,
    drive: Ints,
    place: Ints,
    minutes: Ints,
    opens: Ints,
    closes: Ints,
    price: Floats,
    best: Floats,
    then: Ints,
    second: Floats,
    cut_bits: Ints,
    cut_price: Floats,
    under: float,
    most: int,
) -> tuple[int, Ints, Ints, NDArray[np.bool_]]:  # pragma: no cover - compiled
    """Every round without return that costs less than ``under`` [min] at the prices given, trip left out.

    Returns: how many half-made rounds there are (-1 when more than ``most``), their last visit, the one before,
    and whether going home from there is such a round. At most 62 visits.
    """
    n = place.size
    cost = np.empty(most)
    clock = np.empty(most, dtype=np.int64)
    mask = np.empty(most, dtype=np.int64)
    half = np.empty(most, dtype=np.int64)
    node = np.empty(most, dtype=np.int64)
    parent = np.empty(most, dtype=np.int64)
    whole = np.zeros(most, dtype=np.bool_)
    used = 0
    cur = -1
    while cur < used:
        for k in range(n):
            if closes[k] < 0:
                continue
            bit = np.int64(1) << np.int64(k)
            last = -1
            if cur < 0:
                there, now, spent, been, begun = 0, leave, 0.0, np.int64(0), np.int64(0)
            else:
                if mask[cur] & bit:
                    continue
                last = node[cur]
                there, now, spent, been, begun = place[last], clock[cur], cost[cur], mask[cur], half[cur]
            done = max(now + drive[there, place[k]], opens[k]) + minutes[k]
            if done > closes[k] or done + drive[place[k], 0] > back:
                continue
            c = spent + drive[there, place[k]] + price[k]
            if begun & cut_bits[k]:
                c += _sum_of(begun & cut_bits[k], cut_price)
            rest = best[k, done] if last < 0 or then[k, done] != last else second[k, done]
            if c + rest >= under:
                continue
            if used == most:
                return -1, node, parent, whole
            cost[used], clock[used], mask[used], half[used] = c, done, been | bit, begun ^ cut_bits[k]
            node[used], parent[used] = k, cur
            whole[used] = c + drive[place[k], 0] < under
            used += 1
        cur += 1
    return used, node, parent, whole
