"""An ensemble of possible colonies, and the safe way into the kernel."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import kernel, layout
from tideover.colony.noise import key
from tideover.colony.parameters import constants
from tideover.colony.weather import Feeding, Weather, light_term

Floats = NDArray[np.float64]

LIMITS: Final = (20.0, 0.20, 0.08)
"""Milestones: stored pollen below this many grams (or below one day's need); mean reserve of
bees of nursing age below this share; more than this share of larvae under three days
lost to shortage in a day. Our assumption, shown on the reasons pages."""

MILESTONES: Final = ("pantry empty", "nurses' reserves low", "larvae being eaten")


@dataclass(frozen=True)
class PieceKind:
    """What the piece on the hive is besides its protein; None stands for the usual patty of the figures book.

    :param sugar: sugar, share of weight.
    :param harden_d: days over which intake falls to 1/e as it hardens.
    """

    sugar: float | None = None
    harden_d: float | None = None

    def __post_init__(self) -> None:
        if self.sugar is not None and not 0.0 <= self.sugar <= 1.0:
            raise ValueError(f"sugar of the piece is {self.sugar}, wanted a share from 0 to 1.")
        if self.harden_d is not None and not 0.5 <= self.harden_d <= 1000.0:
            raise ValueError(f"the piece hardens over {self.harden_d} days, wanted 0.5 to 1000.")


@dataclass
class Ensemble:
    """Possible colonies: ``state`` (members, STATE), ``params`` (members, PARAMS), and the kind of piece on them."""

    state: Floats
    params: Floats
    piece: PieceKind = field(default_factory=PieceKind)

    def __post_init__(self) -> None:
        if self.state.ndim != 2 or self.state.shape[1] != layout.STATE:
            raise ValueError(f"state has shape {self.state.shape}; wanted (members, {layout.STATE}).")
        if self.params.shape != (self.state.shape[0], layout.PARAMS):
            raise ValueError(f"params has shape {self.params.shape}; wanted ({self.state.shape[0]}, {layout.PARAMS}).")

    @property
    def members(self) -> int:
        """Number of members."""
        return int(self.state.shape[0])

    def copy(self) -> Ensemble:
        """Return an independent copy."""
        return Ensemble(self.state.copy(), self.params.copy(), self.piece)

    def take(self, members: NDArray[np.intp]) -> Ensemble:
        """Return the chosen members, in that order, as an independent ensemble."""
        return Ensemble(
            np.ascontiguousarray(self.state[members]), np.ascontiguousarray(self.params[members]), self.piece
        )

    def adults(self) -> Floats:
        """Adult workers per member, shape (members,)."""
        return np.asarray(self.state[:, layout.HOUSE : layout.RESERVE].sum(axis=1) + self.state[:, layout.FORAGER])

    def eggs(self) -> Floats:
        """Eggs per member, shape (members,)."""
        return np.asarray(self.state[:, layout.EGG : layout.LARVA].sum(axis=1))

    def open_larvae(self) -> Floats:
        """Open larvae per member, shape (members,)."""
        return np.asarray(self.state[:, layout.LARVA : layout.CAPPED].sum(axis=1))

    def capped(self) -> Floats:
        """Capped brood per member, shape (members,)."""
        return np.asarray(self.state[:, layout.CAPPED : layout.QUALITY].sum(axis=1))


@dataclass(frozen=True)
class Run:
    """What a run leaves behind.

    :param out: daily records, shape (members, days, OUTS) float32, or (0, 0, 0).
    :param ledger: running totals, shape (members, LEDGERS).
    :param passage: first day (1-based; -1 never) of each milestone, shape (members, 3).
    """

    out: NDArray[np.float32]
    ledger: Floats
    passage: Floats

    def series(self, name: str) -> NDArray[np.float32]:
        """Return one recorded series, shape (members, days)."""
        return self.out[:, :, layout.O[name]]

    def total(self, name: str) -> Floats:
        """Return one running total, shape (members,)."""
        return self.ledger[:, layout.G[name]]


class Course:
    """Days ahead of an ensemble, made ready: stepped in place, whole or by parts of members and days.

    Parts give the bytes of the whole, in any order that keeps each member's days in theirs.

    :param ensemble: members to step; ``state`` is changed in place.
    :param weather: drivers; rows 1 (shared) or the number of members.
    :param feeding: the keeper's visits; none when omitted.
    :param seed: seed of the noise.
    :param salt: changes the luck of the same members (for example after resampling).
    :param first_day: absolute number of the first day, so that luck belongs to dates.
    :param record: keep daily records.
    :raises ValueError: if the drivers do not fit the ensemble.
    """

    def __init__(
        self,
        ensemble: Ensemble,
        weather: Weather,
        feeding: Feeding | None = None,
        *,
        seed: int,
        salt: int = 0,
        first_day: int = 0,
        record: bool = True,
    ) -> None:
        days, members = weather.days, ensemble.members
        for name in ("log_index", "temp_max_c", "temp_min_c", "flight_h", "pollen_h"):
            rows = getattr(weather, name).shape[0]
            if rows not in (1, members):
                raise ValueError(f"{name} has {rows} rows; wanted 1 or {members}, one per member.")
        feeding = feeding or Feeding.none(days)
        if feeding.visit_g.shape != (days,):
            raise ValueError(f"the feeding schedule has {feeding.visit_g.shape[0]} days; wanted {days}.")
        c = constants()
        if ensemble.piece.sugar is not None:
            c[layout.C["patty_sugar"]] = ensemble.piece.sugar
        if ensemble.piece.harden_d is not None:
            c[layout.C["patty_harden_d"]] = ensemble.piece.harden_d
        self._days = days
        self._all = np.arange(members, dtype=np.intp)
        # Every day that is stepped writes its records.
        self._out = np.empty((members, days, layout.OUTS) if record else (0, 0, 0), dtype=np.float32)
        self._ledger = np.zeros((members, layout.LEDGERS))
        self._passage = np.full((members, layout.PASSAGES), -1.0)

        def whole(a: Floats) -> Floats:
            return np.ascontiguousarray(a, dtype=np.float64)

        self._drivers = (
            ensemble.state,
            ensemble.params,
            c,
            whole(weather.log_index),
            whole(weather.temp_max_c),
            whole(weather.temp_min_c),
            whole(weather.flight_h),
            whole(weather.pollen_h),
            light_term(weather.daylength_h, weather.daylength_change_h, c),
            whole(feeding.visit_g),
            whole(feeding.protein),
            whole(feeding.pollen),
            whole(feeding.sugar_g),
            whole(feeding.keep_rest),
            float(feeding.visit_chance),
            np.uint64(key(seed, salt)),
            first_day,
        )

    def step(self, start: int = 0, stop: int | None = None, who: NDArray[np.intp] | None = None) -> None:
        """Step days ``start`` to ``stop`` (exclusive) of the members ``who``, each named once; all when omitted."""
        stop = self._days if stop is None else stop
        some = self._all if who is None else who
        if some.size and start < stop:
            kernel.run(some, start, stop, *self._drivers, self._out, self._ledger, self._passage, np.array(LIMITS))

    def run(self) -> Run:
        """What the days stepped left behind; days not stepped hold no records."""
        return Run(self._out, self._ledger, self._passage)


def run(
    ensemble: Ensemble,
    weather: Weather,
    feeding: Feeding | None = None,
    *,
    seed: int,
    salt: int = 0,
    first_day: int = 0,
    record: bool = True,
) -> Run:
    """Step an ensemble through ``weather.days`` days, in place.

    :param ensemble: members to step; ``state`` is changed in place.
    :param weather: drivers; rows 1 (shared) or the number of members.
    :param feeding: the keeper's visits; none when omitted.
    :param seed: seed of the noise.
    :param salt: changes the luck of the same members (for example after resampling).
    :param first_day: absolute number of the first day, so that luck belongs to dates.
    :param record: keep daily records.
    :returns: records, running totals and first passages.
    :raises ValueError: if the drivers do not fit the ensemble.
    """
    course = Course(ensemble, weather, feeding, seed=seed, salt=salt, first_day=first_day, record=record)
    course.step()
    return course.run()
