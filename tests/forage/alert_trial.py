"""The alert over many seasons of an invented land, week by week as a keeper would meet it, beside a plain calendar."""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from datetime import date, timedelta

import numpy as np

from tests.forage.land_truth import LandYears, dearth, make, make_real, notes, summer_dearth, summer_dearths
from tideover.forage.alert import DEFAULT_ALERT, Alert, AlertRules, alert, in_dearth, look_by
from tideover.forage.habit import habit
from tideover.forage.index import BloomNote, CountNote, LandDay, outlook, yard_index

PATHS = 200
RECORD_D = 550


@dataclass(frozen=True)
class Week:
    """What was said one morning, and what came: probabilities, the state, dearth in truth now and within 14 days."""

    today: date
    p_now: float
    p_within: float
    p_back: float
    state: str
    true_now: bool
    true_within: bool
    true_back: bool


@dataclass(frozen=True)
class Told:
    """One dearth as told: the morning it was first said and the start given then; the same for its end, if taken back."""

    said: date
    start: date
    taken_back: date | None = None
    end: date | None = None


@dataclass(frozen=True)
class Season:
    """One season: every summer dearth in truth, the calendar's, what was told as it went, what is dated at its end."""

    truths: tuple[tuple[date, date], ...]
    calendar: tuple[date, date] | None
    told: tuple[Told, ...]
    dated: tuple[tuple[date, date], ...]
    weeks: tuple[Week, ...] = ()
    dry: tuple[tuple[date, date], ...] = ()
    """Every dearth in truth, winter's too."""
    more: int = 0
    """Looks made because the lookout asked."""


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


def season(
    seed: int, every: int = 7, watch_every: int = 7, taught: bool = True, real: bool = False, *,
    what: str = "both", asked: bool = False, rules: AlertRules = DEFAULT_ALERT,
) -> Season:  # fmt: skip
    """Live through one season; ``every`` days there is a note and a count, 0 never. The lookout is read after writing.

    :param taught: in earlier years as well.
    :param real: in real weather.
    :param what: "note", "count" or "both".
    :param asked: whether the keeper also looks on the days that the lookout asks for, and reads it then.
    """
    land = make_real(seed) if real else make(seed)
    dry = dearth(land.pollen)
    weeks = []
    year = land.days[-1].year
    # every day's look is drawn, so that other habits of looking see the same land with the same errors
    could = {d: rest for d, *rest in notes(land, year, seed, 1)}
    looked = {d for d in could if every and d.timetuple().tm_yday % every == 3 % every}
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
    told_all: list[Told] = []
    bloom: list[BloomNote] = []
    counts: list[CountNote] = []
    wanted: date | None = None
    more = 0
    for k in range(100, 340):
        today = date(year, 1, 1) + timedelta(days=k)
        extra = asked and wanted is not None and today >= wanted and today not in looked
        if (k - 100) % watch_every and not extra:
            continue
        if extra:
            looked.add(today)
            more += 1
        bloom, counts = _written(could, looked, today, what)
        yesterday = today - timedelta(days=1)
        known = [w for w in weather if today - timedelta(days=RECORD_D) <= w.day < today]
        index = yard_index(land.latitude, known, bloom, counts, yesterday, habit=known_habit)
        paths = index.paths(PATHS, 3)
        ahead = outlook(index, today + timedelta(days=45), PATHS, 4, past, today_log_index=paths[:, -1])
        begin = len(index.days) - 120
        joined = np.concatenate([paths[:, begin:], ahead.log_index], axis=1)
        told = alert([*index.days[begin:], *ahead.days], joined, today, rules, taught=known_habit is not None)
        wanted = look_by(
            [*index.days[begin:], *ahead.days],
            joined,
            today,
            max({d for d in looked if d <= today} | {date(year, 1, 1)}),
            rules,
        )
        weeks.append(week_of(told, today, dry, (today - land.days[0]).days))
        tell(told_all, told, today)
    bloom, counts = _written(could, looked, date(year, 12, 20), what, shift=False)
    whole = yard_index(land.latitude, weather, bloom, counts, date(year, 12, 20), habit=known_habit)
    on = in_dearth(whole.paths(PATHS, 5)).mean(axis=0) >= DEFAULT_ALERT.speak
    return Season(
        tuple(summer_dearths(land, year)),
        calendar_rule(land, year),
        tuple(told_all),
        tuple(r for r in runs(whole.days, on) if r[0].year == year and 4 <= r[0].month <= 9),
        tuple(weeks),
        tuple(runs(land.days, dry)),
        more,
    )


def week_of(told: Alert, today: date, dry: np.ndarray, at: int) -> Week:
    """What was said and what came; ``at`` is today's number among the days of ``dry``."""
    soon = bool(dry[at : at + DEFAULT_ALERT.within_d + 1].any())
    lately = bool(~dry[at] and dry[at - 28 : at].any())
    return Week(today, told.p_now, told.p_within, told.p_back, told.state, bool(dry[at]), soon, lately)


def tell(told_all: list[Told], told: Alert, today: date) -> None:
    """Write down what was said this morning: a dearth begun, or the one that is on taken back."""
    open_one = bool(told_all) and told_all[-1].taken_back is None
    # what is left of winter in spring, and winter coming in autumn, are no summer dearths
    year = today.year
    summer = told.began is not None and date(year, 4, 1) <= told.began[1] <= date(year, 9, 30)
    if told.state == "dearth" and told.began is not None and summer and not open_one:
        told_all.append(Told(today, told.began[1]))
    elif open_one and told.state in ("pollen is back", "pollen"):
        # a chance that sinks is no end yet: the keeper reads it as over when the lookout says that it is
        end = told.back[1] if told.back else today
        told_all[-1] = replace(told_all[-1], taken_back=today, end=end)


def _written(
    could: dict[date, list], looked: set[date], today: date, what: str, shift: bool = True
) -> tuple[list[BloomNote], list[CountNote]]:
    """What stands in the books on ``today``; that day's own look is read with the day before, as the program does."""
    bloom, counts = [], []
    for d in sorted(x for x in looked if x <= today):
        word, h, b, p = could[d]
        at = today - timedelta(days=1) if shift and d == today else d
        if what in ("note", "both"):
            bloom.append(BloomNote(at, word))
        if what in ("count", "both"):
            counts.append(CountNote(at, h, None, 2.0, b, p))
    return bloom, counts


def runs(days: list[date], on: np.ndarray) -> list[tuple[date, date]]:
    """First and last day of every run of true days."""
    out = []
    start: date | None = None
    for k, d in enumerate(days):
        if on[k] and (k == 0 or not on[k - 1]):
            start = d
        if on[k] and (k + 1 == len(on) or not on[k + 1]) and start is not None:
            out.append((start, d))
    return out


def _meets(a: tuple[date, date | None], b: tuple[date, date]) -> bool:
    return a[0] <= b[1] and (a[1] is None or a[1] >= b[0])


def report(made: list[Season]) -> dict[str, float]:
    """Shares and days: dearths whose start and end were told within a week, false alarms, warnings and their lead.

    A dearth told belongs to the first true one it overlaps. A false alarm is one that overlaps none, winter's included.
    """
    out: dict[str, float] = {
        "seasons": len(made), "dearths": sum(len(s.truths) for s in made),
        "seasons without": sum(not s.truths for s in made),
    }  # fmt: skip
    for name, pick in (
        ("told as it went", lambda s: [(t.start, t.end) for t in s.told]),
        ("dated at the end", lambda s: list(s.dated)),
        ("calendar", lambda s: [s.calendar] if s.calendar else []),
    ):  # fmt: skip
        starts: list[int | None] = []
        ends: list[int | None] = []
        false = 0
        for s in made:
            given = pick(s)
            for truth in s.truths:
                hit = next((g for g in given if _meets(g, truth)), None)
                starts.append((hit[0] - truth[0]).days if hit else None)
                # one that runs into winter has no end to find: bees have stopped flying
                if truth[1] < date(truth[0].year, 11, 16):
                    ends.append((hit[1] - truth[1]).days if hit and hit[1] else None)
            false += any(not any(_meets(g, d) for d in s.dry) for g in given)
        for what, gaps in (("start", starts), ("end", ends)):
            found = [g for g in gaps if g is not None]
            out[f"{name}: {what}s"] = len(gaps)
            for d in (7, 14):
                out[f"{name}: {what} within {d} d"] = float(np.mean([g is not None and abs(g) <= d for g in gaps]))
            out[f"{name}: median days late, {what}"] = float(np.median(found)) if found else float("nan")
        out[f"{name}: never told"] = float(np.mean([g is None for g in starts]))
        out[f"{name}: seasons with a false alarm"] = false / len(made)
    leads, late, empty = [], [], 0
    for s in made:
        for a, _ in s.truths:
            said = [w.today for w in s.weeks if w.state == "dearth ahead" and 0 < (a - w.today).days <= 45]
            leads.append((a - said[0]).days if said else 0)
            first = next((t.said for t in s.told if _meets((t.start, t.end), (a, a + timedelta(days=30)))), None)
            late += [(first - a).days] if first else []
        warned = [w.today for w in s.weeks if w.state == "dearth ahead" and w.today.month <= 9]
        empty += any(not any(-7 <= (d[0] - w).days <= 30 or d[0] <= w <= d[1] for d in s.dry) for w in warned)
    out["warned before"] = float(np.mean([v > 0 for v in leads])) if leads else float("nan")
    out["median lead of the warned, d"] = float(np.median([v for v in leads if v > 0])) if any(leads) else float("nan")
    out["median days from start till it is said"] = float(np.median(late)) if late else float("nan")
    out["seasons with a warning that nothing followed within 30 d"] = empty / len(made)
    return out


def reliability(made: list[Season]) -> list[str]:
    """How often what was called likely came, by classes of the probability told, April to September; and Brier scores."""
    lines = []
    weeks = [w for s in made for w in s.weeks if 4 <= w.today.month <= 9]
    for name, said, came in (
        ("dearth now", [w.p_now for w in weeks], [w.true_now for w in weeks]),
        ("dearth within 14 days, where none is told yet", [w.p_within for w in weeks if w.state != "dearth"],
         [w.true_within for w in weeks if w.state != "dearth"]),
        ("dearth within 14 days, where in truth none is yet", [w.p_within for w in weeks if not w.true_now],
         [w.true_within for w in weeks if not w.true_now]),
        ("pollen back in the last 28 days", [w.p_back for w in weeks], [w.true_back for w in weeks]),
    ):  # fmt: skip
        p, y = np.array(said), np.array(came, dtype=float)
        base = y.mean()
        lines.append(
            f"{name}: {p.size} mornings, Brier {np.mean((p - y) ** 2):.3f}, always the mean {base * (1 - base):.3f}"
        )
        for low, high in ((0.0, 0.1), (0.1, 0.3), (0.3, 0.5), (0.5, 0.7), (0.7, 0.9), (0.9, 1.01)):
            here = (p >= low) & (p < high)
            if here.any():
                lines.append(f"  told {p[here].mean():.2f}: came {y[here].mean():.2f} of {here.sum()}")
    return lines


if __name__ == "__main__":
    first, last, every, taught, real = (int(v) for v in sys.argv[1:6])
    kind, also = (sys.argv[6], sys.argv[7] == "asked") if len(sys.argv) > 7 else ("both", False)
    speak_back = replace(DEFAULT_ALERT, back_speak=float(sys.argv[8])) if len(sys.argv) > 8 else DEFAULT_ALERT
    lived = [
        season(s, every, min(every or 7, 7), bool(taught), bool(real), what=kind, asked=also, rules=speak_back)
        for s in range(first, last)
    ]
    print(" ".join(sys.argv[1:]))
    for key, value in report(lived).items():
        print(f"{key}: {value:.2f}")
    print(f"looks more a season: {np.mean([s.more for s in lived]):.1f}")
    for line in reliability(lived):
        print(line)
