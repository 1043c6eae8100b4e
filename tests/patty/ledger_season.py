"""An invented season of patties with its own simple account of every gram, to hold the ledger against."""

from __future__ import annotations

import random
import uuid
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from typing import Any

from tideover.patty.ledger.facts import Fact, Kind

START = datetime(2031, 6, 1, 8, tzinfo=UTC)
HIVES = {"a1": "a", "a2": "a", "b1": "b"}


@dataclass
class Season:
    """Facts, and what is true at the end: grams by place for each batch, and eaten by yard."""

    facts: list[Fact] = field(default_factory=list)
    made: dict[str, float] = field(default_factory=dict)
    shelf: dict[str, float] = field(default_factory=dict)
    eaten: dict[str, float] = field(default_factory=dict)
    discarded: dict[str, float] = field(default_factory=dict)
    cold: dict[str, float] = field(default_factory=dict)
    on: dict[str, float] = field(default_factory=dict)
    yard_laid: dict[str, float] = field(default_factory=dict)
    yard_eaten: dict[str, float] = field(default_factory=dict)


def season(seed: int, rounds: int = 8) -> Season:
    """A season whose every gram is written: laid on, seen, taken off, frozen, back on, thrown away."""
    rng = random.Random(seed)
    s = Season()
    number = 0

    def write(kind: Kind, at: datetime, **more: Any) -> None:
        nonlocal number
        number += 1
        s.facts.append(Fact(str(uuid.UUID(int=number)), kind, at, **more))

    for k, name in enumerate(("B1", "B2")):
        grams = float(rng.randint(4000, 9000))
        s.made[name] = s.shelf[name] = grams
        for book in (s.eaten, s.discarded, s.cold, s.on):
            book[name] = 0.0
        write("batch", START - timedelta(days=2 - k), yard="a", batch=name, grams=grams, pieces=40)
    for yard in ("a", "b"):
        s.yard_laid[yard] = s.yard_eaten[yard] = 0.0
    lying: dict[str, tuple[str, str, float]] = {}  # hive: piece, batch, grams laid on
    frozen: dict[str, list[tuple[str, str, float]]] = {h: [] for h in HIVES}
    count = {"B1": 0, "B2": 0}
    for r in range(rounds):
        for i, (hive, yard) in enumerate(HIVES.items()):
            at = START + timedelta(days=7 * r, minutes=20 * i)
            today: tuple[str, str, float] | None = None
            if hive in lying:
                piece, batch, laid = lying.pop(hive)
                left = 0.0 if rng.random() < 0.4 else round(laid * rng.random(), 1)
                if left < 1.0:
                    left = 0.0
                if rng.random() < 0.5:
                    quarters = round(4.0 * left / laid * 4) / 4
                    write("seen", at - timedelta(days=2), yard=yard, hive=hive, quarters=min(4.0, quarters + 0.25))
                write("taken off", at, yard=yard, hive=hive, grams=left, piece=piece)
                s.on[batch] -= laid
                s.eaten[batch] += laid - left
                s.yard_eaten[yard] += laid - left
                if left and rng.random() < 0.6:
                    write("cold box", at + timedelta(hours=4), yard=yard, hive=hive, piece=piece, grams=left)
                    today = (piece, batch, left)
                    s.cold[batch] += left
                elif left:
                    write("discarded", at + timedelta(hours=4), yard=yard, hive=hive, piece=piece, grams=left)
                    s.discarded[batch] += left
            roll = rng.random()
            on = at + timedelta(minutes=10)
            if roll < 0.3 and frozen[hive]:
                piece, batch, grams = frozen[hive].pop()
                s.cold[batch] -= grams
            elif roll < 0.9:
                batch = rng.choice(("B1", "B2"))
                grams = round(rng.uniform(60.0, 480.0), 1)
                if grams > s.shelf[batch]:
                    grams = 0.0
                else:
                    count[batch] += 1
                    piece = f"{batch}-{count[batch]}"
                    s.shelf[batch] -= grams
            else:
                grams = 0.0
            if today is not None:  # in the freezer from this noon on: not to be laid on this morning
                frozen[hive].append(today)
            if not grams:
                continue
            write("laid on", on, yard=yard, hive=hive, piece=piece, batch=batch, grams=grams)
            lying[hive] = (piece, batch, grams)
            s.on[batch] += grams
            s.yard_laid[yard] += grams
    return s
