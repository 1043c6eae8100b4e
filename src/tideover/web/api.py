"""The same answers for scripts: JSON with plain names and canonical units."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse

import tideover
from tideover.desk.objects import call_object, line_object, plain, round_object
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
        return JSONResponse([call_object(c) for c in site.answers.calls()])

    @router.get("/round")
    def the_round(request: Request) -> JSONResponse:
        """The coming round."""
        return JSONResponse(round_object(site.answers.whole_round()))

    @router.get("/hive/{hive_id:path}")
    def a_hive(request: Request, hive_id: str) -> JSONResponse:
        """Everything a hive's page shows."""
        site.books.hive(hive_id)
        view = site.answers.hive(hive_id)
        out = plain(view)
        out["line"] = line_object(view.line)
        return JSONResponse(out)

    return router
