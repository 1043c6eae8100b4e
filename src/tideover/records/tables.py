"""The tables of the books; ``migrations`` builds them, a test keeps the two alike."""

from __future__ import annotations

from typing import Final

from sqlalchemy import Column, Float, ForeignKey, Index, Integer, MetaData, String, Table, Text

metadata: Final = MetaData()

yards: Final = Table(
    "yards", metadata,
    Column("id", String(80), primary_key=True),
    Column("name", String(200), nullable=False),
    Column("latitude", Float(53), nullable=False),
    Column("longitude", Float(53), nullable=False),
    Column("timezone", String(80), nullable=False),
    Column("elevation_m", Float(53), nullable=False),
    Column("beetles", String(20), nullable=False),
    Column("beetles_reportable", String(20), nullable=False),
    Column("note", Text, nullable=False),
)  # fmt: skip

hives: Final = Table(
    "hives", metadata,
    Column("id", String(80), primary_key=True),
    Column("yard", String(80), ForeignKey("yards.id"), nullable=False),
    Column("name", String(200), nullable=False),
    Column("note", Text, nullable=False),
    Index("hives_by_yard", "yard"),
)  # fmt: skip

boxes: Final = Table(
    "boxes", metadata,
    Column("hive", String(80), ForeignKey("hives.id"), primary_key=True),
    Column("level", Integer, primary_key=True),
    Column("frame", String(80), nullable=False),
    Column("frames", Integer, nullable=False),
)  # fmt: skip

entries: Final = Table(
    "entries", metadata,
    Column("id", String(36), primary_key=True),
    Column("kind", String(40), nullable=False),
    Column("yard", String(80), ForeignKey("yards.id"), nullable=False),
    Column("hive", String(80), ForeignKey("hives.id"), nullable=True),
    Column("at_utc", String(32), nullable=False),
    Column("at_offset_s", Integer, nullable=False),
    Column("who", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("units", String(10), nullable=False),
    Column("values_json", Text, nullable=False),
    Column("supersedes", String(36), nullable=True),
    Column("note", Text, nullable=False),
    Column("recorded_utc", String(32), nullable=True),
    Column("about", String(36), nullable=True),
    Index("entries_by_hive", "hive", "at_utc"),
    Index("entries_by_yard_kind", "yard", "kind", "at_utc"),
    Index("entries_by_supersedes", "supersedes"),
    Index("entries_by_about", "about"),
)  # fmt: skip
"""Append-only: never updated, never deleted (in SQLite a trigger refuses both).

``at_utc`` and ``recorded_utc`` are ISO times in UTC with microseconds, so that they sort as text;
``values_json`` holds canonical values, floats written so that they read back exactly;
``about`` is the entry a confirmation is about.
"""

standing: Final = Table(
    "standing", metadata,
    Column("entry", String(36), ForeignKey("entries.id"), primary_key=True),
    Column("state", String(12), nullable=False),
)  # fmt: skip
"""The outcome of the fold for each entry: a cache that can be made anew at any time."""

settings: Final = Table(
    "settings", metadata,
    Column("name", String(120), primary_key=True),
    Column("value_json", Text, nullable=False),
)  # fmt: skip

counters: Final = Table(
    "counters", metadata,
    Column("name", String(40), primary_key=True),
    Column("value", Integer, nullable=False),
)  # fmt: skip
