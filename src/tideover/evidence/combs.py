"""A look comb by comb: sides judged in eighths, gathered per day, and how well members agree with their areas.

Observers miss a single side by a fifth to a third and a whole colony by a tenth (rows ``strength.estimate_error_*``);
a keeper's tendency runs through all sides alike. Sides left out are not empty: where not all sides
of a hive were judged, what was seen is the least that is there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.comb.sides import CONTENTS, Side
from tideover.evidence.likelihood import Item, gauss
from tideover.evidence.predict import Shown
from tideover.evidence.seen import BoxSpec, Seen, Value
from tideover.figures import book, reader

Floats = NDArray[np.float64]

KIND: Final = "comb look"
"""Kind of the gathered look; the books keep its sides (``comb side``)."""
_value = reader("looks")
ALL_FROM: Final = _value("sides_whole")
"""Share of a hive's sides from which a look comb by comb counts as whole: a side or two goes unwritten."""
ROUNDING: Final = _value("sides_rounding")
"""Spread of rounding to half an eighth [eighths] (uniform rounding: 0.5 / sqrt 12)."""
EGGS_HARDER: Final = _value("eggs_harder")
"""How much more easily eggs are missed than capped brood; published methods call them the hard case."""
WIDEST_DM2: Final = _value("widest_dm2")
"""Area that a number typed at random may stand for [dm2]: all faces of two deep boxes."""
LEAST_SD: Final = _value("area_least_sd")
EIGHTHS: Final = 8.0
"""Parts of a side."""


@dataclass(frozen=True)
class Errors:
    """Relative errors of a whole colony and of one side."""

    colony: float
    side: float


@cache
def errors() -> Errors:
    """The ``strength.estimate_error_*`` rows."""
    return Errors(book().value("strength.estimate_error_colony"), book().value("strength.estimate_error_side"))


def gather(sides: Sequence[Seen], boxes: Sequence[BoxSpec]) -> list[Seen]:
    """Put the sides of each day and keeper together as one look.

    Per content the value is (area [dm2], error of its sides [dm2], share of the hive's sides judged).
    Of a side written twice the later entry stands.

    :param sides: entries of kind 'comb side'.
    :param boxes: the hive's boxes, bottom first.
    """
    days: dict[tuple[object, str], dict[tuple[Value, Value, Value], Seen]] = {}
    for s in sorted(sides, key=lambda s: (s.day, s.hour, s.id)):
        place = (s.values.get("level", 1), s.values.get("comb", 1), s.values.get("side", "a"))
        days.setdefault((s.day, s.who), {})[place] = s
    there = 2.0 * sum(b.frames for b in boxes or (BoxSpec(),))
    looks = []
    for judged in days.values():
        entries = list(judged.values())
        values: dict[str, Value] = {}
        faces = [_side(s, boxes) for s in entries]
        for content in CONTENTS:
            mine = [f for f in faces if content in f.eighths]
            if not mine:
                continue
            areas = np.array([f.dm2(content) for f in mine])
            rounding = np.array([ROUNDING / EIGHTHS * frame(f.frame).dm2_per_side for f in mine])
            spread = float(np.sqrt(((errors().side * areas) ** 2 + np.where(areas > 0, rounding, 0.0) ** 2).sum()))
            values[content] = (float(areas.sum()), spread, min(1.0, len(mine) / there))
        last = entries[-1]
        looks.append(Seen(entries[0].id, KIND, last.day, entries[0].hour, values, last.who, entries[0].confirmed))
    return looks


def _side(s: Seen, boxes: Sequence[BoxSpec]) -> Side:
    level = s.values.get("level")
    k = int(level) - 1 if isinstance(level, (int, float)) else 0
    name = boxes[min(max(k, 0), len(boxes) - 1)].frame if boxes else "deep"
    return Side(name, {c: float(v) for c in CONTENTS if isinstance(v := s.values.get(c), (int, float))})


def _areas(s: Shown) -> Mapping[str, Callable[[], Floats]]:
    """Area each content would take on the members' combs [dm2]."""
    cells = worker_cells_per_dm2()
    return {
        "bees": lambda: s.at_home / s.bees_per_dm2,
        "capped": lambda: s.capped / (cells * s.brood_fill),
        "open": lambda: s.open_larvae / (cells * s.brood_fill),
        "eggs": lambda: s.eggs / (cells * s.brood_fill),
        "pollen": lambda: s.bread_g / s.bread_dm2_g,
        "honey": lambda: 1000.0 * s.honey_kg / (0.5 * s.honey_dm2_g),
    }


def comb_items(s: Shown, values: Mapping[str, Value]) -> list[Item]:
    """Return one item per content judged.

    :param s: what members would show.
    :param values: a gathered look's values, see ``gather``.
    """
    items = []
    areas = _areas(s)
    for content, value in values.items():
        if content not in areas or not isinstance(value, tuple):
            continue
        seen, spread, judged = value
        predicted = s.counted * areas[content]()
        if content == "bees":
            # Combs hold no more than their faces; a crowded hive hangs outside them.
            predicted = np.minimum(predicted, WIDEST_DM2)
        harder = EGGS_HARDER if content == "eggs" else 1.0
        sd = np.hypot(harder * errors().colony * predicted, np.hypot(harder * spread, LEAST_SD))
        if judged >= ALL_FROM:
            items.append(Item(f"comb {content}", gauss(predicted, seen, sd), float(-np.log(WIDEST_DM2))))
        else:
            # Only some sides: at least so much is there.
            items.append(Item(f"comb {content}", np.asarray(log_ndtr((predicted - seen) / sd)), float(np.log(0.5))))
    return items
