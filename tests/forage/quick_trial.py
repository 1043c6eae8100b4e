"""The trial of ``alert_trial``, many times faster: the same model with its loops compiled, and what weather alone decides kept.

Nothing is decided here: weather, habit, notes, futures and alert are the product's own functions; only the day-by-day
walk of the ground line, the filter, the drawing of paths and the runs of a dearth are compiled, a day's likelihood is
read from a table in steps of 0.055, and draws of chance are others. ``test_quick_trial`` holds the two against each
other.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache
from math import log
from typing import Any

import numba as nb
import numpy as np
import numpy.typing as npt

from tests.forage import alert_trial as trial
from tests.forage import land_truth as truth
from tideover.forage import alert as alerts
from tideover.forage import drought, soil
from tideover.forage import outlook as futures
from tideover.forage.climate import climate
from tideover.forage.filter import DEFAULT_DRIFT, GRID_POINTS, Drift, Track
from tideover.forage.habit import Habit, habit
from tideover.forage.index import BloomNote, CountNote, LandDay
from tideover.forage.notes import (
    DEFAULT_COUNT_RULES,
    HIGHEST_LOG,
    LEAST_FIT,
    LEAST_SHARE,
    LOWEST_LOG,
    MOST_SHARE,
    RETURNS_PER_MIN_AT_ONE,
    STANDARD_ADULTS,
    _guard,
    _scatter,
    bloom_likelihood,
    pollen_hour_weight,
)
from tideover.forage.response import (
    DEFAULT_WEIGHTS,
    PULSE_FROM_D,
    WINDOW_D,
    LandState,
    adaptation,
    drives,
    ground_line,
    place_lift,
    start,
)

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
TABLE = np.linspace(-14.0, 8.0, 401)
_STEP = TABLE[1] - TABLE[0]
AHEAD_D = 45
BACK_D = 120
Counts = tuple[tuple[int, int], ...]
_W = DEFAULT_WEIGHTS
_DRIEST, _CUP = drought.DRIEST_MM, drought.INTERCEPTED_MM
_COLD, _C1, _C2, _PER_F, _PER_C = drought.NO_DRYING_AT_OR_BELOW_C, drought.C1, drought.C2, drought.PER_F, drought.PER_C
_RAIN_D, _RAIN_E = drought.RAIN_D, drought.RAIN_E_PER_IN / 25.4
_TAW, _P, _KC = soil.AVAILABLE_MM, soil.P_TABLE, soil.CROP_FACTOR
_SHARE, _PULSE, _NONE, _FULL = _W.bucket_share, _W.pulse_peak, _W.pulse_none_mm, _W.pulse_full_mm


@nb.njit(cache=True)
def _walk(
    hi: Floats, rain: Floats, et0: Floats, season: Floats, annual: float, held: Floats, rings: Floats, fresh: bool
) -> Floats:
    """Season, moisture, pulse, Ks and drought of each day of one place, shape (5, days); the state is carried on.

    :param held: drought, wet spell, depletion [mm].
    :param rings: moisture, season, spells of the last three weeks, shape (3, 21).
    """
    n = hi.size
    out = np.empty((5, n))
    cover = 1.0 + _RAIN_D * np.exp(-_RAIN_E * annual)
    for k in range(n):
        before = held[1] if rain[k] > 0.0 else 0.0
        after = before + rain[k]
        net = max(0.0, after - _CUP) - max(0.0, before - _CUP)
        q = max(0.0, held[0] - net)
        dry = 0.0
        if hi[k] > _COLD:
            dry = max(0.0, (_DRIEST - q) * (_C1 * np.exp(_PER_C * hi[k] + _PER_F * 32.0) - _C2) * 1e-3 / cover)
        held[0], held[1] = min(_DRIEST, q + dry), after
        wet = max(0.0, held[2] - rain[k])
        etc = _KC * et0[k]
        p = min(0.8, max(0.1, _P + 0.04 * (5.0 - etc)))
        ks = min(1.0, max(0.0, (_TAW - wet) / ((1.0 - p) * _TAW)))
        held[2] = min(_TAW, max(0.0, wet + ks * etc))
        if fresh and k == 0:
            rings[1, :] = season[0]
        rings[:, :-1] = rings[:, 1:].copy()
        rings[0, -1] = _SHARE * ks + (1.0 - _SHARE) * (1.0 - held[0] / _DRIEST)
        rings[1, -1] = season[k]
        rings[2, -1] = held[1]
        opened = rings[2, : WINDOW_D - PULSE_FROM_D].max()
        out[0, k] = rings[1].mean()
        out[1, k] = rings[0].mean()
        out[2, k] = _PULSE * min(1.0, max(0.0, (opened - _NONE) / (_FULL - _NONE)))
        out[3, k] = ks
        out[4, k] = held[0]
    return out


@nb.njit(cache=True)
def _many(hi: Floats, rain: Floats, et0: Floats, season: Floats, annual: float, held: Floats, rings: Floats) -> Floats:
    """The walk of many futures from one state, shape (5, futures, days)."""
    out = np.empty((5, hi.shape[0], hi.shape[1]))
    for i in range(hi.shape[0]):
        out[:, i, :] = _walk(hi[i], rain[i], et0[i], season[i], annual, held.copy(), rings.copy(), False)
    return out


@nb.njit(cache=True)
def _update(mean: float, var: float, ground: float, told: Floats) -> tuple[float, float]:
    """``filter._update`` with the day's likelihood told on the table's points."""
    sd = np.sqrt(var)
    a, b = min(mean - 6.0 * sd, LOWEST_LOG - ground), max(mean + 6.0 * sd, HIGHEST_LOG - ground)
    n = GRID_POINTS
    if (b - a) / (n - 1) > sd / 4.0:
        n = int((b - a) / (sd / 4.0)) + 1
    step = (b - a) / (n - 1)
    total, first, second = 0.0, 0.0, 0.0
    for i in range(n):
        u = a + i * step
        at = (u + ground - TABLE[0]) / _STEP
        k = min(max(int(at), 0), TABLE.size - 2)
        share = min(1.0, max(0.0, at - k))
        w = np.exp(-0.5 * ((u - mean) / sd) ** 2) * ((1.0 - share) * told[k] + share * told[k + 1])
        total += w
        first += w * u
        second += w * u * u
    if not np.isfinite(total) or total <= 0.0:
        return mean, var
    new = first / total
    return new, max(1e-6, second / total - new * new)


@nb.njit(cache=True)
def _filter(ground: Floats, noted: npt.NDArray[np.int64], told: Floats, log_sd: float, keep: float) -> Floats:
    """Filtered and smoothed mean and variance of the land state, shape (4, days).

    :param noted: row of ``told`` of each day's notes, -1 without; shape (days,).
    """
    n = ground.size
    step_var = log_sd**2 * (1.0 - keep**2)
    out = np.empty((4, n))
    pm, pv = np.empty(n), np.empty(n)
    mean, var = 0.0, log_sd**2
    for d in range(n):
        if d:
            mean, var = keep * mean, keep**2 * var + step_var
        pm[d], pv[d] = mean, var
        if noted[d] >= 0:
            mean, var = _update(mean, var, ground[d], told[noted[d]])
        out[0, d], out[1, d] = mean, var
    out[2:] = out[:2]
    for d in range(n - 2, -1, -1):
        gain = out[1, d] * keep / pv[d + 1]
        out[2, d] = out[0, d] + gain * (out[2, d + 1] - pm[d + 1])
        out[3, d] = max(1e-6, out[1, d] + gain**2 * (out[3, d + 1] - pv[d + 1]))
    return out


@nb.njit(cache=True)
def _joined(
    mean: Floats,
    var: Floats,
    ground: Floats,
    noise: Floats,
    keep: float,
    log_sd: float,
    wider: float,
    ahead: Floats,
    shocks: Floats,
) -> Floats:
    """Paths through the past, drawn backward, and on through the days ahead, shape (paths, past and future days).

    :param noise: (past days, paths). ``ahead``: the futures' ground, (paths, days). ``shocks``: (days, paths).
    """
    back, n = noise.shape
    width = ahead.shape[1]
    step_var = log_sd**2 * (1.0 - keep**2)
    out = np.empty((n, back + width))
    u = mean[back - 1] + np.sqrt(var[back - 1]) * noise[back - 1]
    on = u.copy()
    out[:, back - 1] = ground[back - 1] + u
    for d in range(back - 2, -1, -1):
        forth = keep**2 * var[d] + step_var
        gain = var[d] * keep / forth
        u = mean[d] + gain * (u - keep * mean[d]) + np.sqrt(max(0.0, var[d] - gain**2 * forth)) * noise[d]
        out[:, d] = ground[d] + u
    for k in range(width):
        on = keep * on + wider * np.sqrt(step_var) * shocks[k]
        out[:, back + k] = ahead[:, k] + on
    return out


@nb.njit(cache=True)
def _on(below: npt.NDArray[np.bool_], dearth_d: int, back_d: int) -> npt.NDArray[np.bool_]:
    paths, days = below.shape
    on = np.zeros((paths, days), dtype=np.bool_)
    for p in range(paths):
        state, run, since = False, 0, 0
        for d in range(days):
            differs = below[p, d] != state
            if differs and run == 0:
                since = d
            run = run + 1 if differs else 0
            needed = back_d if state else dearth_d
            on[p, d] = state
            if run >= needed or (differs and d == days - 1 and not state and run >= dearth_d // 2):
                on[p, since : d + 1] = not state
                state = not state
                run = 0
    return on


def in_dearth(log_index: npt.ArrayLike, rules: alerts.AlertRules = alerts.DEFAULT_ALERT) -> npt.NDArray[np.bool_]:
    """``alert.in_dearth``, path by path."""
    below = alerts.smooth(np.atleast_2d(np.asarray(log_index)), rules.mean_d) < log(rules.line)
    return np.asarray(_on(below, rules.dearth_d, rules.back_d))


def _held(land: LandState) -> tuple[Floats, Floats]:
    return (
        np.array([float(land.drought_mm), float(land.spell_mm), float(land.depletion_mm)]),
        np.stack([land.moist, land.season, land.spells]).astype(np.float64),
    )


@nb.njit(cache=True)
def _scattered(at: Floats, points: Floats, log_weights: Floats, p: int, n: int, odds: bool) -> Floats:
    """Log-likelihood of a Poisson count (or, with ``odds``, of ``p`` of ``n``) under scatter, shape as ``at``."""
    out, each = np.empty(at.size), np.empty(points.size)
    spread, flat = np.exp(points), log_weights + p * points
    for i in range(at.size):
        if odds and i > 0 and at[i] == at[i - 1]:
            out[i] = out[i - 1]
            continue
        middle = np.exp(at[i])
        for k in range(points.size):
            each[k] = flat[k] - (n * np.log1p(middle * spread[k]) if odds else middle * spread[k])
        top, total = each.max(), 0.0
        for k in range(points.size):
            if each[k] > top - 40.0:
                total += np.exp(each[k] - top)
        out[i] = p * at[i] + top + np.log(total)
    return out


@lru_cache(maxsize=50_000)
def _table(note: CountNote, weight: float) -> Floats:
    """``notes.count_log_likelihood`` on the table's points."""
    rules, fit = DEFAULT_COUNT_RULES, max(weight, LEAST_FIT)
    outside = rules.outside_log_sd * (1.0 - fit)
    adults = note.adults if note.adults is not None else STANDARD_ADULTS
    doubt = np.hypot(rules.colony_log_sd, outside)
    if note.adults is None:
        doubt = np.hypot(doubt, rules.adults_unknown_log_sd)
    p, n = note.with_pollen, note.bees_in
    points, weights = _scatter(float(doubt), p)
    at = log(RETURNS_PER_MIN_AT_ONE * note.minutes * fit * adults / STANDARD_ADULTS) + TABLE
    rate = _scattered(at, points[:, 0], weights[:, 0], p, n, False)
    share = np.clip(rules.share_at_one * np.exp(rules.share_power * TABLE) * fit**0.5, LEAST_SHARE, MOST_SHARE)
    points, weights = _scatter(float(np.hypot(rules.share_logit_sd, outside)), n)
    split = _scattered(np.log(share / (1.0 - share)), points[:, 0], weights[:, 0], p, n, True)
    return np.asarray(rules.rate_weight * rate + (1.0 - rules.rate_weight) * split)


def _line(
    latitude: float, j: Floats, hi: Floats, lo: Floats, rain: Floats
) -> tuple[float, Floats, float, float, LandState]:
    """Yearly rain, ground line, its scale and lift, and the land's state on the last day."""
    usual = climate(latitude, 0.0, j, hi, lo, rain)
    et0, today = drives(latitude, 0.0, j, hi, lo)
    held, rings = _held(start(_W))
    season, moist, pulse, _, _ = _walk(hi, rain, et0, today, usual.annual_rain_mm, held, rings, True)
    end = LandState(np.array(held[0]), np.array(held[1]), np.array(held[2]), rings[0], rings[1], rings[2])
    scale = adaptation(moist, _W)
    ground = ground_line(season, moist, pulse, scale, _W)
    lift = place_lift(ground, _W)
    return usual.annual_rain_mm, ground + lift, scale, lift, end


def _day_told(bloom: tuple[str, ...], counts: tuple[tuple[CountNote, float], ...]) -> Floats:
    """``notes.day_likelihood`` on the table's points."""
    like = np.ones_like(TABLE)
    for word in bloom:
        like = like * bloom_likelihood(BloomNote(date(2000, 1, 1), word), TABLE)
    share = 1.0 / (1.0 + DEFAULT_COUNT_RULES.same_day_correlation * (len(counts) - 1)) if counts else 1.0
    for count, weight in counts:
        log_like = _table(count, weight)
        like = like * _guard(np.exp(log_like - log_like.max()), TABLE) ** share
    return np.asarray(like / like.max())


@dataclass
class Place:
    """One seed's land and what its weather alone decides; ``lines`` fills as mornings are asked for."""

    seed: int
    land: truth.LandYears
    year: int
    dry: Bools
    dry_runs: tuple[tuple[date, date], ...]
    truths: tuple[tuple[date, date], ...]
    calendar: tuple[date, date] | None
    could: dict[date, tuple[str, float, int, int]]
    before: list[tuple[date, str, float, int, int]]
    high: Floats
    low: Floats
    j: Floats
    lines: dict[Any, Any] = field(default_factory=dict)
    told: dict[Any, Floats] = field(default_factory=dict)

    def kept(self, key: Any, make: Any) -> Any:
        """What is asked for, made once."""
        if key not in self.lines:
            self.lines[key] = make()
        return self.lines[key]

    def ground(self, first: int, last: int) -> tuple[float, Floats, float, float, LandState]:
        """The ground line from the days ``first`` up to and with ``last``; see ``_line``."""
        s = slice(first, last + 1)
        return self.kept(
            ("past", first, last),
            lambda: _line(self.land.latitude, self.j[s], self.high[s], self.low[s], self.land.rain[s]),
        )

    def ahead(self, first: int, last: int, paths: int) -> Floats:
        """The ground line of ``paths`` futures from the day after ``last``, shape (paths, 45), in single precision."""
        return self.kept(("ahead", last, paths), lambda: self._ahead(first, last, paths))

    def _ahead(self, first: int, last: int, paths: int) -> Floats:
        annual, _, scale, lift, end = self.ground(first, last)
        span = [self.land.days[last] + timedelta(days=k + 1) for k in range(AHEAD_D)]
        years = self.kept("years", self._years)
        hi, lo, rain = futures._from_years(years, span, paths, np.random.default_rng(4))
        j = np.array([d.timetuple().tm_yday for d in span], dtype=np.float64)
        et0, today = drives(self.land.latitude, 0.0, j[None, :], hi, lo)
        held, rings = _held(end)
        season, moist, pulse, _, _ = _many(hi, rain, et0, today, annual, held, rings)
        return np.asarray(ground_line(season, moist, pulse, scale, _W) + lift, dtype=np.float32)

    def _years(self) -> list[dict[int, LandDay]]:
        found: dict[int, dict[int, LandDay]] = {}
        for k, d in enumerate(self.land.days):
            if d.year < self.year:
                day = LandDay(d, float(self.high[k]), float(self.low[k]), float(self.land.rain[k]))
                found.setdefault(d.year, {})[d.timetuple().tm_yday] = day
        return list(found.values())

    def day_told(self, at: int, looked: int, word: str, hour: float, what: str, counts: Counts) -> Floats:
        """The likelihood of the note and the counts of day number ``looked``, read on day number ``at``."""
        key = (at, looked, what, counts)
        if key not in self.told:
            made = [CountNote(self.land.days[at], hour, None, 2.0, bees, pollen) for bees, pollen in counts]
            weights = [
                pollen_hour_weight(c, self.land.latitude, float(self.high[at]), float(self.low[at])) for c in made
            ]
            read = tuple(zip(made, weights, strict=True)) if what != "note" else ()
            self.told[key] = _day_told((word,) if what != "count" else (), read)
        return self.told[key]

    def counts(self, day: date, bees: int, pollen: int, hives: int, alike: float) -> Counts:
        """The counts of a day at ``hives`` hives, the first of them given."""
        if hives == 1:
            return ((bees, pollen),)
        others = self.kept(("others", alike), lambda: truth.other_hives(self.land, self.seed, alike))
        return ((bees, pollen), *others[day][: hives - 1])


def place(seed: int, real: bool = True, every: int = 7) -> Place:
    """A seed's land, its dearths, and everything a keeper could write."""
    land = truth.make_real(seed) if real else truth.make(seed)
    year = land.days[-1].year
    dry = truth.dearth(land.pollen)
    before = [n for y in range(land.days[0].year, year) for n in truth.notes(land, y, seed + y, every)]
    low = land.low.astype(np.float64)
    return Place(
        seed, land, year, dry, tuple(trial.runs(land.days, dry)), tuple(truth.summer_dearths(land, year)),
        trial.calendar_rule(land, year), {d: tuple(rest) for d, *rest in truth.notes(land, year, seed, 1)}, before,
        np.maximum(land.high, low + 0.1), low, np.array([d.timetuple().tm_yday for d in land.days], dtype=np.float64),
    )  # fmt: skip


def taught_by(
    p: Place, passes: int = 1, drift: Drift = DEFAULT_DRIFT, hives: int = 1, alike: float = 0.3
) -> Habit | None:
    """The habit of the years before."""
    last = int(np.flatnonzero([d.year < p.year for d in p.land.days])[-1])
    _, ground, _, _, _ = p.ground(0, last)
    noted = np.full(last + 1, -1, dtype=np.int64)
    told = []
    for d, word, hour, bees, pollen in p.before:
        at = (d - p.land.days[0]).days
        noted[at] = len(told)
        told.append(p.day_told(at, at, word, hour, "both", p.counts(d, bees, pollen, hives, alike)))
    days = p.land.days[: last + 1]
    found: Habit | None = None
    for _ in range(passes):
        d = drift if found is None else found.drift(drift)
        line = ground if found is None else ground + found.at(days)
        got = _filter(line, noted, np.array(told), d.log_sd, d.keep)
        found = habit(days, Track(*got), noted >= 0, drift)
    return found


def season(
    p: Place, *, every: int = 7, watch_every: int = 7, what: str = "both", asked: bool = False,
    rules: alerts.AlertRules = alerts.DEFAULT_ALERT, passes: int = 1, drift: Drift = DEFAULT_DRIFT, taught: bool = True,
    hives: int = 1, alike: float = 0.3,
) -> trial.Season:  # fmt: skip
    """``alert_trial.season`` of a place, with notes of earlier years if ``taught``; counts at ``hives`` hives a day.

    ``every`` 0 is weather alone, for which ``taught`` must be false. ``alike``: see ``land_truth.other_hives``.
    """
    known = taught_by(p, passes, drift, hives, alike) if taught else None
    mine = drift if known is None else known.drift(drift)
    bent = np.zeros(p.j.size + AHEAD_D) if known is None else known.log[_long_j(p)]
    zero = (date(p.year, 1, 1) - p.land.days[0]).days
    rng = np.random.default_rng([p.seed, 3])
    noise, shocks = rng.standard_normal((BACK_D, trial.PATHS)), rng.standard_normal((AHEAD_D, trial.PATHS))

    def read(looked: set[int], first: int, last: int, today: int) -> tuple[Floats, Floats]:
        """Filtered and smoothed moments from day ``begin`` on, and the ground they stand on."""
        begin = min(zero - 25, last - BACK_D)
        _, ground, _, _, _ = p.ground(first, last)
        ground = ground[begin - first :] + bent[begin : last + 1]
        noted, told = np.full(ground.size, -1, dtype=np.int64), []
        for k in sorted(x for x in looked if x <= today):
            at = min(k, last)
            word, hour, bees, pollen = p.could[p.land.days[k]]
            noted[at - begin] = len(told)
            counts = p.counts(p.land.days[k], bees, pollen, hives, alike)
            told.append(p.day_told(at, k, word, hour, what, counts))
        got = _filter(ground, noted, np.array(told) if told else np.ones((1, TABLE.size)), mine.log_sd, mine.keep)
        return got, ground

    looked = {zero + n - 1 for n in range(1, 366) if every and n % every == 3 % every}
    told_all: list[trial.Told] = []
    weeks: list[trial.Week] = []
    wanted: date | None = None
    more = 0
    for k in range(100, 340):
        at = zero + k
        today = p.land.days[at]
        extra = asked and wanted is not None and today >= wanted and at not in looked
        if (k - 100) % watch_every and not extra:
            continue
        if extra:
            looked.add(at)
            more += 1
        first, last = at - trial.RECORD_D, at - 1
        got, ground = read(looked, first, last, at)
        ahead = p.ahead(first, last, trial.PATHS) + bent[at : at + AHEAD_D]
        joined = _joined(
            got[0, -BACK_D:], got[1, -BACK_D:], ground[-BACK_D:], noise, mine.keep, mine.log_sd, futures.WIDER,
            ahead.astype(np.float64), shocks,
        )  # fmt: skip
        days = [p.land.days[0] + timedelta(days=n) for n in range(at - BACK_D, at + AHEAD_D)]
        said = alerts.alert(days, joined, today, rules, taught=known is not None)
        newest = max([p.land.days[x] for x in looked if x <= at], default=date(p.year, 1, 1))
        wanted = alerts.look_by(days, joined, today, newest, rules)
        weeks.append(trial.week_of(said, today, p.dry, at))
        trial.tell(told_all, said, today)
    end = (date(p.year, 12, 20) - p.land.days[0]).days
    got, ground = read(looked, 0, end, end)
    back = min(got.shape[1], 300)
    joined = _joined(
        got[0, -back:], got[1, -back:], ground[-back:], rng.standard_normal((back, trial.PATHS)), mine.keep, mine.log_sd,
        1.0, np.empty((trial.PATHS, 0)), np.empty((0, trial.PATHS)),
    )  # fmt: skip
    on = in_dearth(joined).mean(axis=0) >= rules.speak
    dated = trial.runs(p.land.days[end - back + 1 : end + 1], on)
    return trial.Season(
        p.truths, p.calendar, tuple(told_all), tuple(r for r in dated if r[0].year == p.year and 4 <= r[0].month <= 9),
        tuple(weeks), p.dry_runs, more,
    )  # fmt: skip


def _long_j(p: Place) -> npt.NDArray[np.int64]:
    days = [p.land.days[0] + timedelta(days=k) for k in range(p.j.size + AHEAD_D)]
    return np.array([d.timetuple().tm_yday for d in days], dtype=np.int64)
