"""The coming rounds as they are shown: days, stops at yards in order, tasks per hive, loads and what to buy."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal

from tideover.plan.call import Action

State = Literal["planned", "done", "changed", "not done"]
"""What became of a task: planned until the keeper says otherwise."""


@dataclass(frozen=True)
class HiveTask:
    """One thing to do at one hive on one stop.

    ``id`` is the same from one plan to the next while the task stands (hive, action and the
    yard's last visit); ``due`` is the latest moment, None where nothing presses.
    """

    id: str
    hive: str
    action: Action
    text: str
    """What to do in words, without the amount: 'lay on patty', 'take off the rest'."""
    grams: float
    """Amount to give [g]; 0 where nothing is given."""
    minutes: float
    due: datetime | None
    why: str
    state: State = "planned"
    done_g: float | None = None
    entry: str = ""
    """The visit entry that says so; empty while planned."""


@dataclass(frozen=True)
class Stop:
    """One yard on one day: times with the yard's zone, the drive to it, tasks in the order of the hives.

    ``id`` is stable: the yard, its last visit and the number of the stop after it.
    """

    id: str
    yard: str
    name: str
    arrive: datetime
    start: datetime
    end: datetime
    done_by: datetime
    """When the heat (or the keeper's day) closes the yard; ``end`` is never after it."""
    drive_km: float
    drive_min: float
    tasks: tuple[HiveTask, ...]
    why: tuple[str, ...]
    """Why this yard on this day: the pull-by that rules it, the heat, a day off."""
    cautions: tuple[str, ...] = ()
    late_d: int = 0
    """Days after the latest due of its tasks; 0 when all are met."""
    kept: bool = False
    """The day is the one of the plan kept before."""
    provisional: bool = False
    """A later visit whose tasks rest on what the first one does."""


@dataclass(frozen=True)
class LoadLine:
    """One thing to load or to buy: amount in ``unit``, its own weight and room, and why."""

    what: str
    amount: float
    unit: str
    """'g', 'kg', 'l' or '' for pieces counted."""
    why: str = ""
    weight_kg: float = 0.0
    room_l: float = 0.0


@dataclass(frozen=True)
class RoundDay:
    """One day out: from home and back."""

    day: date
    leave: datetime
    back: datetime
    stops: tuple[Stop, ...]
    drive_km: float
    drive_min: float
    work_min: float
    load: tuple[LoadLine, ...]
    weight_kg: float
    room_l: float
    over: str = ""
    """What does not fit the vehicle or the freezer, in a sentence each; empty when all fits."""
    smoker: bool = True
    """False on a fire-ban day."""
    rests_l: float = 0.0
    """Room in the freezer that rests brought home may take [l]."""


@dataclass(frozen=True)
class Unplaced:
    """A yard whose work found no day, and the reason."""

    yard: str
    name: str
    tasks: tuple[HiveTask, ...]
    why: str


@dataclass(frozen=True)
class Needed:
    """What one thing will be needed over the next rounds, and how much to have in hand.

    ``low``, ``median``, ``high``: 10th, 50th and 90th percentile of the need, in ``unit``.
    ``get`` is what to buy or make so that the chance of running short is no more than the
    keeper's; ``short_now`` that chance with what is in hand, ``short_then`` after getting it.
    """

    what: str
    unit: str
    low: float
    median: float
    high: float
    in_hand: float
    get: float
    short_now: float
    short_then: float
    cost: float
    why: str = ""


@dataclass(frozen=True)
class Proof:
    """How good the plan is: its cost and a bound below which no plan can be [minutes of driving and the like]."""

    cost: float
    bound: float
    gap: float
    """(cost - bound) / cost."""
    how: str
    """Who found it: 'exact', 'search' or 'greedy'."""
    greedy_cost: float
    """What the plain rule would have cost."""
    driving_km: float
    openings: int


@dataclass(frozen=True)
class Rounds:
    """The coming rounds."""

    today: date
    made_at: datetime
    days: tuple[RoundDay, ...]
    unplaced: tuple[Unplaced, ...]
    shopping: tuple[Needed, ...]
    proof: Proof
    cost: float
    currency: str
    home: str
    """Where the rounds start, in words."""
    notes: tuple[str, ...] = ()
    kept_at: datetime | None = None
    """When the plan now kept was kept; None when there is none."""
    left_open: tuple[HiveTask, ...] = field(default_factory=tuple)
    """Tasks of days gone by that nobody said were done."""
