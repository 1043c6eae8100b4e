"""A look worked out anew: the filter taken on by it, and the plans that could be called run once more.

Weighing members is quick but keeps each with its own future and luck, while the filter draws and moves
them. Where the plans lie so close that this could turn the call, the look is worked out as it
would be at the hive, for the plans that could be called alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Final

from tideover.evidence.assimilate import Assimilated
from tideover.evidence.seen import Seen
from tideover.evidence.supposing import supposing
from tideover.plan.basis import Basis
from tideover.plan.compare import HORIZON_D, Ahead, Outcome, outcome
from tideover.plan.decide import SMALL_PIECE_G, margin_bees
from tideover.plan.ground import RUNWAY_SALT, Ground, YardAhead, forecast
from tideover.plan.settings import Settings

NEAR: Final = 2.5
"""Plans within this many margins of the best feeding could be called."""
NEARLY_EATEN: Final = 0.12
"""A piece whose chance of being eaten is this near the one asked for may pass or not (three standard errors at 100)."""
MOST: Final = 4


def could_be_called(outcomes: Sequence[Outcome], settings: Settings) -> list[Outcome]:
    """Feeding plans that could still win after a look.

    Those near the best of all that may be eaten in time, and those near the best of all that surely are:
    if the first fall out, one of the second is called.
    :param outcomes: outcomes as weighed by the look.
    """
    feeding = [o for o in outcomes if o.option.action == "lay on"]
    asked = settings.asked_chance
    margin = margin_bees(next(o for o in outcomes if o.option.action == "leave"), settings)
    found: list[Outcome] = []
    sure = [o for o in feeding if o.eaten_by_pull_by >= asked + NEARLY_EATEN]
    for group in (
        [o for o in feeding if o.eaten_by_pull_by >= asked - NEARLY_EATEN],
        sure or [o for o in feeding if o.option.grams < SMALL_PIECE_G],
    ):
        if group:
            top = max(o.mean_bees for o in group)
            near = [o for o in group if top - o.mean_bees <= NEAR * margin]
            found += sorted(near, key=lambda o: -o.mean_bees)[:MOST]
            # The least is where the ladder of plans begins.
            found.append(min(group, key=lambda o: o.option.effort))
    return list({id(o): o for o in found}.values())


def afresh(
    known: Assimilated, looks: Sequence[Seen], base: Ground, weighed: Basis, yard: YardAhead, settings: Settings
) -> Ground:
    """The ground after a look, from the filter itself.

    :param known: the hive before the look.
    :param looks: what is supposed, in order (a piece taken off, the look).
    :param base: the ground before the look, with its members, futures and seeds.
    :param weighed: the same weighed by the look; its plans say which are worth running.
    """
    after = supposing(known, looks)
    runway = Ahead(yard.weather, None, base.ahead.seed, RUNWAY_SALT, base.ahead.first_day)
    sub = after.ensemble.take(base.members)
    fresh = {"leave alone", *(o.option.name for o in could_be_called(weighed.outcomes, settings))}
    outcomes = []
    for o in weighed.outcomes:
        if o.option.name in fresh or o.option.action == "move the yard":
            found, _ = outcome(o.option, sub, base.ahead, settings, stay_days=base.stay_days, stop_day=base.stop_day)
            outcomes.append(found)
        elif o.option.action != "lay on":
            outcomes.append(o)
    return replace(base, colonies=forecast(after.ensemble, runway, HORIZON_D), compared=sub, outcomes=outcomes)
