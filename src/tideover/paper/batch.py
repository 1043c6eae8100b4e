"""The batch sheet: what to weigh, the order of mixing, the labels; the same bytes for the same mix."""

from __future__ import annotations

import os
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from reportlab.pdfgen.canvas import Canvas

from tideover.figures.units import OUNCE_G, POUND_KG
from tideover.paper import amounts, shapes
from tideover.paper.lettering import BOLD, CLAY, INK, PLAIN, RULE, SOFT, WASH, fit, load, shrink, wrap
from tideover.paper.sheet import MARGIN, PAPER_SIZES
from tideover.patty.kitchen.batch import Sheet, Weighing, sheet
from tideover.patty.kitchen.shelf import label_name
from tideover.patty.kitchen.words import drying_words, keeping_words, percent, worth_words

if TYPE_CHECKING:
    from tideover.patty.kitchen.formulate import Mix

FOOT: Final = 24.0
ROW: Final = 21.0
LABEL_HIGH: Final = 86.0
MOST_LABELS: Final = 48
"""More labels than this are copied, not printed."""


def weighed(kilograms: float, units: str) -> str:
    """A weight as a scale shows it: grams below 2 kg, else kilograms; or pounds and ounces."""
    if units == "us":
        ounces = kilograms * 1000.0 / OUNCE_G
        if ounces < 16.0:
            return f"{ounces:.2f}".rstrip("0").rstrip(".") + " oz"
        whole, rest = divmod(round(ounces * 10.0) / 10.0, 16.0)
        return f"{whole:.0f} lb" + (f" {rest:.1f} oz" if rest >= 0.05 else "")
    if kilograms < 0.1:
        return f"{kilograms * 1000.0:.1f} g"
    return f"{kilograms * 1000.0:.0f} g" if kilograms < 2.0 else f"{kilograms:.2f} kg"


def money(mix: Mix, made: Sheet, units: str) -> str:
    """What the batch costs, in a sentence or two."""
    if mix.unpriced:
        said = f"Without the price of {'; '.join(mix.unpriced)} the cost is not known."
    else:
        per, factor = ("lb", POUND_KG) if units == "us" else ("kg", 1.0)
        said = f"In it for {mix.worth:.2f} {mix.task.currency}, {mix.worth / mix.total_kg * factor:.2f} a {per}"
        said += f", {made.cost_per_piece:.2f} a piece." if made.cost_per_piece is not None else "."
    if abs(mix.spend - mix.worth) > 0.005:
        said += f" To spend now: {mix.spend:.2f} {mix.task.currency}."
    return said


def buying(one: Weighing, units: str) -> str:
    """What to buy of an ingredient and what is left over; empty where just what goes in is bought."""
    if one.bags:
        left = f", {weighed(one.left_kg, units)} left over" if one.left_kg >= 0.0005 else ""
        return f"{one.bags} bag{'s' if one.bags != 1 else ''} of {weighed(one.bought_kg / one.bags, units)}{left}"
    if one.bought_kg < one.kilograms - 1e-6:
        some = f"{weighed(one.bought_kg, units)}, the rest " if one.bought_kg > 1e-6 else ""
        return f"{some}from the shed"
    return ""


def piece_words(made: Sheet, units: str) -> str:
    """How many pieces it makes, what is in each, and what is over."""
    each = f"{weighed(made.protein_per_piece_g / 1000.0, units)} protein"
    if made.cost_per_piece is not None:
        each += f" and {made.cost_per_piece:.2f} {made.currency}"
    many = "pieces" if made.pieces != 1 else "piece"
    over = f"; {weighed(made.rest_g / 1000.0, units)} over" if made.rest_g >= 0.5 else ""
    return f"{made.pieces} {many} of {amounts.both(made.piece_g, units)}, {each} in each{over}."


def batch_sheet(
    mix: Mix,
    path: Path | str,
    units: str = "metric",
    paper_size: str = "a4",
    day: date | None = None,
    label: str = "",
) -> Path:
    """Write the sheet of a batch, with its labels, as a PDF.

    Parameters: mix: one that was found; path: file to write, replaced in one step; units: ``metric`` or ``us``, which
    stands first; paper_size: ``a4`` or ``letter``; day: the day it is mixed, for the labels; label: the
    batch's short name, of which the pieces' codes are made. Returns: the path
    written. Raises: ValueError for unknown units or paper, or when there is no mix.
    """
    if units not in ("metric", "us"):
        raise ValueError(f"Got units {units!r}, wanted 'metric' or 'us'.")
    if paper_size not in PAPER_SIZES:
        raise ValueError(f"Got paper size {paper_size!r}, wanted one of {', '.join(PAPER_SIZES)}.")
    made = sheet(mix, day)
    path = Path(path)
    load()
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    canvas = Canvas(str(part), pagesize=PAPER_SIZES[paper_size], invariant=1, lang="en")
    canvas.setTitle(f"Batch: {made.name}")
    canvas.setAuthor("Tideover")
    canvas.setSubject("What to weigh, order of mixing, labels")
    page = _Page(canvas, *PAPER_SIZES[paper_size], title=made.name)
    _draw_weighings(page, mix, made, units)
    _draw_cautions(page, made)
    _draw_steps(page, made)
    _draw_facts(page, mix, made, units)
    page.close()
    _draw_labels(page, made, units, label_name(label or made.name))
    canvas.save()
    os.replace(part, path)
    return path


class _Page:
    """Where the pen is; turns the page when a block does not fit."""

    def __init__(self, canvas: Any, wide: float, high: float, title: str) -> None:
        self.canvas, self.wide, self.high, self.title = canvas, wide, high, title
        self.room = wide - 2 * MARGIN
        self.number = 0
        self.y = 0.0
        self.begin()

    def begin(self) -> None:
        """Start a page with its heading."""
        self.number += 1
        words, size = shrink(self.title, BOLD, 22 if self.number == 1 else 13, self.room - 130, 10)
        self.canvas.setFillColor(INK)
        self.canvas.setFont(BOLD, size)
        self.canvas.drawString(MARGIN, self.high - MARGIN - 17, words)
        self.canvas.setFont(PLAIN, 10.5)
        self.canvas.drawRightString(MARGIN + self.room, self.high - MARGIN - 17, "Mixed on ____________ by ________")
        self.y = self.high - MARGIN - 34

    def close(self) -> None:
        """Finish a page with its foot."""
        self.canvas.setStrokeColor(RULE)
        self.canvas.setLineWidth(0.6)
        self.canvas.line(MARGIN, MARGIN + FOOT - 8, MARGIN + self.room, MARGIN + FOOT - 8)
        self.canvas.setFillColor(SOFT)
        self.canvas.setFont(PLAIN, 8)
        text = "Local rules, licensed vets and inspectors come before this sheet. Feeding may do nothing, or harm."
        self.canvas.drawString(MARGIN, MARGIN + FOOT - 19, fit(text, PLAIN, 8, self.room - 60))
        self.canvas.setFillColor(INK)
        self.canvas.setFont(BOLD, 10)
        self.canvas.drawRightString(MARGIN + self.room, MARGIN + FOOT - 19, f"page {self.number}")
        self.canvas.showPage()

    def need(self, tall: float) -> None:
        """Turn the page unless ``tall`` [pt] fits."""
        if self.y - tall < MARGIN + FOOT:
            self.close()
            self.begin()

    def head(self, text: str) -> None:
        """A heading."""
        self.need(48)
        self.y -= 20
        self.canvas.setFillColor(INK)
        self.canvas.setFont(BOLD, 13)
        self.canvas.drawString(MARGIN, self.y, text)
        self.y -= 5

    def text(self, text: str, font: str = PLAIN, size: float = 10.5, indent: float = 0.0, lead: str = "") -> None:
        """A paragraph, with a mark before it when ``lead`` is given."""
        lines = wrap(text, font, size, self.room - indent)
        self.need(len(lines) * (size + 3))
        for i, line in enumerate(lines):
            self.y -= size + 3
            self.canvas.setFillColor(INK)
            self.canvas.setFont(font, size)
            if i == 0 and lead:
                self.canvas.drawString(MARGIN, self.y, lead)
            self.canvas.drawString(MARGIN + indent, self.y, line)


def _draw_weighings(page: _Page, mix: Mix, made: Sheet, units: str) -> None:
    c, room = page.canvas, page.room
    page.text(
        f"Batch of {weighed(made.total_kg, units)} ({weighed(made.total_kg, 'metric' if units == 'us' else 'us')})."
    )
    page.head("Weigh")
    other = "metric" if units == "us" else "us"
    for i, one in enumerate(made.weighings):
        page.need(ROW)
        page.y -= ROW
        if i % 2 == 0:
            c.setFillColor(WASH)
            c.rect(MARGIN, page.y - 5, room, ROW, stroke=0, fill=1)
        c.setStrokeColor(INK)
        c.setLineWidth(1.2)
        c.rect(MARGIN + 4, page.y - 1.5, 12, 12, stroke=1, fill=0)
        c.setFillColor(INK)
        c.setFont(BOLD, 12)
        c.drawString(MARGIN + 26, page.y, fit(one.name, BOLD, 12, room * 0.42))
        c.drawRightString(MARGIN + room * 0.66, page.y, weighed(one.kilograms, units))
        c.setFont(PLAIN, 10)
        c.drawRightString(MARGIN + room * 0.82, page.y, weighed(one.kilograms, other))
        c.drawRightString(
            MARGIN + room - 4,
            page.y,
            f"buy {one.bags} bag{'s' if one.bags != 1 else ''}" if one.bags else f"{one.share:.1f} %",
        )
    page.y -= 6
    page.text(money(mix, made, units))
    if buys := [
        f"{one.name[:1].upper()}{one.name[1:]}: {said}" for one in made.weighings if (said := buying(one, units))
    ]:
        page.text(f"{'; '.join(buys)}.")


def _draw_steps(page: _Page, made: Sheet) -> None:
    page.head("Mix, in this order")
    for number, step in enumerate(made.steps, start=1):
        page.text(step, indent=18, lead=f"{number}.")


def _draw_facts(page: _Page, mix: Mix, made: Sheet, units: str) -> None:
    assert mix.makeup is not None
    s, worth = mix.makeup.shares, made.worth
    page.head("What it is")
    amino = ""
    if (score := mix.makeup.score) and mix.chances:
        amino = f" Amino acid score {score.score:.2f} of the need {mix.pattern.title} "
        amino += f"(chance that any of the ten falls short: {percent(mix.chances.any_short)})."
    page.text(
        f"Protein {s['protein'].best:.1f} %, sugar {s['sugar'].best:.1f} %, water {s['water'].best:.1f} %, fat "
        f"{s['fat'].best:.1f} %, ash {s['ash'].best:.1f} %, salt {s['salt'].best:.2f} %, harmful sugars "
        f"{s['toxic'].best:.1f} % ({s['toxic'].low:.1f} to {s['toxic'].high:.1f}).{amino}"
    )
    page.text(f"Softness {made.softness:.0f} of 100: {made.feel}. {drying_words(made)}")
    page.text(keeping_words(made))
    page.text(f"{piece_words(made, units)} {worth_words(worth.low, worth.grams_per_kg, worth.high, units)}")


def _draw_cautions(page: _Page, made: Sheet) -> None:
    page.head("Before you mix")
    for one in made.cautions:
        lines = wrap(f"{one.subject[:1].upper()}{one.subject[1:]}: {one.text}", PLAIN, 9.5, page.room - 20)
        page.need(12.5 * len(lines) + 2)
        shapes.draw(page.canvas, "warns", MARGIN, page.y - 14, 10, CLAY)
        for line in lines:
            page.y -= 12.5
            page.canvas.setFillColor(INK)
            page.canvas.setFont(PLAIN, 9.5)
            page.canvas.drawString(MARGIN + 20, page.y, line)
        page.y -= 2


def _draw_labels(page: _Page, made: Sheet, units: str, code: str) -> None:
    """Labels in two columns, cut along the dashes."""
    count = min(made.pieces, MOST_LABELS)
    if count == 0:
        return
    page.begin()
    c, half = page.canvas, page.room / 2
    label = [*made.label[:2], f"{amounts.both(made.piece_g, units)}. {made.label[2]}", *made.label[3:]]
    for i in range(count):
        if i % 2 == 0:
            page.need(LABEL_HIGH)
            page.y -= LABEL_HIGH
        x = MARGIN + (i % 2) * half
        c.setStrokeColor(RULE)
        c.setDash(3, 3)
        c.rect(x, page.y, half, LABEL_HIGH, stroke=1, fill=0)
        c.setDash()
        y = page.y + LABEL_HIGH - 4
        lines = [(f"{code}-{i + 1}", BOLD)]
        lines += [(t, PLAIN) for text in label for t in wrap(text, PLAIN, 8.5, half - 14, 12)]
        # a long list of ingredients is set closer, never cut
        lead = min(10.0, (LABEL_HIGH - 8.0) / len(lines))
        for text, font in lines:
            y -= lead
            c.setFillColor(INK)
            c.setFont(font, min(8.5, lead - 1.0))
            c.drawString(x + 7, y, text)
    page.close()
