"""Which figures of a hive its own looks have narrowed, and which are the book's still."""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony.layout import PARAM_NAMES
from tideover.colony.parameters import draw
from tideover.evidence.keeper import count_log_sd
from tideover.evidence.known import Assimilated
from tideover.evidence.space import space

Floats = NDArray[np.float64]
COUNTING: Final = "counting"
"""How a keeper counts, beside the parameters of the colony."""
ERRORS: Final = 3.0
"""Standard errors by which a variance must have shrunk before it is said to: of some twenty looked at, hardly one
passes by luck."""


@cache
def _prior() -> Floats:
    """Variance of each parameter's normal score before anything is seen, shape (PARAMS,)."""
    return np.asarray(space().scores(draw(np.random.default_rng(0), 4000)).var(axis=0))


def narrowed(known: Assimilated) -> dict[str, float]:
    """Share of its prior variance that each figure of a hive has lost, where it is more than luck.

    The error is that of a variance from as many draws as colonies of the start have descendants left.

    :param known: the hive as known; nothing is narrowed before the first look.
    :returns: share lost (0-1) by name of parameter, or ``COUNTING`` for the keeper's counting; most first.
    """
    if not known.effective:
        return {}
    families = known.effective[-1][2]
    had = [*_prior(), count_log_sd() ** 2]
    has = [*space().scores(known.ensemble.params).var(axis=0), *(known.count_log.var(axis=0)[:1])]
    lost = {
        name: 1.0 - float(after) / float(before)
        for name, before, after in zip((*PARAM_NAMES, COUNTING), had, has, strict=False)
    }
    beyond = ERRORS * np.sqrt(2.0 / max(families, 1))
    return {name: share for name, share in sorted(lost.items(), key=lambda item: -item[1]) if share > beyond}
