"""The yard index: pollen on offer at a yard, day by day, with its doubt.

1.0 is an ordinary good flow: a colony of 25,000 bees brings about 200 g on a fine day. 0.05 is a deep
dearth. Per day it is log-normal. It is what stands in flower; how much bees can fetch of it
is told apart, in pollen hours.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import partial
from math import exp
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.forage import bloom as flowers
from tideover.forage import filter as land_filter
from tideover.forage import gap_rain
from tideover.forage.climate import Climate, TypicalYear, climate
from tideover.forage.filter import DEFAULT_DRIFT, Drift, Likelihood, Track
from tideover.forage.habit import Habit
from tideover.forage.heat import heat_index_f, visit_cautions
from tideover.forage.hours import DEFAULT_RULES, FINE_DAY_POLLEN_H, FlightRules, hours
from tideover.forage.notes import (
    FINE_DAY_G,
    HIGHEST_LOG,
    LOWEST_LOG,
    STANDARD_ADULTS,
    BloomNote,
    CountNote,
    day_likelihood,
    pollen_hour_weight,
)
from tideover.forage.outlook import Outlook, outlook
from tideover.forage.response import (
    DEFAULT_WEIGHTS,
    DayDrive,
    LandState,
    ResponseWeights,
    adaptation,
    drives,
    ground_line,
    place_lift,
    start,
    step,
)
from tideover.forage.sun import daylength_h
from tideover.forage.weather import Bools, LandDay, gap_free

__all__ = [
    "BloomNote", "CountNote", "LandDay", "Outlook", "YardIndex", "heat_index_f", "in_words", "income_g", "outlook",
    "visit_cautions", "yard_index",
]  # fmt: skip

Floats = npt.NDArray[np.float64]
BEFORE_NOTES_D: Final = 60
UNMEASURED_STEP_SD: Final = 0.10
"""More daily movement of the land state on days without measured weather (our assumption)."""
DEARTH_INDEX: Final = 0.25
DEEP_DEARTH_INDEX: Final = 0.08
GOOD_INDEX: Final = 0.60


@dataclass(frozen=True)
class YardIndex:
    """Pollen on offer and weather of each day; all arrays have one value per day of ``days``.

    log_mean, log_sd: smoothed log-normal index. drought: Keetch-Byram [mm, 0-203.2].
    soil_ks: 1 without water stress, 0 at wilting. ``ground`` is the log index expected from
    weather alone; ``known`` marks measured weather; ``noted`` the days with a note or count.
    """

    days: list[date]
    log_mean: Floats
    log_sd: Floats
    temp_max: Floats
    temp_min: Floats
    rain: Floats
    daylength_h: Floats
    flight_h: Floats
    pollen_h: Floats
    drought: Floats
    soil_ks: Floats
    latitude_deg: float
    elevation_m: float
    ground: Floats
    known: Bools
    noted: Bools
    track: Track = field(repr=False)
    land: LandState = field(repr=False)
    usual: Climate = field(repr=False)
    water_scale: float = 1.0
    lift: float = 0.0
    drift: Drift = DEFAULT_DRIFT
    weights: ResponseWeights = DEFAULT_WEIGHTS
    rules: FlightRules = DEFAULT_RULES
    extra_sd: Floats | None = field(default=None, repr=False)
    standing: tuple[flowers.Standing, ...] = ()
    habit: Habit | None = None

    @property
    def median(self) -> Floats:
        """Median index of each day."""
        return np.asarray(np.exp(self.log_mean))

    def band(self, level: float = 0.8) -> tuple[Floats, Floats]:
        """Central interval of each day's index."""
        from scipy.special import ndtri

        z = float(ndtri(0.5 + level / 2.0))
        reach = z * self.log_sd
        return np.asarray(np.exp(self.log_mean - reach)), np.asarray(np.exp(self.log_mean + reach))

    def at(self, day: date) -> int:
        """Position of ``day`` in the arrays; IndexError when it is not covered."""
        k = (day - self.days[0]).days
        if not 0 <= k < len(self.days):
            raise IndexError(f"{day} is not covered, wanted {self.days[0]} to {self.days[-1]}.")
        return k

    def bent_ahead(self, span: Sequence[date]) -> Floats:
        """What the yard's habit and plants add to the log index on days after the last, in usual weather from here on.

        Soil water is held where it is and no rain is foreseen; shape (days,), noughts with neither.
        """
        learned = np.zeros(len(span)) if self.habit is None or not span else self.habit.at(span)
        if not self.standing or not span:
            return learned
        back = min(120, len(self.days))
        every = [*self.days[-back:], *span]
        j = np.array([d.timetuple().tm_yday for d in every], dtype=np.float64)
        hi, lo, n = self.usual.usual_max(j), self.usual.usual_min(j), len(span)
        return learned + flowers.log_shift(
            self.standing, self.latitude_deg, j, np.concatenate([self.temp_max[-back:], hi[back:]]),
            np.concatenate([self.temp_min[-back:], lo[back:]]), hi, lo,
            np.concatenate([self.soil_ks[-back:], np.full(n, self.soil_ks[-1])]),
            np.concatenate([self.rain[-back:], np.zeros(n)]),
        )[back:]  # fmt: skip

    def paths(self, n: int, seed: int) -> Floats:
        """Draw ``n`` whole paths of the log index given all notes, shape (n, days); same seed, same paths.

        Use these, not independent daily draws, where sums over days matter: the land's departures last weeks.
        """
        rng = np.random.default_rng(seed)
        return np.asarray(self.ground + land_filter.sample_paths(self.track, n, rng, self.drift, self.extra_sd))


def income_g(index: npt.ArrayLike, adults: npt.ArrayLike, pollen_h: npt.ArrayLike) -> Floats:
    """Pollen a colony would bring in a day [g] if its wish were ordinary: index x 200 g, by bees and hours.

    Hours beyond a quarter above the fine day's add nothing.
    """
    hours_share = np.minimum(1.25, np.asarray(pollen_h, dtype=np.float64) / FINE_DAY_POLLEN_H)
    return np.asarray(np.asarray(index) * FINE_DAY_G * np.asarray(adults) / STANDARD_ADULTS * hours_share)


def yard_index(
    place_latitude_deg: float,
    days: Sequence[LandDay],
    bloom: Sequence[BloomNote] = (),
    counts: Sequence[CountNote] = (),
    until: date | None = None,
    elevation_m: float = 0.0,
    *,
    drift: Drift = DEFAULT_DRIFT,
    weights: ResponseWeights = DEFAULT_WEIGHTS,
    rules: FlightRules = DEFAULT_RULES,
    solar_noon_hour: float = 12.0,
    standing: Sequence[flowers.Standing] = (),
    habit: Habit | None = None,
    typical: TypicalYear | None = None,
) -> YardIndex:
    """Estimate the index of a yard from its first day of weather (or 60 days before its first note) until ``until``.

    place_latitude_deg: [deg], south negative. elevation_m: [m]. Days without weather take the usual
    temperatures of the place and its usual rain of the season (``gap_rain``), with more doubt. Notes and weather after
    ``until`` are not looked at. Hours of counts are clock hours; ``solar_noon_hour`` is the clock hour of solar noon.
    standing: plants that grow at the yard, if the keeper listed them; they bend the season's shape.
    habit: what earlier years' notes teach of the yard, if there are any; the drift is then that around it.
    typical: a typical year near the yard, which stands in where nothing was measured.

    Raises ValueError when there is neither weather nor a note nor a date.
    """
    stamps = [d.day for d in days] + [b.day for b in bloom] + [c.day for c in counts]
    if until is None:
        if not stamps:
            raise ValueError("no weather, note or date was given; give the day the index is wanted for.")
        until = max(stamps)
    seen_days = sorted((d for d in days if d.day <= until), key=lambda d: d.day)
    notes = [b for b in bloom if b.day <= until]
    tallies = [c for c in counts if c.day <= until]
    early = [n.day for n in notes] + [c.day for c in tallies]
    first = min([d.day for d in seen_days[:1]] + [min(early, default=until) - timedelta(days=BEFORE_NOTES_D)])

    latest = {d.day: d for d in seen_days}
    measured = list(latest.values())
    usual = climate(
        place_latitude_deg,
        elevation_m,
        [d.day.timetuple().tm_yday for d in measured],
        [d.temp_max_c for d in measured],
        [d.temp_min_c for d in measured],
        [d.rain_mm for d in measured if d.rain_mm is not None],
        typical,
    )
    span = [first + timedelta(days=k) for k in range((until - first).days + 1)]
    j = np.array([d.timetuple().tm_yday for d in span], dtype=np.float64)
    run = gap_free(measured, first, until, usual.usual_max(j), usual.usual_min(j))
    rain = run.rain
    if not run.rain_known.all():
        fell = np.where(run.rain_known, run.rain, np.nan)
        rain = gap_rain.filled(j, fell, usual.annual_rain_mm, usual.wet_day_mm)

    n = len(span)
    et0, today = drives(place_latitude_deg, elevation_m, j, run.temp_max, run.temp_min, run.wind, run.humidity)
    season, moist, pulse, ks, drought_mm = (np.empty(n) for _ in range(5))
    land = start(weights)
    for k in range(n):
        drive = DayDrive(run.temp_max[k], rain[k], et0[k], today[k])
        season[k], moist[k], pulse[k], ks[k] = step(land, drive, usual.annual_rain_mm, weights)
        drought_mm[k] = land.drought_mm
    scale = adaptation(moist, weights)
    ground = ground_line(season, moist, pulse, scale, weights)
    lift = place_lift(ground, weights)
    ground = ground + lift
    if habit is not None:
        ground = ground + habit.at(span)
        drift = habit.drift(drift)
    if standing:
        ground = ground + flowers.log_shift(
            standing, place_latitude_deg, j, run.temp_max, run.temp_min, usual.usual_max(j), usual.usual_min(j), ks,
            rain,
        )  # fmt: skip
    flight, pollen = hours(place_latitude_deg, j, run.temp_max, run.temp_min, run.rain, run.wind, rules)

    by_day: dict[int, tuple[list[BloomNote], list[tuple[CountNote, float]]]] = defaultdict(lambda: ([], []))
    for b in notes:
        by_day[(b.day - first).days][0].append(b)
    for c in tallies:
        k = (c.day - first).days
        sun = replace(c, hour=(c.hour - solar_noon_hour + 12.0) % 24.0)
        weight = pollen_hour_weight(sun, place_latitude_deg, float(run.temp_max[k]), float(run.temp_min[k]))
        by_day[k][1].append((sun, weight))
    likelihoods: dict[int, Likelihood] = {
        k: partial(day_likelihood, bloom=noted_bloom, counts=counted) for k, (noted_bloom, counted) in by_day.items()
    }
    # a filled temperature is as doubtful as none at all once its doubt reaches that of the usual weather
    filled = UNMEASURED_STEP_SD * np.minimum(1.0, run.temp_sd / usual.mean.residual)
    extra = np.where(run.known & run.rain_known, filled, UNMEASURED_STEP_SD)
    track = land_filter.run(ground, likelihoods, extra, drift, (LOWEST_LOG, HIGHEST_LOG))
    noted = np.zeros(n, dtype=np.bool_)
    noted[list(by_day)] = True
    return YardIndex(
        days=span, log_mean=np.asarray(ground + track.smooth_mean), log_sd=np.asarray(np.sqrt(track.smooth_var)),
        temp_max=run.temp_max, temp_min=run.temp_min, rain=rain, daylength_h=daylength_h(place_latitude_deg, j),
        flight_h=flight, pollen_h=pollen, drought=drought_mm, soil_ks=ks, latitude_deg=place_latitude_deg,
        elevation_m=elevation_m, ground=ground, known=run.known, noted=noted, track=track, land=land, usual=usual,
        water_scale=scale, lift=lift, drift=drift, weights=weights, rules=rules, extra_sd=extra,
        standing=tuple(standing), habit=habit,
    )  # fmt: skip


def level_in_words(index: float) -> str:
    """A word for an index: deep dearth, dearth, some pollen, good flow."""
    if index < DEEP_DEARTH_INDEX:
        return "deep dearth"
    if index < DEARTH_INDEX:
        return "dearth"
    return "some pollen" if index < GOOD_INDEX else "good flow"


def in_words(index: YardIndex) -> str:
    """Say what the land gives at the last day, how sure that is, and what drove it."""
    low, high = index.band(0.8)
    mid = exp(index.log_mean[-1])
    week = float(index.log_mean[-1] - index.log_mean[-8]) if len(index.days) > 8 else 0.0
    trend = "falling" if week < -0.2 else "rising" if week > 0.2 else "steady"
    lowest, highest = level_in_words(float(low[-1])), level_in_words(float(high[-1]))
    doubt = f"surely {lowest}" if lowest == highest else f"anywhere from {lowest} to {highest}"
    mm = index.drought[-1]
    dry = (
        f"drought {mm:.0f} of 203 mm ({mm / 0.254:.0f} of 800), soil water stress {100 * (1 - index.soil_ks[-1]):.0f} %"
    )
    last = np.flatnonzero(index.noted)
    if last.size:
        ago = len(index.days) - 1 - int(last[-1])
        basis = "seen today" if ago == 0 else f"last seen {ago} day{'s' if ago != 1 else ''} ago"
    else:
        basis = "by weather, no bloom or count noted"
    hours_text = f"{index.pollen_h[-1]:.0f} h fit for pollen of {index.daylength_h[-1]:.0f} h of day"
    level = level_in_words(mid).capitalize()
    return f"{level} ({mid:.2f} of a good flow, {doubt}), {trend}; {basis}; {hours_text}; {dry}."
