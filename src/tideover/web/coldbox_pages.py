"""The cold box: what lies in the freezer, what may go back, what must go, what is missing; and the life of a piece."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.desk.coldbox import ColdBoxView, Frozen, OnHive, cold_box, piece_life
from tideover.desk.coldbox_words import accounts
from tideover.desk.usual import stock_view
from tideover.desk.weighing import weight
from tideover.patty.kitchen.words import worth_words
from tideover.patty.ledger.holes import Fix
from tideover.web.book_pages import kept_settings
from tideover.web.forms import slug
from tideover.web.kitchen_form import address
from tideover.web.pages import Site, hive_address, yard_address
from tideover.web.reading import done_of


def form_address(
    kind: str, hive: str | None, yard: str, values: Mapping[str, float | str], at: datetime | None = None
) -> str:
    """The address of a form with what is known filled in (canonical units)."""
    place = hive_address(hive) if hive else yard_address(yard)
    given = {k: f"{v:g}" if isinstance(v, float) else v for k, v in values.items()}
    if at is not None:
        given["at"] = at.strftime("%Y-%m-%dT%H:%M")
    return f"{place}/write/{slug(kind)}" + (f"?{urlencode(given)}" if given else "")


def fix_address(fix: Fix, zone: ZoneInfo) -> str:
    """The form that closes a hole, filled in."""
    return form_address(fix.kind, fix.hive, fix.yard, fix.values, fix.at.astimezone(zone) if fix.at else None)


def back_address(f: Frozen) -> str:
    """The form that lays a frozen piece on its own hive again."""
    values: dict[str, float | str] = {"weight": round(f.grams, 1), "piece": f.piece}
    if f.batch:
        values["batch"] = f.batch
    return form_address("laid on", f.hive, f.yard, values)


def away_address(piece: str, grams: float, hive: str | None, yard: str, why: str) -> str:
    """The form that throws a piece away."""
    reason = "suspect hive" if "disease" in why else "beetle larvae" if "larvae" in why else "too old" if why else ""
    values: dict[str, float | str] = {"piece": piece, "weight": round(grams, 1)}
    if reason:
        values["why"] = reason
    return form_address("discarded", hive, yard, values)


def off_address(o: OnHive) -> str:
    """The form that takes a piece off."""
    values: dict[str, float | str] = {"piece": o.piece}
    if o.suspect:
        values["goes"] = "thrown away"
    return form_address("taken off", o.hive, o.yard, values)


def hours(value: float) -> str:
    """Hours as days and hours."""
    whole = round(value)
    return f"{whole} h" if whole < 48 else f"{whole // 24} days" + (f" {whole % 24} h" if whole % 24 else "")


def now_of(site: Site) -> datetime:
    """The desk's day at the hour it is now, at the first yard."""
    yards = site.books.yards()
    return site.clock(yards[0].zone if yards else ZoneInfo("UTC"))


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    @router.get("/coldbox")
    def the_box(request: Request) -> Response:
        settings = kept_settings(site)
        view: ColdBoxView = cold_box(site.books, now_of(site), settings)
        stock = stock_view(site.books, view.now.date(), settings)
        zones = {y.id: y.zone for y in site.books.yards()}
        units = site.units(request)
        return site.page(
            request, "coldbox.html", tab="/coldbox", view=view, done=done_of(site, request),
            weigh=lambda g: weight(g, units), hours=hours, accounts=accounts, back=back_address, away=away_address,
            off=off_address, fix=lambda f: fix_address(f, zones[f.yard]),
            holes=[(h, h.say(lambda g: weight(g, units))) for h in view.holes],
            has_yards=bool(zones), stock={s.batch.entry: s for s in stock.batches}, mix_address=address,
            worth_words=worth_words,
        )  # fmt: skip

    @router.get("/piece/{code}")
    def a_piece(request: Request, code: str) -> Response:
        found = piece_life(site.books, code, now_of(site), kept_settings(site))
        if found is None:
            text = f"Piece {code!r} is not in the books; check the signs on its label."
            return site.message(request, "Not in the books", text, 404, "/coldbox")
        units = site.units(request)
        return site.page(
            request, "piece.html", tab="/coldbox", life=found, weigh=lambda g: weight(g, units), hours=hours,
            back=back_address, away=away_address, off=off_address,
        )  # fmt: skip

    return router
