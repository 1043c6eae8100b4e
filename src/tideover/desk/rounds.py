"""The coming rounds from the books and the calls: who is visited when, with what, and what is to be had in hand."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Final

import numpy as np

from tideover.desk.forecast import forecast_key, forecast_of, typical_key, typical_of
from tideover.desk.land import bloom_notes, season_index, standing
from tideover.desk.rounds_books import (
    HOME_NAME,
    OPEN_FOR_D,
    KeptStop,
    Outcome,
    done_since,
    entered_roads,
    kept_plan,
    last_seen,
    with_outcome,
)
from tideover.desk.rounds_stock import SEED, Stock, freezer_over, shopping, stock_of, within_stock
from tideover.desk.rounds_view import HiveTask, LoadLine, Proof, RoundDay, Rounds, Stop, Unplaced
from tideover.desk.rounds_words import MILES_PER_KM
from tideover.desk.views import RoundView, YardLine
from tideover.evidence.clock import solar_noon_hour
from tideover.figures import reader
from tideover.forage.alert import in_dearth
from tideover.forage.index import outlook
from tideover.plan.rounds.load import Item, frozen_l, items, weight_and_room
from tideover.plan.rounds.objects import Problem, Visit
from tideover.plan.rounds.roads import Roads, roads
from tideover.plan.rounds.solve import Solved, solve
from tideover.plan.rounds.windows import DayHeat, Window, window
from tideover.plan.rounds.words import days_off, home_of, notice_of
from tideover.plan.rounds.work import Bundle, Job, bundles, follow_ups, jobs_of
from tideover.plan.settings import Settings
from tideover.records import Books, cases, yard_seen
from tideover.records.cases import place_of
from tideover.records.units import to_units

PATHS: Final = 200
HOT_SHARE: Final = reader("calls")("hot_share")
"""Three days in four are no hotter than the heat planned with (row ``calls.hot_share``)."""
DROP: Final = 20_000
"""Minutes that leaving a visit out costs: more than any lateness within the days planned."""
BACK_D: Final = 60


@dataclass(frozen=True)
class _YardAhead:
    """One yard as the plan needs it: hours open per day, chance of a dearth per day, and its jobs."""

    line: YardLine
    windows: list[Window]
    dearth: list[float]
    jobs: list[Job]
    seen: date | None
    noticed: date


def settings_of(books: Books) -> Settings:
    """The keeper's settings as they stand; names the settings do not know are left alone."""
    known = Settings().to_mapping()
    return Settings.from_mapping({k: v for k, v in books.settings().items() if k in known})


def rounds(
    books: Books,
    view: RoundView,
    pull_by: Mapping[str, datetime | None],
    *,
    now: datetime | None = None,
    iterations: int = 1500,
) -> Rounds:
    """Plan the coming rounds.

    Parameters: view: the round of today with every hive's call; pull_by: by hive, when the piece on it must be
    off; now: the clock where today is today, so that hours gone by are not planned; iterations: of the search.
    """
    settings = settings_of(books)
    days = [view.day + timedelta(days=i) for i in range(int(settings.plan_days))]
    found = done_since(books, view.day)
    kept = kept_plan(books)
    stock = stock_of(books, view.day, settings)
    ahead = [_ahead(books, y, days, settings, pull_by, found, kept, now, stock.left_g) for y in view.yards if y.hives]
    jobs, waits = within_stock({a.line.yard: a.jobs for a in ahead}, stock, view.day, settings)
    ahead = [replace(a, jobs=jobs[a.line.yard]) for a in ahead]
    where, home_words = _roads(books, [a.line.yard for a in ahead], settings)
    plan = _Plan(settings, days, ahead, where, {k.stop: k for k in kept if k.day >= view.day}, now, stock)
    solved, order = plan.solved(iterations)
    made = plan.days_out(books, solved, order, view)
    unplaced = plan.unplaced(solved, order)
    placed = [t for d in made for s in d.stops for t in s.tasks]
    km = sum(d.drive_km for d in made)
    hours = sum((d.drive_min + d.work_min) / 60.0 for d in made)
    wanted = shopping(books, view, {a.line.yard: a.dearth for a in ahead}, made, settings, stock)
    cost = km * settings.km_price + hours * settings.wage + sum(n.cost for n in wanted)
    proof = Proof(
        float(solved.cost), solved.bound, solved.gap, solved.plan.how, float(solved.greedy_cost), km,
        len({(t.id, t.hive) for t in placed if t.action != "give water"}),
    )  # fmt: skip
    return Rounds(
        view.day, view.made_at, tuple(made), tuple(unplaced), tuple(wanted), proof, round(cost, 2),
        settings.currency, home_words, tuple(_notes(view, settings, where, waits)),
        max((k.kept_at for k in kept), default=None), tuple(_left_open(kept, found, view.day)),
    )  # fmt: skip


def _heat(books: Books, yard_id: str, days: Sequence[date]) -> tuple[list[tuple[float, float]], list[float]]:
    """High and low [C] that three days in four do not pass, and the chance of a dearth, per day planned and on."""
    today = days[0]
    held = books.settings()
    place = place_of(books.yard(yard_id))
    seen = yard_seen(books, yard_id)
    counts = [s for c in cases(books, yard_id).values() for s in c.seen if s.kind == "entrance count"]
    grows = standing(held.get(f"bloom:{yard_id}"), bloom_notes(seen), place.latitude, today)
    index, past = season_index(place, seen, counts, today, grows, typical_of(held.get(typical_key(yard_id))))
    paths = index.paths(PATHS, SEED)
    coming = forecast_of(held.get(forecast_key(yard_id)), today)
    on = outlook(
        index, today + timedelta(days=BACK_D - 1), PATHS, SEED + 1, past, today_log_index=paths[:, -1], forecast=coming
    )
    first = max(0, len(index.days) - BACK_D)
    dry = in_dearth(np.concatenate([paths[:, first:], on.log_index], axis=1))[:, len(index.days) - first :]
    highs = np.quantile(on.temp_max[:, : len(days)], HOT_SHARE, axis=0)
    lows = np.median(on.temp_min[:, : len(days)], axis=0)
    pairs = [(float(h), float(min(h, low))) for h, low in zip(highs, lows, strict=True)]
    return pairs, [float(v) for v in dry.mean(axis=0)]


def _ahead(
    books: Books,
    line: YardLine,
    days: Sequence[date],
    settings: Settings,
    pull_by: Mapping[str, datetime | None],
    found: Mapping[str, Outcome],
    kept: Sequence[KeptStop],
    now: datetime | None,
    left_g: Mapping[str, float],
) -> _YardAhead:
    temps, dearth = _heat(books, line.yard, days)
    yard = books.yard(line.yard)
    place = place_of(yard)
    off_week, off_dates = days_off(settings.days_off)
    wants = timedelta(days=notice_of(settings.yard_notice).get(line.yard, 0))
    noticed = days[0] + wants
    # where the plan was kept in time the yard has had its notice for that day
    told = {k.day for k in kept if k.yard == line.yard and k.kept_at.astimezone(yard.zone).date() + wants <= k.day}
    windows = []
    for day, (high, low) in zip(days, temps, strict=True):
        if day.weekday() in off_week or day in off_dates:
            windows.append(Window(0, 0, "a day off"))
        elif day < noticed and day not in told:
            windows.append(Window(0, 0, f"the yard wants notice until {noticed}"))
        else:
            heat = DayHeat(day, yard.latitude, high, low, solar_noon_hour(place, day))
            found_window = window(
                heat, start_h=settings.day_start, end_h=settings.day_end, high_f=settings.heat_high_f,
                stop_f=settings.heat_stop_f, sun_f=settings.sun_addon_f,
            )  # fmt: skip
            if now is not None and now.astimezone(yard.zone).date() == day:
                local = now.astimezone(yard.zone)
                opens = max(found_window.opens, local.hour * 60 + local.minute)
                found_window = replace(found_window, opens=opens)
            windows.append(found_window)
    seen = last_seen(books, line.yard, days[0])
    jobs = []
    for h in line.hives:
        for j in jobs_of(h.call, pull_by.get(h.hive), settings, days[0], yard.zone, left_g.get(h.hive, 0.0)):
            got = found.get(task_id(j, seen))
            if got is not None and got.outcome in ("done", "changed"):
                continue
            late_on = got is not None and got.at.astimezone(yard.zone).date() >= days[0]
            jobs.append(replace(j, first=max(j.first, days[0] + timedelta(days=1))) if late_on else j)
    return _YardAhead(line, windows, dearth, jobs, seen, noticed)


def task_id(job: Job, seen: date | None) -> str:
    """The same from plan to plan while the task stands: hive, action, and when the yard was last seen."""
    return f"{job.hive}:{job.action}:{seen.isoformat() if seen else 'start'}"


def stop_id(bundle: Bundle, seen: date | None) -> str:
    """The same from plan to plan: the yard, when it was last seen, and which visit after that."""
    part = f"-{bundle.part + 1}" if bundle.part else ""
    return f"{bundle.yard}/{seen.isoformat() if seen else 'start'}/{bundle.number}{part}"


def _roads(books: Books, yards: Sequence[str], settings: Settings) -> tuple[Roads, str]:
    places = [(books.yard(y).latitude, books.yard(y).longitude) for y in yards]
    home = home_of(settings.home_place)
    words = "home, as in your settings"
    if home is None:
        middle = np.mean(np.array(places), axis=0) if places else np.zeros(2)
        home = float(middle[0]), float(middle[1])
        words = "the middle of your yards, since no home place is set"
    made = roads([HOME_NAME, *yards], [home, *places], entered_roads(books), settings.road_factor, settings.road_kmh)
    return made, words


def at_minute(day: date, minute: int, zone: object) -> datetime:
    """A minute of a day as a moment; past midnight it is the next day's."""
    return datetime.combine(day, time(0), zone) + timedelta(minutes=minute)  # type: ignore[arg-type]


class _Plan:
    """The problem made of the yards' work, solved in two steps: what is due now, then what that leaves."""

    def __init__(
        self,
        settings: Settings,
        days: Sequence[date],
        ahead: Sequence[_YardAhead],
        where: Roads,
        kept: Mapping[str, KeptStop],
        now: datetime | None,
        stock: Stock,
    ) -> None:
        self.settings, self.days, self.ahead, self.where, self.kept, self.now = settings, days, ahead, where, kept, now
        self.stock = stock
        self.row = {a.line.yard: i + 1 for i, a in enumerate(ahead)}
        self.of = {a.line.yard: a for a in ahead}

    def _longest(self, a: _YardAhead) -> float:
        return max((w.minutes for w in a.windows), default=0) - self.settings.yard_minutes

    def bundles(self) -> list[Bundle]:
        """The visits that today's calls ask for."""
        out = []
        for a in self.ahead:
            out += bundles(a.line.yard, a.jobs, max(1.0, self._longest(a)))
        return out

    def visit(self, b: Bundle, fixed: int | None = None) -> Visit:
        """A bundle as the solver sees it; ``fixed`` holds it to one day."""
        a = self.of[b.yard]
        s = self.settings
        minutes = max(1, round(b.minutes + s.yard_minutes))
        due = b.due
        kept = self.kept.get(stop_id(b, a.seen))
        windows, penalty = {}, {}
        for d, (day, w) in enumerate(zip(self.days, a.windows, strict=True)):
            if day < b.first or (fixed is not None and d != fixed):
                continue
            closes, late = w.closes, 0
            if due is not None and day >= due.date():
                # what was due before today is late whatever is done: only days from now on are counted
                late = (day - max(due.date(), self.days[0])).days
                hour = due.hour * 60 + due.minute
                if day == due.date() and hour < w.opens + minutes:
                    late = 1
                elif day == due.date():
                    closes = min(closes, hour)
            if closes - w.opens < minutes:
                continue
            windows[d] = (w.opens, closes)
            cost = late * s.late_minutes
            if due is not None and late == 0 and day == due.date():
                # a visit that is missed is late only where no day is left before its due
                cost += s.missed_visit * s.late_minutes
            if kept is not None and kept.day in self.days and kept.day != day:
                cost += s.keep_minutes
            penalty[d] = round(cost)
        kg, room = weight_and_room(b.jobs)
        # a yard whose rests alone are more than the freezer holds is visited all the same, and the day says so
        rest = min(self._rest_l([b]), self.stock.freezer_l)
        return Visit(stop_id(b, a.seen), self.row[b.yard], minutes, windows, penalty, DROP, kg, room, rest)

    def _rest_l(self, listed: Iterable[Bundle]) -> float:
        """Room in the freezer that the rests of these visits may take [l]."""
        return frozen_l(sum(j.rest_g for b in listed for j in b.jobs))

    def problem(self, listed: Sequence[Bundle], fixed: Mapping[int, int]) -> Problem:
        """Everything the solver is given."""
        s = self.settings
        leave = [max(0, round(s.day_start * 60) - 180)] * len(self.days)
        if self.now is not None:
            leave[0] = max(leave[0], self.now.hour * 60 + self.now.minute)
        hours = [(start, max(start, round(s.day_end * 60))) for start in leave]
        return Problem(
            hours, [self.visit(b, fixed.get(i)) for i, b in enumerate(listed)], self.where.minutes,
            round(s.trip_minutes), s.car_kg, s.car_l, self.stock.freezer_l,
        )  # fmt: skip

    def solved(self, iterations: int) -> tuple[Solved, list[Bundle]]:
        """First what is due by today's calls; then, around it, what the pieces laid on will ask for."""
        listed = self.bundles()
        problem = self.problem(listed, {})
        first = solve(problem, iterations=iterations)
        on: dict[int, int] = {i: d for d, r in enumerate(first.plan.routes) for i in r}
        later: list[Bundle] = []
        for a in self.ahead:
            mine = [(i, b) for i, b in enumerate(listed) if b.yard == a.line.yard]
            jobs: list[Job] = []
            for i, b in mine:
                if i in on:
                    begun = problem.clock(on[i], first.plan.routes[on[i]])
                    at = begun[first.plan.routes[on[i]].index(i)] if begun else 0
                    zone = b.due.tzinfo if b.due is not None else None
                    jobs += follow_ups(b.jobs, at_minute(self.days[on[i]], at, zone), self.settings)
            jobs = [j for j in jobs if j.due is not None and j.due.date() <= self.days[-1]]
            number = max((b.number for _, b in mine), default=0) + 1
            later += bundles(a.line.yard, jobs, max(1.0, self._longest(a)), number, provisional=True)
        if not later:
            return first, listed
        everything = [*listed, *later]
        second = solve(self.problem(everything, on), iterations=iterations)
        return second, everything

    def days_out(self, books: Books, solved: Solved, listed: Sequence[Bundle], view: RoundView) -> list[RoundDay]:
        """The plan as days, stops and tasks with their clock."""
        problem = self.problem(listed, {})
        calls = {h.hive: h.call for y in view.yards for h in y.hives}
        banned = frozenset(
            y.name for y in view.yards if any(g.code == "fire-ban" for h in y.hives for g in h.call.gates)
        )
        out = []
        rests = [(self.days[d], self._rest_l(listed[i] for i in r)) for d, r in enumerate(solved.plan.routes) if r]
        no_room = freezer_over(rests, self.stock.freezer_l, self.settings.visit_days)
        for d, route in enumerate(solved.plan.routes):
            if not route:
                continue
            begins = problem.clock(d, route)
            if begins is None:
                continue
            stops, at, km_all, drive_all, ready = [], 0, 0.0, 0, 0
            for n, (i, start) in enumerate(zip(route, begins, strict=True)):
                b, place = listed[i], problem.visits[i].place
                drive, km = self.where.minutes[at][place], self.where.km[at][place]
                arrive = start if n == 0 else ready + drive
                end = start + problem.visits[i].minutes
                stops.append(self._stop(books, b, d, (arrive, start, end), (km, drive), problem.visits[i]))
                at, ready, km_all, drive_all = place, end, km_all + km, drive_all + drive
            zone = stops[0].start.tzinfo
            km_all += self.where.km[at][0]
            drive_all += self.where.minutes[at][0]
            leave = begins[0] - self.where.minutes[0][problem.visits[route[0]].place]
            back = ready + self.where.minutes[at][0]
            yards = [(books.yard(listed[i].yard).name, listed[i].jobs) for i in route]
            load = items(yards, calls, banned, (back - leave) / 60.0)
            kg, room = sum(x.weight_kg for x in load), sum(x.room_l for x in load)
            out.append(
                RoundDay(
                    self.days[d], at_minute(self.days[d], leave, zone), at_minute(self.days[d], back, zone),
                    tuple(stops), round(km_all, 1), drive_all, sum(problem.visits[i].minutes for i in route),
                    tuple(_line(x) for x in load), round(kg, 1), round(room, 1),
                    " ".join(x for x in (self._over(kg, room), no_room.get(self.days[d], "")) if x),
                    not any(books.yard(listed[i].yard).name in banned for i in route),
                    round(dict(rests)[self.days[d]], 1),
                )
            )  # fmt: skip
        return out

    def _over(self, kg: float, room: float) -> str:
        s = self.settings
        if kg > s.car_kg:
            most, weighs = (f"{x:.0f} kg ({to_units(x, 'honey', 'lb'):.0f} lb)" for x in (s.car_kg, kg))
            return f"{weighs} to load, {most} is what the vehicle carries: leave something or go twice."
        if room > s.car_l:
            most, needs = (f"{x:.0f} l ({to_units(x, 'volume', 'gal'):.0f} gal)" for x in (s.car_l, room))
            return f"{needs} to load, {most} is the room there is: leave something or go twice."
        return ""

    def _stop(
        self,
        books: Books,
        b: Bundle,
        d: int,
        clock: tuple[int, int, int],
        way: tuple[float, int],
        visit: Visit,
    ) -> Stop:
        a = self.of[b.yard]
        zone = books.yard(b.yard).zone
        day = self.days[d]
        due = b.due
        key = stop_id(b, a.seen)
        kept = self.kept.get(key)
        late = max(0, (day - due.date()).days) if due is not None else 0
        why = []
        if due is not None:
            first = min((j for j in b.jobs if j.due is not None), key=lambda j: j.due or due)
            more = len({j.hive for j in b.jobs}) - 1
            others = f", {more} more hive{'s' if more != 1 else ''} on the way" if more else ""
            by = "was due" if due.date() < self.days[0] else "by"
            why.append(f"{first.hive} {by} {due:%a %-d %b %H:%M}: {first.why}{others}.")
        if late and due is not None:
            since = "" if due.date() < self.days[0] else ": no earlier day has room"
            why.append(f"Late by {late} day{'s' if late != 1 else ''}{since}.")
        closes = visit.windows[d][1]
        why.append(f"Out by {closes // 60}:{closes % 60:02d}: {_reason(a.windows[d], closes)}.")
        if kept is not None:
            said = "as in the plan kept" if kept.day == day else f"moved from {kept.day:%a %-d %b}"
            why.append(f"{said[:1].upper()}{said[1:]}.")
        if b.provisional:
            why.append("Provisional: it follows from what is laid on at the visit before.")
        tasks = tuple(
            HiveTask(task_id(j, a.seen), j.hive, j.action, j.text, j.grams, j.minutes, j.due, j.why)
            if not b.provisional
            else HiveTask(
                f"{task_id(j, a.seen)}/{b.number}", j.hive, j.action, j.text, j.grams, j.minutes, j.due, j.why
            )
            for j in b.jobs
        )
        arrive, start, end = (at_minute(day, m, zone) for m in clock)
        return Stop(
            key, b.yard, a.line.name, arrive, start, end, at_minute(day, closes, zone), round(way[0], 1), way[1],
            tasks, tuple(why), a.line.cautions if d == 0 else (), late, kept is not None and kept.day == day,
            b.provisional,
        )  # fmt: skip

    def unplaced(self, solved: Solved, listed: Sequence[Bundle]) -> list[Unplaced]:
        """Visits without a day, and why; moving a yard is a trip of its own."""
        there = solved.plan.placed()
        out = []
        for i, b in enumerate(listed):
            if i in there:
                continue
            a = self.of[b.yard]
            need = round(b.minutes + self.settings.yard_minutes)
            best = max((w.minutes for w in a.windows), default=0)
            if best < need:
                why = f"It takes {need} min and no morning is longer than {best}: start earlier or take fewer hives."
            else:
                why = "No day in reach has room for it beside the others: drop a day off or another yard."
            tasks = tuple(
                HiveTask(task_id(j, a.seen), j.hive, j.action, j.text, j.grams, j.minutes, j.due, j.why) for j in b.jobs
            )
            out.append(Unplaced(b.yard, a.line.name, tasks, why))
        for a in self.ahead:
            if any(h.call.action == "move the yard" for h in a.line.hives):
                out.append(Unplaced(a.line.yard, a.line.name, (), "Moving a yard is a trip of its own, by night."))
        return out


def _reason(w: Window, closes: int) -> str:
    return w.why if closes >= w.closes else "the pull-by"


def _line(x: Item) -> LoadLine:
    return LoadLine(x.what, x.amount, x.unit, x.why, round(x.weight_kg, 1), round(x.room_l, 1))


def _left_open(kept: Sequence[KeptStop], found: Mapping[str, Outcome], today: date) -> list[HiveTask]:
    """Tasks kept for days gone by of which nobody said what became of them."""
    out: dict[str, HiveTask] = {}
    for k in kept:
        if today - timedelta(days=OPEN_FOR_D) <= k.day < today:
            for t in k.tasks:
                if t.id not in found:
                    out[t.id] = t
    return list(out.values())


def done_on(kept: Sequence[KeptStop], found: Mapping[str, Outcome], day: date) -> list[HiveTask]:
    """Tasks of a kept day with what became of each."""
    return [with_outcome(t, found) for k in kept if k.day == day for t in k.tasks]


def _notes(view: RoundView, settings: Settings, where: Roads, waits: Sequence[str]) -> list[str]:
    out = []
    if view.note:
        out.append(view.note)
    if waits:
        some = ", ".join(waits[:6]) + (f" and {len(waits) - 6} more" if len(waits) > 6 else "")
        out.append(
            f"Patty in hand does not reach for every hive: {some} wait{'s' if len(waits) == 1 else ''} for "
            f"{settings.patty_wait_d:g} day{'s' if settings.patty_wait_d != 1 else ''}, until more is made or bought "
            "(settings: patty_wait_d). Have it today and all can be done in one go."
        )
    if not settings.home_place:
        out.append("No home place is set: the middle of the yards stands in for it (settings: home_place).")
    if where.entered == 0 and len(where.km) > 1:
        out.append(
            f"Roads are straight lines times {settings.road_factor:g} at {settings.road_kmh:g} km/h "
            f"({settings.road_kmh * MILES_PER_KM:.0f} mph); enter a road time at a yard where you know better."
        )
    out.append(
        "Heat is the place's own weather, three days in four no hotter, and a forecast where one was brought: "
        "look at the sky and at a thermometer on the day."
    )
    return out
