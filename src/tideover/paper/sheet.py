"""The round sheet: a page or more per yard, the same bytes for the same round."""

from __future__ import annotations

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from reportlab.lib.pagesizes import A4, LETTER
from reportlab.pdfgen.canvas import Canvas

from tideover.paper import amounts, block, shapes
from tideover.paper.lettering import BOLD, CLAY, INK, PLAIN, RULE, SOFT, WASH, fit, load, shrink, width, wrap
from tideover.records.own_units import own_first

if TYPE_CHECKING:
    from tideover.desk.views import RoundView, YardLine

PAPER_SIZES: Final[dict[str, tuple[float, float]]] = {"a4": A4, "letter": LETTER}
MARGIN: Final = 34.0
FOOT: Final = 26.0
AGAIN: Final = 25.0
"""Height of the short heading on a yard's later pages [pt]."""
MOST_GAP: Final = 16.0

SAFETY: Final = (
    "Stings can kill: carry what you need and do not work alone. Smoke and dry grass: water at hand, no smoker on fire "
    "ban days. Rest from heat, lift with help. Suspected disease: close up and call the inspector or vet."
)
"""Common practice, no source; local rules, vets and inspectors come first."""

Part = Callable[[Any, float], None]
"""Draws something on a canvas with its upper edge at a height [pt]."""


def round_sheet(view: RoundView, path: Path | str, units: str = "metric", paper_size: str = "a4") -> Path:
    """Write the coming round as a PDF to print and fill in.

    Parameters: view: the round; path: file to write, replaced in one step; units:
    ``metric`` or ``us``, which stands first; paper_size: ``a4`` or ``letter``.
    Returns: the path written.
    Raises: ValueError for unknown units or paper.
    """
    if units not in ("metric", "us"):
        raise ValueError(f"Got units {units!r}, wanted 'metric' or 'us'.")
    if paper_size not in PAPER_SIZES:
        raise ValueError(f"Got paper size {paper_size!r}, wanted one of {', '.join(PAPER_SIZES)}.")
    path = Path(path)
    load()
    wide, high = PAPER_SIZES[paper_size]
    pages = _pages(view, units, wide - 2 * MARGIN, high)
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    # invariant: no clock and no random id in the file, so the same round gives the same bytes
    canvas = Canvas(str(part), pagesize=(wide, high), invariant=1, lang="en")
    canvas.setTitle(f"Round of {amounts.day(view.day)} {view.day.year}")
    canvas.setAuthor("Tideover")
    canvas.setSubject("Calls per hive, with blanks to fill in")
    for number, parts in enumerate(pages, start=1):
        for draw, top in parts:
            draw(canvas, top)
        _draw_foot(canvas, view, number, len(pages), wide)
        canvas.showPage()
    canvas.save()
    os.replace(part, path)
    return path


def _pages(view: RoundView, units: str, room: float, high: float) -> list[list[tuple[Part, float]]]:
    """Everything placed: per page, what to draw and at which height [pt]."""
    top, bottom = high - MARGIN, MARGIN + FOOT
    if not view.yards:
        return [[(partial(_draw_empty, view, room), top)]]
    pages: list[list[tuple[Part, float]]] = []
    for i, yard in enumerate(view.yards):
        head, tall = _yard_head(view, yard, units, room, first=i == 0)
        told = frozenset(gate.code for gate in block.shared(yard.hives))
        groups: list[list[block.Block]] = [[]]
        left = top - tall - bottom
        for hive in yard.hives:
            one = block.make(hive, units, room, told)
            if one.height > left and groups[-1]:
                groups.append([])
                left = top - AGAIN - bottom
            groups[-1].append(one)
            left -= one.height
        for k, group in enumerate(groups):
            begin = tall if k == 0 else AGAIN
            page: list[tuple[Part, float]] = [(head if k == 0 else _yard_again(view, yard, room), top)]
            spare = top - begin - bottom - sum(one.height for one in group)
            # a full page is spread out; the last page of a yard is left as it comes
            gap = min(max(spare, 0.0) / len(group), MOST_GAP) if group and k < len(groups) - 1 else 0.0
            y = top - begin
            for one in group:
                page.append((partial(_draw_block, one), y))
                y -= one.height + gap
            pages.append(page)
    return pages


def _draw_block(one: block.Block, canvas: Any, top: float) -> None:
    one.draw(canvas, MARGIN, top)


def _load_words(grams: float, units: str) -> str:
    return f"{amounts.both(grams, units)} patty" if grams > 0 else "no patty"


def _yard_head(view: RoundView, yard: YardLine, units: str, room: float, first: bool) -> tuple[Part, float]:
    """The heading of a yard's first page and its height [pt]."""
    lines: list[tuple[str, str, float]] = [
        (text, PLAIN, 10.5) for text in wrap(own_first(yard.land, units), PLAIN, 10.5, room - 16)
    ]
    load_text = f"Load for this yard: {_load_words(yard.load_g, units)}"
    if first and len(view.yards) > 1:
        sugar = f", {amounts.both(view.sugar_kg * 1000, units)} sugar" if view.sugar_kg > 0 else ""
        load_text += f". For the whole round: {_load_words(view.load_g, units)}{sugar}"
    lines += [(text, BOLD, 10.5) for text in wrap(load_text, BOLD, 10.5, room - 16)]
    if first and view.note:
        lines += [(text, PLAIN, 9.5) for text in wrap(view.note, PLAIN, 9.5, room - 16)]
    if not yard.hives:
        lines.append(("No hive stands in this yard.", PLAIN, 10.5))
    said = [*(yard.cautions or block.visit_titles(yard.hives)), *map(block.gate_words, block.shared(yard.hives))]
    cautions = [wrap(own_first(text, units), BOLD, 10, room - 36) for text in said]
    tall = 30 + 13.5 * len(lines) + 6 + sum(13 * len(one) + 3 for one in cautions) + 10

    def draw(canvas: Any, top: float) -> None:
        _draw_title(canvas, view, yard.name, room, top, 22)
        low = top - 30 - 13.5 * len(lines) - 4
        canvas.setFillColor(WASH)
        canvas.rect(MARGIN, low, room, 13.5 * len(lines) + 4, stroke=0, fill=1)
        y = top - 30 - 9.5
        for text, font, size in lines:
            canvas.setFillColor(INK)
            canvas.setFont(font, size)
            canvas.drawString(MARGIN + 8, y, text)
            y -= 13.5
        y -= 5
        for one in cautions:
            shapes.draw(canvas, "warns", MARGIN + 7, y - 3.5, 13, CLAY)
            canvas.setFillColor(INK)
            canvas.setFont(BOLD, 10)
            for text in one:
                canvas.drawString(MARGIN + 28, y, text)
                y -= 13
            y -= 3

    return draw, tall


def _yard_again(view: RoundView, yard: YardLine, room: float) -> Part:
    """The short heading of a yard's later pages; what rules the visit is said again, for pages that part ways."""
    text = ". ".join([f"{yard.name}, continued", *block.visit_titles(yard.hives)])
    return lambda canvas, top: _draw_title(canvas, view, text, room, top, 13)


def _draw_title(canvas: Any, view: RoundView, text: str, room: float, top: float, size: float) -> None:
    when = f"{amounts.day(view.day)} {view.day.year}"
    beside = width(when, BOLD, 13) + 12
    words, size = shrink(text, BOLD, size, room - beside, 10)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, size)
    canvas.drawString(MARGIN, top - 17, words)
    canvas.setFont(BOLD, 13)
    canvas.drawRightString(MARGIN + room, top - 17, when)


def _draw_empty(view: RoundView, room: float, canvas: Any, top: float) -> None:
    """A round without yards is a proper page that says so."""
    _draw_title(canvas, view, "Round", room, top, 22)
    canvas.setFont(PLAIN, 12)
    canvas.setFillColor(INK)
    y = top - 48
    for text in wrap(
        view.note or "No yard is in the books yet, so there is nothing to load and no hive to see.", PLAIN, 12, room
    ):
        canvas.drawString(MARGIN, y, text)
        y -= 16


def _draw_foot(canvas: Any, view: RoundView, number: int, total: int, wide: float) -> None:
    room = wide - 2 * MARGIN
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.6)
    canvas.line(MARGIN, MARGIN + FOOT - 6, MARGIN + room, MARGIN + FOOT - 6)
    page = f"page {number} of {total}"
    canvas.setFillColor(SOFT)
    canvas.setFont(PLAIN, 7.5)
    y = MARGIN + FOOT - 15
    beside = width(page, BOLD, 10) + 16
    for text in wrap(SAFETY, PLAIN, 7.5, room - beside, 3):
        canvas.drawString(MARGIN, y, text)
        y -= 9
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 10)
    canvas.drawRightString(MARGIN + room, MARGIN + FOOT - 16, page)
    canvas.setFont(PLAIN, 7.5)
    canvas.drawRightString(
        MARGIN + room, MARGIN + FOOT - 26, fit(f"worked out {view.made_at:%Y-%m-%d %H:%M}", PLAIN, 7.5, 120)
    )
