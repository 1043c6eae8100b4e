"""The alert over many invented seasons, week by week as a keeper would meet it, beside a plain calendar."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from tests.forage.land_truth import LandYears, make, notes, summer_dearth
from tideover.forage.alert import DEFAULT_ALERT, alert, in_dearth
from tideover.forage.habit import habit
from tideover.forage.index import BloomNote, CountNote, LandDay, outlook, yard_index

PATHS = 200
RECORD_D = 550


@dataclass(frozen=True)
class Season:
    """One season: the truth, what the calendar says, what was said week by week and at the end."""

    truth: tuple[date, date] | None
    calendar: tuple[date, date] | None
    ahead_first: date | None
    said_first: date | None
    said_back: date | None
    dated: tuple[date, date] | None
    told: tuple[date | None, date | None] = (None, None)


def calendar_rule(land: LandYears, year: int) -> tuple[date, date] | None:
    """Mean begin and end of the dearths of the earlier years, known without error; None when most had none."""
    found = [d for y in range(land.days[0].year, year) if (d := summer_dearth(land, y)) is not None]
    if 2 * len(found) <= year - land.days[0].year:
        return None
    first = date(year, 1, 1)
    a = np.mean([d[0].timetuple().tm_yday for d in found])
    # one that runs into winter counts to the end of November, so that a few of them do not carry the mean away
    b = np.mean([(min(d[1], date(d[0].year, 11, 30)) - date(d[0].year, 1, 1)).days + 1 for d in found])
    return first + timedelta(days=int(a) - 1), first + timedelta(days=int(b) - 1)


def season(seed: int, every: int = 7, watch_every: int = 7, taught: bool = True) -> Season:
    """Live through one season; ``every`` days there is a note and a count, 0 never; ``taught``: in earlier years as well."""
    land = make(seed)
    year = land.days[-1].year
    truth = summer_dearth(land, year)
    written = notes(land, year, seed, every) if every else []
    bloom = [BloomNote(d, w) for d, w, *_ in written]
    counts = [CountNote(d, h, None, 2.0, b, p) for d, _, h, b, p in written]
    weather = [
        LandDay(d, float(max(h, lo + 0.1)), float(lo), float(r))
        for d, h, lo, r in zip(land.days, land.high, land.low, land.rain, strict=True)
    ]
    past = [[w for w in weather if w.day.year == y] for y in range(land.days[0].year, year)]
    known_habit = None
    if every and taught:
        before = [n for y in range(land.days[0].year, year) for n in notes(land, y, seed + y, every)]
        old = yard_index(
            land.latitude, [w for w in weather if w.day.year < year], [BloomNote(d, w) for d, w, *_ in before],
            [CountNote(d, h, None, 2.0, b, p) for d, _, h, b, p in before], date(year - 1, 12, 31),
        )  # fmt: skip
        known_habit = habit(old.days, old.track, old.noted, old.drift)
    ahead_first = said_first = said_back = told_first = told_back = None
    for k in range(100, 340, watch_every):
        today = date(year, 1, 1) + timedelta(days=k)
        yesterday = today - timedelta(days=1)
        known = [w for w in weather if today - timedelta(days=RECORD_D) <= w.day < today]
        index = yard_index(land.latitude, known, bloom, counts, yesterday, habit=known_habit)
        paths = index.paths(PATHS, 3)
        ahead = outlook(index, today + timedelta(days=45), PATHS, 4, past, today_log_index=paths[:, -1])
        begin = len(index.days) - 120
        joined = np.concatenate([paths[:, begin:], ahead.log_index], axis=1)
        told = alert([*index.days[begin:], *ahead.days], joined, today)
        # what is left of winter in spring, and winter coming in autumn, are no summer dearths
        summer = told.began is not None and date(year, 4, 1) <= told.began[1] <= date(year, 9, 30)
        if told.state == "dearth ahead" and ahead_first is None and today.month <= 9:
            ahead_first = today
        if told.state == "dearth" and (summer or said_first is not None):
            said_first, said_back = said_first or today, None
            told_first = told_first or (told.began[1] if told.began else None)
        elif said_first is not None and said_back is None and told.p_now < 0.5:
            said_back, told_back = today, told.back[1] if told.back else today
    whole = yard_index(land.latitude, weather, bloom, counts, date(year, 12, 20), habit=known_habit)
    on = (in_dearth(whole.paths(PATHS, 5)).mean(axis=0) >= DEFAULT_ALERT.speak) & np.array(
        [d.year == year for d in whole.days]
    )
    return Season(
        truth,
        calendar_rule(land, year),
        ahead_first,
        said_first,
        said_back,
        _longest(whole.days, on),
        (told_first, told_back),
    )


def _longest(days: list[date], on: np.ndarray) -> tuple[date, date] | None:
    best: tuple[date, date] | None = None
    start: date | None = None
    for k, d in enumerate(days):
        if on[k] and (k == 0 or not on[k - 1]):
            start = d
        if on[k] and (k + 1 == len(on) or not on[k + 1]) and start is not None:
            longer = best is None or d - start > best[1] - best[0]
            if longer and 4 <= start.month <= 9:
                best = (start, d)
    return best


def report(made: list[Season]) -> dict[str, float]:
    """Shares and days: hits within 7 days, false alarms, leads."""
    real = [s for s in made if s.truth is not None]
    none = [s for s in made if s.truth is None]

    def near(pairs: list[tuple[date | None, date]], days: int = 7) -> float:
        return (
            float(np.mean([a is not None and abs((a - b).days) <= days for a, b in pairs])) if pairs else float("nan")
        )

    def off(pairs: list[tuple[date | None, date]]) -> float:
        gaps = [abs((a - b).days) for a, b in pairs if a is not None]
        return float(np.median(gaps)) if gaps else float("nan")

    out: dict[str, float] = {"seasons": len(made), "with a dearth": len(real)}
    for name, pick in (
        ("dated at the end", lambda s: s.dated), ("calendar", lambda s: s.calendar),
        ("said as it went", lambda s: (s.said_first, s.said_back)), ("dated when said", lambda s: s.told),
    ):  # fmt: skip
        got = [(pick(s) or (None, None), s.truth) for s in real]
        starts = [(g[0], t[0]) for g, t in got if t]
        # one that runs into winter has no end to find: bees have stopped flying
        ends = [(g[1], t[1]) for g, t in got if t and t[1] < date(t[0].year, 11, 16)]
        out[f"{name}: start within 7 d"] = near(starts)
        out[f"{name}: start within 14 d"] = near(starts, 14)
        out[f"{name}: end within 7 d"] = near(ends)
        out[f"{name}: end within 14 d"] = near(ends, 14)
        out[f"{name}: median days off, start"] = off(starts)
        out[f"{name}: median days off, end"] = off(ends)
        out[f"{name}: never said"] = float(np.mean([g[0] is None for g, _ in got])) if got else float("nan")
        out[f"{name}: false alarm"] = (
            float(np.mean([(pick(s) or (None,))[0] is not None for s in none])) if none else 0.0
        )
    lead = [(s.truth[0] - s.ahead_first).days for s in real if s.truth and s.ahead_first]
    out["warned where none came"] = float(np.mean([s.ahead_first is not None for s in none])) if none else 0.0
    out["warned over 30 d early"] = sum(d > 30 for d in lead) / max(1, len(real))
    out["warned before, share"] = float(np.mean([d > 0 for d in lead])) * len(lead) / max(1, len(real)) if lead else 0.0
    out["median lead of the warning, d"] = float(np.median(lead)) if lead else float("nan")
    return out


if __name__ == "__main__":
    first, last, every, taught = (int(v) for v in sys.argv[1:5])
    for key, value in report([season(s, every, taught=bool(taught)) for s in range(first, last)]).items():
        print(f"{key}: {value:.2f}")
