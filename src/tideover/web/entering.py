"""Forms that write in the books: what was typed is checked, written once, and can be taken back."""

from __future__ import annotations

import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from math import isfinite
from typing import Annotated, Final
from zoneinfo import ZoneInfo

from fastapi import APIRouter, Depends
from starlette.datastructures import UploadFile
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from tideover.evidence.seen import BoxSpec
from tideover.forage.bloom import catalogue, standing_of
from tideover.records import Entry, Hive, RecordsError, UnknownNameError, ValuesError, Yard, case, parse_values
from tideover.records.entries import tidy_uuid
from tideover.records.kinds import Kind
from tideover.records.writing import HIVE_OR_YARD
from tideover.web import forms
from tideover.web import units as u
from tideover.web.forms import FormField
from tideover.web.pages import Site, first, go, hive_address, keep, yard_address
from tideover.web.units import System

DEVICE = "page"


async def sent(request: Request) -> dict[str, str]:
    """The texts of a posted form; files and repeated names are left out."""
    form = await request.form()
    return {k: v for k, v in form.items() if not isinstance(v, UploadFile)}


Sent = Annotated[dict[str, str], Depends(sent)]


@dataclass(frozen=True)
class Head:
    """What every entry says besides its fields, as typed."""

    at: str = ""
    who: str = ""
    note: str = ""
    hive: str = ""
    at_error: str = ""
    hive_error: str = ""


@dataclass(frozen=True)
class Sheet:
    """One form about to be shown or read: kind, place, fields, and the entry it corrects."""

    kind: Kind
    yard: Yard
    hive: Hive | None
    system: System
    fields: Mapping[str, FormField]
    head: Head
    entry_id: str
    corrects: str = ""
    pick_hive: bool = False


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    def show(request: Request, sheet: Sheet, problems: list[str] | None = None, status: int = 200) -> Response:
        problems = problems or []
        about = None if sheet.pick_hive else sheet.hive
        back = hive_address(about.id) if about else yard_address(sheet.yard.id)
        wrong = [f.error for f in sheet.fields.values()] + [sheet.head.at_error, sheet.head.hive_error]
        return site.page(
            request, "write.html", status, tab="/", kind=sheet.kind,
            place=_called(about) if about else sheet.yard.name,
            back=back, action=request.url.path, problems=problems, head=sheet.head, entry_id=sheet.entry_id,
            form_units=sheet.system, corrects=sheet.corrects, sections=forms.sections(sheet.kind, sheet.fields),
            errors=sum(bool(w) for w in wrong),
            zone=sheet.yard.timezone, hives=[h.id for h in site.books.hives(sheet.yard.id)] if sheet.pick_hive else [],
        )  # fmt: skip

    def blank(request: Request, kind: Kind, yard: Yard, hive: Hive | None, system: System, pick_hive: bool) -> Sheet:
        boxes = box_words(case(site.books, hive.id).boxes) if hive else []
        fields = {f.name: forms.blank(kind, f, system, boxes) for f in kind.fields}
        if kind.name == "bloom note":
            fields["plant"] = replace(
                fields["plant"], choices=plant_choices(site.books.settings().get(f"bloom:{yard.id}"))
            )
        who = request.cookies.get("who", "")
        head = Head(at=site.clock(yard.zone).strftime("%Y-%m-%dT%H:%M"), who=who[:80], hive=hive.id if hive else "")
        return Sheet(kind, yard, hive, system, fields, head, str(uuid.uuid4()), pick_hive=pick_hive)

    def blank_from_address(request: Request, sheet: Sheet) -> Sheet:
        """Fill fields from the address, e.g. the weight the call says to lay on (canonical units)."""
        fields = dict(sheet.fields)
        for f in sheet.kind.fields:
            given = first(request.query_params, f.name)
            if given and f.type in ("word", "text", "date"):
                known = f.type != "word" or given in f.words
                fields[f.name] = forms.stored(fields[f.name], f, given[: f.longest] if known else None, sheet.system)
            elif given and f.type in ("number", "count"):
                try:
                    number = float(given)
                except ValueError:
                    continue
                if isfinite(number):
                    fields[f.name] = forms.stored(fields[f.name], f, number, sheet.system)
        head, asked = sheet.head, first(request.query_params, "at")
        if asked:
            try:
                at = read_time(asked, sheet.yard.zone, site.latest(sheet.yard.zone))
                head = replace(head, at=at.astimezone(sheet.yard.zone).strftime("%Y-%m-%dT%H:%M"))
            except ValueError:
                pass  # an address nobody typed: the form starts with now instead
        return replace(sheet, fields=fields, head=head)

    def read(request: Request, sheet: Sheet, form: Mapping[str, str]) -> Sheet:
        """Put what was typed into the sheet, in the units the form was shown in."""
        fields = {name: forms.typed(f, form) for name, f in sheet.fields.items()}
        head = Head(first(form, "at"), first(form, "who")[:80], first(form, "note")[:500], first(form, "hive"))
        return replace(sheet, fields=fields, head=head, entry_id=first(form, "id"), corrects=first(form, "corrects"))

    def write(request: Request, sheet: Sheet, form: Mapping[str, str]) -> Response:
        """Check and write what was typed; on any mistake show the same form again with nothing lost."""
        sheet = read(request, sheet, form)
        loose: list[str] = []
        try:
            entry_id = tidy_uuid(sheet.entry_id)
        except RecordsError:
            entry_id = str(uuid.uuid4())
        sheet = replace(sheet, entry_id=entry_id)
        fresh = site.tokens.good(request, form.get("token"))
        if not fresh:
            loose.append("This page had been open too long, or cookies are off: press the button once more.")
        if sheet.pick_hive:
            try:
                picked = site.books.hive(sheet.head.hive)
                if picked.yard != sheet.yard.id:
                    raise UnknownNameError(f"hive {picked.id} is not in {sheet.yard.name}; choose one that is")
                sheet = replace(sheet, hive=picked)
            except UnknownNameError as e:
                sheet = replace(sheet, head=replace(sheet.head, hive_error=str(e)))
                loose.append(sentence(e))
        try:
            at = read_time(sheet.head.at, sheet.yard.zone, site.latest(sheet.yard.zone))
        except ValueError as e:
            at = datetime.now(UTC)
            sheet = replace(sheet, head=replace(sheet.head, at_error=str(e)))
        values = None
        try:
            values = parse_values(sheet.kind.name, forms.raw(sheet.fields), sheet.system)
        except ValuesError as e:
            marked, more = forms.with_errors(sheet.fields, e.problems)
            sheet = replace(sheet, fields=marked)
            loose += more
        if values is not None and not values and not sheet.head.note:
            loose.append("Nothing is filled in: write at least one thing you saw, or go back.")
        if loose or values is None or sheet.head.at_error:
            return show(request, sheet, loose, 422 if fresh else 403)
        entry = Entry(
            entry_id, sheet.kind.name, sheet.yard.id, sheet.hive.id if sheet.hive else None, at, sheet.head.who, DEVICE,
            sheet.system, values, sheet.corrects or None, sheet.head.note, datetime.now(UTC),
        )  # fmt: skip
        there = known(site, entry_id)
        if there is not None and not same_content(there, entry):
            sheet = replace(sheet, corrects=entry_id, entry_id=str(uuid.uuid4()))
            again = "This was written already, with other content: press again to write it as a correction."
            return show(request, sheet, [again], 409)
        if there is None:
            try:
                site.answers.enter(entry)
            except RecordsError as e:
                return show(request, sheet, [sentence(e)], 422)
        answer = after(entry)
        if sheet.head.who:
            keep(answer, "who", sheet.head.who)
        return answer

    def hive_sheet(request: Request, hive_id: str, slug: str, system: System) -> Sheet:
        hive = site.books.hive(hive_id)
        kind = kind_named(slug)
        if kind.of != "hive":
            raise UnknownNameError(f"a {kind.name} is about a yard, not a hive; open it from the yard's page")
        return blank(request, kind, site.books.yard(hive.yard), hive, system, pick_hive=False)

    def yard_sheet(request: Request, yard_id: str, slug: str, system: System) -> Sheet:
        yard = site.books.yard(yard_id)
        kind = kind_named(slug)
        pick = kind.of == "hive" and kind.name not in HIVE_OR_YARD
        return blank(request, kind, yard, None, system, pick_hive=pick)

    def correction_sheet(request: Request, entry_id: str, system: System) -> Sheet:
        old = site.books.entry(entry_id)
        kind = kind_named(forms.slug(old.kind))
        hive = site.books.hive(old.hive) if old.hive else None
        yard = site.books.yard(old.yard)
        sheet = blank(request, kind, yard, hive, system, pick_hive=False)
        fields = {f.name: forms.stored(sheet.fields[f.name], f, old.values.get(f.name), system) for f in kind.fields}
        at = old.at.astimezone(yard.zone).strftime("%Y-%m-%dT%H:%M")
        head = replace(sheet.head, at=at, who=old.who or sheet.head.who, note=old.note)
        return replace(sheet, fields=fields, head=head, corrects=old.id)

    @router.get("/hive/{hive_id:path}/write/{slug}")
    def hive_form(request: Request, hive_id: str, slug: str) -> Response:
        return show(request, blank_from_address(request, hive_sheet(request, hive_id, slug, site.units(request))))

    @router.post("/hive/{hive_id:path}/write/{slug}")
    def hive_written(request: Request, hive_id: str, slug: str, form: Sent) -> Response:
        return write(request, hive_sheet(request, hive_id, slug, u.system(form.get("form_units"))), form)

    @router.get("/hive/{hive_id:path}/look")
    def look_form(request: Request, hive_id: str) -> Response:
        return show(request, hive_sheet(request, hive_id, "look", site.units(request)))

    @router.post("/hive/{hive_id:path}/look")
    def look_written(request: Request, hive_id: str, form: Sent) -> Response:
        return write(request, hive_sheet(request, hive_id, "look", u.system(form.get("form_units"))), form)

    @router.get("/yard/{yard_id:path}/write/{slug}")
    def yard_form(request: Request, yard_id: str, slug: str) -> Response:
        return show(request, blank_from_address(request, yard_sheet(request, yard_id, slug, site.units(request))))

    @router.post("/yard/{yard_id:path}/write/{slug}")
    def yard_written(request: Request, yard_id: str, slug: str, form: Sent) -> Response:
        return write(request, yard_sheet(request, yard_id, slug, u.system(form.get("form_units"))), form)

    @router.get("/entry/{entry_id}/correct")
    def correction_form(request: Request, entry_id: str) -> Response:
        return show(request, correction_sheet(request, entry_id, site.units(request)))

    @router.post("/entry/{entry_id}/correct")
    def correction_written(request: Request, entry_id: str, form: Sent) -> Response:
        return write(request, correction_sheet(request, entry_id, u.system(form.get("form_units"))), form)

    @router.post("/entry/{entry_id}/{what}")
    def changed(request: Request, entry_id: str, what: str, form: Sent) -> Response:
        old = site.books.entry(entry_id)
        back = hive_address(old.hive) if old.hive else yard_address(old.yard)
        if what not in ("withdraw", "confirm", "restore"):
            raise UnknownNameError(f"an entry cannot be told to {what!r}; use withdraw, restore, confirm or correct")
        if not site.tokens.good(request, form.get("token")):
            text = "The page had been open too long, or cookies are off. Go back and press the button once more."
            return site.message(request, "Nothing was changed", text, 403, back)
        target: str | None = old.id
        if what == "restore":
            target = last_withdrawal(site, old)
            if target is None:
                return site.message(request, "Nothing to put back", "This entry is not withdrawn.", 409, back)
        try:
            new_id = tidy_uuid(first(form, "id"))
        except RecordsError:
            new_id = str(uuid.uuid4())
        zone = site.books.yard(old.yard).zone
        confirm, who = what == "confirm", request.cookies.get("who", "")[:80]
        entry = Entry(
            new_id, "confirm" if confirm else "withdraw", old.yard, old.hive, site.clock(zone), who, DEVICE, "metric",
            {"entry": old.id} if confirm else {}, None if confirm else target, "", datetime.now(UTC),
        )  # fmt: skip
        if known(site, new_id) is None:
            site.answers.enter(entry)
        return after(entry)

    return router


def after(entry: Entry) -> RedirectResponse:
    """On to the page of what the entry is about, where it can be taken back."""
    place = hive_address(entry.hive) if entry.hive else yard_address(entry.yard)
    if entry.kind in STORE_KINDS:
        place = "/coldbox"
    return go(f"{place}?entered={entry.id}")


STORE_KINDS: Final = frozenset({"batch", "cold box", "discarded", "stock count"})
"""Kinds about patties off the hive: what follows is on the cold box's page."""


def box_words(boxes: Sequence[BoxSpec]) -> list[str]:
    """The boxes of a hive as a form names them, bottom first."""
    last = len(boxes)
    where = {1: "bottom", last: "top"} if last > 1 else {}
    return [f"{b.frame} {where.get(i, i if last > 1 else '')}".strip() for i, b in enumerate(boxes, 1)]


def kind_named(slug: str) -> Kind:
    """The kind of an address; UnknownNameError names the known ones."""
    try:
        return forms.kind_of(slug)
    except KeyError as e:
        raise UnknownNameError(str(e.args[0])) from None


def known(site: Site, entry_id: str) -> Entry | None:
    """The entry of that id, if it is in the books."""
    try:
        return site.books.entry(entry_id)
    except UnknownNameError:
        return None


def same_content(there: Entry, given: Entry) -> bool:
    """Whether two entries say the same, whenever they were sent."""
    parts = ("kind", "yard", "hive", "at", "who", "values", "supersedes", "note")
    return all(getattr(there, p) == getattr(given, p) for p in parts)


def last_withdrawal(site: Site, entry: Entry) -> str | None:
    """The withdrawal that took this entry out, if one did."""
    if site.books.entry_and_state(entry.id)[1] != "withdrawn":
        return None
    everything = site.books.all_entries(kind="withdraw", yard=entry.yard)
    aimed = [e for e, _ in everything if e.supersedes == entry.id]
    return max(aimed, key=lambda e: e.written_at).id if aimed else None


def read_time(text: str, zone: ZoneInfo, latest: datetime) -> datetime:
    """A date and time as typed, at the yard; ValueError in a sentence when it cannot be."""
    try:
        at = datetime.fromisoformat(text)
    except ValueError:
        raise ValueError(f"{text or 'Nothing'!r} is not a date and time: write it like 2026-07-14T09:30.") from None
    at = at.replace(tzinfo=zone) if at.tzinfo is None else at
    if at > latest:
        raise ValueError(f"{text.replace('T', ' ')} is in the future: write when it was seen.")
    if at.year < 1950:
        raise ValueError(f"The year {at.year} is too long ago: correct the date.")
    return at


def sentence(error: Exception) -> str:
    """An error's words as a sentence."""
    text = str(error)
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")


def plant_choices(listed: object) -> tuple[tuple[str, str], ...]:
    """Plants to choose from in a bloom note, name and scientific name: those on the yard's list first.

    A note by another name is kept, but teaches nothing of when a listed plant flowers.
    """
    try:
        own = [s.plant for s in standing_of(listed)] if listed else []
    except ValueError:
        own = []
    rest = sorted((p for p in catalogue().values() if p.common not in {o.common for o in own}), key=lambda p: p.common)
    return tuple((p.common, p.scientific) for p in [*own, *rest])


def _called(hive: Hive) -> str:
    """A hive by its label, and by its name where it has another."""
    return hive.id if hive.name == hive.id else f"{hive.id}, {hive.name}"
