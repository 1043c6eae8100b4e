"""The drivers of a run: what the land and the sky do, day by day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tideover.colony.layout import C

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Weather:
    """Drivers for ``days`` days, shared or per member.

    All arrays have shape (rows, days) with rows 1 (shared) or the number of members.

    :param log_index: natural log of pollen on offer [1 = an ordinary good flow].
    :param temp_max_c: daily highest air temperature [degC].
    :param temp_min_c: daily lowest air temperature [degC].
    :param flight_h: hours fit for flying [h].
    :param pollen_h: hours fit for collecting pollen [h].
    :param daylength_h: day length [h], shape (days,).
    :param daylength_change_h: change of day length from day to day [h/d], shape (days,).
    """

    log_index: Floats
    temp_max_c: Floats
    temp_min_c: Floats
    flight_h: Floats
    pollen_h: Floats
    daylength_h: Floats
    daylength_change_h: Floats

    def __post_init__(self) -> None:
        days = self.daylength_h.shape[0]
        for name in ("log_index", "temp_max_c", "temp_min_c", "flight_h", "pollen_h"):
            shape = getattr(self, name).shape
            if len(shape) != 2 or shape[1] != days:
                raise ValueError(f"{name} has shape {shape}; wanted (1 or members, {days}).")

    @property
    def days(self) -> int:
        """Number of days."""
        return int(self.daylength_h.shape[0])

    def slice(self, start: int, stop: int) -> Weather:
        """Return the days ``start`` to ``stop`` (exclusive)."""
        return Weather(
            self.log_index[:, start:stop],
            self.temp_max_c[:, start:stop],
            self.temp_min_c[:, start:stop],
            self.flight_h[:, start:stop],
            self.pollen_h[:, start:stop],
            self.daylength_h[start:stop],
            self.daylength_change_h[start:stop],
        )

    def take(self, members: NDArray[np.intp]) -> Weather:
        """Return the same drivers with per-member rows reordered (shared rows stay shared)."""

        def pick(a: Floats) -> Floats:
            return a if a.shape[0] == 1 else np.ascontiguousarray(a[members])

        return Weather(
            pick(self.log_index),
            pick(self.temp_max_c),
            pick(self.temp_min_c),
            pick(self.flight_h),
            pick(self.pollen_h),
            self.daylength_h,
            self.daylength_change_h,
        )


def light_term(daylength_h: Floats, change_h: Floats, constants: Floats) -> Floats:
    """Laying left by day length, shape (days,), 0-1.

    Rises linearly with day length between ``light_none_h`` and ``light_full_h`` from
    ``light_floor`` to 1. The colony answers day length and its change together, as if
    the present change had gone on for ``light_ahead_d`` days: brood is small before the winter
    solstice, rises quickly after it (Avitabile 1978), and declines from midsummer on.

    :param daylength_h: day length [h], shape (days,).
    :param change_h: change of day length [h/d], shape (days,).
    :param constants: fixed figures in ``layout.CONST_NAMES`` order.
    """
    none, full = constants[C["light_none_h"]], constants[C["light_full_h"]]
    floor = constants[C["light_floor"]]
    felt = daylength_h + constants[C["light_ahead_d"]] * change_h
    return np.asarray(floor + (1.0 - floor) * np.clip((felt - none) / (full - none), 0.0, 1.0), dtype=np.float64)


@dataclass(frozen=True)
class Feeding:
    """What the keeper does on each day, shared by all members.

    :param visit_g: grams laid on at a visit (0: visit, nothing laid on; -1: no visit), shape (days,).
    :param protein: crude protein share of what is laid on, shape (days,).
    :param pollen: pollen share of what is laid on, shape (days,).
    :param sugar_g: sugar given as syrup [g dry sugar], shape (days,).
    :param keep_rest: 1 where the rest of the last piece stays on at a visit, shape (days,).
    :param visit_chance: chance that a planned visit happens (1 for what is recorded).
    """

    visit_g: Floats
    protein: Floats
    pollen: Floats
    sugar_g: Floats
    keep_rest: Floats
    visit_chance: float = 1.0

    def slice(self, start: int, stop: int) -> Feeding:
        """Return the days ``start`` to ``stop`` (exclusive)."""
        return Feeding(
            self.visit_g[start:stop],
            self.protein[start:stop],
            self.pollen[start:stop],
            self.sugar_g[start:stop],
            self.keep_rest[start:stop],
            self.visit_chance,
        )

    @staticmethod
    def none(days: int) -> Feeding:
        """Return a schedule without any visit."""
        # One array each: a schedule may be written to.
        return Feeding(np.full(days, -1.0), np.zeros(days), np.zeros(days), np.zeros(days), np.zeros(days))
