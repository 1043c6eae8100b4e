"""Trials run with groups of colonies, as their authors did: few colonies, much luck, a test at 5 %.

A simulated trial draws once what belongs to bees, feed and land (most parameters, the level of pollen on offer, the
weather), and for each colony what differs between hives of one yard (its queen, how well it collects, its luck).
Colonies settle for two years under the climate, are made equal at the start, and each group's mean is compared. What
a paper can report is then known as chances: more seen, nothing seen, less seen.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy import stats

from tideover.checks.colony_bench import colony
from tideover.checks.colony_years import Climate, skies
from tideover.checks.trial_setups import Treatment, Trial
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, Run, run
from tideover.colony.layout import PARAM_NAMES, P
from tideover.colony.parameters import draw
from tideover.colony.weather import Feeding, Weather
from tideover.figures import book

Floats = NDArray[np.float64]

OF_A_HIVE: Final = ("laying_max", "income_scale", "hive_income_sd", "mite_growth")
"""Parameters that differ between hives of one yard; all others are shared by a trial. Our assumption."""
UNEQUAL: Final = 0.12
"""Spread of the logarithm of bees left when colonies are made equal by eye. Our assumption."""
LAND: Final = 0.35
"""Spread of the logarithm of pollen on offer about the set-up's. Our assumption."""
LEVEL: Final = 0.05
"""Two-sided level of the test a paper is thought to report by."""
FEWEST: Final = 1_000.0
"""Bees below which a settled colony is not put into a trial. Our assumption."""
FLOOR: Final = {
    "adults": 100.0,
    "brood": 100.0,
    "capped": 100.0,
    "reared": 100.0,
    "honey": 1_000.0,
    "life": 0.1,
    "eaten": 0.01,
}
"""Added to both sides of a ratio, in the unit measured, so that none against none is no difference."""
DRAWN: Final = 4
"""Colonies drawn per colony wanted, since many draws of the priors die out while settling."""
SETTLE_D: Final = 730
REPLICATES: Final = 200
_SEASON_D: Final = 91


@dataclass(frozen=True)
class Foretold:
    """What the model foretells of a trial.

    ``effect``: treated over control, one per simulated trial, shape (replicates,); for amounts the amount itself.
    ``more``, ``nothing``, ``less``: chances that a test at 5 % on this many colonies finds more, nothing or less;
    None for amounts. ``cv``: coefficient of variation between colonies of the control group.
    """

    effect: Floats
    more: float | None
    nothing: float | None
    less: float | None
    cv: float

    def interval(self, level: float) -> tuple[float, float]:
        """Central interval of the effect at a level (0-1)."""
        low, high = np.quantile(self.effect, [(1.0 - level) / 2.0, (1.0 + level) / 2.0])
        return float(low), float(high)

    @property
    def median(self) -> float:
        """Middle of the effects."""
        return float(np.median(self.effect))


def _fill_honey(hive: Ensemble, low_g: float, high_g: float) -> None:
    hive.state[:, lay.HONEY] = np.clip(hive.state[:, lay.HONEY], low_g, high_g)


def _weather(climate: Climate, start: int, days: int, seeds: Floats) -> Weather:
    """One row of drivers per seed, from day of the year ``start`` on."""
    rows = {int(s): skies(climate, days, start=start, seed=int(s)) for s in np.unique(seeds)}
    each = [rows[int(s)] for s in seeds]

    def stack(name: str) -> Floats:
        return np.concatenate([getattr(w, name) for w in each], axis=0)

    return Weather(
        stack("log_index"), stack("temp_max_c"), stack("temp_min_c"), stack("flight_h"), stack("pollen_h"),
        each[0].daylength_h, each[0].daylength_change_h,
    )  # fmt: skip


@dataclass(frozen=True)
class _Settled:
    """One colony per simulated trial on its first day, the seeds of its weather and the level of its land."""

    hive: Ensemble
    seeds: Floats
    level: Floats
    died: float
    """Share of all drawn colonies that had died out on the way and were left out."""


@lru_cache(maxsize=8)
def _settled(climate: Climate, start: int, replicates: int, seed: int) -> _Settled:
    """Colonies after two years of the climate; those that died out cannot be put into a trial and are left out."""
    wanted, replicates = replicates, DRAWN * replicates
    rng = np.random.default_rng((seed, start))
    params = draw(rng, replicates)
    middle = [float(book().row(f"colony.{n}").number) for n in PARAM_NAMES]
    for n in OF_A_HIVE:
        params[:, P[n]] = middle[P[n]]
    seeds = rng.integers(100, 112, replicates).astype(np.float64)
    level = rng.normal(0.0, LAND, replicates)
    hive = colony(12_000.0, 300.0, pollen_g=800.0, honey_g=40_000.0, params=params, warmth_c=12.0, flight=0.5)
    weather = _weather(climate, start, SETTLE_D, seeds)
    weather = replace(weather, log_index=weather.log_index + level[:, None])
    for a in range(0, SETTLE_D, _SEASON_D):
        _fill_honey(hive, 30_000.0, 80_000.0)
        # A queen lost while settling is no part of the trial.
        hive.state[:, lay.QUEEN] = 1.0
        run(hive, weather.slice(a, min(a + _SEASON_D, SETTLE_D)), seed=seed, salt=a, first_day=a, record=False)
    hive.state[:, lay.QUEEN] = 1.0
    _fill_honey(hive, 25_000.0, 50_000.0)
    alive = np.flatnonzero(hive.adults() > FEWEST)
    if alive.size < wanted:
        raise ValueError(f"only {alive.size} of {replicates} colonies lived through settling; wanted {wanted}.")
    keep = alive[:wanted]
    return _Settled(hive.take(keep), seeds[keep], level[keep], 1.0 - alive.size / replicates)


def died_settling(trial: Trial, *, replicates: int = REPLICATES, seed: int = 1) -> float:
    """Share (0-1) of colonies that died out in the two years before a trial and were left out of it."""
    return _settled(trial.climate, trial.start, replicates, seed).died


def _equal(hive: Ensemble, bees: float, rng: np.random.Generator) -> None:
    """Make adults about ``bees`` in every colony, brood in the same proportion."""
    factor = bees * np.exp(rng.normal(0.0, UNEQUAL, hive.members)) / np.maximum(1.0, hive.adults())
    for part in (slice(lay.EGG, lay.QUALITY), slice(lay.HOUSE, lay.RESERVE), slice(lay.FORAGER, lay.FORAGER + 1)):
        hive.state[:, part] *= factor[:, None]


def _feeding(treatment: Treatment, days: int) -> Feeding:
    visit = np.full(days, -1.0)
    for day, grams in treatment.patties.items():
        if day < days:
            visit[day] = grams
    full = np.ones(days)
    return Feeding(visit, treatment.protein * full, treatment.pollen * full, 0.0 * full, full)


def _measured(trial: Trial, hive: Ensemble, result: Run) -> Floats:
    """What is measured, per colony; NaN for one that lost its queen, which a trial leaves out."""
    adults = result.series("adults").astype(np.float64)
    honey = result.series("honey_g").astype(np.float64)
    values: dict[str, Callable[[], Floats]] = {
        "adults": lambda: adults[:, -1],
        "brood": lambda: hive.eggs() + hive.open_larvae() + hive.capped(),
        "capped": hive.capped,
        "reared": lambda: result.total("emerged"),
        "life": lambda: adults.sum(axis=1) / np.maximum(1.0, result.total("adult_deaths")),
        "honey": lambda: np.max(honey - honey[:, :1], axis=1),
        "eaten": lambda: result.series("patty_eaten_g").astype(np.float64).mean(axis=1),
    }
    laid = result.series("queen")[:, ::7].min(axis=1) > 0.5
    return np.where(laid, values[trial.measure](), np.nan)


def _group(trial: Trial, treatment: Treatment, replicates: int, seed: int, salt: int) -> Floats:
    """One group of every simulated trial, shape (replicates, colonies)."""
    settled = _settled(trial.climate, trial.start, replicates, seed)
    rng = np.random.default_rng((seed, trial.start, salt))
    member = np.repeat(np.arange(replicates), trial.colonies)
    hive = settled.hive.take(member.astype(np.intp))
    own = draw(rng, hive.members)
    for n in OF_A_HIVE:
        hive.params[:, P[n]] = own[:, P[n]]
    _equal(hive, trial.bees if treatment.bees is None else treatment.bees, rng)
    if treatment.stored_g is not None:
        hive.state[:, lay.BREAD] = treatment.stored_g
    factor = np.zeros(trial.days)
    for day in sorted(treatment.on_offer):
        factor[day:] = np.log(treatment.on_offer[day])
    # The climate goes on where settling ended: two whole years later is the same day of the year.
    weather = _weather(trial.climate, trial.start, trial.days, settled.seeds[member])
    weather = replace(weather, log_index=weather.log_index + settled.level[member][:, None] + factor)
    result = run(hive, weather, _feeding(treatment, trial.days), seed=seed, salt=1_000 + salt, first_day=SETTLE_D)
    return _measured(trial, hive, result).reshape(replicates, trial.colonies)


def _tested(treated: Floats, control: Floats) -> tuple[Floats, Floats]:
    """Welch's t statistic and two-sided p per simulated trial; colonies left out are NaN."""
    means, errors, counts = [], [], []
    for group in (treated, control):
        n = np.isfinite(group).sum(axis=1)
        means.append(np.nanmean(group, axis=1))
        counts.append(n)
        errors.append(np.nanvar(group, axis=1, ddof=1) / n)
    total = errors[0] + errors[1]
    t = (means[0] - means[1]) / np.sqrt(total)
    freedom = total**2 / sum(e**2 / (n - 1) for e, n in zip(errors, counts, strict=True))
    return np.asarray(t), np.asarray(2.0 * stats.t.sf(np.abs(t), freedom))


def foretell(trial: Trial, *, replicates: int = REPLICATES, seed: int = 1) -> Foretold:
    """Simulate a trial many times.

    :param trial: the set-up.
    :param replicates: simulated trials.
    :param seed: everything that is drawn follows from it.
    :returns: effects and what a paper would have reported.
    """
    treated = _group(trial, trial.treated, replicates, seed, 1)
    if trial.control is None:
        treated = treated[np.isfinite(treated).any(axis=1)]
        return Foretold(np.nanmean(treated, axis=1), None, None, None, _cv(treated))
    control = _group(trial, trial.control, replicates, seed, 2)
    enough = (np.isfinite(treated).sum(axis=1) > 1) & (np.isfinite(control).sum(axis=1) > 1)
    treated, control = treated[enough], control[enough]
    with np.errstate(invalid="ignore", divide="ignore"):
        # Colonies all alike (none reared, none gained) make no statistic and count as nothing seen.
        t, p = _tested(treated, control)
    floor = FLOOR[trial.measure]
    effect = (np.nanmean(treated, axis=1) + floor) / (np.nanmean(control, axis=1) + floor)
    seen = p < LEVEL
    return Foretold(
        effect, float((seen & (t > 0)).mean()), float((~seen).mean()), float((seen & (t < 0)).mean()), _cv(control)
    )


def _cv(group: Floats) -> float:
    if group.shape[1] < 2:
        return float("nan")
    mean = np.nanmean(group, axis=1)
    some = (mean > 0.0) & (np.isfinite(group).sum(axis=1) > 1)
    if not some.any():
        return float("nan")
    return float(np.nanmedian(np.nanstd(group[some], axis=1, ddof=1) / mean[some]))
