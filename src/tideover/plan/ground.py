"""What a call is judged on: the colonies' own forecasts and the outcome of every plan, member by member.

Running the plans is what costs; judging them does not. Kept member by member, the same runs answer
again after a look that is only thought of (``Ground.seen_by``), which is what field cards do.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.beetle.clock import clock
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.colony.parameters import constants
from tideover.colony.weather import Weather
from tideover.evidence.assimilate import Assimilated
from tideover.figures import reader
from tideover.plan.basis import PIECE_GONE_G, Basis, Drawing
from tideover.plan.call import Interval
from tideover.plan.compare import HORIZON_D, Ahead, Outcome, outcome
from tideover.plan.options import options
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation
from tideover.plan.wording import interval

_value = reader("calls")
Floats = NDArray[np.float64]
Index = NDArray[np.intp]

COMPARED: Final = 400
"""Members the plans are compared on; the runway uses all."""
RUNWAY_SALT: Final = 7_001
PLANS_SALT: Final = 7_002
BACK_FROM: Final = _value("back_from")
"""Pollen on offer, of a good flow, that counts as back."""
DEARTH_LINE: Final = reader("lookout")("dearth_line")
SUGAR_MOST_KG: Final = _value("sugar_most_kg")
WEEK_D: Final = 7
SECOND_WEEK: Final = slice(7, 14)
LATEST_START_D: Final = _value("winter_unknown_from_d")
UNKNOWN_D, LEAST_D = int(_value("winter_unknown_d")), int(_value("winter_least_d"))
EMPTY_HONEY_G: Final = _value("honey_empty_g")
"""Honey below which a hive counts as empty."""


@dataclass(frozen=True)
class YardAhead:
    """What a call needs to know of a yard's coming days.

    :param weather: futures (members rows) from the day of the call on, at least to the cluster date
        and 60 days.
    :param better: futures of the best other yard, or None.
    :param index: pollen on offer today: median, low, high.
    :param words: the land in plain words.
    """

    weather: Weather
    better: Weather | None
    better_name: str
    index: Interval
    words: str
    cluster: date
    cluster_how: str
    stop: date | None
    temp_max_today_c: float | None
    heat_index_f: float | None
    humidity: float | None
    wind_ms: float | None
    rain_mm: float | None
    drought_kbdi: float | None
    past_max_c: tuple[float, ...]
    suspects: tuple[str, ...] = ()

    @cached_property
    def p_pollen_back(self) -> float:
        """Chance that pollen is back in a week or two: the index above ``BACK_FROM`` on the mean of its second week."""
        many = self.weather.days > SECOND_WEEK.stop
        index = np.exp(self.weather.log_index[:, SECOND_WEEK] if many else self.weather.log_index)
        return float((index.mean(axis=1) > BACK_FROM).mean())

    @cached_property
    def p_dearth(self) -> float:
        """Chance that the index stands under the line of a dearth today."""
        return float((np.exp(self.weather.log_index[:, 0]) < DEARTH_LINE).mean())

    @cached_property
    def temp_max_next_c(self) -> tuple[float, ...]:
        """Median of the highest temperature of each of the next seven days [C]."""
        return tuple(float(t) for t in np.median(self.weather.temp_max_c[:, :7], axis=0))


@dataclass(frozen=True)
class Colonies:
    """Equally weighted colonies and what becomes of each if nothing is given.

    :param ensemble: the colonies.
    :param passage: first day of each milestone (-1 never), shape (members, milestones).
    :param need_g: protein feed that brood and nurses would eat per day of the first week [g], (members, days).
    :param income_g: pollen coming in per day of the first week [g], (members, days).
    :param honey_days: days until honey is gone, ``days`` where it lasts, shape (members,).
    :param days: days looked ahead.
    """

    ensemble: Ensemble
    passage: Floats
    need_g: Floats
    income_g: Floats
    honey_days: Floats
    days: int


@dataclass(frozen=True)
class Ground:
    """The colonies of a hive and every plan's outcome on a part of them.

    :param colonies: all members.
    :param members: which of them the plans were compared on.
    :param compared: those members' own ensemble; outcomes have one row for each.
    """

    colonies: Colonies
    members: Index
    compared: Ensemble
    outcomes: list[Outcome]
    ahead: Ahead
    stay_days: int
    stop_day: int | None
    pull_new: datetime
    pull_now: datetime | None

    @cached_property
    def basis(self) -> Basis:
        """What a verdict is read from."""
        c = self.colonies
        return Basis.of(c.ensemble, c.passage, c.need_g, c.income_g, c.honey_days, c.days, self.outcomes)

    @cached_property
    def _drawing(self) -> Drawing:
        return Drawing(self.basis, self.members)

    def seen_by(self, chosen: Index) -> Basis:
        """The basis with the compared members ``chosen`` (repeats allowed) standing for the hive.

        A look is weights on members; drawing members by those weights is the same thing for every
        sum that follows. Nothing is run again: each keeps its own future, luck and outcomes.
        """
        return self._drawing.draw(chosen)


def forecast(ensemble: Ensemble, ahead: Ahead, days: int) -> Colonies:
    """Run every colony ahead with nothing given.

    :param ensemble: the hive on the day of the call; not changed.
    :param days: days to look ahead, at most as many as the futures hold.
    """
    e = ensemble.copy()
    w = ahead.weather.slice(0, min(days, ahead.weather.days))
    r = run(e, w, seed=ahead.seed, salt=ahead.salt, first_day=ahead.first_day)
    empty = r.series("honey_g") < EMPTY_HONEY_G
    gone = np.where(empty.any(axis=1), empty.argmax(axis=1), w.days).astype(np.float64)
    week = slice(0, min(WEEK_D, w.days))
    need = r.series("need_g")[:, week].astype(np.float64)
    income = r.series("income_g")[:, week].astype(np.float64)
    return Colonies(ensemble, r.passage, need, income, gone, w.days)


def stay(settings: Settings, beetles: str, at: datetime) -> tuple[int, datetime]:
    """Whole days a piece laid on at ``at`` may stay, and the pull-by itself."""
    c = clock(
        at, beetles=beetles, stay_limit_days=settings.pull_by_days, hardening_limit_days=settings.stay_days_no_beetles
    )
    return max(1, int((c.pull_by - at).total_seconds() // 86400)), c.pull_by


def sugar_wanted(honey: Interval, settings: Settings) -> float:
    """Sugar [kg] that brings honey to the winter target, a fifth lost in handling."""
    gap = settings.honey_winter_kg - honey.median
    c = constants()
    return float(np.clip(gap * c[lay.C["honey_sugar"]] / c[lay.C["syrup_kept"]], 0.0, SUGAR_MOST_KG))


def patty_lies(situation: Situation, ensemble: Ensemble) -> bool:
    """Whether a piece is there. Median over members: asked of the decision is whether it is there, not its grams."""
    return situation.patty is not None and float(np.median(ensemble.state[:, lay.PATTY])) > PIECE_GONE_G


def prepare(
    known: Assimilated,
    situation: Situation,
    yard: YardAhead,
    settings: Settings,
    *,
    at: datetime,
    seed: int = 1,
    compared: int = COMPARED,
) -> Ground:
    """Run the forecast and every plan for one hive.

    :param known: the hive as assimilated to the morning of the call.
    :param situation: what stands written.
    :param yard: the yard's coming days.
    :param at: local time of the visit (aware).
    :param seed: seed of the futures' luck, the same for all plans.
    :param compared: members the plans are compared on.
    """
    today = known.today
    days_to_cluster = max(LEAST_D, (yard.cluster - today).days)
    if days_to_cluster > LATEST_START_D:
        days_to_cluster = UNKNOWN_D
    number = (today - date(2000, 1, 1)).days
    colonies = forecast(known.ensemble, Ahead(yard.weather, None, seed, RUNWAY_SALT, number), HORIZON_D)
    n = known.ensemble.members
    # Evenly over the ensemble: resampling leaves members in the order of their ancestors.
    members = np.unique(np.linspace(0, n - 1, min(n, compared)).astype(np.intp))
    sub = known.ensemble.take(members)
    weather = yard.weather.take(members).slice(0, min(days_to_cluster, yard.weather.days))
    better = yard.better.take(members).slice(0, weather.days) if yard.better is not None else None
    ahead = Ahead(weather, better, seed, PLANS_SALT, number)
    beetles = situation.place.beetles
    stay_days, pull_new = stay(settings, beetles, at)
    stop_day = None if yard.stop is None else max(1, (yard.stop - today).days)
    pull_now = None
    if situation.patty is not None:
        laid = datetime.combine(situation.patty.on, datetime.min.time(), at.tzinfo) + timedelta(
            hours=situation.patty.on_hour
        )
        pull_now = stay(settings, beetles, laid)[1]
    plans = options(
        patty_on=patty_lies(situation, known.ensemble),
        sugar_kg=sugar_wanted(interval(known.ensemble.state[:, lay.HONEY] / 1000.0), settings),
        can_move=better is not None,
        look_days=int(settings.visit_days),
    )
    outcomes = [outcome(o, sub, ahead, settings, stay_days=stay_days, stop_day=stop_day)[0] for o in plans]
    return Ground(colonies, members, sub, outcomes, ahead, stay_days, stop_day, pull_new, pull_now)
