"""Yards and hives typed in on a page: where it stands, and how many hives of what boxes."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.comb.frames import FRAMES
from tideover.evidence.words import PRESENCE
from tideover.figures.units import FOOT_M
from tideover.records import Hive, RecordsError, Yard
from tideover.records.entries import Box, known_zone
from tideover.web.book_pages import LOST
from tideover.web.entering import Sent
from tideover.web.pages import Site, first, go, yard_address
from tideover.web.units import System

MOST_HIVES: Final = 200
"""Hives that one form adds at most; more come from a file."""
MOST_BOXES: Final = 6
MOST_FRAMES: Final = 20
FIELDS: Final = (
    "name", "latitude", "longitude", "elevation", "timezone", "beetles", "beetles_reportable", "count", "prefix",
    "frame", "frames", "boxes",
)  # fmt: skip
BLANK: Final[Mapping[str, str]] = dict.fromkeys(FIELDS, "") | {
    "beetles": "unknown", "beetles_reportable": "unknown", "frame": "deep", "frames": "10", "boxes": "1",
}  # fmt: skip


def label(text: str) -> str:
    """A short label from a name: small letters, digits and dashes."""
    return "-".join(re.findall(r"[a-z0-9]+", text.lower()))[:40].strip("-")


def number(form: Mapping[str, str], name: str, low: float, high: float, problems: list[str], what: str) -> float | None:
    """A number typed, with a comma or a point; None and a sentence when it is none."""
    text = first(form, name)
    try:
        value = float(text.replace(",", "."))
        if low <= value <= high:
            return value
    except ValueError:
        pass
    problems.append(f"{what} got {text!r}, wanted a number from {low:g} to {high:g}.")
    return None


def whole(form: Mapping[str, str], name: str, low: int, high: int, problems: list[str], what: str) -> int:
    """A whole number typed; the least allowed and a sentence when it is none."""
    text = first(form, name)
    if text.isascii() and text.isdigit() and low <= int(text) <= high:
        return int(text)
    problems.append(f"{what} got {text!r}, wanted a whole number from {low} to {high}.")
    return low


def typed_of(yard: Yard, units: System) -> dict[str, str]:
    """A yard as the form shows it."""
    high = yard.elevation_m / (FOOT_M if units == "us" else 1.0)
    return dict(BLANK) | {
        "name": yard.name, "latitude": f"{yard.latitude:g}", "longitude": f"{yard.longitude:g}",
        "elevation": f"{high:.0f}", "timezone": yard.timezone, "beetles": yard.beetles,
        "beetles_reportable": yard.beetles_reportable, "prefix": yard.id,
    }  # fmt: skip


def read_yard(form: Mapping[str, str], yard_id: str, note: str, problems: list[str]) -> Yard | None:
    """The yard a form describes; sentences for what is wrong are added to ``problems``."""
    name = first(form, "name")
    if not name or not yard_id:
        problems.append("name is empty; write what you call this place, with at least one letter or digit.")
    latitude = number(form, "latitude", -90, 90, problems, "latitude")
    longitude = number(form, "longitude", -180, 180, problems, "longitude")
    feet = form.get("form_units") == "us"
    high = 0.0
    if first(form, "elevation"):
        most = 19600.0 if feet else 6000.0
        high = (number(form, "elevation", -1400.0 if feet else -430.0, most, problems, "height") or 0.0) * (
            FOOT_M if feet else 1.0
        )
    zone = first(form, "timezone")
    if not known_zone(zone):
        problems.append(f"time zone got {zone!r}, wanted a name such as America/Los_Angeles or Australia/Perth.")
    if problems or latitude is None or longitude is None:
        return None
    try:
        return Yard(
            yard_id, name, latitude, longitude, zone, high, first(form, "beetles") or "unknown",
            first(form, "beetles_reportable") or "unknown", note,
        )  # fmt: skip
    except RecordsError as error:
        problems.append(f"{error}.")
        return None


def read_hives(form: Mapping[str, str], yard_id: str, taken: set[str], problems: list[str]) -> list[Hive]:
    """The hives a form adds: numbered from the first free number, all of the same boxes."""
    if first(form, "count") in ("", "0"):
        return []
    count = whole(form, "count", 1, MOST_HIVES, problems, "hives")
    frames = whole(form, "frames", 1, MOST_FRAMES, problems, "frames in a box")
    boxes = whole(form, "boxes", 1, MOST_BOXES, problems, "boxes")
    frame = first(form, "frame")
    if frame not in FRAMES:
        problems.append(f"frames got {frame!r}, wanted one of {', '.join(FRAMES)}.")
    prefix = label(first(form, "prefix")) or yard_id
    made: list[Hive] = []
    at = 1
    while not problems and len(made) < count:
        name = f"{prefix}-{at:02d}"
        if name not in taken:
            made.append(Hive(name, yard_id, "", tuple(Box(i + 1, frame, frames) for i in range(boxes))))
        at += 1
    return made


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    def shown(
        request: Request, typed: Mapping[str, str], problems: list[str], yard: Yard | None, status: int = 200
    ) -> Response:
        return site.page(
            request, "yard_form.html", status, tab="/", typed=typed, problems=problems, yard=yard,
            frames=[(name, one.says) for name, one in FRAMES.items()], presence=PRESENCE,
            hives=[h.id for h in site.books.hives(yard.id)] if yard else [], action=request.url.path,
        )  # fmt: skip

    def written(request: Request, form: Mapping[str, str], old: Yard | None) -> Response:
        typed = {name: first(form, name) for name in FIELDS}
        if not site.tokens.good(request, form.get("token")):
            return shown(request, typed, [LOST.replace("Go back and press", "Press")], old, 403)
        problems: list[str] = []
        yard_id = old.id if old else label(typed["name"])
        if old is None and any(y.id == yard_id for y in site.books.yards()):
            problems.append(f"there is a yard {yard_id!r} already; give this one another name, or change that one.")
        yard = read_yard(form, yard_id, old.note if old else "", problems)
        hives = read_hives(form, yard_id, {h.id for h in site.books.hives()}, problems)
        if problems or yard is None:
            return shown(request, typed, problems, old, 422)
        with site.books.writing() as w:
            # all or none
            w.put_yard(yard)
            for hive in hives:
                w.put_hive(hive)
        return go(yard_address(yard.id))

    @router.get("/new-yard")
    def blank(request: Request) -> Response:
        return shown(request, BLANK, [], None)

    @router.post("/new-yard")
    def begun(request: Request, form: Sent) -> Response:
        return written(request, form, None)

    @router.get("/yard/{yard_id:path}/change")
    def change(request: Request, yard_id: str) -> Response:
        yard = site.books.yard(yard_id)
        return shown(request, typed_of(yard, site.units(request)), [], yard)

    @router.post("/yard/{yard_id:path}/change")
    def changed(request: Request, yard_id: str, form: Sent) -> Response:
        return written(request, form, site.books.yard(yard_id))

    return router
