"""What must be known before 'feed protein' may be said: every gate, in order.

A gate blocks an action, puts another before it, or only warns. Start reading at
``gates``; the codes, their order and what they force are in ``gates_table``.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from tideover.evidence.seen import Place
from tideover.plan.call import Action, Gate, Moment
from tideover.plan.gates_cases import Case, move_yard_case, unite_case, water_case
from tideover.plan.gates_cause import cause_gates
from tideover.plan.gates_outlook import HiveOutlook, p_below
from tideover.plan.gates_safety import pull_by_day, safety_gates
from tideover.plan.gates_table import KINDS, ORDER, GateKind
from tideover.plan.gates_use import missing_sign, use_gates
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

__all__ = [
    "KINDS",
    "Case",
    "GateKind",
    "HiveOutlook",
    "asks",
    "blocks",
    "first_order",
    "forced_action",
    "gates",
    "in_order",
    "move_yard_case",
    "p_below",
    "pull_by_day",
    "then_texts",
    "unite_case",
    "visit_gates",
    "water_case",
]


def gates(
    situation: Situation,
    outlook: HiveOutlook,
    settings: Settings,
    place: Place,
    today: date,
    moment: Moment = "before the round",
) -> list[Gate]:
    """Every gate that stands for one hive on one day, safety and law first.

    Args:
        situation: what stands written, folded up to ``today``.
        outlook: what the forecast gives for ``today``.
        settings: the keeper's thresholds.
        place: where the hive stands.
        today: the day of the visit.
        moment: before the round, or at the hive after the look.
    """
    found = [
        *safety_gates(situation, outlook, settings, place, today),
        *cause_gates(situation, outlook, settings, place, today),
        *use_gates(situation, outlook, settings, place, today, moment),
    ]
    if any(g.code == "hive-dead" for g in found):
        # A dead colony has no queen, stores or mites to see to; only safety and law still hold.
        found = [g for g in found if ORDER[g.code] <= ORDER["yard-suspect"] and g.code != "pull-by-due"]
    if any(g.code == "beetle-report" for g in found):
        # Nothing may be moved, so nothing may be ordered off the hive either.
        off = ("beetle-larvae", "pull-by-past", "pull-by-due", "suspect-piece-on")
        found = [g for g in found if g.code not in off]
    return in_order(found)


def in_order(found: Iterable[Gate]) -> list[Gate]:
    """Gates in their fixed order, whatever order they came in."""
    return sorted(found, key=lambda g: ORDER[g.code])


def blocks(found: Sequence[Gate], action: Action) -> Gate | None:
    """The first gate that forbids an action; None when none does."""
    for gate in in_order(found):
        if gate.effect == "blocks" and action in KINDS[gate.code].forbids:
            return gate
    return None


def forced_action(gate: Gate) -> Action | None:
    """The action a gate puts first; None when it only forbids, warns or rules the visit."""
    return None if gate.effect == "warns" else KINDS[gate.code].forces


def first_order(found: Sequence[Gate], action: Action | None = None) -> Gate | None:
    """The first gate that forces an action (``forced_action`` says which); None when none does.

    Args:
        found: the gates that stand.
        action: the action in mind; gates that stand only before other actions are passed over
            (looking for brood signs stands before laying on, not before leaving alone). None
            takes every gate.
    """
    for gate in in_order(found):
        kind = KINDS[gate.code]
        forced = forced_action(gate)
        if forced is None or (action is not None and kind.before and action not in kind.before):
            continue
        if blocks(found, forced) is None:
            return gate
    return None


def visit_gates(found: Sequence[Gate]) -> list[Gate]:
    """Gates that rule how and when to go (heat, fire), not what to do at the hive."""
    return [g for g in in_order(found) if KINDS[g.code].of == "visit"]


def asks(found: Sequence[Gate], situation: Situation, settings: Settings) -> tuple[str, ...]:
    """What to look at or count this visit, in the order of the gates."""
    wanted: list[str] = []
    for gate in in_order(found):
        match gate.code:
            case "disease-not-looked" | "dry-larvae" | "suspect-piece-on" | "suspect-piece-eaten":
                wanted.append("look for signs of brood disease")
            case "mites-unknown" | "mites-near" | "wings" | "wings-and-brood":
                wanted.append("count mites this visit")
            case "honey-unsure":
                wanted.append("heft the hive")
            case "brood-pause" | "eggs-once" | "no-queen":
                wanted.append("look for eggs and the queen")
            case "pollen-coming-unsure":
                wanted.append("look for a band of pollen by the brood")
            case "low-confidence" | "look-old":
                sign = missing_sign(situation, settings.sign_days)
                wanted.append(f"look at {sign}" if sign else "look a second time in good light")
    return tuple(dict.fromkeys(wanted))


_THEN = {
    "mites-high": "Treat for mites within the label, as a call of its own.",
    "mites-unknown": "Count mites this visit.",
    "mites-near": "Count mites again in 2-4 weeks.",
    "wings": "Count mites and treat within the label, as a call of its own.",
    "wings-and-brood": "Count mites and treat within the label, as a call of its own.",
    "pull-by-past": "Take off the piece that is at its pull-by.",
    "suspect-piece-on": "Take off the piece that came from a suspect hive and destroy it.",
    "beetle-larvae": "Take off the piece with larvae, bag and freeze it.",
    "robbing": "Reduce the entrance; feed inside, late in the day.",
    "honey-short": "Give sugar.",
    "honey-short-boxes-on": "Boxes off or their own honey back, then sugar.",
}


def then_texts(found: Sequence[Gate], action: Action | None = None) -> tuple[str, ...]:
    """Separate calls that stand beside the first one; what the call itself already says is left out."""
    return tuple(
        _THEN[g.code] for g in in_order(found) if g.code in _THEN and (action is None or KINDS[g.code].forces != action)
    )
