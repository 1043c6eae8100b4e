"""The season as it really went: every colony run through its story, day by day."""

from __future__ import annotations

import math
import random
from copy import deepcopy
from dataclasses import dataclass
from datetime import date
from typing import Final

from tideover.demo.colony import Colony, Piece, step
from tideover.demo.land import Offer
from tideover.demo.place import ROUND_DAY, SEASON_FROM, days_between
from tideover.demo.stories import Happening, Laid, Story
from tideover.demo.weather import Day

POUND_G: Final = 453.59237

TREATED: Final = (date(2025, 3, 22), 0.4)
"""All hives are treated against mites on this day; this share of the mites is left."""


@dataclass(frozen=True)
class Life:
    """A hive's true season: its story and the colony's state on the morning of every day."""

    story: Story
    states: dict[date, Colony]

    def on(self, day: date) -> Colony:
        """Return the colony on the morning of ``day``."""
        return self.states[day]


def yard_of(hive: str) -> str:
    """Return the yard a hive label belongs to."""
    return hive.rsplit("-", 1)[0]


def _befall(c: Colony, happening: Happening) -> None:
    """Apply one happening to the colony; its rules are the words a story may use."""
    size = happening.size
    if happening.what in ("split", "swarm", "poisoned"):
        c.adults *= 1.0 - size
        if happening.what == "swarm":
            c.queen, c.queen_back, c.honey_kg = "virgin", 24, max(1.0, c.honey_kg - 2.5)
        if happening.what == "split":
            c.brood = [cells * (1.0 - size) for cells in c.brood]
    elif happening.what == "join":
        c.adults *= 1.0 + size
    elif happening.what == "supersedure":
        c.queen, c.queen_back = "virgin", round(size)
    elif happening.what == "young queen":
        c.laying, c.failing = size, 0.0
    elif happening.what == "queen gone":
        c.queen, c.queen_back = "gone", 0
    elif happening.what == "laying workers":
        c.queen, c.queen_back = "laying workers", 0
    elif happening.what == "failing":
        c.failing = size
    elif happening.what == "shut down":
        c.laying *= size
    elif happening.what == "robbed":
        c.honey_kg = max(0.5, c.honey_kg - size)
        c.adults *= 0.92
    elif happening.what == "diseased":
        c.brood_loss = size
    elif happening.what == "harvest":
        c.honey_kg = max(2.0, c.honey_kg - size)
    elif happening.what == "harvest_to":
        c.honey_kg = min(c.honey_kg, size)
    elif happening.what == "syrup":
        c.honey_kg += size
    elif happening.what != "nothing":
        raise ValueError(f"{happening.what!r} on {happening.day} is no happening; use a word that season.py knows")


def _lay_on(c: Colony, laid: Laid) -> None:
    """Lay a fresh piece on; what is left of the last one goes with the keeper."""
    weight = laid.lb * POUND_G
    c.pieces = [Piece(laid.day, weight, weight, laid.dries, laid.touches, laid.hauled)]


def live(seed: int, story: Story, weather: list[Day], land: list[Offer]) -> Life:
    """Run one hive from the first day of the season to the morning of the round.

    ``weather`` and ``land`` are its yard's, of which only the season's days are used.
    """
    rng = random.Random(f"{seed}/hive/{story.hive}")
    c = Colony(
        adults=story.adults * math.exp(rng.gauss(0.0, 0.05)),
        laying=story.laying,
        honey_kg=story.honey_kg,
        mites=story.mites * math.exp(rng.gauss(0.0, 0.25)),
        keeps=story.keeps,
        water=story.water,
        hoards=story.hoards,
    )
    start = story.laying * 0.5
    c.brood = [start * 0.9 ** (age / 5.0) for age in range(len(c.brood))]
    hungry = math.exp(rng.gauss(0.0, 0.1))
    by_day = {w.day: (w, o) for w, o in zip(weather, land, strict=True)}
    states: dict[date, Colony] = {}
    for day in days_between(SEASON_FROM, ROUND_DAY):
        for happening in story.happens:
            if happening.day == day:
                _befall(c, happening)
        states[day] = deepcopy(c)
        for laid in story.patties:
            if laid.off == day:
                c.pieces = []
            if laid.day == day:
                _lay_on(c, laid)
        if day == TREATED[0]:
            c.mites *= TREATED[1]
        if day in by_day:
            sky, offer = by_day[day]
            step(c, rng, day, sky.temp_max_c, offer.pollen * hungry, offer.nectar)
    return Life(story, states)
