"""Into the cold box and away: what is posted for a piece off the hives."""

from __future__ import annotations

from datetime import timedelta

from tideover.patty.ledger.facts import Fact
from tideover.patty.ledger.holes import WEIGHT as W
from tideover.patty.ledger.holes import Fix
from tideover.patty.ledger.moves import Account, Piece, Spell, Stay
from tideover.patty.ledger.posting import Posting, slack


class Away(Posting):
    """Posts freezing, throwing away and giving away."""

    def _off_unsaid(self, f: Fact, p: Piece, grams: float | None) -> None:
        """A piece on a hive is in the cold box, or away, though nothing says that it came off."""
        s = self._last_on(p)
        if s is None:
            return
        if not s.said:
            self._move(f, p, "not said", "on hive", s.left_g, stay=s)
            s.said = True
        left = s.left_g if grams is None else min(grams, s.laid_g)
        self._settle(f, s, left)
        self._move(f, p, "on hive", "in hand", left, stay=s)
        s.until, p.hand_g, p.hand_since = s.until or f.at, left, f.at
        text = f"Piece {p.code} is off {s.hive}, and nothing says when it came off."
        fix = Fix(
            f"Taken off {s.hive}",
            "taken off",
            s.hive,
            s.yard,
            {"piece": p.code, "weight": round(left, 1)},
            f.at - timedelta(minutes=5),
        )
        self._hole("no-taking-off", text, f, left, fix, piece=p.code)

    @staticmethod
    def _last_on(p: Piece) -> Stay | None:
        """The stay a piece can have come from without a word: one that is on, else one nobody wrote off."""
        found = [s for s in p.stays if s.until is None or not s.said]
        return found[-1] if found else None

    def _which(self, f: Fact) -> Piece | None:
        """The piece an entry of the cold box or a discard is about."""
        if f.piece:
            return self._piece(f)
        here = {s.piece: self.pieces[s.piece] for s in self._stays(f.hive)}
        in_hand = [p for p in here.values() if p.hand_g > 0.0 and p.owner == f.hive]
        if f.hive and in_hand:
            return max(in_hand, key=lambda p: p.hand_since or f.at)
        if f.batch:
            return self._piece(f) if f.kind == "cold box" else None
        self._hole(
            "which-piece", "Neither piece nor batch is named: which one was it?", f, f.grams or 0.0, correct=f.entry
        )
        return None

    def _cold(self, f: Fact) -> None:
        p = self._which(f)
        if p is None:
            return
        if p.hand_g <= 0.0 and p.cold_g <= 0.0:
            self._off_unsaid(f, p, f.grams)
        if p.hand_g > 0.0:
            grams = p.hand_g if f.grams is None else f.grams
            self._handed(f, p, "cold box", grams)
            p.cold_g += grams
        elif p.cold_g > 0.0:
            # in it already: the freezer or the stack has changed, and the time starts anew
            grams = p.cold_g if f.grams is None else f.grams
            self._move(f, p, "difference", "cold box", grams - p.cold_g)
            p.cold_g = grams
            if p.spells and p.spells[-1].until is None:
                p.spells[-1].until = f.at
        else:
            grams = f.grams or 0.0
            self._fresh(f, p, "cold box", grams)
            p.cold_g = grams
        held = self.batches.get(p.batch)
        thick = f.thickness_mm or (held.thickness_mm if held else None)
        p.spells.append(Spell(f.at, p.cold_g, f.entry, f.freezer_c, f.stack, thick))

    def _handed(self, f: Fact, p: Piece, into: Account, grams: float) -> None:
        there = p.hand_g
        self._move(f, p, "in hand", into, min(grams, there))
        over = grams - there
        if over > 0.0:
            self._move(f, p, "difference", into, over)
            if over > slack(there):
                self._hole(
                    "more-than-was",
                    f"{W} of piece {p.code} were put away, and {W} came off.",
                    f,
                    over,
                    piece=p.code,
                    correct=f.entry,
                    weights=(grams, there),
                )
            p.hand_g = 0.0
        elif -over <= slack(there):
            self._move(f, p, "in hand", "difference", -over)
            p.hand_g = 0.0
        else:
            p.hand_g = -over

    def _discarded(self, f: Fact) -> None:
        p = self._which(f)
        if p is None:
            if f.batch:
                self._discard_loose(f)
            return
        p.why = f.why or p.why
        if f.why == "beetle larvae":
            p.larvae = True
        if p.hand_g <= 0.0 and p.cold_g <= 0.0:
            self._off_unsaid(f, p, f.grams)
        if p.hand_g > 0.0:
            grams = p.hand_g if f.grams is None else f.grams
            self._handed(f, p, "discarded", grams)
        elif p.cold_g > 0.0:
            there = p.cold_g
            grams = there if f.grams is None else f.grams
            if 0.0 < there - grams <= slack(there):
                self._move(f, p, "cold box", "difference", there - grams)
            self._move(f, p, "cold box", "discarded", min(grams, there))
            self._move(f, p, "difference", "discarded", max(0.0, grams - there))
            if grams - there > slack(there):
                self._hole(
                    "more-than-was",
                    f"{W} of piece {p.code} were thrown away, and {W} were in the cold box.",
                    f,
                    grams - there,
                    piece=p.code,
                    correct=f.entry,
                    weights=(grams, there),
                )
            self._out_of_cold(p, there if there - grams <= slack(there) else grams, f.at)
        else:
            grams = f.grams or 0.0
            if p.stays and grams > 0.0:
                self._hole(
                    "more-than-was",
                    f"{W} of piece {p.code} were thrown away, and nothing was left of it.",
                    f,
                    grams,
                    piece=p.code,
                    correct=f.entry,
                    weights=(grams,),
                )
                self._move(f, p, "difference", "discarded", grams)
            else:
                self._fresh(f, p, "discarded", grams)
        p.discarded_g += grams

    def _discard_loose(self, f: Fact) -> None:
        name, grams = self._named(f.batch), f.grams or 0.0
        held = self.batches[name]
        from_shelf = min(grams, max(0.0, held.shelf_g))
        loose = sorted(
            (q for q in self._of_batch.get(name, []) if not q.stays and q.cold_g > 0.0),
            key=lambda q: q.first,
        )
        if from_shelf < grams and not loose:
            from_shelf = grams
        self._move(f, None, "shelf", "discarded", from_shelf, batch=name)
        rest = grams - from_shelf
        for i, q in enumerate(loose):
            got = rest if i == len(loose) - 1 else min(rest, q.cold_g)
            self._move(f, q, "cold box", "discarded", min(got, q.cold_g))
            self._move(f, None, "shelf", "discarded", max(0.0, got - q.cold_g), batch=name)
            self._out_of_cold(q, min(got, q.cold_g), f.at)
            rest -= got
