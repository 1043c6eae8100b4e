"""``tideover calls``: one call per hive."""

from __future__ import annotations

from datetime import datetime

import click

from tideover.cli.days import DAY
from tideover.cli.errors import Stop
from tideover.cli.session import session


@click.command(
    "calls",
    short_help="What to do at each hive, how sure, and why.",
    epilog="Example: tideover calls --hive quarry-03 --json",
)
@click.option("--hive", "hives", multiple=True, metavar="ID", help="Only this hive; may be given more than once.")
@click.option("--day", type=DAY, help="The round's day [default: the day after the last entry].")
@click.option("--json", "as_json", is_flag=True, help="For scripts: a list with one object per hive.")
def command(hives: tuple[str, ...], day: datetime | None, as_json: bool) -> None:
    """Print what to do at each hive, how sure that is, how long protein lasts, and why."""
    from tideover.cli.progress import watched
    from tideover.cli.tables import print_calls
    from tideover.desk.objects import as_text, call_object
    from tideover.records.own_units import all_own_first

    with session().open_desk() as desk:
        known = [hive.id for hive in desk.books.hives()]
        for hive in hives:
            if hive not in known:
                raise Stop(unknown_hive(hive, known))
        if day is not None:
            desk.set_today(day.date())
        if hives:
            calls = [desk.hive(hive).line.call for hive in hives]
        else:
            with watched("Working out the calls") as progress:
                calls = desk.calls(progress=progress)
        units = str(desk.books.settings().get("units", "metric"))
    if as_json:
        print(as_text(all_own_first([call_object(call) for call in calls], units)))
    elif calls:
        print_calls(calls, units)
    else:
        print("No hive is in the books yet.")


def unknown_hive(hive: str, known: list[str]) -> str:
    """One sentence for a hive that is not in the books, with the nearest names."""
    from difflib import get_close_matches

    near = get_close_matches(hive, known, n=3)
    hint = f"did you mean {', '.join(near)}?" if near else "'tideover calls' lists every hive."
    return f"no hive {hive!r} is in the books; {hint}"
