"""From a books.json to rows, each with the line it starts on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from tideover.records.errors import Problem, shown
from tideover.records.kinds import KINDS
from tideover.records.reading import Row, Tick
from tideover.records.sheets import COMMON_COLUMNS, PLACES, kind_said
from tideover.records.values import near

FORMAT: Final = "tideover books"
VERSION: Final = 1
_KEYS: Final = ("format", "version", "yards", "hives", "entries", "settings")
_ENTRY_KEYS: Final = (*(c.name for c in COMMON_COLUMNS), "values")


class _TwiceError(ValueError):
    """A name or number that JSON allows and the books do not."""


def _no_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for k, v in pairs:
        if k in out:
            raise _TwiceError(f"{k!r} is given twice in one object")
        out[k] = v
    return out


def _constant(name: str) -> Any:
    raise _TwiceError(f"{name} is not a number that can be kept")


class JsonFile:
    """One books.json: ``load`` reads it whole, ``rows`` yields what is well formed."""

    def __init__(self, path: Path, file: str) -> None:
        self.path, self.file = path, file
        self.problems: list[Problem] = []
        self.settings: dict[str, Any] = {}
        self._parts: dict[str, list[tuple[int, Any]]] = {}
        self._decoder = json.JSONDecoder(object_pairs_hook=_no_twice, parse_constant=_constant)

    def _fail(self, line: int, column: str, value: object, what: str, remedy: str) -> None:
        self.problems.append(Problem(self.file, line, column, shown(value) if value != "" else "", what, remedy))

    def load(self, tick: Tick) -> None:
        """Read the file; what is wrong is added to ``problems``."""
        raw = self.path.read_bytes()
        tick(len(raw))
        try:
            text = raw.removeprefix(b"\xef\xbb\xbf").decode("utf-8")
        except UnicodeDecodeError as e:
            line = raw.count(b"\n", 0, e.start) + 1
            byte = e.start - raw.rfind(b"\n", 0, e.start)
            self._fail(
                line, "", "", f"byte {byte} of the line (0x{raw[e.start]:02x}) is not UTF-8", "save the file as UTF-8"
            )
            return
        if not text.strip():
            self._fail(0, "", "", "the file is empty", "bring a books.json as an export writes it")
            return
        try:
            self._top(text)
        except json.JSONDecodeError as e:
            self._fail(
                e.lineno,
                "",
                "",
                f"this is not JSON ({e.msg}, letter {e.colno})",
                "correct it there or export the file again",
            )
        except _TwiceError as e:
            self._fail(0, "", "", str(e), "keep one of the two")
        except RecursionError:
            self._fail(0, "", "", "lists are nested too deeply", "bring a books.json as an export writes it")

    def _top(self, text: str) -> None:
        """Walk the outer object by hand, so that every element keeps its line."""
        top: dict[str, Any] = {}
        pos = _skip(text, 0)
        if text[pos : pos + 1] != "{":
            self._fail(
                1,
                "",
                text[:20],
                "the file does not hold one JSON object",
                f'start it with {{"format": "{FORMAT}", "version": 1, …',
            )
            return
        pos = _skip(text, pos + 1)
        if text[pos : pos + 1] == "}":
            pos += 1
        else:
            pos = self._members(text, pos, top)
        end = _skip(text, pos)
        if end != len(text):
            raise json.JSONDecodeError("more text after the end", text, end)
        self._check_top(top)

    def _members(self, text: str, pos: int, top: dict[str, Any]) -> int:
        while True:
            key, pos = self._decoder.raw_decode(text, pos)
            if not isinstance(key, str):
                raise json.JSONDecodeError("a name in quotes is wanted", text, pos)
            pos = _want(text, _skip(text, pos), ":")
            pos = _skip(text, pos)
            if key in top:
                raise _TwiceError(f"{key!r} is given twice")
            if key in ("yards", "hives", "entries") and text[pos : pos + 1] == "[":
                top[key], pos = self._elements(text, pos)
            else:
                top[key], pos = self._decoder.raw_decode(text, pos)
            pos = _skip(text, pos)
            if text[pos : pos + 1] == "}":
                return pos + 1
            pos = _skip(text, _want(text, pos, ","))

    def _elements(self, text: str, pos: int) -> tuple[list[tuple[int, Any]], int]:
        out: list[tuple[int, Any]] = []
        line, counted = text.count("\n", 0, pos) + 1, pos
        pos = _skip(text, pos + 1)
        if text[pos : pos + 1] == "]":
            return out, pos + 1
        while True:
            line += text.count("\n", counted, pos)
            counted = pos
            try:
                element, pos = self._decoder.raw_decode(text, pos)
                out.append((line, element))
            except _TwiceError as e:
                self._fail(line, "", "", str(e), "keep one of the two, and leave out what was not measured")
                _, pos = json.JSONDecoder().raw_decode(text, pos)
            pos = _skip(text, pos)
            if text[pos : pos + 1] == "]":
                return out, pos + 1
            pos = _skip(text, _want(text, pos, ","))

    def _check_top(self, top: dict[str, Any]) -> None:
        if top.get("format") != FORMAT:
            self._fail(
                1, "format", top.get("format", ""), f"the format is not {FORMAT!r}", f'write "format": "{FORMAT}"'
            )
            return
        if top.get("version") != VERSION or isinstance(top.get("version"), bool):
            remedy = "bring it with the version of Tideover that wrote it"
            self._fail(1, "version", top.get("version", ""), f"the version is not {VERSION}", remedy)
            return
        for key in top:
            if key not in _KEYS:
                self._fail(
                    1, key, "", f"{key!r} is not a part of a books.json", f"use {near(key, _KEYS)}, or remove it"
                )
        for key in ("yards", "hives", "entries"):
            part = top.get(key, [])
            if isinstance(part, list):
                self._parts[key] = part
            else:
                self._fail(1, key, part, f"{key} is not a list", "write a list of objects in square brackets")
        given = top.get("settings", {})
        if isinstance(given, dict):
            self.settings = given
        else:
            self._fail(1, "settings", given, "settings are not an object", 'write {"name": value, …}')

    def rows(self, part: str) -> Iterator[Row]:
        """Yield the rows of 'yards', 'hives' or 'entries'."""
        for line, element in self._parts.get(part, ()):
            if not isinstance(element, dict):
                self._fail(line, "", element, "this is not an object", "write an object in curly brackets")
                continue
            row = self._entry(line, element) if part == "entries" else self._place(part, line, element)
            if row is not None:
                yield row

    def _place(self, part: str, line: int, element: dict[str, Any]) -> Row | None:
        known = [c.name for c in PLACES[part]]
        wrong = [k for k in element if k not in known]
        for k in wrong:
            self._fail(line, k, "", f"there is no {k!r} in {part}", f"use {near(k, known)}, or remove it")
        return None if wrong else Row(self.file, line, part, _filled(element))

    def _entry(self, line: int, element: dict[str, Any]) -> Row | None:
        said = element.get("kind", "")
        kind = kind_said(said) if isinstance(said, str) else None
        if kind is None:
            self._fail(line, "kind", said, "this is not a kind of entry", f"use {near(str(said), KINDS, 20)}")
            return None
        values = element.get("values", {})
        if not isinstance(values, dict):
            self._fail(line, "values", values, "values are not an object", 'write {"column": value, …}')
            return None
        wrong = [k for k in element if k not in _ENTRY_KEYS]
        for k in wrong:
            self._fail(
                line,
                k,
                element[k],
                f"there is no {k!r} in an entry",
                f"use {near(k, _ENTRY_KEYS)}; what was seen stands in 'values'",
            )
        both = [k for k in values if k in _ENTRY_KEYS]
        for k in both:
            self._fail(line, k, values[k], f"{k!r} does not belong in values", "put it beside 'values'")
        if wrong or both:
            return None
        cells = _filled({k: v for k, v in element.items() if k not in ("kind", "values")}) | _filled(values)
        return Row(self.file, line, kind.sheet, cells)


def _filled(cells: dict[str, Any]) -> dict[str, object]:
    return {k: v for k, v in cells.items() if v is not None and not (isinstance(v, str) and not v.strip())}


def _skip(text: str, pos: int) -> int:
    while pos < len(text) and text[pos] in " \t\r\n":
        pos += 1
    return pos


def _want(text: str, pos: int, char: str) -> int:
    if text[pos : pos + 1] != char:
        raise json.JSONDecodeError(f"{char!r} is wanted", text, min(pos, max(0, len(text) - 1)))
    return pos + 1
