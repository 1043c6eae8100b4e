"""``tideover write``: one entry into the books, and the call after it."""

from __future__ import annotations

import getpass
from datetime import UTC, datetime
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

import click

from tideover.cli.errors import Stop
from tideover.cli.session import session

if TYPE_CHECKING:
    from tideover.records.entries import Units


@click.command(
    "write",
    short_help="Write one entry (a look, a count, a laying-on ...) and see the call after it.",
    epilog="Example: tideover write look --hive quarry-03 seams=6+2.5 eggs=yes shade_temp_c=31",
)
@click.argument("kind")
@click.argument("fields", metavar="FIELD=VALUE...", nargs=-1)
@click.option("--hive", metavar="ID", help="The hive it is about.")
@click.option("--yard", metavar="ID", help="The yard it is about, for bloom notes and weather days.")
@click.option("--at", metavar="TIME", help="When, as 2031-07-04T09:30, by the yard's clock [default: now].")
@click.option("--who", help="Who looked [default: your name on this machine].")
@click.option("--units", type=click.Choice(["metric", "us"]), help="Units of fields that name none.")
@click.option("--note", default="", help="Anything worth keeping in words.")
@click.option("--corrects", metavar="ENTRY", help="Id of an entry that this one replaces.")
@click.option("--json", "as_json", is_flag=True, help="For scripts: the entry's id and the call after it.")
def command(
    kind: str,
    fields: tuple[str, ...],
    hive: str | None,
    yard: str | None,
    at: str | None,
    who: str | None,
    units: str | None,
    note: str,
    corrects: str | None,
    as_json: bool,
) -> None:
    """Write one entry of KIND; fields are FIELD=VALUE, as in the sheets of docs/formats.md.

    What is not given was not looked at: missing, never zero.
    """
    from tideover.cli.commands.calls import unknown_hive
    from tideover.cli.tables import print_calls
    from tideover.desk.objects import as_text, call_object
    from tideover.records import new_entry, parse_values
    from tideover.records.kinds import KINDS
    from tideover.records.writing import HIVE_OR_YARD

    if kind not in KINDS:
        raise Stop(f"there is no kind of entry {kind!r}; the kinds are {', '.join(KINDS)}.")
    with session().open_desk() as desk:
        books = desk.books
        known = [one.id for one in books.hives()]
        if hive is not None and hive not in known:
            raise Stop(unknown_hive(hive, known))
        if KINDS[kind].of == "hive" and hive is None and not (kind in HIVE_OR_YARD and yard):
            raise Stop(f"a {kind} is about a hive; say which with --hive.")
        where = yard or (books.hive(hive).yard if hive else None)
        if where is None:
            raise Stop(f"a {kind} is about a yard; say which with --yard.")
        settings = books.settings()
        system: Units = "us" if (units or settings.get("units", "metric")) == "us" else "metric"
        when = read_time(at, books.yard(where).timezone)
        entry = new_entry(
            kind,
            where,
            hive,
            when,
            parse_values(kind, dict(read_field(text) for text in fields), system),
            datetime.now(UTC).replace(microsecond=0),
            who=who or getpass.getuser(),
            device="command line",
            units=system,
            supersedes=corrects,
            note=note,
        )
        answered = desk.enter(entry)
        call = None if answered is None else answered.line.call
    if as_json:
        print(as_text({"entry": entry.id, "call": None if call is None else call_object(call)}))
        return
    print(f"Written: {kind} at {hive or where}, {when:%Y-%m-%d %H:%M} (entry {entry.id})")
    if call is not None:
        print_calls([call], system)


def read_field(text: str) -> tuple[str, str]:
    """``field=value`` as a pair.

    Raises: Stop when there is no '='.
    """
    name, sign, value = text.partition("=")
    if not sign or not name.strip():
        raise Stop(f"got {text!r}, wanted FIELD=VALUE, for example eggs=yes.")
    return name.strip(), value.strip()


def read_time(text: str | None, timezone: str) -> datetime:
    """A time by the yard's clock; now when ``text`` is None.

    Raises: Stop when the text is not a time.
    """
    zone = ZoneInfo(timezone)
    if text is None:
        return datetime.now(zone).replace(microsecond=0)
    try:
        when = datetime.fromisoformat(text)
    except ValueError as error:
        raise Stop(f"got --at {text!r}, wanted a time such as 2031-07-04T09:30.") from error
    return when if when.tzinfo else when.replace(tzinfo=zone)
