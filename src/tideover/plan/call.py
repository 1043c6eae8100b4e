"""The shape of an answer: one call per hive, with its evidence and alternatives."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Final, Literal

Action = Literal[
    "lay on",
    "leave",
    "look again",
    "take off",
    "give sugar",
    "give water",
    "unite",
    "move the yard",
    "see to the cause first",
]
ACTIONS: Final[tuple[Action, ...]] = (
    "lay on",
    "leave",
    "look again",
    "take off",
    "give sugar",
    "give water",
    "unite",
    "move the yard",
    "see to the cause first",
)
Moment = Literal["before the round", "at the hive"]
Effect = Literal["blocks", "orders", "warns"]


@dataclass(frozen=True)
class Interval:
    """A forecast number: median and the 80 % interval, in the unit of its field."""

    median: float
    low: float
    high: float


@dataclass(frozen=True)
class Runway:
    """Days until a milestone, censored at the horizon.

    ``median``/``low``/``high`` (10th, 50th, 90th percentile, days) are ``None`` where that
    percentile lies beyond the horizon; ``p_within_horizon`` is the probability of
    reaching the milestone within ``horizon_days``.
    """

    median: float | None
    low: float | None
    high: float | None
    p_within_horizon: float
    horizon_days: int = 60


@dataclass(frozen=True)
class Gate:
    """A check that stands before the call.

    ``blocks`` forbids the action, ``orders`` puts something before it, ``warns`` only says.
    ``seen`` is what led to it, ``do`` what to do, ``source`` where the rule comes from.
    """

    code: str
    effect: Effect
    title: str
    seen: str
    do: str
    source: str
    refers_to: str = ""


@dataclass(frozen=True)
class Reason:
    """One observation or figure that drove the call, and which way it pushed."""

    text: str
    entry: str | None = None
    weight: float = 0.0


@dataclass(frozen=True)
class Alternative:
    """One plan compared: what it is and what it is expected to do.

    Bees at winter and brood lost are counts; cost is in the keeper's currency;
    ``better_than_call`` is the probability that it beats the chosen plan by the margin.
    """

    name: str
    action: Action
    grams_now: float
    grams_season: float
    bees_at_winter: Interval
    brood_lost: Interval
    honey_kg: Interval
    cost: float
    hours: float
    beetle_risk: float
    better_than_call: float
    note: str = ""
    """Why it was not taken although it may beat the call; '' otherwise."""


@dataclass(frozen=True)
class Flag:
    """An unlikely entry: what is odd, and the answer with and without it."""

    entry: str
    text: str
    call_with: str
    call_without: str


@dataclass(frozen=True)
class Call:
    """One recommended action for one hive."""

    hive: str
    yard: str
    made_for: date
    moment: Moment
    action: Action
    summary: str
    product: str | None
    grams: float
    pull_by: datetime | None
    sure: float | None
    """Probability that the call beats the next plan by the margin; None where a rule made the call."""
    toss_up: bool
    runway: Runway
    milestones: dict[str, Runway]
    reasons: tuple[Reason, ...] = ()
    alternatives: tuple[Alternative, ...] = ()
    flags: tuple[Flag, ...] = ()
    gates: tuple[Gate, ...] = ()
    ask: tuple[str, ...] = ()
    then_: tuple[str, ...] = field(default_factory=tuple)
    """Separate calls that follow or stand beside the first one (for example: treat)."""
    worth_opening: bool = True
    evidence: str = "usual"
    """'usual' or 'thin'."""
    loads_g: float = 0.0
    """What to load for this hive before the round [g].

    What is laid on; or, where a look or a taking off may lead to it, the piece of the best feeding plan if protein
    may still be given. 0 where nothing can come of it.
    """
