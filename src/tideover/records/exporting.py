"""Write everything out: one CSV sheet per kind of entry, and all of it again as books.json."""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, TextIO

from sqlalchemy import Connection, select

from tideover.evidence.seen import Value
from tideover.records.entries import Entry, Hive, Yard, boxes_text
from tideover.records.errors import RecordsError
from tideover.records.kinds import KINDS, Kind
from tideover.records.reading_json import FORMAT, VERSION
from tideover.records.rows import entry_of_row, hives_of_rows, yard_of_row
from tideover.records.sheets import COMMON_COLUMNS, HIVE_COLUMNS, SETTING_COLUMNS, YARD_COLUMNS, export_columns
from tideover.records.store import Books
from tideover.records.tables import boxes, entries, hives, settings, yards

_COMMON = tuple(c.name for c in COMMON_COLUMNS if c.name != "kind")


def cell(value: Value) -> str:
    """Return a value as it stands in a CSV cell; floats read back exactly."""
    if isinstance(value, tuple):
        return "+".join(repr(float(v)) for v in value)
    return value if isinstance(value, str) else repr(value)


def _common(e: Entry) -> dict[str, Any]:
    return {
        "id": e.id,
        "hive": e.hive,
        "yard": e.yard,
        "at": e.at.isoformat(),
        "who": e.who,
        "device": e.device,
        "units": e.units,
        "supersedes": e.supersedes,
        "note": e.note,
        "recorded_at": e.recorded_at.isoformat() if e.recorded_at else None,
    }


def entry_json(e: Entry) -> dict[str, Any]:
    """Return an entry as an object of books.json."""
    values = {c: e.values[f.name] for c, f in export_columns(KINDS[e.kind]) if f.name in e.values}
    filled = {k: v for k, v in _common(e).items() if v not in (None, "")}
    return {"kind": e.kind, **filled, "values": {k: list(v) if isinstance(v, tuple) else v for k, v in values.items()}}


def yard_json(y: Yard) -> dict[str, Any]:
    """Return a yard as an object of books.json."""
    return {
        "id": y.id,
        "name": y.name,
        "latitude": y.latitude,
        "longitude": y.longitude,
        "timezone": y.timezone,
        "elevation_m": y.elevation_m,
        "beetles": y.beetles,
        "beetles_reportable": y.beetles_reportable,
        "note": y.note,
    }


def hive_json(h: Hive) -> dict[str, Any]:
    """Return a hive as an object of books.json."""
    return {"id": h.id, "yard": h.yard, "name": h.name, "boxes": boxes_text(h.boxes), "note": h.note}


def _each(c: Connection, kind: str | None = None) -> Iterator[Entry]:
    q = select(entries).order_by(entries.c.at_utc, entries.c.id)
    if kind is not None:
        q = q.where(entries.c.kind == kind)
    for r in c.execution_options(yield_per=1000).execute(q).mappings():
        yield entry_of_row(r)


def _sheet(path: Path, columns: Iterable[str], rows: Iterable[dict[str, Any]]) -> Path:
    names = list(columns)
    with path.open("w", encoding="utf-8", newline="") as f:
        out = csv.writer(f, lineterminator="\n")
        out.writerow(names)
        for r in rows:
            out.writerow(["" if r.get(n) is None else cell(r[n]) for n in names])
    return path


def _entry_rows(c: Connection, kind: Kind) -> Iterator[dict[str, Any]]:
    columns = export_columns(kind)
    for e in _each(c, kind.name):
        yield _common(e) | {column: e.values[f.name] for column, f in columns if f.name in e.values}


def _dump(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False)


def _list(f: TextIO, name: str, items: Iterable[dict[str, Any]]) -> None:
    f.write(f'  "{name}": [')
    first = True
    for item in items:
        f.write(("\n    " if first else ",\n    ") + _dump(item))
        first = False
    f.write("],\n" if first else "\n  ],\n")


def export(books: Books, folder: Path) -> list[Path]:
    """Write all yards, hives, settings and entries (corrected and withdrawn ones too) to a folder.

    Returns the files written: one CSV sheet for each kind, and books.json, which holds all of it
    again. Either form, brought into empty books, gives equal books. RecordsError when it cannot write.
    """
    folder = Path(folder)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with books.reading() as c:  # one transaction: one consistent state in all files
            return _write(c, folder)
    except OSError as e:
        raise RecordsError(f"the export cannot be written to {folder} ({e.strerror}); choose another folder") from None


def _write(c: Connection, folder: Path) -> list[Path]:
    all_yards = [yard_of_row(r) for r in c.execute(select(yards).order_by(yards.c.id)).mappings()]
    hive_rows = [dict(r) for r in c.execute(select(hives).order_by(hives.c.id)).mappings()]
    box_rows = [dict(r) for r in c.execute(select(boxes)).mappings()]
    all_hives = hives_of_rows(hive_rows, box_rows)
    all_settings = {
        r["name"]: json.loads(r["value_json"]) for r in c.execute(select(settings).order_by(settings.c.name)).mappings()
    }
    paths = [
        _sheet(
            folder / "yards.csv", [x.name for x in YARD_COLUMNS if x.name != "elevation_ft"], map(yard_json, all_yards)
        ),
        _sheet(folder / "hives.csv", [x.name for x in HIVE_COLUMNS], map(hive_json, all_hives)),
        _sheet(
            folder / "settings.csv",
            [x.name for x in SETTING_COLUMNS],
            ({"name": n, "value": _dump(v)} for n, v in all_settings.items()),
        ),
    ]
    for kind in KINDS.values():
        columns = [*_COMMON, *(column for column, _ in export_columns(kind))]
        paths.append(_sheet(folder / f"{kind.sheet}.csv", columns, _entry_rows(c, kind)))
    books_json = folder / "books.json"
    with books_json.open("w", encoding="utf-8", newline="\n") as f:
        f.write(f'{{\n  "format": {_dump(FORMAT)},\n  "version": {VERSION},\n')
        _list(f, "yards", map(yard_json, all_yards))
        _list(f, "hives", map(hive_json, all_hives))
        _list(f, "entries", map(entry_json, _each(c)))
        f.write(f'  "settings": {_dump(all_settings)}\n}}\n')
    return [*paths, books_json]
