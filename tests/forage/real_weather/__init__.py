"""Daily weather of real places, for the tests only; sources and licences are in the README beside this file."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
PLACES = {"tunis": (36.8, 4.0), "champion": (40.4, 1072.0), "cordoba": (-31.4, 390.0), "seattle": (47.4, 130.0)}
"""Latitude [deg] and height [m] of each place."""


@dataclass(frozen=True)
class Series:
    """Days of a place: high, low [C], rain [mm], reference evapotranspiration as given [mm] (NaN where there is none)."""

    latitude: float
    elevation_m: float
    days: list[date]
    high: Floats
    low: Floats
    rain: Floats
    et0: Floats

    @property
    def j(self) -> Floats:
        """Day of year of each day."""
        return np.array([d.timetuple().tm_yday for d in self.days], dtype=np.float64)


@cache
def series(place: str) -> Series:
    """The days of a place."""
    with (Path(__file__).parent / f"{place}.csv").open(encoding="utf-8") as f:
        rows = list(csv.DictReader(f))

    def column(name: str) -> Floats:
        return np.array([float(r.get(name) or "nan") for r in rows])

    return Series(
        *PLACES[place], [date.fromisoformat(r["day"]) for r in rows], column("temp_max_c"), column("temp_min_c"),
        column("rain_mm"), column("et0_mm"),
    )  # fmt: skip
