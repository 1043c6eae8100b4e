"""From outcomes to a verdict: the plans chosen between, gates and bigger changes held over the choice."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tideover.colony import layout as lay
from tideover.evidence.seen import Place
from tideover.plan import gates as gate_room
from tideover.plan.call import Gate, Interval, Moment
from tideover.plan.compare import Outcome
from tideover.plan.decide import Choice, choose, margin_bees
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.ground import Ground, YardAhead, patty_lies, sugar_wanted
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
    ground: Ground,
    situation: Situation,
    yard: YardAhead,
    settings: Settings,
    place: Place,
    *,
    moment: Moment,
) -> Settled:
    """Judge a hive on its ground.

    :param ground: colonies and outcomes.
    :param situation: what stands written (or would stand, after a look that is thought of).
    :param moment: before the round, or at the hive.
    """
    e = ground.colonies.ensemble
    today = situation.today
    views = ground.colonies.views()
    sugar = sugar_wanted(interval(e.state[:, lay.HONEY] / 1000.0), settings)
    patty_on = patty_lies(situation, e)
    choice = choose(ground.outcomes, settings)
    leave = next(o for o in ground.outcomes if o.option.action == "leave")
    margin = margin_bees(leave, settings)
    eaten_now = None
    if patty_on and ground.pull_now is not None and situation.patty is not None:
        eaten_now = float((e.state[:, lay.PATTY] < 0.1 * situation.patty.grams).mean())
    ahead = _hive_outlook(ground, yard, views, interval(leave.bees), eaten_now)
    gates = gate_room.gates(situation, ahead, settings, place, today, moment)
    v = verdict(
        choice, gates, ground.outcomes, situation, ahead, settings, place, today,
        margin=margin, better_yard=yard.better_name, patty_on=patty_on, sugar_kg=sugar,
    )  # fmt: skip
    return Settled(views, choice, gates, v, ahead, margin, leave, sugar)


def _hive_outlook(ground: Ground, yard: YardAhead, views: Views, winter: Interval, eaten: float | None) -> HiveOutlook:
    e = ground.colonies.ensemble
    jelly = float(np.median(e.state[:, lay.JELLY]))
    brood = e.eggs() + e.open_larvae() + e.capped()
    return HiveOutlook(
        adults=interval(e.adults()),
        honey_kg=interval(e.state[:, lay.HONEY] / 1000.0),
        pollen_g=interval(e.state[:, lay.BREAD]),
        brood=interval(brood),
        index=yard.index,
        runway=views.first,
        p_queenless=float((e.state[:, lay.QUEEN] < -9000).mean()),
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
        jelly=jelly_word(jelly),
        bees_at_winter=winter,
        cluster=yard.cluster,
        pull_by=ground.pull_now,
        p_eaten_by_pull_by=eaten,
        yard_suspects=yard.suspects,
    )
