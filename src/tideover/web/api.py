"""The same answers for scripts: JSON with plain names and canonical units; sentences say the reader's own first."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse

import tideover
from tideover.desk.objects import call_object, line_object, plain, round_object
from tideover.records.own_units import all_own_first
from tideover.web.pages import Site


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(prefix="/api")

    @router.get("/health")
    def health(request: Request) -> JSONResponse:
        """Whether the books answer, and which version of them."""
        return JSONResponse({"ok": True, "version": tideover.__version__, "books": site.books.version()})

    @router.get("/calls")
    def calls(request: Request) -> JSONResponse:
        """One call per hive."""
        return JSONResponse(all_own_first([call_object(c) for c in site.answers.calls()], site.units(request)))

    @router.get("/round")
    def the_round(request: Request) -> JSONResponse:
        """The coming round."""
        return JSONResponse(all_own_first(round_object(site.answers.whole_round()), site.units(request)))

    @router.get("/hive/{hive_id:path}")
    def a_hive(request: Request, hive_id: str) -> JSONResponse:
        """Everything a hive's page shows."""
        site.books.hive(hive_id)
        view = site.answers.hive(hive_id)
        out = plain(view)
        # What was written down stays as it was written.
        out["line"] = all_own_first(line_object(view.line), site.units(request))
        return JSONResponse(out)

    return router
