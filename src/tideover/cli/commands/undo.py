"""``tideover undo``: withdraw the entry written last."""

from __future__ import annotations

import getpass
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.records import Books, Entry


@click.command(
    "undo",
    short_help="Withdraw the entry written last (it stays in the books, without effect).",
    epilog="Example: tideover undo --hive quarry-03",
)
@click.option("--hive", metavar="ID", help="The last entry about this hive.")
@click.option("--entry", "entry_id", metavar="ID", help="This very entry, by its id or the beginning of it.")
@click.option("--yes", is_flag=True, help="Do not ask first.")
def command(hive: str | None, entry_id: str | None, yes: bool) -> None:
    """Withdraw an entry; nothing is ever erased, so it can still be seen in the hive's history."""
    from tideover.records import new_entry

    with session().open_books() as books:
        last = find(books, hive, entry_id)
        said = f"{last.kind} at {last.hive or last.yard}, {last.at:%Y-%m-%d %H:%M}, by {last.who or 'nobody named'}"
        if not yes:
            click.confirm(f"Withdraw {said}?", abort=True, err=True)
        now = datetime.now(UTC).replace(microsecond=0)
        who = getpass.getuser()
        books.add(
            [
                new_entry(
                    "withdraw", last.yard, last.hive, now, {}, now,
                    who=who, device="command line", units=last.units, supersedes=last.id,
                )
            ]
        )  # fmt: skip
    print(f"Withdrawn: {said} (entry {last.id})")


def find(books: Books, hive: str | None, entry_id: str | None) -> Entry:
    """The standing entry that was written last, or the one asked for.

    Raises: Stop when there is none.
    """
    standing = [entry for entry in books.entries(hive=hive) if entry.kind != "withdraw"]
    if entry_id:
        standing = [entry for entry in standing if entry.id.startswith(entry_id)]
        if len(standing) > 1:
            raise Stop(f"{len(standing)} entries begin with {entry_id!r}; give more of the id.")
    if not standing:
        raise Stop("there is no such entry left to withdraw; 'tideover hive ID' lists a hive's entries.")
    return max(standing, key=lambda entry: (entry.written_at, entry.at, entry.id))
