"""The season at a yard as the colony meets it: the yard index and weather as drivers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from tideover.colony.weather import Weather
from tideover.forage.index import YardIndex
from tideover.forage.outlook import Outlook

Floats = NDArray[np.float64]
EPOCH = date(2000, 1, 1)


def number(day: date) -> int:
    """Return the absolute number of a day, which the noise belongs to."""
    return (day - EPOCH).days


def daylength_change(daylength_h: Floats) -> Floats:
    """Change of day length from day to day [h/d], shape (days,); nothing where only one day is known."""
    if daylength_h.size < 2:
        return np.zeros_like(daylength_h)
    return np.asarray(np.gradient(daylength_h), dtype=np.float64)


@dataclass(frozen=True)
class Sky:
    """Drivers of the past days at a yard, with ``paths`` (paths, days) of the log index."""

    first: date
    paths: Floats
    temp_max_c: Floats
    temp_min_c: Floats
    flight_h: Floats
    pollen_h: Floats
    daylength_h: Floats

    @property
    def days(self) -> int:
        """Number of days covered."""
        return int(self.temp_max_c.shape[0])

    @staticmethod
    def of(index: YardIndex, paths: int, seed: int) -> Sky:
        """Draw ``paths`` whole paths of the yard index and take its weather."""
        return Sky(
            index.days[0],
            index.paths(paths, seed),
            index.temp_max,
            index.temp_min,
            index.flight_h,
            index.pollen_h,
            index.daylength_h,
        )

    def reaching_back_to(self, day: date) -> Sky:
        """Return a sky that starts no later than ``day``, its first day repeated backwards where needed."""
        gap = (self.first - day).days
        if gap <= 0:
            return self

        def back(a: Floats) -> Floats:
            return np.concatenate([np.repeat(a[..., :1], gap, axis=-1), a], axis=-1)

        return Sky(
            day,
            *(
                back(a)
                for a in (self.paths, self.temp_max_c, self.temp_min_c, self.flight_h, self.pollen_h, self.daylength_h)
            ),
        )

    def between(self, start: date, stop: date, path: NDArray[np.intp]) -> Weather:
        """Drivers from ``start`` to ``stop`` (exclusive); member i follows path ``path[i]``."""
        i, j = (start - self.first).days, (stop - self.first).days
        if i < 0 or j > self.days:
            raise ValueError(
                f"days {start} to {stop} are not covered; the sky runs {self.first} to "
                f"{self.first + timedelta(days=self.days - 1)}."
            )
        return Weather(
            np.ascontiguousarray(self.paths[path, i:j]),
            self.temp_max_c[None, i:j],
            self.temp_min_c[None, i:j],
            self.flight_h[None, i:j],
            self.pollen_h[None, i:j],
            self.daylength_h[i:j],
            daylength_change(self.daylength_h)[i:j],
        )

    def at(self, day: date) -> int:
        """Position of a day, held within the days covered."""
        return min(max((day - self.first).days, 0), self.days - 1)


def ahead(outlook: Outlook) -> Weather:
    """Drivers of the futures of a yard, one row per future.

    :param outlook: the yard's coming days as the land room tells them.
    """
    return Weather(
        outlook.log_index,
        outlook.temp_max,
        outlook.temp_min,
        outlook.flight_h,
        outlook.pollen_h,
        outlook.daylength_h,
        daylength_change(outlook.daylength_h),
    )
