"""The field card on paper and in words: a small table, first signs beside it, how long it holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any, Final

from tideover.figures.units import INCH_MM
from tideover.paper import amounts
from tideover.paper.lettering import BOLD, INK, PLAIN, RULE, SOFT, fit, width, wrap
from tideover.plan.cards.card import Answer, Card
from tideover.plan.cards.looks import JELLY_SEEN

SIZE: Final = 8.5
STEP: Final = 11.0
LEFT: Final = 0.56
"""Share of the width the table has; the first signs have the rest."""
LABEL: Final = 0.30
"""Share of the table's width for the words for pollen."""
GAP: Final = 12.0
LOOK_TWICE: Final = 0.5
"""From this chance on that a look is a wrong entry the card asks to look twice."""


def does(answer: Answer, units: str = "metric", *, both: bool = False) -> str:
    """What is done after a look, e.g. ``lay on 115 g``; with ``both`` in both units."""
    if answer.how == "cannot tell":
        return "cannot tell: write it down"
    if answer.grams <= 0:
        return answer.action
    if both:
        return f"{answer.action} {amounts.both(answer.grams, units)}"
    one = amounts.pounds(answer.grams) if units == "us" else amounts.weight(answer.grams)
    return f"{answer.action} {one}"


def rain(millimetres: float, units: str = "metric") -> str:
    """Rain in both units, the keeper's own first."""
    metric, us = f"{millimetres:g} mm", f"{millimetres / INCH_MM:.1f} in"
    return f"{us} ({metric})" if units == "us" else f"{metric} ({us})"


def holds(card: Card, units: str = "metric") -> str:
    """How long the card holds, in one sentence."""
    return f"Good until {amounts.day(card.good_until)}, or until {rain(card.rain_mm, units)} of rain has fallen."


def one_for_all(card: Card) -> Answer | None:
    """The answer of the whole table where every look leads to the same; None where looks differ."""
    first = card.cells[0].answer
    return first if all(c.answer.does == first.does and c.answer.how == first.how for c in card.cells) else None


def grouped(card: Card) -> list[tuple[str, list[Answer]]]:
    """Rows of the table: words for pollen that lead to the same answers are one row; one answer per jelly."""
    rows: list[tuple[list[str], list[Answer]]] = []
    for pollen in dict.fromkeys(c.pollen for c in card.cells):
        answers = [card.cell(pollen, jelly).answer for jelly in JELLY_SEEN]
        if rows and [(a.does, a.how) for a in rows[-1][1]] == [(a.does, a.how) for a in answers]:
            rows[-1][0].append(pollen)
        else:
            rows.append(([pollen], answers))
    return [(" or ".join(words), answers) for words, answers in rows]


def first_signs(card: Card, units: str = "metric") -> str:
    """The first rows in one line: signs that lead to the same stand together."""
    by: dict[str, list[str]] = {}
    for row in card.rows:
        by.setdefault(does(row.answer, units), []).append(row.name)
    return "; ".join(f"{', '.join(names)}: {words}" for words, names in by.items())


def lines(card: Card, units: str = "metric") -> list[str]:
    """The card in plain lines, for a terminal and for whoever reads aloud."""
    said = [f"First: {first_signs(card, units)}."]
    if card.first_off:
        said.append("Then the old piece comes off; what follows is for the hive without it.")
    same = one_for_all(card)
    if same is not None:
        said.append(f"Whatever the brood comb shows: {does(same, units, both=True)}.")
    else:
        for pollen, answers in grouped(card):
            parts = ", ".join(f"jelly {j}: {does(a, units)}" for j, a in zip(JELLY_SEEN, answers, strict=True))
            one = len({(a.does, a.how) for a in answers}) == 1
            said.append(f"Pollen {pollen}: {does(answers[0], units) if one else parts}.")
    twice = [f"{c.pollen} with {c.jelly} jelly" for c in card.cells if c.odd >= LOOK_TWICE]
    if twice:
        said.append(f"Would be odd here, look twice: {', '.join(twice)}.")
    return [*said, card.why, holds(card, units)]


@dataclass(frozen=True)
class Strip:
    """A card measured for the sheet."""

    card: Card
    units: str
    room: float
    signs: tuple[str, ...]
    foot: tuple[str, ...]

    @property
    def rows(self) -> int:
        """Printed rows of the table, its head among them."""
        return 1 if one_for_all(self.card) is not None else 1 + len(grouped(self.card))

    @property
    def above(self) -> int:
        """Printed lines above the foot: table and signs side by side, or below one another where one line says all."""
        return self.rows + len(self.signs) if one_for_all(self.card) is not None else max(self.rows, len(self.signs))

    @property
    def height(self) -> float:
        """Height on the page [pt]."""
        return STEP * (self.above + len(self.foot)) + 7

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw the card with its upper left corner at (x, top) [pt]."""
        canvas.setStrokeColor(RULE)
        canvas.setLineWidth(0.6)
        canvas.line(x, top, x + self.room, top)
        wide = LEFT * self.room - GAP
        y = top - STEP
        same = one_for_all(self.card)
        if same is not None:
            lead = "Comb, whatever it shows: " if not self.card.first_off else "Old piece off, then whatever it shows: "
            _text(canvas, x, y, lead, PLAIN, self.room)
            at = x + width(lead, PLAIN, SIZE)
            _text(canvas, at, y, does(same, self.units, both=True), BOLD, self.room - (at - x))
        else:
            self._table(canvas, x, y, wide)
        y = top - STEP * (1 if same is None else 2)
        for i, text in enumerate(self.signs):
            at = x + (LEFT * self.room if same is None else 0.0)
            if i == 0 and text.startswith("First:"):
                _text(canvas, at, y, "First:", BOLD, 60)
                text, at = text.removeprefix("First: "), at + width("First: ", BOLD, SIZE)
            _text(canvas, at, y, text, PLAIN, self.room)
            y -= STEP
        y = top - STEP * (self.above + 1)
        for text in self.foot:
            _text(canvas, x, y, text, PLAIN, self.room, SOFT)
            y -= STEP

    def _table(self, canvas: Any, x: float, y: float, wide: float) -> None:
        label, cell = LABEL * wide, (1 - LABEL) * wide / 3
        lead = "Pollen / jelly" if not self.card.first_off else "Old piece off;"
        _text(canvas, x, y, lead, PLAIN, label, SOFT)
        for i, word in enumerate(JELLY_SEEN):
            _text(canvas, x + label + i * cell, y, word, BOLD, cell - 3)
        for pollen, answers in grouped(self.card):
            canvas.line(x, y - 3, x + wide, y - 3)
            y -= STEP
            _text(canvas, x, y, pollen, BOLD, label - 3)
            span = len({(a.does, a.how) for a in answers}) == 1
            for i, a in enumerate(answers[:1] if span else answers):
                _text(canvas, x + label + i * cell, y, does(a, self.units), PLAIN, (3 if span else 1) * cell - 3)


def strip(card: Card, units: str, room: float) -> Strip:
    """Measure a card for a sheet ``room`` [pt] wide."""
    beside = room if one_for_all(card) is not None else (1 - LEFT) * room
    signs = wrap(f"First: {first_signs(card, units)}", PLAIN, SIZE, beside - 6)
    foot = wrap(f"{card.why} {holds(card, units)}", PLAIN, SIZE, room)
    return Strip(card, units, room, tuple(signs), tuple(foot))


def _text(canvas: Any, x: float, y: float, text: str, font: str, room: float, color: Any = INK) -> None:
    size = SIZE
    while size > 6.5 and width(text, font, size) > room:
        size -= 0.5
    canvas.setFont(font, size)
    canvas.setFillColor(color)
    canvas.drawString(x, y, fit(text, font, size, room))


def table(cards: Sequence[Card], units: str = "metric") -> list[tuple[str, ...]]:
    """One line per hive for a list of cards: hive, without a look, worth a look, why, until."""
    return [
        (c.hive, does(c.now, units, both=True), "yes" if c.worth else "no", c.why, amounts.day(c.good_until))
        for c in cards
    ]
