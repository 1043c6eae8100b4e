"""A made-up hive about which nothing is to be said, and ways to change one thing about it."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from tideover.evidence.seen import HiveCase, Place, Seen, Value
from tideover.plan.call import Gate, Interval, Moment, Runway
from tideover.plan.gates import HiveOutlook, gates
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation, situation

TODAY = date(2031, 7, 20)
PLACE = Place("quarry", 37.0, elevation_m=300.0, beetles="present", beetles_reportable="absent")

CLEAN_LOOK: dict[str, Value] = {
    "seams": (8.0, 5.0),
    "heft": "fair",
    "nest_pollen": "thin band",
    "outer_pollen": "scattered",
    "capped_quarters": 4.0,
    "open_quarters": 2.0,
    "eggs": "yes",
    "jelly": "damp",
    "brood_signs": "no",
    "deformed_wings": "no",
    "many_eggs": "no",
    "drone_in_worker": "no",
    "beetles": "none",
    "beetle_larvae": "no",
    "pollen_coming": "some",
}

QUIET = HiveOutlook(
    adults=Interval(24000, 20000, 28000),
    honey_kg=Interval(15, 12, 18),
    pollen_g=Interval(400, 250, 600),
    brood=Interval(15000, 11000, 19000),
    index=Interval(0.2, 0.1, 0.4),
    runway=Runway(12, 7, 20, 0.95),
    p_queenless=0.02,
    honey_days=Interval(60, 40, 90),
    p_pollen_back=0.5,
    p_dearth=0.3,
    temp_max_c=30.0,
    heat_index_f=84.0,
    humidity=35.0,
    wind_ms=2.0,
    rain_mm=0.0,
    drought_kbdi=300.0,
    cluster=date(2031, 11, 1),
)
"""A forecast that by itself raises no gate."""


def days_ago(n: int) -> date:
    """The day n days before the visit."""
    return TODAY - timedelta(days=n)


def seen(kind: str, ago: int = 0, hour: float = 9.0, id: str = "", **values: Value) -> Seen:
    """An entry n days before the visit."""
    return Seen(id or f"{kind}-{ago}-{hour}-{'-'.join(sorted(values))}", kind, days_ago(ago), hour, values)


def look(ago: int = 2, drop: tuple[str, ...] = (), **changes: Value) -> Seen:
    """The clean look with fields changed or left out."""
    return seen("look", ago, id=f"look-{ago}", **{k: v for k, v in (CLEAN_LOOK | changes).items() if k not in drop})


def event(what: str, ago: int = 0, hour: float = 9.0, **values: Value) -> Seen:
    """An event n days before the visit."""
    return seen("event", ago, hour, id=f"{what}-{ago}-{hour}", event=what, **values)


def wash(mites: int = 1, bees: int | None = 300, ago: int = 5) -> Seen:
    """A mite wash n days before the visit."""
    return seen("mite wash", ago, **({"mites": mites} | ({} if bees is None else {"bees": bees})))


def laid(ago: int = 3, weight: float = 226.8, hour: float = 8.0) -> Seen:
    """A piece laid on n days before the visit."""
    return seen("laid on", ago, hour, id=f"laid-{ago}", weight=weight)


# Fed and wiped off long ago, so that it is not the hive's first feed.
FED_BEFORE = (laid(40), seen("taken off", 34, patty_left=0.0))


def state(*entries: Seen, yard: tuple[Seen, ...] = (), place: Place = PLACE, fed: bool = True) -> Situation:
    """A situation from entries, with an earlier feed unless told otherwise."""
    case = HiveCase("quarry-03", place, seen=(FED_BEFORE if fed else ()) + entries)
    return situation(case, yard, TODAY)


def quiet(
    *more: Seen, yard: tuple[Seen, ...] = (), place: Place = PLACE, fed: bool = True, **changes: Value
) -> Situation:
    """The hive about which nothing is to be said, with more entries and changes to its look."""
    return state(look(**changes), wash(), *more, yard=yard, place=place, fed=fed)


def stand(
    s: Situation,
    o: HiveOutlook = QUIET,
    settings: Settings | None = None,
    place: Place = PLACE,
    today: date = TODAY,
    moment: Moment = "at the hive",
    **outlook: object,
) -> dict[str, Gate]:
    """The gates that stand, by code in their order."""
    used = replace(o, **outlook)  # type: ignore[arg-type]
    return {g.code: g for g in gates(s, used, settings or Settings(), place, today, moment)}
