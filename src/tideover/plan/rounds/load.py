"""What goes into the vehicle for a day: feed by hive, the rest by what the calls and the day ask for.

Weights, rooms and densities are the figures book's (rows ``rounds.*``, mostly our assumptions).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import ceil
from typing import Final

from tideover.figures import book
from tideover.plan.call import Call
from tideover.plan.rounds.work import Job

_SHELF: Final = book()
PATTY_KG_L: Final = _SHELF.value("freezing.patty_density_kg_m3") / 1000.0
PACKED: Final = _SHELF.value("rounds.packed")
"""Room of pieces in a cold box or freezer over their own."""
SUGAR_KG_L: Final = _SHELF.value("rounds.sugar_kg_l")
WATER_PER_HOUR_L: Final = _SHELF.value("rounds.work_water_l_h")
"""Drinking water for one at work in heat."""
BEE_WATER_L: Final = _SHELF.value("rounds.bee_water_l")
"""Water put out at a hive that is to have some, in a vessel with footing (the lookout says more)."""
_BOX, _SMOKER, _FIRE, _COLD_BOX = (
    (_SHELF.value(f"rounds.{thing}_kg"), _SHELF.value(f"rounds.{thing}_l"))
    for thing in ("box", "smoker", "fire", "cold_box")
)
"""Weight [kg] and room [l] of each."""
SICK: Final = frozenset({"brood-disease"})
ROBBED: Final = frozenset({"robbing", "robbing-risk"})


@dataclass(frozen=True)
class Item:
    """One thing to load: amount in ``unit`` ('g', 'kg', 'l' or '' for pieces), why, weight [kg] and room [l]."""

    what: str
    amount: float
    unit: str
    why: str = ""
    weight_kg: float = 0.0
    room_l: float = 0.0


def weight_and_room(jobs: Iterable[Job]) -> tuple[float, float]:
    """Weight [kg] and room [l] of the feed and boxes that jobs take out; what every day carries is left out."""
    kg = room = 0.0
    for j in jobs:
        kg += j.load_g / 1000.0
        room += frozen_l(j.load_g)
        if j.action == "give sugar":
            kg += j.grams / 1000.0
            room += j.grams / 1000.0 / SUGAR_KG_L
        elif j.action == "give water":
            kg += BEE_WATER_L
            room += BEE_WATER_L
        elif j.action == "unite":
            kg, room = kg + _BOX[0], room + _BOX[1]
    return kg, room


def frozen_l(grams: float) -> float:
    """Room that pieces of so many grams take in a freezer, bags counted [l]."""
    return grams / 1000.0 / PATTY_KG_L * PACKED


def items(
    yards: Sequence[tuple[str, Sequence[Job]]], calls: Mapping[str, Call], banned: frozenset[str], hours: float
) -> list[Item]:
    """The load of one day.

    Parameters: yards: name and jobs of each stop; calls: by hive, for their gates; banned: names of yards under
    a fire ban; hours: out of the house [h].
    """
    jobs = [j for _, mine in yards for j in mine]
    codes = {j.hive: {g.code for g in calls[j.hive].gates} for j in jobs if j.hive in calls}
    out: list[Item] = []
    patty = sum(j.load_g for j in jobs)
    pieces = sum(1 for j in jobs if j.load_g > 0)
    if patty > 0:
        why = f"{pieces} hive{'s' if pieces != 1 else ''}; what may be wanted after a look is counted in"
        out.append(Item("patty", patty, "g", why, patty / 1000.0, frozen_l(patty)))
    sugar = sum(j.grams for j in jobs if j.action == "give sugar") / 1000.0
    if sugar > 0:
        out.append(Item("sugar", sugar, "kg", "", sugar, sugar / SUGAR_KG_L))
    thirsty = sum(1 for j in jobs if j.action == "give water")
    if thirsty:
        litres = BEE_WATER_L * thirsty
        out.append(Item("water for bees", litres, "l", "with stones or floats to stand on", litres, litres))
    off = sum(1 for j in jobs if j.action == "take off" or (j.action == "lay on" and "piece on it" in j.why))
    if off or patty > 0:
        out.append(Item("cold box", 1, "", "for pieces out and rests back", *_COLD_BOX))
    if off:
        out.append(Item("bag with the hive's label", off, "", "each rest goes back to its own hive, or is thrown away"))
    robbed = sorted(h for h, c in codes.items() if c & ROBBED)
    if robbed:
        out.append(Item("entrance reducer", len(robbed), "", ", ".join(robbed)))
    raided = sorted(h for h, c in codes.items() if "robbing" in c)
    if raided:
        out.append(Item("robbing cloth", len(raided), "", ", ".join(raided)))
    unite = [j.hive for j in jobs if j.action == "unite"]
    if unite:
        out.append(Item("spare box", len(unite), "", ", ".join(unite), len(unite) * _BOX[0], len(unite) * _BOX[1]))
    sick = sorted(h for h, c in codes.items() if c & SICK)
    if sick:
        out.append(Item("clean gloves and tool", len(sick), "", f"see these last: {', '.join(sick)}"))
    lit = [name for name, mine in yards if name not in banned and any(j.action != "give water" for j in mine)]
    dark = [name for name, _ in yards if name in banned]
    if lit:
        out.append(Item("smoker fuel", len(lit), "", "one filling a yard", *_SMOKER))
        out.append(Item("water and extinguisher beside the smoker", 1, "", "bare ground, metal bucket", *_FIRE))
    if dark:
        out.append(Item("water mist instead of smoke", len(dark), "", f"fire ban: no smoker at {', '.join(dark)}"))
    litres = float(ceil(hours * WATER_PER_HOUR_L))
    out.append(Item("drinking water", litres, "l", "a litre (a quart) an hour for each who works", litres, litres))
    return out
