"""The calendar: a feed at an address that cannot be guessed, the file itself, and a page that tells both."""

from __future__ import annotations

import threading
from collections.abc import Mapping
from datetime import date, datetime
from typing import Any, Final

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import PlainTextResponse, Response

from tideover.desk.rounds_view import Rounds
from tideover.desk.views import PattyStay
from tideover.paper.calendar import Published
from tideover.paper.calendar_file import calendar, fits, token
from tideover.records import Books
from tideover.web.answers import Working
from tideover.web.book_pages import LOST
from tideover.web.entering import Sent
from tideover.web.pages import Site, go

KIND: Final = "text/calendar; charset=utf-8"
AGAIN_S: Final = 60
SHOWN: Final = 40


class Keeping:
    """The desk as a calendar asks of it; what it remembers as sent leaves calls and plan as they are."""

    def __init__(self, site: Site) -> None:
        self.site = site

    @property
    def books(self) -> Books:
        """The books that are open."""
        return self.site.books

    def today(self) -> date:
        """The day the answers are for."""
        return self.site.desk.today()

    def pieces_on(self) -> Mapping[str, PattyStay]:
        """The piece now on each hive."""
        return self.site.desk.pieces_on()

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on."""
        self.site.plans.keep(settings)


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    lock = threading.Lock()

    def written(publish: bool) -> tuple[bytes, list[Published]] | None:
        """The calendar; None while the rounds are still being worked out."""
        ready, made = coming(site)
        if not ready:
            return None
        with lock:
            return calendar(Keeping(site), lambda: made, _now(), publish=publish)

    @router.get("/calendar")
    def the_calendar(request: Request) -> Response:
        made = written(publish=False)
        if made is None:
            return site.page(request, "working.html", title="Working out the round", done=0, total=0, what="")
        address = f"{request.url.scheme}://{request.url.netloc}/calendar/{token(Keeping(site))}.ics"
        today = site.desk.today()
        ahead = [p for p in made[1] if not p.cancelled and p.event.over(today) <= 0]
        return site.page(
            request, "calendar.html", address=address, coming=ahead[:SHOWN], more=max(0, len(ahead) - SHOWN),
            renewed="renewed" in request.query_params,
        )  # fmt: skip

    @router.get("/calendar/rounds.ics")
    def the_file(request: Request) -> Response:
        made = written(publish=True)
        return _later() if made is None else _answer(made[0], "rounds.ics")

    @router.post("/calendar/anew")
    def renew(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "The address was not changed", LOST, 403, back="/calendar")
        token(Keeping(site), anew=True)
        return go("/calendar?renewed=1")

    @router.get("/calendar/{given}.ics")
    def the_feed(request: Request, given: str) -> Response:
        if not fits(Keeping(site), given):
            # The same words for a wrong address as for none: nothing is told to whoever guesses.
            return PlainTextResponse("There is no calendar at this address.", status_code=404)
        made = written(publish=False)
        return _later() if made is None else _answer(made[0])

    return router


def coming(site: Site) -> tuple[bool, Rounds | None]:
    """Whether the coming rounds are known, and what they are: the plan that the page of the rounds shows."""
    if not site.books.hives():
        return True, None
    view = site.answers.round()
    made = None if isinstance(view, Working) else site.plans.now(view)
    return made is not None, made


def _now() -> datetime:
    return datetime.now().astimezone()


def _answer(made: bytes, name: str = "") -> Response:
    headers = {"cache-control": "no-store, private"}
    if name:
        headers["content-disposition"] = f'attachment; filename="{name}"'
    return Response(made, media_type=KIND, headers=headers)


def _later() -> Response:
    text = "The round is still being worked out; ask again in a minute."
    return PlainTextResponse(text, status_code=503, headers={"retry-after": str(AGAIN_S)})
