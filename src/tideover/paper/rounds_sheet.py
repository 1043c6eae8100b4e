"""Sheets of the rounds: a page to load by for each day, then a page or more for each yard, one hive a row."""

from __future__ import annotations

import os
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from reportlab.pdfgen.canvas import Canvas

from tideover.figures.units import GALLON_L, MILE_KM
from tideover.paper import amounts, shapes
from tideover.paper.lettering import BOLD, CLAY, INK, PLAIN, RULE, SOFT, WASH, fit, load, shrink, width, wrap
from tideover.paper.sheet import FOOT, MARGIN, PAPER_SIZES, SAFETY
from tideover.records.own_units import own_first

if TYPE_CHECKING:
    from tideover.desk.rounds_view import HiveTask, LoadLine, RoundDay, Rounds, Stop
    from tideover.desk.views import RoundView

ROW: Final = 74.0
"""Height of one hive's row [pt]: room for a pencil in a glove."""
BOX: Final = 15.0

Draw = Callable[[Any], None]


def rounds_sheet(
    made: Rounds, view: RoundView, path: Path | str, units: str = "metric", paper_size: str = "a4"
) -> Path:
    """Write the days of the rounds as a PDF to load by, to drive by and to fill in.

    Parameters: made: the rounds; view: the round of today, for the cautions of each yard; path: file to write,
    replaced in one step; units: ``metric`` or ``us``, which stands first; paper_size: ``a4`` or ``letter``.
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
    pages = _pages(made, view, units, wide - 2 * MARGIN, high)
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    # invariant: no clock and no random id in the file, so the same rounds give the same bytes
    canvas = Canvas(str(part), pagesize=(wide, high), invariant=1, lang="en")
    canvas.setTitle(f"Rounds from {amounts.day(made.today)} {made.today.year}")
    canvas.setAuthor("Tideover")
    canvas.setSubject("Days, yards in order, one hive a row, with blanks to fill in")
    for number, draw in enumerate(pages, start=1):
        draw(canvas)
        _foot(canvas, made, number, len(pages), wide)
        canvas.showPage()
    canvas.save()
    os.replace(part, path)
    return path


def _pages(made: Rounds, view: RoundView, units: str, room: float, high: float) -> list[Draw]:
    top = high - MARGIN
    if not made.days:
        return [_nothing(room, top)]
    pages: list[Draw] = []
    cautions = {y.yard: y.cautions for y in view.yards}
    for d in made.days:
        pages.append(_day_page(d, units, room, top))
        for s in d.stops:
            pages += _stop_pages(d, s, cautions.get(s.yard, ()), units, room, top)
    return pages


def _nothing(room: float, top: float) -> Draw:
    """A plan without a day is a proper page that says so."""

    def draw(canvas: Any) -> None:
        y = _title(canvas, "Rounds", "", room, top)
        _texts(canvas, y - 8, room, [("Nothing presses in the days planned: no hive asks for a visit.", PLAIN, 13.0)])

    return draw


def _way(km: float, minutes: float, units: str) -> str:
    far = f"{km / MILE_KM:.1f} mi" if units == "us" else f"{km:.1f} km"
    return f"{far}, {minutes:.0f} min"


def _amount(x: LoadLine, units: str) -> str:
    if x.unit == "g":
        return amounts.both(x.amount, units)
    if x.unit == "kg":
        return amounts.both(x.amount * 1000.0, units)
    if x.unit == "l":
        return f"{x.amount / GALLON_L:.1f} gal" if units == "us" else f"{x.amount:.1f} l"
    return f"{x.amount:g} ×"


def _title(canvas: Any, text: str, beside: str, room: float, top: float, size: float = 22.0) -> float:
    apart = width(beside, BOLD, 13) + 12 if beside else 0.0
    words, size = shrink(text, BOLD, size, room - apart, 11)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, size)
    canvas.drawString(MARGIN, top - 18, words)
    canvas.setFont(BOLD, 13)
    canvas.drawRightString(MARGIN + room, top - 18, beside)
    return top - 34


def _texts(canvas: Any, y: float, room: float, lines: Sequence[tuple[str, str, float]]) -> float:
    for text, font, size in lines:
        for part in wrap(text, font, size, room):
            canvas.setFillColor(INK)
            canvas.setFont(font, size)
            canvas.drawString(MARGIN, y, part)
            y -= size * 1.28
    return y


def _box(canvas: Any, x: float, y: float, wide: float = BOX) -> None:
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.1)
    canvas.rect(x, y, wide, BOX, stroke=1, fill=0)


def _day_page(d: RoundDay, units: str, room: float, top: float) -> Draw:
    """What to load, and the yards in order with their times."""

    def draw(canvas: Any) -> None:
        y = _title(canvas, f"Load for {amounts.day(d.day)}", f"{d.day.year}", room, top)
        head = (
            f"Leave {d.leave:%H:%M}, home {d.back:%H:%M}. {_way(d.drive_km, d.drive_min, units)} on the road, "
            f"{d.work_min:.0f} min of work. {amounts.both(d.weight_kg * 1000, units)} to carry."
        )
        y = _texts(canvas, y - 8, room, [(head, BOLD, 13.0)]) - 4
        if d.over:
            y = _texts(canvas, y, room, [(own_first(d.over, units), BOLD, 12.0)]) - 4
        if not d.smoker:
            y = _texts(canvas, y, room, [("Fire ban at one of these yards: no smoker there.", BOLD, 12.0)]) - 4
        for n, s in enumerate(d.stops, start=1):
            said = f"{n}. {s.name}: work {s.start:%H:%M} to {s.end:%H:%M}, {len(s.tasks)} tasks, "
            said += f"{_way(s.drive_km, s.drive_min, units)} to get there"
            y = _texts(canvas, y, room, [(said + ("; provisional." if s.provisional else "."), PLAIN, 13.0)])
        y -= 12
        for x in d.load:
            _box(canvas, MARGIN, y - 4)
            canvas.setFillColor(INK)
            canvas.setFont(BOLD, 14)
            canvas.drawString(MARGIN + BOX + 10, y, fit(f"{_amount(x, units)}  {x.what}", BOLD, 14, room - BOX - 10))
            y -= 15
            for part in wrap(own_first(x.why, units), PLAIN, 10.5, room - BOX - 10, 2) if x.why else ():
                canvas.setFillColor(SOFT)
                canvas.setFont(PLAIN, 10.5)
                canvas.drawString(MARGIN + BOX + 10, y, part)
                y -= 13
            y -= 10

    return draw


def _stop_pages(d: RoundDay, s: Stop, cautions: Sequence[str], units: str, room: float, top: float) -> list[Draw]:
    """The pages of one yard: as many rows as fit, the heading again on each."""
    bottom = MARGIN + FOOT
    hives: dict[str, list[HiveTask]] = {}
    for t in s.tasks:
        hives.setdefault(t.hive, []).append(t)
    why = own_first(" ".join(s.why), units)
    lines: list[tuple[str, str, float]] = [
        (f"Work {s.start:%H:%M} to {s.end:%H:%M}; out by {s.done_by:%H:%M}.", BOLD, 14.0),
        (why, PLAIN, 10.5),
        *((own_first(text, units), BOLD, 10.5) for text in cautions),
    ]
    tall = 44 + sum(size * 1.28 * len(wrap(text, font, size, room)) for text, font, size in lines)
    fits_first = max(1, int((top - tall - bottom) // ROW))
    fits_next = max(1, int((top - 44 - bottom) // ROW))
    listed = list(hives.items())
    groups = [listed[:fits_first]]
    rest = listed[fits_first:]
    while rest:
        groups.append(rest[:fits_next])
        rest = rest[fits_next:]

    def page(k: int, group: list[tuple[str, list[HiveTask]]]) -> Draw:
        def draw(canvas: Any) -> None:
            name = s.name if k == 0 else f"{s.name}, continued"
            y = _title(canvas, name, f"{amounts.day(d.day)} {d.day.year}", room, top)
            if k == 0:
                y = _texts(canvas, y - 6, room, lines)
            y = min(y, top - (tall if k == 0 else 44))
            for hive, tasks in group:
                _row(canvas, hive, tasks, units, room, y)
                y -= ROW

        return draw

    return [page(k, group) for k, group in enumerate(groups)]


def _row(canvas: Any, hive: str, tasks: Sequence[HiveTask], units: str, room: float, top: float) -> None:
    """One hive: its label large, what to do, and blanks for a pencil."""
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.8)
    canvas.line(MARGIN, top, MARGIN + room, top)
    canvas.setFillColor(WASH)
    canvas.rect(MARGIN, top - 24, room, 23, stroke=0, fill=1)
    shapes.draw(canvas, tasks[0].action, MARGIN + 4, top - 22, 19, CLAY)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 15)
    label = fit(hive, BOLD, 15, 120)
    canvas.drawString(MARGIN + 30, top - 17, label)
    what = "; ".join(t.text + (f" {amounts.both(t.grams, units)}" if t.grams > 0 else "") for t in tasks)
    words, size = shrink(what[:1].upper() + what[1:], BOLD, 13, room - 165, 9)
    canvas.setFont(BOLD, size)
    canvas.drawString(MARGIN + 160, top - 17, words)
    dues = [t.due for t in tasks if t.due is not None]
    said = "; ".join(dict.fromkeys(t.why for t in tasks))
    due = f"by {amounts.hour(min(dues))}: {said}" if dues else said
    canvas.setFillColor(SOFT)
    canvas.setFont(PLAIN, 10.5)
    canvas.drawString(MARGIN + 30, top - 38, fit(due, PLAIN, 10.5, room - 34))
    y = top - ROW + 10
    x = MARGIN + 30
    canvas.setFillColor(INK)
    given = "given " + ("lb" if units == "us" else "g")
    blanks = (("done", BOX), ("not done", BOX), (given, 62.0), ("left, quarters", 40.0), ("time", 52.0))
    for text, wide in blanks:
        canvas.setFont(PLAIN, 11)
        canvas.drawString(x, y + 4, text)
        x += width(text, PLAIN, 11) + 5
        _box(canvas, x, y, wide)
        x += wide + 12


def _foot(canvas: Any, made: Rounds, number: int, total: int, wide: float) -> None:
    room = wide - 2 * MARGIN
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.6)
    canvas.line(MARGIN, MARGIN + FOOT - 6, MARGIN + room, MARGIN + FOOT - 6)
    page = f"page {number} of {total}"
    canvas.setFillColor(SOFT)
    canvas.setFont(PLAIN, 7.5)
    y = MARGIN + FOOT - 15
    for text in wrap(SAFETY, PLAIN, 7.5, room - width(page, BOLD, 10) - 16, 3):
        canvas.drawString(MARGIN, y, text)
        y -= 9
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, 10)
    canvas.drawRightString(MARGIN + room, MARGIN + FOOT - 16, page)
