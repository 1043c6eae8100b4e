"""One hive re-planned after a look, against the plain ways of doing the same work.

Protocol: the invented season in a temporary folder; one hive is answered once to warm
everything, then a look is written and the hive answered again (assimilated from its
first entry, all plans compared to the day the cluster forms). The baseline is the same
member-days stepped in NumPy, timed on a slice of days in the same run and scaled.
"""

from __future__ import annotations

import json
import tempfile
import time
import uuid
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from benchmarks.kernel import numpy_seconds
from tideover import demo
from tideover.desk import Desk
from tideover.records import Entry, bring, open_books

ODD = {"seams": (1.0,), "outer_pollen": "full side", "brood_combs": 9.0, "capped_quarters": 8.0, "eggs": "yes"}
"""A look that fits no hive here: it is flagged, and both answers are worked out."""
HIVES = ("quarry-01", "mill-race-08", "long-fallow-07")


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        season = demo.make(Path(folder) / "season")
        books = open_books(Path(folder) / "books.db")
        bring(books, sorted(season.glob("*.csv")))
        books.put_settings(json.loads((season / "settings.json").read_text(encoding="utf-8")))
        desk = Desk(books)
        began = time.perf_counter()
        desk.calls()
        whole = time.perf_counter() - began
        for hive in HIVES:
            at = datetime.combine(desk.today() + timedelta(days=0), datetime.min.time(), ZoneInfo("America/Phoenix"))
            last = books.entries(kind="look", hive=hive)[-1]
            for case, values in (("usual", dict(last.values)), ("odd, flagged", ODD)):
                look = Entry(
                    str(uuid.uuid4()), "look", last.yard, hive, at + timedelta(hours=9), "K", "bench", "metric", values
                )
                began = time.perf_counter()
                desk.enter(look)
                rows.append({"case": f"{case} look at {hive} to new call", "seconds": time.perf_counter() - began})
        books.close()
    per_hive = whole / 26
    # Member-days of one answer: a season of 130 days, a 60-day runway, 20 plans to the cluster date.
    member_days = 600 * (130 + 60) + 400 * 21 * 97
    numpy_s = numpy_seconds(1000, 20) / (1000 * 20) * member_days
    usual = [r["seconds"] for r in rows if r["case"].startswith("usual")]
    mean = sum(usual) / len(usual)
    rows.append({"case": "26 hives of the invented season, each", "seconds": per_hive})
    rows.append({"case": "the same member-days in NumPy alone", "seconds": numpy_s})
    return {"rows": rows, "ratios": {"numpy member-days alone to a whole new call": numpy_s / mean}}
