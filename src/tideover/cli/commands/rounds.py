"""``tideover rounds``: which yards on which day, what to load and what to have in hand."""

from __future__ import annotations

from pathlib import Path

import click

from tideover.cli.session import session


@click.command(
    "rounds",
    short_help="The coming days: which yards when, what to load, what to make or buy.",
    epilog="Example: tideover rounds --pdf rounds.pdf",
)
@click.option("--pdf", type=click.Path(dir_okay=False, path_type=Path), help="Write the sheets to print and fill in.")
@click.option(
    "--paper", type=click.Choice(["a4", "letter"]), default="a4", show_default=True, help="Size of the paper."
)
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit stands first [default: as in settings].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object.")
def command(pdf: Path | None, paper: str, units: str | None, as_json: bool) -> None:
    """Plan the days ahead: yards in order with their times, why that day, the load, and how good the plan is."""
    from datetime import datetime

    from tideover.cli.progress import watched
    from tideover.cli.tables import wrapped
    from tideover.desk.objects import as_text
    from tideover.desk.rounds import rounds
    from tideover.desk.rounds_words import rounds_object, rounds_words
    from tideover.records.own_units import all_own_first

    with session().open_desk() as desk:
        chosen = units or str(desk.books.settings().get("units", "metric"))
        with watched("Working out the rounds") as progress:
            view = desk.round(None, progress=progress)
            pull = {h.hive: desk.hive(h.hive).pull_by_open for y in view.yards for h in y.hives}
            now = datetime.now().astimezone()
            made = rounds(desk.books, view, pull, now=now if now.date() == view.day else None)
    if pdf is not None:
        from tideover.paper.rounds_sheet import rounds_sheet

        written = rounds_sheet(made, view, pdf, units=chosen, paper_size=paper)
        if not as_json:
            print(f"The sheets are in {written}")
            return
    if as_json:
        print(as_text(all_own_first(rounds_object(made), chosen)))
        return
    for indent, line in rounds_words(made, chosen):
        print("\n".join(wrapped(line, indent)) if line else "")
