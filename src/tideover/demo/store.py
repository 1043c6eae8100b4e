"""The keepers' store of patties: batches, piece labels, the cold box, what was thrown away and why."""

from __future__ import annotations

import json
import math
import random
from datetime import date, datetime, timedelta
from typing import Final

from tideover.demo.keeping import World
from tideover.demo.place import moment
from tideover.demo.sheets import Sheets
from tideover.demo.stories import d

HOME: Final = "quarry"
"""The store and the freezer stand at the Quarry."""
FREEZER_F: Final = 0.0
BATCHES: Final[tuple[tuple[str, date, str, float, float], ...]] = (
    ("B1", d(6, 28), "mixed", 16.8, 2.05),
    ("B2", d(7, 10), "mixed", 17.2, 2.10),
    ("B3", d(7, 24), "bought", 17.0, 2.60),
)
"""Name, day, origin, protein [%] and cost [USD a pound]; each serves from its day until the next."""
OLD: Final = ("A7", d(3, 8), 6.0)
"""A bought batch that was still there from the autumn: name, day written down, pounds."""
STRAY: Final = ("quarry-02", "mill-race-09", d(8, 10), 0.15)
"""Part of a leftover that went on another hive the day after its own hive was found sick: from, to, day, pounds."""

FORGOTTEN: Final = ("quarry-08", d(8, 9).isoformat())
"""A rest that came off this hive that day, and nobody wrote where it went."""
PARTS_LB: Final = (
    ("soy flour, defatted", 3.2), ("yeast, brewer's, dried", 1.6), ("pollen, bee-collected", 0.6),
    ("white sugar", 7.0), ("water", 2.6),
)  # fmt: skip
RECIPE: Final = {
    "name": "House patty",
    "aim": "as weighed",
    "ingredients": [
        {"name": name, "amount_lb": pounds} | ({"confirmed": True} if name.startswith("pollen") else {})
        for name, pounds in PARTS_LB
    ],
}
"""What the mixed batches were made of, as the kitchen takes it; the pollen is from their own healthy hives."""


def write_store(world: World, sheets: Sheets) -> None:
    """Label every piece laid on, and write batches, freezings and discards around what the hives got."""
    used = _label(sheets)
    _batches(sheets, used)
    _leftovers(world, sheets)
    _stray(sheets)
    _old_batch(sheets)


def _pounds(row: dict[str, str]) -> float:
    return float(row.get("weight_lb") or 0.0)


def _label(sheets: Sheets) -> dict[str, tuple[int, float]]:
    """Give each laying-on its batch and piece; return pieces used and pounds of each batch."""
    used = {name: (0, 0.0) for name, *_ in BATCHES}
    for row in sorted(sheets.rows["layings_on"], key=lambda r: (r["at"], r["hive"])):
        day = date.fromisoformat(row["at"][:10])
        name = [b[0] for b in BATCHES if b[1] <= day][-1]
        n, lb = used[name]
        used[name] = (n + 1, lb + _pounds(row))
        row["batch"], row["piece"] = name, f"{name}-{n + 1}"
    return used


def _batches(sheets: Sheets, used: dict[str, tuple[int, float]]) -> None:
    for name, day, origin, protein, cost_lb in BATCHES:
        n, lb = used[name]
        pounds = math.ceil((lb + 0.4) * 2.0) / 2.0
        values = {
            "batch": name,
            "weight_lb": f"{pounds:g}",
            "origin": origin,
            "protein": f"{protein:g}",
            "cost": f"{pounds * cost_lb:.2f}",
            "pieces": str(n + 1),
            "keeps_until": (day + timedelta(days=90)).isoformat(),
        }
        if origin == "mixed":
            values |= {
                "counted_protein": f"{protein - 2.3:.1f}",
                "pollen_share": "4",
                "sugar_share": "47",
                "water_share": "18",
                "worth": "350",
                "worth_low": "60",
                "worth_high": "720",
                "hard_after": "16",
                "thickness_in": "0.5",
                "recipe": json.dumps(RECIPE, sort_keys=True),
            }
        sheets.add("batch", moment(day, 17.0), "K", values, yard=HOME, tag=name)
    rest = math.ceil((used["B3"][1] + 0.4) * 2.0) / 2.0 - used["B3"][1]
    left = {"batch": "B3", "weight_lb": f"{rest:.2f}"}
    sheets.add("stock count", moment(d(8, 13), 18.0), "K", left, yard=HOME, tag="B3")
    cold = {**left, "freezer_temp_f": "5", "stack": "5", "thickness_in": "0.5"}
    sheets.add("cold box", moment(d(8, 15), 16.0), "K", cold, yard=HOME, tag="B3")


def _leftovers(world: World, sheets: Sheets) -> None:
    """Every rest of a piece goes into the freezer that noon, or away when it is hard or alive."""
    laid = sorted(sheets.rows["layings_on"], key=lambda r: r["at"])
    for row in list(sheets.rows["takings_off"]):
        on = [r for r in laid if r["hive"] == row["hive"] and r["at"] < row["at"]]
        row["piece"] = on[-1]["piece"]
        rng = random.Random(f"{world.seed}/cold/{row['hive']}/{row['at']}")
        lb = _pounds(row)
        if lb <= 0.0:
            continue
        noon = moment(date.fromisoformat(row["at"][:10]), 13.0)
        why = "beetle larvae" if row.get("beetle_larvae") == "yes" else "hard" if row["patty_texture"] == "hard" else ""
        if why:
            row["goes"] = "thrown away"
            gone = {"piece": row["piece"], "weight_lb": f"{lb:.2f}", "why": why}
            sheets.add("discarded", noon, row["who"], gone, hive=row["hive"])
            continue
        row["goes"] = "cold box"
        if (row["hive"], row["at"][:10]) == FORGOTTEN:
            continue
        cold = {
            "piece": row["piece"],
            "weight_lb": f"{lb:.2f}",
            "freezer_temp_f": f"{FREEZER_F + rng.choice((-2, 0, 0, 2)):g}",
            "stack": str(rng.choice((1, 1, 1, 2, 3))),
        }
        if rng.random() < 0.3:
            cold["thickness_in"] = "0.5"
        sheets.add("cold box", noon, row["who"], cold, hive=row["hive"])


def _stray(sheets: Sheets) -> None:
    """Part of the sick hive's leftover was already on its way to another hive; the rest was thrown out that evening."""
    hive, other, day, lb = STRAY
    frozen = next((r for r in reversed(sheets.rows["cold_box"]) if r["hive"] == hive), None)
    if frozen is None:
        return
    piece, all_lb = frozen["piece"], _pounds(frozen)
    lb = min(lb, round(all_lb / 2.0, 2))
    values = {"weight_lb": f"{lb:.2f}", "place": "top bars over brood", "batch": piece.split("-")[0], "piece": piece}
    sheets.add("laid on", moment(day, 8.9), "J", values, hive=other)
    thrown = {"piece": piece, "weight_lb": f"{all_lb - lb:.2f}", "why": "suspect hive"}
    sheets.add("discarded", moment(day, 19.0), "K", thrown, hive=hive, tag="suspect")


def _old_batch(sheets: Sheets) -> None:
    """Six pounds of last autumn's: frozen, thawed once, part given away, the rest thrown out bit by bit."""
    name, day, lb = OLD
    at = moment(day, 10.0)
    values = {"batch": name, "weight_lb": f"{lb:g}", "origin": "bought", "cost": "15", "protein": "15"}
    sheets.add("batch", at, "K", values, yard=HOME, tag=name)
    cold = {"batch": name, "weight_lb": f"{lb:g}", "freezer_temp_f": f"{FREEZER_F:g}", "stack": "6"}
    sheets.add("cold box", at + timedelta(minutes=20), "K", cold, yard=HOME)
    bits: tuple[tuple[date, str, str], ...] = (
        (d(4, 20), "2", "given away"), (d(5, 30), "1.5", "thawed"), (d(6, 12), "1", "mould"),
        (d(6, 20), "0.5", "other"), (d(6, 27), "1", "too old"),
    )  # fmt: skip
    for when, pounds, why in bits:
        gone: datetime = moment(when, 18.0)
        sheets.add("discarded", gone, "J", {"batch": name, "weight_lb": pounds, "why": why}, yard=HOME, tag=why)
