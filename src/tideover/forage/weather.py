"""A day of weather at a yard, and a gap-free run of days."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]


@dataclass(frozen=True)
class LandDay:
    """One day: high and low [C], rain [mm], mean wind at 2 m [m/s], mean humidity [%]; ``None`` is not known.

    ``temp_sd_c`` is nought for temperatures that were read, and their doubt where a gap was filled.
    """

    day: date
    temp_max_c: float
    temp_min_c: float
    rain_mm: float | None = None
    wind_ms: float | None = None
    humidity: float | None = None
    temp_sd_c: float = 0.0

    def __post_init__(self) -> None:
        """Keep readings possible."""
        if not -70.0 <= self.temp_min_c <= self.temp_max_c <= 60.0:
            raise ValueError(
                f"{self.day}: low {self.temp_min_c} C and high {self.temp_max_c} C,"
                " wanted -70 to 60 with the low not above the high."
            )
        if self.rain_mm is not None and not 0.0 <= self.rain_mm <= 2000.0:
            raise ValueError(f"{self.day}: rain is {self.rain_mm} mm, wanted 0 to 2000.")
        if self.wind_ms is not None and not 0.0 <= self.wind_ms <= 80.0:
            raise ValueError(f"{self.day}: wind is {self.wind_ms} m/s, wanted 0 to 80.")
        if self.humidity is not None and not 0.0 <= self.humidity <= 100.0:
            raise ValueError(f"{self.day}: humidity is {self.humidity} %, wanted 0 to 100.")


@dataclass(frozen=True)
class Run:
    """A gap-free run of days; ``known`` marks days that were measured, wind and humidity may be NaN.

    ``temp_sd`` is the doubt of filled temperatures [C], nought on days that were read and on days that are not known.
    """

    days: list[date]
    temp_max: Floats
    temp_min: Floats
    rain: Floats
    wind: Floats
    humidity: Floats
    known: Bools
    rain_known: Bools
    temp_sd: Floats

    @property
    def j(self) -> Floats:
        """Day of year of each day."""
        return np.array([d.timetuple().tm_yday for d in self.days], dtype=np.float64)


def gap_free(days: Sequence[LandDay], first: date, last: date, usual_max: Floats, usual_min: Floats) -> Run:
    """Lay measured days on every day from ``first`` to ``last``.

    A gap takes the usual temperatures plus the anomaly carried over from both sides, fading with a
    three-day memory; rain in a gap is none here: ``rain_known`` marks it, and ``gap_rain`` fills it.
    usual_max, usual_min: usual temperatures [C], one per day. The later of two entries for a day wins.
    """
    n = (last - first).days + 1
    if n < 1:
        raise ValueError(f"the last day {last} is before the first {first}; swap them.")
    hi, lo = np.full(n, np.nan), np.full(n, np.nan)
    rain, wind, humidity = np.zeros(n), np.full(n, np.nan), np.full(n, np.nan)
    known, rain_known, doubt = np.zeros(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_), np.zeros(n)
    for d in days:
        k = (d.day - first).days
        if not 0 <= k < n:
            continue
        hi[k], lo[k], known[k], doubt[k] = d.temp_max_c, d.temp_min_c, True, d.temp_sd_c
        rain[k], rain_known[k] = d.rain_mm or 0.0, d.rain_mm is not None
        wind[k] = np.nan if d.wind_ms is None else d.wind_ms
        humidity[k] = np.nan if d.humidity is None else d.humidity
    for series, usual in ((hi, usual_max), (lo, usual_min)):
        anomaly = series - usual
        forward, backward = np.zeros(n), np.zeros(n)
        for k in range(n):
            forward[k] = anomaly[k] if known[k] else (0.72 * forward[k - 1] if k else 0.0)
        for k in range(n - 1, -1, -1):
            backward[k] = anomaly[k] if known[k] else (0.72 * backward[k + 1] if k < n - 1 else 0.0)
        series[~known] = (usual + forward + backward)[~known]
    lo = np.minimum(lo, hi)
    return Run([first + timedelta(days=k) for k in range(n)], hi, lo, rain, wind, humidity, known, rain_known, doubt)
