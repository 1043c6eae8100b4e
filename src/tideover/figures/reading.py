"""From TOML to rows, strictly: every fault is found and said in one sentence."""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from tideover.figures.rows import CONFIDENCES, DISTS, KINDS, KNOWN, FigureError, Row, Source

KEY: Final = re.compile(r"[a-z][a-z0-9_]*(\.[a-z0-9][a-z0-9_]*)+")
SOURCE_KEY: Final = re.compile(r"[a-z][a-z0-9-]*")
ROW_FIELDS: Final = {
    "key": str, "says": str, "unit": str, "text": str, "conditions": str, "note": str,
    "known": str, "confidence": str, "dist": str, "kind": str,
    "value": float, "low": float, "high": float, "min": float, "max": float, "tolerance": float,
    "adjustable": bool, "check": bool, "sources": list, "see": list,
}  # fmt: skip
NEEDED: Final = ("key", "says", "sources", "known", "confidence")
TYPE_WORDS: Final = {str: "text in quotes", float: "a number", bool: "true or false", list: "a list of keys"}


def read_files(
    files: Sequence[Path], known: Mapping[str, Source], *, links: bool
) -> tuple[dict[str, Row], dict[str, Source]]:
    """Read rows and sources from ``files``; raises ``FigureError`` with all faults if there are any.

    Rows may name sources of these files and of ``known``.  With ``links`` every ``see`` must lead to a row read
    here, which only holds when the whole book is read.
    """
    faults: list[str] = []
    raw_rows: list[tuple[str, Mapping[str, Any]]] = []
    sources = dict(known)
    for file in files:
        try:
            tables = tomllib.loads(file.read_text(encoding="utf-8"))
        except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
            faults.append(f"{file.name}: not readable as TOML in UTF-8 ({error}); mend the file.")
            continue
        for name in tables:
            if name not in ("row", "source"):
                faults.append(f"{file.name}: unknown table [{name}]; use [[row]] and [[source]] only.")
        for table in _tables(file.name, tables, "source", faults):
            _take_source(file.name, table, sources, faults)
        raw_rows += [(file.stem, table) for table in _tables(file.name, tables, "row", faults)]
    rows: dict[str, Row] = {}
    for stem, table in raw_rows:
        _take_row(stem, table, sources, rows, faults)
    if links:
        faults += [
            f"{row.key}: refers to {other!r}, which is not in the book; mend 'see' or add the row."
            for row in rows.values()
            for other in row.see
            if other not in rows
        ]
    if faults:
        raise FigureError(faults)
    return rows, sources


def _tables(file: str, tables: Mapping[str, Any], name: str, faults: list[str]) -> Sequence[Mapping[str, Any]]:
    found = tables.get(name, [])
    if isinstance(found, list) and all(isinstance(t, dict) for t in found):
        return found
    faults.append(f"{file}: {name!r} must be written as [[{name}]] tables.")
    return []


def _take_source(file: str, table: Mapping[str, Any], sources: dict[str, Source], faults: list[str]) -> None:
    key, text, doi = table.get("key"), table.get("text"), table.get("doi", "")
    if not isinstance(key, str) or not SOURCE_KEY.fullmatch(key):
        faults.append(f"{file}: source key {key!r} must be lower-case letters, digits and '-'.")
    elif not isinstance(text, str) or not text.strip() or not isinstance(doi, str):
        faults.append(f"{file}: source {key} needs text naming authors, year and journal or handbook.")
    elif extra := sorted(set(table) - {"key", "text", "doi"}):
        faults.append(f"{file}: source {key} has unknown field {extra[0]!r}; use key, text and doi.")
    elif key in sources:
        faults.append(f"{file}: source {key} is given twice; keep one.")
    else:
        sources[key] = Source(key, text, doi)


def _take_row(
    stem: str, table: Mapping[str, Any], sources: Mapping[str, Source], rows: dict[str, Row], faults: list[str]
) -> None:
    key = table.get("key")
    if not isinstance(key, str) or not KEY.fullmatch(key):
        faults.append(f"{stem}.toml: row key {key!r} must be like 'subject.name' in small letters, digits and '_'.")
        return
    wrong = list(_shape_faults(key, table))
    if not wrong:
        wrong = list(_sense_faults(key, table, sources))
    if key.split(".", 1)[0] != stem:
        wrong.append(f"{key}: stands in {stem}.toml, but the first part of the key must be the file's name.")
    if key in rows:
        wrong.append(f"{key}: is given twice; keep one or rename one.")
    if wrong:
        faults += wrong
        return
    fields = dict(table)
    for name in ("sources", "see"):
        fields[name] = tuple(fields.get(name, ()))
    for name, field in (("min", "floor"), ("max", "ceiling")):
        if name in fields:
            fields[field] = fields.pop(name)
    for name in ("value", "low", "high", "floor", "ceiling", "tolerance"):
        if name in fields:
            fields[name] = float(fields[name])
    rows[key] = Row(**fields)


def _shape_faults(key: str, table: Mapping[str, Any]) -> list[str]:
    wrong = [f"{key}: unknown field {name!r}; check the spelling." for name in table if name not in ROW_FIELDS]
    wrong += [f"{key}: field {name!r} is missing." for name in NEEDED if not table.get(name)]
    for name, given in table.items():
        want = ROW_FIELDS.get(name)
        if want is None:
            continue
        right = isinstance(given, want)
        if want is float:
            right = isinstance(given, (int, float)) and not isinstance(given, bool) and math.isfinite(given)
        elif want is list:
            right = isinstance(given, list) and all(isinstance(x, str) for x in given)
        if not right:
            wrong.append(f"{key}: field {name!r} is {given!r}, wanted {TYPE_WORDS[want]}.")
    return wrong


def _sense_faults(key: str, table: Mapping[str, Any], sources: Mapping[str, Source]) -> list[str]:
    wrong = []
    for name, allowed in (("known", KNOWN), ("confidence", CONFIDENCES), ("dist", DISTS), ("kind", KINDS)):
        if name in table and table[name] not in allowed:
            wrong.append(f"{key}: {name} is {table[name]!r}, wanted one of: {', '.join(allowed)}.")
    wrong += [
        f"{key}: source {source!r} is not in the book; add it to sources.toml or mend the key."
        for source in table["sources"]
        if source not in sources
    ]
    value, low, high = table.get("value"), table.get("low"), table.get("high")
    numeric = value is not None or low is not None or high is not None
    if (low is None) != (high is None):
        wrong.append(f"{key}: a range needs both low and high.")
    elif low is not None and high is not None and not low <= (low if value is None else value) <= high:
        wrong.append(f"{key}: wanted low <= value <= high, got {low}, {value}, {high}.")
    if numeric and not table.get("unit", "").strip():
        wrong.append(f"{key}: a number needs a unit (write '1' for a plain ratio).")
    if not numeric and not table.get("text", "").strip():
        wrong.append(f"{key}: has neither a number nor text; give value and unit, or text.")
    wrong += _limit_faults(key, table)
    wrong += _dist_faults(key, table)
    if table.get("check") and table.get("confidence") == "low":
        wrong.append(f"{key}: a row of low confidence must not be a check.")
    if table.get("check") and "kind" not in table:
        wrong.append(f"{key}: a check must say its kind: arithmetic or observed.")
    if not table.get("check") and ("kind" in table or "tolerance" in table):
        wrong.append(f"{key}: kind and tolerance belong to checks; set check = true or drop them.")
    if table.get("tolerance", 0) < 0:
        wrong.append(f"{key}: tolerance is {table['tolerance']}, wanted 0 or more.")
    return wrong


def _limit_faults(key: str, table: Mapping[str, Any]) -> list[str]:
    floor, ceiling = table.get("min", -math.inf), table.get("max", math.inf)
    if floor >= ceiling:
        return [f"{key}: hard limits need min < max, got {floor}, {ceiling}."]
    if "value" in table and not floor <= table["value"] <= ceiling:
        return [f"{key}: value {table['value']} lies outside its hard limits {floor}..{ceiling}."]
    return []


def _dist_faults(key: str, table: Mapping[str, Any]) -> list[str]:
    dist = table.get("dist")
    if dist is None:
        return []
    low, high, value = table.get("low"), table.get("high"), table.get("value")
    if dist != "uniform" and value is None:
        return [f"{key}: shape {dist} needs a value."]
    if dist == "fixed":
        return []
    if low is None and high is None:
        return [f"{key}: shape {dist} needs low and high."]
    if low is None or high is None:
        return []  # said already: a range needs both
    if low == high:
        return [f"{key}: shape {dist} needs low < high; use shape fixed for no spread."]
    if dist == "lognormal" and (low <= 0 or table["value"] <= 0):
        return [f"{key}: a lognormal shape needs positive low and value, got {low} and {value}."]
    return []
