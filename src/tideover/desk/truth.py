"""An invented season's answers held against the truth kept beside it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np

from tideover.colony import layout as lay
from tideover.figures import reader

if TYPE_CHECKING:
    from tideover.desk.desk import Desk

TRACE_G: Final = reader("calls")("truth_trace_g")
"""Stored pollen below this [g], some 80 full cells in the whole hive, is none to a keeper."""


def truth_report(desk: Desk, season: Path) -> list[str]:
    """Say how close the readings came to the truth of an invented season.

    :param desk: a desk over the season's books.
    :param season: folder with ``truth.json``.
    :returns: lines to print: per quantity the share of hives inside the 80 % interval and the median error.
    """
    truth = json.loads((season / "truth.json").read_text(encoding="utf-8"))["hives"]
    rows: dict[str, list[tuple[float, float, float, float]]] = {"bees": [], "capped brood": [], "honey": []}
    stored: list[tuple[float, float, float, float]] = []
    for hive, t in truth.items():
        e = desk._answer(hive).known.ensemble
        for name, values, real in (
            ("bees", e.adults(), t["adults"][-1]),
            ("capped brood", e.capped(), t["capped"][-1]),
            ("honey", e.state[:, lay.HONEY] / 1000.0, t["honey_kg"][-1]),
        ):
            low, mid, high = (float(v) for v in np.quantile(values, [0.1, 0.5, 0.9]))
            rows[name].append((low, mid, high, float(real)))
        low, mid, high = (float(v) for v in np.quantile(e.state[:, lay.BREAD], [0.1, 0.5, 0.9]))
        stored.append((low, mid, high, float(t["pollen_g"][-1])))
    rows["stored pollen, where there was any"] = [s for s in stored if s[3] >= TRACE_G]
    lines = ["How close the readings came to the invented truth (it was made by other rules than ours):"]
    for name, found in rows.items():
        if not found:
            continue
        inside = sum(low <= real <= high for low, _, high, real in found)
        error = float(np.median([abs(mid - real) / max(real, 1.0) for _, mid, _, real in found]))
        lines.append(f"  {name}: {inside} of {len(found)} inside the 80 % interval, median error {error:.0%}")
    bare = [mid for _, mid, _, real in stored if real < TRACE_G]
    lines.append(f"  no stored pollen to speak of: told of {sum(m < TRACE_G for m in bare)} of {len(bare)}")
    return lines
