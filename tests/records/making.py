"""Made-up books for the tests of records: places, and Hypothesis strategies for entries."""

from __future__ import annotations

import sqlite3
import uuid
from datetime import UTC, datetime, timedelta, timezone
from functools import cache
from typing import Any

from hypothesis import strategies as st

from tideover.evidence.seen import Value
from tideover.evidence.words import COMB_CONTENTS
from tideover.records import Books, Box, Entry, Hive, Yard, open_books
from tideover.records.engine import open_engine
from tideover.records.kinds import KINDS, Field, Kind
from tideover.records.writing import HIVE_OR_YARD

NOW = datetime(2026, 9, 1, 12, tzinfo=UTC)
YARDS = (
    Yard("quarry", "Quarry", 36.75, -119.8, "America/Los_Angeles", 140.0, "present", "absent"),
    Yard("mill-race", "Mill Race", 36.9, -119.7, "America/Los_Angeles", 155.5, "unknown", "unknown", "by the weir"),
)
HIVES = (
    Hive("quarry-01", "quarry"),
    Hive("quarry-02", "quarry", "the, blue one", (Box(1, "deep", 10), Box(2, "medium", 9)), 'said "strong"\nlast year'),
    Hive("mill-01", "mill-race"),
)


def fill(books: Books) -> Books:
    """Put the made-up places into the books."""
    for y in YARDS:
        books.put_yard(y)
    for h in HIVES:
        books.put_hive(h)
    return books


@cache
def _template(filled: bool) -> sqlite3.Connection:
    books = open_books(":memory:")
    if filled:
        fill(books)
    copy = sqlite3.connect(":memory:")
    with books.reading() as c:
        c.connection.driver_connection.backup(copy)  # type: ignore[union-attr]
    books.close()
    return copy


def fresh(filled: bool = True) -> Books:
    """Return books in memory with the made-up places, or empty ones (copied, not migrated each time)."""
    engine = open_engine("sqlite://")
    with engine.connect() as c:
        _template(filled).backup(c.connection.driver_connection)  # type: ignore[arg-type]
    return Books(engine, ":memory:")


def uid(n: int) -> str:
    """Return the n-th made-up id."""
    return str(uuid.UUID(int=n + 1))


def entry(n: int = 0, kind: str = "look", values: dict[str, Value] | None = None, **more: Any) -> Entry:
    """Return a made-up entry of hive quarry-01 on 14 July 2026, changed by ``more``."""
    given: dict[str, Any] = {
        "yard": "quarry",
        "hive": None if KINDS[kind].of == "yard" else "quarry-01",
        "at": datetime(2026, 7, 14, 15, 30, tzinfo=UTC),
        "who": "A.",
    } | more
    return Entry(id=uid(n), kind=kind, values={} if values is None else values, **given)


def contents(books: Books) -> tuple[Any, ...]:
    """Return all that is in the books in a form that can be compared, zones of times included."""
    entries = [(e, e.at.utcoffset(), state) for e, state in books.all_entries()]
    return books.yards(), books.hives(), entries, books.settings()


texts = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"], include_characters="\n\t\"',;"), max_size=40
)
times = st.builds(
    lambda s, us, off: (
        datetime(2026, 4, 1, tzinfo=UTC).astimezone(timezone(timedelta(minutes=off)))
        + timedelta(seconds=s, microseconds=us)
    ),
    st.integers(0, 150 * 86400),
    st.integers(0, 999_999),
    st.integers(-12 * 60, 14 * 60),
)


def _field(f: Field) -> st.SearchStrategy[Value]:
    low, high = f.low or 0.0, f.high if f.high is not None else 1e6
    if f.step:
        step = f.step
        number = st.integers(round(low / step), round(high / step)).map(lambda k: k * step)
    else:
        number = st.floats(low, high)
    match f.type:
        case "number":
            return number
        case "count":
            return st.integers(int(low), int(high))
        case "word":
            return st.sampled_from(f.words)
        case "list":
            return st.lists(number, min_size=1, max_size=4).map(tuple)
        case _ if f.name == "entry":
            return st.integers(0, 12).map(uid)
        case "date":
            return st.dates(datetime(2026, 1, 1).date(), datetime(2027, 12, 31).date()).map(lambda d: d.isoformat())
        case _ if f.name in ("batch", "piece"):
            return st.from_regex(r"[A-Z0-9]{1,6}(-[A-Z0-9]{1,4})?", fullmatch=True)
        case _ if f.name == "box":
            return st.sampled_from(["deep x10", "medium x8"])
        case _:
            plain = st.characters(codec="utf-8", exclude_categories=["Cs", "Cc", "Zl", "Zp", "Zs"])
            return st.text(plain, min_size=1, max_size=min(20, f.longest))


@st.composite
def values_of(draw: st.DrawFn, kind: Kind) -> dict[str, Value]:
    """Draw values that an entry of this kind may hold, some fields left out."""
    values: dict[str, Value] = {}
    for f in kind.fields:
        if f.required or draw(st.booleans()):
            values[f.name] = draw(_field(f))
    for less, more in (("with_pollen", "bees_in"), ("temp_min", "temp_max"), ("counted_protein", "protein")):
        if less in values and more in values:
            a, b = values[less], values[more]
            assert isinstance(a, int | float)
            assert isinstance(b, int | float)
            values[less], values[more] = min(a, b), max(a, b)
            if less == "temp_min":
                values["temp_min"] = min(float(min(a, b)), 50.0)
    spread = [n for n in ("worth_low", "worth", "worth_high") if n in values]
    values |= dict(zip(spread, sorted(values[n] for n in spread), strict=True))  # type: ignore[type-var]
    capped, open_ = values.get("capped_quarters", 0.0), values.get("open_quarters", 0.0)
    if isinstance(capped, float) and isinstance(open_, float) and capped + open_ > 8:
        values["open_quarters"] = 8 - capped
    if kind.name == "comb side":
        room = 8.0
        for name in COMB_CONTENTS:
            if isinstance(v := values.get(name), float):
                values[name] = min(v, room)
                room -= min(v, room)
    return values


@st.composite
def an_entry(draw: st.DrawFn, number: int, most: int) -> Entry:
    """Draw an entry with id ``number`` that may supersede any of ids 0 to ``most``."""
    kind = KINDS[draw(st.sampled_from(sorted(KINDS)))]
    hive = draw(st.sampled_from([h.id for h in HIVES])) if kind.of == "hive" else None
    if kind.name in HIVE_OR_YARD and draw(st.booleans()):
        hive = None
    target = draw(st.integers(0, most).filter(lambda k: k != number)) if draw(st.booleans()) else None
    if kind.name == "withdraw" and target is None:
        target = most + 1
    return Entry(
        uid(number),
        kind.name,
        draw(st.sampled_from([y.id for y in YARDS])),
        hive,
        draw(times),
        draw(texts),
        draw(texts),
        draw(st.sampled_from(["metric", "us"])),
        draw(values_of(kind)),
        None if target is None else uid(target),
        draw(texts),
        draw(st.none() | times),
    )


@st.composite
def seasons(draw: st.DrawFn, most: int = 8) -> list[Entry]:
    """Draw entries with corrections, withdrawals, rings and targets that never come."""
    n = draw(st.integers(0, most))
    return [draw(an_entry(i, n)) for i in range(n)]
