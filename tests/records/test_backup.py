"""Backup while the books are open, and the way back."""

from __future__ import annotations

import threading
from pathlib import Path

import pytest

from tests.records.making import contents, entry, fill, fresh
from tideover.records import RecordsError, backup, open_books, restore


def test_backup_and_restore_give_equal_books(tmp_path: Path) -> None:
    """A backup is one file that restores to equal books, and opening the copy does not disturb the original."""
    with fill(open_books(tmp_path / "b.db")) as books:
        books.add([entry(0)])
        copy = backup(books, tmp_path / "deep" / "copy.db")
        assert [p.name for p in copy.parent.iterdir()] == ["copy.db"]
        saved = copy.read_bytes()
        before = contents(books)
        books.add([entry(1)])
    with open_books(restore(copy, tmp_path / "back.db"), create=False) as back:
        assert contents(back) == before
        assert back.add([entry(1)]) == 1
    assert copy.read_bytes() == saved


def test_backup_while_others_write_is_consistent(tmp_path: Path) -> None:
    """Backups taken while another thread writes pairs of entries never hold half a pair."""
    with fill(open_books(tmp_path / "b.db")) as books:
        stop = threading.Event()

        def write() -> None:
            n = 0
            while not stop.is_set():
                books.add([entry(n), entry(n + 1)])
                n += 2

        writer = threading.Thread(target=write)
        writer.start()
        try:
            copies = [backup(books, tmp_path / f"c{i}.db") for i in range(4)]
        finally:
            stop.set()
            writer.join()
    for copy in copies:
        with open_books(copy, create=False) as c:
            assert len(c.entries()) % 2 == 0
            assert {s for _, s in c.all_entries()} <= {"stands"}


def test_backup_of_books_in_memory(tmp_path: Path) -> None:
    """Books in memory can be kept in a file this way."""
    with fresh() as books:
        books.add([entry(0)])
        with open_books(backup(books, tmp_path / "m.db"), create=False) as kept:
            assert contents(kept) == contents(books)


def test_backup_and_restore_never_overwrite(tmp_path: Path) -> None:
    """A name that is taken, a missing or a foreign file are refused, and nothing is touched."""
    taken = tmp_path / "taken.db"
    taken.write_text("mine")
    with fresh() as books:
        with pytest.raises(RecordsError, match="there already"):
            backup(books, taken)
        copy = backup(books, tmp_path / "copy.db")
    with pytest.raises(RecordsError, match="there already"):
        restore(copy, taken)
    with pytest.raises(RecordsError, match="no backup at"):
        restore(tmp_path / "none.db", tmp_path / "x.db")
    with pytest.raises(RecordsError, match="not a backup of books"):
        restore(taken, tmp_path / "x.db")
    cut = tmp_path / "cut.db"
    cut.write_bytes(copy.read_bytes()[:5000])
    with pytest.raises(RecordsError, match=r"damaged|not a backup"):
        restore(cut, tmp_path / "x.db")
    assert taken.read_text() == "mine"
    assert not (tmp_path / "x.db").exists()
