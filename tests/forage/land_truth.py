"""An invented land, in invented or in real weather, with flowers by rules of its own, to hold the alert against.

Nothing of the product is used. Invented weather: a yearly wave with remembered departures, rain from a wet season and a
dry one, year factors. Real weather: four years in a row of a place in ``real_weather``. Flowers: a dozen kinds, each with its own peak, width, heat shift and thirst; some places have water that
rain does not tell of. Pollen on offer is their sum over an ordinary good flow, with slow noise. A keeper notes bloom and
counts bees with errors of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tests.forage.real_weather import series

LINE = 0.25
LENGTH_D = 14
BACK_D = 7


@dataclass(frozen=True)
class LandYears:
    """Years of one place: days, high, low [C], rain [mm], pollen on offer."""

    latitude: float
    days: list[date]
    high: np.ndarray
    low: np.ndarray
    rain: np.ndarray
    pollen: np.ndarray


def make(seed: int, years: int = 4, first_year: int = 2018) -> LandYears:
    """A place and its years."""
    rng = np.random.default_rng([7_919, seed])
    latitude = float(rng.uniform(30.0, 39.0))
    n = (date(first_year + years, 1, 1) - date(first_year, 1, 1)).days
    days = [date(first_year, 1, 1) + timedelta(days=k) for k in range(n)]
    doy = np.array([d.timetuple().tm_yday for d in days])
    year = np.array([d.year - first_year for d in days])

    mean = rng.uniform(14.0, 20.0) - rng.uniform(9.0, 12.5) * np.cos(2 * np.pi * (doy - 22) / 365.25)
    warm = rng.normal(0.0, 0.9, years)[year]
    departure = np.empty(n)
    last = 0.0
    for k in range(n):
        last = 0.74 * last + 2.3 * rng.standard_normal()
        departure[k] = last
    wet_season = rng.uniform(0.25, 1.0)
    chance = rng.uniform(0.10, 0.30) * (1.0 + wet_season * np.cos(2 * np.pi * (doy - rng.uniform(0, 40)) / 365.25))
    chance = np.clip(chance * np.exp(rng.normal(0.0, 0.35, years))[year], 0.005, 0.8)
    rain = np.where(rng.random(n) < chance, rng.exponential(9.0, n), 0.0)
    spread = 13.0 + 2.5 * rng.standard_normal(n) - 4.0 * (rain > 0)
    half = np.clip(spread, 4.0, 22.0) / 2.0
    high, low = mean + warm + departure + half, mean + warm + departure - half
    pollen = flowers(rng, days, high, low, rain, 112.0, 278.0)
    return LandYears(latitude, days, high, low, rain, pollen)


def make_real(seed: int, years: int = 4) -> LandYears:
    """Invented flowers in four years in a row of a real place's weather.

    Six in ten are Tunis, three Champion, one Seattle; Cordoba is left out, its dry season is winter.
    """
    rng = np.random.default_rng([15_485_863, seed])
    place = ("tunis", "champion", "seattle")[int(np.searchsorted([0.6, 0.9], rng.random()))]
    record = series(place)
    every, numbers = record.days, np.array([record.high, record.low, record.rain])
    first = int(rng.integers(every[0].year, every[-1].year - years + 2))
    keep = np.array([first <= d.year < first + years for d in every])
    days = [d for d, k in zip(every, keep, strict=True) if k]
    high, low, rain = numbers[:, keep]
    # spring kinds stand about the day when the place's usual mean rises through 16 C, autumn ones when it falls through 21
    doy = np.array([d.timetuple().tm_yday for d in every])
    usual = np.array(
        [(numbers[0] + numbers[1])[np.abs((doy - j + 182) % 365 - 182) <= 7].mean() / 2 for j in range(1, 366)]
    )
    warmest = int(np.argmax(usual))
    rises = int(np.argmin(np.abs(usual[:warmest] - 16.0))) + 1
    falls = warmest + int(np.argmin(np.abs(usual[warmest:] - min(21.0, usual.max() - 2.0)))) + 1
    pollen = flowers(rng, days, high, low, rain, float(rises), float(falls))
    return LandYears(record.latitude, days, high, low, rain, pollen)


def flowers(
    rng: np.random.Generator,
    days: list[date],
    high: np.ndarray,
    low: np.ndarray,
    rain: np.ndarray,
    spring_peak: float,
    autumn_peak: float,
) -> np.ndarray:
    """Pollen on offer over an ordinary good flow, from the weather of ``days``."""
    n = len(days)
    doy = np.array([d.timetuple().tm_yday for d in days])
    store = rng.uniform(60.0, 140.0)
    water, held = np.empty(n), 0.7 * store
    for k in range(n):
        thirst = max(0.3, 0.21 * (high[k] + low[k]) / 2.0)
        held = min(store, max(0.0, held + rain[k] - thirst * (held / store) ** 0.6))
        water[k] = held / store
    slow_water = np.convolve(water, np.ones(18) / 18.0)[:n]

    heat = np.maximum(0.0, (high + low) / 2.0 - 9.0)
    usual_heat = np.zeros(367)
    for j in range(1, 367):
        usual_heat[j] = heat[doy == j].mean() if np.any(doy == j) else usual_heat[j - 1]
    lead = np.convolve(heat - usual_heat[doy], np.ones(75))[:n] / np.maximum(4.0, usual_heat[doy]) * 0.6

    kinds = int(rng.integers(9, 15))
    spring = rng.random(kinds) < 0.62
    peak = np.where(spring, rng.normal(spring_peak, 24.0, kinds), rng.normal(autumn_peak, 18.0, kinds))
    width = rng.uniform(11.0, 27.0, kinds)
    amount = rng.lognormal(0.0, 0.6, kinds)
    thirsty = rng.uniform(0.3, 1.6, kinds)
    watered = rng.random() < 0.3
    offered = np.zeros(n)
    for p, w, a, t in zip(peak, width, amount, thirsty, strict=True):
        apart = (doy + lead - p + 182.6) % 365.25 - 182.6
        shift = np.clip(1.0 - slow_water, 0.0, 1.0) * 6.0 * (apart > 0)
        offered += a * np.exp(-0.5 * ((apart + shift) / w) ** 2) * np.clip(slow_water * 1.5, 0.02, 1.0) ** t
    offered /= np.quantile(offered, 0.9)
    if watered:
        summer = np.exp(-0.5 * ((doy - 205) / 48.0) ** 2)
        offered = offered + rng.uniform(0.35, 0.8) * summer
    noise, last = np.empty(n), 0.0
    for k in range(n):
        last = 0.95 * last + np.sqrt(1 - 0.95**2) * 0.25 * rng.standard_normal()
        noise[k] = last
    return np.asarray((0.012 + offered) * np.exp(noise))


def dearth(pollen: np.ndarray) -> np.ndarray:
    """Days in dearth: two weeks of the week's geometric mean below the line, till a week above it."""
    x = np.log(pollen)
    week = np.array([x[max(0, k - 6) : k + 1].mean() for k in range(x.size)])
    below = week < np.log(LINE)
    on = np.zeros(x.size, dtype=bool)
    state, k = False, 0
    while k < x.size:
        need = BACK_D if state else LENGTH_D
        run = below[k : k + need]
        if run.size == need and bool(run.all() if not state else (~run).all()):
            state = not state
        on[k] = state
        k += 1
    return on


def summer_dearth(land: LandYears, year: int) -> tuple[date, date] | None:
    """First and last day of the longest dearth that begins between April and September, or None."""
    on = dearth(land.pollen)
    best: tuple[date, date] | None = None
    start: date | None = None
    for k, d in enumerate(land.days):
        if on[k] and (k == 0 or not on[k - 1]):
            start = d
        over = start is not None and on[k] and (k + 1 == len(on) or not on[k + 1])
        if over and start is not None and start.year == year and 4 <= start.month <= 9:
            longer = best is None or d - start > best[1] - best[0]
            best = (start, d) if longer else best
    return best


def summer_dearths(land: LandYears, year: int) -> list[tuple[date, date]]:
    """First and last day of every dearth that begins between April and September.

    One that begins in September and still lasts in mid-November is winter coming, and is left out.
    """
    on = dearth(land.pollen)
    found: list[tuple[date, date]] = []
    start: date | None = None
    for k, d in enumerate(land.days):
        if on[k] and (k == 0 or not on[k - 1]):
            start = d
        over = start is not None and on[k] and (k + 1 == len(on) or not on[k + 1])
        if over and start is not None and start.year == year and 4 <= start.month <= 9:
            if start.month < 9 or d < date(year, 11, 16):
                found.append((start, d))
            start = None
    return found


def notes(land: LandYears, year: int, seed: int, every: int = 7) -> list[tuple[date, str, float, int, int]]:
    """What a keeper writes: day, bloom word, hour, returning bees and pollen bees of two minutes at one hive."""
    return [written for written, _ in _looks(land, year, seed, every)]


def _looks(land: LandYears, year: int, seed: int, every: int) -> list[tuple[tuple[date, str, float, int, int], float]]:
    """Every look, and how far its count's scatter lies from nought, in standard deviations."""
    rng = np.random.default_rng([104_729, seed])
    made = []
    ends = np.log(np.array([0.06, 0.22, 0.65]))
    for k, d in enumerate(land.days):
        if d.year != year or d.timetuple().tm_yday % every != 3 % every:
            continue
        level = np.log(land.pollen[k]) + 0.4 * rng.standard_normal()
        word = ("none", "few", "some", "abundant")[int(np.searchsorted(ends, level))]
        scatter = float(rng.standard_normal())
        bees, pollen = _counted(rng, land.pollen[k], scatter)
        made.append(((d, word, 9.5, bees, pollen), scatter))
    return made


def _counted(rng: np.random.Generator, offered: float, scatter: float) -> tuple[int, int]:
    """Returning bees and pollen bees of two minutes; ``scatter`` in standard deviations of 0.5 (log)."""
    pollen = int(rng.poisson(24.0 * offered**0.9 * np.exp(0.5 * scatter) * 2.0))
    return pollen + int(rng.poisson(2.0 * rng.uniform(25.0, 60.0))), pollen


def other_hives(
    land: LandYears, seed: int, alike: float = 0.3, hives: int = 2, every: int = 7
) -> dict[date, list[tuple[int, int]]]:
    """Two minutes at each of ``hives`` more hives of the yard on every day of ``notes``: returning and pollen bees.

    Of the scatter of a count the share ``alike`` (of its variance) is the day's, the same at every hive of the yard; of
    the rest half is the hive's own for all years. The last year has every day, the years before every ``every`` days.
    """
    rng = np.random.default_rng([15_487_469, seed])
    lasting = rng.standard_normal(hives)
    first, last = land.days[0].year, land.days[-1].year
    out = {}
    for year in range(first, last + 1):
        looks = _looks(land, year, seed if year == last else seed + year, 1 if year == last else every)
        for (day, *_), scatter in looks:
            # the day's part, given the scatter of the first hive's count
            common = np.sqrt(alike) * scatter + np.sqrt(1.0 - alike) * rng.standard_normal()
            row = []
            for mine in lasting:
                own = np.sqrt(0.5) * mine + np.sqrt(0.5) * rng.standard_normal()
                offered = land.pollen[(day - land.days[0]).days]
                row.append(_counted(rng, offered, np.sqrt(alike) * common + np.sqrt(1.0 - alike) * own))
            out[day] = row
    return out
