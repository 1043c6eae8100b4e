"""Pages that only show: the round, a hive, a yard, the cautions."""

from __future__ import annotations

import uuid
from collections import Counter
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.views import EntryLine, HiveLine, HiveView, RoundView, YardLine
from tideover.plan.call import ACTIONS, Alternative, Call
from tideover.plan.safety import CAUTIONS, LOCAL_RULES
from tideover.plan.settings import FEED_EFFECT_NOTE
from tideover.records import UnknownNameError, describe
from tideover.web import charts
from tideover.web.answers import Working
from tideover.web.book_pages import kept_settings
from tideover.web.forms import HIVE_KINDS
from tideover.web.pages import Site, first
from tideover.web.units import System

HISTORY_SHOWN = 60
LINES_SHOWN = 10
PLANS_SHOWN = 5


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    @router.get("/")
    def the_round(request: Request) -> Response:
        if not site.books.hives():
            return site.page(request, "round.html", round=_nothing(site), **_filtered(_nothing(site), "", ""))
        made = site.answers.round()
        if isinstance(made, Working):
            return site.page(
                request, "working.html", title="Working out the round", done=made.done, total=made.total, what=made.what
            )
        yard, call = first(request.query_params, "yard"), first(request.query_params, "call")
        return site.page(
            request,
            "round.html",
            round=made,
            currency=kept_settings(site).currency,
            names=site.books.hive_names(),
            **_filtered(made, yard, call),
        )

    @router.get("/hive/{hive_id:path}")
    def a_hive(request: Request, hive_id: str) -> Response:
        named = site.books.hive(hive_id).name
        view = site.answers.hive(hive_id)
        units = site.units(request)
        if units == "us":
            view = replace(view, history=_in_units(site, view, units))
        call_name = chosen(view.line.call)
        plans = ordered(view.line.call, call_name)
        lines = sorted(view.history, key=lambda line: line.at, reverse=True)
        return site.page(
            request, "hive.html", tab="/", view=view, named="" if named == hive_id else named,
            plans_first=plans[:PLANS_SHOWN], plans_rest=plans[PLANS_SHOWN:],
            lines_first=lines[:LINES_SHOWN], lines_rest=lines[LINES_SHOWN:], currency=kept_settings(site).currency,
            has_ahead=any(b.days and b.days[-1] > view.today for b in view.bands), charts=_charts(view, units),
            titles=charts.TITLES,
            chosen=call_name, hive_kinds=HIVE_KINDS, done=done_of(site, request),
            next_hive=next_in_yard(site, view.line.yard, hive_id),
            patty_on=any(p.off is None for p in view.patties),
        )  # fmt: skip

    @router.get("/yard/{yard_id:path}")
    def a_yard(request: Request, yard_id: str) -> Response:
        yard = site.books.yard(yard_id)
        made = site.answers.round() if site.books.hives() else None
        line = None if made is None or isinstance(made, Working) else _yard_line(made, yard_id)
        known = {h.hive: h for h in line.hives} if line else {}
        hives = [(h.id, known.get(h.id)) for h in site.books.hives(yard_id)]
        units = site.units(request)
        written = [
            EntryLine(e.id, e.at.astimezone(yard.zone), e.kind, e.who, describe(e, units), state)
            for e, state in reversed(site.books.all_entries(yard=yard_id, hive=""))
            if e.kind not in ("withdraw", "confirm")
        ]
        # A season of weather days would bury the notes a keeper wants to see.
        weather = [w for w in written if w.kind == "weather day"]
        shown = [w for w in written if w.kind != "weather day"] + weather[:7]
        return site.page(
            request, "yard.html", tab="/", yard=yard, line=line, hives=hives, names=site.books.hive_names(),
            entries=shown[:HISTORY_SHOWN],
            done=done_of(site, request),
        )  # fmt: skip

    @router.get("/safety")
    def safety(request: Request) -> Response:
        return site.page(request, "safety.html", cautions=CAUTIONS, local_rules=LOCAL_RULES, feed_note=FEED_EFFECT_NOTE)

    return router


def next_in_yard(site: Site, yard_id: str, hive_id: str) -> str:
    """The hive after this one in its yard; empty after the last."""
    after = [h.id for h in site.books.hives(yard_id) if h.id > hive_id]
    return after[0] if after else ""


def chosen(call: Call) -> str:
    """The name of the alternative that is the call itself; empty when it is not among them."""
    same = [a for a in call.alternatives if a.action == call.action]
    if not same:
        return ""
    return min(same, key=lambda a: (a.better_than_call, abs(a.grams_now - call.grams))).name


def ordered(call: Call, name: str) -> list[Alternative]:
    """The plans as compared: the call first, then leaving alone, then the rest in the order they came in."""
    rank = {name: 0, "leave": 1}
    return sorted(call.alternatives, key=lambda a: rank.get(a.name, rank.get(a.action, 2)))


def _charts(view: HiveView, units: System) -> list[tuple[object, ...]]:
    return [
        (
            b,
            charts.chart(b, view.marks, view.patties, view.today, view.cluster_day, units),
            charts.summary(b, view.today, view.cluster_day, units),
            charts.numbers(b, units, view.today),
        )
        for b in view.bands
        if b.days
    ]


def _in_units(site: Site, view: HiveView, units: System) -> list[EntryLine]:
    """The history told again in the reader's units."""
    told = {e.id: describe(e, units) for e, _ in site.books.all_entries(hive=view.line.hive)}
    return [replace(line, text=told.get(line.id, line.text)) for line in view.history]


def _yard_line(made: RoundView, yard_id: str) -> YardLine | None:
    return next((y for y in made.yards if y.yard == yard_id), None)


@dataclass(frozen=True)
class Done:
    """What was just done, in words, and the id an undo would write."""

    entry: str
    words: str
    undo: str = ""
    look: bool = False


def done_of(site: Site, request: Request) -> Done | None:
    """The entry just written, named in the address; anything unknown is simply not shown."""
    wanted = first(request.query_params, "entered")
    try:
        entry = site.books.entry(wanted) if wanted else None
        about = site.books.entry(entry.supersedes) if entry and entry.supersedes else None
    except UnknownNameError:
        return None
    if entry is None:
        return None
    if entry.kind == "withdraw":
        words = "Put back." if about and about.kind == "withdraw" else "Withdrawn. It stays in the list below."
        return Done(entry.id, words)
    words = "Confirmed." if entry.kind == "confirm" else "Correction written." if about else "Written down."
    return Done(entry.id, words, str(uuid.uuid4()), entry.kind == "look")


def _nothing(site: Site) -> RoundView:
    return RoundView(site.desk.today(), datetime.now(UTC), [], 0.0, 0.0, 0.0)


def _filtered(made: RoundView, yard: str, call: str) -> dict[str, Any]:
    """The lines that match the reader's choice, and the choices there are."""
    lines: list[HiveLine] = [h for y in made.yards for h in y.hives]
    counts = Counter(h.call.action for h in lines)
    yards = []
    for y in made.yards:
        if yard and y.yard != yard:
            continue
        kept = [h for h in y.hives if not call or h.call.action == call]
        if kept or (not call and not y.hives):
            yards.append(replace(y, hives=kept))
    return {
        "yards": yards,
        "yard": yard,
        "call": call,
        "yard_names": [(y.yard, y.name) for y in made.yards],
        "action_counts": [(a, counts[a]) for a in ACTIONS if counts[a]],
        "to_open": sum(h.call.worth_opening for h in lines),
        "hive_count": len(lines),
    }
