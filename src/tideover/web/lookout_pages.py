"""The lookout over all yards, and the plants of a yard."""

from __future__ import annotations

import re
from calendar import month_name
from collections.abc import Sequence
from datetime import date
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.lookout import LookoutView, YardLookout, lookout
from tideover.desk.lookout_words import fortnight, need, sources, temperature
from tideover.desk.neighbours import YardSaid
from tideover.forage.bloom import Plant, catalogue, standing_of
from tideover.records import Yard
from tideover.web import strips
from tideover.web.entering import Sent, sentence
from tideover.web.pages import Site, first, go, yard_address

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
            after=after, start=start, total=len(all_yards), need=need, fortnight=fortnight,
        )  # fmt: skip

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
