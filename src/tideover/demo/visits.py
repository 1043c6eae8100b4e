"""When the two keepers went, who opened what, and how far they looked."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date
from typing import Final, Literal

from tideover.demo.stories import STORIES, Story, d

Depth = Literal["lid", "combs"]


@dataclass(frozen=True)
class Visit:
    """One day's work at a yard: who, from what hour, and how far most hives are opened."""

    yard: str
    day: date
    who: str
    from_hour: float
    depth: Depth


_PLAN: Final[tuple[tuple[str, int, int, str, float, Depth], ...]] = (
    ("quarry", 4, 5, "K", 9.5, "combs"),
    ("quarry", 4, 26, "K", 9.0, "combs"),
    ("quarry", 5, 17, "J", 8.5, "combs"),
    ("quarry", 6, 7, "K", 7.5, "combs"),
    ("quarry", 6, 21, "K", 6.75, "lid"),
    ("quarry", 7, 5, "K", 6.5, "combs"),
    ("quarry", 7, 12, "J", 6.5, "lid"),
    ("quarry", 7, 19, "K", 6.5, "lid"),
    ("quarry", 7, 26, "J", 6.25, "combs"),
    ("quarry", 8, 2, "K", 6.5, "lid"),
    ("quarry", 8, 9, "K", 6.25, "combs"),
    ("mill-race", 4, 6, "J", 9.5, "combs"),
    ("mill-race", 4, 27, "J", 9.0, "combs"),
    ("mill-race", 5, 18, "K", 8.5, "combs"),
    ("mill-race", 6, 8, "J", 8.0, "combs"),
    ("mill-race", 6, 22, "K", 7.5, "lid"),
    ("mill-race", 7, 12, "J", 7.0, "combs"),
    ("mill-race", 7, 27, "J", 7.0, "combs"),
    ("mill-race", 8, 10, "K", 6.75, "combs"),
    ("long-fallow", 4, 12, "K", 9.5, "combs"),
    ("long-fallow", 5, 3, "K", 9.0, "combs"),
    ("long-fallow", 5, 24, "J", 8.5, "combs"),
    ("long-fallow", 6, 14, "K", 7.25, "combs"),
    ("long-fallow", 7, 6, "J", 6.75, "combs"),
    ("long-fallow", 7, 13, "J", 6.5, "lid"),
    ("long-fallow", 7, 20, "K", 6.5, "lid"),
    ("long-fallow", 7, 27, "K", 6.5, "combs"),
    ("long-fallow", 8, 3, "J", 6.5, "lid"),
    ("long-fallow", 8, 12, "K", 6.25, "combs"),
)

VISITS: Final = tuple(Visit(yard, d(month, day), who, hour, depth) for yard, month, day, who, hour, depth in _PLAN)
"""Every yard visit of the season, in yard order."""


@dataclass(frozen=True)
class Opened:
    """One hive opened at a visit."""

    story: Story
    visit: Visit
    hour: float
    depth: Depth


def opened(seed: int, visit: Visit) -> list[Opened]:
    """Return the hives opened at ``visit``, in the order they were opened.

    Now and then a hive is passed over in spring, or only its lid lifted; the hives
    whose story says something on that day are always opened fully.
    """
    rng = random.Random(f"{seed}/visit/{visit.yard}/{visit.day}")
    hour = visit.from_hour
    out: list[Opened] = []
    for story in STORIES:
        if story.hive.rsplit("-", 1)[0] != visit.yard:
            continue
        if story.last_visit is not None and visit.day > story.last_visit:
            continue
        told = visit.day in story.says
        skip, shallow = rng.random(), rng.random()
        if skip < 0.08 and not told and visit.day < d(7, 20):
            continue
        depth: Depth = visit.depth
        if depth == "combs" and shallow < 0.12 and not told and visit.day < d(8, 1):
            depth = "lid"
        out.append(Opened(story, visit, hour, depth))
        hour += rng.uniform(0.05, 0.08) if depth == "lid" else rng.uniform(0.12, 0.2)
    return out
