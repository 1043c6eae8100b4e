"""From files to rows: encoding, separators, headers and the shape of rows, all checked here."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import BinaryIO, Final

from tideover.records.errors import Problem, shown
from tideover.records.kinds import KINDS, Kind
from tideover.records.sheets import (
    ALIASES,
    COMMON_COLUMNS,
    KIND_OF_SHEET,
    PLACES,
    SHEETS,
    kind_said,
    sheet_named,
)
from tideover.records.values import a_, column_map, near, unknown_column

_DATA_LIKE: Final = re.compile(r"\d{4}-\d\d-\d\d|[-+]?\d+(?:[.,]\d+)?\Z")
_COMMON: Final = tuple(c.name for c in COMMON_COLUMNS)
Tick = Callable[[int], None]


@dataclass(frozen=True)
class Row:
    """One row: where it stands, which sheet it belongs to, and its filled cells by column name.

    ``cells`` hold text from CSV; from JSON they may hold numbers and lists as well.
    """

    file: str
    line: int
    sheet: str
    cells: Mapping[str, object]
    where: str = ""

    def problem(self, column: str, value: object, what: str, remedy: str) -> Problem:
        """Return a problem that stands in this row."""
        return Problem(self.file, self.line, column, shown(value) if value != "" else "", what, remedy)


@dataclass
class Lines:
    """The lines of a file decoded one by one; bad ones are noted and stand in ``bad``."""

    file: str
    stream: BinaryIO
    tick: Tick
    problems: list[Problem] = field(default_factory=list)
    bad: set[int] = field(default_factory=set)

    def __iter__(self) -> Iterator[str]:
        """Yield decoded lines."""
        for number, raw in enumerate(self.stream, 1):
            self.tick(len(raw))
            if number == 1:
                if raw[:2] in (b"\xff\xfe", b"\xfe\xff"):
                    what, remedy = "the file is UTF-16, not UTF-8", "save it again as 'CSV UTF-8'"
                    self.problems.append(Problem(self.file, 1, "", "", what, remedy))
                    return
                raw = raw.removeprefix(b"\xef\xbb\xbf")
            try:
                text = raw.decode("utf-8")
            except UnicodeDecodeError as e:
                self.bad.add(number)
                what = f"byte {e.start + 1} of the line (0x{raw[e.start]:02x}) is not UTF-8"
                near_ = raw[max(0, e.start - 12) : e.start + 8].decode("utf-8", "replace")
                self.problems.append(Problem(self.file, number, "", near_, what, "save the file again as 'CSV UTF-8'"))
                text = raw.decode("utf-8", "replace")
            if "\x00" in text:
                self.bad.add(number)
                what, remedy = "the line holds a zero byte", "save the file again as 'CSV UTF-8'"
                self.problems.append(Problem(self.file, number, "", "", what, remedy))
                text = text.replace("\x00", "")
            yield text


class CsvFile:
    """One CSV file: ``sheet`` (None when a ``kind`` column tells), and its rows."""

    def __init__(self, path: Path, file: str) -> None:
        self.path, self.file = path, file
        self.sheet = sheet_named(path.stem)
        self.problems: list[Problem] = []
        self._header: list[str] = []
        self._unread: set[int] = set()

    def _fail(self, line: int, column: str, value: str, what: str, remedy: str) -> None:
        self.problems.append(Problem(self.file, line, column, shown(value) if value else "", what, remedy))

    def rows(self, tick: Tick) -> Iterator[Row]:
        """Yield the rows that have the right shape; what is wrong is added to ``problems``."""
        with self.path.open("rb") as stream:
            lines = Lines(self.file, stream, tick, self.problems)
            reader = csv.reader(iter(lines), strict=True)
            start, first = 1, True
            while True:
                try:
                    cells = next(reader)
                except StopIteration:
                    break
                except csv.Error as e:
                    remedy = "close every quote, and double a quote inside a quoted cell"
                    self._fail(start, "", "", f"the row cannot be read ({e})", remedy)
                    start = reader.line_num + 1
                    if "end of data" in str(e):
                        break
                    continue
                line, start = start, reader.line_num + 1
                if first:
                    if not any(c.strip() for c in cells) and not lines.bad:
                        continue
                    first = False
                    if not self._read_header(line, cells):
                        return
                    continue
                if any(n in lines.bad for n in range(line, start)) or not any(c.strip() for c in cells):
                    continue
                row = self._row(line, cells)
                if row is not None:
                    yield row
            if first and not self.problems:
                self._fail(
                    0, "", "", "the file is empty", "put the names of the columns in the first line and rows below it"
                )

    # ---- header ----------------------------------------------------------

    def _read_header(self, line: int, cells: list[str]) -> bool:
        if len(cells) == 1:
            for sep, name in ((";", "semicolons"), ("\t", "tabs")):
                if sep in cells[0]:
                    what = f"the columns are separated by {name}"
                    remedy = "save the file with commas between columns and a point in decimal numbers (1.5, not 1,5)"
                    self._fail(line, "", cells[0], what, remedy)
                    return False
        names = [re.sub(r"[\s\-]+", "_", c.strip().lower()) for c in cells]
        self._header = names
        known = self._known()
        if not any(n in known for n in names) and not any(ALIASES.get(n) in known for n in names):
            if self.sheet is None and any(n in _every_column() for n in names):
                return self._no_sheet(line)
            what = "the first line does not name the columns"
            if any(_DATA_LIKE.match(c.strip()) for c in cells):
                what = "the header is missing: the first line holds values"
            self._fail(
                line,
                "",
                ",".join(cells),
                what,
                f"put the names of the columns there, such as {','.join(list(known)[1:5])}",
            )
            return False
        if self.sheet is None and "kind" not in names:
            return self._no_sheet(line)
        for i, n in enumerate(names):
            if n in names[:i] and n:
                self._fail(line, n, "", f"the column {n!r} stands in the header twice", "keep one of the two")
                self._unread.add(i)
            elif n and n not in known:
                self.problems.append(self._unknown(n).at(self.file, line))
                self._unread.add(i)
        return True  # the rows are checked all the same, without those columns

    def _no_sheet(self, line: int) -> bool:
        what = f"the file name {self.path.stem!r} is not the name of a sheet and there is no column 'kind'"
        remedy = f"name the file after its sheet ({', '.join(SHEETS)}), or add a column 'kind'"
        remedy += "; weather is known by its header, such as date,temp_max_c,temp_min_c,rain_mm (or _f and _in)"
        self._fail(line, "", "", what, remedy)
        return False

    def _known(self) -> list[str]:
        if self.sheet in PLACES:
            return [c.name for c in PLACES[self.sheet or ""]]
        if self.sheet is not None:
            return [*_COMMON, *column_map(KIND_OF_SHEET[self.sheet])]
        return [*_COMMON, *(c for k in KINDS.values() for c in column_map(k))]

    def _unknown(self, name: str) -> Problem:
        known = self._known()
        if name in ALIASES and ALIASES[name] in known:
            return Problem("", 0, name, "", f"there is no column {name!r} in this sheet", f"name it {ALIASES[name]!r}")
        kinds = [] if self.sheet in PLACES else [KIND_OF_SHEET[self.sheet]] if self.sheet else list(KINDS.values())
        for k in kinds:
            p = unknown_column(name, k)
            if "is not a unit of" in p.what or "names no unit" in p.what:
                return p
        return Problem(
            "",
            0,
            name,
            "",
            f"there is no column {name!r} in this sheet",
            f"use {near(name, known)}, or remove the column",
        )

    # ---- rows ------------------------------------------------------------

    def _row(self, line: int, cells: list[str]) -> Row | None:
        names = self._header
        while len(cells) > len(names) and not cells[-1].strip():
            cells = cells[:-1]
        if len(cells) != len(names):
            what = f"the row has {len(cells)} cells and the header {len(names)}"
            remedy = "give every column one cell, empty ones too"
            if len(cells) > len(names):
                remedy += "; put text with commas in quotes and write decimal numbers with a point (1.5, not 1,5)"
            self._fail(line, "", ",".join(cells), what, remedy)
            return None
        filled: dict[str, object] = {}
        for i, (n, c) in enumerate(zip(names, cells, strict=True)):
            if not c.strip() or i in self._unread:
                continue
            if not n:
                self._fail(
                    line,
                    "",
                    c,
                    "the cell stands under no column name",
                    "name the column in the header or empty the cell",
                )
                return None
            filled[n] = c
        sheet = self.sheet
        if "kind" in filled and sheet not in PLACES:
            kind = self._kind(line, str(filled.pop("kind")))
            if kind is None:
                return None
            sheet = kind.sheet
        elif sheet is None:
            self._fail(line, "kind", "", "the kind of entry is missing", f"fill in one of: {', '.join(KINDS)}")
            return None
        return Row(self.file, line, sheet or "", filled)

    def _kind(self, line: int, said: str) -> Kind | None:
        kind = kind_said(said)
        if kind is None:
            self._fail(line, "kind", said, "this is not a kind of entry", f"use {near(said, KINDS, 20)}")
        elif self.sheet is not None and kind.sheet != self.sheet:
            what = f"this row is {a_(kind.name)}, and the file name says {self.sheet.replace('_', ' ')}"
            self._fail(
                line, "kind", said, what, f"move the row to {kind.sheet}.csv, or give the file a name that is no sheet"
            )
            return None
        return kind


def _every_column() -> set[str]:
    names = {c for k in KINDS.values() for c in column_map(k)} | set(_COMMON)
    return names | {c.name for columns in PLACES.values() for c in columns}
