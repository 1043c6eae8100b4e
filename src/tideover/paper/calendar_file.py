"""The calendar of one set of books: its id, its address, what it sent before, and its text."""

from __future__ import annotations

import secrets
import uuid
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any, Final, Protocol

from tideover.desk.coldbox import cold_box
from tideover.desk.rounds import settings_of
from tideover.desk.rounds_view import Rounds
from tideover.desk.views import PattyStay
from tideover.paper.calendar import KEEPS_D, Event, Published, advance, text
from tideover.paper.calendar_events import Freezing, freezings, pull_bys, stops
from tideover.records import Books

ID: Final = "calendar:id"
TOKEN: Final = "calendar:token"
SENT: Final = "calendar:sent"
NAME: Final = "Hive rounds"
TOKEN_BYTES: Final = 32
"""256 bits: an address that cannot be guessed."""


class CalendarDesk(Protocol):
    """What a calendar asks of the desk."""

    @property
    def books(self) -> Books:
        """The books that are open."""
        ...

    def today(self) -> date:
        """The day the answers are for."""
        ...

    def pieces_on(self) -> Mapping[str, PattyStay]:
        """The piece now on each hive."""
        ...

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings that no answer depends on."""
        ...


def token(desk: CalendarDesk, *, anew: bool = False) -> str:
    """The unguessable part of the feed's address, made on first use; ``anew`` makes another and ends the old."""
    held = desk.books.settings().get(TOKEN)
    if held and not anew:
        return str(held)
    made = secrets.token_urlsafe(TOKEN_BYTES)
    desk.keep({TOKEN: made})
    return made


def fits(desk: CalendarDesk, given: str) -> bool:
    """Whether an address asked for is the feed's; false while there is none."""
    held = desk.books.settings().get(TOKEN)
    return bool(held) and secrets.compare_digest(str(held).encode(), given.encode())


def gather(
    desk: CalendarDesk, plan: Rounds | None, frozen: Sequence[Freezing] = (), units: str | None = None
) -> list[Event]:
    """Everything that is to be done at a time.

    :param plan: the coming rounds; None leaves the stops out.
    :param frozen: pieces in the freezer.
    :param units: which unit stands first; the books' own when None.
    """
    first = units or str(desk.books.settings().get("units", "metric"))
    found = pull_bys(desk.books, desk.pieces_on(), first)
    if plan is not None:
        found += stops(desk.books, plan, first)
    return found + freezings(frozen)


def frozen(desk: CalendarDesk, now: datetime) -> list[Freezing]:
    """Pieces in the freezer that are not ready yet, or were ready these days, each with its hour."""
    yards = desk.books.yards()
    if not yards:
        return []
    zones = {y.id: y.zone for y in yards}
    at = datetime.combine(desk.today(), now.astimezone(yards[0].zone).time(), yards[0].zone)
    return [
        Freezing(f.piece, f"for {f.hive}" if f.hive else "never on a hive", f.ready_at.astimezone(zones[f.yard]))
        for f in cold_box(desk.books, at, settings_of(desk.books)).frozen
        if f.ready_at is not None and f.piece and (desk.today() - f.ready_at.date()).days <= KEEPS_D
    ]


def calendar(
    desk: CalendarDesk,
    plan: Callable[[], Rounds | None],
    now: datetime,
    *,
    publish: bool = False,
) -> tuple[bytes, list[Published]]:
    """The calendar as it stands now, remembered as sent.

    :param plan: works out the coming rounds.
    :param now: the moment of writing (aware).
    :param publish: as a message to be brought into a calendar rather than the state of a feed.
    :returns: the text, and what is in it.
    """
    held = desk.books.settings()
    mine = str(held.get(ID) or uuid.uuid4())
    sent = held.get(SENT)
    before = sent if isinstance(sent, dict) else {}
    out, memory = advance(gather(desk, plan(), frozen(desk, now)), before, now, desk.today())
    changed: dict[str, Any] = {} if memory == before else {SENT: memory}
    if held.get(ID) != mine:
        changed[ID] = mine
    if changed:
        desk.keep(changed)
    return text(out, calendar_id=mine, name=NAME, publish=publish), out
