"""Labels with a code to scan: one for each hive, one for each piece of a batch, or one for a single piece.

The code holds an address on the pages, so that a phone's camera opens the hive or the piece; without
an address set it holds the plain name. Full square codes only: the cameras of phones rarely read the small kind.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Final
from urllib.parse import quote, urlsplit

import segno
from reportlab.pdfgen.canvas import Canvas

from tideover.desk.coldbox import facts_of
from tideover.paper import amounts
from tideover.paper.lettering import BOLD, INK, PLAIN, RULE, load, shrink, wrap
from tideover.paper.sheet import PAPER_SIZES
from tideover.patty.ledger.codes import piece_of, read_made, tidy
from tideover.patty.ledger.fold import fold
from tideover.records import Books

COLUMNS: Final = 3
HIGH: Final = 104.0
"""Height of a label [pt], 37 mm."""
MARGIN: Final = 28.0
QUIET: Final = 4
"""Clear modules around a code (ISO/IEC 18004)."""
CODE: Final = 80.0
"""Width of a code with its clear border [pt], 28 mm."""
DIRT: Final = "q"
"""A quarter of the code may be covered by propolis and it is still read."""
MOST: Final = 2000


@dataclass(frozen=True)
class Label:
    """One label: what the code holds, the name in large letters, lines below it."""

    code: str
    name: str
    lines: tuple[str, ...] = ()


def address_of(text: str) -> str:
    """An address of the pages, made sure and without a slash at its end; empty when none is set.

    :raises ValueError: for anything but http or https with a host.
    """
    text = text.strip().rstrip("/")
    if not text:
        return ""
    try:
        parts = urlsplit(text)
        whole = parts.scheme in ("http", "https") and bool(parts.hostname) and not parts.query and not parts.fragment
    except ValueError:
        whole = False
    if not whole or any(c.isspace() for c in text):
        raise ValueError(f"got the address {text!r}, wanted one such as http://hives.local:8737, or nothing.")
    return text


def hive_labels(books: Books, yard: str | None = None) -> list[Label]:
    """A label for every hive, in the order of the books.

    :param yard: one yard only.
    """
    base = address_of(str(books.settings().get("address", "")))
    found = []
    for hive in books.hives(yard):
        code = f"{base}/hive/{quote(hive.id, safe='')}" if base else hive.id
        found.append(Label(code, hive.id, (books.yard(hive.yard).name,)))
    return found


def piece_labels(books: Books, batch: str, units: str = "metric") -> list[Label]:
    """A label for every piece of a batch: weight, protein, date, and until when it is good.

    :param batch: the batch's name.
    :param units: which unit stands first.
    :raises ValueError: when no such batch is in the books, or it does not say how many pieces were cut.
    """
    entries = [e for e in books.entries(kind="batch") if str(e.values.get("batch", "")) == batch]
    if not entries:
        known = sorted({str(e.values.get("batch", "")) for e in books.entries(kind="batch")})
        other = f"; the books hold {', '.join(known[:8])}" if known else "; write the batch down first"
        raise ValueError(f"no batch {batch!r} is in the books{other}.")
    values = entries[-1].values
    pieces = values.get("pieces")
    if not isinstance(pieces, (int, float)) or pieces < 1:
        raise ValueError(
            f"batch {batch!r} does not say how many pieces were cut from it; correct its entry with 'pieces'."
        )
    base = address_of(str(books.settings().get("address", "")))
    lines = [amounts.both(float(values["weight"]) / pieces, units)]  # type: ignore[arg-type]
    if isinstance(values.get("protein"), (int, float)):
        lines.append(f"{values['protein']:g} % protein")
    lines.append(f"made {amounts.day(entries[-1].at)} {entries[-1].at.year}")
    if values.get("keeps_until"):
        until = date.fromisoformat(str(values["keeps_until"])[:10])
        # no weekday, so that it fits beside the code on one line
        lines.append(f"good until {amounts.day(until).partition(' ')[2]} {until.year}")
    lines.append("feed, not for people")
    found = []
    for i in range(1, int(pieces) + 1):
        piece = piece_of(batch, i)
        found.append(Label(f"{base}/piece/{quote(piece, safe='')}" if base else piece, piece, tuple(lines)))
    return found


def piece_label(books: Books, code: str, units: str = "metric") -> Label:
    """A label for one piece, whether of a batch or not: what is left of it as far as is written, and whose it is.

    :param code: the piece's code as it is written or read; letters taken for digits are put right.
    :param units: which unit stands first.
    :raises ValueError: when no such piece is in the books.
    """
    pieces = fold(facts_of(books)).pieces
    piece = pieces.get(tidy(code)) or pieces.get(read_made(code))
    if piece is None:
        raise ValueError(f"no piece {code!r} is in the books; 'tideover coldbox' lists those there are.")
    base = address_of(str(books.settings().get("address", "")))
    left = piece.cold_g + piece.hand_g + sum(s.left_g for s in piece.on)
    lines = [amounts.both(left, units) if left > 0 else "nothing left of it"]
    lines.append(f"back to {piece.owner}, no other" if piece.owner else "never lay on a hive")
    if piece.batch:
        lines.append(f"batch {piece.batch}")
    lines.append("feed, not for people")
    held = f"{base}/piece/{quote(piece.code, safe='')}" if base else piece.code
    return Label(held, piece.code, tuple(lines))


def label_sheet(labels: Sequence[Label], path: Path | str, paper_size: str = "a4") -> Path:
    """Write labels as a PDF to print and cut along the dashes; the same labels give the same bytes.

    :param labels: at least one, at most 2,000.
    :param path: file to write, replaced in one step.
    :param paper_size: ``a4`` or ``letter``.
    :returns: the path written.
    :raises ValueError: for no labels, too many, an unknown paper, or a code too long to be read from a label.
    """
    if not labels:
        raise ValueError("there is nothing to put on labels; bring hives or write a batch first.")
    if len(labels) > MOST:
        raise ValueError(f"got {len(labels)} labels, wanted at most {MOST}; print one yard or batch at a time.")
    if paper_size not in PAPER_SIZES:
        raise ValueError(f"Got paper size {paper_size!r}, wanted one of {', '.join(PAPER_SIZES)}.")
    load()
    path = Path(path)
    wide, high = PAPER_SIZES[paper_size]
    room = (wide - 2 * MARGIN) / COLUMNS
    rows = int((high - 2 * MARGIN) // HIGH)
    path.parent.mkdir(parents=True, exist_ok=True)
    part = path.with_name(path.name + ".part")
    canvas = Canvas(str(part), pagesize=(wide, high), invariant=1, lang="en")
    canvas.setTitle("Labels")
    canvas.setAuthor("Tideover")
    for k, label in enumerate(labels):
        place = k % (rows * COLUMNS)
        if k and place == 0:
            canvas.showPage()
        x = MARGIN + (place % COLUMNS) * room
        top = high - MARGIN - (place // COLUMNS) * HIGH
        _draw(canvas, label, x, top, room)
    canvas.showPage()
    canvas.save()
    os.replace(part, path)
    return path


def _draw(canvas: Any, label: Label, x: float, top: float, room: float) -> None:
    canvas.setStrokeColor(RULE)
    canvas.setLineWidth(0.5)
    canvas.setDash(2, 3)
    canvas.rect(x, top - HIGH, room, HIGH, stroke=1, fill=0)
    canvas.setDash()
    _draw_code(canvas, label.code, x + 4, top - (HIGH - CODE) / 2, CODE)
    at, left = x + 4 + CODE, room - CODE - 10
    name, size = shrink(label.name, BOLD, 15, left, 7)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, size)
    y = top - 30
    canvas.drawString(at, y, name)
    canvas.setFont(PLAIN, 8)
    for line in label.lines:
        for text in wrap(line, PLAIN, 8, left, 2):
            y -= 10.5
            canvas.drawString(at, y, text)


def _draw_code(canvas: Any, text: str, x: float, top: float, size: float) -> None:
    """Draw a code as black squares; rows of squares that touch are one rectangle, so that no gap prints."""
    code = segno.make_qr(text, error=DIRT)
    matrix = [[bool(cell) for cell in row] for row in code.matrix]
    across = len(matrix) + 2 * QUIET
    module = size / across
    if module < 1.15:
        # 0.4 mm: what an ordinary printer and camera still part (common practice).
        raise ValueError(f"the code {text[:40]!r} is too long for a label; set a shorter address.")
    canvas.setFillColor(INK)
    for r, row in enumerate(matrix):
        y = top - (QUIET + r + 1) * module
        begin: int | None = None
        for c, dark in enumerate([*row, False]):
            if dark and begin is None:
                begin = c
            elif not dark and begin is not None:
                canvas.rect(x + (QUIET + begin) * module, y, (c - begin) * module, module, stroke=0, fill=1)
                begin = None
