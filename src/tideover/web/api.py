"""The same answers for scripts: JSON with plain names and canonical units."""

from __future__ import annotations

from dataclasses import asdict, fields, is_dataclass
from datetime import date, datetime
from typing import Any

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse

import tideover
from tideover.desk.views import HiveLine, RoundView
from tideover.plan.call import Call, Runway
from tideover.web.pages import Site


def plain(value: Any) -> Any:
    """Dataclasses, dates and tuples as JSON values; a number that is not finite becomes null."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name.rstrip("_"): plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, (datetime, date)):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(k): plain(v) for k, v in value.items()}
    if isinstance(value, (list, tuple)):
        return [plain(v) for v in value]
    if isinstance(value, float) and not (float("-inf") < value < float("inf")):
        return None
    return value


def runway_json(r: Runway) -> dict[str, Any]:
    """A runway as numbers; ``null`` where a percentile lies beyond the horizon."""
    return asdict(r)


def call_json(call: Call) -> dict[str, Any]:
    """A call as an object: the names scripts rely on, and everything else the call holds."""
    out: dict[str, Any] = plain(call)
    out["runway_days"] = runway_json(call.runway)
    del out["runway"]
    return out


def three(values: tuple[float, float, float]) -> dict[str, Any]:
    """Low, median and high by name."""
    return dict(zip(("low", "median", "high"), plain(values), strict=True))


def line_json(line: HiveLine) -> dict[str, Any]:
    """One line of the round; hive and yard are named by the call as well."""
    out: dict[str, Any] = plain(line)
    return out | {"bees": three(line.bees), "call": call_json(line.call)}


def round_json(made: RoundView) -> dict[str, Any]:
    """The coming round: load, then yards with their hives and calls."""
    out: dict[str, Any] = plain(made)
    out["yards"] = [
        plain(y) | {"index": three(y.index), "hives": [_within_yard(line_json(h)) for h in y.hives]} for y in made.yards
    ]
    return out


def _within_yard(line: dict[str, Any]) -> dict[str, Any]:
    return {k: v for k, v in line.items() if k not in ("yard", "yard_name")}


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
        return JSONResponse([call_json(c) for c in site.answers.calls()])

    @router.get("/round")
    def the_round(request: Request) -> JSONResponse:
        """The coming round."""
        return JSONResponse(round_json(site.answers.whole_round()))

    @router.get("/hive/{hive_id:path}")
    def a_hive(request: Request, hive_id: str) -> JSONResponse:
        """Everything a hive's page shows."""
        site.books.hive(hive_id)
        view = site.answers.hive(hive_id)
        out = plain(view)
        out["line"] = line_json(view.line)
        return JSONResponse(out)

    return router
