"""What the colony is told of a piece laid on: protein that counts, pollen, sugar, and how fast it hardens."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from tideover.colony.ensemble import PieceKind
from tideover.evidence.seen import Value
from tideover.patty.piece import DEFAULT_PROTEIN_PCT, DEFAULT_SUGAR_PCT
from tideover.patty.softness import HALF_HARD_DAYS, HARDEN_D

__all__ = ["LaidOn", "PieceKind", "UsualPiece", "laid_on", "of_batch", "piece_kind"]


def piece_kind(sugar_pct: float | None = None, hard_days: float | None = None) -> PieceKind:
    """What the colony is told of a piece besides its protein.

    sugar_pct: sugar [% of weight]. hard_days: days on a hive at 35 C until it is hard, paper left on. What is None, or
    as usual, is left to the usual patty of the figures book.
    """
    sugar = None if sugar_pct is None or sugar_pct == DEFAULT_SUGAR_PCT else sugar_pct / 100.0
    if hard_days is None or hard_days == HALF_HARD_DAYS:
        return PieceKind(sugar)
    # intake falls as it hardens, so the two keep their ratio
    return PieceKind(sugar, HARDEN_D * hard_days / HALF_HARD_DAYS)


@dataclass(frozen=True)
class UsualPiece:
    """What a piece is taken for where neither it nor its batch says otherwise: protein [% of weight] and kind."""

    protein_pct: float = DEFAULT_PROTEIN_PCT
    kind: PieceKind = field(default_factory=PieceKind)


@dataclass(frozen=True)
class LaidOn:
    """A piece as the colony takes it: shares of weight, and its kind."""

    protein: float
    pollen: float
    kind: PieceKind


def laid_on(values: Mapping[str, object], usual: UsualPiece) -> LaidOn:
    """A piece from its entry: protein, pollen_share, sugar_share [% of weight] and hard_after [d], where written."""

    def number(name: str) -> float | None:
        value = values.get(name)
        return float(value) if isinstance(value, int | float) and not isinstance(value, bool) else None

    protein, sugar, hard = number("protein"), number("sugar_share"), number("hard_after")
    own = piece_kind(sugar, hard)
    return LaidOn(
        (usual.protein_pct if protein is None else protein) / 100.0,
        (number("pollen_share") or 0.0) / 100.0,
        PieceKind(
            usual.kind.sugar if sugar is None else own.sugar, usual.kind.harden_d if hard is None else own.harden_d
        ),
    )


def of_batch(values: Mapping[str, Value], batch: Mapping[str, Value]) -> dict[str, Value]:
    """The entry of a piece, filled from its batch where the piece itself is silent.

    Protein that counts for bees (crude protein times the amino acid score) goes before crude protein.
    """
    filled = dict(values)
    counted = batch.get("counted_protein")
    given = {"protein": batch.get("protein") if counted is None else counted}
    given |= {name: batch.get(name) for name in ("pollen_share", "sugar_share", "hard_after")}
    for name, value in given.items():
        if filled.get(name) is None and value is not None:
            filled[name] = value
    return filled
