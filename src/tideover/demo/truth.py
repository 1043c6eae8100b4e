"""The truth kept beside the books: what was really there, week by week."""

from __future__ import annotations

from datetime import date, timedelta

from tideover.demo.keeping import World
from tideover.demo.land import MOWN
from tideover.demo.place import LAST_DAY, ROUND_DAY, SEASON_FROM

Table = dict[str, object]


def weeks() -> list[date]:
    """Return the Saturdays from the first day of the season to the day of the round."""
    return [SEASON_FROM + timedelta(days=7 * n) for n in range((ROUND_DAY - SEASON_FROM).days // 7 + 1)]


def truth(world: World, care: dict[str, dict[str, str]]) -> Table:
    """Return the truth as plain tables: per hive states and story, per yard land, odd entries.

    Stocks stand for the morning of each week's day; ``patty_eaten_g`` and
    ``pollen_offer`` are of the seven days before it.
    """
    days = weeks()
    hives: Table = {}
    for hive, life in world.lives.items():
        at = [life.on(day) for day in days]
        eaten = [c.eaten_g for c in at]
        hives[hive] = {
            "story": life.story.really,
            "written_for": life.story.shows,
            "adults": [round(c.adults) for c in at],
            "eggs": [round(c.eggs) for c in at],
            "open": [round(c.open) for c in at],
            "capped": [round(c.capped) for c in at],
            "pollen_g": [round(c.pollen_g, 1) for c in at],
            "honey_kg": [round(c.honey_kg, 2) for c in at],
            "patty_on_g": [round(c.patty_g, 1) for c in at],
            "patty_eaten_g": [round(b - a, 1) for a, b in zip([0.0, *eaten], eaten, strict=False)],
            "mites_per_100": [round(100.0 * c.mites, 2) for c in at],
            "queen": [c.queen for c in at],
            "unwritten": [
                {"day": h.day.isoformat(), "what": h.what, "size": h.size}
                for h in life.story.happens
                if not h.wrote and h.what != "nothing"
            ],
        }
    yards: Table = {}
    for yard, land in world.land.items():
        means = []
        for day in days:
            past = [land[day - timedelta(days=n)].pollen for n in range(1, 8)]
            means.append(round(sum(past) / len(past), 4))
        mown = {"day": MOWN[1].isoformat(), "what": "the field beside it mown", "size": MOWN[2]}
        yards[yard] = {"pollen_offer": means, "unwritten": [mown] if yard == MOWN[0] else []}
    return {
        "about": "What was really there in the invented season. Nothing in the tool reads this to make a call.",
        "seed": world.seed,
        "weeks": [day.isoformat() for day in days],
        "last_day": LAST_DAY.isoformat(),
        "round_day": ROUND_DAY.isoformat(),
        "hives": hives,
        "yards": yards,
        "entries": care,
    }
