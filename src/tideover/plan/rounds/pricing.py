"""The rounds that a price could make worth having, by labels: the compiled inner loop of the bound.

A round may come back to a visit only after it has been among places far from it (neighbourhood routes,
Baldacci, Mingozzi & Roberti 2011, Operations Research 59:1269-1283, from memory): every real round is among
them, so that a bound over them lies below every plan.
"""

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
    most: int,
) -> tuple[int, Floats, Ints, Ints]:  # pragma: no cover - compiled
    """Labels of half-made rounds: how many, their cost, last visit and the label before; -1 labels when too many.

    A label is dropped when another at the same visit is neither later, nor dearer, nor remembers more.
    """
    n = place.size
    cost = np.empty(most)
    node = np.empty(most, dtype=np.int64)
    clock = np.empty(most, dtype=np.int64)
    mask = np.empty(most, dtype=np.int64)
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
                    if k < 62:
                        bit = np.int64(1) << np.int64(k)
                    if cur == -2:
                        there, now, spent, memory = 0, leave, 0.0, np.int64(0)
                    else:
                        if node[cur] == k or (mask[cur] & bit) != 0:
                            continue
                        there, now, spent, memory = place[node[cur]], t, cost[cur], mask[cur]
                    done = max(now + drive[there, place[k]], opens[k]) + minutes[k]
                    if done > closes[k] or done + drive[place[k], 0] > back:
                        continue
                    c = spent + drive[there, place[k]] + price[k]
                    m = (memory & near[k]) | bit
                    beaten = False
                    other = at_node[k]
                    before = -1
                    while other != -1:
                        onward = same_node[other]
                        if cost[other] <= c and clock[other] <= done and (mask[other] & ~m) == 0:
                            beaten = True
                            break
                        if c <= cost[other] and done <= clock[other] and (m & ~mask[other]) == 0:
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
                    cost[used], node[used], clock[used], mask[used] = c, k, done, m
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
