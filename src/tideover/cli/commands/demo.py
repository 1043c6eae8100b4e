"""``tideover demo``: an invented season, end to end."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import TYPE_CHECKING

import click

from tideover.cli.commands.serve import PORT
from tideover.cli.session import DEMO_FOLDER, demo_books, program, session

if TYPE_CHECKING:
    from tideover.desk import Desk

SEASON = DEMO_FOLDER / "season"


@click.command(
    "demo",
    short_help="An invented season, end to end: books, calls, printed sheet, pages.",
    epilog="Example: tideover demo --no-serve (later: tideover --demo calls)",
)
@click.option("--no-serve", is_flag=True, help="Stop before the pages.")
@click.option("--port", type=click.IntRange(0, 65535), default=PORT, show_default=True, help="Port of the pages.")
@click.option("--fresh", is_flag=True, help="Begin again, dropping what was added to the demo's books.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of the sheet."
)
def command(no_serve: bool, port: int, fresh: bool, paper: str) -> None:
    """Make the invented Calder Basin season, bring it in, print the coming round and serve the pages.

    Everything is made up: places, hives, weather, records. The truth behind it is kept
    beside it, so that the demo can say how close the readings came.
    """
    from tideover.cli.commands.serve import pages
    from tideover.cli.progress import watched
    from tideover.cli.tables import print_round
    from tideover.desk import open_desk
    from tideover.paper import round_sheet

    desk = open_desk(prepare(fresh), processes=session().processes)
    try:
        with watched("Working out the calls") as progress:
            view = desk.round(progress=progress)
        units = str(desk.books.settings().get("units", "metric"))
        print()
        print_round(view, units)
        print()
        for line in truth_lines(desk):
            print(line)
        sheet = round_sheet(view, DEMO_FOLDER / f"round-{view.day}.pdf", units=units, paper_size=paper)
        print(f"Round sheet to print: {sheet}")
        print(f"Look further: {program()} --demo hive ID, {program()} --demo calls --json", flush=True)
        if not no_serve:
            pages(desk, "127.0.0.1", port)
    finally:
        desk.close()


def prepare(fresh: bool) -> Path:
    """The demo's books, made when they are not there yet."""
    from tideover import demo
    from tideover.cli.progress import watched
    from tideover.records import bring, open_books

    if fresh and DEMO_FOLDER.exists():
        shutil.rmtree(DEMO_FOLDER)
    path = demo_books()
    done = DEMO_FOLDER / "brought"
    if path.exists() and done.exists():
        print(f"The demo's books are in {path} (--fresh begins again).")
        return path
    DEMO_FOLDER.mkdir(parents=True, exist_ok=True)
    for left in DEMO_FOLDER.glob("books.db*"):
        left.unlink()
    print("Making the invented Calder Basin season: three yards, 26 hives, one hot dry summer.", flush=True)
    season = demo.make(SEASON)
    books = open_books(path)
    try:
        with watched("Bringing it into the books") as progress:
            report = bring(books, sorted(season.glob("*.csv")), progress=progress)
    finally:
        books.close()
    done.touch()
    print(report)
    return path


def truth_lines(desk: Desk) -> list[str]:
    """How close the readings came to the invented truth."""
    from tideover.desk import truth_report

    return truth_report(desk, SEASON)
