"""Pages about the tool and its books: figures, checks, settings, bring and export, units."""

from __future__ import annotations

import io
import shutil
import tempfile
import zipfile
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePath
from typing import Annotated, Any

from fastapi import APIRouter, Depends
from starlette.datastructures import FormData, UploadFile
from starlette.requests import Request
from starlette.responses import Response

from tideover.checks import Check, outside_checks
from tideover.desk.bring_files import Brought, bring_files
from tideover.figures import Book, Row, book
from tideover.plan.settings import (
    FEED_EFFECT_NOTE,
    PARTS,
    Settings,
    SettingsError,
    SettingShown,
    fields_for_display,
)
from tideover.records import BringError, Problem, RecordsError, export
from tideover.web import units as u
from tideover.web.answers import Later
from tideover.web.entering import Sent
from tideover.web.pages import Site, first, go, keep, local

LOST = "The page had been open too long, or cookies are off. Go back and press the button once more."


async def sent_files(request: Request) -> FormData:
    """A posted form with its files."""
    return await request.form(max_files=200)


@dataclass(frozen=True)
class FigureLine:
    """One figure as the page shows it."""

    key: str
    says: str
    value: str
    range: str
    unit: str
    sources: tuple[tuple[str, str], ...]
    known: str
    confidence: str
    conditions: str
    note: str
    check: bool

    @property
    def words(self) -> str:
        """All of it in lower case, for the filter."""
        texts = (self.key, self.says, self.unit, self.known, self.conditions, self.note, *(s for s, _ in self.sources))
        return " ".join(texts).lower()


def figure_number(value: float) -> str:
    """A figure's number to four digits, with thousands marks."""
    if value != 0 and (abs(value) < 1e-3 or abs(value) >= 1e7):
        return f"{value:.3g}"
    return u.plain(value, 0 if abs(value) >= 1000 else 2 if abs(value) >= 10 else 4)


def figure_line(row: Row, figures: Book) -> FigureLine:
    """A row of the book as the page shows it."""
    span = ""
    if row.low is not None and row.high is not None:
        span = f"{figure_number(row.low)} to {figure_number(row.high)}"
    sources = []
    for key in row.sources:
        source = figures.source(key)
        sources.append((source.text, source.doi))
    return FigureLine(
        row.key, row.says, row.text or ("" if row.value is None else figure_number(row.value)), span,
        "" if row.unit == "1" else row.unit,
        tuple(sources), row.known, row.confidence, row.conditions, row.note, row.check,
    )  # fmt: skip


def routes(site: Site) -> APIRouter:
    """The routes of this module, bound to a site."""
    router = APIRouter(include_in_schema=False)
    checked: Later[list[Check]] = Later(lambda: outside_checks())

    @router.post("/units")
    def units(request: Request, form: Sent) -> Response:
        if not site.tokens.good(request, form.get("token")):
            return site.message(request, "Units not changed", LOST, 403)
        chosen = u.system(form.get("units"))
        answer = go(local(form.get("next")))
        keep(answer, "units", chosen)
        return answer

    @router.get("/figures")
    def figures_page(request: Request) -> Response:
        figures = book()
        wanted, subject = first(request.query_params, "q").lower(), first(request.query_params, "subject")
        lines = [figure_line(r, figures) for r in figures.rows()]
        counts = Counter(f.key.split(".", 1)[0] for f in lines)
        kept = [f for f in lines if f.key.startswith(f"{subject}.")] if subject else lines if wanted else []
        kept = [f for f in kept if all(w in f.words for w in wanted.split())]
        return site.page(
            request, "figures.html", figures=kept, counts=counts, subject=subject, q=wanted, total=len(lines)
        )

    @router.get("/checks")
    def checks_page(request: Request) -> Response:
        checks = checked.get(site.patience_s)
        if checks is None:
            return site.page(request, "working.html", title="Running the outside checks", done=0, total=0, what="")
        agree = sum(c.verdict == "agrees" for c in checks)
        return site.page(
            request, "checks.html", groups=check_groups(checks), agree=agree, total=len(checks), number=check_number
        )

    @router.get("/settings")
    def settings_page(request: Request) -> Response:
        saved = "saved" in request.query_params
        return settings_shown(request, fields_for_display(kept_settings(site)), [], saved=saved)

    def settings_shown(
        request: Request, lines: tuple[SettingShown, ...], problems: list[str], status: int = 200, saved: bool = False
    ) -> Response:
        usual = u.system(str(site.books.settings().get("units", "metric")))
        return site.page(
            request, "settings.html", status, parts=settings_parts(lines), problems=problems, saved=saved,
            feed_note=FEED_EFFECT_NOTE, usual=usual, also=setting_also,
        )  # fmt: skip

    @router.post("/settings")
    def settings_written(request: Request, form: Sent) -> Response:
        shown = fields_for_display(kept_settings(site))
        given = {line.name: form[line.name].strip() for line in shown if line.name in form}
        as_typed = tuple(replace(line, value=given.get(line.name, line.value)) for line in shown)
        if not site.tokens.good(request, form.get("token")):
            return settings_shown(request, as_typed, [LOST.replace("Go back and press", "Press")], 403)
        empty_to_default = {n: v for n, v in given.items() if v or not is_number(shown, n)}
        try:
            made = Settings.from_mapping(empty_to_default)
        except SettingsError as e:
            return settings_shown(request, as_typed, list(e.problems), 422)
        usual = {"units": u.system(form["units"])} if "units" in form else {}
        site.books.put_settings(made.to_mapping() | usual)
        return go("/settings?saved=1")

    @router.get("/bring")
    def bring_page(request: Request) -> Response:
        return bring_shown(request)

    def bring_shown(
        request: Request, problems: Sequence[Problem] = (), report: Brought | None = None, status: int = 200,
        chosen: str = "",
    ) -> Response:  # fmt: skip
        yards = [(y.id, y.name) for y in site.books.yards()]
        return site.page(
            request, "bring.html", status, problems=list(problems), report=report, report_lines=report_lines,
            yards=yards, chosen=chosen,
        )  # fmt: skip

    @router.post("/bring")
    def brought(request: Request, form: Annotated[FormData, Depends(sent_files)]) -> Response:
        files = [f for f in form.getlist("files") if isinstance(f, UploadFile) and f.filename]
        if not site.tokens.good(request, str(form.get("token") or "")):
            return site.message(request, "Nothing was brought", LOST, 403, "/bring")
        if not files:
            what = Problem("", 0, "", "", "no file was chosen", "choose one or more files")
            return bring_shown(request, [what], status=422)
        chosen = str(form.get("yard") or "")
        with tempfile.TemporaryDirectory(prefix="tideover-bring-") as folder:
            paths = [saved_file(Path(folder), f, i) for i, f in enumerate(files)]
            try:
                report = bring_files(site.books, paths, yards=[chosen] if chosen else [])
            except BringError as e:
                return bring_shown(request, [bare(p) for p in e.problems], status=422, chosen=chosen)
            except RecordsError as e:
                return bring_shown(request, [Problem("", 0, "", "", str(e), "")], status=422, chosen=chosen)
        return bring_shown(request, report=report)

    @router.get("/export")
    def exported(request: Request) -> Response:
        packed = io.BytesIO()
        with (
            tempfile.TemporaryDirectory(prefix="tideover-export-") as folder,
            zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive,
        ):
            for path in export(site.books, Path(folder)):
                archive.write(path, path.name)
        name = f"tideover-books-{site.desk.today().isoformat()}.zip"
        headers = {"content-disposition": f'attachment; filename="{name}"'}
        return Response(packed.getvalue(), media_type="application/zip", headers=headers)

    return router


def check_groups(checks: Sequence[Check]) -> list[tuple[str, str, list[Check], bool]]:
    """Checks by what they are worth, those that differ first; each: title, why, checks, unfolded."""

    def kind(c: Check) -> int:
        if c.verdict != "agrees":
            return 0
        if c.practice:
            return 4
        if c.kind == "arithmetic":
            return 3
        return 2 if c.used_as_input else 1

    texts = (
        ("They differ", "Where we and the outside do not agree: read the note beside each."),
        ("Observed in the world, not an input", "What a model should get right without being told."),
        ("Observed, and also an input", "Agreement is asked for here, and proves little."),
        ("Arithmetic", "Worked examples and sums: they show that we count right."),
        ("Common practice", "Trade rules without a source: where they hold and where they do not."),
    )
    found = []
    for i, (title, why) in enumerate(texts):
        mine = [c for c in checks if kind(c) == i]
        if mine:
            found.append((title, why, mine, i < 2))
    return found


def check_number(value: object) -> str:
    """An expected value, a pair, a tolerance or a word, as the checks page shows it."""
    if isinstance(value, (list, tuple)):
        return " to ".join(check_number(v) for v in value)
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return str(value)
    return f"{value:,.0f}" if abs(value) >= 1000 else f"{value:.4g}"


def report_lines(report: Brought) -> list[str]:
    """What was brought, one line a count, then the warnings, then the weather by yard."""
    sheets = report.sheets
    lines = []
    for name, counts in (("added", sheets.added), ("already there", sheets.there), ("changed", sheets.changed)):
        told = ", ".join(f"{n} {kind}" for kind, n in sorted(counts.items()) if n)
        if told or (name == "added" and not report.weather):
            lines.append(f"{name.capitalize()}: {told or 'nothing'}.")
    return [*lines, *sheets.warnings, *(line for w in report.weather for line in str(w).splitlines())]


def kept_settings(site: Site) -> Settings:
    """The keeper's settings; anything in the books that is no setting of a plan is passed over."""
    known = {line.name for line in fields_for_display()}
    kept: Mapping[str, Any] = {k: v for k, v in site.books.settings().items() if k in known}
    return Settings.from_mapping(kept)


def settings_parts(lines: tuple[SettingShown, ...]) -> list[tuple[str, list[SettingShown], int]]:
    """Headings with their settings and how many of these are the keeper's own."""
    found: list[tuple[str, list[SettingShown], int]] = []
    for heading, _ in PARTS:
        under = [line for line in lines if line.part == heading]
        found.append((heading, under, sum(line.own for line in under)))
    return found


def setting_also(line: SettingShown, units: u.System) -> str:
    """The value in force in the units of the page, where the setting is kept in others."""
    # A difference of temperatures is no temperature: 15 °F more is not -9 °C.
    if not isinstance(line.value, int | float) or line.name == "sun_addon_f":
        return ""
    return u.other_way(line.value, line.unit, units)


def is_number(lines: tuple[SettingShown, ...], name: str) -> bool:
    """Whether a setting is a number (left empty it goes back to its default)."""
    return any(line.name == name and line.low is not None for line in lines)


def saved_file(folder: Path, file: UploadFile, number: int) -> Path:
    """Save an upload under its own base name, in a folder of its own so that equal names do not clash."""
    own = folder / str(number)
    own.mkdir()
    path = own / (PurePath((file.filename or "").replace("\\", "/")).name.lstrip(".") or "file.csv")
    with path.open("wb") as out:
        shutil.copyfileobj(file.file, out)
    return path


def bare(problem: Problem) -> Problem:
    """The problem with the file's own name, not the place it was kept in meanwhile."""
    return replace(problem, file=PurePath(problem.file).name)
