"""When uniting, moving the yard or giving water is worth a call: why, and how sure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.plan.call import Gate
from tideover.plan.gates_outlook import HiveOutlook, p_below
from tideover.plan.gates_table import KINDS
from tideover.plan.gates_words import bees, between, on, percent, temp
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

_value = reader("calls")
WATER_SEEN_D, CLEAR_K = _value("water_seen_d"), _value("water_clear_k")
"""Days that water put out lasts, and how far above a hot day is hot for sure."""
WATER_SURE, WATER_UNSURE = _value("water_sure"), _value("water_unsure")


@dataclass(frozen=True)
class Case:
    """A case for an action: why, with the thresholds used, and the probability that it holds."""

    why: str
    probability: float


def _forbidden(found: Sequence[Gate], action: str) -> bool:
    return any(g.effect == "blocks" and action in KINDS[g.code].forbids for g in found)


def unite_case(s: Situation, o: HiveOutlook, settings: Settings, found: Sequence[Gate] = ()) -> Case | None:
    """Whether the colony is too small to go on alone, now or at winter; never with disease in question.

    Proportion of bees surviving was alike in small and large colonies (Free & Racey 1968); a small
    one pays in food per bee and in spring size, so this is a case to weigh, not a rule.
    """
    if s.died is not None or _forbidden(found, "unite"):
        return None
    reasons: list[str] = []
    p = 0.0
    now = p_below(o.adults, settings.unite_now_bees)
    if now >= 0.5:
        reasons.append(f"about {between(o.adults)} bees now, under your {bees(settings.unite_now_bees)}")
        p = now
    winter = o.bees_at_winter
    if winter is not None:
        low = p_below(winter, settings.unite_winter_bees)
        if low >= 0.5:
            reasons.append(
                f"about {between(winter)} bees expected at winter, under your {bees(settings.unite_winter_bees)} "
                f"({percent(low)} likely)"
            )
            p = max(p, low)
    if not reasons:
        return None
    look = s.sign("brood_signs")
    caution = (
        ""
        if look.answer == "no" and look.within(s.today, settings.sign_days)
        else " Look for signs of brood disease in both first."
    )
    why = (
        f"The colony is small: {'; '.join(reasons)}. Uniting is a convention, not a survival curve: small colonies "
        f"lose no larger share of their bees, they pay more food per bee and are small in spring.{caution}"
    )
    return Case(why, p)


def move_yard_case(
    o: HiveOutlook, settings: Settings, place: Place, today: date, found: Sequence[Gate] = ()
) -> Case | None:
    """Whether the land at a yard gives so little for so long that moving is worth a thought."""
    if _forbidden(found, "move the yard") or o.p_pollen_back is None or o.p_dearth is None:
        return None
    if o.index.median > settings.move_index or o.p_pollen_back > settings.move_p_back or o.p_dearth < 0.5:
        return None
    if o.cluster is not None and (o.cluster - today).days < settings.move_days_left:
        return None
    p = p_below(o.index, settings.move_index) * (1 - o.p_pollen_back)
    left = "" if o.cluster is None else f", the cluster is {(o.cluster - today).days} days off"
    why = (
        f"Pollen on offer is {o.index.median:.2f} ({o.index.low:.2f} to {o.index.high:.2f}; your level "
        f"{settings.move_index:g}), back within 14 days with a chance of {percent(o.p_pollen_back)}{left}. Only worth "
        "it to a place that is known to be better; ask about movement rules, and move in the cool of the night."
    )
    return Case(why, p)


def water_case(s: Situation, o: HiveOutlook, settings: Settings, today: date) -> Case | None:
    """Whether enough hot days lie ahead that water at hand matters; a colony uses 1-4 L a day in heat."""
    if s.died is not None:
        return None
    ahead = o.temp_max_next_c or (() if o.temp_max_c is None else (o.temp_max_c,) * int(settings.water_days))
    hot = [t for t in ahead if t > settings.water_tmax_c]
    if len(hot) < settings.water_days:
        return None
    if s.water_given is not None and today - s.water_given <= timedelta(days=WATER_SEEN_D):
        return None
    guess = "" if o.temp_max_next_c else " (only today's temperature is known; taken to last)"
    given = "none is written" if s.water_given is None else f"last written on {on(s.water_given)}"
    why = (
        f"{len(hot)} of the next {len(ahead)} days over {temp(settings.water_tmax_c)}, up to {temp(max(hot))}{guess}; "
        f"water {given}. A colony uses about 1-4 L (1-4 quarts) a day in hot weather (published range); clean "
        "water near by, with a landing, never let dry. A stream or trough near by that is not in the books "
        "would do as well."
    )
    # How many of the days are clear of the level by a usual forecast error.
    clear = sum(t > settings.water_tmax_c + CLEAR_K for t in ahead)
    return Case(why, WATER_SURE if clear >= settings.water_days else WATER_UNSURE)
