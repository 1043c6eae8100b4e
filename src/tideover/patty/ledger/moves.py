"""Movements of grams between accounts, pieces and their stays: what the fold writes."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Final, Literal

Account = Literal["source", "shelf", "on hive", "eaten", "in hand", "cold box", "discarded", "not said", "difference"]
ACCOUNTS: Final[tuple[Account, ...]] = (
    "source", "shelf", "on hive", "eaten", "in hand", "cold box", "discarded", "not said", "difference",
)  # fmt: skip
"""Where grams can be.

``source`` is what was bought or mixed, as a debt; ``eaten`` is gone from a hive, whoever took it; ``in hand`` was
taken off and not yet said to be anywhere; ``not said`` was on a hive when another piece was laid on and nobody wrote
what became of it; ``difference`` is what weighing twice does not agree on.
"""


@dataclass(frozen=True)
class Move:
    """``grams`` go from one account to another; ``hive`` and ``yard`` are where it happened."""

    entry: str
    at: datetime
    batch: str
    piece: str
    out_of: Account
    into: Account
    grams: float
    hive: str | None
    yard: str


@dataclass
class Stay:
    """A piece on one hive: grams laid on, grams last known to be there, from and to."""

    piece: str
    hive: str
    yard: str
    since: datetime
    laid_g: float
    left_g: float
    entry: str
    place: str | None = None
    until: datetime | None = None
    """None while it is on as far as is written."""
    seen_at: datetime | None = None
    texture: str | None = None
    debris: str | None = None
    larvae: bool = False
    said: bool = True
    """False when another piece was laid on and nothing says what became of this one."""


@dataclass
class Spell:
    """A piece, or part of a batch, in the cold box."""

    since: datetime
    grams: float
    entry: str
    freezer_c: float | None = None
    stack: int | None = None
    thickness_mm: float | None = None
    until: datetime | None = None


@dataclass
class Piece:
    """One piece (or a loose part of a batch) through its life."""

    code: str
    batch: str
    labelled: bool
    first: datetime
    owner: str | None = None
    """The hive it last lay on; leftovers go back there and nowhere else."""
    owner_yard: str = ""
    hand_g: float = 0.0
    hand_since: datetime | None = None
    hand_goes: str | None = None
    hand_entry: str = ""
    cold_g: float = 0.0
    discarded_g: float = 0.0
    why: str | None = None
    larvae: bool = False
    texture: str | None = None
    stays: list[Stay] = field(default_factory=list)
    spells: list[Spell] = field(default_factory=list)

    @property
    def on(self) -> list[Stay]:
        """Stays that have not ended as far as is written."""
        return [s for s in self.stays if s.until is None]

    @property
    def spell(self) -> Spell | None:
        """The spell in the cold box that holds now."""
        return self.spells[-1] if self.spells and self.spells[-1].until is None and self.cold_g > 0.0 else None

    @property
    def hives(self) -> tuple[str, ...]:
        """Every hive it lay on, in order, each once."""
        return tuple(dict.fromkeys(s.hive for s in self.stays))


@dataclass
class Batch:
    """A batch as written, and what is on its shelf."""

    name: str
    made_g: float = 0.0
    at: datetime | None = None
    entry: str = ""
    yard: str = ""
    origin: str | None = None
    protein_pct: float | None = None
    cost: float | None = None
    pieces: int | None = None
    thickness_mm: float | None = None
    keeps_until: date | None = None
    shelf_g: float = 0.0

    @property
    def known(self) -> bool:
        """Whether the batch itself was written down."""
        return self.at is not None
