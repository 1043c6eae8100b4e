"""``tideover round``: the coming round, on screen or on paper."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import click

from tideover.cli.days import DAY
from tideover.cli.session import session


@click.command(
    "round",
    short_help="The coming round: what to load, the yards, the calls; --pdf prints the sheet.",
    epilog="Example: tideover round --pdf round.pdf --paper letter",
)
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the sheet to print and fill in.")
@click.option(
    "--csv",
    "table",
    type=click.Path(dir_okay=False, path_type=Path),
    help="Write the round as a table for spreadsheets.",
)
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of the paper."
)
@click.option("--day", type=DAY, help="The round's day [default: the day after the last entry].")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit stands first [default: as in settings].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object.")
def command(
    pdf: Path | None, table: Path | None, paper: str, day: datetime | None, units: str | None, as_json: bool
) -> None:
    """Show the coming round: what to load, each yard's land and cautions, the call at each hive."""
    from tideover.cli.progress import watched
    from tideover.cli.tables import print_round
    from tideover.desk.objects import as_text, round_object
    from tideover.records.own_units import all_own_first

    with session().open_desk() as desk:
        chosen = units or str(desk.books.settings().get("units", "metric"))
        with watched("Working out the round") as progress:
            view = desk.round(day.date() if day else None, progress=progress)
    if table is not None:
        from tideover.paper.round_csv import round_csv

        with table.open("w", encoding="utf-8", newline="") as out:
            out.write(round_csv(view))
        if not as_json:
            print(f"The table is in {table}")
            if pdf is None:
                return
    if pdf is not None:
        from tideover.paper import round_sheet

        written = round_sheet(view, pdf, units=chosen, paper_size=paper)
        if not as_json:
            print(f"The sheet is in {written}")
            return
    if as_json:
        print(as_text(all_own_first(round_object(view), chosen)))
    else:
        print_round(view, chosen)
