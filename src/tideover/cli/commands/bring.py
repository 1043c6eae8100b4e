"""``tideover bring``: files into the books, all or nothing."""

from __future__ import annotations

from pathlib import Path

import click

from tideover.cli.session import session


@click.command(
    "bring",
    short_help="Bring CSV, JSON or weather files into the books; one bad row changes nothing.",
    epilog="Example: tideover bring season/*.csv (docs/formats.md lists the sheets and their columns)",
)
@click.argument("files", metavar="FILE...", nargs=-1, required=True, type=click.Path(exists=True, path_type=Path))
@click.option("--yard", "yards", multiple=True, metavar="ID", help="Yard that weather files are for; may be repeated.")
def command(files: tuple[Path, ...], yards: tuple[str, ...]) -> None:
    """Bring files into the books, in one transaction.

    Yards and hives are read before what was seen at them, whatever the order of the
    files. Weather files of stations and services are known by their content. A file with
    a bad row changes nothing, and every bad row is listed.
    """
    from tideover.cli.progress import watched
    from tideover.desk.bring_files import bring_files

    here = session()
    with here.open_books(create=True) as books, watched("Reading") as progress:
        report = bring_files(books, spread(files), yards=yards, progress=progress)
    print(report)


def spread(files: tuple[Path, ...]) -> list[Path]:
    """Folders stand for the sheets and weather files in them."""
    from tideover.desk.bring_files import is_weather

    found: list[Path] = []
    for path in files:
        if path.is_dir():
            inside = sorted(p for p in path.iterdir() if p.suffix.lower() in (".csv", ".json"))
            # books.json holds everything; bringing the sheets beside it as well would only say it twice
            whole = [p for p in inside if p.name == "books.json"]
            weather = [p for p in sorted(path.iterdir()) if p not in inside and is_weather(p)]
            found.extend([*(whole or inside), *weather])
        else:
            found.append(path)
    return found
