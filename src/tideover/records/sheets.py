"""The sheets a keeper's files are made of, and every column a sheet may have."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from tideover.evidence.words import PRESENCE
from tideover.records.kinds import KINDS, UNITS, Field, Kind
from tideover.records.units import CANONICAL, NAMES
from tideover.records.values import columns_of


@dataclass(frozen=True)
class Column:
    """One column of a sheet: its name, what it holds, an example and whether it must be filled in."""

    name: str
    says: str
    example: str = ""
    required: bool = False


YARD_COLUMNS: Final = (
    Column("id", "short label of the yard, unique in the books", "quarry", True),
    Column("name", "name of the yard; empty means the label", "Quarry"),
    Column("latitude", "degrees, north positive, -90 to 90", "36.75", True),
    Column("longitude", "degrees, east positive, -180 to 180", "-119.8", True),
    Column("timezone", "IANA name of the time zone", "America/Los_Angeles", True),
    Column("elevation_m", "height above the sea in metres; empty means 0", "140"),
    Column("elevation_ft", "the same in feet (fill in one of the two)", "460"),
    Column("beetles", "small hive beetle here: " + ", ".join(PRESENCE) + "; empty means unknown", "present"),
    Column(
        "beetles_reportable",
        "is the duty to report beetles present, absent or unknown; empty means unknown",
        "absent",
    ),
    Column("note", "free text", ""),
)
HIVE_COLUMNS: Final = (
    Column("id", "short label of the hive, unique in the books", "quarry-03", True),
    Column("yard", "label of the yard it stands in", "quarry", True),
    Column("name", "name of the hive; empty means the label", ""),
    Column(
        "boxes", "boxes it came with, bottom first; empty means one deep box of ten frames", "deep x10 + medium x10"
    ),
    Column("note", "free text", ""),
)
SETTING_COLUMNS: Final = (
    Column("name", "name of the setting", "margin", True),
    Column("value", "its value as JSON: text in quotes, numbers and true or false without", "0.02", True),
)
COMMON_COLUMNS: Final = (
    Column("kind", "kind of entry; only needed when the file name is not the name of a sheet", ""),
    Column("id", "a UUID made where the entry was written; empty means one is made from the row's content", ""),
    Column("hive", "label of the hive", "quarry-03"),
    Column("yard", "label of the yard; may be empty where the hive says it", "quarry"),
    Column("at", "date and time of what was seen", "2026-07-14T08:30", True),
    Column("who", "who saw it", "A."),
    Column("device", "what it was written with", ""),
    Column("units", "metric or us, as entered; empty means by the columns filled in", ""),
    Column("supersedes", "id of the entry that this one corrects (in withdrawals: takes out)", ""),
    Column("note", "free text", ""),
    Column("recorded_at", "date and time it was written down; empty means 'at'", ""),
)
"""Columns of every sheet of entries."""

KIND_OF_SHEET: Final[Mapping[str, Kind]] = {k.sheet: k for k in KINDS.values()}
PLACES: Final[Mapping[str, tuple[Column, ...]]] = {
    "yards": YARD_COLUMNS,
    "hives": HIVE_COLUMNS,
    "settings": SETTING_COLUMNS,
}
SHEETS: Final = (*PLACES, *KIND_OF_SHEET)
"""Names of all sheets, in the order they are read."""

ALIASES: Final[Mapping[str, str]] = {
    "date": "at", "day": "at", "time": "at", "when": "at", "datetime": "at", "hive_id": "hive", "colony": "hive",
    "yard_id": "yard", "notes": "note", "remark": "note", "remarks": "note", "comment": "note", "observer": "who",
    "by": "who", "lat": "latitude", "lon": "longitude", "lng": "longitude", "tz": "timezone", "time_zone": "timezone",
    "uuid": "id", "corrects": "supersedes",
}  # fmt: skip
"""Names often used elsewhere; they are never read as ours, only suggested."""


def sheet_named(stem: str) -> str | None:
    """Return the sheet a file name (without ending) stands for: ``looks``, ``looks-july``, ``Looks 2026``."""
    name = stem.strip().lower().replace(" ", "_").replace("-", "_").replace(".", "_")
    for sheet in sorted(SHEETS, key=len, reverse=True):
        if name == sheet or name.startswith(sheet + "_"):
            return sheet
    return None


def kind_said(text: str) -> Kind | None:
    """Return the kind named in a ``kind`` column (``look`` or ``looks``), None when there is no such kind."""
    said = " ".join(text.strip().lower().replace("_", " ").split())
    for k in KINDS.values():
        if said in (k.name, k.sheet.replace("_", " ")):
            return k
    return None


def value_columns(kind: Kind) -> list[tuple[str, Field, str | None]]:
    """Return (column, field, unit suffix) for every value column of a kind, canonical unit first."""
    return [(c, f, s) for f in kind.fields for c, s in columns_of(f).items()]


def export_columns(kind: Kind) -> list[tuple[str, Field]]:
    """Return the value columns an export writes: one per field, in canonical units."""
    return [(f"{f.name}_{CANONICAL[f.dimension]}" if f.dimension else f.name, f) for f in kind.fields]


def unit_words(field: Field) -> str:
    """Return the units a field may be given in, in words."""
    if not field.dimension:
        return ""
    return " or ".join(NAMES[s] for s in UNITS[field.dimension])
