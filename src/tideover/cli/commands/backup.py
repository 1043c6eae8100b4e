"""``tideover backup``: a whole, consistent copy of the books, taken while they are in use."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from pathlib import Path

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session


@click.command(
    "backup",
    short_help="Copy the books to a file, safely, also while they are in use.",
    epilog="Example: tideover backup books-2031-08-01.db (to go back: put the copy in the books' place, or --books)",
)
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@click.option("--force", is_flag=True, help="Replace a copy of that name.")
def command(file: Path, force: bool) -> None:
    """Copy the books to FILE and check the copy.

    The copy is whole even while someone writes: it is read through the database, not
    from the file.
    """
    here = session()
    here.need()
    if file.exists() and not force:
        raise Stop(f"{file} is there already; choose another name or say --force.")
    if file.exists() and here.path().exists() and file.samefile(here.path()):
        raise Stop("the copy would overwrite the books themselves; choose another name.")
    size = copy(here.path(), file)
    print(f"{file}: {size / 1e6:.1f} MB, checked")


def copy(source: Path, target: Path) -> int:
    """Copy a database through its own snapshot, check it, and put it in place in one step.

    Parameters: source, target: files.
    Returns: size of the copy [bytes].
    Raises: Stop when the copy does not pass the database's own check.
    """
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_name(target.name + ".part")
    part.unlink(missing_ok=True)
    with closing(sqlite3.connect(f"file:{source}?mode=ro", uri=True)) as here, closing(sqlite3.connect(part)) as there:
        here.backup(there)
        # one self-contained file: without this the copy would ask for a write-ahead log beside it
        there.execute("PRAGMA journal_mode = DELETE")
        verdict = there.execute("PRAGMA integrity_check").fetchone()[0]
    if verdict != "ok":
        part.unlink(missing_ok=True)
        raise Stop(f"the copy is not sound ({verdict}), so it was not kept; check the disk and try again.")
    os.replace(part, target)
    return target.stat().st_size
