"""Invented colonies and drivers that the benchmarks share."""

from __future__ import annotations

import numpy as np

from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.colony.weather import Weather


def ensemble(members: int, seed: int = 1) -> Ensemble:
    """A full-sized summer colony, ``members`` times with drawn parameters."""
    params = draw(np.random.default_rng(seed), members)
    return establish(
        params, adults=25_000.0, eggs=4_000.0, open_larvae=8_000.0, capped=15_000.0, pollen_g=900.0, honey_g=12_000.0
    )


def weather(days: int, index: float = 0.4) -> Weather:
    """Hot summer days, all alike."""

    def flat(value: float) -> np.ndarray:
        return np.full((1, days), value)

    return Weather(
        np.log(flat(index)), flat(36.0), flat(22.0), flat(9.0), flat(6.0), np.full(days, 13.5), np.zeros(days)
    )
