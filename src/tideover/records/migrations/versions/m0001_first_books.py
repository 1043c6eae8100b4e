"""Yards, hives, boxes, append-only entries and their standing, settings, counters."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None

_APPEND_ONLY = (
    "CREATE TRIGGER entries_never_{name} BEFORE {action} ON entries "
    "BEGIN SELECT RAISE(ABORT, 'entries are append-only: write a correction or a withdrawal instead'); END"
)


def upgrade() -> None:
    """Build the first tables."""
    op.create_table(
        "yards",
        sa.Column("id", sa.String(80), primary_key=True),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("latitude", sa.Float(53), nullable=False),
        sa.Column("longitude", sa.Float(53), nullable=False),
        sa.Column("timezone", sa.String(80), nullable=False),
        sa.Column("elevation_m", sa.Float(53), nullable=False),
        sa.Column("beetles", sa.String(20), nullable=False),
        sa.Column("beetles_reportable", sa.String(20), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
    )
    op.create_table(
        "hives",
        sa.Column("id", sa.String(80), primary_key=True),
        sa.Column("yard", sa.String(80), sa.ForeignKey("yards.id"), nullable=False),
        sa.Column("name", sa.String(200), nullable=False),
        sa.Column("note", sa.Text, nullable=False),
    )
    op.create_index("hives_by_yard", "hives", ["yard"])
    op.create_table(
        "boxes",
        sa.Column("hive", sa.String(80), sa.ForeignKey("hives.id"), primary_key=True),
        sa.Column("level", sa.Integer, primary_key=True),
        sa.Column("frame", sa.String(80), nullable=False),
        sa.Column("frames", sa.Integer, nullable=False),
    )
    op.create_table(
        "entries",
        sa.Column("id", sa.String(36), primary_key=True),
        sa.Column("kind", sa.String(40), nullable=False),
        sa.Column("yard", sa.String(80), sa.ForeignKey("yards.id"), nullable=False),
        sa.Column("hive", sa.String(80), sa.ForeignKey("hives.id"), nullable=True),
        sa.Column("at_utc", sa.String(32), nullable=False),
        sa.Column("at_offset_s", sa.Integer, nullable=False),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("device", sa.Text, nullable=False),
        sa.Column("units", sa.String(10), nullable=False),
        sa.Column("values_json", sa.Text, nullable=False),
        sa.Column("supersedes", sa.String(36), nullable=True),
        sa.Column("note", sa.Text, nullable=False),
        sa.Column("recorded_utc", sa.String(32), nullable=True),
        sa.Column("about", sa.String(36), nullable=True),
    )
    op.create_index("entries_by_hive", "entries", ["hive", "at_utc"])
    op.create_index("entries_by_yard_kind", "entries", ["yard", "kind", "at_utc"])
    op.create_index("entries_by_supersedes", "entries", ["supersedes"])
    op.create_index("entries_by_about", "entries", ["about"])
    op.create_table(
        "standing",
        sa.Column("entry", sa.String(36), sa.ForeignKey("entries.id"), primary_key=True),
        sa.Column("state", sa.String(12), nullable=False),
    )
    op.create_table(
        "settings",
        sa.Column("name", sa.String(120), primary_key=True),
        sa.Column("value_json", sa.Text, nullable=False),
    )
    counters = op.create_table(
        "counters",
        sa.Column("name", sa.String(40), primary_key=True),
        sa.Column("value", sa.Integer, nullable=False),
    )
    op.bulk_insert(counters, [{"name": "version", "value": 0}])
    if op.get_bind().dialect.name == "sqlite":
        op.execute(_APPEND_ONLY.format(name="change", action="UPDATE"))
        op.execute(_APPEND_ONLY.format(name="go", action="DELETE"))
