"""The kitchen: work out a patty, print its sheet, keep own ingredients, make syrup.

A mix lives in its address, as the very task a file holds, so that it can be kept, sent and printed; nothing is
written in the books until the keeper says that the calls shall reckon with it.
"""

from __future__ import annotations

import json
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.patty.kitchen import syrup as syrups
from tideover.patty.kitchen import words
from tideover.patty.kitchen.batch import Sheet, sheet
from tideover.patty.kitchen.cautions import ALWAYS
from tideover.patty.kitchen.files import parse
from tideover.patty.kitchen.formulate import Mix, formulate
from tideover.patty.kitchen.ingredients import CONFIRM, GROUPS, MINDS, Ingredient, IngredientError, pantry
from tideover.patty.kitchen.nutrients import AMINO, SAYS
from tideover.patty.kitchen.requirement import patterns
from tideover.patty.kitchen.shelf import for_the_calls, kept, with_one, without
from tideover.patty.kitchen.task import AIMS, DEFAULT_LIMITS, LIMITS, POUND_KG, TaskError, read_task
from tideover.patty.kitchen.worth import pollen_worth
from tideover.web import units as u
from tideover.web.book_pages import LOST
from tideover.web.entering import Sent
from tideover.web.forms import slug
from tideover.web.pages import Site, first, go
from tideover.web.units import System

USUAL: Final = (
    "soy flour, defatted",
    "yeast, brewer's, dried",
    "egg white, dried",
    "white sugar",
    "rapeseed oil",
    "water",
)
"""Ticked when the page is opened for the first time."""
LONGEST: Final = 20000
"""Characters of a mix in an address."""
LIMIT_FIELDS: Final = tuple(
    key for key in LIMITS if key not in ("softness_max", "crystals_max", "fibre_max", "lactose_max")
)
COMPOSITION: Final = ("protein", "sugar", "water", "fat", "fibre", "ash", "salt", "toxic", "la", "ala")
GALLON: Final = syrups.GALLON_L


@dataclass(frozen=True)
class Line:
    """An ingredient in the form, with what was typed."""

    name: str
    slug: str
    use: bool
    typed: Mapping[str, str]
    ask: bool
    confirmed: bool
    hint: str
    says: str


def unit(units: System) -> str:
    """The unit of weights in the forms."""
    return "lb" if units == "us" else "kg"


def shown(raw: Mapping[str, Any], name: str, units: System) -> str:
    """A weight, or a price per weight, of a task as the form shows it: as typed, or turned into the reader's unit."""
    wanted = unit(units)
    if raw.get(f"{name}_{wanted}") is not None:
        return _text(raw[f"{name}_{wanted}"])
    sizes = {"kg": 1.0, "g": 1e-3, "lb": POUND_KG, "oz": POUND_KG / 16.0}
    for suffix, size in sizes.items():
        value = raw.get(f"{name}_{suffix}")
        if value is None or value == "":
            continue
        try:
            number = float(value)
        except (TypeError, ValueError):
            return _text(value)
        ratio = size / sizes[wanted]
        return f"{number / ratio if name == 'price' else number * ratio:.4g}"
    return ""


def _text(value: Any) -> str:
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def lines(raw: Mapping[str, Any], own: list[Ingredient], units: System, fresh: bool) -> list[Line]:
    """Every ingredient of the book as the form shows it."""
    given = raw.get("ingredients")
    by_name: dict[str, Mapping[str, Any]] = {}
    for one in given if isinstance(given, list) else []:
        table = {"name": one} if isinstance(one, str) else one
        if isinstance(table, Mapping):
            by_name[str(table.get("name", "")).strip().lower()] = table
    found = []
    for one in [*own, *pantry().values()]:
        held = by_name.get(one.name.lower(), {})
        typed = {n: shown(held, n, units) for n in ("price", "stock", "bag", "amount")}
        typed |= {n: _text(held.get(n)) for n in ("min", "max")}
        hint = ""
        if one.hint and one.hint[1] > 0.0:
            low, high = (h * (POUND_KG if units == "us" else 1.0) for h in one.hint)
            hint = f"{low:.2g} to {high:.2g} in US dollars, bulk to small pack (from memory; put your own)"
        use = one.name in USUAL if fresh else bool(held)
        mind = MINDS.get(one.mind, "")
        found.append(
            Line(
                one.name, slug(one.name), use, typed, one.mind == CONFIRM, held.get("confirmed") is True, hint,
                " ".join(t for t in (one.says[:1].upper() + one.says[1:] + ".", mind, one.note) if t),
            )
        )  # fmt: skip
    # what is in the mix stands first
    return sorted(found, key=lambda line: not line.use)


def task_from_form(form: Mapping[str, str], own: list[Ingredient]) -> dict[str, Any]:
    """The task a form asks for, with what was typed as it was typed; empty fields are left out."""
    w = "lb" if form.get("form_units") == "us" else "kg"
    raw: dict[str, Any] = {}
    for name in ("name", "aim", "budget", "currency", "requirement"):
        if text := first(form, name):
            raw[name] = text
    for name in ("batch", "piece"):
        if text := first(form, name):
            raw[f"{name}_{w}"] = text
    if text := first(form, "chance"):
        raw["chance_max"] = _percent(text)
    limits: dict[str, Any] = {}
    for key in LIMIT_FIELDS:
        if f"limit_{key}" in form:
            text = first(form, f"limit_{key}")
            if text != (f"{DEFAULT_LIMITS[key]:g}" if key in DEFAULT_LIMITS else ""):
                limits[key] = text or "none"
    if limits:
        raw["limits"] = limits
    chosen = []
    for one in [*own, *pantry().values()]:
        s = slug(one.name)
        if not form.get(f"use_{s}"):
            continue
        item: dict[str, Any] = {"name": one.name}
        for name in ("price", "stock", "bag", "amount"):
            if text := first(form, f"{name}_{s}"):
                item[f"{name}_{w}"] = text
        for name in ("min", "max"):
            if text := first(form, f"{name}_{s}"):
                item[name] = text
        if form.get(f"confirmed_{s}"):
            item["confirmed"] = True
        chosen.append(item)
    raw["ingredients"] = chosen
    return raw


def _percent(text: str) -> float | str:
    try:
        return float(text.replace(",", ".")) / 100.0
    except ValueError:
        return text


def address(raw: Mapping[str, Any]) -> str:
    """The page of a mix."""
    return "/kitchen?mix=" + quote(json.dumps(raw, separators=(",", ":"), ensure_ascii=False))


def limit_lines(raw: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    """Key, words and typed level of each limit in the form."""
    held = raw.get("limits")
    given = held if isinstance(held, Mapping) else {}
    found = []
    for key in LIMIT_FIELDS:
        usual = f"{DEFAULT_LIMITS[key]:g}" if key in DEFAULT_LIMITS else ""
        value = _text(given[key]) if key in given else usual
        side = "at least" if key.endswith("_min") else "at most"
        percent = "" if key in ("score_min", "omega_ratio_max", "softness_min") else ", %"
        says = LIMITS[key]
        found.append((key, f"{says[:1].upper()}{says[1:]} {side}{percent}", "" if value == "none" else value))
    return found


def weighed(kilograms: float, units: System) -> str:
    """A weight as on the printed sheet."""
    from tideover.paper.batch import weighed as on_paper

    return on_paper(kilograms, units)


def cost_words(mix: Mix, made: Sheet, units: System) -> str:
    """What the batch costs, as on the printed sheet."""
    from tideover.paper.batch import money

    return money(mix, made, units)


@dataclass(frozen=True)
class SyrupLine:
    """A syrup as the page shows it."""

    says: str
    sugar: str
    water: str
    volume: str
    strength: str
    density: str
    stores: str
    note: str


def syrup_line(says: str, made: syrups.Syrup, units: System) -> SyrupLine:
    """A syrup in the reader's units."""
    likely, least, most = made.stores_kg
    us = units == "us"
    f = POUND_KG if us else 1.0
    w = "lb" if us else "kg"
    water_l = made.water_kg / syrups.density_kg_l(0.0)
    if us:
        water = f"{made.water_kg / f:.2f} lb ({water_l / GALLON * 4:.2f} qt)"
    else:
        water = f"{made.water_kg:.2f} kg ({water_l:.2f} L)"
    return SyrupLine(
        says, f"{made.sugar_kg / f:.2f} {w}", water,
        f"{made.litres / GALLON:.2f} gal" if us else f"{made.litres:.2f} L", f"{100 * made.fraction:.1f} %",
        f"{made.sugar_kg / f / (made.litres / GALLON):.2f} lb sugar a gallon" if us
        else f"{1000 * made.sugar_kg / made.litres:.0f} g sugar a litre",
        f"{likely / f:.1f} {w} ({least / f:.1f} to {most / f:.1f})",
        "" if made.dissolves else "more sugar than stays dissolved at 20 °C (68 °F): it will crystallise",
    )  # fmt: skip


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

    def worked(request: Request) -> tuple[dict[str, Any], Mix | None, list[str]]:
        raw, problems = asked(request)
        if not raw or problems:
            return raw, None, problems
        own, _ = kept(site.books.settings())
        try:
            return raw, formulate(read_task(raw, own)), []
        except TaskError as error:
            return raw, None, list(error.problems)

    @router.get("/kitchen")
    def kitchen(request: Request) -> Response:
        raw, mix, problems = worked(request)
        units = site.units(request)
        own, unread = kept(site.books.settings())
        best = mix if mix is None or mix.found else mix.instead
        used = "used" in request.query_params
        return site.page(
            request, "kitchen.html", 422 if problems else 200, tab="/kitchen", raw=raw, mix=mix, best=best,
            made=sheet(best, site.desk.today()) if best is not None else None, problems=problems, unread=unread,
            lines=lines(raw, own, units, not raw), limits=limit_lines(raw), aims=AIMS, requirements=patterns(),
            unit=unit(units), batch=shown(raw, "batch", units) or ("" if raw else "22" if units == "us" else "10"),
            piece=shown(raw, "piece", units) or ("" if raw else "1" if units == "us" else "0.45"),
            chance=_chance_text(raw), weighed=weighed, cost_words=cost_words, words=words, says=SAYS, amino=AMINO,
            composition=COMPOSITION, text=_text, used=used, task=json.dumps(raw, ensure_ascii=False),
            here_mix=quote(json.dumps(raw, separators=(",", ":"), ensure_ascii=False)) if raw else "",
            cautions=ALWAYS,
        )  # fmt: skip

    @router.post("/kitchen")
    def asked_for(request: Request, form: Sent) -> Response:
        own, _ = kept(site.books.settings())
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Not worked out", LOST, 403, "/kitchen")
        return go(address(task_from_form(form, own)))

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
        site.books.put_settings(for_the_calls(mix, pollen_worth(mix)))
        return go(address(raw) + "&used=1")

    @router.get("/kitchen/batch.pdf")
    def printed(request: Request) -> Response:
        from tideover.paper.batch import batch_sheet

        _, mix, problems = worked(request)
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

    @router.get("/kitchen/book")
    def book_page(request: Request) -> Response:
        return book_shown(request, {}, "")

    def book_shown(request: Request, typed: Mapping[str, str], problem: str, status: int = 200) -> Response:
        own, unread = kept(site.books.settings())
        return site.page(
            request, "kitchen_book.html", status, tab="/kitchen", own=own, table=pantry(), typed=typed, problem=problem,
            unread=unread, groups=GROUPS, minds=MINDS, says=SAYS, content=content_words, fields=OWN_FIELDS, amino=AMINO,
        )  # fmt: skip

    @router.post("/kitchen/book")
    def book_written(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return book_shown(request, form, LOST, 403)
        raw: dict[str, Any] = {
            n: first(form, n) for n in ("name", "group", "like", "mind", "allergen") if first(form, n)
        }
        raw |= {n: first(form, n) for n in (*OWN_FIELDS, *AMINO) if first(form, n)}
        try:
            site.books.put_settings(with_one(site.books.settings(), raw))
        except IngredientError as error:
            return book_shown(request, form, str(error), 422)
        return go("/kitchen/book#own")

    @router.post("/kitchen/book/remove")
    def book_removed(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/kitchen/book")
        site.books.put_settings(without(site.books.settings(), first(form, "name")))
        return go("/kitchen/book#own")

    @router.get("/kitchen/syrup")
    def syrup_page(request: Request) -> Response:
        units = site.units(request)
        q = request.query_params
        amount = first(q, "amount") or ("1" if units == "us" else "4")
        sugar, water, how = first(q, "sugar") or "2", first(q, "water") or "1", first(q, "how") or "weight"
        problem, own = "", None
        size = GALLON if units == "us" else 1.0
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

    return router


OWN_FIELDS: Final = ("water", "protein", "fat", "fibre", "ash", "sugar", "lactose", "harmful", "salt", "la", "ala")
"""What the form for an ingredient of one's own asks, besides amino acids."""


def content_words(ingredient: Ingredient, nutrient: str) -> str:
    """A content as the book's page shows it: a number, or the range of what is not known."""
    c = ingredient[nutrient]
    if c.value is None:
        return f"not known ({u.plain(c.low, 1)}–{u.plain(c.high, 1)})" if c.high > 0.0 else "0"
    text = u.plain(c.value, 2)
    return text if c.high - c.low < 0.005 else f"{text} ({u.plain(c.low, 1)}–{u.plain(c.high, 1)})"


def _chance_text(raw: Mapping[str, Any]) -> str:
    value = raw.get("chance_max")
    if value is None:
        return "" if raw else "10"
    return f"{100 * value:g}" if isinstance(value, int | float) else str(value)
