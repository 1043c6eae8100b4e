"""A yard's land: its season so far and its futures, from what the books hold."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony.weather import Weather
from tideover.desk.forecast import forecast_of, typical_of
from tideover.evidence.clock import solar_noon_hour
from tideover.evidence.seen import Place, Seen
from tideover.evidence.sky import Sky, ahead
from tideover.figures.units import to_f
from tideover.forage.air import actual_kpa_from_mean, saturation_kpa
from tideover.forage.bloom import Standing, learned, standing_of
from tideover.forage.climate import TypicalYear
from tideover.forage.habit import LEAST_NOTES, Habit, habit
from tideover.forage.heat import afternoon_wind_ms, heat_index_f
from tideover.forage.index import BloomNote, CountNote, LandDay, YardIndex, in_words, outlook, yard_index
from tideover.forage.sun import daylength_h
from tideover.plan.call import Interval
from tideover.plan.season_dates import cluster_date, stop_window
from tideover.plan.settings import Settings

Floats = NDArray[np.float64]

SEASON_BACK_D: Final = 240
"""Notes and counts older than this belong to another season."""
RECORD_BACK_D: Final = 3 * 365
"""Weather is followed from this many days back."""
LEAST_AHEAD_D: Final = 75


@dataclass(frozen=True)
class Land:
    """One yard on the morning of ``today``."""

    place: Place
    today: date
    index: YardIndex
    sky: Sky
    weather: Weather
    leads_from: Floats
    """Log index of the last day that is past, from which each future goes on, shape (futures,)."""
    basis: str
    cluster: date
    cluster_how: str
    stop: date | None
    now: Interval
    words: str
    temp_max_today_c: float
    heat_index_f: float | None
    humidity: float | None
    wind_ms: float | None
    rain_mm: float | None
    drought_mm: float
    past_max_c: tuple[float, ...]


def _number(s: Seen, name: str) -> float | None:
    v = s.values.get(name)
    return float(v) if isinstance(v, (int, float)) else None


def land_days(seen: Sequence[Seen]) -> list[LandDay]:
    """The weather days among a yard's entries, one per day (the last written stands)."""
    days: dict[date, LandDay] = {}
    for s in seen:
        if s.kind == "weather day":
            hi, lo = _number(s, "temp_max"), _number(s, "temp_min")
            if hi is not None and lo is not None:
                days[s.day] = LandDay(
                    s.day, hi, lo, _number(s, "rain"), _number(s, "wind"), _number(s, "humidity"),
                    _number(s, "temp_sd") or 0.0,
                )  # fmt: skip
    return [days[d] for d in sorted(days)]


def _notes(seen: Sequence[Seen]) -> list[BloomNote]:
    return [
        BloomNote(s.day, str(s.values["bloom"]), str(s.values.get("plant") or ""))
        for s in seen
        if s.kind == "bloom note" and "bloom" in s.values
    ]


def _counts(counts: Sequence[Seen]) -> list[CountNote]:
    made = []
    for s in counts:
        minutes, bees, pollen = _number(s, "minutes"), _number(s, "bees_in"), _number(s, "with_pollen")
        if minutes and bees is not None and pollen is not None:
            made.append(CountNote(s.day, s.hour, _number(s, "shade_temp"), minutes, int(bees), int(pollen)))
    return made


def hot_humidity(day: LandDay | None) -> float | None:
    """Relative humidity at the day's hottest hour, from the day's mean humidity (vapour pressure held)."""
    if day is None or day.humidity is None:
        return None
    ea = float(actual_kpa_from_mean(day.temp_max_c, day.temp_min_c, day.humidity))
    return float(np.clip(100.0 * ea / float(saturation_kpa(day.temp_max_c)), 3.0, 100.0))


def standing(held: object, notes: Sequence[BloomNote], latitude_deg: float, today: date) -> list[Standing]:
    """The plants listed for a yard (a setting, None without one), their seasons bent by earlier years' notes."""
    if held is None:
        return []
    return learned(standing_of(held), notes, latitude_deg, today - timedelta(days=SEASON_BACK_D))


def bloom_notes(seen: Sequence[Seen]) -> list[BloomNote]:
    """The bloom notes among a yard's entries, all years."""
    return _notes(seen)


def earlier_habit(place: Place, yard_seen: Sequence[Seen], counts: Sequence[Seen], before: date) -> Habit | None:
    """What the years before ``before`` teach of a yard; None without notes enough."""
    noted = [n for n in _notes(yard_seen) if n.day < before]
    tallied = [c for c in _counts(counts) if c.day < before]
    if len({n.day for n in noted} | {c.day for c in tallied}) < LEAST_NOTES:
        return None
    weather = [d for d in land_days(yard_seen) if d.day < before]
    last = before - timedelta(days=1)
    noon = solar_noon_hour(place, before)
    then = yard_index(place.latitude, weather, noted, tallied, last, place.elevation_m, solar_noon_hour=noon)
    return habit(then.days, then.track, then.noted, then.drift)


def season_index(
    place: Place,
    yard_seen: Sequence[Seen],
    counts: Sequence[Seen],
    today: date,
    grows: Sequence[Standing] = (),
    typical: TypicalYear | None = None,
) -> tuple[YardIndex, list[list[LandDay]]]:
    """The index of a yard up to the day before ``today``, and the weather of earlier years there.

    What was noted or counted today is read with yesterday, whose weather is known: a look tells at once.

    :param grows: plants listed for the yard; they bend the season's shape.
    :param typical: a typical year near the yard, which stands in where nothing was measured.
    """
    yesterday = today - timedelta(days=1)
    every = land_days(yard_seen)
    start = today - timedelta(days=SEASON_BACK_D)
    # The whole record: plants of a dry place flower on less, which only more than a year of weather can show.
    record = [d for d in every if today - timedelta(days=RECORD_BACK_D) <= d.day <= yesterday]
    past: dict[int, list[LandDay]] = {}
    for d in every:
        if d.day < start or d.day.year < start.year:
            past.setdefault(d.day.year, []).append(d)
    index = yard_index(
        place.latitude,
        record,
        [replace(n, day=min(n.day, yesterday)) for n in _notes(yard_seen) if start <= n.day <= today],
        [replace(c, day=min(c.day, yesterday)) for c in _counts(counts) if start <= c.day <= today],
        yesterday,
        place.elevation_m,
        solar_noon_hour=solar_noon_hour(place, today),
        standing=grows,
        habit=earlier_habit(place, yard_seen, counts, start),
        typical=typical,
    )
    return index, list(past.values())


def build(
    place: Place,
    yard_seen: Sequence[Seen],
    counts: Sequence[Seen],
    today: date,
    settings: Settings,
    *,
    members: int,
    seed: int,
    grows: object = None,
    forecast: object = None,
    typical: object = None,
) -> Land:
    """Make a yard's land.

    :param place: where it is.
    :param yard_seen: the yard's own entries (weather days, bloom notes).
    :param counts: entrance counts at its hives.
    :param today: the day of the call; the past ends the day before.
    :param members: futures and paths drawn.
    :param seed: seed of both.
    :param grows: the yard's list of plants as kept in the settings; None without one.
    :param forecast: the yard's weather forecast as kept in the settings; None without one.
    :param typical: a typical year near the yard as kept in the settings; None without one.
    """
    yesterday = today - timedelta(days=1)
    every = land_days(yard_seen)
    start = today - timedelta(days=SEASON_BACK_D)
    season = [d for d in every if start <= d.day <= yesterday]
    plants = standing(grows, _notes(yard_seen), place.latitude, today)
    index, past = season_index(place, yard_seen, counts, today, plants, typical_of(typical))
    formed = cluster_date(settings, place, today, [(d.day, d.temp_max_c, d.temp_min_c) for d in every])
    window = stop_window(settings, place, today)
    reach = max(LEAST_AHEAD_D, min((formed.day - today).days + 1, 250))
    coming = forecast_of(forecast, today)
    futures = outlook(index, today + timedelta(days=reach - 1), members, seed, past, forecast=coming)
    weather = ahead(futures)
    q = np.exp(np.quantile(weather.log_index[:, 0], [0.1, 0.5, 0.9]))
    tmax = float(np.median(weather.temp_max_c[:, 0]))
    last = season[-1] if season and (today - season[-1].day).days <= 7 else None
    if coming is not None and coming.days[0].day == today:
        last = coming.days[0]
    humid = hot_humidity(last)
    return Land(
        place,
        today,
        index,
        Sky.of(index, members, seed + 1),
        weather,
        futures.leads_from,
        futures.basis,
        formed.day,
        formed.how,
        window.stop if window is not None else None,
        Interval(float(q[1]), float(q[0]), float(q[2])),
        in_words(index),
        tmax,
        float(heat_index_f(to_f(tmax), humid)) if humid is not None else None,
        humid,
        afternoon_wind_ms(last.wind_ms) if last and last.wind_ms is not None else None,
        float(np.median(futures.rain[:, 0])) if last else None,
        float(index.drought[-1]),
        tuple(float(t) for t in index.temp_max[-14:]),
    )


def daylength_today_h(land: Land) -> float:
    """Day length at a yard today [h]."""
    return float(daylength_h(land.place.latitude, np.array([land.today.timetuple().tm_yday]))[0])
