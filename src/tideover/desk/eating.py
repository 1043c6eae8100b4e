"""What a yard's hives have seen between them: who ate a patty, what the others expect, how many beetles are about."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import Final

from tideover.colony.layout import P
from tideover.evidence.known import Assimilated
from tideover.evidence.seen import HiveCase
from tideover.figures import reader
from tideover.patty.appetite import Appetite, moved, of_yard
from tideover.plan.situation import season_start

BEETLES_D: Final = int(reader("calls")("beetles_back_d"))
"""Looks of so many days tell how many beetles are about."""


def seen_eating(c: HiveCase, today: date) -> bool:
    """Whether anything written says how much of a piece this hive left this season."""
    start = season_start(c.place, today)
    laid = [s.day for s in c.seen if s.kind == "laid on" and start <= s.day <= today]
    return bool(laid) and any(
        s.kind in ("look", "taken off") and min(laid) <= s.day <= today and {"patty_left", "weight"} & s.values.keys()
        for s in c.seen
    )


def expect(known: Assimilated, told: Sequence[Appetite]) -> None:
    """Give a hive never seen eating the appetite its yard's hives lead to expect; changes its members in place.

    :param told: appetites of the yard's hives that were seen eating.
    """
    at, to = P["patty_intake_mg"], of_yard(told)
    held = [known.ensemble, *([known.walk.known.ensemble] if known.walk is not None else [])]
    for e in {id(one): one for one in held}.values():
        e.params[:, at] = moved(e.params[:, at], to)


def beetle_words(cases: Iterable[HiveCase], today: date) -> list[str]:
    """Words for beetles in the looks of a yard's hives over the last weeks."""
    since = today - timedelta(days=BEETLES_D)
    looks = [s for c in cases for s in c.seen if s.kind == "look" and since <= s.day <= today]
    return [str(s.values["beetles"]) for s in looks if "beetles" in s.values]
