"""A minute at the entrance: at one yard, or on the page a phone keeps for where there is no signal.

The page at ``/counter`` holds every yard and hive. A worker in the browser (``offline.js``) keeps it and shows it
where a page cannot be had; counts wait on the phone under ids made there and are sent to the same address once there
is signal. A count sent twice is written once.
"""

from __future__ import annotations

import json
import threading
import uuid
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime, time
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from tideover.desk.forecast import typical_key, typical_of
from tideover.desk.land import land_days
from tideover.evidence.clock import solar_noon_hour
from tideover.forage.climate import climate
from tideover.forage.entrance import DayPollen, grams_per_day
from tideover.forage.notes import CountNote
from tideover.records import Entry, RecordsError, UnknownNameError, ValuesError, Yard, parse_values, yard_seen
from tideover.records.cases import place_of
from tideover.records.entries import tidy_uuid
from tideover.web import units as u
from tideover.web.entering import DEVICE, Sent, known, read_time, same_content, sentence
from tideover.web.guard import COOKIE
from tideover.web.pages import HERE, Site, assets, first, go, keep, yard_address

NAMES = ("hive", "bees_in", "with_pollen", "minutes", "shade_temp", "at", "who")
MARK = "kept-as-of"
"""Header by which a worker says what its kept page was made of; the style sheet's own mark renews the whole worker."""
OPEN_TOO_LONG = "This page had been open too long, or cookies are off: press the button once more."
WRITTEN_OTHERWISE = "This was written already, with other numbers: press once more."


@dataclass(frozen=True)
class Read:
    """A count as sent: the entry, or what is wrong with it in sentences; ``status`` is the answer's."""

    entry: Entry | None
    problems: list[str]
    status: int = 303


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    one_at_a_time = threading.Lock()

    def counter(
        request: Request, yard: Yard | None, typed: Mapping[str, str], problems: list[str], status: int = 200,
        counted: tuple[Entry, DayPollen] | None = None, entry_id: str = "",
    ) -> Response:  # fmt: skip
        units = site.units(request)
        yards = [yard] if yard is not None else site.books.yards()
        groups = [(y, [h.id for h in site.books.hives(y.id)]) for y in yards]
        return site.page(
            request, "entrance.html", status, tab="/lookout", yard=yard, groups=[g for g in groups if g[1]],
            typed=typed, problems=problems, counted=counted, names=site.books.hive_names(),
            entry_id=entry_id or str(uuid.uuid4()), form_units=units,
            sign="°F" if units == "us" else "°C", made_ms=round(datetime.now(UTC).timestamp() * 1000),
            zone=yard.timezone if yard is not None else "",
        )  # fmt: skip

    def begun(request: Request, yard: Yard | None) -> dict[str, str]:
        typed = {"minutes": "1", "who": request.cookies.get("who", "")[:80]}
        if yard is not None:
            typed["at"] = site.clock(yard.zone).strftime("%Y-%m-%dT%H:%M")
        return typed

    def answered(request: Request, yard: Yard | None, form: dict[str, str]) -> Response:
        """Write a count from a form, or from a phone that kept it and asks for JSON."""
        script = "application/json" in request.headers.get("accept", "")
        typed = {n: first(form, n)[:80] for n in NAMES}
        # the same count may come from two pages of one phone at once
        with one_at_a_time:
            read = read_count(site, request, yard, form)
        if read.entry is None:
            if script:
                return JSONResponse({"problems": read.problems}, status_code=read.status)
            again = "" if read.status == 409 else first(form, "id")
            return counter(request, yard, typed, read.problems, read.status, entry_id=_uuid(again))
        if script:
            return JSONResponse({"written": read.entry.id})
        answer = go(f"{yard_address(read.entry.yard)}/entrance?entered={read.entry.id}")
        if typed["who"]:
            keep(answer, "who", typed["who"])
        return answer

    @router.get("/yard/{yard_id:path}/entrance")
    def entrance(request: Request, yard_id: str) -> Response:
        yard = site.books.yard(yard_id)
        written = counted_of(site, yard, first(request.query_params, "entered"))
        return counter(request, yard, begun(request, yard), [], counted=written)

    @router.post("/yard/{yard_id:path}/entrance")
    def entrance_written(request: Request, yard_id: str, form: Sent) -> Response:
        return answered(request, site.books.yard(yard_id), form)

    @router.get("/counter")
    def any_yard(request: Request) -> Response:
        """The page a phone keeps; no content where what it keeps is as of these books: the list may be long."""
        typed = begun(request, None)
        mark = f"{site.books.version()}-{site.units(request)}-{quote(typed['who'])}"
        if request.headers.get(MARK) == mark:
            return Response(status_code=204, headers={"cache-control": "no-store"})
        answer = counter(request, None, typed, [])
        answer.headers[MARK] = mark
        return answer

    @router.post("/counter")
    def any_yard_written(request: Request, form: Sent) -> Response:
        return answered(request, None, form)

    @router.get("/counter/token")
    def fresh_token(request: Request) -> Response:
        """What a kept page needs to send: its own token may be days old."""
        answer = JSONResponse({"token": site.tokens.make(request)}, headers={"cache-control": "no-store"})
        answer.set_cookie(COOKIE, site.tokens.reader(request), httponly=True, samesite="lax", max_age=366 * 24 * 3600)
        return answer

    @router.get("/no-signal")
    def no_signal(request: Request) -> Response:
        return site.page(request, "no_signal.html", tab="")

    @router.get("/offline.js")
    def worker(request: Request) -> Response:
        """The worker, from the root so that it may answer for every page; it changes when what it keeps does."""
        text = (HERE / "static" / "offline.js").read_text(encoding="utf-8")
        mark = assets()
        names = sorted(f.name for f in (HERE / "static").iterdir() if f.suffix in (".css", ".js", ".svg"))
        kept = ["/counter", "/no-signal", "/static/mark.svg"]
        kept += [f"/static/{n}?v={mark}" for n in names if n not in ("offline.js", "mark.svg")]
        text = text.replace('"MARK"', json.dumps(mark)).replace('["KEPT"]', json.dumps(kept))
        return Response(text, media_type="text/javascript")

    return router


def read_count(site: Site, request: Request, yard: Yard | None, form: Mapping[str, str]) -> Read:
    """Read a count and write it once; ``yard`` None takes the hive's own."""
    typed = {n: first(form, n)[:80] for n in NAMES}
    system = u.system(form.get("form_units"))
    problems: list[str] = []
    good = site.tokens.good(request, form.get("token"))
    if not good:
        problems.append(OPEN_TOO_LONG)
    try:
        place = yard or site.books.yard(site.books.hive(typed["hive"]).yard)
    except UnknownNameError:
        problems.append(f"{typed['hive'] or 'No hive'!r} is not a hive in the books: choose one that is.")
        return Read(None, problems, 422 if good else 403)
    if typed["hive"] not in [h.id for h in site.books.hives(place.id)]:
        problems.append(f"{typed['hive'] or 'No hive'!r} is not a hive of {place.name}: choose one that is.")
    raw = {"bees_in": typed["bees_in"], "with_pollen": typed["with_pollen"], "minutes": typed["minutes"]}
    if typed["shade_temp"]:
        raw["shade_temp_f" if system == "us" else "shade_temp_c"] = typed["shade_temp"]
    values = None
    try:
        at = read_time(typed["at"], place.zone, site.latest(place.zone))
        values = parse_values("entrance count", raw, system)
    except ValuesError as e:
        problems += [sentence(ValueError(f"{p.column.replace('_', ' ')}: {p.what}; {p.remedy}")) for p in e.problems]
    except ValueError as e:
        problems.append(sentence(e))
    if problems or values is None:
        return Read(None, problems, 422 if good else 403)
    entry = Entry(
        _uuid(first(form, "id")) or str(uuid.uuid4()), "entrance count", place.id, typed["hive"], at, typed["who"],
        DEVICE, system, values, None, "", datetime.now(UTC),
    )  # fmt: skip
    there = known(site, entry.id)
    if there is not None and not same_content(there, entry):
        return Read(None, [WRITTEN_OTHERWISE], 409)
    if there is None:
        try:
            site.answers.enter(entry)
        except RecordsError as e:
            return Read(None, [sentence(e)], 422)
    return Read(entry, [])


def _uuid(text: str) -> str:
    """An id as the books write it; empty when it is none."""
    try:
        return tidy_uuid(text)
    except RecordsError:
        return ""


def counted_of(site: Site, yard: Yard, entry_id: str) -> tuple[Entry, DayPollen] | None:
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
            [d.temp_min_c for d in days], [d.rain_mm for d in days if d.rain_mm is not None],
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
