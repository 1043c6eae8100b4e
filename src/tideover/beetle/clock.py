"""The beetle clock of one patty: from laying on to the hour it must be off.

The clock starts when the patty is laid on, because beetles are already inside: no laying
delay is published. Egg and larva times are the fast published end. Cold only pauses it; a
completed core freeze (-12 C or lower for 24 h at the core of the piece) kills what is in it
and the clock starts again when the piece warms.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from tideover.beetle.development import EGG, LARVA, hatch_share, slow_egg_days
from tideover.figures import book

BROOD_TOP_C: Final = book().value("beetle.default_temp_c")
"""Taken without a sensor: the warm end of the brood nest's 33-36 C."""
STAY_LIMIT_DAYS: Final = book().value("beetle.pull_max_d")
"""Longest stay where beetles are present or unknown (our assumption; no limit is published)."""
HALF_GROWN_SHARE: Final = book().value("beetle.half_grown_share")
"""Share of the larva's degree-days taken as half grown (our assumption)."""
HARDENING_LIMIT_DAYS: Final = book().value("beetle.absent_max_d")
"""Longest stay where there are no beetles: by then a piece is hard or mouldy (common practice, no source)."""
FREEZE_CORE_C: Final = book().value("freezing.rule_c")
FREEZE_CORE_HOURS: Final = int(book().value("freezing.rule_h"))
"""At the core: Regulation (EU) 142/2011 pages for bee by-products; 'core' is the WOAH wording, from memory."""
_HORIZON_DAYS: Final = 120
PRESENCES: Final = ("present", "absent", "unknown")


@dataclass(frozen=True)
class Clock:
    """When eggs laid on a patty could be what, and when it must be off.

    Milestones are ``None`` when it is too cold to reach them within 120 days. ``slow_*`` are
    the slow published figures, shown beside. ``resets`` are the ends of completed core freezes.
    """

    earliest_hatch: datetime | None
    half_grown: datetime | None
    full_grown: datetime | None
    pull_by: datetime
    why: str
    slow_hatch: datetime | None
    slow_half_grown: datetime | None
    slow_full_grown: datetime | None
    resets: tuple[datetime, ...] = ()
    starts: datetime | None = None


def _hourly(temps: float | Sequence[float], after_c: float) -> tuple[list[float], float]:
    if isinstance(temps, int | float):
        series, tail = [], float(temps)
    else:
        series, tail = [float(t) for t in temps], float(after_c)
    for t in (*series, tail):
        if not -60.0 <= t <= 80.0:
            raise ValueError(f"a temperature of the piece is {t} C, wanted -60 to 80; give degrees Celsius.")
    return series, tail


class _Growth:
    """Egg then larva progress in hours, fast or slow."""

    def __init__(self, slow: bool) -> None:
        self.slow = slow
        self.reset()

    def reset(self) -> None:
        self.egg = 0.0
        self.larva = 0.0
        self.hatch: float | None = None
        self.half: float | None = None
        self.full: float | None = None

    def hour(self, start_h: float, temp_c: float) -> None:
        """Run one hour from ``start_h`` at ``temp_c``; crossings are placed inside the hour."""
        left = 1.0
        if self.hatch is None:
            rate = (1.0 / slow_egg_days(temp_c) if self.slow else EGG.rate_per_day(temp_c)) / 24.0
            if rate <= 0.0 or self.egg + rate < 1.0 - 1e-12:
                self.egg += max(0.0, rate)
                return
            used = (1.0 - self.egg) / rate
            self.egg, self.hatch, left = 1.0, start_h + used, 1.0 - used
            start_h += used
        rate = LARVA.rate_per_day(temp_c, late=self.slow) / 24.0
        if rate <= 0.0:
            return
        after = self.larva + rate * left
        if self.half is None and after >= HALF_GROWN_SHARE - 1e-12:
            self.half = start_h + (HALF_GROWN_SHARE - self.larva) / rate
        if self.full is None and after >= 1.0 - 1e-12:
            self.full = start_h + (1.0 - self.larva) / rate
        self.larva = after


def clock(
    laid_on: datetime,
    temps: float | Sequence[float] = BROOD_TOP_C,
    beetles: str = "unknown",
    *,
    humidity_pct: float | None = None,
    stay_limit_days: float = STAY_LIMIT_DAYS,
    hardening_limit_days: float = HARDENING_LIMIT_DAYS,
    after_readings_c: float = BROOD_TOP_C,
) -> Clock:
    """Run the clock of a patty laid on at ``laid_on``.

    temps: one constant temperature of the piece [C], or hourly core temperatures from
    ``laid_on`` on; after the last reading ``after_readings_c`` [C] holds.
    beetles: 'present', 'absent' or 'unknown' at the yard.
    humidity_pct: relative humidity at the piece [%] if measured; it is only told about, it
    never lengthens the stay, because hives hold 50-80 %.

    Raises ValueError for an unknown word or an impossible temperature.
    """
    if beetles not in PRESENCES:
        raise ValueError(f"beetles is {beetles!r}, wanted one of {', '.join(PRESENCES)}.")
    if stay_limit_days <= 0.0 or hardening_limit_days <= 0.0:
        raise ValueError("a stay limit is not above zero days; give the longest stay you allow.")
    series, tail = _hourly(temps, after_readings_c)
    fast, slow = _Growth(False), _Growth(True)
    start_h, frozen, cold = 0.0, False, 0
    resets: list[float] = []
    for h in range(_HORIZON_DAYS * 24):
        temp = series[h] if h < len(series) else tail
        cold = cold + 1 if temp <= FREEZE_CORE_C else 0
        if cold >= FREEZE_CORE_HOURS and not frozen:
            frozen = True
            resets.append(h + 1.0)
        if frozen:
            if temp <= EGG.t0_c:
                continue
            # the piece has warmed after a completed freeze: it is clean, and its time starts anew
            frozen, start_h = False, float(h)
            fast.reset()
            slow.reset()
        fast.hour(float(h), temp)
        slow.hour(float(h), temp)
        if slow.full is not None and h >= len(series):
            break

    def at(hours: float | None) -> datetime | None:
        return None if hours is None else laid_on + timedelta(hours=hours)

    starts = laid_on + timedelta(hours=start_h)
    if beetles == "absent":
        pull = starts + timedelta(days=hardening_limit_days)
        why = f"no beetles here: off after {hardening_limit_days:g} days, when a piece is hard or mouldy."
    else:
        limit = starts + timedelta(days=stay_limit_days)
        half = at(fast.half)
        if half is not None and half < limit:
            pull = half
            why = f"beetles {beetles}: eggs laid at once could be half-grown larvae after {_span(half - starts)}."
        else:
            pull = limit
            why = f"beetles {beetles}: never longer than {stay_limit_days:g} days."
    course = f"{len(series)} hourly readings, then {tail:g} C" if series else f"{tail:g} C throughout"
    why += f" Temperature: {course}."
    if resets:
        why += " A completed core freeze started the clock again."
    elif any(t <= LARVA.t0_c for t in series):
        why += " Cold hours only paused it."
    if humidity_pct is not None and hatch_share(humidity_pct) < 1.0:
        why += f" At {humidity_pct:g} % humidity few eggs hatch, but hives are moister: the stay is not lengthened."
    return Clock(
        at(fast.hatch), at(fast.half), at(fast.full), pull, why, at(slow.hatch), at(slow.half), at(slow.full),
        tuple(laid_on + timedelta(hours=r) for r in resets), starts,
    )  # fmt: skip


def _span(delta: timedelta) -> str:
    days = delta.total_seconds() / 86_400.0
    return f"{days:.1f} days"
