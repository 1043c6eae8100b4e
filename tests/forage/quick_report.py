"""The scores of docs/science/lookout.md: shares with their 95 % ranges (Wilson), dearths near the line apart.

Run as ``python -m tests.forage.quick_report FIRST LAST`` with the checkout on the path: seeds FIRST to LAST - 1 in real
weather, weekly notes and counts this year and three before, by what the keeper does (``ROWS``).
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import replace
from datetime import date
from typing import Any

import numpy as np

from tests.forage import alert_trial as trial
from tests.forage import quick_trial as quick
from tests.forage.land_truth import LINE
from tideover.forage import alert as alerts

NEAR = 2.0 / 3.0
"""A dearth whose mean lies above this share of the line stays near it."""


def wilson(hits: int, of: int) -> tuple[float, float]:
    """The 95 % range of a share (Wilson 1927)."""
    z = 1.96
    p, d = hits / of, 1.0 + z * z / of
    middle, half = (p + z * z / (2 * of)) / d, z / d * np.sqrt(p * (1.0 - p) / of + z * z / (4 * of * of))
    return float(middle - half), float(middle + half)


def hits(made: Sequence[trial.Season], places: Sequence[quick.Place], near: bool | None = None) -> dict[str, list[int]]:
    """Starts and ends within seven days, as went and by the calendar: [hits, of]; ``near`` picks dearths by depth."""
    out = {k: [0, 0] for k in ("start", "end", "calendar start", "calendar end")}
    for s, p in zip(made, places, strict=True):
        for truth in s.truths:
            a, b = ((d - p.land.days[0]).days for d in truth)
            if near is not None and near != bool(np.exp(np.log(p.land.pollen[a : b + 1]).mean()) > NEAR * LINE):
                continue
            for name, given in (
                ("", [(t.start, t.end) for t in s.told]),
                ("calendar ", [s.calendar] if s.calendar else []),
            ):
                hit = next((g for g in given if trial._meets(g, truth)), None)
                parts = [("start", hit[0] if hit else None, truth[0])]
                if truth[1] < date(truth[0].year, 11, 16):
                    parts.append(("end", hit[1] if hit else None, truth[1]))
                for part, told, true in parts:
                    out[name + part][0] += told is not None and abs((told - true).days) <= 7
                    out[name + part][1] += 1
    return out


BEFORE = replace(alerts.DEFAULT_ALERT, end_ask_from=0.1, end_ask_within_d=7)
"""A look asked for in a dearth by the same rule as out of one, as in the tables of seeds 700 to 899."""
ROWS: dict[str, dict[str, Any]] = {
    "weekly": {},
    "weekly, and when asked": {"asked": True},
    "weekly, and when asked as it was": {"asked": True, "rules": BEFORE},
    "weekly at three hives": {"hives": 3},
    "weekly at three hives, and when asked": {"hives": 3, "asked": True},
    "weekly this year, no year before": {"taught": False},
    "weather alone": {"taught": False, "every": 0},
}
"""What the keeper does, and how ``quick_trial.season`` is told."""


def main(first: int, last: int) -> None:
    """Print the scores."""
    alerts.in_dearth = quick.in_dearth
    places: list[quick.Place] = []
    by_row: dict[str, list[trial.Season]] = {row: [] for row in ROWS}
    for seed in range(first, last):
        p = quick.place(seed)
        for row, made in by_row.items():
            made.append(quick.season(p, **ROWS[row]))
        p.lines, p.told = {}, {}
        places.append(p)
    for row, made in by_row.items():
        print(row, f"({np.mean([s.more for s in made]):.1f} looks more)")
        for words, near in (("all", None), ("under two thirds of the line", False), ("nearer the line", True)):
            for part, (k, n) in hits(made, places, near).items():
                if not n:
                    continue
                low, high = wilson(k, n)
                print(f"  {words}, {part}: {k} of {n}, {100 * k / n:.0f} % ({100 * low:.0f} to {100 * high:.0f})")
        false = sum(any(not any(trial._meets((t.start, t.end), d) for d in s.dry) for t in s.told) for s in made)
        low, high = wilson(false, len(made))
        print(f"  seasons with a false alarm: {false} of {len(made)} ({100 * low:.0f} to {100 * high:.0f} %)")
        for line in (f"{k}: {v:.2f}" for k, v in trial.report(made).items()):
            print("   ", line)
        for line in trial.reliability(made):
            print("   ", line)


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
