"""Files of any kind into the books at once: sheets, JSON, and weather files of stations or services.

A weather file is known by its content. All of it is one transaction: one bad row in any file, and nothing is brought.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Final

from tideover.desk.weather_in import Reading, WeatherReport, read_files, text_of, write_days
from tideover.forage.files import Station
from tideover.forage.files.telling import tell
from tideover.records import Books, BringError, BringReport, Problem, bring
from tideover.records.errors import UnknownNameError
from tideover.records.sheets import sheet_named
from tideover.records.writing import Writer

_HEAD: Final = 65_536
_OF_FILES: Final = ("read: ", "left out: ")
_OWN_COLUMNS: Final = frozenset({"kind", "yard", "hive"})


@dataclass
class Brought:
    """What bringing did: the sheets' report and one for each yard that was given weather."""

    sheets: BringReport
    weather: list[WeatherReport] = field(default_factory=list)

    def __str__(self) -> str:
        """The same in a few lines."""
        told = [] if self.weather and not self.sheets.files else [str(self.sheets)]
        each = [str(w).splitlines() for w in self.weather]
        # what was read is the same for every yard, and told once
        alike = [s for s in each[0] if s.startswith(_OF_FILES) and all(s in e for e in each)] if len(each) > 1 else []
        return "\n".join([*told, *alike, *(s for e in each for s in e if s not in alike)])


def is_weather(path: Path) -> bool:
    """Whether a file is weather of a station or service, by its first lines and not by its name's ending.

    A file named after a sheet, or with a column ``yard``, ``hive`` or ``kind``, is a sheet of the books.
    """
    if not path.is_file() or sheet_named(path.stem) is not None:
        return False
    try:
        head = text_of(path, _HEAD)
    except (OSError, EOFError):
        # a packed file that is cut off; reading it says so
        return path.suffix.lower() == ".gz"
    if head.lstrip("\ufeff \r\n").startswith("{"):
        # a service's answer is short, and its daily block may stand behind an hourly one
        return tell(text_of(path)) is not None
    first = head.split("\n", 1)[0]
    if _OWN_COLUMNS & {c.strip().strip('"').lower() for c in first.split(",")}:
        return False
    return tell(head) is not None


def bring_files(
    books: Books,
    paths: Sequence[Path],
    *,
    yards: Sequence[str] = (),
    stations: Sequence[Station] = (),
    since: date | None = None,
    progress: Callable[[int, int, str], None] | None = None,
    now: datetime | None = None,
) -> Brought:
    """Bring sheets and weather files in one transaction; BringError with every problem, and nothing is brought then.

    :param yards: the yards weather files are for; without any, the only yard there is, or every yard within reach of
        files that say where they were taken.
    :param stations: places of stations whose files do not say.
    :param since: earlier weather days are left out.
    :param now: with its zone; the clock's when None.
    """
    weather = [p for p in paths if is_weather(p)]
    sheets = [p for p in paths if p not in weather]
    if not weather:
        return Brought(bring(books, sheets, progress, now))
    reading = read_files(weather)
    moment = now or datetime.now(UTC)
    reports: list[WeatherReport] = []

    def last(writer: Writer, _: BringReport) -> None:
        chosen = _yards(writer, yards, reading, stations, weather[0].name)
        reports.extend(write_days(writer, writer.yard(y), reading, stations, moment, since=since) for y in chosen)

    return Brought(bring(books, sheets, progress, now, found=reading.problems, last=last), reports)


def _yards(writer: Writer, named: Sequence[str], reading: Reading, stations: Sequence[Station], file: str) -> list[str]:
    """The yards that weather is for."""
    known = sorted(writer.yard_ids())
    for y in named:
        if y not in known:
            raise UnknownNameError(f"yard {y!r} is not in the books; use {', '.join(known[:5]) or 'one you bring'}")
    if named:
        return list(dict.fromkeys(named))
    if len(known) == 1:
        return known
    placed = {s.id for s in stations if s.latitude is not None}
    if known and all(s.latitude is not None or k in placed for m in reading.measured for k, s in m.stations.items()):
        return known
    what = "there is no yard in the books" if not known else "there are several yards, and this weather file names none"
    remedy = "bring yards.csv with it" if not known else f"say which yard it is for: {', '.join(known[:5])}"
    raise BringError([Problem(file, 0, "yard", "", what, remedy)])
