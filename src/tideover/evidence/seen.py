"""What evidence takes in: plain, dated facts, free of how they are stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

Value = float | int | str | tuple[float, ...]


@dataclass(frozen=True)
class Seen:
    """One dated fact about a hive or a yard.

    ``kind`` and the names in ``values`` are those of ``records.kinds``; numbers are
    canonical (g patty, kg honey, degrees C, mm, litres). A field that is not in
    ``values`` was not looked at: missing, never zero.
    """

    id: str
    kind: str
    day: date
    hour: float
    values: Mapping[str, Value]
    who: str = ""
    confirmed: bool = False


@dataclass(frozen=True)
class BoxSpec:
    """A box of a hive: frame type (a name in ``comb.frames``) and number of frames."""

    frame: str = "deep"
    frames: int = 10


@dataclass(frozen=True)
class Place:
    """Where a yard is and what holds there."""

    yard: str
    latitude: float
    longitude: float = 0.0
    elevation_m: float = 0.0
    timezone: str = "UTC"
    beetles: str = "unknown"
    beetles_reportable: str = "unknown"


@dataclass(frozen=True)
class Received:
    """A piece laid on here that had been on a hive now suspect: first hand, or by way of other hives."""

    piece: str
    suspect: str
    on: date
    suspect_since: date
    hand: int = 1
    still_on: bool = False
    grams: float = 0.0


@dataclass(frozen=True)
class HiveCase:
    """Everything known of one hive, in time order, with its place and boxes."""

    hive: str
    place: Place
    boxes: tuple[BoxSpec, ...] = (BoxSpec(),)
    seen: tuple[Seen, ...] = field(default_factory=tuple)
    received: tuple[Received, ...] = ()
    """Pieces laid on here that had been on a hive now suspect (from the patty ledger), the nearest first."""
