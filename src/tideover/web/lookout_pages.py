"""The lookout over all yards, a minute at the entrance, and the plants of a yard."""

from __future__ import annotations

import re
import uuid
from calendar import month_name
from collections.abc import Sequence
from datetime import UTC, date, datetime, time
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.forecast import typical_key, typical_of
from tideover.desk.land import land_days
from tideover.desk.lookout import LookoutView, YardLookout, lookout
from tideover.desk.lookout_words import sources, temperature
from tideover.desk.neighbours import YardSaid
from tideover.evidence.clock import solar_noon_hour
from tideover.forage.bloom import Plant, catalogue, standing_of
from tideover.forage.climate import climate
from tideover.forage.entrance import DayPollen, grams_per_day
from tideover.forage.notes import CountNote
from tideover.records import Entry, RecordsError, UnknownNameError, ValuesError, Yard, parse_values, yard_seen
from tideover.records.cases import place_of
from tideover.records.entries import tidy_uuid
from tideover.web import strips
from tideover.web import units as u
from tideover.web.entering import DEVICE, Sent, known, read_time, same_content, sentence
from tideover.web.pages import Site, first, go, keep, yard_address

YARDS_A_PAGE = 8
"""Yards side by side; each takes a good part of a second to work out the first time."""
_MONTHS = re.compile(r"\s*(\d{1,2})\s*[-\u2013]\s*(\d{1,2})\s*\Z")


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    held: dict[tuple[int, date, str, str], tuple[YardSaid, YardLookout]] = {}

    @router.get("/lookout")
    def the_lookout(request: Request) -> Response:
        units, version, today = site.units(request), site.books.version(), site.desk.today()
        all_yards = site.books.yards()
        asked = first(request.query_params, "from")
        start = min(int(asked), max(0, len(all_yards) - 1)) if asked.isdecimal() and len(asked) < 7 else 0
        # what was worked out before the books changed is dropped; either system of units may be asked for in turn
        for old in [k for k in list(held) if k[:2] != (version, today)]:
            held.pop(old, None)
        views = []
        for yard in all_yards[start : start + YARDS_A_PAGE]:
            key = version, today, units, yard.id
            said = site.answers.yard_said(yard.id)
            if key not in held or held[key][0] != said:
                held[key] = said, lookout(site.books, today, yard.id, units, {yard.id: said}).yards[0]
            views.append(held[key][1])
        view = LookoutView(today, views)
        drawn = [(y, strips.strip(y, units), strips.summary(y, units)) for y in view.yards]
        hot = temperature(strips.HOT_C, units)
        before = max(0, start - YARDS_A_PAGE) if start else None
        after = start + YARDS_A_PAGE if start + YARDS_A_PAGE < len(all_yards) else None
        return site.page(
            request, "lookout.html", view=view, drawn=drawn, sources=sources(units), hot=hot, before=before,
            after=after, start=start, total=len(all_yards),
        )  # fmt: skip

    # ---- a minute at the entrance

    def counter(
        request: Request, yard: Yard, typed: dict[str, str], problems: list[str], status: int = 200,
        counted: tuple[Entry, DayPollen] | None = None,
    ) -> Response:  # fmt: skip
        units = site.units(request)
        return site.page(
            request, "entrance.html", status, tab="/lookout", yard=yard,
            hives=[h.id for h in site.books.hives(yard.id)],
            typed=typed, problems=problems, counted=counted, entry_id=str(uuid.uuid4()), form_units=units,
            sign="°F" if units == "us" else "°C",
        )  # fmt: skip

    @router.get("/yard/{yard_id:path}/entrance")
    def entrance(request: Request, yard_id: str) -> Response:
        yard = site.books.yard(yard_id)
        typed = {"at": site.clock(yard.zone).strftime("%Y-%m-%dT%H:%M"), "minutes": "1"}
        typed["who"] = request.cookies.get("who", "")[:80]
        return counter(request, yard, typed, [], counted=_counted(site, yard, first(request.query_params, "entered")))

    @router.post("/yard/{yard_id:path}/entrance")
    def entrance_written(request: Request, yard_id: str, form: Sent) -> Response:
        yard = site.books.yard(yard_id)
        names = ("hive", "bees_in", "with_pollen", "minutes", "shade_temp", "at", "who")
        typed = {n: first(form, n)[:80] for n in names}
        system = u.system(form.get("form_units"))
        problems: list[str] = []
        good = site.tokens.good(request, form.get("token"))
        if not good:
            problems.append("This page had been open too long, or cookies are off: press the button once more.")
        if typed["hive"] not in [h.id for h in site.books.hives(yard.id)]:
            problems.append(f"{typed['hive'] or 'No hive'!r} is not a hive of {yard.name}: choose one that is.")
        raw = {"bees_in": typed["bees_in"], "with_pollen": typed["with_pollen"], "minutes": typed["minutes"]}
        if typed["shade_temp"]:
            raw["shade_temp_f" if system == "us" else "shade_temp_c"] = typed["shade_temp"]
        values = None
        try:
            at = read_time(typed["at"], yard.zone, site.latest(yard.zone))
            values = parse_values("entrance count", raw, system)
        except ValuesError as e:
            problems += [
                sentence(ValueError(f"{p.column.replace('_', ' ')}: {p.what}; {p.remedy}")) for p in e.problems
            ]
        except ValueError as e:
            problems.append(sentence(e))
        if problems or values is None:
            return counter(request, yard, typed, problems, 422 if good else 403)
        try:
            entry_id = tidy_uuid(first(form, "id"))
        except RecordsError:
            entry_id = str(uuid.uuid4())
        entry = Entry(
            entry_id, "entrance count", yard.id, typed["hive"], at, typed["who"], DEVICE, system, values, None, "",
            datetime.now(UTC),
        )  # fmt: skip
        there = known(site, entry_id)
        if there is not None and not same_content(there, entry):
            return counter(
                request, yard, typed, ["This was written already, with other numbers: press once more."], 409
            )
        if there is None:
            try:
                site.answers.enter(entry)
            except RecordsError as e:
                return counter(request, yard, typed, [sentence(e)], 422)
        answer = go(f"{yard_address(yard.id)}/entrance?entered={entry.id}")
        if typed["who"]:
            keep(answer, "who", typed["who"])
        return answer

    # ---- the plants of a yard

    def plants_shown(
        request: Request, yard: Yard, kept: list[dict[str, Any]], problems: list[str], status: int = 200,
        saved: bool = False,
    ) -> Response:  # fmt: skip
        mine = {str(k.get("plant")): k for k in kept}
        lines = [
            (p, int(mine.get(p.id, {}).get("amount", 0)), months_text(mine.get(p.id, {}).get("months", p.months)))
            for p in catalogue().values()
        ]
        month = site.desk.today().month
        groups = plant_groups(lines, month, yard.latitude < 0.0)
        unread = sum(p.known == "from memory" for p, _, _ in lines)
        return site.page(
            request, "plants.html", status, tab="/lookout", yard=yard, lines=lines, groups=groups, problems=problems,
            saved=saved, count=len(kept), unread=unread,
        )  # fmt: skip

    @router.get("/yard/{yard_id:path}/plants")
    def plants(request: Request, yard_id: str) -> Response:
        yard = site.books.yard(yard_id)
        kept = site.books.settings().get(f"bloom:{yard_id}") or []
        return plants_shown(request, yard, kept, [], saved="saved" in request.query_params)

    @router.post("/yard/{yard_id:path}/plants")
    def plants_written(request: Request, yard_id: str, form: Sent) -> Response:
        yard = site.books.yard(yard_id)
        kept: list[dict[str, Any]] = []
        problems: list[str] = []
        good = site.tokens.good(request, form.get("token"))
        if not good:
            problems.append("This page had been open too long, or cookies are off: press the button once more.")
        for p in catalogue().values():
            amount = first(form, f"amount.{p.id}")
            if amount not in ("1", "2", "3"):
                continue
            item: dict[str, Any] = {"plant": p.id, "amount": int(amount)}
            try:
                months = months_of(first(form, f"months.{p.id}"))
                if months and tuple(tuple(m) for m in months) != p.months:
                    item["months"] = months
            except ValueError as e:
                problems.append(f"{p.common.capitalize()}: {e}")
            kept.append(item)
        # plants of the keeper's own, put in by a file or the command line, stay
        before = site.books.settings().get(f"bloom:{yard_id}") or []
        kept += [k for k in before if isinstance(k, dict) and k.get("plant") not in catalogue()]
        try:
            standing_of(kept)
        except ValueError as e:
            problems.append(sentence(e))
        if problems:
            return plants_shown(request, yard, kept, problems, 422 if good else 403)
        site.books.put_settings({f"bloom:{yard_id}": kept or None})
        return go(f"{yard_address(yard_id)}/plants?saved=1")

    return router


PlantLine = tuple[Plant, int, str]


def plant_groups(lines: Sequence[PlantLine], month: int, south: bool) -> list[tuple[str, list[PlantLine]]]:
    """Plants under headings: those on the yard's list, those in flower in ``month``, then by the month they open next.

    :param south: months are half a year later.
    """
    here = (month + 5) % 12 + 1 if south else month
    listed = [line for line in lines if line[1]]
    now: list[PlantLine] = []
    later: list[list[PlantLine]] = [[] for _ in range(12)]
    for line in lines:
        if line[1]:
            continue
        months = line[0].months
        if any((here - a) % 12 <= (b - a) % 12 for a, b in months):
            now.append(line)
        else:
            later[min((a - here) % 12 for a, _ in months)].append(line)
    groups = [("On this yard's list", listed), (f"In flower in {month_name[month]}", now)]
    groups += [(f"Opens in {month_name[(month + k - 1) % 12 + 1]}", part) for k, part in enumerate(later)]
    return [(head, sorted(part, key=lambda line: -line[0].pollen)) for head, part in groups if part]


def months_text(months: Any) -> str:
    """Months as a field shows them: '4-6, 9-10'."""
    return ", ".join(f"{a}-{b}" for a, b in months)


def months_of(text: str) -> list[list[int]]:
    """Months as typed; ValueError in a sentence when they cannot be."""
    out = []
    for part in [p for p in text.split(",") if p.strip()]:
        found = _MONTHS.match(part)
        a, b = (int(found[1]), int(found[2])) if found else (0, 0)
        if not (1 <= a <= 12 and 1 <= b <= 12):
            raise ValueError(f"months are {part.strip()!r}, wanted first and last month such as 4-6.")
        out.append([a, b])
    return out


def _counted(site: Site, yard: Yard, entry_id: str) -> tuple[Entry, DayPollen] | None:
    """The count just written and its grams a day; nothing when the address names none."""
    if not entry_id:
        return None
    try:
        entry = site.books.entry(entry_id)
    except UnknownNameError:
        return None
    if entry.kind != "entrance count" or entry.yard != yard.id:
        return None
    local = entry.at.astimezone(yard.zone)
    days = land_days(yard_seen(site.books, yard.id))
    that = next((d for d in days if d.day == local.date()), None)
    if that is not None:
        hi, lo = that.temp_max_c, that.temp_min_c
    else:
        usual = climate(
            yard.latitude, yard.elevation_m, [d.day.timetuple().tm_yday for d in days], [d.temp_max_c for d in days],
            [d.temp_min_c for d in days], [d.rain_mm or 0.0 for d in days],
            typical_of(site.books.settings().get(typical_key(yard.id))),
        )  # fmt: skip
        j = local.timetuple().tm_yday
        hi, lo = float(usual.usual_max(j)), float(usual.usual_min(j))
    noon = solar_noon_hour(place_of(yard), local.date())
    shade = entry.values.get("shade_temp")
    clock = time(local.hour, local.minute)
    note = CountNote(
        local.date(), (clock.hour + clock.minute / 60.0 - noon + 12.0) % 24.0,
        float(shade) if isinstance(shade, (int, float)) else None, float(str(entry.values["minutes"])),
        int(float(str(entry.values["bees_in"]))), int(float(str(entry.values["with_pollen"]))),
    )  # fmt: skip
    return entry, grams_per_day(note, yard.latitude, hi, lo)
