"""The JSON Schema of books.json, made from the kinds of entries."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Any, Final

from tideover.evidence.words import PRESENCE
from tideover.records.kinds import KINDS, Field, Kind
from tideover.records.reading_json import FORMAT, VERSION
from tideover.records.sheets import COMMON_COLUMNS, PLACES
from tideover.records.units import to_units
from tideover.records.values import columns_of
from tideover.records.writing import HIVE_OR_YARD

FILE: Final = Path(__file__).parent / "schemas" / "books.schema.json"
_UUID: Final = "^[0-9a-fA-F]{8}-?[0-9a-fA-F]{4}-?[0-9a-fA-F]{4}-?[0-9a-fA-F]{4}-?[0-9a-fA-F]{12}$"
_SLACK: Final = 1e-9


def _limits(field: Field, suffix: str | None) -> dict[str, Any]:
    out: dict[str, Any] = {}
    for key, limit, slack in (("minimum", field.low, -_SLACK), ("maximum", field.high, _SLACK)):
        if limit is not None:
            # a converted limit gets the same room for rounding that reading gives it
            converted = to_units(limit, field.dimension, suffix) if field.dimension and suffix else float(limit)
            out[key] = limit if converted == limit else round(converted + slack * max(1.0, abs(converted)), 9)
    return out


def _value(field: Field, suffix: str | None) -> dict[str, Any]:
    says = {"description": field.says}
    if field.type == "word":
        return says | {"enum": list(field.words)}
    if field.type == "text":
        return says | {"type": "string", "maxLength": field.longest}
    if field.type == "date":
        return says | {"type": "string", "format": "date"}
    if field.type == "list":
        return says | {
            "type": "array",
            "minItems": 1,
            "maxItems": 12,
            "items": {"type": "number"} | _limits(field, None),
        }
    return says | {"type": "integer" if field.type == "count" else "number"} | _limits(field, suffix)


def _values(kind: Kind) -> dict[str, Any]:
    properties = {c: _value(f, s) for f in kind.fields for c, s in columns_of(f).items()}
    schema: dict[str, Any] = {"type": "object", "properties": properties, "additionalProperties": False}
    rules: list[dict[str, Any]] = []
    for f in kind.fields:
        names = list(columns_of(f))
        one: list[dict[str, Any]] = [{"required": [n]} for n in names]
        if f.required:
            rules.append(one[0] if len(names) == 1 else {"oneOf": one})
        elif len(names) > 1:
            rules.append({"oneOf": [*one, {"not": {"anyOf": one}}]})
    return schema | ({"allOf": rules} if rules else {})


def _entry(kind: Kind) -> dict[str, Any]:
    says = {c.name: c.says for c in COMMON_COLUMNS}
    text = {
        n: {"type": "string", "description": says[n]} for n in ("yard", "at", "who", "device", "note", "recorded_at")
    }
    properties: dict[str, Any] = {
        "kind": {"const": kind.name},
        "id": {"type": "string", "pattern": _UUID, "description": says["id"]},
        **({"hive": {"type": "string", "description": says["hive"]}} if kind.of == "hive" else {}),
        **text,
        "units": {"enum": ["metric", "us"], "description": says["units"]},
        "supersedes": {"type": "string", "pattern": _UUID, "description": says["supersedes"]},
        "values": _values(kind),
    }
    needed = ["kind", "at"]
    if kind.name not in HIVE_OR_YARD:
        needed.append(kind.of)
    if kind.name == "withdraw":
        needed.append("supersedes")
    if any(f.required for f in kind.fields):
        needed.append("values")
    return {
        "description": kind.says,
        "type": "object",
        "properties": properties,
        "required": needed,
        "additionalProperties": False,
    }


def _place(sheet: str) -> dict[str, Any]:
    numbers = {"latitude", "longitude", "elevation_m", "elevation_ft"}
    words = {"beetles", "beetles_reportable"}
    properties = {
        c.name: {"description": c.says}
        | (
            {"type": "number"}
            if c.name in numbers
            else {"enum": list(PRESENCE)}
            if c.name in words
            else {"type": "string"}
        )
        for c in PLACES[sheet]
    }
    needed = [c.name for c in PLACES[sheet] if c.required]
    return {"type": "object", "properties": properties, "required": needed, "additionalProperties": False}


def schema() -> dict[str, Any]:
    """Return the JSON Schema (draft 2020-12) of a books.json as an export writes it."""
    kinds = {k.name.replace(" ", "_"): _entry(k) for k in KINDS.values()}
    by_kind = [
        {"if": {"properties": {"kind": {"const": k.name}}}, "then": {"$ref": f"#/$defs/{k.name.replace(' ', '_')}"}}
        for k in KINDS.values()
    ]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Tideover books",
        "description": "Yards, hives, settings and every entry; what is not there was not looked at.",
        "type": "object",
        "properties": {
            "format": {"const": FORMAT},
            "version": {"const": VERSION},
            "yards": {"type": "array", "items": _place("yards")},
            "hives": {"type": "array", "items": _place("hives")},
            "entries": {
                "type": "array",
                "items": {
                    "type": "object",
                    "properties": {"kind": {"enum": [k.name for k in KINDS.values()]}},
                    "required": ["kind"],
                    "allOf": by_kind,
                },
            },
            "settings": {"type": "object"},
        },
        "required": ["format", "version"],
        "additionalProperties": False,
        "$defs": kinds,
    }


def text() -> str:
    """Return the schema as the text of its file."""
    return json.dumps(schema(), indent=2, ensure_ascii=False) + "\n"


def main() -> None:
    """Write the schema file anew."""
    FILE.write_text(text(), encoding="utf-8")
    sys.stdout.write(f"{FILE.name} written\n")


if __name__ == "__main__":
    main()
