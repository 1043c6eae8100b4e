"""``tideover coldbox``: what lies in the freezer, what goes back where, what must go, and what is missing."""

from __future__ import annotations

import click

from tideover.cli.days import DAY
from tideover.cli.session import session


@click.command(
    "coldbox",
    short_help="Patties: freezer, hives, batches, what is missing; each gram accounted for.",
    epilog="Example: tideover coldbox --units us",
)
@click.option("--units", type=click.Choice(["metric", "us"]), help="Which unit is shown [default: as in settings].")
@click.option("--day", type=DAY, help="The day to look at [default: as in the books].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: one object.")
def command(units: str | None, day: object, as_json: bool) -> None:
    """Show every piece of patty: in the freezer and since when, on which hive and off by when, or missing."""
    from datetime import datetime
    from zoneinfo import ZoneInfo

    from tideover.cli.tables import wrapped
    from tideover.desk.coldbox import cold_box
    from tideover.desk.coldbox_words import coldbox_lines, coldbox_object
    from tideover.desk.objects import as_text
    from tideover.desk.weighing import weight
    from tideover.plan.settings import Settings
    from tideover.records.entries import Units

    with session().open_desk() as desk:
        yards = desk.books.yards()
        zone = yards[0].zone if yards else ZoneInfo("UTC")
        when = day.date() if isinstance(day, datetime) else desk.today()
        held = desk.books.settings()
        known = Settings().to_mapping()
        view = cold_box(
            desk.books,
            datetime.combine(when, datetime.now(zone).time(), zone),
            Settings.from_mapping({k: v for k, v in held.items() if k in known}),
        )
        system: Units = "us" if (units or held.get("units", "metric")) == "us" else "metric"
    if as_json:
        print(as_text(coldbox_object(view)))
        return
    for indent, line in coldbox_lines(view, lambda g: weight(g, system)):
        print("\n".join(wrapped(line, indent)) if line else "")
