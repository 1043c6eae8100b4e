"""From a hive that may be sick to every piece it touched, and to every hive those pieces reached.

Freezing kills beetles, not foulbrood spores, so a piece that lay on a suspect hive is never clean again. When the
hive fell sick is not known; every piece that lay on it at any time up to now counts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime

from tideover.patty.ledger.fold import Ledger
from tideover.patty.ledger.moves import Piece


@dataclass(frozen=True)
class Touched:
    """A piece that lay on a suspect hive, or on a hive that such a piece reached.

    ``hand`` is 1 when it lay on the suspect hive itself, 2 when it lay on a hive that got one of those, and so on.
    """

    piece: str
    suspect: str
    hand: int
    since: datetime
    cold_g: float
    hand_g: float
    on: tuple[str, ...]
    grams_on: float


@dataclass(frozen=True)
class Reached:
    """A hive that got a piece which had been on a suspect hive before."""

    hive: str
    yard: str
    suspect: str
    piece: str
    hand: int
    at: datetime
    still_on: bool
    grams: float


@dataclass(frozen=True)
class Trace:
    """All pieces touched by one suspect hive, and the hives they reached."""

    suspect: str
    since: datetime
    pieces: tuple[Touched, ...]
    hives: tuple[Reached, ...]


def trace(ledger: Ledger, suspects: Mapping[str, datetime]) -> tuple[Trace, ...]:
    """Trace every suspect hive.

    suspects: hive and the time it was written down as suspect, not cleared since.
    """
    return tuple(_one(ledger, hive, at) for hive, at in sorted(suspects.items(), key=lambda i: (i[1], i[0])))


def _one(ledger: Ledger, suspect: str, at: datetime) -> Trace:
    # from when a hive, or a piece, may carry it; the suspect hive itself: always
    hive_from: dict[str, datetime] = {suspect: datetime.min.replace(tzinfo=at.tzinfo)}
    piece_from: dict[str, datetime] = {}
    hand: dict[str, int] = {}
    reached: dict[tuple[str, str], Reached] = {}
    stays = sorted((s for p in ledger.pieces.values() for s in p.stays), key=lambda s: (s.since, s.piece, s.hive))
    depth: dict[str, int] = {suspect: 0}
    changed = True
    while changed:
        changed = False
        for s in stays:
            bad_hive = hive_from.get(s.hive)
            ends = s.until is None or bad_hive is None or s.until > bad_hive
            if bad_hive is not None and ends:
                since = max(s.since, bad_hive)
                step = depth[s.hive] + 1
                if s.piece not in piece_from or since < piece_from[s.piece] or step < hand[s.piece]:
                    piece_from[s.piece] = min(since, piece_from.get(s.piece, since))
                    hand[s.piece] = min(step, hand.get(s.piece, step))
                    changed = True
            bad_piece = piece_from.get(s.piece)
            if bad_piece is not None and s.hive != suspect and s.since > bad_piece:
                key = (s.hive, s.piece)
                step = hand[s.piece]
                if key not in reached or step < reached[key].hand:
                    reached[key] = Reached(
                        s.hive,
                        s.yard,
                        suspect,
                        s.piece,
                        step,
                        s.since,
                        s.until is None,
                        s.left_g if not s.until else 0.0,
                    )
                    changed = True
                if s.hive not in hive_from or s.since < hive_from[s.hive] or step < depth[s.hive]:
                    hive_from[s.hive] = min(s.since, hive_from.get(s.hive, s.since))
                    depth[s.hive] = min(step, depth.get(s.hive, step))
                    changed = True
    pieces = tuple(
        _touched(ledger.pieces[code], suspect, hand[code], piece_from[code]) for code in sorted(piece_from)
    )  # fmt: skip
    return Trace(suspect, at, pieces, tuple(sorted(reached.values(), key=lambda r: (r.hand, r.at, r.hive, r.piece))))


def _touched(p: Piece, suspect: str, hand: int, since: datetime) -> Touched:
    on = p.on
    return Touched(
        p.code, suspect, hand, since, p.cold_g, p.hand_g, tuple(s.hive for s in on), sum(s.left_g for s in on)
    )
