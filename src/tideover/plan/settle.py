"""From outcomes to a verdict: the plans chosen between, gates and bigger changes held over the choice."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

import numpy as np

from tideover.colony import layout as lay
from tideover.evidence.seen import Place
from tideover.plan import gates as gate_room
from tideover.plan.basis import Basis
from tideover.plan.call import Gate, Moment
from tideover.plan.compare import EATEN_REST, Outcome
from tideover.plan.decide import Choice, choose, margin_bees
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.ground import YardAhead, sugar_wanted
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation
from tideover.plan.verdict import Verdict, verdict
from tideover.plan.wording import Views, interval, jelly_word


@dataclass(frozen=True)
class Settled:
    """A verdict with everything it rests on.

    :param margin: the keeper's margin [bees at winter].
    :param leave: outcome of leaving alone.
    :param sugar_kg: sugar that would bring honey to the winter target [kg].
    """

    views: Views
    choice: Choice
    gates: list[Gate]
    verdict: Verdict
    forecast: HiveOutlook
    margin: float
    leave: Outcome
    sugar_kg: float


def settle(
    basis: Basis,
    situation: Situation,
    yard: YardAhead,
    settings: Settings,
    place: Place,
    *,
    moment: Moment,
    pull_now: datetime | None,
) -> Settled:
    """Judge a hive.

    :param basis: colonies and outcomes.
    :param situation: what stands written (or would stand, after a look that is thought of).
    :param moment: before the round, or at the hive.
    :param pull_now: pull-by of the piece on the hive; None without one.
    """
    today = situation.today
    views = basis.views
    honey = interval(basis.total("honey_g") / 1000.0)
    sugar = sugar_wanted(honey, settings)
    patty_on = situation.patty is not None and basis.patty_lies
    choice = choose(basis.outcomes, settings)
    leave = next(o for o in basis.outcomes if o.option.action == "leave")
    margin = margin_bees(leave, settings)
    eaten_now = None
    if patty_on and pull_now is not None and situation.patty is not None:
        eaten_now = float((basis.total("patty_g") < EATEN_REST * situation.patty.grams).mean())
    ahead = HiveOutlook(
        adults=interval(basis.total("adults")),
        honey_kg=honey,
        pollen_g=interval(basis.total("pollen_g")),
        brood=interval(basis.total("brood")),
        index=yard.index,
        runway=views.first,
        p_queenless=float((basis.total("queen") < 0.5 * lay.NO_QUEEN).mean()),
        honey_days=views.honey_days,
        p_pollen_back=yard.p_pollen_back,
        p_dearth=yard.p_dearth,
        temp_max_c=yard.temp_max_today_c,
        heat_index_f=yard.heat_index_f,
        humidity=yard.humidity,
        wind_ms=yard.wind_ms,
        rain_mm=yard.rain_mm,
        drought_kbdi=yard.drought_kbdi,
        temp_max_next_c=yard.temp_max_next_c,
        temp_max_past_c=yard.past_max_c,
        jelly=jelly_word(float(np.median(basis.total("jelly")))),
        bees_at_winter=interval(leave.bees),
        cluster=yard.cluster,
        pull_by=pull_now,
        p_eaten_by_pull_by=eaten_now,
        yard_suspects=yard.suspects,
    )
    gates = gate_room.gates(situation, ahead, settings, place, today, moment)
    v = verdict(
        choice, gates, basis.outcomes, situation, ahead, settings, place, today,
        margin=margin, better_yard=yard.better_name, patty_on=patty_on, sugar_kg=sugar,
    )  # fmt: skip
    return Settled(views, choice, gates, v, ahead, margin, leave, sugar)
