"""The embedded typeface, the three inks, and fitting of words into a given width."""

from __future__ import annotations

from functools import cache
from importlib.resources import as_file, files
from typing import Final

from reportlab.lib.colors import Color, HexColor
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

INK: Final[Color] = HexColor(0x1B262C)
SOFT: Final[Color] = HexColor(0x43525A)
CLAY: Final[Color] = HexColor(0x8A3F22)
SAGE: Final[Color] = HexColor(0x3F5A45)
RULE: Final[Color] = HexColor(0x77847D)
WASH: Final[Color] = HexColor(0xE6EEE5)

PLAIN: Final = "TideoverPlain"
BOLD: Final = "TideoverBold"
_FILES: Final = {PLAIN: "SourceSans3-Regular.ttf", BOLD: "SourceSans3-Bold.ttf"}


@cache
def load() -> None:
    """Register the typeface that ships with the package, so that every printer shows the same sheet."""
    for name, file in _FILES.items():
        with as_file(files("tideover.paper") / "fonts" / file) as path:
            pdfmetrics.registerFont(TTFont(name, str(path)))


def clean(text: str) -> str:
    """One line without control characters, every run of white space one space."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


def width(text: str, font: str, size: float) -> float:
    """Printed width [pt]."""
    load()
    return float(pdfmetrics.stringWidth(text, font, size))


def fit(text: str, font: str, size: float, room: float) -> str:
    """``text`` cut to ``room`` [pt], with an ellipsis where something was cut."""
    text = clean(text)
    if width(text, font, size) <= room:
        return text
    while text and width(text + "…", font, size) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def shrink(text: str, font: str, size: float, room: float, least: float) -> tuple[str, float]:
    """``text`` in the largest size from ``size`` down to ``least`` that fits ``room``; cut only below that."""
    text = clean(text)
    while size > least and width(text, font, size) > room:
        size -= 0.5
    return fit(text, font, size, room), size


def wrap(text: str, font: str, size: float, room: float, most: int = 0) -> list[str]:
    """Lines no wider than ``room`` [pt].

    A word wider than a line is broken. With ``most``, no more than that many lines,
    the last ending in an ellipsis where something was cut.
    """
    lines: list[str] = []
    line = ""
    for word in clean(text).split(" "):
        joined = f"{line} {word}" if line else word
        if width(joined, font, size) <= room:
            line = joined
            continue
        if line:
            lines.append(line)
        while width(word, font, size) > room:
            cut = len(word) - 1
            while cut > 1 and width(word[:cut], font, size) > room:
                cut -= 1
            lines.append(word[:cut])
            word = word[cut:]
        line = word
    if line:
        lines.append(line)
    if most and len(lines) > most:
        lines = [*lines[: most - 1], fit(" ".join(lines[most - 1 :]), font, size, room)]
    return lines
