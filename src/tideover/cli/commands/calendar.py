"""``tideover calendar``: rounds and pull-bys as an iCalendar file."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.desk import Desk
    from tideover.desk.rounds_view import Rounds


@click.command(
    "calendar",
    short_help="Rounds and pull-bys as an iCalendar file, or the address of the feed.",
    epilog="Example: tideover calendar --out rounds.ics",
)
@click.option("--out", type=click.Path(dir_okay=False, path_type=Path), help="Write the calendar to this file.")
@click.option("--pull-bys", is_flag=True, help="Pull-bys only, no rounds.")
@click.option("--new-address", is_flag=True, help="Give the feed a new address; the old one no longer answers.")
@click.option("--json", "as_json", is_flag=True, help="For scripts: what is in the calendar.")
def command(out: Path | None, pull_bys: bool, new_address: bool, as_json: bool) -> None:
    """Write the calendar: the same names for the same things, changes counted up, what vanished cancelled."""
    from datetime import datetime

    from tideover.cli.tables import print_table
    from tideover.desk.objects import as_text, plain
    from tideover.paper.calendar_file import calendar, token

    if out is not None and not out.parent.is_dir():
        raise Stop(f"there is no folder {out.parent}; make it first, or name a file elsewhere.")
    with session().open_desk() as desk:
        if new_address:
            print(f"The feed is now at /calendar/{token(desk, anew=True)}.ics on the address that 'serve' prints.")
            return
        made, events = calendar(
            desk, lambda: None if pull_bys else planned(desk), datetime.now().astimezone(), publish=True
        )
        feed = token(desk)
    if out is not None:
        out.write_bytes(made)
    if as_json:
        rows = [
            {
                "title": p.event.title, "start": plain(p.event.start), "end": plain(p.event.end), "kind": p.event.kind,
                "sequence": p.sequence, "cancelled": p.cancelled, "text": p.event.text,
            }
            for p in events
        ]  # fmt: skip
        print(as_text(rows))
        return
    if out is not None:
        print(f"The calendar is in {out} ({len(events)} events).")
        return
    if not events:
        print("Nothing is in the calendar: no piece lies on a hive and no round is planned.")
    else:
        print_table(
            ("start", "what", "state"),
            [
                (f"{p.event.start:%a %-d %b %Y %H:%M}", p.event.title, "cancelled" if p.cancelled else "")
                for p in events
            ],
        )
    print(f"The feed is at /calendar/{feed}.ics on the address that 'serve' prints; --out FILE writes the file.")


def planned(desk: Desk) -> Rounds | None:
    """The coming rounds; None for books without hives."""
    from datetime import datetime

    from tideover.desk.rounds import rounds

    if not desk.books.hives():
        return None
    view = desk.round()
    pull = {hive: stay.pull_by for hive, stay in desk.pieces_on().items()}
    now = datetime.now().astimezone()
    # hours gone by are not planned, as in 'tideover rounds'
    return rounds(desk.books, view, pull, now=now if now.date() == view.day else None)
