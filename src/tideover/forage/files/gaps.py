"""Gaps in a run of days: filled only where the method can be stated, and always with more doubt.

Up to five days of missing temperature between known ones take a straight line between the departures on both sides
(a linear bridge); its spread is that of the station's own day-to-day departures, bridged. Rain is never filled: a day
without a reading stays without one. Longer gaps stay gaps, and the index fills them itself from the usual weather
with more daily movement of the land.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import pairwise
from math import sqrt
from typing import Final

import numpy as np

from tideover.forage.files.parts import FileDay

LONGEST: Final = 5
METHOD: Final = "straight line between the days on both sides"


@dataclass(frozen=True)
class Filled:
    """Days with short gaps bridged; the spread [C] of each bridged day; days that stay without temperature."""

    days: list[FileDay]
    bridged: dict[date, float]
    still_missing: list[date]


def fill(days: Sequence[FileDay], longest: int = LONGEST) -> Filled:
    """Bridge temperature gaps of at most ``longest`` days."""
    if not days:
        return Filled([], {}, [])
    by_day = {d.day: d for d in days}
    first, last = min(by_day), max(by_day)
    span = [first + timedelta(days=k) for k in range((last - first).days + 1)]
    out = {d: by_day.get(d, FileDay(d)) for d in span}
    bridged: dict[date, float] = {}
    for name in ("temp_max_c", "temp_min_c"):
        values = [out[d].get(name) for d in span]
        steps = [b - a for a, b in pairwise(values) if a is not None and b is not None]
        step_sd = float(np.std(steps)) if len(steps) >= 10 else 3.0
        known = [k for k, v in enumerate(values) if v is not None]
        for a, b in pairwise(known):
            width = b - a
            if not 1 < width <= longest + 1:
                continue
            va, vb = values[a], values[b]
            assert va is not None
            assert vb is not None
            for k in range(a + 1, b):
                share = (k - a) / width
                out[span[k]] = out[span[k]].with_(name, round(va + (vb - va) * share, 2))
                # a random walk tied at both ends
                sd = step_sd * sqrt((k - a) * (b - k) / width)
                bridged[span[k]] = max(bridged.get(span[k], 0.0), sd)
    missing = [d for d in span if out[d].temp_max_c is None or out[d].temp_min_c is None]
    for d in missing:
        bridged.pop(d, None)
    kept = []
    for d in span:
        one = out[d]
        if one.temp_max_c is not None and one.temp_min_c is not None and one.temp_min_c > one.temp_max_c:
            one = replace(one, temp_min_c=one.temp_max_c)
        kept.append(one)
    return Filled(kept, bridged, missing)
