"""What the ledger takes in: dated facts about batches and pieces, free of how they are stored."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final, Literal

Kind = Literal["batch", "laid on", "seen", "taken off", "cold box", "discarded", "stock count"]
KINDS: Final[tuple[Kind, ...]] = ("batch", "laid on", "seen", "taken off", "cold box", "discarded", "stock count")


@dataclass(frozen=True)
class Fact:
    """One thing that was done with, or seen of, a patty.

    ``grams`` is the weight that was laid on, taken off, put in, thrown away or counted, ``quarters`` what was left of
    a piece (0 to 4). What was not written is None. ``at`` carries a zone.
    """

    entry: str
    kind: Kind
    at: datetime
    yard: str
    hive: str | None = None
    batch: str | None = None
    piece: str | None = None
    grams: float | None = None
    quarters: float | None = None
    texture: str | None = None
    debris: str | None = None
    larvae: str | None = None
    goes: str | None = None
    why: str | None = None
    place: str | None = None
    freezer_c: float | None = None
    stack: int | None = None
    thickness_mm: float | None = None
    pieces: int | None = None
    protein_pct: float | None = None
    cost: float | None = None
    origin: str | None = None
    keeps_until: date | None = None

    def __post_init__(self) -> None:
        """Keep weights and quarters possible."""
        if self.kind not in KINDS:
            raise ValueError(f"the kind of fact is {self.kind!r}, wanted one of {', '.join(KINDS)}.")
        if self.at.tzinfo is None:
            raise ValueError(f"the time {self.at.isoformat()} names no zone; give a time with its zone.")
        if self.grams is not None and not self.grams >= 0.0:
            raise ValueError(f"the weight is {self.grams} g, wanted zero or more.")
        if self.quarters is not None and not 0.0 <= self.quarters <= 4.0:
            raise ValueError(f"{self.quarters} quarters are left, wanted 0 to 4.")
