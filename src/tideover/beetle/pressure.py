"""How many beetles are about: from what looks found, and from how warm the season has been.

No treatment threshold is published, and three field trials that loaded hives with beetles found no larvae; the words
here only weigh the risk of a rest left lying, they order nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final, Literal

from tideover.beetle.development import EGG, LARVA, SOIL

Pressure = Literal["low", "usual", "high"]
ORDER: Final[tuple[Pressure, ...]] = ("low", "usual", "high")
MANY_SHARE: Final = 0.2
"""From this share of looks with many beetles the pressure is called high (our assumption)."""
ANY_SHARE: Final = 0.1
"""Below this share of looks with any beetle it is called low (our assumption)."""
ENOUGH: Final = 5
"""Fewer looks than this say nothing."""


def counted(words: Iterable[str]) -> Pressure | None:
    """The pressure that looks lately found: each word 'none', 'few' or 'many'; None when too few were made."""
    seen = [w for w in words if w in ("none", "few", "many")]
    if len(seen) < ENOUGH:
        return None
    if sum(w == "many" for w in seen) >= MANY_SHARE * len(seen):
        return "high"
    return "low" if sum(w != "none" for w in seen) < ANY_SHARE * len(seen) else "usual"


def higher(a: Pressure, b: Pressure | None) -> Pressure:
    """The higher of the keeper's word and what looks found; what was not seen never lowers it."""
    return a if b is None else max(a, b, key=ORDER.index)


def generations(mean_c: Sequence[float]) -> float:
    """Beetle generations that the daily means of a season [C] have room for, egg to adult, on the fast figures.

    Cool soil below 19 C is slower than the law says (Bernier et al. 2014), so a cool season is overcounted.
    """
    total = 0.0
    for t in mean_c:
        days = EGG.days(t) + LARVA.days(t) + SOIL.days(t)
        total += 1.0 / days
    return total
