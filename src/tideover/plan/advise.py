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
from tideover.colony.ensemble import MILESTONES, run
from tideover.colony.weather import Weather
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.seen import HiveCase
from tideover.plan import gates as gate_room
from tideover.plan.call import Action, Alternative, Call, Flag, Gate, Interval, Moment, Reason, Runway
from tideover.plan.compare import HORIZON_D, Ahead, Outcome, first_of, outcome, runway
from tideover.plan.decide import Choice, choose, margin_bees
from tideover.plan.drivers import drivers, worth_looking
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.options import Option, options
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

Floats = NDArray[np.float64]

COMPARED: Final = 400
"""Members the plans are compared on; the runway uses all."""
LATEST_START_D: Final = 250


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


def interval(values: Floats) -> Interval:
    """Median and 80 % interval of an ensemble's values."""
    low, mid, high = np.quantile(values, [0.1, 0.5, 0.9])
    return Interval(float(mid), float(low), float(high))


def jelly_word(j: float) -> str:
    """The keeper's word for a jelly index."""
    return "dry" if j < 0.35 else "damp" if j < 0.70 else "floating"


@dataclass(frozen=True)
class _Views:
    """Forecast pieces every later step reads."""

    first: Runway
    milestones: dict[str, Runway]
    need_g: float
    income_g: float
    honey_days: Interval | None
    honey_first_low: float | None


def _forecast(known: Assimilated, ahead: Ahead, days: int) -> _Views:
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
    return _Views(
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
    return Alternative(
        o.option.name,
        o.option.action,
        o.option.grams if o.option.first_day == 0 else 0.0,
        laid,
        interval(o.bees),
        interval(o.brood_lost),
        interval(o.honey_kg),
        round(money, 2),
        round(minutes / 60.0, 2),
        float((o.overstay > 0).mean()),
        float(np.mean(o.bees > chosen.bees + margin)),
    )


def _sugar_wanted(honey: Interval, settings: Settings) -> float:
    """Sugar [kg] that brings honey to the winter target, a fifth lost in handling."""
    gap = settings.honey_winter_kg - honey.median
    return float(np.clip(gap * 0.82 / 0.8, 0.0, 12.0))


def _hive_outlook(
    known: Assimilated, yard: YardAhead, views: _Views, winter: Interval, eaten: float | None, pull_by: datetime | None
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


def _count(x: float, sign: str = "") -> str:
    """A count with thin gaps between thousands, rounded to what can be said: tens, from a thousand on hundreds."""
    rounded = round(x, -2) if abs(x) >= 1000 else round(x, -1)
    return f"{rounded:{sign},.0f}".replace(",", "\u202f")


def _grams(g: float) -> str:
    """Grams as far as they can be said."""
    return f"{round(g):.0f} g" if g < 10 else f"{round(g, -1):.0f} g"


def _plain_reason(views: _Views, known: Assimilated, yard: YardAhead) -> Reason:
    e = known.ensemble
    stored = float(np.median(e.state[:, lay.BREAD]))
    shown = "under 20 g" if stored < 20 else f"about {_grams(stored)}"
    return Reason(
        f"Stored pollen {shown}; the brood and nurses there would eat about {_grams(views.need_g)} a day and about "
        f"{_grams(views.income_g)} a day comes in. {yard.words}"
    )


def _runway_words(r: Runway) -> str:
    if r.median is None:
        return f"protein is not likely to run out within {r.horizon_days} days (chance {r.p_within_horizon:.0%})"
    high = f"{r.high:.0f}" if r.high is not None else f"over {r.horizon_days}"
    low = f"{r.low:.0f}" if r.low is not None else "?"
    if r.median < 1:
        return (
            "the brood nest is short of protein now"
            if r.high is not None and r.high < 4
            else f"the brood nest is short of protein now or within {high} days"
        )
    return f"the brood nest runs short of protein in about {r.median:.0f} days ({low} to {high})"


def _summary(
    action: Action, choice: Choice, views: _Views, grams: float, sugar: float, gate: Gate | None, toss: bool
) -> str:
    gain = _count(float(np.median(choice.gain)), "+")
    way = _runway_words(views.first)
    if gate is not None and action != "lay on":
        return f"{gate.title}: {gate.do}"
    if action == "lay on":
        text = f"Lay on: {way}; expected {gain} bees at winter against leaving alone."
    elif action == "leave":
        text = f"Leave alone: {way}; the best feeding plan is expected to change bees at winter by {gain}."
    elif action == "give sugar":
        text = f"Give {sugar:.1f} kg of sugar as syrup inside the hive today."
    else:
        text = f"{action.capitalize()}: {way}."
    return text + (" It is a toss-up; the lesser intervention is taken." if toss else "")


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
) -> tuple[Call, list[Outcome]]:
    """Make the call for one hive.

    :param case: the hive; known, as assimilated to the morning of the call.
    :param situation: what stands written.
    :param yard: the yard's coming days.
    :param settings: the keeper's thresholds and prices.
    :param at: local time of the visit (aware).
    :param moment: before the round (on the forecast), or at the hive (after today's look).
    :param seed: seed of the futures' luck, the same for all plans.
    :param compared: members the plans are compared on.
    :returns: the call and the outcomes of all plans compared.
    """
    today = known.today
    days_to_cluster = max(3, (yard.cluster - today).days)
    if days_to_cluster > LATEST_START_D:
        days_to_cluster = 60
    number = (today - date(2000, 1, 1)).days
    ahead_all = Ahead(yard.weather, None, seed, 7_001, number)
    views = _forecast(known, ahead_all, HORIZON_D)
    n = known.ensemble.members
    step = max(1, n // compared)
    members = np.arange(0, n, step, dtype=np.intp)[:compared]
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
    action, grams, gate, toss, sure, best = _through_gates(
        choice, gates, outcomes, situation, forecast, settings, case, today, margin, yard, patty_on
    )
    then = list(gate_room.then_texts(gates, action))
    if action == "lay on":
        then.insert(0, _rhythm_text(best.option, settings, stay))
    if action != "give water" and (w := gate_room.water_case(situation, forecast, settings, today)) is not None:
        then.append(f"Water: {w.why}")
    unite = gate_room.unite_case(situation, forecast, settings, gates)
    if action != "unite" and unite is not None:
        then.append("In autumn think of uniting: " + unite.why.split(". ")[0] + ".")
    looks = worth_looking(known, members, choice.gain)
    ask = list(gate_room.asks(gates, situation, settings))
    if action == "look again" or toss:
        ask += [text for text, _ in looks if text not in ask]
    reasons = [_plain_reason(views, known, yard), *drivers(known, members, choice.gain, today)]
    if action in ("lay on", "leave"):
        reasons.insert(1, _gain_reason(choice, best, leave))
    alternatives = tuple(
        sorted((_alternative(o, best, margin, settings) for o in outcomes), key=lambda a: -a.bees_at_winter.median)
    )
    pull_by = pull_new if action == "lay on" else pull_now
    p_feed = float(np.mean(choice.gain > margin))
    portion = best.option.grams if best.option.action == "lay on" else choice.runner_up.option.grams
    loads = grams if action == "lay on" else portion if action in ("look again", "take off") and p_feed > 0.3 else 0.0
    opened = bool(
        moment == "before the round"
        and (
            action not in ("leave", "give water")
            or any(g.effect != "warns" and g.code not in ("fire-ban", "heat", "fire-weather") for g in gates)
            or 0.2 < p_feed < 0.8
        )
    )
    return (
        Call(
            hive=case.hive,
            yard=case.place.yard,
            made_for=today,
            moment=moment,
            action=action,
            summary=_summary(action, choice, views, grams, sugar, gate, toss),
            product=_product(action, settings),
            grams=round(grams, 1),
            pull_by=pull_by,
            sure=round(sure, 3),
            toss_up=toss,
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
        ),
        outcomes,
    )


def _product(action: Action, settings: Settings) -> str | None:
    if action == "lay on":
        with_pollen = f", {settings.patty_pollen_share:g} % pollen" if settings.patty_pollen_share > 0 else ""
        return f"soft patty, {settings.patty_protein:g} % protein{with_pollen}"
    return "sugar syrup" if action == "give sugar" else None


def _rhythm_text(option: Option, settings: Settings, stay: int) -> str:
    if option.rhythm == "once":
        return f"Come back within {stay} days and take off what is left."
    every = int(settings.visit_days) * (2 if option.rhythm == "every other week" else 1)
    return (
        f"The plan it belongs to: {option.name}, every {every} days until pollen returns; never past {stay} days "
        "without taking off what is left."
    )


def _gain_reason(choice: Choice, best: Outcome, leave: Outcome) -> Reason:
    """What feeding is expected to change, with nil and harm inside the range."""
    fed = best if best is not leave else choice.runner_up
    gain = interval(choice.gain)
    born = float(np.median(fed.emerged) - np.median(leave.emerged))
    return Reason(
        f"Against leaving alone, '{fed.option.name}' is expected to change bees at winter by "
        f"{_count(gain.median, '+')} ({_count(gain.low, '+')} to {_count(gain.high, '+')}) and bees reared until then "
        f"by {_count(born, '+')}. That feeding does nothing, or harm, is inside that range."
    )


def _through_gates(
    choice: Choice,
    gates: Sequence[Gate],
    outcomes: list[Outcome],
    situation: Situation,
    forecast: HiveOutlook,
    settings: Settings,
    case: HiveCase,
    today: date,
    margin: float,
    yard: YardAhead,
    patty_on: bool,
) -> tuple[Action, float, Gate | None, bool, float, Outcome]:
    """Let gates, then the cases for bigger changes, overrule the plan that won."""
    by = {o.option.action: o for o in reversed(outcomes)}
    best = choice.best
    action: Action = best.option.action
    forced = gate_room.first_order(gates, action)
    if forced is not None:
        to = gate_room.forced_action(forced)
        if to is not None and to != action:
            sure = 0.95 if forced.effect == "blocks" else 0.9
            return to, 0.0, forced, False, sure, by.get(to, best)
    blocked = gate_room.blocks(gates, action)
    if blocked is not None:
        return "leave", 0.0, blocked, False, 0.9, by["leave"]
    unite = gate_room.unite_case(situation, forecast, settings, gates)
    # Expected to be small at winter is a thought for autumn; too small now is a call.
    if unite is not None and gate_room.p_below(forecast.adults, settings.unite_now_bees) >= 0.5:
        gate = Gate(
            "unite",
            "orders",
            "Too small to go on alone",
            unite.why,
            "Unite with a strong, healthy colony after looking at both for signs of brood disease.",
            "convention; Free & Racey 1968 for survival by size",
        )
        return "unite", 0.0, gate, False, unite.probability, by["unite"]
    move = gate_room.move_yard_case(forecast, settings, case.place, today, gates)
    if move is not None and "move the yard" in by:
        gone = by["move the yard"]
        p = float(np.mean(gone.bees > best.bees + margin))
        if p >= 0.6:
            gate = Gate(
                "move",
                "orders",
                "The land gives nothing here",
                move.why,
                f"Think of moving the yard ({yard.better_name} is the best place known); until then the next best is: "
                f"{best.option.name}.",
                "our rule on the forecast; thresholds are yours",
            )
            return "move the yard", 0.0, gate, p < 0.65, p, gone
    if (
        action == "leave"
        and patty_on
        and situation.patty is not None
        and forecast.pull_by is not None
        and forecast.pull_by.date() <= today
    ):
        return "take off", 0.0, None, False, 0.9, by.get("take off", best)
    if action == "leave" and (w := gate_room.water_case(situation, forecast, settings, today)) is not None:
        gate = Gate(
            "water",
            "orders",
            "Water close by",
            w.why,
            "Put clean water with a landing within a short flight and never let it dry.",
            "published range of use; thresholds are yours",
        )
        return "give water", 0.0, gate, False, w.probability, by["give water"]
    return action, best.option.grams if action == "lay on" else 0.0, None, choice.toss_up, choice.sure, best


def with_flags(call: Call, flags: Sequence[Flag]) -> Call:
    """Return the call with its flagged entries."""
    return replace(call, flags=tuple(flags))
