"""Every plan run on the same futures with the same luck, to the day the cluster forms."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, Run, run
from tideover.colony.establish import establish
from tideover.colony.weather import Feeding, Weather
from tideover.figures import reader
from tideover.plan.call import Runway
from tideover.plan.options import Option, usual_kind
from tideover.plan.settings import Settings

_value = reader("calls")
Floats = NDArray[np.float64]

HORIZON_D: Final = 60
"""Runways are censored here."""
HOST_BEES: Final = _value("host_bees")
"""Bees of the strong colony that a weak one is thought to join."""
HOST_EGGS, HOST_OPEN, HOST_CAPPED = _value("host_eggs"), _value("host_open"), _value("host_capped")
HOST_POLLEN_G, HOST_HONEY_G = _value("host_pollen_g"), _value("host_honey_g")
HOST_JELLY, HOST_RESERVE = _value("host_jelly"), _value("host_reserve")
COOLED_FROM_C, COOLED_SHARE = _value("cooled_from_c"), _value("cooled_share")
"""Water close by is taken to leave the colony this share of the heat above that."""
EATEN_REST: Final = _value("eaten_rest")
"""A piece counts as eaten when no more of it is left."""
NEW_QUEEN_D: Final = _value("new_queen_d")
TREATED: Final = _value("treated_left")
"""Mites left when the cause is seen to (good treatments leave 5-20 %)."""


@dataclass(frozen=True)
class Outcome:
    """What one plan leads to; arrays have shape (members,)."""

    option: Option
    bees: Floats
    emerged: Floats
    brood_lost: Floats
    honey_kg: Floats
    overstay: Floats
    laid_g: Floats
    visits: int
    eaten_by_pull_by: float
    """Chance that nine tenths of the first piece are gone by its pull-by."""
    eaten: Floats | None = None
    """The same per member (0 or 1); None where no first piece is laid on now."""

    @cached_property
    def mean_bees(self) -> float:
        """Mean bees at winter."""
        return float(np.mean(self.bees))


def ends(ensemble: Ensemble) -> Floats:
    """Adults at the end of a run, shape (members,)."""
    return ensemble.adults()


@cache
def _nearest(n: int) -> tuple[int, int, int]:
    """Ranks of the 10, 50 and 90 % points of ``n`` values by numpy's method 'nearest': halves go to the even rank."""
    low, mid, high = (round((n - 1) * q) for q in (0.1, 0.5, 0.9))
    return low, mid, high


def runway(passage: Floats, horizon_days: int = HORIZON_D) -> Runway:
    """Turn first-passage days (1-based, -1 never) into a censored runway.

    :param passage: shape (members,).
    :param horizon_days: passages later than this count as beyond the horizon.
    """
    days = np.where((passage > 0) & (passage <= horizon_days), passage - 1.0, np.inf)
    at = _nearest(days.size)
    low, mid, high = np.partition(days, at)[list(at)]
    return Runway(
        None if np.isinf(mid) else float(mid),
        None if np.isinf(low) else float(low),
        None if np.isinf(high) else float(high),
        float(np.isfinite(days).mean()),
        horizon_days,
    )


def first_of(*passages: Floats) -> Floats:
    """The earliest of several first passages per member.

    :param passages: first passages [d] (1-based, -1 never), each of shape (members,).
    :returns: shape (members,), -1 where none happens.
    """
    stacked = np.where(np.stack(passages) > 0, np.stack(passages), np.inf).min(axis=0)
    return np.where(np.isinf(stacked), -1.0, stacked)


def _cooled(weather: Weather) -> Weather:
    hot = weather.temp_max_c
    return replace(
        weather, temp_max_c=np.where(hot > COOLED_FROM_C, COOLED_FROM_C + COOLED_SHARE * (hot - COOLED_FROM_C), hot)
    )


def _host(ensemble: Ensemble) -> Ensemble:
    x = ensemble.state
    host = establish(
        ensemble.params,
        adults=np.full(ensemble.members, HOST_BEES),
        eggs=HOST_EGGS,
        open_larvae=HOST_OPEN,
        capped=HOST_CAPPED,
        pollen_g=np.maximum(HOST_POLLEN_G, x[:, lay.BREAD]),
        honey_g=HOST_HONEY_G,
        jelly=HOST_JELLY,
        reserve=HOST_RESERVE,
    )
    host.state[:, lay.HIVE_DEV] = x[:, lay.HIVE_DEV]
    host.state[:, lay.WARMTH] = x[:, lay.WARMTH]
    return host


def _joined(ensemble: Ensemble, host: Ensemble) -> Ensemble:
    both = host.copy()
    for part in (slice(lay.EGG, lay.QUALITY), slice(lay.BREAD, lay.HONEY + 1)):
        both.state[:, part] += ensemble.state[:, part]
    ours, theirs = ensemble.state[:, lay.HOUSE : lay.RESERVE], host.state[:, lay.HOUSE : lay.RESERVE]
    total = ours + theirs
    both.state[:, lay.RESERVE : lay.FORAGER] = (
        ours * ensemble.state[:, lay.RESERVE : lay.FORAGER] + theirs * host.state[:, lay.RESERVE : lay.FORAGER]
    ) / np.maximum(total, 1e-9)
    both.state[:, lay.HOUSE : lay.RESERVE] = total
    both.state[:, lay.FORAGER] += ensemble.state[:, lay.FORAGER]
    return both


@dataclass(frozen=True)
class Ahead:
    """The futures a hive's plans are compared on.

    :param weather: drivers with one row per member, from the day of the call to the cluster date.
    :param moved: the same at the best other yard; None when none is known to be better.
    """

    weather: Weather
    moved: Weather | None
    seed: int
    salt: int
    first_day: int


def outcome(
    option: Option,
    ensemble: Ensemble,
    ahead: Ahead,
    settings: Settings,
    *,
    stay_days: int,
    stop_day: int | None,
    record: bool = False,
) -> tuple[Outcome, Run]:
    """Run one plan.

    :param option: the plan.
    :param ensemble: the hive on the day of the call; not changed.
    :param ahead: futures.
    :param settings: the keeper's settings.
    :param stay_days: longest stay of a piece [d].
    :param stop_day: first day on which nothing is laid on any more, or None.
    :param record: keep daily records in the run.
    :returns: the outcome and the run it was read from.
    """
    days = ahead.weather.days
    feeding = option.feeding(days, settings, stay_days, stop_day)
    chance = 1.0 - settings.missed_visit
    # The visit of today is being made; only later ones can be missed.
    feeding = replace(feeding, visit_chance=chance)
    e = ensemble.copy()
    weather = ahead.weather
    base: Floats | None = None
    if option.change == "water":
        weather = _cooled(weather)
    elif option.change == "move" and ahead.moved is not None:
        weather = ahead.moved
    elif option.change == "unite":
        host = _host(e)
        alone = host.copy()
        run(
            alone,
            weather,
            Feeding.none(days),
            seed=ahead.seed,
            salt=ahead.salt,
            first_day=ahead.first_day,
            record=record,
        )
        base = alone.adults()
        e = _joined(e, host)
    elif option.change == "cause":
        e.state[:, lay.QUEEN] = np.where(e.state[:, lay.QUEEN] > 0.5, 1.0, -NEW_QUEEN_D)
        e.state[:, lay.MITES] *= TREATED
    if option.grams > 0:
        # what is laid on is the keeper's usual patty, whatever lies there now
        e.piece = usual_kind(settings)
    first_visit = feeding.visit_g[0]
    if first_visit >= 0:
        # Applied by hand so that the first visit always happens.
        e.state[:, lay.PATTY] = first_visit
        if first_visit > 0:
            e.state[:, lay.PATTY_AGE] = 0.0
            e.state[:, lay.PATTY_DAYS] = 0.0
            e.state[:, lay.PATTY_PROTEIN] = settings.patty_protein / 100.0
            e.state[:, lay.PATTY_POLLEN] = settings.patty_pollen_share / 100.0
        visit = feeding.visit_g.copy()
        visit[0] = -1.0
        feeding = replace(feeding, visit_g=visit)
    eaten: Floats | None = None
    start = 0
    if option.grams > 0 and option.first_day == 0 and stay_days < days:
        head = feeding.slice(0, stay_days)
        r0 = run(
            e,
            weather.slice(0, stay_days),
            head,
            seed=ahead.seed,
            salt=ahead.salt,
            first_day=ahead.first_day,
            record=record,
        )
        eaten = (e.state[:, lay.PATTY] <= EATEN_REST * option.grams).astype(np.float64)
        start = stay_days
    tail = feeding.slice(start, days)
    r = run(
        e,
        weather.slice(start, days),
        tail,
        seed=ahead.seed,
        salt=ahead.salt,
        first_day=ahead.first_day + start,
        record=record,
    )
    if start:
        r = Run(np.concatenate([r0.out, r.out], axis=1) if record else r.out, r.ledger + r0.ledger, r.passage)
    if option.grams > 0 and option.first_day == 0 and not start:
        # The cluster forms before the piece must be off.
        eaten = (e.state[:, lay.PATTY] <= EATEN_REST * option.grams).astype(np.float64)
    bees = e.adults() - (base if base is not None else 0.0)
    return (
        Outcome(
            option,
            np.maximum(0.0, bees),
            r.total("emerged").copy(),
            r.total("brood_lost").copy(),
            e.state[:, lay.HONEY] / 1000.0,
            r.total("overstay").copy(),
            r.total("patty_laid_g") + (option.grams if option.first_day == 0 else 0.0),
            len(option.visits(days, settings, stay_days, stop_day)),
            1.0 if eaten is None else float(eaten.mean()),
            eaten,
        ),
        r,
    )
