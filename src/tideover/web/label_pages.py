"""What is taken along from the round: labels as PDF, and the round as a table."""

from __future__ import annotations

import tempfile
from pathlib import Path

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from tideover.paper.labels import hive_labels, label_sheet, piece_label, piece_labels
from tideover.paper.round_csv import round_csv
from tideover.web.answers import Working
from tideover.web.pages import Site, first


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)

    @router.get("/round.csv")
    def the_table(request: Request) -> Response:
        made = site.answers.round() if site.books.hives() else None
        if isinstance(made, Working):
            return site.page(
                request, "working.html", title="Working out the round", done=made.done, total=made.total, what=made.what
            )
        if made is None:
            return site.message(request, "No round yet", "No hive is in the books yet: bring a file first.", 404)
        name = f"round-{made.day.isoformat()}.csv"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        return Response(round_csv(made), media_type="text/csv; charset=utf-8", headers=headers)

    @router.get("/labels")
    def the_labels(request: Request) -> Response:
        batches = {}
        for e in site.books.entries(kind="batch"):
            batches[str(e.values.get("batch", ""))] = e.values.get("pieces")
        return site.page(
            request, "labels.html", yards=[(y, len(site.books.hives(y.id))) for y in site.books.yards()],
            batches=sorted(batches.items()), address=str(site.books.settings().get("address", "")),
        )  # fmt: skip

    @router.get("/labels.pdf")
    def the_sheet(request: Request) -> Response:
        yard, batch = first(request.query_params, "yard"), first(request.query_params, "batch")
        piece = first(request.query_params, "piece")
        paper = "letter" if first(request.query_params, "paper") == "letter" else "a4"
        if yard:
            site.books.yard(yard)
        try:
            if piece:
                found = [piece_label(site.books, piece, site.units(request))]
            elif batch:
                found = piece_labels(site.books, batch, site.units(request))
            else:
                found = hive_labels(site.books, yard or None)
            with tempfile.TemporaryDirectory() as folder:
                made = label_sheet(found, Path(folder) / "labels.pdf", paper).read_bytes()
        except ValueError as error:
            text = str(error)
            return site.message(request, "No labels", text[:1].upper() + text[1:], 422, back="/labels")
        headers = {"content-disposition": 'attachment; filename="labels.pdf"'}
        return Response(made, media_type="application/pdf", headers=headers)

    return router
