"""The call for one hive: plans compared on the forecast, gates applied, reasons given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.beetle.clock import clock
from tideover.colony import layout as lay
from tideover.colony.ensemble import MILESTONES, Ensemble, run
from tideover.colony.weather import Weather
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.seen import HiveCase
from tideover.plan import gates as gate_room
from tideover.plan.call import Alternative, Call, Flag, Interval, Moment, Reason
from tideover.plan.compare import HORIZON_D, Ahead, Outcome, first_of, outcome, runway
from tideover.plan.decide import choose, margin_bees
from tideover.plan.drivers import drivers, worth_looking
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.options import Option, options
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation
from tideover.plan.verdict import Verdict, verdict
from tideover.plan.wording import Views, gain_reason, interval, jelly_word, plain_reason, product, rhythm, summary

Floats = NDArray[np.float64]

COMPARED: Final = 400
"""Members the plans are compared on; the runway uses all."""
DRAWN: Final = 200
"""Members the line to winter is drawn from."""
LATEST_START_D: Final = 250
MAY_LAY_ON: Final = 0.3
"""Chance that a piece will be wanted after the look, from which it is loaded (our assumption)."""


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


def _forecast(known: Assimilated, ahead: Ahead, days: int) -> Views:
    e = known.ensemble.copy()
    w = ahead.weather.slice(0, min(days, ahead.weather.days))
    r = run(e, w, seed=ahead.seed, salt=ahead.salt, first_day=ahead.first_day)
    stones = {name: runway(r.passage[:, k]) for k, name in enumerate(MILESTONES)}
    first = runway(first_of(r.passage[:, 1], r.passage[:, 2]))
    honey = r.series("honey_g")
    empty = honey < 200.0
    day = np.where(empty.any(axis=1), empty.argmax(axis=1), w.days).astype(float)
    honey_days = interval(day) if float(empty.any(axis=1).mean()) > 0.05 else None
    week = slice(0, min(7, w.days))
    return Views(
        first,
        stones,
        float(np.median(r.series("need_g")[:, week])),
        float(np.median(r.series("income_g")[:, week])),
        honey_days,
        None,
    )


def _stay_days(settings: Settings, beetles: str, at: datetime) -> tuple[int, datetime]:
    """Whole days a piece laid on at ``at`` may stay, and the pull-by itself."""
    c = clock(
        at, beetles=beetles, stay_limit_days=settings.pull_by_days, hardening_limit_days=settings.stay_days_no_beetles
    )
    return max(1, int((c.pull_by - at).total_seconds() // 86400)), c.pull_by


def _alternative(o: Outcome, chosen: Outcome, margin: float, settings: Settings) -> Alternative:
    laid = float(np.mean(o.laid_g))
    minutes = o.visits * settings.visit_minutes + (settings.look_minutes if o.option.action == "look again" else 0.0)
    money = (
        laid / 1000.0 * settings.patty_price + o.option.sugar_kg * settings.syrup_price + minutes / 60.0 * settings.wage
    )
    better = float(np.mean(o.bees > chosen.bees + margin))
    return Alternative(
        name=o.option.name,
        action=o.option.action,
        grams_now=o.option.grams if o.option.first_day == 0 else 0.0,
        grams_season=laid,
        bees_at_winter=interval(o.bees),
        brood_lost=interval(o.brood_lost),
        honey_kg=interval(o.honey_kg),
        cost=round(money, 2),
        hours=round(minutes / 60.0, 2),
        beetle_risk=float((o.overstay > 0).mean()),
        better_than_call=better,
        note=_why_not(o, settings) if better > 0.5 else "",
    )


_ASIDE: Final = {
    "see to the cause first": "supposes that queen and mites are put right; a gate calls it where signs ask for it",
    "move the yard": "supposes that the other yard is as good as it seems; called only where this one gives nothing",
    "unite": "counts these bees in a stronger colony; called only where the colony is too small to go on",
    "look again": "a plan of its own: the same feeding a week later",
}


def _why_not(o: Outcome, settings: Settings) -> str:
    """Why a plan that is likelier than not to beat the call is not the call."""
    if o.option.action == "lay on" and o.eaten_by_pull_by < settings.eaten_by_pull_by:
        return f"its first piece is eaten by the pull-by with a chance of only {o.eaten_by_pull_by:.0%}"
    return _ASIDE.get(o.option.action, "the gain over the lesser plan stays under your margin on average")


def _sugar_wanted(honey: Interval, settings: Settings) -> float:
    """Sugar [kg] that brings honey to the winter target, a fifth lost in handling."""
    gap = settings.honey_winter_kg - honey.median
    return float(np.clip(gap * 0.82 / 0.8, 0.0, 12.0))


def _hive_outlook(
    known: Assimilated, yard: YardAhead, views: Views, winter: Interval, eaten: float | None, pull_by: datetime | None
) -> HiveOutlook:
    e = known.ensemble
    index = np.exp(yard.weather.log_index)
    later = index[:, 7:14].mean(axis=1) if yard.weather.days > 14 else index.mean(axis=1)
    jelly = float(np.median(e.state[:, lay.JELLY]))
    brood = e.eggs() + e.open_larvae() + e.capped()
    return HiveOutlook(
        adults=interval(e.adults()),
        honey_kg=interval(e.state[:, lay.HONEY] / 1000.0),
        pollen_g=interval(e.state[:, lay.BREAD]),
        brood=interval(brood),
        index=yard.index,
        runway=views.first,
        p_queenless=float((e.state[:, lay.QUEEN] < -9000).mean()),
        honey_days=views.honey_days,
        p_pollen_back=float((later > 0.45).mean()),
        p_dearth=float((index[:, 0] < 0.25).mean()),
        temp_max_c=yard.temp_max_today_c,
        heat_index_f=yard.heat_index_f,
        humidity=yard.humidity,
        wind_ms=yard.wind_ms,
        rain_mm=yard.rain_mm,
        drought_kbdi=yard.drought_kbdi,
        temp_max_next_c=tuple(float(t) for t in np.median(yard.weather.temp_max_c[:, :7], axis=0)),
        temp_max_past_c=yard.past_max_c,
        jelly=jelly_word(jelly),
        bees_at_winter=winter,
        cluster=yard.cluster,
        pull_by=pull_by,
        p_eaten_by_pull_by=eaten,
        yard_suspects=yard.suspects,
    )


@dataclass(frozen=True)
class Advice:
    """A call with what stands behind it.

    ``line`` holds low, median and high per day, shape (3, days), of 'adults', 'brood', 'pollen_g' and
    'honey_g' under the plan called, to the day the cluster forms.
    """

    call: Call
    outcomes: list[Outcome]
    line: dict[str, Floats]


def _line(
    plan: Outcome, sub: Ensemble, ahead: Ahead, settings: Settings, *, stay_days: int, stop_day: int | None
) -> dict[str, Floats]:
    """The season line under a plan, from a part of the members compared."""
    members = np.unique(np.linspace(0, sub.members - 1, min(sub.members, DRAWN)).astype(np.intp))
    few = replace(
        ahead,
        weather=ahead.weather.take(members),
        moved=None if ahead.moved is None else ahead.moved.take(members),
    )
    # A united colony is no longer this one; its own way is what can be drawn.
    option = Option("leave alone", "leave") if plan.option.change == "unite" else plan.option
    _, r = outcome(option, sub.take(members), few, settings, stay_days=stay_days, stop_day=stop_day, record=True)
    named = {
        "adults": r.series("adults"),
        "brood": r.series("eggs") + r.series("open") + r.series("capped"),
        "pollen_g": r.series("pollen_g"),
        "honey_g": r.series("honey_g"),
    }
    return {k: np.quantile(v.astype(np.float64), [0.1, 0.5, 0.9], axis=0) for k, v in named.items()}


def advise(
    case: HiveCase,
    known: Assimilated,
    situation: Situation,
    yard: YardAhead,
    settings: Settings,
    *,
    at: datetime,
    moment: Moment,
    seed: int = 1,
    compared: int = COMPARED,
) -> Advice:
    """Make the call for one hive.

    :param case: the hive; known, as assimilated to the morning of the call.
    :param situation: what stands written.
    :param yard: the yard's coming days.
    :param settings: the keeper's thresholds and prices.
    :param at: local time of the visit (aware).
    :param moment: before the round (on the forecast), or at the hive (after today's look).
    :param seed: seed of the futures' luck, the same for all plans.
    :param compared: members the plans are compared on.
    :returns: the call, the outcomes of all plans compared, and the line to winter under the plan called.
    """
    today = known.today
    days_to_cluster = max(3, (yard.cluster - today).days)
    if days_to_cluster > LATEST_START_D:
        days_to_cluster = 60
    number = (today - date(2000, 1, 1)).days
    ahead_all = Ahead(yard.weather, None, seed, 7_001, number)
    views = _forecast(known, ahead_all, HORIZON_D)
    n = known.ensemble.members
    # Evenly over the ensemble: resampling leaves members in the order of their ancestors.
    members = np.unique(np.linspace(0, n - 1, min(n, compared)).astype(np.intp))
    sub = known.ensemble.take(members)
    weather = yard.weather.take(members).slice(0, min(days_to_cluster, yard.weather.days))
    better = yard.better.take(members).slice(0, weather.days) if yard.better is not None else None
    ahead = Ahead(weather, better, seed, 7_002, number)
    stay, pull_new = _stay_days(settings, case.place.beetles, at)
    stop_day = None if yard.stop is None else max(1, (yard.stop - today).days)
    honey_now = interval(known.ensemble.state[:, lay.HONEY] / 1000.0)
    sugar = _sugar_wanted(honey_now, settings)
    # Median over members: what is asked of the decision is whether a piece is there, not its grams.
    patty_on = situation.patty is not None and float(np.median(known.ensemble.state[:, lay.PATTY])) > 10.0
    pull_now = None
    if situation.patty is not None:
        laid = datetime.combine(situation.patty.on, datetime.min.time(), at.tzinfo) + timedelta(
            hours=situation.patty.on_hour
        )
        pull_now = _stay_days(settings, case.place.beetles, laid)[1]
    plans = options(patty_on=patty_on, sugar_kg=sugar, can_move=better is not None, look_days=int(settings.visit_days))
    outcomes = [outcome(o, sub, ahead, settings, stay_days=stay, stop_day=stop_day)[0] for o in plans]
    choice = choose(outcomes, settings)
    leave = next(o for o in outcomes if o.option.action == "leave")
    margin = margin_bees(leave, settings)
    eaten_now = None
    if patty_on and pull_now is not None and situation.patty is not None:
        eaten_now = float((known.ensemble.state[:, lay.PATTY] < 0.1 * situation.patty.grams).mean())
    forecast = _hive_outlook(known, yard, views, interval(leave.bees), eaten_now, pull_now)
    gates = gate_room.gates(situation, forecast, settings, case.place, today, moment)
    v: Verdict = verdict(
        choice, gates, outcomes, situation, forecast, settings, case.place, today,
        margin=margin, better_yard=yard.better_name, patty_on=patty_on, sugar_kg=sugar,
    )  # fmt: skip
    then = list(gate_room.then_texts(gates, v.action))
    if v.action == "lay on":
        then.insert(0, rhythm(v.plan.option, settings, stay))
    if v.action != "give water" and (w := gate_room.water_case(situation, forecast, settings, today)) is not None:
        then.append(f"Water: {w.why}")
    unite = gate_room.unite_case(situation, forecast, settings, gates)
    if v.action != "unite" and unite is not None:
        then.append("In autumn think of uniting: " + unite.why.split(". ")[0] + ".")
    looks = worth_looking(known, members, choice.gain)
    ask = list(gate_room.asks(gates, situation, settings))
    if v.action == "look again" or v.toss_up:
        ask += [text for text, _ in looks if text not in ask]
    reasons = [plain_reason(views, known, yard.words), *drivers(known, members, choice.gain, today)]
    if v.action in ("lay on", "leave"):
        reasons.insert(1, gain_reason(choice, v.plan, leave))
    if v.why:
        reasons.insert(0, Reason(v.why))
    alternatives = tuple(
        sorted((_alternative(o, v.plan, margin, settings) for o in outcomes), key=lambda a: -a.bees_at_winter.median)
    )
    pull_by = pull_new if v.action == "lay on" else pull_now
    p_feed = float(np.mean(choice.gain > margin))
    portion = next((o.option.grams for o in (choice.best, choice.runner_up) if o.option.action == "lay on"), 0.0)
    may = v.action in ("look again", "take off") and p_feed > MAY_LAY_ON
    loads = v.grams if v.action == "lay on" else portion if may else 0.0
    opened = bool(
        moment == "before the round"
        and (
            v.action not in ("leave", "give water")
            or any(g.effect != "warns" and g.code not in ("fire-ban", "heat", "fire-weather") for g in gates)
            or 0.2 < p_feed < 0.8
        )
    )
    call = Call(
        hive=case.hive,
        yard=case.place.yard,
        made_for=today,
        moment=moment,
        action=v.action,
        summary=summary(v.action, choice, views, sugar, v.ordered, v.toss_up),
        product=product(v.action, settings),
        grams=round(v.grams, 1),
        pull_by=pull_by,
        sure=None if v.sure is None else round(v.sure, 3),
        toss_up=v.toss_up,
        runway=views.first,
        milestones=views.milestones,
        reasons=tuple(reasons),
        alternatives=alternatives,
        flags=(),
        gates=tuple(gates),
        ask=tuple(dict.fromkeys(ask)),
        then_=tuple(t for t in then if t),
        worth_opening=opened,
        evidence="thin" if any(g.code == "low-confidence" for g in gates) else "usual",
        loads_g=round(loads, 1),
    )
    return Advice(call, outcomes, _line(v.plan, sub, ahead, settings, stay_days=stay, stop_day=stop_day))


def with_flags(call: Call, flags: Sequence[Flag]) -> Call:
    """Return the call with its flagged entries."""
    return replace(call, flags=tuple(flags))
