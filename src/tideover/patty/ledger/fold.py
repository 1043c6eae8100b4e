"""Facts about patties folded into movements of grams, piece by piece, in order of time.

Every gram that leaves one account enters another, so that the accounts always sum to nothing; what the entries do
not explain goes to accounts of its own (``not said``, ``difference``) and is named as a hole.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tideover.patty.ledger.away import Away
from tideover.patty.ledger.facts import Fact, Kind
from tideover.patty.ledger.hive import OnHive
from tideover.patty.ledger.holes import WEIGHT as W
from tideover.patty.ledger.holes import Fix, Hole
from tideover.patty.ledger.moves import Batch, Move, Piece, Stay
from tideover.patty.ledger.posting import slack

_ORDER: Final[dict[Kind, int]] = {
    "batch": 0, "seen": 1, "taken off": 2, "laid on": 3, "cold box": 4, "discarded": 5, "stock count": 6,
}  # fmt: skip


@dataclass(frozen=True)
class Ledger:
    """The outcome of the fold."""

    batches: dict[str, Batch]
    pieces: dict[str, Piece]
    moves: tuple[Move, ...]
    holes: tuple[Hole, ...]
    until: datetime | None


def fold(facts: Iterable[Fact]) -> Ledger:
    """Fold facts, in any order and with repeats, into a ledger; the same facts give the same ledger."""
    once = {f.entry: f for f in facts}
    ordered = sorted(once.values(), key=lambda f: (f.at, _ORDER[f.kind], f.entry))
    work = _Fold(ordered)
    for f in ordered:
        work.take(f)
    return work.done()


class _Fold(OnHive, Away):
    """All kinds of facts, and what is left open at the end."""

    def take(self, f: Fact) -> None:
        """Post one fact."""
        self.at = f.at
        {
            "batch": self._batch, "laid on": self._laid, "seen": self._seen, "taken off": self._taken,
            "cold box": self._cold, "discarded": self._discarded, "stock count": self._count,
        }[f.kind](f)  # fmt: skip

    def _batch(self, f: Fact) -> None:
        held = self.batches[self._named(f.batch)]
        grams = f.grams or 0.0
        if held.known:
            self._hole("batch-twice", f"Batch {held.name} is written twice: withdraw one, or give it another name.", f,
                       grams, correct=f.entry)  # fmt: skip
        held.made_g += grams
        held.at, held.entry, held.yard = held.at or f.at, held.entry or f.entry, held.yard or f.yard
        held.origin, held.protein_pct, held.cost = f.origin, f.protein_pct, (held.cost or 0.0) + (f.cost or 0.0)
        held.cost = held.cost if f.cost is not None or held.cost else None
        held.pieces, held.thickness_mm, held.keeps_until = f.pieces, f.thickness_mm, f.keeps_until
        self._move(f, None, "source", "shelf", grams, batch=held.name)

    def _count(self, f: Fact) -> None:
        held = self.batches[self._named(f.batch)]
        counted, by_books = f.grams or 0.0, held.shelf_g
        short = by_books - counted
        self._move(f, None, "shelf", "difference", short, batch=held.name)
        if abs(short) <= max(slack(by_books), 0.01 * held.made_g):
            return
        if short > 0:
            text = (
                f"Batch {held.name}: {W} were weighed and the books have {W}; "
                f"{W} are missing. Was a piece laid on, frozen or thrown away and not written?"
            )
            values: dict[str, float | str] = {"batch": held.name, "weight": round(short, 1)}
            fixes = (
                Fix("Laid on a hive", "laid on", None, f.yard, values),
                Fix("Thrown away", "discarded", None, f.yard, values),
            )
            self._hole("count-differs", text, f, short, *fixes, correct=f.entry, weights=(counted, by_books, short))
        else:
            text = (
                f"Batch {held.name}: {W} were weighed and the books have only {W}. "
                "Is the batch's weight right, or was a piece named to the wrong batch?"
            )
            self._hole("count-differs", text, f, -short, correct=held.entry or f.entry, weights=(counted, by_books))

    def done(self) -> Ledger:
        """Name what is left open and give the ledger."""
        for p in self.pieces.values():
            self._end_hand(p)
            for s in p.stays:
                if not s.said and not any(h.code == "left-unknown" and h.piece == p.code for h in self.holes):
                    self._end_not_said(p, s)
        for b in self.batches.values():
            self._end_batch(b)
        return Ledger(
            self.batches, self.pieces, tuple(self.moves),
            tuple(sorted(self.holes, key=lambda h: (h.at, h.code, h.piece))), self.at,
        )  # fmt: skip

    def _end_hand(self, p: Piece) -> None:
        if p.hand_g <= 0.0 or p.hand_since is None:
            return
        f = Fact(p.hand_entry or p.code, "taken off", p.hand_since, p.owner_yard, p.owner)
        if p.hand_goes == "thrown away":
            self._move(f, p, "in hand", "discarded", p.hand_g)
            p.discarded_g, p.hand_g, p.why = p.discarded_g + p.hand_g, 0.0, p.why or "other"
            return
        values: dict[str, float | str] = {"piece": p.code, "weight": round(p.hand_g, 1)}
        fixes = (
            Fix("Into the cold box", "cold box", p.owner, p.owner_yard, values),
            Fix("Thrown away", "discarded", p.owner, p.owner_yard, values),
        )
        text = f"{W} of piece {p.code} came off {p.owner}; where they went is not written."
        self._hole("where-did-it-go", text, f, p.hand_g, *fixes, piece=p.code, weights=(p.hand_g,))

    def _end_not_said(self, p: Piece, s: Stay) -> None:
        at = s.until or s.since
        f = Fact(s.entry, "laid on", at, s.yard, s.hive)
        early = at - timedelta(minutes=5)
        values: dict[str, float | str] = {"piece": p.code, "patty_left": 0.0}
        some: dict[str, float | str] = {"piece": p.code}
        fixes = (
            Fix("It was eaten", "taken off", s.hive, s.yard, values, early),
            Fix("Some came off", "taken off", s.hive, s.yard, some, early),
        )
        text = (
            f"Piece {p.code} was on {s.hive} ({W} when last known) when another was laid on; "
            "what became of it is not written."
        )
        self._hole("not-said", text, f, s.left_g, *fixes, piece=p.code, weights=(s.left_g,))

    def _end_batch(self, b: Batch) -> None:
        used = max(0.0, -b.shelf_g)
        if not b.known:
            first = next((m for m in self.moves if m.batch == b.name), None)
            if first is None:
                return
            f = Fact(first.entry, "laid on", first.at, first.yard)
            fix = Fix(f"Batch {b.name}", "batch", None, first.yard, {"batch": b.name, "weight": round(used, 1)},
                      first.at - timedelta(minutes=5))  # fmt: skip
            self._hole("unknown-batch", f"Batch {b.name} is named, and was never written: what did it weigh?", f,
                       used, fix)  # fmt: skip
        elif used > slack(b.made_g) and b.at is not None:
            f = Fact(b.entry, "batch", b.at, b.yard)
            text = (
                f"{W} were taken from batch {b.name}, which weighed {W}: "
                "correct its weight, or the batch named at a hive."
            )
            self._hole("short-batch", text, f, used, correct=b.entry, weights=(b.made_g + used, b.made_g))
