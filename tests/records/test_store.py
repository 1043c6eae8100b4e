"""The store: what is written is kept, nothing twice, nothing changed, from any thread."""

from __future__ import annotations

import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import event, text
from sqlalchemy.exc import DatabaseError

from tests.records.making import HIVES, NOW, YARDS, contents, entry, fill, fresh, uid
from tideover.records import (
    Books,
    DifferentContentError,
    Entry,
    Hive,
    RecordsError,
    UnknownNameError,
    ValuesError,
    Yard,
    new_entry,
    open_books,
)
from tideover.records.entries import Box, parse_boxes


@pytest.fixture
def books(tmp_path: Path) -> Books:
    """Books in a file with the made-up places."""
    return fill(open_books(tmp_path / "books.db"))


def test_open_sets_wal_foreign_keys_and_full_sync_on_every_connection(books: Books) -> None:
    """Each of several connections held at once has journal WAL, foreign keys on, synchronous FULL (2)."""
    with books.reading() as a, books.reading() as b, books.reading() as c:
        for connection in (a, b, c):
            found = [
                connection.execute(text(f"PRAGMA {p}")).scalar()
                for p in ("journal_mode", "foreign_keys", "synchronous")
            ]
            assert found == ["wal", 1, 2]


def test_open_again_keeps_everything(tmp_path: Path) -> None:
    """Closing and opening again changes nothing."""
    with fill(open_books(tmp_path / "b.db")) as first:
        first.add([entry(0, values={"seams": (8.0, 4.5)})])
        first.put_settings({"margin": 0.02, "name": "é", "list": [1, None]})
        before = contents(first)
    with open_books(tmp_path / "b.db", create=False) as again:
        assert contents(again) == before


@pytest.mark.parametrize("what", ["missing", "folder", "text", "other"])
def test_open_refuses_what_is_no_book(tmp_path: Path, what: str) -> None:
    """A missing file, a folder, a text file and a foreign database are refused in one sentence and left alone."""
    import sqlite3

    path = tmp_path / "x.db"
    if what == "folder":
        path.mkdir()
    elif what == "text":
        path.write_text("hive,at\n" * 200)
    elif what == "other":
        with sqlite3.connect(path) as c:
            c.execute("CREATE TABLE mine (x)")
    with pytest.raises(RecordsError, match="; ") as e:
        open_books(path, create=False)
    assert "\n" not in str(e.value)
    if what == "text":
        assert path.read_text() == "hive,at\n" * 200


def test_add_twice_is_once(books: Books) -> None:
    """The same entry again is passed over, and the version does not move."""
    e = entry(0, values={"eggs": "yes"})
    assert books.add([e, e]) == 1
    version = books.version()
    assert books.add([e]) == 0
    assert (books.version(), books.entries()) == (version, [e])


@pytest.mark.parametrize(
    "change",
    [{"who": "B."}, {"values": {"eggs": "no"}}, {"at": entry().at.astimezone(YARDS[0].zone)}, {"recorded_at": NOW}],
)
def test_add_same_id_with_other_content_is_refused(books: Books, change: dict[str, object]) -> None:
    """An id that is there with other content is an error that says so, and nothing of that call is kept."""
    books.add([entry(0, values={"eggs": "yes"})])
    before = contents(books)
    with pytest.raises(DifferentContentError, match=r"already in the books with other content.*write a correction"):
        books.add([entry(1), entry(0, **({"values": {"eggs": "yes"}} | change))])  # type: ignore[arg-type]
    assert contents(books) == before


def test_entries_can_neither_be_changed_nor_deleted(books: Books) -> None:
    """The database itself refuses to change or delete an entry."""
    books.add([entry(0)])
    for sql in ("UPDATE entries SET note = 'x'", "DELETE FROM entries"):
        with books.writing() as w, pytest.raises(DatabaseError, match="append-only"):
            w.connection.execute(text(sql))
    assert books.entries() == [entry(0)]


def test_add_unknown_places_and_impossible_values(books: Books) -> None:
    """Unknown hive and yard, wrong kind, impossible values and times are refused; all or nothing."""
    wrong: list[tuple[Entry, type[Exception], str]] = [
        (entry(1, hive="quary-01"), UnknownNameError, "perhaps 'quarry-01'"),
        (entry(1, yard="quary"), UnknownNameError, "perhaps 'quarry'"),
        (entry(1, hive=None), RecordsError, "names none"),
        (entry(1, "weather day", {"temp_max": 30.0, "temp_min": 10.0}, hive="quarry-01"), RecordsError, "about a yard"),
        (entry(1, "withdraw"), RecordsError, "takes out"),
        (entry(1, values={"capped_quarters": 14.0}), ValuesError, "0 to 8"),
        (entry(1, values={"mood": "fine"}), ValuesError, "not a field of a look"),
        (entry(1, "mite wash"), ValuesError, "mites is missing"),
        (entry(1, at=datetime(206, 7, 1, tzinfo=UTC)), RecordsError, "correct the year"),
        (entry(1, at=NOW + timedelta(days=2)), RecordsError, "in the future"),
    ]
    for e, kind, match in wrong:
        with pytest.raises(kind, match=match):
            books.add([entry(0), e], now=NOW)
    assert books.entries() == []
    assert books.add([entry(1, at=NOW + timedelta(hours=23))], now=NOW) == 1


def test_values_come_back_in_their_types(books: Books) -> None:
    """Whole numbers given for measured fields come back as floats, counts as whole numbers, lists as tuples."""
    books.add([entry(0, values={"shade_temp": 30, "jelly_dry": 3, "seams": [8, 4.5]})])  # type: ignore[dict-item]
    values = books.entry(uid(0)).values
    assert values == {"shade_temp": 30.0, "jelly_dry": 3, "seams": (8.0, 4.5)}
    assert [type(values[k]) for k in ("shade_temp", "jelly_dry", "seams")] == [float, int, tuple]


def test_entries_filters(books: Books) -> None:
    """Kind, hive, yard and time filters give exactly what they name; since is included, until not."""
    a, b = entry(0), entry(1, at=entry().at + timedelta(days=1), hive="quarry-02")
    c = entry(2, "weather day", {"temp_max": 30.0, "temp_min": 10.0}, at=entry().at + timedelta(days=2))
    d = entry(3, yard="mill-race", hive="mill-01", at=entry().at - timedelta(days=1))
    books.add([a, b, c, d])
    assert books.entries() == [d, a, b, c]
    assert books.entries(kind="look") == [d, a, b]
    assert books.entries(hive="quarry-02") == [b]
    assert books.entries(yard="quarry") == [a, b, c]
    assert books.entries(yard="quarry", hive="") == [c]
    assert books.entries(since=a.at, until=b.at) == [a]
    assert books.last_at() == c.at
    assert books.count() == {"look": 3, "weather day": 1}
    with pytest.raises(RecordsError, match="no time zone"):
        books.entries(since=datetime(2026, 7, 1))


def test_all_entries_say_their_state(books: Books) -> None:
    """Corrected and withdrawn entries stay readable with their state."""
    books.add([entry(0), entry(1, supersedes=uid(0)), entry(2, hive="quarry-02")])
    books.add([entry(3, "withdraw", supersedes=uid(2))])
    assert [s for _, s in books.all_entries(kind="look")] == ["corrected", "stands", "withdrawn"]
    assert books.entries(kind="look") == [entry(1, supersedes=uid(0))]
    assert books.entry_and_state(uid(2))[1] == "withdrawn"
    with pytest.raises(UnknownNameError, match="not in the books"):
        books.entry(uid(9))


def test_correction_that_moves_an_entry_to_another_hive(books: Books) -> None:
    """An entry written to the wrong hive leaves it when the correction names the right one."""
    books.add([entry(0), entry(1, hive="quarry-02", supersedes=uid(0))])
    assert books.entries(hive="quarry-01") == []
    assert [e.id for e in books.entries(hive="quarry-02")] == [uid(1)]


def test_version_rises_with_every_change_only(books: Books) -> None:
    """The version moves with each change and stays with each write that changes nothing."""
    seen = [books.version()]

    def after(act: object) -> int:
        act()  # type: ignore[operator]
        seen.append(books.version())
        return seen[-1] - seen[-2]

    assert after(lambda: books.add([entry(0)])) == 1
    assert after(lambda: books.add([entry(0)])) == 0
    assert after(lambda: books.put_settings({"margin": 0.02})) == 1
    assert after(lambda: books.put_settings({"margin": 0.02})) == 0
    assert after(lambda: books.put_hive(HIVES[0])) == 0
    assert after(lambda: books.put_hive(Hive("quarry-01", "mill-race"))) == 1
    assert after(lambda: books.put_yard(YARDS[0])) == 0


def test_put_replaces_and_names_near_ones(books: Books) -> None:
    """A yard or hive put again replaces the old one; asking for an unknown one names near ones."""
    books.put_hive(Hive("quarry-01", "mill-race", "One", (Box(1), Box(2, "medium", 9))))
    assert books.hive("quarry-01").boxes == (Box(1, "deep", 10), Box(2, "medium", 9))
    assert [h.id for h in books.hives("mill-race")] == ["mill-01", "quarry-01"]
    with pytest.raises(UnknownNameError, match="perhaps 'mill-race'"):
        books.yard("mil-race")
    with pytest.raises(UnknownNameError, match="perhaps"):
        books.hive("quarry-1")
    with pytest.raises(UnknownNameError, match="not in the books"):
        books.put_hive(Hive("x", "nowhere"))


@pytest.mark.parametrize("query", ["one hive", "confirmations of one hive", "one kind at one yard"])
def test_reading_one_hive_reads_no_other(books: Books, query: str) -> None:
    """The database answers for one hive by index alone: no step of its plan scans the entries."""
    plans: list[str] = []

    def explain(c: object, _cursor: object, sql: str, parameters: object, _context: object, _many: bool) -> None:
        if sql.startswith("SELECT") and "entries" in sql:
            raw = c.connection.driver_connection  # type: ignore[attr-defined]
            plans.extend(str(r[3]) for r in raw.execute("EXPLAIN QUERY PLAN " + sql, parameters))

    event.listen(books.engine, "before_cursor_execute", explain)
    match query:
        case "one hive":
            books.entries(hive="quarry-01")
        case "confirmations of one hive":
            books.confirmed(hive="quarry-01")
        case _:
            books.entries(yard="quarry", kind="weather day")
    assert plans
    assert not [p for p in plans if p.startswith("SCAN")], plans
    assert any("USING INDEX entries_by_" in p for p in plans), plans


def test_threads_write_and_read_at_once(books: Books) -> None:
    """Eight threads writing their own and shared entries while others read lose nothing and count nothing twice."""
    errors: list[BaseException] = []

    def work(k: int) -> None:
        try:
            for i in range(10):
                books.add([entry(1000 + k * 100 + i), entry(i)])
                assert len(books.entries(hive="quarry-01")) >= i
        except BaseException as e:
            errors.append(e)

    threads = [threading.Thread(target=work, args=(k,)) for k in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert errors == []
    assert len(books.entries()) == 8 * 10 + 10


def test_threads_share_books_in_memory() -> None:
    """Books in memory serve several threads one at a time."""
    books = fresh()
    threads = [threading.Thread(target=lambda k=k: books.add([entry(k)])) for k in range(8)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert len(books.entries()) == 8


def test_two_openers_write_to_one_file(tmp_path: Path) -> None:
    """Two openings of one file (two processes, say) see each other's entries."""
    with fill(open_books(tmp_path / "b.db")) as one, open_books(tmp_path / "b.db") as two:
        one.add([entry(0)])
        two.add([entry(1, supersedes=uid(0))])
        assert [s for _, s in one.all_entries()] == ["corrected", "stands"]
        assert one.version() == two.version()


def test_failure_inside_a_write_keeps_nothing(books: Books) -> None:
    """An error half-way through a write leaves the books as they were."""
    before = contents(books), books.version()

    def half_way() -> None:
        with books.writing() as w:
            w.put_hive(Hive("new", "quarry"))
            raise RuntimeError("power cut")

    with pytest.raises(RuntimeError, match="power cut"):
        half_way()
    assert (contents(books), books.version()) == before


def test_entries_and_places_check_themselves() -> None:
    """Times without zone, ids that are none, odd names and places off the globe are refused where they are made."""
    with pytest.raises(RecordsError, match="no time zone"):
        entry(0, at=datetime(2026, 7, 1))
    with pytest.raises(RecordsError, match="not an entry id"):
        entry(0, supersedes="that one")
    with pytest.raises(RecordsError, match="supersedes itself"):
        entry(0, supersedes=uid(0))
    with pytest.raises(RecordsError, match="control character"):
        entry(0, note="a\x07b")
    with pytest.raises(RecordsError, match="wanted 'metric' or 'us'"):
        entry(0, units="imperial")
    with pytest.raises(RecordsError, match="latitude"):
        Yard("a", "A", 91, 0)
    with pytest.raises(RecordsError, match="time zone"):
        Yard("a", "A", 1, 0, "Nowhere/Town")
    with pytest.raises(RecordsError, match="beetles"):
        Yard("a", "A", 1, 0, beetles="maybe")
    with pytest.raises(RecordsError, match="short label"):
        Hive("a,b", "quarry")
    with pytest.raises(RecordsError, match="wanted 1 to 40"):
        Box(1, "deep", 0)


def test_boxes_are_read_bottom_first() -> None:
    """Boxes are written bottom first; the number of frames may be left out."""
    assert parse_boxes("deep x10 + Medium x 9+shallow") == (
        Box(1, "deep", 10),
        Box(2, "medium", 9),
        Box(3, "shallow", 10),
    )
    with pytest.raises(RecordsError, match="not a box"):
        parse_boxes("deep x10 +")
    with pytest.raises(RecordsError, match="not a frame type"):
        parse_boxes("deap x10", ("deep", "medium"))


def test_new_entry_has_its_own_id_and_written_time() -> None:
    """Entries made at the same moment have different ids and carry the time they were written."""
    a, b = (new_entry("look", "quarry", "quarry-01", entry().at, {}, NOW) for _ in range(2))
    assert a.id != b.id
    assert a.written_at == NOW
    assert entry().written_at == entry().at
