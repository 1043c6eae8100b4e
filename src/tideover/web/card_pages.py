"""The field card of a hive as a page: what to do for each look, to be opened before the signal is gone."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.paper.cards import holds, one_for_all
from tideover.plan.cards.card import Answer
from tideover.plan.cards.looks import JELLY_SEEN, POLLEN
from tideover.web import units as u
from tideover.web.pages import Site
from tideover.web.reading import next_in_yard
from tideover.web.units import System


def given(answer: Answer, units: System) -> str:
    """What is laid on or given, in the reader's units."""
    if answer.action == "give sugar":
        return u.honey(answer.grams / 1000.0, units)
    return u.patty(answer.grams, units)


def card_words() -> dict[str, Any]:
    """What the templates of a card need besides the card."""
    return {"given": given, "holds": holds, "one_for_all": one_for_all, "pollens": POLLEN, "jellies": JELLY_SEEN}


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    site.templates.globals.update(card_words())

    @router.get("/hive/{hive_id:path}/card")
    def a_card(request: Request, hive_id: str) -> Response:
        site.books.hive(hive_id)
        line = site.answers.hive(hive_id).line
        return site.page(request, "card.html", tab="/", line=line, next_hive=next_in_yard(site, line.yard, hive_id))

    return router
