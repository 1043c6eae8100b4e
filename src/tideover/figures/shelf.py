"""The book on its shelf: look a figure up, list a subject, write it all out."""

from __future__ import annotations

import difflib
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path
from typing import Any, Final

from tideover.figures.reading import read_files
from tideover.figures.rows import FigureError, Row, Source, UnknownFigureError

DATA: Final = Path(__file__).parent / "data"
SOURCES: Final = "sources"
"""Name of the file that holds the sources several subjects share."""
FORMAT: Final = 1
"""Version of the shape ``Book.as_json`` writes; the schema beside this room says what it is."""


class Book:
    """All figures and their sources, read-only.

    A subject's file is read when a figure of it is first asked for, since a command seldom needs more than one;
    whatever asks for everything reads, and cross-checks, the whole folder.
    """

    def __init__(self, folder: Path) -> None:
        """Find the subject files in ``folder``; raises ``FigureError`` if there are none."""
        self._files: Final = {file.stem: file for file in sorted(folder.glob("*.toml"))}
        if not self._files:
            raise FigureError([f"No figures found in folder {folder.name}: it should hold one TOML file per subject."])
        self._rows: dict[str, Row] = {}
        self._sources: dict[str, Source] = {}
        self._common: dict[str, Source] | None = None
        self._read: set[str] = set()
        self._whole = False

    def __len__(self) -> int:
        """Number of rows in the whole book."""
        return len(self._all())

    def __contains__(self, key: object) -> bool:
        """Whether a row has this key."""
        return isinstance(key, str) and key in self._subject(key.split(".", 1)[0])

    def row(self, key: str) -> Row:
        """The row of this key; raises ``UnknownFigureError`` naming near misses."""
        try:
            return self._subject(key.split(".", 1)[0])[key]
        except KeyError:
            raise UnknownFigureError(_missing("figure", key, self._all())) from None

    def value(self, key: str) -> float:
        """The row's value in the row's own unit; raises for words and bare ranges."""
        return self.row(key).number

    def rows(self, prefix: str = "") -> list[Row]:
        """Rows whose key starts with ``prefix``, in order of key."""
        rows = self._subject(prefix.split(".", 1)[0]) if "." in prefix else self._all()
        return [rows[key] for key in sorted(rows) if key.startswith(prefix)]

    def subjects(self) -> list[str]:
        """The subjects, one per file of rows, in order."""
        return sorted({row.subject for row in self._all().values()})

    def checks(self) -> list[Row]:
        """Rows marked as outside checks, in order of key."""
        return [row for row in self.rows() if row.check]

    def source(self, key: str) -> Source:
        """The source of this key; raises ``UnknownFigureError`` naming near misses."""
        if key not in self._sources:
            self._all()
        try:
            return self._sources[key]
        except KeyError:
            raise UnknownFigureError(_missing("source", key, self._sources)) from None

    def sources(self) -> list[Source]:
        """All sources in order of key."""
        self._all()
        return [self._sources[key] for key in sorted(self._sources)]

    def as_json(self) -> dict[str, Any]:
        """The whole book as plain JSON values, in the shape of ``schemas/figures.schema.json``."""
        return {
            "format": FORMAT,
            "figures": [row.as_json() for row in self.rows()],
            "sources": [{"key": s.key, "text": s.text, "doi": s.doi} for s in self.sources()],
        }

    def _subject(self, stem: str) -> dict[str, Row]:
        """At least the rows of this subject; none if there is no such file."""
        if self._whole or stem in self._read or stem not in self._files:
            return self._rows
        if self._common is None:
            shared = [self._files[SOURCES]] if SOURCES in self._files else []
            self._common = read_files(shared, {}, links=False)[1]
        rows, sources = read_files([self._files[stem]] if stem != SOURCES else [], self._common, links=False)
        self._rows.update(rows)
        self._sources.update(sources)
        self._read.add(stem)
        return self._rows

    def _all(self) -> dict[str, Row]:
        """Every row of the folder, with the links between them checked."""
        if not self._whole:
            self._rows, self._sources = read_files(list(self._files.values()), {}, links=True)
            self._whole = True
        return self._rows


def load(folder: Path) -> Book:
    """Read a whole book from a folder of TOML files; raises ``FigureError`` listing every fault."""
    found = Book(folder)
    len(found)
    return found


@cache
def book() -> Book:
    """The book that ships with the package."""
    return Book(DATA)


def reader(subject: str) -> Callable[[str], float]:
    """Values of one subject by the rest of their keys: ``reader("brood")("egg_days")``."""
    return lambda name: book().value(f"{subject}.{name}")


def _missing(what: str, key: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(key, known, n=3, cutoff=0.5)
    tail = f" Did you mean {', '.join(near)}?" if near else " Run 'tideover figures' to list them."
    return f"No {what} is called {key!r}.{tail}"
