"""From what is there to what a keeper writes: words, halves and quarters, with honest error.

Every word is drawn by blurring the true amount and cutting it at fixed marks; every
area is rounded as one rounds in a bee suit; the keeper J counts seams high. Fields
are left out now and then, because that is how books look.
"""

from __future__ import annotations

import math
import random
from collections.abc import Sequence
from typing import Final

from tideover.demo.colony import Colony
from tideover.demo.visits import Depth
from tideover.demo.weather import Day

BEES_PER_SEAM: Final = {"deep": 1750.0, "medium": 1150.0}
SIDE_CELLS: Final = {"deep": 3450.0, "medium": 2250.0}
HIGH_COUNTER: Final = {"J": 1.15, "K": 1.0}
"""Whose seams come out how much too high."""


def blurred(rng: random.Random, amount: float, by: float) -> float:
    """Return ``amount`` times a log-normal blur of spread ``by``."""
    return amount * math.exp(rng.gauss(0.0, by))


def word(amount: float, marks: Sequence[float], words: Sequence[str]) -> str:
    """Return the word for ``amount``: ``marks`` part ``words`` in rising order."""
    return words[sum(amount >= m for m in marks)]


def rounded(value: float, step: float) -> str:
    """Return ``value`` rounded to ``step``, written without needless noughts."""
    return f"{round(value / step) * step:g}"


def boxes_of(text: str) -> list[tuple[str, int]]:
    """Return (frame, number) of each box of a hive written like ``deep x10 + medium x10``."""
    return [(part.split(" x")[0].strip(), int(part.split(" x")[1])) for part in text.split("+")]


def seams(rng: random.Random, c: Colony, boxes: str, who: str, hour: float, day: Day) -> str:
    """Return seams of bees per box, bottom first, as this keeper would count them."""
    at_home = 0.93 - 0.14 * max(0.0, min(1.0, (day.shade_c(hour) - 14.0) / 10.0))
    bees = blurred(rng, c.adults * at_home * HIGH_COUNTER[who], 0.11)
    shelves = boxes_of(boxes)
    room = [BEES_PER_SEAM[frame] * frames for frame, frames in shelves]
    share = [0.66, 0.34] if len(shelves) == 2 else [1.0]
    if len(shelves) == 2 and bees < 0.35 * room[0]:
        share = [1.0, 0.0]
    filled = [min(room[i], bees * share[i]) for i in range(len(shelves))]
    spare = bees - sum(filled)
    for i in range(len(shelves)):
        more = min(room[i] - filled[i], max(0.0, spare))
        filled[i] += more
        spare -= more
    step = 0.25 if sum(filled) < 6000 else 0.5
    return "+".join(rounded(filled[i] / BEES_PER_SEAM[frame], step) for i, (frame, _) in enumerate(shelves))


def patty(rng: random.Random, c: Colony) -> dict[str, str]:
    """Return what is seen of the last piece laid on; nothing if none was."""
    if not c.pieces:
        return {}
    piece = c.pieces[-1]
    left = 4.0 * piece.left_g / piece.weight_g
    seen = 0.0 if left < 0.08 else min(4.0, max(0.25, left + rng.gauss(0.0, 0.12)))
    out = {"patty_left": rounded(seen, 0.25)}
    hauled = piece.hauled * piece.days / piece.weight_g
    out["patty_debris"] = word(blurred(rng, hauled + 0.02, 0.4), (0.05, 0.25), ("none", "some", "much"))
    if seen > 0:
        out["patty_texture"] = word(blurred(rng, piece.hardness + 0.02, 0.25), (0.30, 0.72), ("soft", "firm", "hard"))
        out["patty_touch"] = ("yes" if piece.touches else "no") if rng.random() < 0.85 else "not looked"
        out["beetle_larvae"] = "no" if rng.random() < 0.85 else "not looked"
    return out


def lid(rng: random.Random, c: Colony, boxes: str, who: str, hour: float, day: Day, beetles: str) -> dict[str, str]:
    """Return a look under the lid: seams, heft, patty, beetles."""
    out = {
        "shade_temp_f": f"{day.shade_c(hour) * 1.8 + 32 + rng.gauss(0, 1.5):.0f}",
        "seams": seams(rng, c, boxes, who, hour, day),
        "heft": word(blurred(rng, c.honey_kg, 0.22), (3.0, 8.0, 18.0), ("very light", "light", "fair", "heavy")),
    }
    out.update(patty(rng, c))
    crawling = {"present": 1.1, "unknown": 0.25, "absent": 0.0}[beetles] * 12000.0 / (c.adults + 3000.0)
    out["beetles"] = word(blurred(rng, crawling + 1e-6, 0.8), (0.7, 2.6), ("none", "few", "many"))
    return out


def combs(rng: random.Random, c: Colony) -> dict[str, str]:
    """Return a look at one outer and one brood comb."""
    outer = blurred(rng, 0.60 * c.pollen_g + 1.0, 0.30)
    band = c.pollen_g / (0.018 * c.open + 0.0004 * c.adults + 8.0)
    out = {
        "outer_pollen": word(
            blurred(rng, outer / 2.5, 0.25),
            (3.0, 18.0, 48.0, 100.0, 210.0),
            ("none", "scattered", "thin band", "broad band", "half side", "full side"),
        ),
        # Half a deep side is 210 g of pollen if every cell is full; 120 g is 57 % of it, as gaps and honey leave.
        "outer_half_sides": rounded(min(16.0, outer / 120.0), 0.5),
        "nest_pollen": word(
            blurred(rng, band, 0.35), (0.25, 1.2, 4.0), ("none", "scattered", "thin band", "broad band")
        ),
    }
    brood = c.eggs + c.open + c.capped
    n = max(0.5, rounded_up(blurred(rng, brood, 0.08) / (2 * SIDE_CELLS["deep"] * 0.52), 0.5)) if brood > 150 else 0.0
    out["brood_combs"] = f"{n:g}"
    if n > 0:
        here = 8.0 / (2 * SIDE_CELLS["deep"]) * 1.25 / max(n, 1.0)
        closed = min(7.5, blurred(rng, c.capped * here, 0.15))
        out["capped_quarters"] = rounded(closed, 0.5)
        out["open_quarters"] = rounded(min(8.0 - round(closed * 2) / 2, blurred(rng, c.open * here, 0.2)), 0.5)
    found = c.eggs > 60 and rng.random() < 0.95
    out["eggs"] = "not looked" if rng.random() < 0.04 else ("yes" if found else "no")
    young = sum(c.brood[3:6])
    if young > 60:
        wet = c.care + rng.gauss(0.0, 0.08)
        out["jelly"] = word(wet, (0.52, 0.82), ("dry", "damp", "floating"))
        if rng.random() < 0.3:
            out.update(jelly_counts(rng, wet))
    out["honey_combs"] = rounded(blurred(rng, c.honey_kg / 2.9, 0.15), 0.5 if c.honey_kg > 6 else 0.25)
    sick = max(0.0, c.mites - 0.03) * 8.0
    for name, seen, looked in (
        ("queen_seen", 0.35 if c.queen == "laying" else 0.0, 0.7),
        ("queen_cells", 0.6 if c.queen == "virgin" else 0.0, 0.75),
        ("many_eggs", 1.0 if c.eggs_many else 0.0, 0.7),
        ("drone_in_worker", 1.0 if c.eggs_many else 0.0, 0.8),
        ("brood_signs", 0.0, 0.8),
        ("deformed_wings", sick, 0.8),
    ):
        out[name] = "yes" if rng.random() < seen else ("no" if rng.random() < looked else "not looked")
    return out


def rounded_up(value: float, step: float) -> float:
    """Return ``value`` rounded up to a whole number of steps."""
    return math.ceil(value / step) * step


def jelly_counts(rng: random.Random, wet: float) -> dict[str, str]:
    """Return thirty young larvae sorted by eye into floating, damp and dry."""
    names = ("jelly_floating", "jelly_damp", "jelly_dry")
    tally = dict.fromkeys(names, 0)
    for _ in range(30):
        tally[word(-(wet + rng.gauss(0.0, 0.14)), (-0.82, -0.52), names)] += 1
    return {name: str(n) for name, n in tally.items()}


def pollen_coming(rng: random.Random, c: Colony, hour: float) -> str:
    """Return pollen on the legs of returning bees, at a glance: best before mid-morning."""
    glance = blurred(rng, c.income_g * 1e4 / (c.adults + 2000.0), 0.35) * (1.0 if 6.0 <= hour <= 10.5 else 0.5)
    return word(glance, (4.0, 32.0), ("none", "some", "plenty"))


def look(
    rng: random.Random, c: Colony, boxes: str, who: str, hour: float, day: Day, beetles: str, depth: Depth
) -> dict[str, str]:
    """Return one whole look as the columns of its sheet, with some fields left out."""
    out = lid(rng, c, boxes, who, hour, day, beetles)
    if depth == "combs":
        out.update(combs(rng, c))
    if rng.random() < 0.75:
        out["pollen_coming"] = pollen_coming(rng, c, hour)
    if c.adults > 0 and rng.random() < 0.05:
        out["hive_weight_lb"] = f"{(22.0 + c.honey_kg + c.adults * 1.1e-4 + 0.5 * c.pollen_g / 1000) / 0.45359237:.0f}"
    for name in list(out):
        if name not in ("seams", "shade_temp_f") and rng.random() < 0.06:
            del out[name]
    return out
