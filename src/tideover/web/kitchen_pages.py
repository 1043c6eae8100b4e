"""The kitchen: work out a patty, print its sheet, keep own ingredients, make syrup.

A mix lives in its address, as the very task a file holds, so that it can be kept, sent and printed; nothing is
written in the books until the keeper says that the calls shall reckon with it.
"""

from __future__ import annotations

import json
import tempfile
import uuid
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.usual import stock_view
from tideover.desk.weighing import weight
from tideover.figures.units import GALLON_L
from tideover.patty.kitchen import syrup as syrups
from tideover.patty.kitchen import words
from tideover.patty.kitchen.batch import Sheet, Weighing, sheet
from tideover.patty.kitchen.cautions import ALWAYS
from tideover.patty.kitchen.files import parse
from tideover.patty.kitchen.formulate import Mix, formulate
from tideover.patty.kitchen.give_way import with_changes
from tideover.patty.kitchen.nutrients import AMINO, SAYS
from tideover.patty.kitchen.requirement import patterns
from tideover.patty.kitchen.shelf import (
    USED,
    for_the_books,
    for_the_calls,
    kept,
    label_name,
    remembered,
    with_prices,
)
from tideover.patty.kitchen.task import AIMS, TaskError, read_task
from tideover.patty.kitchen.worth import pollen_worth
from tideover.plan.settings import Settings, SettingsError
from tideover.records import Entry, RecordsError, ValuesError, parse_values
from tideover.web.book_pages import LOST, kept_settings
from tideover.web.entering import DEVICE, Sent, after
from tideover.web.kitchen_book import routes as book_routes
from tideover.web.kitchen_form import (
    COMPOSITION,
    LONGEST,
    address,
    as_text,
    chance_text,
    chosen_pattern,
    limit_lines,
    lines,
    need_lines,
    shown,
    task_from_form,
    unit,
)
from tideover.web.kitchen_syrup import syrup_line
from tideover.web.pages import Site, first, go
from tideover.web.units import System


def weighed(kilograms: float, units: System) -> str:
    """A weight as on the printed sheet."""
    from tideover.paper.batch import weighed as on_paper

    return on_paper(kilograms, units)


def cost_words(mix: Mix, made: Sheet, units: System) -> str:
    """What the batch costs, as on the printed sheet."""
    from tideover.paper.batch import money

    return money(mix, made, units)


def bought(one: Weighing, units: System) -> str:
    """What to buy of an ingredient, as on the printed sheet."""
    from tideover.paper.batch import buying

    return buying(one, units)


def pieces(made: Sheet, units: System) -> str:
    """The pieces it makes, as on the printed sheet."""
    from tideover.paper.batch import piece_words

    return piece_words(made, units)


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    def asked(request: Request) -> tuple[dict[str, Any], list[str]]:
        text = first(request.query_params, "mix")
        if not text:
            return {}, []
        if len(text) > LONGEST:
            return {}, ["this address is too long to be a mix; start again."]
        try:
            return dict(parse(text, "the address")), []
        except TaskError as error:
            return {}, list(error.problems)

    def worked(request: Request, prices: bool = True) -> tuple[dict[str, Any], Mix | None, list[str]]:
        raw, problems = asked(request)
        if not raw or problems:
            return raw, None, problems
        own, _ = kept(site.books.settings())
        try:
            return raw, formulate(read_task(raw, own), prices), []
        except TaskError as error:
            return raw, None, list(error.problems)

    @router.get("/kitchen")
    def kitchen(request: Request) -> Response:
        raw, mix, problems = worked(request)
        units = site.units(request)
        own, unread = kept(site.books.settings())
        best = mix if mix is None or mix.found else mix.instead
        used = "used" in request.query_params
        settings = kept_settings(site)
        return site.page(
            request, "kitchen.html", 422 if problems else 200, tab="/kitchen", raw=raw, mix=mix, best=best,
            made=sheet(best, site.desk.today()) if best is not None else None, problems=problems, unread=unread,
            lines=lines(raw, own, units, not raw, remembered(site.books.settings())),
            limits=limit_lines(raw), aims=AIMS, requirements=patterns(),
            needs=need_lines(raw), chosen=chosen_pattern(raw),
            unit=unit(units), batch=shown(raw, "batch", units) or ("" if raw else "22" if units == "us" else "10"),
            piece=shown(raw, "piece", units) or ("" if raw else "1" if units == "us" else "0.45"),
            chance=chance_text(raw), weighed=weighed, cost_words=cost_words, buying=bought, piece_words=pieces,
            words=words, says=SAYS, amino=AMINO,
            composition=COMPOSITION, text=as_text, used=used, task=json.dumps(raw, ensure_ascii=False),
            here_mix=quote(json.dumps(raw, separators=(",", ":"), ensure_ascii=False)) if raw else "",
            cautions=ALWAYS, yards=[(y.id, y.name) for y in site.books.yards()],
            label=label_name(best.task.name) if best is not None else "", was=first(request.query_params, "was"),
            put_back="back" in request.query_params, stock=stock_view(site.books, site.desk.today(), settings),
            settings=settings,
            give_way=address(with_changes(raw, mix.changes)) if mix is not None and mix.changes else "",
            stock_weight=lambda g: weight(g, units), mix_address=address,
        )  # fmt: skip

    @router.post("/kitchen")
    def asked_for(request: Request, form: Sent) -> Response:
        own, _ = kept(site.books.settings())
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Not worked out", LOST, 403, "/kitchen")
        raw = task_from_form(form, own)
        if first(form, "remember"):
            site.plans.keep(with_prices(site.books.settings(), raw))
        return go(address(raw))

    @router.post("/kitchen/use")
    def use(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/kitchen")
        own, _ = kept(site.books.settings())
        try:
            raw = parse(first(form, "task"), "the page")
            mix = formulate(read_task(raw, own), prices=False)
        except TaskError as error:
            return site.message(request, "Nothing was changed", error.problems[0], 422, "/kitchen")
        if not mix.found:
            text = "There is no mix that meets these limits; change them, then use it."
            return site.message(request, "Nothing was changed", text, 422, "/kitchen")
        given = for_the_calls(mix, pollen_worth(mix))
        held = kept_settings(site).to_mapping()
        site.books.put_settings(given)
        was = json.dumps({name: held[name] for name in given}, separators=(",", ":"))
        return go(address(raw) + "&used=1&was=" + quote(was))

    @router.post("/kitchen/use/back")
    def use_no_more(request: Request, form: Sent) -> Response:
        """The settings as they stood before a batch was used for the calls."""
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/kitchen")
        try:
            was = parse(first(form, "was"), "the page")
            wanted = {name: was[name] for name in USED if name in was}
            Settings.from_mapping(wanted)
        except (TaskError, SettingsError) as error:
            return site.message(request, "Nothing was changed", error.problems[0], 422, "/kitchen")
        site.books.put_settings(wanted)
        return go("/kitchen?back=1")

    @router.post("/kitchen/keep")
    def keep_it(request: Request, form: Sent) -> Response:
        """The batch as an entry in the books, at the yard whose store it goes to; undone like any entry."""
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was written", LOST, 403, "/kitchen")
        own, _ = kept(site.books.settings())
        try:
            raw = parse(first(form, "task"), "the page")
            mix = formulate(read_task(raw, own), prices=False)
        except TaskError as error:
            return site.message(request, "Nothing was written", error.problems[0], 422, "/kitchen")
        if not mix.found:
            text = "There is no mix that meets these limits; change them, then write it down."
            return site.message(request, "Nothing was written", text, 422, "/kitchen")
        try:
            yard = site.books.yard(first(form, "yard"))
            given = for_the_books(mix, sheet(mix), first(form, "batch"), site.desk.today(), raw)
            values = parse_values(
                "batch", {k: v if isinstance(v, str) else repr(v) for k, v in given.items()}, "metric"
            )
            entry = Entry(
                str(uuid.uuid4()), "batch", yard.id, None, site.clock(yard.zone), request.cookies.get("who", "")[:80],
                DEVICE, site.units(request), values, None, "", datetime.now(UTC),
            )  # fmt: skip
            site.answers.enter(entry)
        except ValuesError as error:
            text = "; ".join(f"{p.what}: {p.remedy}" for p in error.problems) + "."
            return site.message(request, "Nothing was written", text, 422, address(raw))
        except RecordsError as error:
            return site.message(request, "Nothing was written", f"{error}.", 422, address(raw))
        return after(entry)

    @router.get("/kitchen/batch.pdf")
    def printed(request: Request) -> Response:
        from tideover.paper.batch import batch_sheet

        _, mix, problems = worked(request, prices=False)
        best = mix if mix is None or mix.found else mix.instead
        if best is None:
            text = problems[0] if problems else "There is no mix to print yet."
            return site.message(request, "Nothing to print", text, 422, "/kitchen")
        paper = "letter" if first(request.query_params, "paper") == "letter" else "a4"
        with tempfile.TemporaryDirectory(prefix="tideover-batch-") as folder:
            path = batch_sheet(best, Path(folder) / "batch.pdf", site.units(request), paper, site.desk.today())
            data = path.read_bytes()
        headers = {"content-disposition": 'inline; filename="batch.pdf"'}
        return Response(data, media_type="application/pdf", headers=headers)

    @router.get("/kitchen/mix.json")
    def as_file(request: Request) -> Response:
        raw, _ = asked(request)
        headers = {"content-disposition": 'attachment; filename="mix.json"'}
        text = json.dumps(raw, indent=2, ensure_ascii=False)
        return Response(text, media_type="application/json", headers=headers)

    @router.get("/kitchen/syrup")
    def syrup_page(request: Request) -> Response:
        units = site.units(request)
        q = request.query_params
        amount = first(q, "amount") or ("1" if units == "us" else "4")
        sugar, water, how = first(q, "sugar") or "2", first(q, "water") or "1", first(q, "how") or "weight"
        problem, own = "", None
        size = GALLON_L if units == "us" else 1.0
        try:
            numbers = [float(t.replace(",", ".")) for t in (sugar, water, amount)]
            if not all(0.0 < n <= 10000.0 for n in numbers):
                raise ValueError(
                    "got a number that is not above 0 and at most 10,000; put an amount of sugar and of water."
                )
            make = syrups.by_volume if how == "volume" else syrups.by_weight
            own = syrup_line(f"{sugar}:{water} by {how}", make(numbers[0], numbers[1], numbers[2] * size), units)
        except ValueError as error:
            problem = (
                str(error) if "got" in str(error) or "wanted" in str(error) else "put numbers, such as 2, 1 and 4."
            )
        table = [
            syrup_line(f"{a:g}:{b:g} by {name}", make(a, b, size), units)
            for name, make in (("weight", syrups.by_weight), ("volume", syrups.by_volume))
            for a, b in ((1.0, 1.0), (3.0, 2.0), (2.0, 1.0))
        ]
        return site.page(
            request, "kitchen_syrup.html", 422 if problem else 200, tab="/kitchen", own=own, table=table,
            problem=problem,
            sugar=sugar, water=water, how=how, amount=amount, volume="US gallons" if units == "us" else "litres",
            cautions=ALWAYS,
        )  # fmt: skip

    router.include_router(book_routes(site))
    return router
