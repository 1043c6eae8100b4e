"""How a look that is only thought of weighs on the colonies of a hive.

The filter would weigh its members by the same likelihood, draw them anew and move them a little; the
move keeps mean and spread, so that weights alone give the same answer as long as enough members
still speak.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.evidence.likelihood import look_items, together, weigh
from tideover.evidence.predict import Shown
from tideover.evidence.seen import Value

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

DRAWN: Final = 1000
"""Members drawn by weight; drawing evenly errs by less than one in this many."""


@dataclass(frozen=True)
class Weight:
    """Members weighed by one look.

    :param weights: shape (members,), summing to 1.
    :param chance: probability of the look before it is made.
    :param odd: chance that a look like this is a wrong entry.
    :param effective: effective sample size.
    """

    weights: Floats
    chance: float
    odd: float
    effective: float

    def part(self, of: NDArray[np.bool_]) -> Weight:
        """The same weights on some members only; even where none of those speaks."""
        some = np.where(of, self.weights, 0.0)
        total = float(some.sum())
        some = some / total if total > 0 else of / float(of.sum())
        return Weight(np.asarray(some), self.chance, self.odd, float(1.0 / np.sum(some * some)))

    def draw(self, n: int = DRAWN) -> Index:
        """``n`` members drawn evenly by weight; no luck in it, so that a card is the same every time."""
        ladder = np.cumsum(self.weights)
        at = (np.arange(n) + 0.5) / n * ladder[-1]
        return np.asarray(np.minimum(np.searchsorted(ladder, at), self.weights.size - 1), dtype=np.intp)


def weight(now: Shown, values: Mapping[str, Value], elsewhere: Shown | None = None) -> Weight:
    """Weigh members by a look.

    :param now: what the members would show.
    :param elsewhere: what hives drawn at large would show, to tell a look that fits any hive better than this one.
    :param values: what would be written (fields of a look, canonical units).
    """
    n = now.adults.size
    even = np.full(n, 1.0 / n)
    # No scale and no flight hours stand on a card, so that neither matters here.
    items = look_items(now, values, tare_kg=0.0, pollen_hours=False)
    if not items:
        return Weight(even, 1.0, 0.0, float(n))
    at_large = None if elsewhere is None else together(look_items(elsewhere, values, tare_kg=0.0, pollen_hours=False))
    found = weigh(items, even, confirmed=False, elsewhere=at_large)
    w = np.exp(found.loglik - found.loglik.max())
    chance = float(np.exp(found.loglik).mean())
    w = w / w.sum()
    return Weight(w, chance, found.odd, float(1.0 / np.sum(w * w)))
