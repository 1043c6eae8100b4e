"""A hive as known: the members that are left, what each look did to them, and what was found odd."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.evidence.predict import Shown

if TYPE_CHECKING:
    from tideover.evidence.walk import Walk

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

OBSERVABLES: Final = ("adults", "open brood", "capped brood", "stored pollen", "honey", "jelly", "queen", "mites")


@dataclass(frozen=True)
class Odd:
    """An entry that disagrees with everything else known of the hive.

    ``item`` names the one field that is likelier wrong than right; empty when the whole look is.
    """

    entry: str
    day: date
    chance_wrong: float
    text: str
    item: str = ""


@dataclass(frozen=True)
class Read:
    """How one look moved the ensemble: per observable, mean before and after and the spread before.

    ``values`` (members, observables) are the surviving members' own values at the time of the look.
    """

    entry: str
    day: date
    items: tuple[str, ...]
    before: Floats
    after: Floats
    spread: Floats
    values: Floats


@dataclass(frozen=True)
class LandSaid:
    """What one look of one hive says of its yard's pollen on offer, apart from what was known of it before.

    A Gaussian in the log index, averaged over the days from ``first`` to ``day`` (exclusive): ``log_index``
    with ``precision`` (one over its variance). Zero precision says nothing.
    """

    hive: str
    entry: str
    first: date
    day: date
    log_index: float
    precision: float


@dataclass
class Assimilated:
    """A hive as known on the morning of ``today``.

    :param ensemble: equally weighted members.
    :param path: which path of the yard index each member follows, shape (members,).
    :param out: records since ``start``, (members, days, OUTS); each day is a sample of what was known of it
        when the next entries were in (fixed-lag smoothing), so rows are not one colony's path.
    """

    hive: str
    start: date
    today: date
    ensemble: Ensemble
    path: Index
    out: NDArray[np.float32]
    flags: list[Odd] = field(default_factory=list)
    reads: list[Read] = field(default_factory=list)
    effective: list[tuple[date, float, int]] = field(default_factory=list)
    """Per look: day, effective sample size, unique ancestors left, both of the ``walkers`` the filter carries."""
    patty_laid_g: float = 0.0
    patty_since: date | None = None
    looks: int = 0
    keepers: tuple[str, ...] = ("",)
    """Who looked."""
    count_log: Floats = field(default_factory=lambda: np.zeros((0, 1)))
    """Log of each keeper's overcounting, shape (members, keepers)."""
    land: list[LandSaid] = field(default_factory=list)
    """What this hive's own looks say of the yard's pollen on offer."""
    walkers: int = 0
    """Members carried while walking through the season; ``ensemble`` is drawn from them."""
    walk: Walk | None = field(default=None, repr=False, compare=False)
    """The filter where it stands with all its walkers, for looks that are only supposed; None frees its room."""

    def __post_init__(self) -> None:
        """Keepers count truly until something else is given."""
        if self.count_log.shape[0] != self.ensemble.members:
            self.count_log = np.zeros((self.ensemble.members, len(self.keepers)))

    def band(self, name: str, low: float = 0.1, high: float = 0.9) -> tuple[Floats, Floats, Floats]:
        """Low, median and high of a recorded series, each of shape (days,)."""
        q = np.quantile(self.out[:, :, lay.O[name]], [low, 0.5, high], axis=0)
        return q[0], q[1], q[2]


def observed(s: Shown) -> Floats:
    """Values of ``OBSERVABLES`` per member, shape (members, 8)."""
    return np.stack(
        [s.adults, s.open_larvae, s.capped, s.pollen_g, s.honey_kg, s.jelly, (s.queen > 0.5).astype(float), s.mites],
        axis=1,
    )
