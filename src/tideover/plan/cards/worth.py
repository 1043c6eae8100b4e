"""Whether lifting a comb pays: read off the same table that says what each look would lead to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from tideover.figures import reader
from tideover.plan.cards.card import Answer

_value = reader("calls")
SAME_ENOUGH: Final = _value("card_same")
"""From this chance on that a look changes nothing, it is not worth lifting a comb for."""
NEEDS_OPENING: Final = ("look again", "see to the cause first", "unite", "take off")
"""Calls that open the hive whatever a card says."""


def worth_of(
    now: Answer, turns: Sequence[tuple[Answer, float]], same: float, gain: float, margin: float, no_eggs: float = 0.0
) -> tuple[bool, str]:
    """Whether a look at a brood comb pays, and why in one sentence.

    :param now: the call without a look.
    :param turns: what each look would lead to, with its chance; chances sum to 1.
    :param same: chance that a look leaves the call as it is.
    :param gain: bees at winter that looking is worth on average.
    :param margin: the keeper's margin [bees at winter].
    :param no_eggs: chance of a look that finds no eggs, where that changes the call; it is among ``turns``.
    """
    if now.action in NEEDS_OPENING:
        return True, "The call itself asks for the hive to be opened."
    unknown = sum(p for told, p in turns if told.how == "cannot tell")
    if same >= SAME_ENOUGH:
        does = "be left shut" if now.action in ("leave", "give water") else "be done on the forecast"
        often = "No likely look" if same >= 0.97 else "Hardly a look"
        return False, f"{often} at a comb would change the call: it can {does}."
    if unknown > 0.5 * (1.0 - same):
        return True, "What a likely look would lead to cannot be told beforehand: look, and write it down first."
    away: dict[str, float] = {}
    for told, p in turns:
        if told.does != now.does:
            away[told.action] = away.get(told.action, 0.0) + p
    to = max(away, key=lambda k: away[k])
    to_words = "another amount" if to == now.action else f"'{to}'"
    often = f"About {round(10 * (1.0 - same))} looks of ten" if same > 0.05 else "Nearly every look"
    worth = f"; on average that is worth about {gain:.0f} bees at winter" if gain >= 0.1 * margin > 0 else ""
    # the table of looks stands under 'eggs seen', so a change that is not in it is named
    finds = "find no eggs and " if no_eggs > 0.5 * (1.0 - same) else ""
    return True, f"{often} at a comb would {finds}change the call, mostly to {to_words}{worth}."
