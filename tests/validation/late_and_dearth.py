"""Two hives carried from a look to a call: late in a season of plenty, and in the middle of a dearth."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np

from tests.plan.hives import CLEAN_LOOK, seen
from tideover.checks.colony_years import COLD, DRY, Climate, skies
from tideover.evidence.assimilate import assimilate
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Value
from tideover.evidence.sky import Sky
from tideover.plan.advise import Advice, YardAhead, advise
from tideover.plan.call import Interval
from tideover.plan.settings import Settings
from tideover.plan.situation import situation

MEMBERS = 400
PLENTY: Mapping[str, Value] = CLEAN_LOOK | {
    "heft": "heavy", "nest_pollen": "broad band", "outer_pollen": "broad band", "jelly": "floating",
    "pollen_coming": "plenty", "capped_quarters": 3.0, "open_quarters": 1.0,
}  # fmt: skip
DEARTH: Mapping[str, Value] = CLEAN_LOOK | {
    "heft": "heavy", "nest_pollen": "none", "outer_pollen": "none", "jelly": "dry", "pollen_coming": "none",
    "capped_quarters": 3.0, "open_quarters": 1.0,
}  # fmt: skip


def late_season() -> Advice:
    """The twelfth of September at 43 N, pollen coming in and stored."""
    return advised(COLD, date(2031, 9, 12), date(2031, 11, 5), 0.9, 0.7, PLENTY)


def mid_dearth() -> Advice:
    """The fifteenth of July at 33 N, nothing in the combs and a twelfth of a good flow outside."""
    return advised(DRY, date(2031, 7, 15), date(2031, 11, 10), 0.08, 0.1, DEARTH)


def advised(
    climate: Climate, today: date, cluster: date, before: float, ahead: float, look: Mapping[str, Value]
) -> Advice:
    """The whole way: past weather, entries, members, futures of many years, plans, gates.

    No stop date is set, so that leaving alone must win on what the plans do and not by a date.
    """

    def ago(days: int, kind: str, **values: Value) -> object:
        return replace(seen(kind, 0, id=kind, **values), day=today - timedelta(days=days))

    past = 60
    first = today - timedelta(days=past)
    rng = np.random.default_rng(2)
    w = skies(climate, past, start=first.timetuple().tm_yday, seed=5)
    sky = Sky(
        first, np.log(before) + 0.2 * rng.standard_normal((40, 1)) + np.zeros((40, past)), w.temp_max_c[0],
        w.temp_min_c[0], w.flight_h[0], w.pollen_h[0], w.daylength_h,
    )  # fmt: skip
    entries = (
        ago(50, "laid on", weight=226.8), ago(44, "taken off", patty_left=0.0), ago(5, "mite wash", mites=1, bees=300),
        ago(0, "look", **look),
    )  # fmt: skip
    place = Place("quarry", climate.latitude_deg, beetles="present", beetles_reportable="absent")
    case = HiveCase("quarry-03", place, (BoxSpec("deep", 10), BoxSpec("deep", 10)), entries)  # type: ignore[arg-type]
    known = assimilate(case, sky, today, members=MEMBERS)
    days = (cluster - today).days + 61
    years = [skies(climate, days, start=today.timetuple().tm_yday, seed=200 + k) for k in range(20)]
    each = np.arange(MEMBERS) % len(years)
    many = {
        name: np.concatenate([getattr(y, name) for y in years])[each]
        for name in ("temp_max_c", "temp_min_c", "flight_h", "pollen_h")
    }
    level = np.log(ahead) + 0.3 * rng.standard_normal((MEMBERS, 1)) + np.zeros((MEMBERS, days))
    yard = YardAhead(
        replace(years[0], log_index=level, **many), None, "", Interval(before, 0.8 * before, 1.2 * before), "", cluster,
        "set", None, 28.0, 82.0, 40.0, 2.0, 0.0, 200.0, (28.0,) * 7,
    )  # fmt: skip
    at = datetime.combine(today, datetime.min.time(), ZoneInfo("UTC")) + timedelta(hours=10)
    return advise(case, known, situation(case, (), today), yard, Settings(), at=at, moment="at the hive")
