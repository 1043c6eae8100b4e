"""What pages, sheets and commands are given to show: plain data, nothing to compute."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime

from tideover.plan.call import Call, Runway
from tideover.plan.cards.card import Card


@dataclass(frozen=True)
class Band:
    """A series with its 80 % band; all lists are as long as ``days``.

    ``ahead_from``: index of the first day foretold under the plan called; None where the series ends with what is
    known.
    """

    name: str
    unit: str
    days: list[date]
    low: list[float]
    median: list[float]
    high: list[float]
    ahead_from: int | None = None


@dataclass(frozen=True)
class Mark:
    """A look (or leftover) drawn on a series: the value it stands for, with its own interval."""

    day: date
    series: str
    value: float
    low: float
    high: float
    label: str


@dataclass(frozen=True)
class PattyStay:
    """A piece on the hive: from, to (None while on), grams, what became of it."""

    on: date
    off: date | None
    grams: float
    left_g: float | None
    pull_by: datetime
    note: str = ""


@dataclass(frozen=True)
class EntryLine:
    """One entry as shown in a hive's history."""

    id: str
    at: datetime
    kind: str
    who: str
    text: str
    state: str
    """'stands', 'corrected', 'withdrawn', 'flagged' or 'confirmed'."""


@dataclass(frozen=True)
class HiveLine:
    """One line of the round."""

    hive: str
    yard: str
    yard_name: str
    call: Call
    last_look: str
    last_look_day: date | None
    bees: tuple[float, float, float]
    """low, median, high adults today."""
    card: Card | None = None
    """What each look would lead to; None where none was worked out."""


@dataclass(frozen=True)
class YardLine:
    """One yard of the round: pollen on offer in words, load, cautions, its hives."""

    yard: str
    name: str
    land: str
    """Plain words on pollen on offer."""
    index: tuple[float, float, float]
    load_g: float
    cautions: tuple[str, ...]
    hives: list[HiveLine]


@dataclass(frozen=True)
class RoundView:
    """The coming round."""

    day: date
    made_at: datetime
    yards: list[YardLine]
    load_g: float
    sugar_kg: float
    cost: float
    note: str = ""


@dataclass(frozen=True)
class HiveView:
    """Everything a hive's page shows."""

    line: HiveLine
    bands: list[Band]
    """'adults', 'brood', 'pollen' (g), 'honey' (kg)."""
    marks: list[Mark]
    patties: list[PattyStay]
    history: list[EntryLine]
    runways: dict[str, Runway]
    boxes: str
    today: date
    cluster_day: date
    pull_by_open: datetime | None = None
    notes: list[str] = field(default_factory=list)
