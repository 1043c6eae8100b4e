"""What every page has in common: the templates, the reader's units, names and cookies."""

from __future__ import annotations

import hashlib
import uuid
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote
from zoneinfo import ZoneInfo

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse

from tideover.records import Books
from tideover.records.own_units import own_first
from tideover.web import say
from tideover.web import units as u
from tideover.web.answers import Answers
from tideover.web.desk_like import DeskLike
from tideover.web.forms import slug
from tideover.web.guard import COOKIE, Tokens
from tideover.web.icons import icon
from tideover.web.plans import Plans
from tideover.web.units import System

HERE: Final = Path(__file__).parent
YEAR_S: Final = 366 * 24 * 3600
PATIENCE_S: Final = 1.5
"""A page waits this long for something slow before it shows how far it has got [s]."""


def assets() -> str:
    """A mark that changes with the style sheet and script, so that a browser never keeps an old one."""
    found = hashlib.sha256()
    for file in sorted((HERE / "static").iterdir()):
        found.update(file.read_bytes())
    return found.hexdigest()[:10]


class Site:
    """Desk, answers, tokens and templates: what the routes are given."""

    def __init__(self, desk: DeskLike, tokens: Tokens | None = None, patience_s: float = PATIENCE_S) -> None:
        self.desk = desk
        self.answers = Answers(desk, patience_s)
        self.patience_s = patience_s
        self.plans = Plans(desk, self.answers, patience_s)
        self.tokens = tokens or Tokens()
        self.templates = Environment(
            loader=FileSystemLoader(HERE / "templates"),
            autoescape=select_autoescape(default=True),
            undefined=StrictUndefined,
            trim_blocks=True,
            lstrip_blocks=True,
        )
        self.templates.filters["own"] = own_first
        self.templates.globals.update(
            say=say, u=u, icon=icon, slug=slug, new_id=lambda: str(uuid.uuid4()), assets=assets()
        )

    @property
    def books(self) -> Books:
        """The books behind the desk."""
        return self.desk.books

    def units(self, request: Request) -> System:
        """The reader's units: what this browser chose, else what the books say, else metric."""
        chosen = request.cookies.get("units")
        return u.system(chosen if chosen in u.SYSTEMS else str(self.books.settings().get("units", "metric")))

    def page(self, request: Request, template: str, status: int = 200, **values: Any) -> HTMLResponse:
        """A page from a template, with the cookie its forms need."""
        context: dict[str, Any] = {
            "units": self.units(request),
            "csrf": self.tokens.make(request),
            "here": here(request),
            "tab": values.pop("tab", request.url.path),
        }
        context.update(values)
        answer = HTMLResponse(self.templates.get_template(template).render(context), status_code=status)
        keep(answer, COOKIE, self.tokens.reader(request))
        return answer

    def message(self, request: Request, title: str, text: str, status: int, back: str = "/") -> HTMLResponse:
        """A page with one sentence and a way back."""
        word = "To the round" if back == "/" else "Back"
        return self.page(request, "message.html", status, title=title, text=text, back=back, back_word=word)

    def clock(self, zone: ZoneInfo) -> datetime:
        """The time a form starts with: the desk's day, at the hour it is now in that zone."""
        now = datetime.now(zone)
        day = self.desk.today()
        return now if now.date() == day else datetime.combine(day, now.time(), zone)

    def latest(self, zone: ZoneInfo) -> datetime:
        """The last moment an entry may be dated: now, or the end of the desk's own day if that is later."""
        end = datetime.combine(self.desk.today() + timedelta(days=1), datetime.min.time(), zone)
        return max(datetime.now(zone) + timedelta(minutes=10), end)


def here(request: Request) -> str:
    """The page's own address, for coming back to it."""
    query = request.url.query
    return quote(request.url.path) + (f"?{query}" if query else "")


def keep(answer: HTMLResponse | RedirectResponse, name: str, value: str) -> None:
    """Set a cookie of ours: this site only, out of reach of scripts."""
    answer.set_cookie(name, value, max_age=YEAR_S, httponly=True, samesite="lax")


def local(address: str | None, otherwise: str = "/") -> str:
    """An address on this site, or ``otherwise`` when it points elsewhere."""
    if address and address.startswith("/") and not address.startswith(("//", "/\\")) and "\n" not in address:
        return address
    return otherwise


def go(address: str) -> RedirectResponse:
    """After a post, on to a page (303, so that a reload does not send again)."""
    return RedirectResponse(address, status_code=303)


def hive_address(hive_id: str) -> str:
    """The address of a hive's page."""
    return f"/hive/{quote(hive_id, safe='')}"


def yard_address(yard_id: str) -> str:
    """The address of a yard's page."""
    return f"/yard/{quote(yard_id, safe='')}"


def day_of(text: str | None) -> date | None:
    """A date from an address, or None when it is none."""
    try:
        return date.fromisoformat(text) if text else None
    except ValueError:
        return None


def first(mapping: Mapping[str, str], name: str) -> str:
    """A trimmed text from a form or address; empty when it is not there."""
    return (mapping.get(name) or "").strip()
