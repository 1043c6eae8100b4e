"""Choosing between plans: what wins, by how much, and how sure that is."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tideover.figures import reader
from tideover.plan.compare import Outcome
from tideover.plan.settings import Settings

_value = reader("calls")
SMALL_PIECE_G, SMALL_PIECE_CHANCE = _value("small_piece_g"), _value("small_piece_chance")
"""A quarter pound is below this, and is compared when it is eaten in time with this chance."""
NEAR_MARGINS, NEAR_SURE = _value("near_margins"), _value("near_sure")
"""Within so many margins and below this chance two plans are a toss-up."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Choice:
    """The plan chosen, its runner-up of another kind, and the probability that it is right.

    ``sure`` is the probability, over colonies and futures, that the chosen plan beats the
    runner-up by the keeper's margin; for *leave* (and any plan that does less than its
    runner-up), that the runner-up does not beat it by the margin.
    """

    best: Outcome
    runner_up: Outcome
    sure: float
    toss_up: bool
    gain: Floats
    """Bees at winter of the runner-up or best feeding plan over leaving alone, per member."""


def margin_bees(leave: Outcome, settings: Settings) -> float:
    """The margin as bees at winter: the keeper's share of what leaving alone gives.

    :param leave: outcome of leaving alone.
    :param settings: the keeper's settings, of which ``margin`` [share] counts.
    """
    return settings.margin * leave.mean_bees


def _beats(a: Outcome, b: Outcome, margin: float) -> float:
    return float(np.mean(a.bees > b.bees + margin))


def choose(outcomes: list[Outcome], settings: Settings) -> Choice:
    """Pick from leaving alone and feeding: up from leaving alone, where each step more gains the margin over the last.

    Only plans whose first piece is eaten by its pull-by with the chance the keeper asks for are
    taken; if none is, a quarter pound stands when it is more likely eaten than not.
    If no plan holds so little, the smallest piece given stands for it.

    :param outcomes: outcomes of all plans on the same futures; must hold 'leave' and a 'lay on'.
    :param settings: the keeper's settings (margin, chance of being eaten).
    :raises ValueError: if 'leave' or any 'lay on' is missing.
    """
    leave = next((o for o in outcomes if o.option.action == "leave"), None)
    if leave is None:
        raise ValueError("no outcome of leaving alone was given; it is what every plan is held against.")
    margin = margin_bees(leave, settings)
    feeding = [o for o in outcomes if o.option.action == "lay on"]
    if not feeding:
        raise ValueError("no outcome of laying on was given; there is nothing to hold against leaving alone.")
    fit = [o for o in feeding if o.eaten_by_pull_by >= settings.asked_chance]
    if not fit:
        fit = [o for o in feeding if o.eaten_by_pull_by >= SMALL_PIECE_CHANCE and o.option.grams < SMALL_PIECE_G]
    if not fit:
        # Not even a quarter pound is likely to go: compare it all the same, as the least wrong portion.
        least = max(SMALL_PIECE_G, min(o.option.grams for o in feeding) + 1.0)
        fit = [o for o in feeding if o.option.grams < least]
    best = leave
    for o in sorted(fit, key=lambda o: o.option.effort):
        # Each step up must pay for itself against the best so far.
        if o.mean_bees - best.mean_bees > margin:
            best = o
    top_feed = max(fit, key=lambda o: o.mean_bees)
    if best.option.action == "leave":
        runner = top_feed
        sure = 1.0 - _beats(runner, best, margin)
    else:
        runner = leave
        sure = _beats(best, runner, margin)
    gap = abs(best.mean_bees - runner.mean_bees)
    near = sure < 0.5 or (gap < NEAR_MARGINS * margin and sure < NEAR_SURE)
    if near and best is not leave:
        # Too close to tell, or better on average but not more often than not: the lesser intervention stands.
        return Choice(leave, best, 1.0 - sure, True, best.bees - leave.bees)
    return Choice(best, runner, sure, near, (top_feed if best is leave else best).bees - leave.bees)
