"""The books themselves: open, read, write."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import RLock
from typing import Any, cast

from sqlalchemy import Connection, Engine, Select, func, select

from tideover.records.engine import WRITE, open_engine, upgrade, url_of
from tideover.records.entries import Entry, Hive, State, Yard
from tideover.records.errors import RecordsError, UnknownNameError
from tideover.records.fold import fold
from tideover.records.rows import entry_of_row, hives_of_rows, time_text, yard_of_row
from tideover.records.tables import boxes, counters, entries, hives, settings, standing, yards
from tideover.records.values import near
from tideover.records.writing import Writer, chunks, raise_different, words_of, words_query


class Books:
    """Yards, hives, entries and settings in one database; safe to use from several threads."""

    def __init__(self, engine: Engine, where: str) -> None:
        """Wrap an engine whose database is up to date; use ``open_books`` instead."""
        self._engine = engine
        self.where = where
        self._lock = RLock()
        self._in_memory = str(engine.url) == "sqlite://"

    # ---- transactions ----------------------------------------------------

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection that sees one consistent state."""
        if self._in_memory:  # one connection for all threads: one at a time
            with self._lock, self._engine.connect() as c:
                yield c
        else:
            with self._engine.connect() as c:
                yield c

    @contextmanager
    def writing(self) -> Iterator[Writer]:
        """Give a writer; everything it does is kept, or nothing when an error leaves the block."""
        with self._lock, self._engine.connect().execution_options(**{WRITE: True}) as c, c.begin():
            # where rows are locked one by one, this lets one writer in at a time
            c.execute(select(counters.c.value).where(counters.c.name == "version").with_for_update())
            writer = Writer(c)
            yield writer
            writer.bump()

    def close(self) -> None:
        """Close every connection."""
        self._engine.dispose()

    def __enter__(self) -> Books:
        """Use the books in a ``with`` block."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close at the end of the block."""
        self.close()

    @property
    def engine(self) -> Engine:
        """The database engine (for backup and migrations)."""
        return self._engine

    # ---- reading ---------------------------------------------------------

    def yards(self) -> list[Yard]:
        """Return all yards by id."""
        with self.reading() as c:
            return [yard_of_row(r) for r in c.execute(select(yards).order_by(yards.c.id)).mappings()]

    def yard(self, yard_id: str) -> Yard:
        """Return one yard; UnknownNameError names near ones."""
        with self.reading() as c:
            row = c.execute(select(yards).where(yards.c.id == yard_id)).mappings().first()
            if row is None:
                raise UnknownNameError(
                    f"yard {yard_id!r} is not in the books; use {near(yard_id, c.scalars(select(yards.c.id)))}"
                )
            return yard_of_row(row)

    def hives(self, yard: str | None = None) -> list[Hive]:
        """Return all hives, or those of one yard, by id."""
        q = select(hives).order_by(hives.c.id)
        b = select(boxes).order_by(boxes.c.hive, boxes.c.level)
        if yard is not None:
            q = q.where(hives.c.yard == yard)
            b = b.join(hives, hives.c.id == boxes.c.hive).where(hives.c.yard == yard)
        with self.reading() as c:
            return hives_of_rows(_maps(c, q), _maps(c, b))

    def hive_names(self) -> dict[str, str]:
        """Return the names of the hives that were given one besides their label, by label."""
        q = select(hives.c.id, hives.c.name).where(hives.c.name != "", hives.c.name != hives.c.id)
        with self.reading() as c:
            return {row.id: row.name for row in c.execute(q)}

    def hive(self, hive_id: str) -> Hive:
        """Return one hive; UnknownNameError names near ones."""
        with self.reading() as c:
            rows = _maps(c, select(hives).where(hives.c.id == hive_id))
            if not rows:
                raise UnknownNameError(
                    f"hive {hive_id!r} is not in the books; use {near(hive_id, c.scalars(select(hives.c.id)))}"
                )
            return hives_of_rows(rows, _maps(c, select(boxes).where(boxes.c.hive == hive_id)))[0]

    def entries(
        self,
        kind: str | None = None,
        hive: str | None = None,
        yard: str | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
    ) -> list[Entry]:
        """Return the entries that stand, by (at, id).

        ``since`` is included, ``until`` is not; both must carry a zone. ``hive=""`` asks for those
        about no hive.
        """
        q = _entries_query(kind, hive, yard, since, until).where(standing.c.state == "stands")
        with self.reading() as c:
            return [entry_of_row(r) for r in c.execute(q).mappings()]

    def all_entries(
        self,
        kind: str | None = None,
        hive: str | None = None,
        yard: str | None = None,
        since: datetime | None = None,
        until: datetime | None = None,
    ) -> list[tuple[Entry, State]]:
        """Return every entry with its state, by (at, id)."""
        with self.reading() as c:
            q = _entries_query(kind, hive, yard, since, until)
            return [(entry_of_row(r), cast(State, r["state"])) for r in c.execute(q).mappings()]

    def each_entry(self, kind: str | None = None) -> Iterator[Entry]:
        """Yield every entry, whatever its state, by (at, id), without holding all of them."""
        with self.reading() as c:
            q = _entries_query(kind, None, None, None, None)
            for r in c.execution_options(yield_per=1000).execute(q).mappings():
                yield entry_of_row(r)

    def entry(self, entry_id: str) -> Entry:
        """Return one entry, whatever its state; UnknownNameError when there is none."""
        return self.entry_and_state(entry_id)[0]

    def entry_and_state(self, entry_id: str) -> tuple[Entry, State]:
        """Return one entry and its state."""
        with self.reading() as c:
            r = c.execute(_joined().where(entries.c.id == entry_id.lower())).mappings().first()
        if r is None:
            raise UnknownNameError(f"entry {entry_id!r} is not in the books; check its id")
        return entry_of_row(r), cast(State, r["state"])

    def entries_of_yard_hives(self, yard: str) -> list[Entry]:
        """Return the standing entries of all hives that now stand in a yard, by (at, id)."""
        q = (
            _joined()
            .join(hives, hives.c.id == entries.c.hive)
            .where(hives.c.yard == yard, standing.c.state == "stands")
        )
        with self.reading() as c:
            return [entry_of_row(r) for r in c.execute(q.order_by(entries.c.at_utc, entries.c.id)).mappings()]

    def confirmed(self, hive: str | None = None, yard: str | None = None, in_yard: str | None = None) -> set[str]:
        """Return the ids of entries that a standing confirmation is about.

        Of a hive, of a yard (by the entry), or of the hives that now stand in a yard.
        """
        about = entries.alias("about")
        q = (
            select(entries.c.about)
            .join(standing, standing.c.entry == entries.c.id)
            .join(about, about.c.id == entries.c.about)
            .where(entries.c.kind == "confirm", standing.c.state == "stands")
        )
        if hive is not None:
            q = q.where(about.c.hive == hive)
        if yard is not None:
            q = q.where(about.c.yard == yard)
        if in_yard is not None:
            q = q.join(hives, hives.c.id == about.c.hive).where(hives.c.yard == in_yard)
        with self.reading() as c:
            return {str(i) for i in c.scalars(q)}

    def count(self) -> dict[str, int]:
        """Return how many entries there are of each kind, whatever their state."""
        with self.reading() as c:
            q = select(entries.c.kind, func.count()).group_by(entries.c.kind).order_by(entries.c.kind)
            return {str(k): int(n) for k, n in c.execute(q)}

    def last_at(self) -> datetime | None:
        """Return the time of the latest standing entry, None in empty books."""
        q = _joined().where(standing.c.state == "stands").order_by(entries.c.at_utc.desc(), entries.c.id).limit(1)
        with self.reading() as c:
            r = c.execute(q).mappings().first()
        return entry_of_row(r).at if r else None

    def settings(self) -> dict[str, Any]:
        """Return all settings."""
        with self.reading() as c:
            rows = c.execute(select(settings).order_by(settings.c.name)).mappings()
            return {r["name"]: json.loads(r["value_json"]) for r in rows}

    def version(self) -> int:
        """Return a number that rises with every change to the books."""
        with self.reading() as c:
            return int(c.scalar(select(counters.c.value).where(counters.c.name == "version")) or 0)

    # ---- writing ---------------------------------------------------------

    def put_yard(self, yard: Yard) -> None:
        """Write a yard, replacing what the books say of it."""
        with self.writing() as w:
            w.put_yard(yard)

    def put_hive(self, hive: Hive) -> None:
        """Write a hive with its boxes, replacing what the books say of it."""
        with self.writing() as w:
            w.put_hive(hive)

    def add(self, given: Iterable[Entry], now: datetime | None = None) -> int:
        """Write entries, all or none; return how many were new.

        An entry that is there already is passed over. Raises DifferentContentError when an id is
        there with other content, UnknownNameError for an unknown yard or hive, ValuesError for
        values that cannot be; with ``now`` (aware) also TimeError for what lies more than a day after it.
        """
        n = 0
        with self.writing() as w:
            for part in chunks(given):
                added, clash = w.add([w.check(e, now) for e in part])
                raise_different(clash)
                n += len(added)
        return n

    def put_settings(self, given: Mapping[str, Any]) -> None:
        """Write settings by name; values are anything JSON can hold."""
        with self.writing() as w:
            w.put_settings(given)

    def refold(self) -> None:
        """Work out anew which entries stand (the outcome is kept beside the entries)."""
        with self.writing() as w:
            c = w.connection
            w.set_states(fold(list(words_of(c, words_query()))))


def _maps(c: Connection, q: Select[Any]) -> list[dict[str, Any]]:
    return [dict(r) for r in c.execute(q).mappings()]


def _joined() -> Select[Any]:
    return select(entries, standing.c.state).join(standing, standing.c.entry == entries.c.id)


def _entries_query(
    kind: str | None, hive: str | None, yard: str | None, since: datetime | None, until: datetime | None
) -> Select[Any]:
    q = _joined().order_by(entries.c.at_utc, entries.c.id)
    if kind is not None:
        q = q.where(entries.c.kind == kind)
    if hive is not None:
        q = q.where(entries.c.hive == hive if hive else entries.c.hive.is_(None))
    if yard is not None:
        q = q.where(entries.c.yard == yard)
    for when, name in ((since, "since"), (until, "until")):
        if when is not None and when.tzinfo is None:
            raise RecordsError(f"{name} is {when.isoformat()}, which names no time zone; give a time with its zone")
    if since is not None:
        q = q.where(entries.c.at_utc >= time_text(since))
    if until is not None:
        q = q.where(entries.c.at_utc < time_text(until))
    return q


def open_books(path_or_url: str | Path, create: bool = True) -> Books:
    """Open the books at a path (SQLite), ``:memory:`` or a database URL, bringing the tables up to date.

    With ``create=False`` a missing file is an error. Raises RecordsError in one sentence.
    """
    url = url_of(path_or_url)
    if url.startswith("sqlite:///"):
        file = Path(url.removeprefix("sqlite:///"))
        if file.is_dir():
            raise RecordsError(f"{file} is a folder; name a file for the books")
        if not file.exists():
            if not create:
                raise RecordsError(f"there are no books at {file}; check the path, or make them by bringing files")
            try:
                file.parent.mkdir(parents=True, exist_ok=True)
            except OSError as e:
                raise RecordsError(f"the folder {file.parent} cannot be made ({e.strerror}); name another") from None
    engine = open_engine(url)
    try:
        upgrade(
            engine, engine.url.render_as_string(hide_password=True) if "://" in str(path_or_url) else str(path_or_url)
        )
    except BaseException:
        engine.dispose()
        raise
    return Books(engine, str(path_or_url))
