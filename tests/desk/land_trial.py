"""What looks at hives add to a yard's strip: the invented season on seeds of its own, its land known without error.

Run as ``python -m tests.desk.land_trial 31 34`` with the checkout on the path (six minutes of a processor). The season's
hives and land follow rules that are not the product's. Looks comb by comb are left out: on some seeds the season writes
a side of more than eight eighths, which is refused.
"""

from __future__ import annotations

import json
import sys
import tempfile
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import numpy as np

from tideover import demo
from tideover.desk import Desk
from tideover.desk.lookout import Strip, lookout
from tideover.records import bring, open_books

LEFT_OUT = ("comb_sides.csv",)
NOTES = ("bloom_notes.csv", "entrance_counts.csv")
EVERY_WEEKS = 5
MORNINGS = 3


def week_before(s: Strip, today: date) -> np.ndarray:
    """Mean log of low, median and high of the seven days before."""
    k = s.days.index(today)
    return np.array([np.mean(np.log(v[k - 7 : k])) for v in (s.low, s.median, s.high)])


def compared(seed: int, noted: bool) -> Iterator[tuple[np.ndarray, np.ndarray]]:
    """Per yard and morning the strip's log over the truth's, without hives and with them: low, median, high."""
    with tempfile.TemporaryDirectory() as folder:
        season = demo.make(Path(folder), seed)
        out = LEFT_OUT if noted else (*LEFT_OUT, *NOTES)
        with open_books(Path(folder) / "books.db") as books:
            bring(books, [f for f in sorted(season.glob("*.csv")) if f.name not in out])
            books.put_settings(json.loads((season / "settings.json").read_text(encoding="utf-8")))
            truth = json.loads((season / "truth.json").read_text(encoding="utf-8"))
            weeks = [date.fromisoformat(w) for w in truth["weeks"]]
            for at in range(len(weeks) - 1, len(weeks) - 1 - MORNINGS * EVERY_WEEKS, -EVERY_WEEKS):
                today = weeks[at]
                desk = Desk(books, members=600)
                desk.set_today(today)
                said = {y.id: desk.yard_said(y.id) for y in books.yards()}
                with_hives = lookout(books, today, hives=said)
                for a, b in zip(lookout(books, today).yards, with_hives.yards, strict=True):
                    true = np.log(truth["yards"][a.yard]["pollen_offer"][at])
                    yield week_before(a.strip, today) - true, week_before(b.strip, today) - true


def main(first: int, last: int) -> None:
    """Print error, share inside and width, with bloom notes and counts and without."""
    for noted in (True, False):
        rows = np.array([pair for seed in range(first, last) for pair in compared(seed, noted)])
        for name, got in (("without hives", rows[:, 0]), ("with hives", rows[:, 1])):
            error = np.sqrt((got[:, 1] ** 2).mean())
            inside = ((got[:, 0] <= 0.0) & (got[:, 2] >= 0.0)).mean()
            width = (got[:, 2] - got[:, 0]).mean()
            print(
                f"{'notes and counts' if noted else 'weather alone'}, {name}: {len(got)} yard weeks, log error"
                f" {error:.2f}, bias {got[:, 1].mean():+.2f}, inside the 80 % band {inside:.2f}, its width {width:.2f}"
            )


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
