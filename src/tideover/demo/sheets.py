"""Rows gathered into the sheets of the books, and written as CSV and JSON."""

from __future__ import annotations

import csv
import io
import json
import uuid
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Final

from tideover.records.kinds import KINDS

SPACE: Final = uuid.UUID("0b3c5f5e-6c1d-5f57-8c39-1f0e0d6a7c11")
"""Ids are made within this space from the seed and from what, where and when."""

FRONT: Final = ("id", "hive", "yard", "at", "recorded_at", "who", "device", "supersedes")


@dataclass
class Sheets:
    """The rows of every sheet, in the order they were written down."""

    seed: int
    rows: dict[str, list[dict[str, str]]] = field(default_factory=lambda: {k.sheet: [] for k in KINDS.values()})

    def add(
        self,
        kind: str,
        at: datetime,
        who: str,
        values: dict[str, str],
        *,
        hive: str = "",
        yard: str = "",
        recorded_at: datetime | None = None,
        supersedes: str = "",
        note: str = "",
        tag: str = "",
    ) -> str:
        """Write one row and return its id; ``tag`` tells apart two of a kind at one moment."""
        sheet = KINDS[kind].sheet
        told = f"{self.seed}/{sheet}/{hive or yard}/{at.isoformat()}/{tag}"
        entry = str(uuid.uuid5(SPACE, told))
        row = {
            "id": entry,
            "hive": hive,
            "yard": yard,
            "at": at.isoformat(timespec="minutes"),
            "recorded_at": recorded_at.isoformat(timespec="minutes") if recorded_at else "",
            "who": who,
            "device": {"K": "phone of K", "J": "phone of J", "": "weather station"}[who],
            "supersedes": supersedes,
            **values,
            "note": note,
        }
        self.rows[sheet].append(row)
        return entry

    def find(self, kind: str, hive: str, day: str) -> dict[str, str]:
        """Return the first row of ``kind`` at ``hive`` on ``day`` (ISO date); KeyError if there is none."""
        for row in self.rows[KINDS[kind].sheet]:
            if row["hive"] == hive and row["at"].startswith(day):
                return row
        raise KeyError(f"no {kind} of {hive} on {day}")


def _columns(rows: list[dict[str, str]], order: tuple[str, ...]) -> list[str]:
    """Return the columns in use: the common ones first, fields as in the table of kinds, the note last."""
    used = {name for row in rows for name, value in row.items() if value != ""}
    fixed = [c for c in FRONT if c in used]
    place = {name: i for i, name in enumerate(order)}
    fields = sorted(used - set(FRONT) - {"note"}, key=lambda c: place[c] if c in place else place[c.rsplit("_", 1)[0]])
    return [*fixed, *fields, *(["note"] if "note" in used else [])]


def csv_text(rows: list[dict[str, str]], columns: list[str]) -> str:
    """Return rows as CSV with a header, commas and plain line ends."""
    out = io.StringIO()
    writer = csv.DictWriter(out, columns, restval="", extrasaction="ignore", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


def write(folder: Path, sheets: Sheets, yards: list[dict[str, str]], hives: list[dict[str, str]]) -> list[Path]:
    """Write every sheet into ``folder`` and return the files, yards and hives first."""
    folder.mkdir(parents=True, exist_ok=True)
    texts = {"yards": csv_text(yards, list(yards[0])), "hives": csv_text(hives, list(hives[0]))}
    for kind in KINDS.values():
        rows = sorted(sheets.rows[kind.sheet], key=lambda r: (r["recorded_at"] or r["at"], r["id"]))
        order = tuple(f.name for f in kind.fields)
        texts[kind.sheet] = csv_text(rows, _columns(rows, order) if rows else [*FRONT])
    files = []
    for name, text in texts.items():
        path = folder / f"{name}.csv"
        path.write_text(text, encoding="utf-8", newline="\n")
        files.append(path)
    return files


def write_json(path: Path, what: object) -> Path:
    """Write ``what`` as JSON with sorted keys and return the file."""
    path.write_text(json.dumps(what, indent=1, sort_keys=True) + "\n", encoding="utf-8", newline="\n")
    return path
