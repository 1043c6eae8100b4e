"""Migrations: additive, and in step with the tables and the snapshot."""

from __future__ import annotations

import re
import sqlite3
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy.dialects import postgresql
from sqlalchemy.schema import CreateIndex, CreateTable

from tideover.records import RecordsError, open_books
from tideover.records.engine import HEAD, url_of
from tideover.records.snapshot import FILE, schema_text
from tideover.records.tables import metadata

MIGRATIONS = FILE.parent


def test_schema_snapshot_is_current() -> None:
    """Fresh books have the tables of the committed snapshot (else run python -m tideover.records.snapshot)."""
    assert schema_text() == FILE.read_text(encoding="utf-8")


def test_tables_are_those_the_migrations_build() -> None:
    """Alembic finds no difference between the migrated books and the tables in the code."""
    with open_books(":memory:") as books, books.reading() as c:
        assert compare_metadata(MigrationContext.configure(c), metadata) == []


def test_head_is_the_newest_migration() -> None:
    """The constant that lets opening skip the migrations names the newest one, and there is one line of them."""
    assert ScriptDirectory(str(MIGRATIONS)).get_heads() == [HEAD]


def test_migrations_only_add() -> None:
    """No migration drops, renames or alters, and none can be undone."""
    files = sorted((MIGRATIONS / "versions").glob("m*.py"))
    assert files
    for f in files:
        assert not re.search(r"drop_|alter_|rename|batch_|def downgrade|DROP |ALTER ", f.read_text(encoding="utf-8")), (
            f.name
        )


def test_books_of_a_newer_program_are_refused(tmp_path: Path) -> None:
    """Books with a migration we do not know are refused and left alone."""
    path = tmp_path / "b.db"
    open_books(path).close()
    with sqlite3.connect(path) as c:
        c.execute("UPDATE alembic_version SET version_num = '9999'")
    with pytest.raises(RecordsError, match="newer Tideover"):
        open_books(path)
    with sqlite3.connect(path) as c:
        assert c.execute("SELECT version_num FROM alembic_version").fetchone() == ("9999",)


def test_tables_can_be_built_on_a_server() -> None:
    """Every table and index has its form for PostgreSQL, and a URL is passed through."""
    for table in metadata.sorted_tables:
        assert "CREATE TABLE" in str(CreateTable(table).compile(dialect=postgresql.dialect()))
        for index in table.indexes:
            assert "CREATE INDEX" in str(CreateIndex(index).compile(dialect=postgresql.dialect()))
    assert url_of("postgresql+psycopg://books@localhost/x") == "postgresql+psycopg://books@localhost/x"
