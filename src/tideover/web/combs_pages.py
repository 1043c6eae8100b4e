"""The look comb by comb: one form for all sides of a hive, written as one look and taken back as one."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.comb.sides import CONTENTS, Factor, Side, amounts, totals
from tideover.evidence.seen import BoxSpec, Value
from tideover.evidence.words import COMB_SIDE
from tideover.records import Entry, RecordsError, ValuesError, case, parse_values
from tideover.records.cases import boxes_now
from tideover.records.entries import tidy_uuid
from tideover.web.entering import DEVICE, Sent, known, read_time, same_content, sentence
from tideover.web.pages import Site, first, go, hive_address, keep

KIND: Final = "comb side"
LABELS: Final = {
    "bees": "Bees",
    "capped": "Capped brood",
    "open": "Open brood",
    "eggs": "Eggs",
    "pollen": "Pollen",
    "honey": "Honey",
}


@dataclass(frozen=True)
class Face:
    """One side as the page draws it: where it is, what was typed, what is wrong with it."""

    level: int
    comb: int
    side: str
    typed: Mapping[str, str] = field(default_factory=dict)
    error: str = ""

    @property
    def key(self) -> str:
        """Its name in the form."""
        return f"{self.level}.{self.comb}.{self.side}"


def _faces(boxes: tuple[BoxSpec, ...], form: Mapping[str, str], errors: Mapping[str, str]) -> list[Face]:
    made = []
    for level, box in enumerate(boxes, 1):
        for comb in range(1, box.frames + 1):
            for side in COMB_SIDE:
                key = f"{level}.{comb}.{side}"
                typed = {c: first(form, f"{key}.{c}").strip()[:6] for c in CONTENTS}
                made.append(Face(level, comb, side, typed, errors.get(key, "")))
    return made


def _sums(entries: list[Entry], boxes: tuple[BoxSpec, ...]) -> list[tuple[str, str, tuple[tuple[Factor, float], ...]]]:
    """Label, unit and amounts by factor of what was judged."""
    sides = []
    for e in entries:
        level = e.values.get("level")
        k = min(max(int(level) if isinstance(level, (int, float)) else 1, 1), len(boxes)) - 1
        eighths = {c: float(v) for c in CONTENTS if isinstance(v := e.values.get(c), (int, float))}
        sides.append(Side(boxes[k].frame, eighths))
    units = {"bees": "bees", "pollen": "g", "honey": "g"}
    return [(LABELS[c], units.get(c, "cells"), found) for c, found in amounts(totals(sides)).items()]


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    def hive_boxes(hive_id: str) -> tuple[BoxSpec, ...]:
        c = case(site.books, hive_id)
        return tuple(BoxSpec(b.frame, b.frames) for b in boxes_now(site.books.hive(hive_id), c.seen))

    def written(base: str, boxes: tuple[BoxSpec, ...]) -> list[Entry]:
        """The sides of one look that stand in the books."""
        ids = (str(uuid.uuid5(uuid.UUID(base), f.key)) for f in _faces(boxes, {}, {}))
        found = [e for e in (known(site, i) for i in ids) if e is not None]
        return [e for e in found if site.books.entry_and_state(e.id)[1] != "withdrawn"]

    def page(
        request: Request, hive_id: str, form: Mapping[str, str], problems: list[str], errors: Mapping[str, str],
        status: int = 200, done: list[Entry] | None = None, base: str = "", corrects: str = "",
    ) -> Response:  # fmt: skip
        boxes = hive_boxes(hive_id)
        hive = site.books.hive(hive_id)
        yard = site.books.yard(hive.yard)
        faces = _faces(boxes, form, errors)
        head = {
            "at": first(form, "at") or site.clock(yard.zone).strftime("%Y-%m-%dT%H:%M"),
            "who": first(form, "who")[:80] or request.cookies.get("who", "")[:80],
        }
        return site.page(
            request, "combs.html", status, tab="/", hive=hive_id, back=hive_address(hive_id), boxes=boxes, faces=faces,
            contents=CONTENTS, labels=LABELS, head=head, problems=problems, zone=yard.timezone,
            entry_id=str(uuid.uuid4()), corrects=corrects, done=done, base=base,
            sums=_sums(done, boxes) if done else [],
            of_all=2 * sum(b.frames for b in boxes),
        )  # fmt: skip

    @router.get("/hive/{hive_id:path}/combs")
    def blank(request: Request, hive_id: str) -> Response:
        base = first(request.query_params, "entered")
        done: list[Entry] | None = None
        try:
            done = written(tidy_uuid(base), hive_boxes(hive_id)) if base else None
        except RecordsError:
            base = ""
        return page(request, hive_id, {}, [], {}, done=done, base=base)

    @router.post("/hive/{hive_id:path}/combs")
    def write(request: Request, hive_id: str, form: Sent) -> Response:
        hive = site.books.hive(hive_id)
        yard = site.books.yard(hive.yard)
        boxes = hive_boxes(hive_id)
        problems: list[str] = []
        errors: dict[str, str] = {}
        good = site.tokens.good(request, form.get("token"))
        if not good:
            problems.append("This page had been open too long, or cookies are off: press the button once more.")
        at = datetime.now(UTC)
        try:
            at = read_time(first(form, "at"), yard.zone, site.latest(yard.zone))
        except ValueError as e:
            problems.append(sentence(e))
        try:
            base = tidy_uuid(first(form, "id"))
        except RecordsError:
            base = str(uuid.uuid4())
        try:
            corrects = tidy_uuid(first(form, "corrects")) if first(form, "corrects") else ""
        except RecordsError:
            corrects = ""
        read: list[tuple[Face, dict[str, Value]]] = []
        for face in _faces(boxes, form, {}):
            raw = {c: v.replace(",", ".") for c, v in face.typed.items() if v}
            if not raw:
                continue
            try:
                where = {"level": str(face.level), "comb": str(face.comb), "side": face.side}
                read.append((face, parse_values(KIND, {**where, **raw})))
            except ValuesError as e:
                errors[face.key] = "; ".join(f"{p.column}: {p.what}; {p.remedy}" for p in e.problems)
        problems += [
            f"Box {k.split('.')[0]}, comb {k.split('.')[1]}, side {k.split('.')[2]}: {t}" for k, t in errors.items()
        ]
        if not read and not problems:
            problems.append("No side is filled in: judge at least one, or go back.")
        if problems:
            return page(request, hive_id, form, problems, errors, 422 if good else 403, corrects=corrects)
        who = first(form, "who")[:80]
        now = datetime.now(UTC)
        old = {e.id for e in written(tidy_uuid(corrects), boxes)} if corrects else set()

        def replaced(key: str) -> str | None:
            before = str(uuid.uuid5(uuid.UUID(corrects), key)) if corrects else ""
            return before if before in old else None

        entries = [
            Entry(
                str(uuid.uuid5(uuid.UUID(base), face.key)), KIND, yard.id, hive.id, at, who, DEVICE, "metric", values,
                replaced(face.key), "", now,
            )
            for face, values in read
        ]  # fmt: skip
        there = [(e, known(site, e.id)) for e in entries]
        if any(b is not None and not same_content(b, e) for e, b in there):
            again = "This look was written already, with other numbers: press again to write it as a correction."
            return page(request, hive_id, form, [again], {}, 409, corrects=base)
        fresh = [e for e, b in there if b is None]
        if fresh:
            try:
                site.answers.enter_all(fresh)
            except RecordsError as e:
                return page(request, hive_id, form, [sentence(e)], {}, 422)
        answer = go(f"{hive_address(hive.id)}/combs?entered={base}")
        if who:
            keep(answer, "who", who)
        return answer

    @router.post("/hive/{hive_id:path}/combs-back")
    def back(request: Request, hive_id: str, form: Sent) -> Response:
        address = f"{hive_address(hive_id)}/combs"
        if not site.tokens.good(request, form.get("token")):
            text = "The page had been open too long, or cookies are off. Go back and press the button once more."
            return site.message(request, "Nothing was changed", text, 403, address)
        hive = site.books.hive(hive_id)
        try:
            mine = written(tidy_uuid(first(form, "base")), hive_boxes(hive_id))
        except RecordsError:
            mine = []
        if not mine:
            return site.message(request, "Nothing to take back", "This look is not in the books.", 409, address)
        zone = site.books.yard(hive.yard).zone
        who = request.cookies.get("who", "")[:80]
        gone = [
            Entry(
                str(uuid.uuid4()), "withdraw", e.yard, e.hive, site.clock(zone), who, DEVICE, "metric", {}, e.id, "",
                datetime.now(UTC),
            )
            for e in mine
        ]  # fmt: skip
        site.answers.enter_all(gone)
        return go(address)

    return router
