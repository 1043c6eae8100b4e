"""The application: routes, guard and what is said when something cannot be found."""

from __future__ import annotations

from collections.abc import Iterable

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.staticfiles import StaticFiles

import tideover
from tideover.records import RecordsError, UnknownNameError
from tideover.web import (
    api,
    book_pages,
    calendar_pages,
    card_pages,
    coldbox_pages,
    combs_pages,
    entering,
    entrance_pages,
    kitchen_pages,
    label_pages,
    lookout_pages,
    reading,
    rounds_pages,
    yard_pages,
)
from tideover.web.desk_like import DeskLike
from tideover.web.entering import sentence
from tideover.web.guard import Guard
from tideover.web.pages import HERE, PATIENCE_S, Site


def create_app(desk: DeskLike, hosts: Iterable[str] = (), patience_s: float = PATIENCE_S) -> FastAPI:
    """The pages and the JSON of a desk.

    Args:
        desk: answers questions and takes entries.
        hosts: names the pages answer to besides the loopback ones.
        patience_s: how long a page waits for something slow before it shows how far it has got [s].
    """
    app = FastAPI(
        title="Tideover", version=tideover.__version__, docs_url=None, redoc_url=None, openapi_url="/api/openapi.json"
    )
    site = Site(desk, patience_s=patience_s)
    app.state.site = site
    app.add_middleware(Guard, hosts=tuple(hosts))
    app.mount("/static", StaticFiles(directory=HERE / "static"), name="static")
    # Forms first: a label may hold a slash, so that the address of a hive matches whatever follows it.
    modules = (
        combs_pages, entering, entrance_pages, card_pages, calendar_pages, label_pages, coldbox_pages, kitchen_pages,
        lookout_pages, rounds_pages, yard_pages, reading, book_pages, api,
    )  # fmt: skip
    for module in modules:
        app.include_router(module.routes(site))

    def refuse(request: Request, title: str, text: str, status: int) -> Response:
        if request.url.path.startswith("/api/"):
            return JSONResponse({"error": text}, status_code=status)
        return site.message(request, title, text, status)

    @app.exception_handler(UnknownNameError)
    def unknown(request: Request, error: UnknownNameError) -> Response:
        return refuse(request, "Not in the books", sentence(error), 404)

    @app.exception_handler(RecordsError)
    def refused(request: Request, error: RecordsError) -> Response:
        return refuse(request, "The books refuse this", sentence(error), 422)

    @app.exception_handler(RequestValidationError)
    def misread(request: Request, error: RequestValidationError) -> Response:
        return refuse(request, "That could not be read", "Something in the address or form could not be read.", 422)

    @app.exception_handler(HTTPException)
    def http(request: Request, error: HTTPException) -> Response:
        text = {404: "There is no page at this address.", 405: "This address is not for that."}.get(
            error.status_code, str(error.detail)
        )
        title = "Not found" if error.status_code == 404 else "That did not work"
        return refuse(request, title, text, error.status_code)

    @app.exception_handler(Exception)
    def broken(request: Request, error: Exception) -> Response:
        text = "Something went wrong on our side; the books are as they were. What happened is in the server's output."
        return refuse(request, "That did not work", text, 500)

    return app
