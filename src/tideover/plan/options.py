"""The plans compared for a hive, as what the keeper would do on each day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

import numpy as np

from tideover.colony.weather import Feeding
from tideover.evidence.pieces import PieceKind, piece_kind
from tideover.figures import reader
from tideover.figures.units import POUND_G
from tideover.patty.piece import PORTIONS, QUARTER_POUND_G
from tideover.plan.call import Action
from tideover.plan.settings import Settings

_value = reader("calls")
Rhythm = Literal["once", "weekly", "every other week"]
REPEATS: Final[Mapping[str, float]] = {
    "once": 1.0, "every other week": _value("effort_other_week"), "weekly": _value("effort_weekly"),
}  # fmt: skip
BIG: Final[Mapping[str, float]] = {
    change: _value(f"effort_{change.replace(' ', '_')}")
    for change in ("unite", "move", "cause", "sugar", "water", "take off")
}
LOOKING: Final = _value("effort_look")
"""Ranks of intervention, in pounds of patty laid on once."""
MOST_VISITS_D: Final = int(_value("visits_ahead_d"))
"""Repeated feeding is planned eight weeks ahead at most; longer would be a new decision."""


@dataclass(frozen=True)
class Option:
    """One plan: name, action, grams at the first visit, rhythm and first day.

    ``change`` names what is altered besides feeding: 'sugar', 'water', 'unite', 'move', 'cause', 'take off' or ''.
    ``effort`` orders plans from least to most intervention.
    """

    name: str
    action: Action
    grams: float = 0.0
    rhythm: Rhythm = "once"
    first_day: int = 0
    change: str = ""
    sugar_kg: float = 0.0

    @property
    def effort(self) -> float:
        """Rank of intervention: leaving alone 0, then looking, single pieces, repeated pieces, big changes."""
        repeats = REPEATS[self.rhythm]
        return (
            BIG.get(self.change, 0.0)
            + (LOOKING if self.action == "look again" else 0.0)
            + self.grams / POUND_G * repeats
        )

    def visits(self, days: int, settings: Settings, stay_days: int, stop_day: int | None) -> list[tuple[int, float]]:
        """Days and grams of the planned visits (0 g: only take off), none of them leaving a piece past its stay.

        :param days: days planned for.
        :param settings: the keeper's settings (days between rounds).
        :param stay_days: longest stay of a piece in whole days.
        :param stop_day: day from which no more is laid on; None when there is none.
        """
        if self.grams <= 0:
            return []
        between = {"once": 0, "weekly": int(settings.visit_days), "every other week": 2 * int(settings.visit_days)}[
            self.rhythm
        ]
        last = min(days - 1, MOST_VISITS_D, days if stop_day is None else stop_day)
        starts = (
            [self.first_day] if between == 0 else list(range(self.first_day, max(self.first_day + 1, last), between))
        )
        # What is laid on today is the keeper's to decide; nothing is planned for after the stop.
        starts = [d for d in starts if d < days and (d == 0 or stop_day is None or d < stop_day)]
        out: dict[int, float] = {}
        for d in starts:
            out[d] = self.grams
            off = d + stay_days
            if off < days and off not in out:
                out.setdefault(off, 0.0)
        for d in starts:
            out[d] = self.grams
        return sorted(out.items())

    def feeding(self, days: int, settings: Settings, stay_days: int, stop_day: int | None) -> Feeding:
        """The schedule of this plan over ``days`` days; see ``visits``."""
        visit = np.full(days, -1.0)
        for d, g in self.visits(days, settings, stay_days, stop_day):
            visit[d] = g
        if self.change == "take off" or (self.grams > 0 and self.first_day == 0):
            visit[0] = max(visit[0], 0.0)
        sugar = np.zeros(days)
        if self.sugar_kg > 0:
            sugar[0] = 1000.0 * self.sugar_kg
        return Feeding(
            visit,
            np.full(days, settings.patty_protein / 100.0),
            np.full(days, settings.patty_pollen_share / 100.0),
            sugar,
            np.zeros(days),
            1.0,
        )


def usual_kind(settings: Settings) -> PieceKind:
    """Sugar and drying of the keeper's usual patty, as the colony is told of them."""
    return piece_kind(settings.patty_sugar, settings.patty_hard_days)


def options(*, patty_on: bool, sugar_kg: float, can_move: bool, look_days: int) -> list[Option]:
    """Return the plans compared, from least to most intervention.

    :param patty_on: a piece lies on the hive now.
    :param sugar_kg: sugar that would be given [kg]; 0 when honey is plenty.
    :param can_move: another yard is known to give more.
    :param look_days: days until the next look in 'look again'.
    """
    made = [
        Option("leave alone", "leave"),
        Option(
            f"look again in {look_days} days, then half a pound weekly",
            "look again",
            2 * QUARTER_POUND_G,
            "weekly",
            look_days,
        ),
    ]
    for portion in PORTIONS:
        made.append(Option(f"{portion.name} now", "lay on", portion.grams))
    for portion in PORTIONS[:4]:
        made.append(Option(f"{portion.name} every other week", "lay on", portion.grams, "every other week"))
        made.append(Option(f"{portion.name} weekly", "lay on", portion.grams, "weekly"))
    if patty_on:
        made.append(Option("take the piece off", "take off", change="take off"))
    sugar = max(1.0, sugar_kg)
    made.append(Option(f"sugar, {sugar:.0f} kg", "give sugar", change="sugar", sugar_kg=sugar))
    made.append(Option("water close by", "give water", change="water"))
    made.append(Option("unite with a strong colony", "unite", change="unite"))
    if can_move:
        made.append(Option("move to the best yard known", "move the yard", change="move"))
    made.append(Option("see to the cause first", "see to the cause first", change="cause"))
    return sorted(made, key=lambda o: o.effort)
