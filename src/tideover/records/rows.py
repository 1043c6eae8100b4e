"""Between table rows and yards, hives and entries."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from datetime import UTC, datetime, timedelta, timezone
from typing import Any

from tideover.evidence.seen import Value
from tideover.records.entries import Box, Entry, Hive, Yard


def time_text(at: datetime) -> str:
    """Return an instant as UTC text that sorts by time."""
    return at.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%f").rjust(26, "0") + "Z"


def time_of(text: str, offset_s: int = 0) -> datetime:
    """Return the instant of ``time_text`` at an offset from UTC [s]."""
    at = datetime.fromisoformat(text[:-1]).replace(tzinfo=UTC)
    return at.astimezone(timezone(timedelta(seconds=offset_s))) if offset_s else at


def values_text(values: Mapping[str, Value]) -> str:
    """Return values as JSON that reads back exactly."""
    return json.dumps(dict(values), sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False)


def values_of(text: str) -> dict[str, Value]:
    """Return values from ``values_text``."""
    return {k: tuple(v) if isinstance(v, list) else v for k, v in json.loads(text).items()}


def row_of_entry(e: Entry) -> dict[str, Any]:
    """Return an entry as a row of the table ``entries``."""
    offset = e.at.utcoffset() or timedelta(0)
    about = e.values.get("entry") if e.kind == "confirm" else None
    return {
        "id": e.id,
        "kind": e.kind,
        "yard": e.yard,
        "hive": e.hive,
        "at_utc": time_text(e.at),
        "at_offset_s": round(offset.total_seconds()),
        "who": e.who,
        "device": e.device,
        "units": e.units,
        "values_json": values_text(e.values),
        "supersedes": e.supersedes,
        "note": e.note,
        "recorded_utc": time_text(e.recorded_at) if e.recorded_at else None,
        "about": about,
    }


def entry_of_row(r: Mapping[Any, Any]) -> Entry:
    """Return the entry of a row."""
    return Entry(
        r["id"],
        r["kind"],
        r["yard"],
        r["hive"],
        time_of(r["at_utc"], r["at_offset_s"]),
        r["who"],
        r["device"],
        r["units"],
        values_of(r["values_json"]),
        r["supersedes"],
        r["note"],
        time_of(r["recorded_utc"]) if r["recorded_utc"] else None,
    )


def row_of_yard(y: Yard) -> dict[str, Any]:
    """Return a yard as a row."""
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


def yard_of_row(r: Mapping[Any, Any]) -> Yard:
    """Return the yard of a row."""
    return Yard(**dict(r))


def hives_of_rows(hives: Iterable[Mapping[str, Any]], boxes: Iterable[Mapping[str, Any]]) -> list[Hive]:
    """Return hives with their boxes, in the order of ``hives``."""
    by_hive: dict[str, list[Box]] = {}
    for b in boxes:
        by_hive.setdefault(b["hive"], []).append(Box(b["level"], b["frame"], b["frames"]))
    return [Hive(h["id"], h["yard"], h["name"], tuple(by_hive[h["id"]]), h["note"]) for h in hives]
