"""Accounts, pieces and holes while facts are folded: the parts that every kind of fact uses."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Final

from tideover.patty.ledger.codes import batch_in, code_is_whole, made_code, tidy
from tideover.patty.ledger.facts import Fact
from tideover.patty.ledger.holes import WEIGHT as W
from tideover.patty.ledger.holes import Code, Fix, Hole
from tideover.patty.ledger.moves import Account, Batch, Move, Piece, Stay

WEIGH_G: Final = 5.0
"""Two weighings of one piece may differ by this much, or by the share below (our assumption)."""
WEIGH_SHARE: Final = 0.05
CRUMB_G: Final = 0.5
"""Less than this is nothing."""
ONE_VISIT: Final = timedelta(hours=12)
"""Pieces laid on within this time were laid on at one visit and lie there together (our assumption)."""


def slack(grams: float) -> float:
    """How far a second weighing of ``grams`` may be off without being a gap [g]."""
    return max(WEIGH_G, WEIGH_SHARE * grams)


class Posting:
    """The work in hand: accounts, pieces and holes so far."""

    def __init__(self, ordered: list[Fact]) -> None:
        self.batches: dict[str, Batch] = {}
        self.pieces: dict[str, Piece] = {}
        self.moves: list[Move] = []
        self.holes: list[Hole] = []
        self.names = frozenset(tidy(f.batch) for f in ordered if f.batch)
        self.at: datetime | None = None
        self._lying: dict[str | None, list[Stay]] = {}
        self._of_batch: dict[str, list[Piece]] = {}

    def _move(
        self,
        f: Fact,
        p: Piece | None,
        out_of: Account,
        into: Account,
        grams: float,
        *,
        stay: Stay | None = None,
        batch: str = "",
    ) -> None:
        if grams == 0.0:
            return
        if grams < 0.0:
            out_of, into, grams = into, out_of, -grams
        name = p.batch if p is not None else batch
        yard, hive = (stay.yard, stay.hive) if stay is not None else (f.yard, f.hive)
        self.moves.append(Move(f.entry, f.at, name, p.code if p else "", out_of, into, grams, hive, yard))
        held = self.batches.get(name)
        if held is not None:
            held.shelf_g += (into == "shelf") * grams - (out_of == "shelf") * grams

    def _hole(
        self,
        code: Code,
        text: str,
        f: Fact,
        grams: float,
        *fixes: Fix,
        piece: str = "",
        correct: str | None = None,
        weights: tuple[float, ...] = (),
    ) -> None:
        self.holes.append(Hole(code, text, grams, f.at, f.yard, f.hive, piece, fixes, correct, weights))

    def _named(self, name: str | None) -> str:
        batch = tidy(name) if name else ""
        if batch:
            self.batches.setdefault(batch, Batch(batch))
        return batch

    def _piece(self, f: Fact) -> Piece:
        """The piece a fact names, or a new one."""
        code = tidy(f.piece) if f.piece else ""
        if code and not code_is_whole(code):
            self._hole(
                "code-misread",
                f"The code {code} has a wrong sign in it: look at the label again.",
                f,
                f.grams or 0.0,
                piece=code,
                correct=f.entry,
            )
        batch = self._named(f.batch) or (self._named(batch_in(code, self.names)) if code else "")
        code = code or made_code(f.entry)
        held = self.pieces.get(code)
        if held is None:
            held = self.pieces[code] = Piece(code, batch, bool(f.piece), f.at)
            self._of_batch.setdefault(batch, []).append(held)
        return held

    def _lay(self, p: Piece, stay: Stay) -> None:
        """Note a stay with its piece and with its hive."""
        p.stays.append(stay)
        self._lying.setdefault(stay.hive, []).append(stay)

    def _stays(self, hive: str | None) -> list[Stay]:
        """Every stay at a hive, ended or not, the oldest first."""
        return self._lying.get(hive, [])

    def _open(self, hive: str | None) -> list[Stay]:
        return sorted((s for s in self._stays(hive) if s.until is None), key=lambda s: s.since)

    def _newest(self, hive: str | None) -> list[Stay]:
        """The stays a look at a hive speaks of: the newest, and those laid on at the same visit."""
        stays = self._open(hive)
        return [s for s in stays if stays[-1].since - s.since <= ONE_VISIT]

    def _fresh(self, f: Fact, p: Piece, into: Account, grams: float, stay: Stay | None = None) -> None:
        """Take ``grams`` of a piece that has never been out of its batch: from the shelf, then from loose frozen."""
        if not p.batch:
            self._move(f, p, "source", into, grams, stay=stay)
            return
        held = self.batches[p.batch]
        loose = [q for q in self._of_batch[p.batch] if q is not p and not q.stays and q.cold_g > 0.0]
        if held.shelf_g + WEIGH_G < grams:
            for q in sorted(loose, key=lambda q: q.first):
                got = min(q.cold_g, grams - max(0.0, held.shelf_g))
                if got > CRUMB_G:
                    self._move(f, q, "cold box", "shelf", got)
                    self._out_of_cold(q, got, f.at)
        self._move(f, p, "shelf", into, grams, stay=stay)

    @staticmethod
    def _out_of_cold(p: Piece, grams: float, at: datetime) -> None:
        p.cold_g = max(0.0, p.cold_g - grams)
        if p.cold_g <= CRUMB_G and p.spells and p.spells[-1].until is None:
            p.cold_g, p.spells[-1].until = 0.0, at

    def _settle(self, f: Fact, s: Stay, left: float) -> None:
        """Post what has gone from a stay since it was last seen; negative when more is there than was read."""
        p = self.pieces[s.piece]
        if left > s.laid_g:
            over = left - s.laid_g
            self._move(f, p, "eaten", "on hive", s.laid_g - s.left_g, stay=s)
            self._move(f, p, "difference", "on hive", over, stay=s)
            if over > slack(s.laid_g):
                self._hole(
                    "heavier-than-laid",
                    f"Piece {s.piece} came to {W} on {s.hive} and was laid on with {W}: one of the two is wrong.",
                    f,
                    over,
                    piece=s.piece,
                    correct=f.entry,
                    weights=(left, s.laid_g),
                )
        else:
            self._move(f, p, "on hive", "eaten", s.left_g - left, stay=s)
        s.left_g = left
