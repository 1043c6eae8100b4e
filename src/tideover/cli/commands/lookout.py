"""``tideover lookout``: what the land gives, when the dearth begins and when it ends."""

from __future__ import annotations

import click

from tideover.cli.days import DAY
from tideover.cli.session import session


@click.command(
    "lookout",
    short_help="What the land gives at each yard, the dearth ahead, water and cautions.",
    epilog="Example: tideover lookout --yard quarry",
)
@click.option("--yard", metavar="ID", help="One yard only.")
@click.option("--day", type=DAY, help="The day to look out from [default: as in the books].")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Units of the words [default: as in settings].")
@click.option(
    "--hives/--no-hives",
    default=True,
    show_default=True,
    help="Hear what looks at the hives say of the land; without, it is quicker.",
)
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object, every day of the strip in it.")
def command(yard: str | None, day: object, units: str | None, hives: bool, as_json: bool) -> None:
    """Say in plain words what pollen is on offer, whether it lasts, and what the next days ask of you."""
    from datetime import datetime

    from tideover.cli.progress import watched
    from tideover.cli.tables import wrapped
    from tideover.desk.lookout import lookout
    from tideover.desk.lookout_words import lookout_object, lookout_words
    from tideover.desk.objects import as_text
    from tideover.records.entries import Units

    with session().open_desk() as desk:
        when = day.date() if isinstance(day, datetime) else desk.today()
        chosen: Units | None = None if units is None else "us" if units == "us" else "metric"
        said = {}
        if hives:
            with watched("Reading the looks at the hives") as progress:
                yards = [y.id for y in desk.books.yards()] if yard is None else [desk.books.yard(yard).id]
                said = {y: desk.yard_said(y, when, progress) for y in yards}
        view = lookout(desk.books, when, yard, chosen, said)
    if as_json:
        print(as_text(lookout_object(view)))
        return
    for indent, line in lookout_words(view):
        print("\n".join(wrapped(line, indent)) if line else "")
