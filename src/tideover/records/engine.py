"""Opening the database: connection settings and migrations."""

from __future__ import annotations

import sqlite3
from pathlib import Path
from typing import Any, Final

from sqlalchemy import Connection, Engine, StaticPool, create_engine, event, inspect, text
from sqlalchemy.exc import DatabaseError, OperationalError
from sqlalchemy.pool import ConnectionPoolEntry

from tideover.records.errors import RecordsError

HEAD: Final = "0001"
"""The newest migration; a test keeps it equal to the newest file in ``migrations/versions``."""

WRITE: Final = "tideover_write"
"""Execution option of a connection that means to write."""


def url_of(path_or_url: str | Path) -> str:
    """Return a database URL for a path, ``:memory:`` or a URL."""
    text_ = str(path_or_url)
    if "://" in text_:
        return text_
    return "sqlite://" if text_ == ":memory:" else f"sqlite:///{Path(text_).expanduser().absolute()}"


def open_engine(url: str) -> Engine:
    """Return an engine; every SQLite connection gets WAL, foreign keys, full sync and explicit transactions."""
    options: dict[str, Any] = {}
    if url == "sqlite://":
        options = {"poolclass": StaticPool, "connect_args": {"check_same_thread": False}}
    try:
        engine = create_engine(url, **options)
    except ImportError as e:
        raise RecordsError(
            f"the driver for {url.split(':', 1)[0]} is not installed ({e.name}); install it first"
        ) from None
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _on_connect)
        event.listen(engine, "begin", _on_begin)
    return engine


def _on_connect(connection: sqlite3.Connection, _entry: ConnectionPoolEntry) -> None:
    connection.isolation_level = None  # transactions are begun by _on_begin, not by the driver
    cursor = connection.cursor()
    try:
        cursor.execute("PRAGMA busy_timeout = 30000")
        cursor.execute("PRAGMA journal_mode = WAL")
        cursor.execute("PRAGMA foreign_keys = ON")
        cursor.execute("PRAGMA synchronous = FULL")
    finally:
        cursor.close()


def _on_begin(connection: Connection) -> None:
    writing = connection.get_execution_options().get(WRITE)
    # IMMEDIATE: a writer waits for its turn at the start, so that it never fails half-way
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writing else "BEGIN")


def present_revision(connection: Connection) -> str | None:
    """Return the migration the database stands at, None for a fresh one."""
    if not inspect(connection).has_table("alembic_version"):
        return None
    row = connection.execute(text("SELECT version_num FROM alembic_version")).first()
    return str(row[0]) if row else None


def upgrade(engine: Engine, what: str) -> None:
    """Bring the database to the newest migration; RecordsError when it is foreign or newer."""
    try:
        with engine.connect() as connection:
            present = present_revision(connection)
            if present == HEAD:
                return
            if present is None and inspect(connection).get_table_names():
                raise RecordsError(f"{what} is a database of something else; name another file for the books")
        # one writer at a time: a second opener waits, then finds the work done
        with engine.connect().execution_options(**{WRITE: True}) as connection, connection.begin():
            if present_revision(connection) != HEAD:
                _migrate(connection, what)
    except OperationalError as e:
        raise RecordsError(f"{what} cannot be opened ({e.orig}); check the folder and its permissions") from None
    except DatabaseError as e:
        raise RecordsError(f"{what} is not a file of books ({e.orig}); name another file or restore a backup") from None


def _migrate(connection: Connection, what: str) -> None:
    from alembic import command  # only needed when there is something to migrate: 0.2 s saved otherwise
    from alembic.config import Config
    from alembic.util import CommandError

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations").replace("%", "%%"))
    config.attributes["connection"] = connection
    try:
        command.upgrade(config, "head")
    except CommandError as e:
        raise RecordsError(f"{what} was written by a newer Tideover ({e}); use that one") from None
