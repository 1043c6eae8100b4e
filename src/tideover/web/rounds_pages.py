"""The rounds: days, yards in order, a button for each task, the plan kept, and the sheet."""

from __future__ import annotations

import tempfile
import uuid
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.rounds_books import (
    KeptStop,
    Outcome,
    done_since,
    kept_plan,
    tasks_text,
    visit_entry_values,
    with_outcome,
)
from tideover.desk.rounds_view import HiveTask, Rounds
from tideover.evidence.words import ROUND_OUTCOME
from tideover.records import Entry, RecordsError, UnknownNameError, ValuesError, parse_values
from tideover.records.entries import tidy_uuid
from tideover.records.kinds import UNITS
from tideover.web import units as u
from tideover.web.answers import Working
from tideover.web.entering import DEVICE, Sent, known, sentence
from tideover.web.pages import Site, first, go

LOST: Final = "The page had been open too long, or cookies are off. Go back and press the button once more."
FACTS: Final = uuid.UUID("3d0c6f3a-58f1-5f0f-9a53-6c1d2b7e9a10")
"""Namespace of the entry written along with a task, so that a second press writes nothing new."""


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    planned, last = site.plans.now, site.plans.last

    @router.get("/rounds")
    def the_rounds(request: Request) -> Response:
        if not site.books.hives():
            return site.page(request, "rounds.html", made=None, empty=True)
        view = site.answers.round()
        day = site.desk.today()
        made = None if isinstance(view, Working) else planned(view)
        stale = made is None and day in last
        if stale:
            # a tap in a yard must not wait for the whole plan: the last one is shown, without what was told since
            made = without_told(last[day], done_since(site.books, day))
        if made is None and isinstance(view, Working):
            return site.page(
                request, "working.html", title="Working out the calls", done=view.done, total=view.total, what=view.what
            )
        if made is None:
            return site.page(request, "working.html", title="Planning the rounds", done=0, total=0, what="")
        kept = kept_plan(site.books)
        found = done_since(site.books, day)
        today = [with_outcome(t, found) for k in kept if k.day == day for t in k.tasks]
        return site.page(
            request, "rounds.html", made=made, empty=False, kept_today=today, told=_told(site, found, day),
            same=_same(made, kept), flash=_flash(site, request), hive_names=len(site.books.hives()),
            fresh=request.query_params.get("kept", ""), stale=stale,
        )  # fmt: skip

    @router.post("/rounds/keep")
    def keep_plan(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "The plan was not kept", LOST, 403, "/rounds")
        made = site.plans.wait(site.answers.whole_round())
        return go(f"/rounds?kept={_keep(site, made, request.cookies.get('who', '')[:80])}")

    @router.post("/rounds/task")
    def task_told(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was written", LOST, 403, "/rounds")
        try:
            entry = _write_task(site, form, request.cookies.get("who", "")[:80])
        except (ValueError, UnknownNameError) as e:
            return site.message(request, "Nothing was written", sentence(e), 422, "/rounds")
        return go(f"/rounds?entered={entry.id}#told")

    @router.post("/rounds/undo")
    def undo(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/rounds")
        entry = site.books.entry(first(form, "entry"))
        if entry.kind != "task done":
            return site.message(request, "Nothing was changed", "That is no task of a round.", 422, "/rounds")
        wrote = str(entry.values.get("wrote", ""))
        for target in (wrote, entry.id):
            gone = known(site, target) if target else None
            if gone is None or site.books.entry_and_state(gone.id)[1] != "stands":
                continue
            zone = site.books.yard(gone.yard).zone
            site.answers.enter(
                Entry(
                    str(uuid.uuid4()), "withdraw", gone.yard, gone.hive, site.clock(zone),
                    request.cookies.get("who", "")[:80], DEVICE, "metric", {}, gone.id, "", datetime.now(UTC),
                )
            )  # fmt: skip
        return go("/rounds?entered=&undone=1#told")

    @router.get("/rounds/sheet.pdf")
    def sheet(request: Request) -> Response:
        from tideover.paper.rounds_sheet import rounds_sheet

        view = site.answers.whole_round()
        made = site.plans.wait(view)
        size = first(request.query_params, "paper") or ("letter" if site.units(request) == "us" else "a4")
        with tempfile.TemporaryDirectory(prefix="tideover-sheet-") as folder:
            try:
                path = rounds_sheet(made, view, Path(folder) / "rounds.pdf", site.units(request), size)
            except ValueError as e:
                return site.message(request, "No sheet", sentence(e), 422, "/rounds")
            content = path.read_bytes()
        name = f"rounds-{made.today.isoformat()}.pdf"
        return Response(
            content, media_type="application/pdf", headers={"content-disposition": f'attachment; filename="{name}"'}
        )

    return router


def without_told(made: Rounds, found: Mapping[str, Outcome]) -> Rounds:
    """A plan without the tasks that were told of since it was made; a stop without tasks is gone."""
    days = []
    for d in made.days:
        stops = [replace(s, tasks=tuple(t for t in s.tasks if t.id not in found)) for s in d.stops]
        stops = [s for s in stops if s.tasks]
        if stops:
            days.append(replace(d, stops=tuple(stops)))
    open_still = tuple(t for t in made.left_open if t.id not in found)
    return replace(made, days=tuple(days), left_open=open_still)


def _told(site: Site, found: dict[str, Outcome], day: date) -> list[Outcome]:
    """What was said of tasks on that day, in the order it was said."""
    out = [
        o for o in found.values() if o.at.astimezone(site.books.yard(site.books.hive(o.hive).yard).zone).date() == day
    ]
    return sorted(out, key=lambda o: o.at)


def _same(made: Rounds, kept: list[KeptStop]) -> bool:
    """Whether every stop that is not provisional stands on the day it was kept for."""
    stops = [s for d in made.days for s in d.stops if not s.provisional]
    return bool(kept) and all(s.kept for s in stops)


def _flash(site: Site, request: Request) -> Outcome | None:
    """The outcome just written, while it stands."""
    entry = known(site, first(request.query_params, "entered"))
    if entry is None or entry.kind != "task done" or site.books.entry_and_state(entry.id)[1] != "stands":
        return None
    return done_since(site.books, entry.at.date()).get(str(entry.values["task"]))


def _keep(site: Site, made: Rounds, who: str) -> int:
    """Write the plan's stops that are new or moved, take out those that are gone; how many were written."""
    kept = {k.stop: k for k in kept_plan(site.books) if k.day >= made.today}
    wanted = {s.id: (d.day, s) for d in made.days for s in d.stops if not s.provisional}
    count = 0
    for key, old in kept.items():
        if key not in wanted:
            gone = site.books.entry(old.entry)
            zone = site.books.yard(gone.yard).zone
            site.answers.enter(
                Entry(
                    str(uuid.uuid4()), "withdraw", gone.yard, None, site.clock(zone), who, DEVICE, "metric", {},
                    gone.id, "", datetime.now(UTC),
                )
            )  # fmt: skip
    for key, (day, s) in wanted.items():
        before = kept.get(key)
        begins, ends = f"{s.start:%H:%M}", f"{s.end:%H:%M}"
        same = before is not None and (before.day, before.begins, before.ends) == (day, begins, ends)
        if before is not None and same and tasks_text(before.tasks) == tasks_text(s.tasks):
            continue
        values = parse_values("planned visit", visit_entry_values(key, day, begins, ends, s.tasks), "metric")
        zone = site.books.yard(s.yard).zone
        site.answers.enter(
            Entry(
                str(uuid.uuid4()), "planned visit", s.yard, None, site.clock(zone), who, DEVICE, "metric", values,
                before.entry if before is not None else None, "", datetime.now(UTC),
            )
        )  # fmt: skip
        count += 1
    return count


def _write_task(site: Site, form: dict[str, str], who: str) -> Entry:
    """Write what became of a task, and with it what that says of the hive; once, however often it is pressed.

    Raises: ValueError or UnknownNameError in a sentence.
    """
    hive = site.books.hive(first(form, "hive"))
    yard = site.books.yard(hive.yard)
    outcome, task, action = first(form, "outcome"), first(form, "task"), first(form, "action")
    if outcome not in ROUND_OUTCOME or not task:
        raise ValueError(f"the task or its outcome is missing (got '{outcome}'); press one of its buttons")
    system = u.system(form.get("form_units"))
    planned_g = float(first(form, "grams") or 0.0)
    weight_g = planned_g
    if outcome == "changed":
        weight_g = _typed_weight(first(form, "weight"), system)
    try:
        entry_id = tidy_uuid(first(form, "id"))
    except RecordsError:
        entry_id = str(uuid.uuid4())
    there = known(site, entry_id)
    if there is not None:
        return there
    at, now = site.clock(yard.zone), datetime.now(UTC)
    fact = None
    if outcome != "not done":
        fact = _fact(action, weight_g if action == "lay on" or outcome == "changed" else None)
    wrote = ""
    if fact is not None:
        kind, raw = fact
        wrote = str(uuid.uuid5(FACTS, entry_id))
        values = parse_values(kind, raw, "metric")
        if known(site, wrote) is None:
            site.answers.enter(Entry(wrote, kind, yard.id, hive.id, at, who, DEVICE, system, values, None, "", now))
    raw_done: dict[str, object] = {"task": task, "outcome": outcome}
    if planned_g > 0:
        raw_done["planned_g"] = planned_g
    if outcome == "changed" or (outcome == "done" and planned_g > 0):
        raw_done["weight_g"] = weight_g
    if wrote:
        raw_done["wrote"] = wrote
    try:
        values = parse_values("task done", raw_done, "metric")
    except ValuesError as e:
        raise ValueError("; ".join(f"{p.column}: {p.what}; {p.remedy}" for p in e.problems)) from None
    entry = Entry(entry_id, "task done", yard.id, hive.id, at, who, DEVICE, system, values, None, "", now)
    site.answers.enter(entry)
    return entry


def _typed_weight(text: str, system: u.System) -> float:
    """A weight as typed, in grams or pounds [g]."""
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"got '{text}' as a weight, wanted a number: write what you gave") from None
    factor = UNITS["patty"]["lb"][0] if system == "us" else 1.0
    grams = value * factor
    if not 0 <= grams <= 5000:
        raise ValueError(f"got a weight of {text}, wanted 0 to 5 kg (11 lb): check it and its unit")
    return grams


def _fact(action: str, weight_g: float | None) -> tuple[str, dict[str, object]] | None:
    """The entry that a task done as planned amounts to; None where only a look can say what was found."""
    if action == "lay on" and weight_g:
        return "laid on", {"weight_g": weight_g}
    if action == "take off":
        return "taken off", {} if weight_g is None else {"weight_g": weight_g}
    if action == "give water":
        return "event", {"event": "water given"}
    return None


def words_of(task: HiveTask) -> str:
    """A task in the words of a button's label."""
    return f"{task.text} at {task.hive}"
