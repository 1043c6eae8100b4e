"""``tideover labels``: labels with a code to scan, for hives and pieces."""

from __future__ import annotations

from pathlib import Path

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session


@click.command(
    "labels",
    short_help="Labels with a code to scan, for hives or for the pieces of a batch.",
    epilog="Example: tideover labels --out labels.pdf --yard quarry",
)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), required=True, help="The PDF to write.")
@click.option("--yard", metavar="ID", help="Hives of one yard only.")
@click.option("--batch", metavar="NAME", help="The pieces of this batch instead of hives.")
@click.option("--piece", metavar="CODE", help="One piece, such as B12-3 or a code made by the books.")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Paper size.")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit stands first [default: as in settings].")
def command(out: Path, yard: str | None, batch: str | None, piece: str | None, paper: str, units: str | None) -> None:
    """Write a sheet of labels; scanning one opens the hive or piece where 'settings --set address=...' says.

    Without an address the code holds the plain name.
    """
    from tideover.paper.labels import hive_labels, label_sheet, piece_label, piece_labels

    given = [f"--{name}" for name, x in (("yard", yard), ("batch", batch), ("piece", piece)) if x is not None]
    if len(given) > 1:
        raise Stop(f"got both {' and '.join(given)}; print hives and pieces on sheets of their own.")
    with session().open_books() as books:
        if yard is not None:
            books.yard(yard)
        first = units or str(books.settings().get("units", "metric"))
        try:
            if piece is not None:
                labels = [piece_label(books, piece, first)]
            else:
                labels = piece_labels(books, batch, first) if batch is not None else hive_labels(books, yard)
            written = label_sheet(labels, out, paper)
        except ValueError as error:
            raise Stop(str(error)) from error
        bare = not books.settings().get("address")
    print(f"{len(labels)} label{'s are' if len(labels) != 1 else ' is'} in {written}.")
    if bare:
        print("The codes hold plain names; 'tideover settings --set address=http://...' makes them open the pages.")
