"""A bench for measuring the colony: colonies at rest, plain weather, one day at a time, luck switched off or on.

Checks measure what the compiled kernel does. ``lucky=False`` sets the noise of laying and death and the failure of
queens to nothing, so that one member is the mean course; parameters stand at the middle of their priors, mites at
zero, unless a check says otherwise.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import kernel, layout
from tideover.colony.ensemble import LIMITS, Ensemble, Run
from tideover.colony.establish import establish
from tideover.colony.layout import C, P
from tideover.colony.noise import key
from tideover.colony.parameters import central, constants
from tideover.colony.weather import Feeding, Weather, light_term

Floats = NDArray[np.float64]
CP: Final = float(constants()[C["pollen_protein"]])
"""Crude protein share of pollen in the model."""
NO_POLLEN: Final = 1e-6
"""Index where nothing is to be had."""


def quiet_constants() -> Floats:
    """The fixed figures with the noise of laying and death and the failure of queens at zero."""
    c = constants()
    for name in ("laying_noise", "mortality_noise", "queen_failure"):
        c[C[name]] = 0.0
    return c


def plain_params(members: int = 1, **changed: float | Floats) -> Floats:
    """Middle parameters without mites, harm from feed or a hive's own wandering; ``changed`` by name."""
    p = np.repeat(central(), members, axis=0)
    p[:, [P["mite_growth"], P["hive_income_sd"], P["feed_harm"]]] = 0.0
    for name, value in changed.items():
        p[:, P[name]] = value
    return p


def sky(
    days: int,
    *,
    index: float | Floats = 1.0,
    high_c: float = 25.0,
    low_c: float = 14.0,
    flight_h: float | Floats = 8.0,
    pollen_h: float | Floats | None = None,
    daylength_h: float = 14.0,
) -> Weather:
    """The same plain day ``days`` times; index and hours may be series, or (members, days)."""

    def row(v: float | Floats) -> Floats:
        return np.ascontiguousarray(
            np.broadcast_to(np.atleast_2d(np.asarray(v, dtype=np.float64)), (np.atleast_2d(v).shape[0], days))
        )

    return Weather(
        np.log(row(index)), row(high_c), row(low_c), row(flight_h), row(flight_h if pollen_h is None else pollen_h),
        np.full(days, daylength_h), np.full(days, 0.02),
    )  # fmt: skip


def patty(
    days: int, on: list[int], grams: float, *, protein: float = 0.15, pollen: float = 0.0, keep: bool = True
) -> Feeding:
    """``grams`` laid on at each day of ``on``; ``keep`` leaves the rest of the last piece on."""
    visit = np.full(days, -1.0)
    visit[on] = grams
    full = np.ones(days)
    return Feeding(visit, protein * full, pollen * full, 0.0 * full, float(keep) * full)


def go(hive: Ensemble, weather: Weather, feeding: Feeding | None = None, *, lucky: bool = False, seed: int = 1) -> Run:
    """Step a colony in place through the compiled kernel and return what it recorded."""
    days, members = weather.days, hive.members
    feeding = feeding or Feeding.none(days)
    c = constants() if lucky else quiet_constants()
    out = np.zeros((members, days, layout.OUTS), dtype=np.float32)
    ledger = np.zeros((members, layout.LEDGERS))
    passage = np.full((members, 3), -1.0)
    kernel.run(
        np.arange(members, dtype=np.intp), 0, days, hive.state, hive.params, c, weather.log_index, weather.temp_max_c,
        weather.temp_min_c, weather.flight_h, weather.pollen_h,
        light_term(weather.daylength_h, weather.daylength_change_h, c), feeding.visit_g,
        feeding.protein, feeding.pollen, feeding.sugar_g, feeding.keep_rest, float(feeding.visit_chance),
        np.uint64(key(seed, 0)), 0, out, ledger, passage, np.array(LIMITS),
    )  # fmt: skip
    return Run(out, ledger, passage)


def colony(
    adults: float | Floats = 25_000.0,
    laying: float = 1_000.0,
    *,
    pollen_g: float | Floats = 1_000.0,
    honey_g: float = 300_000.0,
    params: Floats | None = None,
    queen: float = 1.0,
    warmth_c: float = 20.0,
    flight: float = 1.0,
) -> Ensemble:
    """A colony in steady laying of ``laying`` eggs a day, with more honey than it can eat unless said otherwise."""
    return establish(
        plain_params() if params is None else params,
        adults=adults, eggs=2.94 * laying, open_larvae=5.4 * laying, capped=10.3 * laying, pollen_g=pollen_g,
        honey_g=honey_g, mites=0.0, queen=queen, warmth_c=warmth_c, flight=flight,
    )  # fmt: skip


@cache
def _rested(index: float) -> tuple[bytes, Run]:
    hive = colony()
    run = go(hive, sky(300, index=index))
    return hive.state.tobytes(), run


def rested(index: float = 1.0) -> tuple[Ensemble, Run]:
    """A colony after 300 plain days with pollen at ``index``, and the run that brought it there."""
    state, run = _rested(index)
    return Ensemble(np.frombuffer(state).reshape(1, layout.STATE).copy(), plain_params()), run


def bees_of_one_age(adults: float, *, age: int = 0, reserve: float = 0.35, params: Floats | None = None) -> Ensemble:
    """Bees all of one age, no queen, no brood, plenty of stores: what is left of them is their survival."""
    hive = colony(0.0, 0.0, pollen_g=5_000.0, honey_g=60_000.0, params=params, queen=-9999.0)
    hive.state[:, layout.HOUSE + age] = adults
    hive.state[:, layout.RESERVE : layout.FORAGER] = reserve
    return hive
