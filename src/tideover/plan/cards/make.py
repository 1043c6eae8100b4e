"""A field card for one hive, from the ground its call was judged on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from typing import Final

import numpy as np

from tideover.colony import layout as lay
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.predict import Shown, shown
from tideover.evidence.seen import HiveCase, Seen, Value
from tideover.evidence.supposing import at_large
from tideover.figures import reader
from tideover.plan.basis import Basis
from tideover.plan.cards.afresh import afresh
from tideover.plan.cards.card import Answer, Card, Cell, Row
from tideover.plan.cards.looks import FIRST, JELLY_SEEN, POLLEN, THOUGHT_OF, table_values, with_look
from tideover.plan.cards.weights import Weight, weight
from tideover.plan.cards.worth import worth_of
from tideover.plan.ground import Ground, YardAhead, patty_lies
from tideover.plan.options import Option
from tideover.plan.settings import Settings
from tideover.plan.settle import Settled, settle
from tideover.plan.situation import Situation, situation

_value = reader("calls")
VISIT_H: Final = _value("visit_h")
"""Hour of a visit of which nothing is known."""
FRESH: Final = 6
"""Looks of a card that are worked out anew at most."""
UNLIKELY: Final = 0.01
"""Looks less likely than this are never worked out anew."""
FEW: Final = 60.0
"""With fewer colonies left to speak a look is worked out anew."""
NEAR_EVEN: Final = 0.08
"""A call this near to even odds may turn."""
NEAR_ASKED: Final = 0.04
"""A piece whose chance of being eaten is this near the one asked for may turn the amount."""
HALVES: Final = 300
"""Members drawn for each half that an answer is tried on."""
LEAST_EFFECTIVE: Final = _value("card_least_effective")
"""Fewer colonies than this left to speak and nothing is said beforehand."""
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
    known: Assimilated | None
    """The hive before the look, with its filter; None where looks are weighed only."""
    elsewhere: Shown | None = None
    """What hives at large would show."""
    before: tuple[Seen, ...] = ()
    """What is supposed before any look: the old piece taken off."""

    def settled(self) -> Settled:
        """The verdict without a look."""
        return settle(
            self.ground.basis, self.situation, self.yard, self.settings, self.case.place,
            moment="before the round", pull_now=self.ground.pull_now,
        )  # fmt: skip

    def asked(self, values: Mapping[str, Value]) -> _Asked:
        """A look that is thought of, with what would stand written after it."""
        case = with_look(self.case, self.situation.today, self.hour, values)
        facts = situation(case, self.notes, self.situation.today, self.settings.mite_sample_bees)
        return _Asked(self, weight(self.shows, values, self.elsewhere), case, facts)

    @cached_property
    def shows(self) -> Shown:
        """What the compared members would show. Neither flight nor what comes in stands on a card."""
        return shown(self.ground.compared, self.case.boxes, flying=0.0, log_index=np.zeros(1))


@dataclass(frozen=True)
class _Asked:
    """A look that is thought of at a hive.

    :param w: members weighed by it.
    :param case: the hive with the look written last.
    :param facts: what then stands written.
    """

    stand: _Stand
    w: Weight
    case: HiveCase
    facts: Situation

    def after(self, basis: Basis) -> Settled:
        """The verdict after the look on the colonies it leaves."""
        s = self.stand
        return settle(
            basis, self.facts, s.yard, s.settings, s.case.place, moment="at the hive", pull_now=s.ground.pull_now
        )

    def weighed(self) -> Answer:
        """The answer by weights alone."""
        return _answer(self.after(self.stand.ground.seen_by(self.w.draw())), self.w.effective)

    def steady(self, told: Answer) -> bool:
        """Whether halves of the colonies say the same as all of them."""
        w = self.w
        if w.effective < FEW or told.toss_up or (told.sure is not None and abs(told.sure - 0.5) < NEAR_EVEN):
            return False
        if told.action == "lay on" and self.may_not_be_eaten(told):
            return False
        at = np.arange(w.weights.size)
        for half in (at % 2 == 0, at % 2 == 1, at % 4 < 2, at % 4 >= 2):
            met = self.after(self.stand.ground.seen_by(w.part(half).draw(HALVES)))
            if _answer(met, FEW).does != told.does:
                return False
        return True

    def may_not_be_eaten(self, told: Answer) -> bool:
        """Whether the piece called, or a larger one, is as likely to pass as to fail the chance asked for."""
        asked = self.stand.settings.asked_chance
        return any(
            abs(float(np.dot(self.w.weights, o.eaten)) - asked) < NEAR_ASKED
            for o in self.stand.ground.outcomes
            if o.option.action == "lay on" and o.eaten is not None and o.option.grams >= told.grams - 0.1
        )

    def fresh(self) -> Answer:
        """The answer worked out anew."""
        s = self.stand
        assert s.known is not None
        looks = (*s.before, self.case.seen[-1])
        ground = afresh(s.known, looks, s.ground, s.ground.seen_by(self.w.draw()), s.yard, s.settings)
        return replace(_answer(self.after(ground.basis), FEW), how="worked out", effective=self.w.effective)


def make_card(
    case: HiveCase,
    ground: Ground,
    facts: Situation,
    notes: Sequence[Seen],
    yard: YardAhead,
    settings: Settings,
    *,
    hour: float = VISIT_H,
    known: Assimilated | None = None,
) -> Card:
    """Answer every look on the card from outcomes that are known already.

    :param case: the hive with what was seen up to the day of the call.
    :param ground: what its call was judged on.
    :param facts: what stands written, folded up to that day.
    :param notes: the yard's entries; its events bear on the hive.
    :param yard: the yard's coming days.
    :param settings: the keeper's thresholds.
    :param hour: hour of the visit.
    :param known: the hive with its filter; where plans lie close, looks are worked out anew from it. None
        answers by weights alone, which is quicker and rougher.
    """
    if known is not None and (known.looks == 0 or known.walk is None):
        known = None
    stand = _Stand(case, ground, facts, tuple(notes), yard, settings, hour, known, _at_large(known, facts.today, hour))
    base = stand.settled()
    cleared = _cleared(stand) if base.verdict.action == "take off" and not _larvae(base) else None
    table = cleared or stand
    if cleared is not None:
        base = cleared.settled()
    now = _answer(base, float(table.ground.compared.members))
    larvae = patty_lies(facts, ground.colonies.ensemble) or facts.sign("beetle_larvae").answer == "yes"
    cells = _cells(table, larvae_looked=larvae)
    rows = []
    for sign in FIRST:
        on = stand if sign.name in _WITH_PIECE else table
        rows.append(_row(on, sign.name, sign.says, sign.values))
    gain = sum(c.chance * _gain(table, c, now) for c in cells)
    # The brood comb that shows pollen and jelly shows eggs as well.
    none = next(r for r in rows if r.name == "no eggs")
    p_none = none.chance or 0.0
    turns = [(c.answer, (1.0 - p_none) * c.chance) for c in cells] + [(none.answer, p_none)]
    same = sum(p for told, p in turns if told.does == now.does)
    no_eggs = p_none if none.answer.does != now.does else 0.0
    worth, why = worth_of(now, turns, same, gain, base.margin, no_eggs)
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


def _at_large(known: Assimilated | None, today: date, hour: float) -> Shown | None:
    return None if known is None else at_large(known, Seen(THOUGHT_OF, "look", today, hour, {}))


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
    return replace(stand, case=case, ground=bare, situation=facts, before=(off,))


def _answer(met: Settled, effective: float) -> Answer:
    v = met.verdict
    bees = float(np.mean(v.plan.bees))
    if effective < LEAST_EFFECTIVE and not v.ordered:
        return Answer("look again", 0.0, CANNOT_TELL, "", None, False, bees, effective, "cannot tell")
    return Answer(v.action, v.grams, v.ordered, v.plan.option.name, v.sure, v.toss_up, bees, effective)


def _cells(table: _Stand, *, larvae_looked: bool) -> list[Cell]:
    """Every pair of pollen and jelly: weighed first, then the likely ones that are not steady worked out anew."""
    words = [(pollen, jelly) for pollen in POLLEN for jelly in JELLY_SEEN]
    asked = [table.asked(table_values(*pair, larvae_looked=larvae_looked)) for pair in words]
    total = sum(a.w.chance for a in asked)
    cells = [Cell(*pair, a.w.chance / total, a.w.odd, a.weighed()) for pair, a in zip(words, asked, strict=True)]
    if table.known is None:
        return cells
    left = FRESH
    for i in sorted(range(len(cells)), key=lambda k: -cells[k].chance):
        if left and cells[i].chance >= UNLIKELY and not asked[i].steady(cells[i].answer):
            cells[i] = replace(cells[i], answer=asked[i].fresh())
            left -= 1
    return cells


def _row(stand: _Stand, name: str, says: str, values: Mapping[str, Value]) -> Row:
    asked = stand.asked(values)
    told = any(k in ("eggs", "heft") for k in values)
    answer = asked.weighed()
    # A queen lost since the last look is among few members: the filter proposes her loss, weights cannot.
    anew = "eggs" in values or (told and not asked.steady(answer))
    if stand.known is not None and anew and asked.w.chance >= UNLIKELY:
        answer = asked.fresh()
    return Row(name, says, asked.w.chance if told else None, answer)


def _gain(table: _Stand, cell: Cell, now: Answer) -> float:
    """Bees at winter that the plan after a look has over the plan without it, on the colonies the look points to."""
    if cell.answer.plan == now.plan:
        return 0.0
    values = table_values(cell.pollen, cell.jelly, larvae_looked=False)
    w = weight(table.shows, values, table.elsewhere).weights
    by = {o.option.name: float(np.dot(w, o.bees)) for o in table.ground.outcomes if o.option.action in _COMPARED}
    if cell.answer.plan not in by or now.plan not in by:
        return 0.0
    return by[cell.answer.plan] - by[now.plan]


_COMPARED: Final = ("leave", "lay on", "look again")
"""Plans whose bees can be set against one another; the others suppose that something else is put right."""


def _good_until(today: date, yard: YardAhead, settings: Settings) -> date:
    """The last day a card holds: so many days, but not past the day from which no patty is laid on any more."""
    last = today + timedelta(days=int(settings.card_days))
    if yard.stop is not None and today < yard.stop <= last:
        last = yard.stop - timedelta(days=1)
    return last
