"""A hive's field card at the desk, and what it says about opening the hive at all."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from tideover.evidence.assimilate import Assimilated
from tideover.evidence.seen import HiveCase, Seen
from tideover.plan.advise import must_open
from tideover.plan.call import Call
from tideover.plan.cards import Card, make_card
from tideover.plan.cards.make import VISIT_H
from tideover.plan.ground import Ground, YardAhead
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation


def card_of(
    case: HiveCase,
    known: Assimilated,
    call: Call,
    ground: Ground,
    facts: Situation,
    notes: Sequence[Seen],
    yard: YardAhead,
    settings: Settings,
) -> Card:
    """The field card of a hive whose call has just been made.

    :param case: the hive; entries after the day of the call are left out.
    :param known: the hive as assimilated; before the round close looks are worked out anew from it, at the hive
        (where the look has been made) they are weighed only.
    :param ground: what its call was judged on.
    :param facts: what stands written on that day.
    :param notes: the yard's entries.
    """
    today = facts.today
    held = tuple(s for s in case.seen if s.day <= today)
    # A look thought of comes after everything written that day.
    hour = max([VISIT_H, *(s.hour for s in held if s.day == today)])
    return make_card(
        replace(case, seen=held), ground, facts, notes, yard, settings,
        hour=min(23.9, hour + 0.01), known=known if call.moment == "before the round" else None,
    )  # fmt: skip


def worth_opening(call: Call, card: Card) -> Call:
    """The call with the card's word on whether a look pays, where neither the call nor a gate asks for one anyway."""
    if call.moment != "before the round" or must_open(call.action, call.gates):
        return call
    return replace(call, worth_opening=card.worth)
