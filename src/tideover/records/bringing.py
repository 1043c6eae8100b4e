"""Bring files into the books: all of them in one transaction, or nothing."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from sqlalchemy import select

from tideover.records.building import Land, build_entry, build_hive, build_yard
from tideover.records.entries import Entry, tidy_uuid
from tideover.records.errors import BringError, Problem, RecordsError
from tideover.records.kinds import KINDS
from tideover.records.reading import CsvFile, Row
from tideover.records.reading_json import JsonFile
from tideover.records.sheets import KIND_OF_SHEET, PLACES
from tideover.records.store import Books
from tideover.records.tables import entries, standing
from tideover.records.times import Read
from tideover.records.writing import CHUNK, Writer, different

Progress = Callable[[int, int, str], None]
_LATE: Final = frozenset({"confirm", "withdraw"})
"""Kinds brought last, because they may take hive and yard from the entry they are about."""


@dataclass
class BringReport:
    """What bringing did: entries (and yards, hives, settings) added by kind, already there, warnings."""

    added: dict[str, int] = field(default_factory=dict)
    there: dict[str, int] = field(default_factory=dict)
    changed: dict[str, int] = field(default_factory=dict)
    warnings: list[str] = field(default_factory=list)
    files: list[str] = field(default_factory=list)

    @property
    def total_added(self) -> int:
        """Number of things added, of every kind."""
        return sum(self.added.values())

    @property
    def total_there(self) -> int:
        """Number of things that were in the books already."""
        return sum(self.there.values())

    def __str__(self) -> str:
        """Return the report in a few lines."""
        lines = []
        for name, counts in (("added", self.added), ("already there", self.there), ("changed", self.changed)):
            said = ", ".join(f"{n} {_many(kind, n)}" for kind, n in sorted(counts.items()) if n)
            if said or name == "added":
                lines.append(f"{name}: {said or 'nothing'}")
        return "\n".join([*lines, *(f"note: {w}" for w in self.warnings)])


def _many(kind: str, n: int) -> str:
    """A kind of thing, as one or as many: '1 yard', '2 looks', 'laid on' as it is."""
    if kind in ("yards", "hives", "settings"):
        return kind if n != 1 else kind[:-1]
    if n == 1 or kind.split()[-1] not in ("look", "count", "note", "side", "day", "wash", "time", "visit", "event"):
        return kind
    return f"{kind}es" if kind.endswith("sh") else f"{kind}s"


class _Bringing:
    """One run of ``bring`` inside one write transaction."""

    def __init__(
        self,
        writer: Writer,
        files: Sequence[CsvFile | JsonFile],
        now: datetime,
        progress: Progress | None,
        problems: Sequence[Problem] = (),
    ) -> None:
        self.w = writer
        self.land = Land(writer, now)
        self.files = files
        self.report = BringReport(files=[f.file for f in files])
        self.problems: list[Problem] = list(problems)
        self._progress = progress
        self._done, self._total = 0, sum(f.path.stat().st_size for f in files)
        self._told = -1
        self._now_reading = ""
        self._waiting: list[tuple[Row, Entry]] = []
        self._first: dict[str, Row] = {}
        self._no_hour: dict[str, list[Row]] = {}
        self._repeats: dict[str, list[Row]] = {}
        self._ids: set[str] = set()

    def run(self) -> None:
        """Read everything; raise BringError when anything is wrong."""
        for f in self.files:
            if isinstance(f, JsonFile):
                self._now_reading = f.file
                f.load(self._tick)
        for row in self._rows("yards"):
            self._yard(row)
        for row in self._rows("hives"):
            self._hive(row)
        self._settings()
        late: list[Row] = []
        for row in self._rows("entries"):
            if KIND_OF_SHEET[row.sheet].name in _LATE:
                late.append(row)
            else:
                self._entry(row, {})
        self._write()
        self._late_rows(late)
        self._gather()
        if self.problems:
            raise BringError(self.problems)
        self._warn_after()

    def _late_rows(self, late: list[Row]) -> None:
        """Bring confirmations and withdrawals; those about one another wait for the one they are about."""
        while late:
            coming = {said for r in late if (said := _said_id(r, "id"))}
            wait = [r for r in late if _said_id(r, "supersedes", "entry") in coming - {_said_id(r, "id")}]
            ready = late if len(wait) == len(late) else [r for r in late if r not in wait]
            targets = self.w.known_entries({_said_id(r, "supersedes", "entry") for r in ready})
            for row in ready:
                self._entry(row, targets)
            self._write()
            late = [] if ready is late else wait

    # ---- rows ------------------------------------------------------------

    def _tick(self, n: int) -> None:
        self._done += n
        if self._progress is not None and (self._done * 200 // max(1, self._total)) != self._told:
            self._told = self._done * 200 // max(1, self._total)
            self._progress(min(self._done, self._total), self._total, f"reading {self._now_reading}")

    def _rows(self, part: str) -> Iterator[Row]:
        for f in self.files:
            self._now_reading = f.file
            if isinstance(f, JsonFile):
                yield from f.rows(part)
            elif (f.sheet if f.sheet in PLACES else "entries") == part:
                yield from f.rows(self._tick)

    def _gather(self) -> None:
        order = {f.file: i for i, f in enumerate(self.files)}
        self.problems.extend(p for f in self.files for p in f.problems)
        self.problems.sort(key=lambda p: (order.get(p.file, 0), p.line))

    def _count(self, outcome: str, what: str) -> None:
        counts = {"added": self.report.added, "same": self.report.there, "changed": self.report.changed}[outcome]
        counts[what] = counts.get(what, 0) + 1

    def _twice(self, key: str, row: Row) -> Row | None:
        """Return the row that had this key first, if it is another one."""
        first = self._first.setdefault(key, row)
        return None if first is row else first

    def _yard(self, row: Row) -> None:
        label = str(row.cells.get("id", "")).strip()
        try:
            yard = build_yard(row)
            first = self._twice(f"yard {label}", row)
            if first is not None and build_yard(first) != yard:
                raise _again(row, "id", f"yard {label!r}", first)
        except BringError as e:
            self.land.broken.add(f"yard {label}")
            self.problems.extend(e.problems)
            return
        outcome = self.w.put_yard(yard)
        self._count(outcome, "yards")
        if outcome == "changed":
            self.report.warnings.append(f"{row.file}, line {row.line}: yard {yard.id} was in the books and is replaced")

    def _hive(self, row: Row) -> None:
        label = str(row.cells.get("id", "")).strip()
        try:
            hive = build_hive(row, self.land)
            first = self._twice(f"hive {label}", row)
            if first is not None and build_hive(first, self.land) != hive:
                raise _again(row, "id", f"hive {label!r}", first)
        except BringError as e:
            self.land.broken.add(f"hive {label}")
            self.problems.extend(e.problems)
            return
        outcome = self.w.put_hive(hive)
        self._count(outcome, "hives")
        if outcome == "changed":
            self.report.warnings.append(f"{row.file}, line {row.line}: hive {hive.id} was in the books and is replaced")

    def _settings(self) -> None:
        given: dict[str, object] = {}
        for f in self.files:
            if isinstance(f, JsonFile):
                given.update(f.settings)
        for row in self._rows("settings"):
            name, value = row.cells.get("name"), row.cells.get("value")
            if not isinstance(name, str) or value is None:
                self.problems.append(row.problem("name", "", "a setting needs a name and a value", "fill in both"))
                continue
            try:
                given[name.strip()] = strict_json(str(value))
            except ValueError:
                remedy = 'write text in quotes ("so"), numbers and true or false without'
                self.problems.append(row.problem("value", value, "this is not a value as JSON", remedy))
        changed = self.w.put_settings(given)
        for outcome, n in (("added", changed), ("same", len(given) - changed)):
            for _ in range(n):
                self._count(outcome, "settings")

    def _entry(self, row: Row, targets: dict[str, tuple[str, str | None]]) -> None:
        try:
            entry, read = build_entry(row, self.land, targets)
        except BringError as e:
            self.problems.extend(e.problems)
            return
        self._note_time(row, entry, read)
        if entry.id in self._ids and "id" not in row.cells:
            self._repeats.setdefault(row.file, []).append(row)
        self._ids.add(entry.id)
        self._waiting.append((row, entry))
        if len(self._waiting) >= CHUNK:
            self._write()

    def _note_time(self, row: Row, entry: Entry, read: Read) -> None:
        if not read.hour_known and KINDS[entry.kind].of == "hive" and entry.kind not in _LATE:
            self._no_hour.setdefault(row.file, []).append(row)
        if read.twice:
            self.report.warnings.append(
                f"{row.file}, line {row.line}: the clocks showed {entry.at:%H:%M} twice that day; the first is taken "
                "(add the distance from UTC to say which)"
            )

    def _write(self) -> None:
        waiting, self._waiting = self._waiting, []
        if not waiting:
            return
        rows: dict[str, Row] = {}
        for row, e in waiting:
            rows.setdefault(e.id, row)
        added, clash = self.w.add([e for _, e in waiting])  # each was checked as its row was read
        for _, e in waiting:
            if e.id in added:
                added.discard(e.id)
                self._count("added", e.kind)
            else:
                self._count("same", e.kind)
        for there, given in clash:
            row = next((r for r, e in waiting if e == given), rows[given.id])
            if "id" not in row.cells:
                continue  # an id made from the row's content: the same row, read when its hive stood elsewhere
            remedy = "a correction needs an id of its own, with this id under 'supersedes'; ids are never used twice"
            self.problems.append(row.problem("id", given.id, different(there, given), remedy))

    # ---- afterwards ------------------------------------------------------

    def _warn_after(self) -> None:
        warn = self.report.warnings
        for file, rows in self._no_hour.items():
            warn.append(f"{file}: {_rows_said(rows)} a date without an hour; 12:00 is taken")
        for file, rows in self._repeats.items():
            warn.append(
                f"{file}: {_rows_said(rows)} the same as an earlier row and counting once; "
                "if both happened, give them different times or ids"
            )
        for hive in self._off_without_on():
            warn.append(
                f"hive {hive}: a patty is taken off and none was laid on before; "
                "bring the laying-on as well if there was one"
            )
        for missing in self._unknown_targets():
            warn.append(f"entry {missing} is corrected, withdrawn or confirmed, and is not in the books (yet)")

    def _off_without_on(self) -> list[str]:
        if not self.report.added.get("taken off"):
            return []
        on = entries.alias("laid")
        on_state = standing.alias("laid_state")
        laid = (
            select(on.c.id)
            .join(on_state, on_state.c.entry == on.c.id)
            .where(on.c.hive == entries.c.hive, on.c.kind == "laid on", on.c.at_utc <= entries.c.at_utc)
            .where(on_state.c.state == "stands")
        )
        q = (
            select(entries.c.hive)
            .join(standing, standing.c.entry == entries.c.id)
            .where(entries.c.kind == "taken off", standing.c.state == "stands", ~laid.exists())
            .distinct()
            .order_by(entries.c.hive)
        )
        return [str(h) for h in self.w.connection.scalars(q)]

    def _unknown_targets(self) -> list[str]:
        there = select(entries.c.id)
        c = self.w.connection
        ids = set(
            c.scalars(
                select(entries.c.supersedes).where(
                    entries.c.supersedes.is_not(None), entries.c.supersedes.not_in(there)
                )
            )
        )
        ids |= set(
            c.scalars(select(entries.c.about).where(entries.c.about.is_not(None), entries.c.about.not_in(there)))
        )
        return sorted(str(i) for i in ids)


def _rows_said(rows: Sequence[Row]) -> str:
    lines = ", ".join(str(r.line) for r in rows[:5]) + (" …" if len(rows) > 5 else "")
    return f"line {lines} says" if len(rows) == 1 else f"{len(rows)} rows (lines {lines}) say"


def _said_id(row: Row, *columns: str) -> str:
    """Return the first filled cell of these columns as an id is usually written, '' when all are empty."""
    said = next((str(row.cells[c]).strip() for c in columns if c in row.cells), "")
    try:
        return tidy_uuid(said)
    except RecordsError:
        return said


def _again(row: Row, column: str, what: str, first: Row) -> BringError:
    said = f"{what} is given twice with different content (first in {first.file}, line {first.line})"
    return BringError([row.problem(column, row.cells.get(column, ""), said, "keep one of the two")])


def strict_json(text: str) -> object:
    """Return the value of a JSON text; ValueError for NaN, infinities and anything that is not JSON."""

    def refuse(name: str) -> object:
        raise ValueError(name)

    return json.loads(text, parse_constant=refuse)


def _files(paths: Iterable[Path]) -> list[CsvFile | JsonFile]:
    given = [Path(p) for p in paths]
    names = [p.name for p in given]
    out: list[CsvFile | JsonFile] = []
    problems = []
    for path in given:
        file = path.name if names.count(path.name) == 1 else str(path)
        if not path.is_file():
            what = "this is a folder" if path.is_dir() else "there is no such file"
            problems.append(Problem(file, 0, "", "", what, "name CSV or JSON files"))
        elif path.suffix.lower() == ".json":
            out.append(JsonFile(path, file))
        elif path.suffix.lower() in (".csv", ".txt"):
            out.append(CsvFile(path, file))
        else:
            remedy = (
                "save the sheet as 'CSV UTF-8'"
                if path.suffix.lower() in (".xls", ".xlsx", ".ods", ".numbers")
                else "name CSV or JSON files"
            )
            problems.append(
                Problem(file, 0, "", "", f"files ending in {path.suffix or 'nothing'} cannot be read", remedy)
            )
    if problems:
        raise BringError(problems)
    return out


def bring(
    books: Books,
    paths: Sequence[Path],
    progress: Progress | None = None,
    now: datetime | None = None,
    *,
    found: Sequence[Problem] = (),
    last: Callable[[Writer, BringReport], None] | None = None,
) -> BringReport:
    """Bring files (CSV sheets, books.json) into the books in one transaction, in any order.

    ``progress`` is called with bytes read, bytes in all, and what is being done; ``now`` (aware)
    decides what lies in the future, by default the clock. ``found`` are problems known beforehand,
    told with the rest. ``last`` writes more in the same transaction once all rows are good.
    Returns what was done. Raises BringError with every problem found; the books are then exactly
    as they were.
    """
    at = now or datetime.now(UTC)
    if at.tzinfo is None:
        raise RecordsError("now names no time zone; give a time with its zone")
    files = _files(paths)
    try:
        with books.writing() as writer:
            run = _Bringing(writer, files, at, progress, found)
            run.run()
            if last is not None:
                last(writer, run.report)
    except OSError as e:
        raise BringError(
            [Problem(str(e.filename or ""), 0, "", "", f"the file cannot be read ({e.strerror})", "check it")]
        ) from None
    if progress is not None:
        progress(run._total, run._total, "done")
    return run.report
