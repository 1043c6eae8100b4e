"""A field card for one hive, from the ground its call was judged on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from typing import Final

import numpy as np

from tideover.colony import layout as lay
from tideover.evidence.predict import Shown, shown
from tideover.evidence.seen import HiveCase, Seen, Value
from tideover.plan.cards.card import Answer, Card, Cell, Row
from tideover.plan.cards.looks import FIRST, JELLY_SEEN, POLLEN, table_values, with_look
from tideover.plan.cards.weights import Weight, weight
from tideover.plan.cards.worth import worth_of
from tideover.plan.ground import Ground, YardAhead, patty_lies
from tideover.plan.options import Option
from tideover.plan.settings import Settings
from tideover.plan.settle import Settled, settle
from tideover.plan.situation import Situation, situation

LEAST_EFFECTIVE: Final = 20.0
"""Fewer colonies than this left to speak and nothing is said beforehand (our assumption)."""
CANNOT_TELL: Final = "Cannot tell beforehand: write the look down, and the call is made with it."
_OFF: Final = "taken off, thought of"
_WITH_PIECE: Final = ("disease signs", "beetle larvae")


@dataclass(frozen=True)
class _Stand:
    """A hive as it stands (or as it stands once the old piece is off), ready to be asked."""

    case: HiveCase
    ground: Ground
    situation: Situation
    notes: tuple[Seen, ...]
    yard: YardAhead
    settings: Settings
    hour: float

    def settled(self) -> Settled:
        """The verdict without a look."""
        return settle(self.ground, self.situation, self.yard, self.settings, self.case.place, moment="before the round")

    def after(self, values: Mapping[str, Value], w: Weight) -> tuple[Settled, Ground]:
        """The verdict after a look, and the ground it stands on."""
        today = self.situation.today
        case = with_look(self.case, today, self.hour, values)
        facts = situation(case, self.notes, today, self.settings.mite_sample_bees)
        ground = self.ground.seen_by(w.draw())
        return settle(ground, facts, self.yard, self.settings, case.place, moment="at the hive"), ground

    def shows(self) -> Shown:
        """What the compared members would show. Neither flight nor what comes in stands on a card."""
        return shown(self.ground.compared, self.case.boxes, flying=0.0, log_index=np.zeros(1))


def make_card(
    case: HiveCase,
    ground: Ground,
    facts: Situation,
    notes: Sequence[Seen],
    yard: YardAhead,
    settings: Settings,
    *,
    hour: float = 9.0,
) -> Card:
    """Answer every look on the card from outcomes that are known already.

    :param case: the hive with what was seen up to the day of the call.
    :param ground: what its call was judged on.
    :param facts: what stands written, folded up to that day.
    :param notes: the yard's entries; its events bear on the hive.
    :param yard: the yard's coming days.
    :param settings: the keeper's thresholds.
    :param hour: hour of the visit.
    """
    stand = _Stand(case, ground, facts, tuple(notes), yard, settings, hour)
    base = stand.settled()
    cleared = _cleared(stand) if base.verdict.action == "take off" and not _larvae(base) else None
    table = cleared or stand
    if cleared is not None:
        base = cleared.settled()
    now = _answer(base, float(table.ground.compared.members))
    rows = [_row(stand if one.name in _WITH_PIECE else table, one.name, one.says, one.values) for one in FIRST]
    larvae = patty_lies(facts, ground.colonies.ensemble) or facts.sign("beetle_larvae").answer == "yes"
    shows = table.shows()
    weighed = [
        (pollen, jelly, values, weight(shows, values))
        for pollen in POLLEN
        for jelly in JELLY_SEEN
        for values in (table_values(pollen, jelly, larvae_looked=larvae),)
    ]
    total = sum(w.chance for *_, w in weighed)
    cells, gain = [], 0.0
    for pollen, jelly, values, w in weighed:
        met, seen = table.after(values, w)
        told = _answer(met, w.effective)
        cells.append(Cell(pollen, jelly, w.chance / total, w.odd, told))
        gain += w.chance / total * _gain(seen, told.plan, now.plan)
    # The brood comb that shows pollen and jelly shows eggs as well.
    none = next(r for r in rows if r.name == "no eggs")
    p_none = none.chance or 0.0
    turns = [(c.answer, (1.0 - p_none) * c.chance) for c in cells] + [(none.answer, p_none)]
    same = sum(p for told, p in turns if told.does == now.does)
    worth, why = worth_of(now, turns, same, gain, base.margin)
    return Card(
        hive=case.hive,
        yard=case.place.yard,
        made_for=facts.today,
        good_until=_good_until(facts.today, yard, settings),
        rain_mm=settings.card_rain_mm,
        now=now,
        first_off=cleared is not None,
        rows=tuple(rows),
        cells=tuple(cells),
        same=same,
        gain=gain,
        worth=worth,
        why=why,
    )


def _larvae(met: Settled) -> bool:
    return any(g.code in ("beetle-larvae", "beetle-report", "brood-disease") for g in met.gates)


def _cleared(stand: _Stand) -> _Stand:
    """The hive once its old piece is off: what leaving alone leads to is then what taking off led to."""
    today, ground = stand.situation.today, stand.ground
    off = Seen(_OFF, "taken off", today, stand.hour - 0.1, {})
    case = replace(stand.case, seen=(*(s for s in stand.case.seen if s.day <= today), off))
    facts = situation(case, stand.notes, today, stand.settings.mite_sample_bees)
    outcomes = []
    gone = next((o for o in ground.outcomes if o.option.change == "take off"), None)
    for o in ground.outcomes:
        if o.option.action == "leave" and gone is not None:
            outcomes.append(replace(gone, option=Option("leave alone", "leave")))
        elif o.option.change != "take off":
            outcomes.append(o)
    all_of = ground.colonies.ensemble.copy()
    all_of.state[:, lay.PATTY] = 0.0
    some = ground.compared.copy()
    some.state[:, lay.PATTY] = 0.0
    bare = replace(
        ground,
        colonies=replace(ground.colonies, ensemble=all_of),
        compared=some,
        outcomes=outcomes,
        pull_now=None,
    )
    return replace(stand, case=case, ground=bare, situation=facts)


def _answer(met: Settled, effective: float) -> Answer:
    v = met.verdict
    bees = float(np.mean(v.plan.bees))
    if effective < LEAST_EFFECTIVE and not v.ordered:
        return Answer("look again", 0.0, CANNOT_TELL, "", None, False, bees, effective, "cannot tell")
    return Answer(v.action, v.grams, v.ordered, v.plan.option.name, v.sure, v.toss_up, bees, effective)


def _row(stand: _Stand, name: str, says: str, values: Mapping[str, Value]) -> Row:
    w = weight(stand.shows(), values)
    met, _ = stand.after(values, w)
    told = any(k in ("eggs", "heft") for k in values)
    return Row(name, says, w.chance if told else None, _answer(met, w.effective))


def _gain(seen: Ground, after: str, before: str) -> float:
    """Bees at winter that the plan after a look has over the plan without it, on the colonies the look points to."""
    by = {o.option.name: float(np.mean(o.bees)) for o in seen.outcomes if o.option.action in _COMPARED}
    return by[after] - by[before] if after in by and before in by else 0.0


_COMPARED: Final = ("leave", "lay on", "look again")
"""Plans whose bees can be set against one another; the others suppose that something else is put right."""


def _good_until(today: date, yard: YardAhead, settings: Settings) -> date:
    """The last day a card holds: so many days, but not past the day from which no patty is laid on any more."""
    last = today + timedelta(days=int(settings.card_days))
    if yard.stop is not None and today < yard.stop <= last:
        last = yard.stop - timedelta(days=1)
    return last
