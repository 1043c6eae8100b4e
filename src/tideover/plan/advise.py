"""The call for one hive: plans compared on the forecast, gates applied, reasons given."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony.ensemble import Ensemble
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.seen import HiveCase
from tideover.figures import reader
from tideover.plan import gates as gate_room
from tideover.plan.call import Action, Alternative, Call, Flag, Gate, Moment, Reason
from tideover.plan.compare import Ahead, Outcome, outcome
from tideover.plan.drivers import drivers, worth_looking
from tideover.plan.ground import COMPARED, Ground, YardAhead, prepare
from tideover.plan.options import Option
from tideover.plan.portion import eaten_words, portion_cost
from tideover.plan.settings import Settings
from tideover.plan.settle import settle
from tideover.plan.situation import Situation
from tideover.plan.wording import gain_reason, interval, plain_reason, product, rhythm, summary, where_to_lay

_value = reader("calls")
__all__ = ["COMPARED", "Advice", "YardAhead", "advise", "must_open", "with_flags"]

Floats = NDArray[np.float64]

UNSURE_LOW, UNSURE_HIGH = _value("unsure_low"), _value("unsure_high")
"""Between these chances of feeding being right a hive is opened."""
DRAWN: Final = 200
"""Members the line to winter is drawn from."""
MAY_LAY_ON: Final = _value("load_from")
"""Chance that a piece will be wanted after the look, from which it is loaded."""


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
    if o.option.action == "lay on" and o.eaten_by_pull_by < settings.asked_chance:
        return f"its first piece is eaten by the pull-by with a chance of only {o.eaten_by_pull_by:.0%}"
    return _ASIDE.get(o.option.action, "the gain over the lesser plan stays under your margin on average")


@dataclass(frozen=True)
class Advice:
    """A call with what stands behind it.

    ``line`` holds low, median and high per day, shape (3, days), of 'adults', 'brood', 'pollen_g' and
    'honey_g' under the plan called, to the day the cluster forms.
    """

    call: Call
    outcomes: list[Outcome]
    line: dict[str, Floats]
    ground: Ground
    """What it was judged on, member by member; field cards answer from it."""


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
    ground = prepare(known, situation, yard, settings, at=at, seed=seed, compared=compared)
    met = settle(ground.basis, situation, yard, settings, case.place, moment=moment, pull_now=ground.pull_now)
    today, members, outcomes = known.today, ground.members, ground.outcomes
    choice, gates, v, views, forecast = met.choice, met.gates, met.verdict, met.views, met.forecast
    leave, margin, sugar, stay = met.leave, met.margin, met.sugar_kg, ground.stay_days
    then = list(gate_room.then_texts(gates, v.action))
    if v.action == "lay on":
        then[:0] = [where_to_lay(situation.seams_by_box), rhythm(v.plan.option, settings, stay)]
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
    if v.action == "lay on":
        adults = float(np.median(known.ensemble.adults()))
        cost = portion_cost(settings, case.place.beetles, adults)
        likely = eaten_words(v.plan.eaten_by_pull_by, settings.asked_chance, v.grams)
        reasons.insert(2, Reason(f"{cost.words(settings.currency, settings.asked_chance)} {likely}"))
    if v.why:
        reasons.insert(0, Reason(v.why))
    alternatives = tuple(
        sorted((_alternative(o, v.plan, margin, settings) for o in outcomes), key=lambda a: -a.bees_at_winter.median)
    )
    pull_by = ground.pull_new if v.action == "lay on" else ground.pull_now
    p_feed = float(np.mean(choice.gain > margin))
    portion = next((o.option.grams for o in (choice.best, choice.runner_up) if o.option.action == "lay on"), 0.0)
    may = v.action in ("look again", "take off") and p_feed > MAY_LAY_ON
    loads = v.grams if v.action == "lay on" else portion if may else 0.0
    opened = moment == "before the round" and (must_open(v.action, gates) or UNSURE_LOW < p_feed < UNSURE_HIGH)
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
    return Advice(
        call,
        outcomes,
        _line(v.plan, ground.compared, ground.ahead, settings, stay_days=stay, stop_day=ground.stop_day),
        ground,
    )


def must_open(action: Action, gates: Sequence[Gate]) -> bool:
    """Whether the call, or a gate that stands, asks for the hive to be opened whatever a look might show."""
    return action not in ("leave", "give water") or any(
        g.effect != "warns" and g.code not in ("fire-ban", "heat", "fire-weather") for g in gates
    )


def with_flags(call: Call, flags: Sequence[Flag]) -> Call:
    """Return the call with its flagged entries."""
    return replace(call, flags=tuple(flags))
