"""How much a hive that was never seen eating is likely to eat: what its yard's hives say of it.

Hives of a yard have the mix, the weather and the keeper in common, so that their appetites differ less than those of
hives anywhere. On the logarithm: prior N(m, s^2) for any hive, of which a share is the yard's own and the rest the
hive's. What each fed hive has taught (its posterior against its prior) is one measurement of the yard's part.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import log, sqrt
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book

Floats = npt.NDArray[np.float64]

SHARED: Final = 0.5
"""Share of the spread of appetite that a yard's hives have in common (our assumption: nothing published splits it)."""
TAUGHT: Final = 0.95
"""A posterior this near its prior's variance has taught nothing."""
_PRIOR: Final = book().row("colony.patty_intake_mg").prior()


@dataclass(frozen=True)
class Appetite:
    """Logarithm of what a young bee eats a day: mean, and standard deviation."""

    mean: float
    sd: float


PRIOR: Final = Appetite(log(_PRIOR.center), _PRIOR.spread)
"""Of any hive, before anything was laid on."""


def seen_in(intake_mg: Floats) -> Appetite:
    """The appetite that draws of intake [mg per young bee and day], shape (members,), stand for."""
    logs = np.log(np.asarray(intake_mg, dtype=np.float64))
    return Appetite(float(logs.mean()), float(logs.std()))


def of_yard(others: Iterable[Appetite], prior: Appetite = PRIOR, shared: float = SHARED) -> Appetite:
    """The appetite to expect of a hive never seen eating, from the posteriors of hives that were.

    others: posteriors of the yard's fed hives; each counts by what it adds to the prior, so that the prior is
    counted once. Returns the prior itself where nothing was learnt.

    Raises: ValueError when ``shared`` is not between 0 and 1.
    """
    if not 0.0 < shared < 1.0:
        raise ValueError(f"the share a yard has in common is {shared}, wanted between 0 and 1.")
    yard_var, own_var = shared * prior.sd**2, (1.0 - shared) * prior.sd**2
    precision, weighted = 1.0 / yard_var, prior.mean / yard_var
    for a in others:
        if a.sd**2 >= TAUGHT * prior.sd**2:
            continue
        told = 1.0 / a.sd**2 - 1.0 / prior.sd**2
        mean = (a.mean / a.sd**2 - prior.mean / prior.sd**2) / told
        weight = 1.0 / (own_var + 1.0 / told)
        precision += weight
        weighted += weight * mean
    return Appetite(weighted / precision, sqrt(1.0 / precision + own_var))


def moved(intake_mg: Floats, to: Appetite, prior: Appetite = PRIOR) -> Floats:
    """Draws from the prior [mg per young bee and day] as draws of ``to``, member by member, ranks kept."""
    z = (np.log(np.asarray(intake_mg, dtype=np.float64)) - prior.mean) / prior.sd
    out: Floats = np.exp(to.mean + to.sd * z)
    return out
