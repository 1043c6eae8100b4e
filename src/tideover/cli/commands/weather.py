"""``tideover weather``: station files into weather days of a yard, all or nothing."""

from __future__ import annotations

from pathlib import Path

import click

from tideover.cli.days import DAY
from tideover.cli.session import session


@click.command(
    "weather",
    short_help="Turn weather files of stations or services into a yard's weather days.",
    epilog="Example: tideover weather airport.dly --station USW00000001,37.1,-119.6,95 --yard quarry",
)
@click.argument(
    "files", metavar="FILE...", nargs=-1, required=True, type=click.Path(exists=True, dir_okay=False, path_type=Path)
)
@click.option("--yard", required=True, metavar="ID", help="The yard the days are for.")
@click.option(
    "--station", "stations", multiple=True, metavar="ID,LAT,LON,ELEVATION",
    help="Where a station stands, for files that do not say; may be given again.",
)  # fmt: skip
@click.option("--since", type=DAY, help="Leave out earlier days.")
@click.option("--try", "only_try", is_flag=True, help="Say what would be written, and write nothing.")
@click.option("--json", "as_json", is_flag=True, help="For scripts: what was read and written.")
def command(
    files: tuple[Path, ...], yard: str, stations: tuple[str, ...], since: object, only_try: bool, as_json: bool
) -> None:
    """Read climate archives, plain tables by day or hour, or a forecast service's JSON, and write weather days.

    Several stations are brought to the yard by distance and elevation. A bad line changes
    nothing, and every bad line is listed. Days already in the books are left as they are;
    days that have not happened yet are not written.
    """
    from datetime import datetime

    from tideover.desk.objects import as_text
    from tideover.desk.weather_in import station_of, weather_in

    day = since.date() if isinstance(since, datetime) else None
    with session().open_books() as books:
        made = weather_in(books, yard, list(files), [station_of(s) for s in stations], since=day, only_try=only_try)
    if as_json:
        print(as_text(made.as_object()))
    else:
        print(made)
