"""Gates and the cases for bigger changes, held over the plan that won."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.plan import gates as gate_room
from tideover.plan.call import Action, Gate
from tideover.plan.compare import Outcome
from tideover.plan.decide import Choice
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

_value = reader("calls")
WATER = "Put clean water with a landing within a short flight and never let it dry."
MOVE_FROM: Final = _value("move_from")
"""Chance that moving beats the best plan at the yard, from which it is called."""


@dataclass(frozen=True)
class Verdict:
    """What is called: action, grams, the plan behind it, how sure, and what says so.

    ``sure`` is None where a rule decides and no comparison of plans stands behind it.
    ``ordered`` is the sentence of the gate or case, '' where plans decided; ``why`` its reasons.
    """

    action: Action
    grams: float
    plan: Outcome
    sure: float | None
    toss_up: bool = False
    ordered: str = ""
    why: str = ""


def verdict(
    choice: Choice,
    gates: Sequence[Gate],
    outcomes: list[Outcome],
    situation: Situation,
    forecast: HiveOutlook,
    settings: Settings,
    place: Place,
    today: date,
    *,
    margin: float,
    better_yard: str,
    patty_on: bool,
    sugar_kg: float,
) -> Verdict:
    """Let gates, then the cases for bigger changes, overrule the plan that won.

    :param margin: the keeper's margin [bees].
    :param better_yard: name of the best other yard, '' when none is known.
    :param sugar_kg: sugar that would bring honey to the winter target [kg].
    """
    by = {o.option.action: o for o in reversed(outcomes)}
    best = choice.best
    action: Action = best.option.action
    forced = gate_room.first_order(gates, action)
    if situation.last_look is None and (forced is None or gate_room.forced_action(forced) == "give sugar"):
        # Whatever the forecast says of a hive nobody has opened, it says of any hive.
        do = "Nobody has looked yet: heft the hive and look at one outer and one brood comb before anything is given."
        return Verdict("look again", 0.0, by.get("look again", best), None, ordered=do)
    water = gate_room.water_case(situation, forecast, settings, today)
    if forced is not None and forced.code == "brood-pause" and water is not None:
        # A pause in the heat where nobody brings water: that first, the look comes after it.
        return Verdict("give water", 0.0, by["give water"], None, ordered=f"{WATER} {forced.do}", why=water.why)
    if forced is not None:
        to = gate_room.forced_action(forced)
        if to is not None and to != action:
            grams = 1000.0 * max(1.0, sugar_kg) if to == "give sugar" else 0.0
            return Verdict(to, grams, by.get(to, best), None, ordered=f"{forced.title}: {forced.do}")
    blocked = gate_room.blocks(gates, action)
    if blocked is not None:
        return Verdict("leave", 0.0, by["leave"], None, ordered=f"{blocked.title}: {blocked.do}")
    unite = gate_room.unite_case(situation, forecast, settings, gates)
    # Expected to be small at winter is a thought for autumn; too small now is a call.
    small = gate_room.p_below(forecast.adults, settings.unite_now_bees)
    if unite is not None and small >= 0.5:
        do = "Too small to go on alone: unite with a strong, healthy colony; look at both for brood disease first."
        return Verdict("unite", 0.0, by["unite"], small, ordered=do, why=unite.why)
    move = gate_room.move_yard_case(forecast, settings, place, today, gates)
    if move is not None and "move the yard" in by:
        gone = by["move the yard"]
        p = float(np.mean(gone.bees > best.bees + margin))
        if p >= MOVE_FROM:
            do = (
                f"The land gives nothing here: think of moving the yard ({better_yard} is the best place known); "
                f"until then the next best is: {best.option.name}."
            )
            return Verdict("move the yard", 0.0, gone, p, ordered=do, why=move.why)
    if action == "leave" and patty_on and forecast.pull_by is not None and forecast.pull_by.date() <= today:
        do = "The piece has lain to its pull-by: take off what is left."
        return Verdict("take off", 0.0, by.get("take off", best), None, ordered=do)
    if action == "leave" and water is not None:
        return Verdict("give water", 0.0, by["give water"], water.probability, ordered=WATER, why=water.why)
    grams = best.option.grams if action == "lay on" else 0.0
    return Verdict(action, grams, best, choice.sure, choice.toss_up)
