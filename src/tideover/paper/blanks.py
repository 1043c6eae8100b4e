"""What is filled in with a pencil at the hive: boxes for numbers, rings for words.

The words are those of ``evidence.words``, so that a filled sheet can be typed in
as it stands. Nothing ticked means not looked at.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Final

from tideover.evidence import words as w
from tideover.paper.lettering import INK, PLAIN, RULE, SOFT, width

LABEL_SIZE: Final = 7.5
CHOICE_SIZE: Final = 8.5
ROW_HEIGHT: Final = 25.5
BOX_HEIGHT: Final = 15.0
RING: Final = 3.4
GAP: Final = 8.0


@dataclass(frozen=True)
class Blank:
    """One blank: its label, and either room for a number or words to ring.

    ``share`` is how a row's spare width is dealt out; ``unit`` stands behind a box.
    """

    label: str
    choices: tuple[str, ...] = ()
    least: float = 40.0
    share: float = 0.0
    unit: str = ""
    tick: bool = False

    def natural(self) -> float:
        """Width needed [pt]."""
        label = width(self.label, PLAIN, LABEL_SIZE)
        if self.choices:
            inner = sum(2 * RING + 2.5 + width(c, PLAIN, CHOICE_SIZE) + 5 for c in self.choices) - 5
            return max(label, inner)
        unit = width(self.unit, PLAIN, CHOICE_SIZE) + 3 if self.unit else 0.0
        return max(label, self.least + unit)


QUARTERS: Final = ("0", "1", "2", "3", "4")


def rows(units: str) -> tuple[tuple[Blank, ...], ...]:
    """The blanks of one hive, row by row, as they are met: lid, outer comb, brood comb, what was done."""
    degrees = "°F" if units == "us" else "°C"
    patty = "lb" if units == "us" else "g"
    return (
        (
            Blank("Time", least=44),
            Blank("Shade temp", least=34, unit=degrees),
            Blank("Seams per box, bottom first", least=100, share=1),
            Blank("Heft", w.HEFT),
            Blank("Beetles", w.BEETLES),
            Blank("Beetle larvae", ("yes", "no")),
        ),
        (
            Blank("Patty left, quarters", QUARTERS),
            Blank("It feels", w.PATTY_TEXTURE),
            Blank("Touches bees", ("yes", "no")),
            Blank("Crumbs", w.PATTY_DEBRIS),
            Blank("Pollen coming in", w.POLLEN_COMING),
            Blank("Note", least=30, share=1),
        ),
        (
            Blank("Outer comb: pollen", w.POLLEN_OUTER),
            Blank("Brood comb: pollen band", w.POLLEN_NEST),
        ),
        (
            Blank("Capped, ¼ sides", least=40),
            Blank("Open, ¼ sides", least=40),
            Blank("Eggs", ("yes", "no")),
            Blank("Jelly: floating", least=40),
            Blank("damp", least=32),
            Blank("dry", least=32),
            Blank("Brood discoloured, sunken, ropy", w.YES_NO),
            Blank("Queen", ("seen",)),
        ),
        (
            Blank("Laid on", least=56, unit=patty),
            Blank("Taken off", least=56, unit=patty),
            Blank("Other things done or seen", least=100, share=1),
            Blank("Who", least=44),
            Blank("Done", tick=True, least=BOX_HEIGHT),
        ),
    )


def height(units: str) -> float:
    """Height of all rows [pt]."""
    return ROW_HEIGHT * len(rows(units))


def draw(canvas: Any, x: float, top: float, room: float, units: str) -> None:
    """Draw every row from ``top`` [pt] downwards between ``x`` and ``x + room``."""
    for row in rows(units):
        _draw_row(canvas, row, x, top, room)
        top -= ROW_HEIGHT


def spread(row: tuple[Blank, ...], room: float) -> list[float]:
    """Widths of a row's blanks that fill ``room`` [pt].

    Spare width goes to blanks with a share; without any, between the blanks' choices.
    Raises: ValueError when the row does not fit.
    """
    natural = [blank.natural() for blank in row]
    spare = room - sum(natural) - GAP * (len(row) - 1)
    if spare < 0:
        raise ValueError(f"The row beginning {row[0].label!r} needs {-spare:.0f} pt more than the page has.")
    shares = [blank.share for blank in row]
    total = sum(shares)
    if not total:
        return [n + spare / len(row) for n in natural]
    return [n + spare * s / total for n, s in zip(natural, shares, strict=True)]


def _draw_row(canvas: Any, row: tuple[Blank, ...], x: float, top: float, room: float) -> None:
    for blank, wide in zip(row, spread(row, room), strict=True):
        canvas.setFont(PLAIN, LABEL_SIZE)
        canvas.setFillColor(SOFT)
        canvas.drawString(x, top - LABEL_SIZE, blank.label)
        bottom = top - LABEL_SIZE - 2.5 - BOX_HEIGHT
        canvas.setFillColor(INK)
        if blank.choices:
            _draw_choices(canvas, blank, x, bottom, wide)
        else:
            unit = width(blank.unit, PLAIN, CHOICE_SIZE) + 3 if blank.unit else 0.0
            canvas.setStrokeColor(INK if blank.tick else RULE)
            canvas.setLineWidth(1.4 if blank.tick else 0.8)
            canvas.rect(x, bottom, BOX_HEIGHT if blank.tick else wide - unit, BOX_HEIGHT, stroke=1, fill=0)
            if blank.unit:
                canvas.setFont(PLAIN, CHOICE_SIZE)
                canvas.drawString(x + wide - unit + 3, bottom + 4.5, blank.unit)
        x += wide + GAP


def _draw_choices(canvas: Any, blank: Blank, x: float, bottom: float, wide: float) -> None:
    """Rings with their words, spread over the width."""
    between = 5 + (min((wide - blank.natural()) / len(blank.choices), 6.0) if len(blank.choices) > 1 else 0.0)
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(0.8)
    canvas.setFont(PLAIN, CHOICE_SIZE)
    middle = bottom + BOX_HEIGHT / 2
    for choice in blank.choices:
        canvas.circle(x + RING, middle, RING, stroke=1, fill=0)
        canvas.drawString(x + 2 * RING + 2.5, middle - CHOICE_SIZE * 0.33, choice)
        x += 2 * RING + 2.5 + width(choice, PLAIN, CHOICE_SIZE) + between
