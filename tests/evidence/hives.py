"""Made-up hives and skies for tests of evidence: plain weather, a few entries, no books."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta

import numpy as np
from numpy.typing import NDArray

from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.predict import Shown, shown
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Seen, Value
from tideover.evidence.sky import Sky
from tideover.forage.sun import daylength_h

FIRST = date(2031, 5, 1)
"""First day of weather."""
TODAY = date(2031, 7, 10)
PLACE = Place("pit", 37.0, elevation_m=300.0, timezone="America/Los_Angeles", beetles="present")
BOXES = (BoxSpec("deep", 10), BoxSpec("deep", 10))
MEMBERS = 300

GOOD_LOOK: dict[str, Value] = {
    "seams": (8.0, 4.0),
    "heft": "fair",
    "outer_pollen": "thin band",
    "nest_pollen": "thin band",
    "brood_combs": 7.0,
    "capped_quarters": 4.0,
    "open_quarters": 2.0,
    "eggs": "yes",
    "jelly": "damp",
}
"""What an ordinary colony of early summer shows."""


def sky(index: float = 0.4, first: date = FIRST, until: date = TODAY, paths: int = 50, warm: float = 31.0) -> Sky:
    """A season of one kind of day, with a little doubt about pollen on offer."""
    days = (until - first).days
    rng = np.random.default_rng(3)
    number = np.array([(first + timedelta(days=k)).timetuple().tm_yday for k in range(days)], dtype=float)
    flat = np.ones(days)
    return Sky(
        first, np.log(index) + 0.2 * rng.standard_normal((paths, 1)) + np.zeros((paths, days)), warm * flat,
        (warm - 15.0) * flat, 9.0 * flat, 7.0 * flat, np.asarray(daylength_h(37.0, number)),
    )  # fmt: skip


def seen(kind: str, day: date, hour: float = 9.0, id: str = "", confirmed: bool = False, **values: Value) -> Seen:
    """One entry."""
    return Seen(id or f"{kind}-{day}-{hour}", kind, day, hour, values, confirmed=confirmed)


def look(
    day: date, hour: float = 9.0, drop: tuple[str, ...] = (), id: str = "", confirmed: bool = False, **changes: Value
) -> Seen:
    """The good look with fields changed or left out."""
    values = {k: v for k, v in (GOOD_LOOK | changes).items() if k not in drop}
    return Seen(id or f"look-{day}-{hour}", "look", day, hour, values, confirmed=confirmed)


def only(day: date, hour: float = 9.0, id: str = "", confirmed: bool = False, **values: Value) -> Seen:
    """A look at nothing but the fields named."""
    return Seen(id or f"only-{day}-{hour}-{'-'.join(values)}", "look", day, hour, values, confirmed=confirmed)


def known(*entries: Seen, until: date = TODAY, members: int = MEMBERS, seed: int = 1, **how: object) -> Assimilated:
    """A hive carried to ``until`` under the plain sky."""
    over = how.pop("over", None) or sky(until=until)
    return assimilate(HiveCase("pit-1", PLACE, BOXES, tuple(entries)), over, until, members=members, seed=seed, **how)  # type: ignore[arg-type]


def same(a: Assimilated, b: Assimilated) -> bool:
    """Whether two hives are known alike to the last byte."""
    return (
        a.ensemble.state.tobytes() == b.ensemble.state.tobytes()
        and a.ensemble.params.tobytes() == b.ensemble.params.tobytes()
        and a.out.tobytes() == b.out.tobytes()
        and a.path.tobytes() == b.path.tobytes()
    )


def colonies(n: int, **totals: float | NDArray[np.float64]) -> Ensemble:
    """Colonies with the totals given, the rest ordinary."""
    base: dict[str, float | NDArray[np.float64]] = {
        "adults": 20_000.0,
        "eggs": 3_000.0,
        "open_larvae": 5_000.0,
        "capped": 9_000.0,
        "pollen_g": 500.0,
        "honey_g": 12_000.0,
    }
    return establish(draw(np.random.default_rng(8), n), **(base | totals))  # type: ignore[arg-type]


def show(e: Ensemble, flying: float = 0.0, offer: float = 0.4, boxes: tuple[BoxSpec, ...] = BOXES) -> Shown:
    """What colonies would show."""
    return shown(e, boxes, flying=flying, log_index=np.array([np.log(offer)]))


def median(a: Assimilated, name: str) -> float:
    """Median of a total today: adults, eggs, open_larvae, capped, pollen, honey."""
    from tideover.colony import layout as lay

    e = a.ensemble
    values: Mapping[str, NDArray[np.float64]] = {
        "adults": e.adults(), "eggs": e.eggs(), "open_larvae": e.open_larvae(), "capped": e.capped(),
        "pollen": e.state[:, lay.BREAD], "honey": e.state[:, lay.HONEY] / 1000.0, "jelly": e.state[:, lay.JELLY],
        "mites": e.state[:, lay.MITES],
    }  # fmt: skip
    return float(np.median(values[name]))
