"""One shape of our own per action, so that a call is told by shape and word, never by colour alone.

The shapes are those of the pages, as path data on a 32 by 32 grid with y downwards;
a test keeps both equal.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Final

from tideover.paper.lettering import INK


@dataclass(frozen=True)
class Stroke:
    """One path: its data, its class on the pages (f filled, w wide, k cut out, k2 solid) and its dashes."""

    path: str
    look: str = ""
    dash: tuple[float, ...] = ()


def circle(x: float, y: float, radius: float) -> str:
    """Path data of a circle."""
    r, d = f"{radius:g} {radius:g}", f"{2 * radius:g}"
    return f"M{x - radius:g} {y:g}a{r} 0 1 1 {d} 0a{r} 0 1 1 -{d} 0z"


SHAPES: Final[dict[str, tuple[Stroke, ...]]] = {
    "lay on": (
        Stroke("M5 12h22v8H5z", "f"),
        Stroke("M3 25h26M7 25v4M13 25v4M19 25v4M25 25v4M16 2v6M12.5 5.5 16 9l3.5-3.5"),
    ),
    "leave": (Stroke("M6 26C4 12 13 5 27 5c1 14-6 22-19 20z", "f"), Stroke("M4 29 20 12", "k")),
    "look again": (Stroke(circle(13.5, 13.5, 9)), Stroke("m20.5 20.5 8 8", "w")),
    "take off": (
        Stroke("M5 12h22v8H5z", "", (4, 2.5)),
        Stroke("M3 25h26M7 25v4M13 25v4M19 25v4M25 25v4M16 9V2M12.5 5.5 16 2l3.5 3.5"),
    ),
    "give sugar": (Stroke("M4 14h12v12H4z", "f"), Stroke("M16 18h12v12H16zM12 3h9v9"), Stroke("m12 12 9-9")),
    "give water": (
        Stroke("M16 3c5 7 7.5 10 7.5 14a7.5 7.5 0 0 1-15 0C8.5 13 11 10 16 3z", "f"),
        Stroke("M4 29h24"),
    ),
    "unite": (Stroke("M7 18h18v10H7z", "f"), Stroke("M7 5h18v9H7zM12 14v4M20 14v4")),
    "move the yard": (Stroke("M3 10h12v14H3z", "f"), Stroke("M18 17h11M24.5 12.5 29 17l-4.5 4.5")),
    "see to the cause first": (
        Stroke("M10 10c0-8 13-8 13 0 0 5-6.5 5-6.5 10", "w"),
        Stroke(circle(16.5, 27, 2.2), "k2"),
    ),
    "warns": (Stroke("M16 4v15", "w"), Stroke(circle(16, 27, 2.2), "k2")),
    "patty": (Stroke("M5 12h22v8H5z", "f"), Stroke("M3 25h26")),
}

_TOKEN: Final = re.compile(r"([MmLlHhVvCcAaZz])|(-?(?:\d+\.\d+|\.\d+|\d+))")
_TAKES: Final = {"M": 2, "L": 2, "H": 1, "V": 1, "C": 6, "A": 7, "Z": 0}


def segments(data: str) -> Iterator[tuple[str, tuple[float, ...]]]:
    """Path data as absolute moves, lines, cubic curves and closings.

    Yields: ("M", (x, y)), ("L", (x, y)), ("C", (x1, y1, x2, y2, x, y)) or ("Z", ()).
    """
    tokens: list[str] = [a or b for a, b in _TOKEN.findall(data)]
    at, start, command, i = (0.0, 0.0), (0.0, 0.0), "", 0
    while i < len(tokens):
        if tokens[i].isalpha():
            command = tokens[i]
            i += 1
        upper, relative = command.upper(), command.islower()
        count = _TAKES[upper]
        numbers = [float(t) for t in tokens[i : i + count]]
        i += count
        dx, dy = at if relative else (0.0, 0.0)
        if upper == "Z":
            yield "Z", ()
            at = start
        elif upper == "H":
            at = (numbers[0] + dx, at[1])
            yield "L", at
        elif upper == "V":
            at = (at[0], numbers[0] + dy)
            yield "L", at
        elif upper == "A":
            end = (numbers[5] + dx, numbers[6] + dy)
            yield from _arc(at, numbers[0], bool(numbers[3]), bool(numbers[4]), end)
            at = end
        else:
            moved = tuple(n + (dy if k % 2 else dx) for k, n in enumerate(numbers))
            yield upper, moved
            at = (moved[-2], moved[-1])
            if upper == "M":
                start = at
                command = "l" if relative else "L"


def _arc(
    start: tuple[float, float], radius: float, large: bool, sweep: bool, end: tuple[float, float]
) -> Iterator[tuple[str, tuple[float, ...]]]:
    """A circular arc as cubic curves of at most a quarter turn (endpoint to centre form)."""
    (x1, y1), (x2, y2) = start, end
    half = math.hypot(x2 - x1, y2 - y1) / 2
    radius = max(radius, half)
    height = math.sqrt(max(radius**2 - half**2, 0.0))
    side = -1.0 if large == sweep else 1.0
    cx = (x1 + x2) / 2 - side * height * (y2 - y1) / (2 * half)
    cy = (y1 + y2) / 2 + side * height * (x2 - x1) / (2 * half)
    a1, a2 = math.atan2(y1 - cy, x1 - cx), math.atan2(y2 - cy, x2 - cx)
    if sweep and a2 <= a1:
        a2 += 2 * math.pi
    if not sweep and a2 >= a1:
        a2 -= 2 * math.pi
    steps = max(1, math.ceil(abs(a2 - a1) / (math.pi / 2) - 1e-9))
    turn = (a2 - a1) / steps
    pull = 4 / 3 * math.tan(turn / 4) * radius
    for k in range(steps):
        a, b = a1 + k * turn, a1 + (k + 1) * turn
        xa, ya, xb, yb = (
            cx + radius * math.cos(a), cy + radius * math.sin(a), cx + radius * math.cos(b), cy + radius * math.sin(b)
        )  # fmt: skip
        yield "C", (
            xa - pull * math.sin(a), ya + pull * math.cos(a), xb + pull * math.sin(b), yb - pull * math.cos(b), xb, yb
        )  # fmt: skip


def draw(canvas: Any, name: str, x: float, y: float, size: float, color: Any = INK) -> None:
    """Draw a shape with its lower left corner at (x, y) [pt], ``size`` wide and high.

    Raises: KeyError for a name without a shape.
    """
    canvas.saveState()
    canvas.translate(x, y + size)
    canvas.scale(size / 32, -size / 32)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    for stroke in SHAPES[name]:
        path = canvas.beginPath()
        for kind, points in segments(stroke.path):
            if kind == "M":
                path.moveTo(*points)
            elif kind == "L":
                path.lineTo(*points)
            elif kind == "C":
                path.curveTo(*points)
            else:
                path.close()
        canvas.setDash(*([list(stroke.dash)] if stroke.dash else []))
        canvas.setStrokeColor(color if stroke.look != "k" else "#ffffff")
        canvas.setFillColor(color)
        canvas.setLineWidth(3.5 if stroke.look == "w" else 2.25)
        solid = stroke.look in ("f", "k2")
        canvas.drawPath(path, stroke=0 if stroke.look == "k2" else 1, fill=1 if solid else 0)
    canvas.restoreState()
