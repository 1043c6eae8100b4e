"""Laid on, seen, taken off: what is posted for a piece on a hive."""

from __future__ import annotations

from datetime import timedelta

from tideover.patty.ledger.codes import tidy
from tideover.patty.ledger.facts import Fact
from tideover.patty.ledger.holes import WEIGHT as W
from tideover.patty.ledger.holes import Fix
from tideover.patty.ledger.moves import Account, Piece, Stay
from tideover.patty.ledger.posting import CRUMB_G, ONE_VISIT, Posting, slack


class OnHive(Posting):
    """Posts what happens to pieces on hives."""

    def _laid(self, f: Fact) -> None:
        p, grams = self._piece(f), f.grams or 0.0
        stay = Stay(p.code, f.hive or "", f.yard, f.at, grams, grams, f.entry, f.place)
        self._make_room(f, p)
        elsewhere = [s for s in p.on if s.hive != f.hive]
        if p.hand_g > 0.0:
            self._kept_where(f, p)
            self._again(f, p, "in hand", p.hand_g, stay)
        elif p.cold_g > 0.0:
            self._again(f, p, "cold box", p.cold_g, stay)
        elif elsewhere:
            self._moved_over(f, p, elsewhere[-1], stay)
        else:
            if p.stays:
                self._hole(
                    "eaten-before",
                    f"Piece {p.code} had gone when it was laid on {f.hive} again: is the code right?",
                    f,
                    grams,
                    piece=p.code,
                    correct=f.entry,
                )
            self._fresh(f, p, "on hive", grams, stay)
        self._lay(p, stay)
        p.owner, p.owner_yard = f.hive, f.yard

    def _kept_where(self, f: Fact, p: Piece) -> None:
        """A rest laid on again days after it came off: where it lay between is not written."""
        if p.hand_since is None or f.at - p.hand_since <= ONE_VISIT:
            return
        text = f"Piece {p.code} came off {p.owner} and was laid on {f.hive} later: was it in the cold box between?"
        values: dict[str, float | str] = {"piece": p.code, "weight": round(p.hand_g, 1)}
        fix = Fix("Into the cold box", "cold box", p.owner, p.owner_yard, values, p.hand_since + timedelta(hours=2))
        self._hole("where-did-it-go", text, f, 0.0, fix, piece=p.code)

    def _make_room(self, f: Fact, p: Piece) -> None:
        """End the stay of an older piece that nobody wrote off when this one was laid on."""
        for s in self._open(f.hive):
            apart = s.place is not None and f.place is not None and s.place != f.place
            if s.piece == p.code or apart or f.at - s.since <= ONE_VISIT:
                continue
            s.until, s.said = f.at, False
            old = self.pieces[s.piece]
            self._move(f, old, "on hive", "not said", s.left_g, stay=s)

    def _again(self, f: Fact, p: Piece, out_of: Account, there: float, stay: Stay) -> None:
        grams = stay.laid_g
        used = min(grams, there)
        rest = there - used
        self._move(f, p, out_of, "on hive", used, stay=stay)
        if grams > there:
            self._move(f, p, "difference", "on hive", grams - there, stay=stay)
            if grams - there > slack(there):
                self._hole(
                    "more-than-was",
                    f"{W} of piece {p.code} were laid on {f.hive}, and only {W} were left of it.",
                    f,
                    grams - there,
                    piece=p.code,
                    correct=f.entry,
                    weights=(grams, there),
                )
        elif 0.0 < rest <= slack(there):
            self._move(f, p, out_of, "difference", rest)
            rest = 0.0
        if out_of == "in hand":
            p.hand_g = rest
        else:
            self._out_of_cold(p, there - rest, f.at)

    def _moved_over(self, f: Fact, p: Piece, old: Stay, stay: Stay) -> None:
        """Laid on another hive though nothing says that it came off the first."""
        took = min(stay.laid_g, old.laid_g)
        self._move(f, p, "eaten", "on hive", took - old.left_g, stay=old)
        self._move(f, p, "on hive", "in hand", took, stay=old)
        old.until, old.left_g = f.at, 0.0
        self._move(f, p, "in hand", "on hive", took, stay=stay)
        self._move(f, p, "difference", "on hive", stay.laid_g - took, stay=stay)
        text = f"Piece {p.code} was laid on {f.hive}, and nothing says that it came off {old.hive}."
        fix = Fix(
            f"Taken off {old.hive}",
            "taken off",
            old.hive,
            old.yard,
            {"piece": p.code, "weight": round(took, 1)},
            f.at - timedelta(minutes=5),
        )
        self._hole("no-taking-off", text, f, took, fix, piece=p.code)

    def _seen(self, f: Fact) -> None:
        stays = self._newest(f.hive)
        if not stays:
            self._no_laying_on(f, f.quarters or 0.0)
            return
        for s in stays:
            p = self.pieces[s.piece]
            s.texture, s.debris = f.texture or s.texture, f.debris or s.debris
            p.texture = s.texture
            if f.larvae == "yes":
                s.larvae = p.larvae = True
            if f.quarters is None:
                continue
            self._settle(f, s, s.laid_g * f.quarters / 4.0)
            s.seen_at = f.at
            if s.left_g <= CRUMB_G:
                s.until = f.at

    def _no_laying_on(self, f: Fact, quarters: float) -> None:
        """Something is left of a piece that was never laid on; a look just after a taking off speaks of that one."""
        just = [s for s in self._stays(f.hive) if s.until is not None]
        if quarters <= 0.0 or any(f.at - s.until <= ONE_VISIT for s in just if s.until is not None):
            return
        last = max((s for s in just), key=lambda s: s.since, default=None)
        weight: dict[str, float | str] = {} if last is None else {"weight": round(last.laid_g, 1)}
        text = f"Part of a piece was seen on {f.hive}, and nothing says that one was laid on."
        self._hole("no-laying-on", text, f, 0.0, Fix(f"Laid on {f.hive}", "laid on", f.hive, f.yard, weight))

    def _stay_of(self, f: Fact) -> Stay | None:
        stays = self._open(f.hive)
        if f.piece:
            named = [s for s in stays if s.piece == tidy(f.piece)]
            if not named and stays:
                self._hole(
                    "no-such-piece",
                    f"Piece {tidy(f.piece)} is not on {f.hive} by the books; the one that is, "
                    f"{stays[-1].piece}, was taken.",
                    f,
                    f.grams or 0.0,
                    piece=tidy(f.piece),
                    correct=f.entry,
                )
            stays = named or stays
        return stays[-1] if stays else None

    def _revive(self, f: Fact) -> Stay | None:
        """A stay ended by a later laying on, for a taking off that names its piece."""
        p = self.pieces.get(tidy(f.piece)) if f.piece else None
        lost = [s for s in p.stays if s.hive == f.hive and not s.said] if p else []
        if not lost or any(s.hive == f.hive for s in (p.on if p else [])):
            return None
        s = lost[-1]
        self._move(f, p, "not said", "on hive", s.left_g, stay=s)
        s.until, s.said = None, True
        return s

    def _taken(self, f: Fact) -> None:
        s = self._revive(f) or self._stay_of(f)
        if s is None:
            left = f.grams if f.grams is not None else f.quarters or 0.0
            if left > 0.0:
                text = f"A piece came off {f.hive}, and nothing says that one was laid on."
                self._hole("no-laying-on", text, f, f.grams or 0.0, Fix(f"Laid on {f.hive}", "laid on", f.hive, f.yard))
            return
        p = self.pieces[s.piece]
        s.until, s.texture, s.debris = f.at, f.texture or s.texture, f.debris or s.debris
        p.texture = s.texture
        if f.larvae == "yes":
            s.larvae = p.larvae = True
        known = f.grams if f.grams is not None else None if f.quarters is None else s.laid_g * f.quarters / 4.0
        if known is None:
            s.said = False
            self._move(f, p, "on hive", "not said", s.left_g, stay=s)
            text = f"How much of piece {s.piece} was left when it came off {s.hive} is not written."
            self._hole("left-unknown", text, f, s.left_g, piece=s.piece, correct=f.entry)
            return
        left = known if known > CRUMB_G else 0.0
        self._settle(f, s, left)
        self._move(f, p, "on hive", "in hand", left, stay=s)
        s.left_g = left
        if left > 0.0:
            p.hand_g, p.hand_since, p.hand_goes, p.hand_entry = p.hand_g + left, f.at, f.goes, f.entry
