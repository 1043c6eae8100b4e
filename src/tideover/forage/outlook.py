"""Futures of weather and pollen on offer for an ensemble: never persistence.

Weather comes from past years at the place when they are given (a year drawn per member, shifted by up to
ten days), else from the usual wave of the place with its doubt drawn per member, autocorrelated
departures, and rain whose yearly amount and regime are drawn too. A weather forecast, where there is one, bends the
first days and fades. The land state reverts from today's
estimate to the climatological prior, with a spread widened for our error in the ground line.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import TYPE_CHECKING, Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book
from tideover.forage.climate import MEMORY, WET_AFTER_WET
from tideover.forage.filter import Drift
from tideover.forage.hours import hours
from tideover.forage.response import DayDrive, drives, ground_line, step
from tideover.forage.sun import daylength_h
from tideover.forage.weather import LandDay

if TYPE_CHECKING:
    from tideover.forage.index import YardIndex

Floats = npt.NDArray[np.float64]
HORIZON_D: Final = 240
SHIFT_D: Final = 10
WIDER: Final = 1.25
"""Spread of the land state in futures against the past (our assumption)."""
FULL_YEAR_DAYS: Final = 300
"""A past year needs this many measured days to be drawn from."""
YEAR_OFFSET_C: Final = 0.8
YEAR_RAIN_LOG_SD: Final = 0.3
"""A future year is not one of the few on record: each gets its own warmth and rain factor (our assumption)."""
REGIME_LOG_SD: Final = 0.5
REGIME_D: Final = 45.0
"""Wet and dry regimes: log-sd of the rain chance and how long they last [d] (our assumption)."""


FORECAST_SD_C: Final = (book().value("lookout.forecast_sd_c"), book().value("lookout.forecast_sd_more_c"))
"""Doubt of a forecast temperature on its first day and more per day [C] (from memory: 1.5 C, 3 C after a week)."""
FORECAST_FULL_D: Final = 5
FORECAST_NONE_D: Final = 12
"""Days after it was made that a forecast is taken whole, and from which it is not taken at all (our assumption)."""
FORECAST_RAIN: Final = (0.9, 0.06)
"""Chance that a future takes its rain from the forecast, on its first day, and less per day (our assumption)."""


@dataclass(frozen=True)
class Forecast:
    """A weather forecast: the day it was made and its days, from that day on."""

    made: date
    days: tuple[LandDay, ...]


@dataclass(frozen=True)
class Outlook:
    """Futures: ``days`` after today; arrays (n, days), day length (days,). Temperatures [C], rain [mm].

    ``leads_from`` is the log index of the last day that is past, from which each future goes on, shape (n,).
    """

    days: list[date]
    log_index: Floats
    temp_max: Floats
    temp_min: Floats
    flight_h: Floats
    pollen_h: Floats
    daylength_h: Floats
    rain: Floats
    basis: str
    leads_from: Floats


def _from_years(
    years: Sequence[dict[int, LandDay]], span: Sequence[date], n: int, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Weather of ``n`` futures drawn from whole past years: high, low [C], rain [mm]."""
    width = len(span)
    tables: list[Floats] = []
    for year in years:
        table = np.full((366 + 1, 3), np.nan)
        for number, d in year.items():
            table[number] = (d.temp_max_c, d.temp_min_c, np.nan if d.rain_mm is None else d.rain_mm)
        present = np.flatnonzero(~np.isnan(table[:, 0]))
        every = np.arange(367)
        for c in range(2):
            table[:, c] = np.interp(every, present, table[present, c], period=366)
        tables.append(table)
    stack: Floats = np.stack(tables)
    # a day without a reading takes the rain of the next year that has one, and none where no year has
    read = stack[..., 2].copy()
    for k in range(1, len(tables)):
        stack[..., 2] = np.where(np.isnan(stack[..., 2]), np.roll(read, -k, axis=0), stack[..., 2])
    stack[..., 2] = np.nan_to_num(stack[..., 2])
    j = np.array([d.timetuple().tm_yday for d in span])
    # each member strings together years in stretches, so that few years still make many futures
    pick = np.empty((n, width), dtype=np.int64)
    stretch = 60
    for k in range(0, width, stretch):
        pick[:, k : k + stretch] = rng.integers(0, len(years), (n, 1))
    shift = rng.integers(-SHIFT_D, SHIFT_D + 1, (n, 1))
    when = (j[None, :] + shift - 1) % 365 + 1
    drawn: Floats = stack[pick, when]
    warmer = rng.normal(0.0, YEAR_OFFSET_C, (n, 1))
    wetter = np.exp(rng.normal(0.0, YEAR_RAIN_LOG_SD, (n, 1)))
    return drawn[..., 0] + warmer, drawn[..., 1] + warmer, drawn[..., 2] * wetter


def _with_forecast(
    forecast: Forecast, span: Sequence[date], drawn: tuple[Floats, Floats, Floats], rng: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Bend drawn weather towards a forecast, each future with a forecast error of its own."""
    hi, lo, rain = (a.copy() for a in drawn)
    n = hi.shape[0]
    said = {d.day: d for d in forecast.days}
    # ten days run in, so that the first day's error is as wide as the others'
    error = _ar1(n, len(span) + 10, 0.0, 1.0, MEMORY, rng)[:, 10:]
    roll, size = rng.random((n, len(span))), np.exp(0.5 * rng.standard_normal((n, len(span))) - 0.125)
    for k, day in enumerate(span):
        told = said.get(day)
        age = (day - forecast.made).days
        if told is None or age >= FORECAST_NONE_D:
            continue
        share = min(1.0, (FORECAST_NONE_D - age) / (FORECAST_NONE_D - FORECAST_FULL_D))
        sd = FORECAST_SD_C[0] + FORECAST_SD_C[1] * age
        for out, value in ((hi, told.temp_max_c), (lo, told.temp_min_c)):
            out[:, k] = share * (value + sd * error[:, k]) + (1.0 - share) * out[:, k]
        lo[:, k] = np.minimum(lo[:, k], hi[:, k] - 1.0)
        if told.rain_mm is not None:
            takes = roll[:, k] < max(0.0, FORECAST_RAIN[0] - FORECAST_RAIN[1] * age)
            rain[:, k] = np.where(takes, told.rain_mm * size[:, k], rain[:, k])
    return hi, lo, rain


def _ar1(n: int, width: int, start: float, sd: float, memory: float, rng: np.random.Generator) -> Floats:
    noise = rng.standard_normal((n, width)) * sd * np.sqrt(1.0 - memory**2)
    out = np.empty((n, width))
    last = np.full(n, start)
    for k in range(width):
        last = memory * last + noise[:, k]
        out[:, k] = last
    return out


def _from_wave(
    index: YardIndex, span: Sequence[date], n: int, rng: np.random.Generator
) -> tuple[Floats, Floats, Floats]:
    """Weather of ``n`` futures from the usual wave and its doubt: high, low [C], rain [mm]."""
    width = len(span)
    usual = index.usual
    j = np.array([d.timetuple().tm_yday for d in span], dtype=np.float64)
    last_j = float(index.days[-1].timetuple().tm_yday)
    today = (index.temp_max[-1] + index.temp_min[-1]) / 2.0 - float(usual.mean.at(last_j)) if index.known[-1] else 0.0
    mean = usual.mean.drawn(j, n, rng) + _ar1(n, width, float(today), usual.mean.residual, MEMORY, rng)
    regime = _ar1(n, width, 0.0, REGIME_LOG_SD, float(np.exp(-1.0 / REGIME_D)), rng)
    annual = usual.annual_rain_mm * np.exp(usual.annual_rain_log_sd * rng.standard_normal((n, 1)))
    # Rain's season is taken from what this season showed only as far as it goes: the last two
    # months' departure fades over the regime's memory, half believed.
    recent = index.rain[-60:]
    seen = (float(recent.sum()) + 15.0) / (usual.annual_rain_mm * recent.size / 365.25 + 15.0)
    fade = np.exp(-np.arange(1, width + 1) / REGIME_D)
    departure = 0.5 * np.log(np.clip(seen, 0.05, 5.0)) * fade
    lift = np.exp(regime - REGIME_LOG_SD**2 / 2.0 + departure)
    chance = np.clip(annual / 365.25 / usual.wet_day_mm * lift, 0.002, 0.7)
    roll, size = rng.random((n, width)), rng.gamma(0.8, 1.0 / 0.8, (n, width)) * usual.wet_day_mm
    wet = np.zeros((n, width), dtype=np.bool_)
    before = np.zeros(n, dtype=np.bool_)
    for k in range(width):
        c = chance[:, k]
        base = c / (1.0 + c * (WET_AFTER_WET - 1.0))
        before = roll[:, k] < np.where(before, base * WET_AFTER_WET, base)
        wet[:, k] = before
    rain = np.where(wet, size, 0.0)
    span_noise = _ar1(n, width, 0.0, usual.span.residual, 0.4, rng)
    spread = np.maximum(2.0, usual.span.drawn(j, n, rng) + span_noise - 3.0 * wet)
    mean = mean - 1.0 * wet
    return mean + spread / 2.0, mean - spread / 2.0, rain


def outlook(
    index: YardIndex,
    until: date,
    n: int,
    seed: int,
    past_years: Sequence[Sequence[LandDay]] = (),
    *,
    horizon_days: int = HORIZON_D,
    today_log_index: npt.ArrayLike | None = None,
    forecast: Forecast | None = None,
) -> Outlook:
    """Draw ``n`` futures from the day after the index ends to ``until``.

    When ``until`` is not after the index ends, ``horizon_days`` are drawn.

    The same seed gives the same futures, so that plans are compared on the same draws.
    past_years: measured days of earlier years at the place, one sequence per year; those with
    fewer than 300 days are left out.
    today_log_index: each future's own log index of the last day, shape (n,), where a past path was drawn for it
    (``YardIndex.paths``); else drawn from today's estimate.
    forecast: bends the first days' weather; fades until twelve days after it was made.
    """
    if n < 1:
        raise ValueError(f"futures asked for is {n}, wanted one or more.")
    first = index.days[-1] + timedelta(days=1)
    width = (until - index.days[-1]).days
    if width < 1:
        width = horizon_days
    span = [first + timedelta(days=k) for k in range(width)]
    rng = np.random.default_rng(seed)
    years = [{d.day.timetuple().tm_yday: d for d in year} for year in past_years]
    years = [y for y in years if len(y) >= FULL_YEAR_DAYS]
    if years:
        hi, lo, rain = _from_years(years, span, n, rng)
        basis = f"weather of {len(years)} past year{'s' if len(years) != 1 else ''} at the place"
    else:
        hi, lo, rain = _from_wave(index, span, n, rng)
        basis = f"usual weather of {index.usual.rests_on}, bent by the days measured"
    if forecast is not None:
        # a generator of its own, so that everything else is drawn as without a forecast
        hi, lo, rain = _with_forecast(forecast, span, (hi, lo, rain), np.random.default_rng([seed, 7]))
        basis += f"; the first days bent by the forecast of {forecast.made}"
    j = np.array([d.timetuple().tm_yday for d in span], dtype=np.float64)

    land = index.land.copy().spread(n)
    annual = np.full(n, index.usual.annual_rain_mm)
    u = index.track.filtered_mean[-1] + np.sqrt(index.track.filtered_var[-1]) * rng.standard_normal(n)
    if today_log_index is not None:
        u = np.asarray(today_log_index, dtype=np.float64) - index.ground[-1]
        if u.shape != (n,):
            raise ValueError(f"today's log index has shape {u.shape}, wanted ({n},); give one per future.")
    leads_from = index.ground[-1] + u
    wide = Drift(index.drift.log_sd * WIDER, index.drift.memory_d)
    shocks = rng.standard_normal((width, n)) * wide.step_sd
    et0, season = drives(index.latitude_deg, index.elevation_m, j[None, :], hi, lo)
    # days first, so that each step reads one row in memory
    rows = [np.ascontiguousarray(a.T) for a in (hi, rain, et0, season)]
    out = np.empty((width, n))
    bent = index.bent_ahead(span)
    for k in range(width):
        drive = DayDrive(rows[0][k], rows[1][k], rows[2][k], rows[3][k])
        mean_season, moist, pulse, _ = step(land, drive, annual, index.weights)
        u = wide.keep * u + shocks[k]
        out[k] = ground_line(mean_season, moist, pulse, index.water_scale, index.weights) + index.lift + bent[k] + u
    log_index = np.ascontiguousarray(out.T)
    flight, pollen = hours(index.latitude_deg, j[None, :], hi, lo, rain, np.nan, index.rules)
    return Outlook(span, log_index, hi, lo, flight, pollen, daylength_h(index.latitude_deg, j), rain, basis, leads_from)
