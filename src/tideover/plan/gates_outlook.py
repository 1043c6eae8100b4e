"""What the gates are told of the forecast, and probabilities read off its intervals."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from tideover.plan.call import Interval, Runway

_Z90: Final = 1.2815515655446004  # the 80 % interval reaches this many standard deviations to each side


@dataclass(frozen=True)
class HiveOutlook:
    """What the forecast gives for one hive on the day of the visit; ``None`` is not known.

    Intervals are 80 %. ``brood`` counts all brood cells, ``index`` is pollen on offer (1 = an
    ordinary good flow), ``honey_days`` days of honey left, ``drought_kbdi`` is on the 0-800 scale,
    ``humidity`` in percent, ``wind_ms`` in m/s, ``rain_mm`` of the day. ``temp_max_next_c`` and
    ``temp_max_past_c`` are the daily maxima of the coming seven and the last fourteen days.
    """

    adults: Interval
    honey_kg: Interval
    pollen_g: Interval
    brood: Interval
    index: Interval
    runway: Runway
    p_queenless: float = 0.0
    honey_days: Interval | None = None
    p_pollen_back: float | None = None
    """Probability that pollen is back within 14 days."""
    p_dearth: float | None = None
    temp_max_c: float | None = None
    heat_index_f: float | None = None
    humidity: float | None = None
    wind_ms: float | None = None
    rain_mm: float | None = None
    drought_kbdi: float | None = None
    temp_max_next_c: tuple[float, ...] = ()
    temp_max_past_c: tuple[float, ...] = ()
    jelly: str | None = None
    """State of the jelly of young larvae as the forecast has it: dry, damp or floating."""
    bees_at_winter: Interval | None = None
    cluster: date | None = None
    pull_by: datetime | None = None
    """Pull-by of the piece now on the hive, from the beetle clock."""
    p_eaten_by_pull_by: float | None = None
    yard_suspects: tuple[str, ...] = ()
    """Other hives of the yard under suspicion of brood disease."""

    def __post_init__(self) -> None:
        for name in ("p_queenless", "p_pollen_back", "p_dearth", "p_eaten_by_pull_by"):
            p = getattr(self, name)
            if p is not None and not 0 <= p <= 1:
                raise ValueError(f"Outlook '{name}' got {p}, wanted a probability of 0 to 1: check the forecast.")
        for name in ("adults", "honey_kg", "pollen_g", "brood", "index"):
            i = getattr(self, name)
            if not i.low <= i.median <= i.high:
                raise ValueError(f"Outlook '{name}' got {i}, wanted low <= median <= high: check the forecast.")


def p_below(interval: Interval, level: float) -> float:
    """Probability that a forecast number is below a level.

    A positive number is taken as log-normal on each side of its median, one that reaches zero as
    normal on each side, with the 80 % interval as given.
    """
    logs = interval.low > 0 and level > 0
    low, mid, high = ((math.log(x) if logs else x) for x in (interval.low, interval.median, interval.high))
    at = math.log(level) if logs else level
    half = (mid - low if at < mid else high - mid) / _Z90
    if half <= 0:
        return 0.5 if at == mid else float(at > mid)
    return 0.5 * math.erfc(-(at - mid) / half / math.sqrt(2))
