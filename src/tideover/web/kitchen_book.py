"""The ingredients book on pages: the table that ships, and the keeper's own, added, changed, taken out and put back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any
from urllib.parse import quote

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.patty.kitchen.files import parse
from tideover.patty.kitchen.ingredients import GROUPS, MINDS, IngredientError, pantry
from tideover.patty.kitchen.nutrients import AMINO, SAYS
from tideover.patty.kitchen.requirement import pattern
from tideover.patty.kitchen.shelf import kept, with_one, without, written
from tideover.patty.kitchen.task import TaskError
from tideover.web.book_pages import LOST
from tideover.web.entering import Sent
from tideover.web.kitchen_form import OWN_FIELDS, content_words, gone_name, label_text, score_text
from tideover.web.pages import Site, first, go


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    @router.get("/kitchen/book")
    def book_page(request: Request) -> Response:
        held = written(site.books.settings(), first(request.query_params, "change"))
        return book_shown(request, {n: label_text(v) for n, v in held.items()}, "")

    def book_shown(request: Request, typed: Mapping[str, str], problem: str, status: int = 200) -> Response:
        own, unread = kept(site.books.settings())
        gone = first(request.query_params, "gone")
        return site.page(
            request, "kitchen_book.html", status, tab="/kitchen", own=own, table=pantry(), typed=typed, problem=problem,
            unread=unread, groups=GROUPS, minds=MINDS, says=SAYS, content=content_words, fields=OWN_FIELDS, amino=AMINO,
            gone=gone, gone_name=gone_name(gone), score=score_text, held=pattern().title,
            everything=[*pantry().values(), *own],
        )  # fmt: skip

    @router.post("/kitchen/book")
    def book_written(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return book_shown(request, form, LOST, 403)
        raw: dict[str, Any] = {
            n: first(form, n) for n in ("name", "group", "like", "mind", "allergen", "simple", "note") if first(form, n)
        }
        raw |= {n: first(form, n) for n in (*OWN_FIELDS, *AMINO) if first(form, n)}
        try:
            site.plans.keep(with_one(site.books.settings(), raw))
        except IngredientError as error:
            return book_shown(request, form, str(error), 422)
        return go("/kitchen/book#own")

    @router.post("/kitchen/book/remove")
    def book_removed(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/kitchen/book")
        settings, name = site.books.settings(), first(form, "name")
        site.plans.keep(without(settings, name))
        gone = json.dumps(written(settings, name), separators=(",", ":"), ensure_ascii=False)
        return go(f"/kitchen/book?gone={quote(gone)}#own")

    @router.post("/kitchen/book/back")
    def book_back(request: Request, form: Sent) -> Response:
        """One's own ingredient as it was before it was taken out."""
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Nothing was changed", LOST, 403, "/kitchen/book")
        try:
            site.plans.keep(with_one(site.books.settings(), parse(first(form, "gone"), "the page")))
        except (TaskError, IngredientError) as error:
            return site.message(request, "Nothing was changed", str(error), 422, "/kitchen/book")
        return go("/kitchen/book#own")

    return router
