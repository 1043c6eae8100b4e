"""A consistent copy of the books while they are in use, and the way back."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

from tideover.records.engine import HEAD
from tideover.records.errors import RecordsError
from tideover.records.store import Books, open_books


def backup(books: Books, path: Path) -> Path:
    """Write a consistent copy of the books to ``path`` while they are open; return the path.

    The copy is checked before it takes its name, so that a broken-off backup never looks like a
    whole one. RecordsError when ``path`` is there already, or the books are not kept in SQLite.
    """
    path = Path(path)
    if books.engine.dialect.name != "sqlite":
        raise RecordsError(
            "these books are on a database server; back them up with the server's own tools, or export them"
        )
    if path.exists():
        raise RecordsError(f"{path} is there already; choose another name for the backup")
    part = path.with_name(path.name + ".part")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        part.unlink(missing_ok=True)
        with books.reading() as c, closing(sqlite3.connect(part)) as copy:
            source = c.connection.driver_connection
            assert isinstance(source, sqlite3.Connection)
            source.backup(copy)
            copy.execute("PRAGMA journal_mode = DELETE")  # one file, nothing beside it
            verdict = copy.execute("PRAGMA integrity_check").fetchone()[0]
        if verdict != "ok":
            raise RecordsError(f"the copy is not whole ({verdict}); check the disk the books are on")
        with part.open("rb") as f:
            os.fsync(f.fileno())
        part.rename(path)
    except (OSError, sqlite3.Error) as e:
        part.unlink(missing_ok=True)
        raise RecordsError(f"the backup cannot be written to {path} ({e}); choose another place") from None
    return path


def restore(copy: Path, to: Path) -> Path:
    """Write the books in a backup to a new file; return its path.

    Never overwrites: RecordsError when ``to`` is there already or ``copy`` is not a backup of books.
    """
    copy, to = Path(copy), Path(to)
    if not copy.is_file():
        raise RecordsError(f"there is no backup at {copy}; check the path")
    if to.exists():
        raise RecordsError(f"{to} is there already; move it away first, so that nothing is overwritten")
    part = to.with_name(to.name + ".part")
    try:
        part.unlink(missing_ok=True)
        # read only, so that the backup stays byte for byte as it is
        with closing(sqlite3.connect(f"{copy.absolute().as_uri()}?mode=ro", uri=True)) as c:
            found = c.execute("SELECT version_num FROM alembic_version").fetchone()
            verdict = c.execute("PRAGMA integrity_check").fetchone()[0]
            if verdict != "ok":
                raise RecordsError(f"{copy} is damaged ({verdict}); choose an older backup")
            if found is None or found[0] > HEAD:
                raise RecordsError(f"{copy} was written by a newer Tideover; restore it with that one")
            with closing(sqlite3.connect(part)) as out:
                c.backup(out)
        part.rename(to)
    except sqlite3.Error as e:
        part.unlink(missing_ok=True)
        raise RecordsError(f"{copy} is not a backup of books ({e}); choose another") from None
    except OSError as e:
        part.unlink(missing_ok=True)
        raise RecordsError(f"the books cannot be written to {to} ({e.strerror}); choose another place") from None
    open_books(to, create=False).close()  # brings an older copy up to date
    return to
