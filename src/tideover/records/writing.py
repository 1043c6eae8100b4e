"""What happens inside one write transaction."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import islice
from typing import Any, Final, TypeVar

from sqlalchemy import Connection, Select, delete, insert, or_, select, update

from tideover.records.entries import Entry, Hive, Yard
from tideover.records.errors import DifferentContentError, RecordsError, UnknownNameError
from tideover.records.fold import Word, fold
from tideover.records.rows import entry_of_row, hives_of_rows, row_of_entry, row_of_yard, yard_of_row
from tideover.records.tables import boxes, counters, entries, hives, settings, standing, yards
from tideover.records.times import EARLIEST_YEAR, TimeError, check_not_future
from tideover.records.values import a_, check_values, kind_named, near

T = TypeVar("T")
CHUNK: Final = 400
"""Rows looked up or written at once; under SQLite's limit of bound values."""


def chunks(items: Iterable[T], size: int = CHUNK) -> Iterator[list[T]]:
    """Yield ``items`` in lists of ``size``."""
    it = iter(items)
    while part := list(islice(it, size)):
        yield part


class Writer:
    """Writes on one connection inside one transaction; counts what changed."""

    def __init__(self, connection: Connection) -> None:
        self._c = self.connection = connection
        self._yards: set[str] = set(connection.scalars(select(yards.c.id)))
        self._hive_yard: dict[str, str] = {}
        self.changed = 0

    # ---- yards and hives -------------------------------------------------

    def yard_known(self, yard_id: str) -> bool:
        """Say whether the yard is in the books."""
        return yard_id in self._yards

    def yard_ids(self) -> set[str]:
        """Return the ids of all yards."""
        return self._yards

    def yard(self, yard_id: str) -> Yard:
        """Return a yard."""
        row = self._c.execute(select(yards).where(yards.c.id == yard_id)).mappings().one()
        return yard_of_row(row)

    def hive_ids(self) -> list[str]:
        """Return the ids of all hives."""
        return list(self._c.scalars(select(hives.c.id)))

    def yard_of_hive(self, hive_id: str) -> str | None:
        """Return the yard a hive stands in, None when the hive is unknown."""
        if hive_id not in self._hive_yard:
            found = self._c.scalar(select(hives.c.yard).where(hives.c.id == hive_id))
            if found is None:
                return None
            self._hive_yard[hive_id] = found
        return self._hive_yard[hive_id]

    def put_yard(self, yard: Yard) -> str:
        """Write a yard; return 'added', 'changed' or 'same'."""
        present = self._c.execute(select(yards).where(yards.c.id == yard.id)).mappings().first()
        if present is None:
            self._c.execute(insert(yards), row_of_yard(yard))
            self._yards.add(yard.id)
            self.changed += 1
            return "added"
        if yard_of_row(present) == yard:
            return "same"
        self._c.execute(update(yards).where(yards.c.id == yard.id).values(row_of_yard(yard)))
        self.changed += 1
        return "changed"

    def put_hive(self, hive: Hive) -> str:
        """Write a hive and its boxes; return 'added', 'changed' or 'same'."""
        if hive.yard not in self._yards:
            raise UnknownNameError(
                f"hive {hive.id} is in yard {hive.yard!r}, which is not in the books; "
                f"use {near(hive.yard, self._yards)}"
            )
        row = {"id": hive.id, "yard": hive.yard, "name": hive.name, "note": hive.note}
        present = self._c.execute(select(hives).where(hives.c.id == hive.id)).mappings().first()
        if present is not None:
            there = self._c.execute(select(boxes).where(boxes.c.hive == hive.id)).mappings().all()
            if hives_of_rows([dict(present)], [dict(b) for b in there]) == [hive]:
                return "same"
            self._c.execute(update(hives).where(hives.c.id == hive.id).values(row))
            self._c.execute(delete(boxes).where(boxes.c.hive == hive.id))
        else:
            self._c.execute(insert(hives), row)
        self._c.execute(
            insert(boxes),
            [{"hive": hive.id, "level": b.level, "frame": b.frame, "frames": b.frames} for b in hive.boxes],
        )
        self._hive_yard[hive.id] = hive.yard
        self.changed += 1
        return "added" if present is None else "changed"

    # ---- entries ---------------------------------------------------------

    def check(self, e: Entry, now: datetime | None = None) -> Entry:
        """Return the entry with checked values; RecordsError when yard, hive, kind or values are wrong."""
        kind = kind_named(e.kind)
        if e.yard not in self._yards:
            raise UnknownNameError(f"yard {e.yard!r} is not in the books; use {near(e.yard, self._yards)}")
        if e.hive is not None and self.yard_of_hive(e.hive) is None:
            raise UnknownNameError(f"hive {e.hive!r} is not in the books; use {near(e.hive, self.hive_ids())}")
        if e.hive is None and kind.of == "hive" and kind.name not in HIVE_OR_YARD:
            raise RecordsError(f"{a_(kind.name)} is about a hive, and entry {e.id} names none; name the hive")
        if e.hive is not None and kind.of == "yard":
            raise RecordsError(
                f"{a_(kind.name)} is about a yard, and entry {e.id} names hive {e.hive}; leave the hive out"
            )
        if e.kind == "withdraw" and e.supersedes is None:
            raise RecordsError(f"withdrawal {e.id} does not say which entry it takes out; give its id as supersedes")
        if e.at.year < EARLIEST_YEAR:
            raise TimeError(f"entry {e.id} is of the year {e.at.year}", "correct the year")
        if now is not None:
            check_not_future(e.at, now)
        values = check_values(e.kind, e.values)
        if values == e.values and all(type(values[k]) is type(e.values[k]) for k in values):
            return e
        return Entry(
            e.id, e.kind, e.yard, e.hive, e.at, e.who, e.device, e.units, values, e.supersedes, e.note, e.recorded_at
        )

    def standing_of(self, yard: str, kind: str) -> list[Entry]:
        """Return the entries of a kind that stand about a yard, as this transaction sees them, by time."""
        q = (
            select(entries)
            .join(standing, standing.c.entry == entries.c.id)
            .where(entries.c.yard == yard, entries.c.kind == kind, standing.c.state == "stands")
            .order_by(entries.c.at_utc, entries.c.id)
        )
        return [entry_of_row(r) for r in self._c.execute(q).mappings()]

    def add(self, checked: Sequence[Entry]) -> tuple[set[str], list[tuple[Entry, Entry]]]:
        """Write up to CHUNK checked entries.

        Returns the ids added, and the pairs (entry in the books, entry given) that share an id and
        differ; of those the one in the books is kept.
        """
        rows: dict[str, dict[str, Any]] = {}
        clash: list[tuple[Entry, Entry]] = []
        for e in checked:
            row = row_of_entry(e)
            if rows.setdefault(e.id, row) != row:
                clash.append((entry_of_row(rows[e.id]), e))
        found = self._c.execute(select(entries).where(entries.c.id.in_(list(rows)))).mappings()
        for there in found:
            given = rows.pop(there["id"])
            if dict(there) != given:
                clash.append((entry_of_row(there), entry_of_row(given)))
        if rows:
            self._c.execute(insert(entries), list(rows.values()))
            self._c.execute(insert(standing), [{"entry": i, "state": "stands"} for i in rows])
            self._refold(rows)
            self.changed += len(rows)
        return set(rows), clash

    def _refold(self, new: Mapping[str, Mapping[str, Any]]) -> None:
        named = set(self._c.scalars(select(entries.c.supersedes).where(entries.c.supersedes.in_(list(new)))))
        start = {i for i, r in new.items() if r["supersedes"] is not None or i in named}
        if start:
            self.set_states(fold(self._threads_of(start).values()))

    def _threads_of(self, start: set[str]) -> dict[str, Word]:
        """Return every word connected to ``start`` through supersedes, in both directions."""
        words: dict[str, Word] = {}
        seen: set[str] = set()
        frontier = set(start)
        while frontier:
            seen |= frontier
            reached: set[str] = set()
            for ids in chunks(frontier):
                for w in words_of(
                    self._c, words_query().where(or_(entries.c.id.in_(ids), entries.c.supersedes.in_(ids)))
                ):
                    words[w.id] = w
                    reached.add(w.id)
                    if w.supersedes:
                        reached.add(w.supersedes)
            frontier = reached - seen
        return words

    def set_states(self, states: Mapping[str, str]) -> None:
        """Write the outcome of a fold."""
        for part in chunks(states.items()):
            for state in ("stands", "corrected", "withdrawn"):
                ids = [i for i, s in part if s == state]
                if ids:
                    self._c.execute(update(standing).where(standing.c.entry.in_(ids)).values(state=state))

    def known_entries(self, ids: Iterable[str]) -> dict[str, tuple[str, str | None]]:
        """Return yard and hive of those ids that are in the books."""
        out: dict[str, tuple[str, str | None]] = {}
        for part in chunks(ids):
            query = select(entries.c.id, entries.c.yard, entries.c.hive).where(entries.c.id.in_(part))
            out.update({r.id: (r.yard, r.hive) for r in self._c.execute(query)})
        return out

    # ---- settings --------------------------------------------------------

    def put_settings(self, given: Mapping[str, Any]) -> int:
        """Write settings; return how many changed."""
        present = {r.name: r.value_json for r in self._c.execute(select(settings.c.name, settings.c.value_json))}
        n = 0
        for name, value in given.items():
            try:
                text = json.dumps(value, sort_keys=True, ensure_ascii=False, allow_nan=False)
            except (TypeError, ValueError):
                raise RecordsError(
                    f"setting {name!r} is {value!r}, which cannot be kept; use text, numbers, lists"
                ) from None
            if name not in present:
                self._c.execute(insert(settings), {"name": name, "value_json": text})
            elif present[name] != text:
                self._c.execute(update(settings).where(settings.c.name == name).values(value_json=text))
            else:
                continue
            n += 1
        self.changed += n
        return n

    def bump(self) -> None:
        """Raise the version when something changed."""
        if self.changed:
            self._c.execute(update(counters).where(counters.c.name == "version").values(value=counters.c.value + 1))


HIVE_OR_YARD: Final = frozenset({"event", "confirm", "withdraw", "cold box", "discarded"})
"""Kinds that may be about a hive or about a whole yard."""


def words_query() -> Select[Any]:
    """Return the query for what the fold needs of entries."""
    e = entries.c
    return select(e.id, e.kind, e.supersedes, e.recorded_utc, e.at_utc)


def words_of(connection: Connection, query: Select[Any]) -> Iterator[Word]:
    """Yield the words of a query made from ``words_query``."""
    for r in connection.execute(query):
        yield Word(r.id, r.kind, r.supersedes, r.recorded_utc or r.at_utc)


def different(there: Entry, given: Entry) -> str:
    """Say in one sentence how two entries with one id differ."""
    names = ("kind", "yard", "hive", "at", "who", "device", "units", "values", "supersedes", "note", "recorded_at")
    parts = []
    for n in names:
        a, b = getattr(there, n), getattr(given, n)
        if a != b:
            parts.append(f"{n} {a!r} there, {b!r} here" if n in ("who", "note", "kind", "hive", "yard") else n)
    if not parts:
        parts = ["at (another zone)"]
    return f"entry {there.id} is already in the books with other content ({'; '.join(parts)})"


def raise_different(pairs: Sequence[tuple[Entry, Entry]]) -> None:
    """Raise DifferentContentError for the first of the pairs."""
    if pairs:
        raise DifferentContentError(
            different(*pairs[0])
            + "; entries are never changed: write a correction with an id of its own that supersedes it"
        )
