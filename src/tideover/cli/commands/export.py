"""``tideover export``: everything in the books as open files."""

from __future__ import annotations

from pathlib import Path

import click

from tideover.cli.session import session


@click.command(
    "export",
    short_help="Write everything in the books as CSV sheets and books.json.",
    epilog="Example: tideover export my-season",
)
@click.argument("folder", type=click.Path(file_okay=False, path_type=Path))
def command(folder: Path) -> None:
    """Write everything in the books to FOLDER; bringing it into empty books gives the same books."""
    from tideover.records import export

    with session().open_books() as books:
        written = export(books, folder)
    for path in written:
        print(path)
