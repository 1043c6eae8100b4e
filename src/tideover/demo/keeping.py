"""What the two keepers wrote down: looks, patties, counts, washes, notes and weather."""

from __future__ import annotations

import math
import random
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from tideover.demo.land import Offer
from tideover.demo.place import SEASON_FROM, YARDS, moment
from tideover.demo.season import POUND_G, Life, yard_of
from tideover.demo.sees import look, rounded, word
from tideover.demo.sheets import Sheets
from tideover.demo.stories import Laid, Story, d
from tideover.demo.visits import VISITS, Opened, opened
from tideover.demo.weather import Day

BEETLES: Final = {yard.id: yard.beetles for yard in YARDS}
MIX: Final = {"protein": "17", "pollen_share": "4"}
"""The mix of every patty of the season: home made, protein and pollen in percent."""


@dataclass(frozen=True)
class World:
    """Everything that is true, by yard and by hive."""

    seed: int
    weather: dict[str, dict[date, Day]]
    land: dict[str, dict[date, Offer]]
    lives: dict[str, Life]


def boxes_on(story: Story, day: date) -> str:
    """Return the boxes on the hive on ``day``: those it began with, changed by its story."""
    boxes = [b.strip() for b in story.boxes.split("+")]
    for h in story.happens:
        if h.day <= day and h.wrote == "box added":
            boxes.append(h.fields["box"])
        if h.day <= day and h.wrote == "box removed":
            boxes.remove(h.fields["box"])
    return " + ".join(boxes)


def write_looks(world: World, sheets: Sheets) -> None:
    """Write every look of every visit, with what was laid on and taken off at it."""
    for visit in VISITS:
        for hive in opened(world.seed, visit):
            _one_hive(world, sheets, hive)


def _one_hive(world: World, sheets: Sheets, o: Opened) -> None:
    story, visit = o.story, o.visit
    rng = random.Random(f"{world.seed}/look/{story.hive}/{visit.day}")
    c = world.lives[story.hive].on(visit.day)
    sky = world.weather[visit.yard][visit.day]
    at = moment(visit.day, o.hour)
    values = look(rng, c, boxes_on(story, visit.day), visit.who, o.hour, sky, BEETLES[visit.yard], o.depth)
    for name, told in story.says.get(visit.day, {}).items():
        values.pop(name, None)
        if told:
            values[name] = told
    _tidy(values)
    sheets.add("look", at, visit.who, values, hive=story.hive)


def _tidy(values: dict[str, str]) -> None:
    """Make one look agree with itself: what is told may contradict what was drawn."""
    if values.get("eggs") == "no" and "jelly" not in values:
        values.pop("open_quarters", None)
    if values.get("patty_left", "") == "0":
        for name in ("patty_texture", "patty_touch", "beetle_larvae"):
            values.pop(name, None)


def write_patties(world: World, sheets: Sheets) -> None:
    """Write every laying-on, and a taking-off wherever a piece was taken or found finished."""
    for hive, life in world.lives.items():
        rng = random.Random(f"{world.seed}/patty/{hive}")
        for n, laid in enumerate(life.story.patties):
            after = life.story.patties[n + 1] if n + 1 < len(life.story.patties) else None
            _lay_on(world, sheets, hive, laid, rng)
            off = laid.off or (after.day if after else None)
            if off is not None:
                _take_off(world, sheets, hive, laid, off, rng)


def _visit_moment(world: World, hive: str, day: date) -> tuple[datetime, str]:
    """Return when the hive was worked on ``day`` and by whom: just after its look, else early by K."""
    for visit in VISITS:
        if visit.day == day and visit.yard == yard_of(hive):
            for o in opened(world.seed, visit):
                if o.story.hive == hive:
                    return moment(day, o.hour + 0.04), visit.who
    return moment(day, 6.5), "K"


def _lay_on(world: World, sheets: Sheets, hive: str, laid: Laid, rng: random.Random) -> None:
    values = {"weight_lb": f"{laid.lb * math.exp(rng.gauss(0, 0.03)):.2f}", **MIX, "place": laid.place}
    values["paper_on"] = laid.paper if rng.random() < 0.9 else "not looked"
    at, who = _visit_moment(world, hive, laid.day)
    sheets.add("laid on", at, who, values, hive=hive)


def _take_off(world: World, sheets: Sheets, hive: str, laid: Laid, day: date, rng: random.Random) -> None:
    """Write what was taken off; a piece eaten to the paper is only sometimes worth a line."""
    piece = next(p for p in world.lives[hive].on(day).pieces if p.laid == laid.day)
    left_g = piece.left_g
    if left_g < 5.0 and laid.hauled == 0.0 and rng.random() < 0.5:
        return
    values = {"patty_left": rounded(min(4.0, 4.0 * left_g / (laid.lb * POUND_G)), 0.25)}
    if left_g >= 5.0:
        values["weight_lb"] = f"{left_g * math.exp(rng.gauss(0, 0.05)) / POUND_G:.2f}"
        values["patty_texture"] = word(piece.hardness + rng.gauss(0, 0.06), (0.30, 0.72), ("soft", "firm", "hard"))
        values["beetle_larvae"] = "yes" if laid.larvae else ("no" if rng.random() < 0.8 else "not looked")
    hauled = laid.hauled * (day - laid.day).days / (laid.lb * POUND_G)
    values["patty_debris"] = word(hauled + rng.gauss(0.02, 0.02), (0.05, 0.25), ("none", "some", "much"))
    at, who = _visit_moment(world, hive, day)
    sheets.add("taken off", at - timedelta(minutes=1), who, values, hive=hive)


COUNTS: Final[tuple[tuple[str, date, str, float], ...]] = (
    ("quarry", d(4, 26), "K", 9.2), ("quarry", d(5, 17), "J", 8.4), ("quarry", d(6, 21), "K", 7.3),
    ("quarry", d(7, 12), "J", 7.1), ("quarry", d(7, 26), "J", 7.5), ("quarry", d(8, 9), "K", 7.6),
    ("quarry", d(8, 13), "K", 18.0),
    ("mill-race", d(4, 27), "J", 9.1), ("mill-race", d(5, 18), "K", 8.6), ("mill-race", d(6, 22), "K", 7.7),
    ("mill-race", d(7, 12), "J", 7.6), ("mill-race", d(7, 27), "J", 8.1), ("mill-race", d(8, 10), "K", 8.3),
    ("mill-race", d(8, 14), "J", 7.4),
    ("long-fallow", d(5, 3), "K", 9.3), ("long-fallow", d(5, 24), "J", 8.8), ("long-fallow", d(6, 14), "K", 7.8),
    ("long-fallow", d(7, 13), "J", 7.3), ("long-fallow", d(7, 27), "K", 7.2), ("long-fallow", d(8, 12), "K", 7.5),
    ("long-fallow", d(8, 15), "J", 7.0),
)  # fmt: skip
"""Where, when, by whom and from what hour the entrances were watched, two or three hives each time."""

LOAD_G: Final = 0.014


def _by_hour(hour: float, hot: float) -> float:
    """Return the share of a day's pollen trips per hour at ``hour``: a hump that is earlier on hot days."""
    middle, width = 10.0 - 0.10 * max(0.0, hot - 25.0), 1.9
    return math.exp(-0.5 * ((hour - middle) / width) ** 2) / (width * 2.507)


def write_counts(world: World, sheets: Sheets) -> None:
    """Write the entrance counts: bees coming home in a few minutes, and how many with pollen."""
    for yard, day, who, from_hour in COUNTS:
        rng = random.Random(f"{world.seed}/count/{yard}/{day}")
        hives = [h for h in world.lives if yard_of(h) == yard]
        sky = world.weather[yard][day]
        for i, hive in enumerate(sorted(rng.sample(hives, rng.choice((2, 3, 3))))):
            hour = from_hour + 0.1 * i
            c = world.lives[hive].on(day + timedelta(days=1))
            minutes = rng.choice((1, 2, 2, 3))
            pollen = c.income_g / LOAD_G * _by_hour(hour, sky.temp_max_c) / 60.0 * minutes
            others = c.adults * 0.0016 * minutes * (1.0 if sky.shade_c(hour) < 37 else 0.7)
            loads = _poisson(rng, pollen * math.exp(rng.gauss(0, 0.2)))
            home = loads + _poisson(rng, others * math.exp(rng.gauss(0, 0.2)))
            values = {
                "shade_temp_f": f"{sky.shade_c(hour) * 1.8 + 32 + rng.gauss(0, 1.0):.0f}",
                "minutes": f"{minutes:g}",
                "bees_in": str(home),
                "with_pollen": str(loads),
            }
            sheets.add("entrance count", moment(day, hour), who, values, hive=hive)


def _poisson(rng: random.Random, mean: float) -> int:
    """Return a whole number drawn around ``mean``, as counts scatter."""
    if mean > 40.0:
        return max(0, round(rng.gauss(mean, math.sqrt(mean))))
    edge, n, p = math.exp(-mean), 0, rng.random()
    while p > edge:
        n, p = n + 1, p * rng.random()
    return n


def write_bloom(world: World, sheets: Sheets) -> None:
    """Write what was in flower: at about every other visit one note overall, and the chief plant."""
    for visit in VISITS:
        rng = random.Random(f"{world.seed}/bloom/{visit.yard}/{visit.day}")
        offer = world.land[visit.yard][visit.day]
        if rng.random() > 0.62 and visit.day < d(7, 25):
            continue
        seen = sum(offer.plants.values()) * math.exp(rng.gauss(0, 0.3))
        at = moment(visit.day, visit.from_hour - 0.1)
        sheets.add("bloom note", at, visit.who, {"bloom": word(seen, BLOOM[0], BLOOM[1])}, yard=visit.yard)
        plant, height = max(offer.plants.items(), key=lambda item: item[1])
        if height > 0.1:
            note = {"bloom": word(height * math.exp(rng.gauss(0, 0.3)), BLOOM[0], BLOOM[1]), "plant": plant}
            sheets.add("bloom note", at, visit.who, note, yard=visit.yard, tag=plant)


BLOOM: Final = ((0.05, 0.22, 0.7), ("none", "few", "some", "abundant"))


WASHED: Final = {
    d(5, 17): ("quarry-01", "quarry-02", "quarry-04", "quarry-07", "quarry-08", "quarry-10"),
    d(5, 18): ("mill-race-01", "mill-race-02", "mill-race-04", "mill-race-08"),
    d(5, 24): ("long-fallow-02", "long-fallow-03", "long-fallow-06"),
    d(7, 26): ("quarry-01", "quarry-02", "quarry-03", "quarry-05", "quarry-06", "quarry-09", "quarry-10"),
    d(7, 27): ("mill-race-01", "mill-race-02", "mill-race-04", "mill-race-06", "mill-race-08", "mill-race-09",
               "long-fallow-01", "long-fallow-02", "long-fallow-04", "long-fallow-07"),
    d(8, 9): ("quarry-02", "quarry-04", "quarry-08"),
    d(8, 10): ("mill-race-01", "mill-race-07"),
    d(8, 12): ("long-fallow-02", "long-fallow-06"),
}  # fmt: skip
"""Which hives were washed for mites, and when. Long Fallow 5 never was."""


def write_washes(world: World, sheets: Sheets) -> None:
    """Write the mite washes; some samples were counted, most taken as half a cup."""
    for day, hives in WASHED.items():
        for i, hive in enumerate(hives):
            rng = random.Random(f"{world.seed}/wash/{hive}/{day}")
            c = world.lives[hive].on(day)
            bees = rng.randint(240, 345)
            values = {"mites": str(_poisson(rng, bees * c.mites * 0.93))}
            if rng.random() < 0.4:
                values["bees"] = str(bees)
            sheets.add("mite wash", moment(day, 9.5 + 0.1 * i), "K" if i % 2 else "J", values, hive=hive)


READ_AT: Final = 16.5
"""When the day's extremes are read: after the hottest hour, and still the same day in UTC."""


def write_weather(world: World, sheets: Sheets) -> None:
    """Write every day of weather at every yard, the years before the season included."""
    for yard, days in world.weather.items():
        for sky in days.values():
            values = {
                "temp_max_c": f"{sky.temp_max_c:.1f}",
                "temp_min_c": f"{sky.temp_min_c:.1f}",
                "rain_mm": f"{sky.rain_mm:.1f}",
                "wind_ms": f"{sky.wind_ms:.1f}",
                "humidity": f"{sky.humidity:.0f}",
            }
            if sky.day >= SEASON_FROM:
                _gap(values, f"{world.seed}/gap/{yard}/{sky.day}")
            sheets.add("weather day", moment(sky.day, READ_AT), "", values, yard=yard)


def _gap(values: dict[str, str], told: str) -> None:
    """Leave out wind or humidity on a few days, as instruments do."""
    rng = random.Random(told)
    for name in ("wind_ms", "humidity"):
        if rng.random() < 0.015:
            del values[name]
