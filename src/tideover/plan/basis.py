"""What a verdict is read from: a hive's colonies and plans as rows of numbers, one column a colony.

Verdicts are asked for by the dozen on a field card, each on other colonies drawn from the same ones. Held as rows,
drawing is one gathering of columns, and nothing that no verdict reads is gathered at all.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import MILESTONES, Ensemble
from tideover.figures import reader
from tideover.plan.compare import Outcome, first_of, runway
from tideover.plan.wording import Views, interval

_value = reader("calls")
PIECE_GONE_G: Final = _value("piece_gone_g")
"""Less than this and nothing lies on the hive."""
TOLD_FROM: Final = _value("told_from")
"""Chance of honey giving out from which its days are told."""

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

_ARRAYS: Final = ("bees", "emerged", "brood_lost", "honey_kg", "overstay", "laid_g")
_NOW: Final = ("adults", "brood", "honey_g", "pollen_g", "jelly", "queen", "patty_g")


def _now(e: Ensemble) -> Floats:
    x = e.state
    brood = e.eggs() + e.open_larvae() + e.capped()
    return np.stack(
        [
            e.adults(), brood, x[:, lay.HONEY], x[:, lay.BREAD], x[:, lay.JELLY], x[:, lay.QUEEN], x[:, lay.PATTY],
        ]
    )  # fmt: skip


@dataclass(frozen=True)
class Basis:
    """Colonies and plans as a verdict reads them.

    :param now: totals of each colony on the day, rows as ``_NOW``, shape (7, colonies).
    :param passage: first day of each milestone (-1 never), shape (milestones, colonies).
    :param need_g: pollen that brood and nurses would eat per day of the first week [g], shape (days, colonies).
    :param income_g: pollen coming in per day of the first week [g], shape (days, colonies).
    :param honey_days: days until honey is gone, ``days`` where it lasts, shape (colonies,).
    :param days: days looked ahead.
    :param outcomes: what each plan leads to on the colonies it was run for.
    """

    now: Floats
    passage: Floats
    need_g: Floats
    income_g: Floats
    honey_days: Floats
    days: int
    outcomes: list[Outcome]

    @staticmethod
    def of(
        ensemble: Ensemble,
        passage: Floats,
        need_g: Floats,
        income_g: Floats,
        honey_days: Floats,
        days: int,
        outcomes: list[Outcome],
    ) -> Basis:
        """A basis from arrays with one row a colony."""
        return Basis(_now(ensemble), passage.T, need_g.T, income_g.T, honey_days, days, outcomes)

    def total(self, name: str) -> Floats:
        """One of the totals of the day, by its name in ``_NOW``, shape (colonies,)."""
        return np.asarray(self.now[_NOW.index(name)])

    @property
    def patty_lies(self) -> bool:
        """Whether a piece is there. Median over colonies: asked of the decision is whether it is, not its grams."""
        return float(np.median(self.total("patty_g"))) > PIECE_GONE_G

    @cached_property
    def views(self) -> Views:
        """The forecast as the words need it."""
        stones = {name: runway(self.passage[k]) for k, name in enumerate(MILESTONES)}
        empty = float((self.honey_days < self.days).mean())
        return Views(
            runway(first_of(self.passage[1], self.passage[2])),
            stones,
            float(np.median(self.need_g)),
            float(np.median(self.income_g)),
            interval(self.honey_days) if empty > TOLD_FROM else None,
            None,
        )


class Drawing:
    """Colonies drawn from those that plans were compared on, as often as asked.

    :param base: all colonies, with the outcomes of every plan.
    :param members: which of them the plans were compared on, in the order of the outcomes' rows.
    """

    def __init__(self, base: Basis, members: Index) -> None:
        self._colonies = np.concatenate(
            [a[:, members] for a in (base.now, base.passage, base.need_g, base.income_g, base.honey_days[None])]
        )
        self._edges = np.cumsum(
            [base.now.shape[0], base.passage.shape[0], base.need_g.shape[0], base.income_g.shape[0]]
        )
        self._days = base.days
        self._outcomes = base.outcomes
        self._plans = np.stack([getattr(o, name) for o in base.outcomes for name in _ARRAYS])
        self._eaten = [i for i, o in enumerate(base.outcomes) if o.eaten is not None]
        self._gone = np.stack([base.outcomes[i].eaten for i in self._eaten]) if self._eaten else np.zeros((0, 1))  # type: ignore[misc]

    def draw(self, chosen: Index) -> Basis:
        """The chosen colonies, in that order, repeats allowed."""
        now, passage, need_g, income_g, honey = np.split(np.take(self._colonies, chosen, axis=1), self._edges)
        plans = np.take(self._plans, chosen, axis=1)
        gone = np.take(self._gone, chosen, axis=1) if self._eaten else self._gone
        chance = gone.mean(axis=1).tolist()
        eaten = {i: (gone[k], chance[k]) for k, i in enumerate(self._eaten)}
        outcomes = []
        for i, o in enumerate(self._outcomes):
            bees, emerged, lost, honey_kg, overstay, laid = plans[i * len(_ARRAYS) : (i + 1) * len(_ARRAYS)]
            each, p = eaten.get(i, (None, o.eaten_by_pull_by))
            outcomes.append(Outcome(o.option, bees, emerged, lost, honey_kg, overstay, laid, o.visits, p, each))
        return Basis(now, passage, need_g, income_g, honey[0], self._days, outcomes)
