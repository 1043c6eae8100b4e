"""Commands that write, take back, copy and hand out the books."""

from __future__ import annotations

import json
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from tests.cli.conftest import HIVES, Run
from tideover.records import open_books


def standing(path: Path) -> list[tuple[str, dict[str, object]]]:
    """Kind and values of every entry that stands."""
    with open_books(path) as books:
        return [(entry.kind, dict(entry.values)) for entry in books.entries()]


@pytest.mark.usefixtures("desk")
def test_write_keeps_the_look_in_canonical_units_and_answers(run: Run, books: Path) -> None:
    """US units are converted once; what was not given is missing, not zero."""
    ran = run(
        "write", "look", "--hive", HIVES[1], "--who", "jo", "--at", "2025-07-09T08:30",
        "shade_temp_f=86", "seams=6+2.5", "eggs=yes",
    )  # fmt: skip
    assert ran.code == 0, ran.err
    assert "lay on" in ran.out
    with open_books(books) as opened:
        (entry,) = opened.entries(hive=HIVES[1])
    # 86 degrees Fahrenheit is 30 degrees Celsius (definition of the scale)
    assert entry.values["shade_temp"] == pytest.approx(30.0)
    assert entry.values["seams"] == (6.0, 2.5)
    assert set(entry.values) == {"shade_temp", "seams", "eggs"}
    # Los Angeles keeps UTC-7 in July (tz database)
    assert entry.at.isoformat() == "2025-07-09T08:30:00-07:00"
    assert (entry.who, entry.device) == ("jo", "command line")


@pytest.mark.usefixtures("desk")
def test_write_for_a_yard_and_for_scripts(run: Run, books: Path) -> None:
    """A bloom note is about a yard; --json gives the entry's id and no call."""
    ran = run("write", "bloom note", "--yard", "quarry", "--at", "2025-07-09T08:30", "bloom=few", "--json")
    assert ran.code == 0, ran.err
    found = json.loads(ran.out)
    assert found["call"] is None
    with open_books(books) as opened:
        assert opened.entry(found["entry"]).values == {"bloom": "few"}


@pytest.mark.usefixtures("desk")
def test_write_can_correct_an_entry(run: Run, books: Path) -> None:
    """The corrected entry stays in the books and no longer stands."""
    with open_books(books) as opened:
        wrong = opened.entries(hive=HIVES[0])[-1]
    ran = run("write", "look", "--hive", HIVES[0], "--at", "2025-07-08T09:00", "--corrects", wrong.id, "seams=4")
    assert ran.code == 0, ran.err
    with open_books(books) as opened:
        states = {entry.id: state for entry, state in opened.all_entries(hive=HIVES[0])}
    assert states[wrong.id] == "corrected"


def test_undo_withdraws_the_entry_written_last(run: Run, books: Path) -> None:
    """One step back at a time; nothing is erased; at the end there is nothing left to withdraw."""
    assert [values["seams"] for _, values in standing(books)] == [(8.0,), (6.5,)]
    ran = run("undo", "--yes")
    assert ran.code == 0, ran.err
    assert "Withdrawn: look at quarry-01, 2025-07-08" in ran.out
    assert [values.get("seams") for kind, values in standing(books) if kind == "look"] == [(8.0,)]
    assert run("undo", "--yes", "--hive", HIVES[0]).code == 0
    assert [kind for kind, _ in standing(books) if kind == "look"] == []
    ran = run("undo", "--yes")
    assert ran.code == 2
    assert "no such entry left" in ran.err
    with open_books(books) as opened:
        assert opened.count()["look"] == 2


def test_undo_asks_first(run: Run, books: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without --yes and without an answer nothing changes."""
    monkeypatch.setattr("click.confirm", _refuse)
    ran = run("undo")
    assert ran.code == 130
    assert len(standing(books)) == 2


def _refuse(*_: object, **__: object) -> bool:
    import click

    raise click.Abort


def test_exported_books_brought_into_empty_ones_are_the_same(run: Run, books: Path, tmp_path: Path) -> None:
    """Folder of sheets, and books.json alone, both give back every entry, yard and hive."""
    ran = run("export", tmp_path / "out")
    assert ran.code == 0, ran.err
    written = [Path(row) for row in ran.out.split()]
    assert all(path.exists() for path in written)
    for name, given in (
        ("sheets", [p for p in written if p.suffix == ".csv"]),
        ("json", [p for p in written if p.name == "books.json"]),
        ("folder", [tmp_path / "out"]),
    ):
        fresh = tmp_path / f"{name}.db"
        brought = run("--books", fresh, "bring", *given)
        assert brought.code == 0, brought.err
        assert "2 look" in brought.out
        assert standing(fresh) == standing(books)
        with open_books(fresh) as one, open_books(books) as two:
            assert one.yards() == two.yards()
            assert one.hives() == two.hives()


def test_bringing_twice_adds_nothing(run: Run, tmp_path: Path) -> None:
    """The same file again is counted as already there."""
    run("export", tmp_path / "out")
    fresh = tmp_path / "fresh.db"
    run("--books", fresh, "bring", tmp_path / "out")
    again = run("--books", fresh, "bring", tmp_path / "out")
    assert again.code == 0
    assert "added: nothing" in again.out


def test_backup_is_whole_while_someone_writes(run: Run, books: Path, tmp_path: Path) -> None:
    """The copy holds what was committed, none of what was not, and opens by itself."""
    copy = tmp_path / "copies" / "books-copy.db"
    with closing(sqlite3.connect(books, isolation_level=None)) as writer:
        writer.execute("BEGIN IMMEDIATE")
        writer.execute("DELETE FROM settings")
        ran = run("backup", copy)
        writer.execute("ROLLBACK")
    assert ran.code == 0, ran.err
    assert "checked" in ran.out
    assert [p.name for p in copy.parent.iterdir()] == [copy.name]
    assert standing(copy) == standing(books)
    assert run("backup", copy).code == 2
    assert run("backup", copy, "--force").code == 0
    assert run("backup", books, "--force").code == 2
    assert len(standing(books)) == 2


@pytest.mark.usefixtures("desk")
def test_books_restored_from_a_backup_answer(run: Run, books: Path, tmp_path: Path) -> None:
    """A backup put in the place of lost books gives the same calls."""
    before = run("calls", "--json").out
    copy = tmp_path / "copy.db"
    run("backup", copy)
    for path in tmp_path.glob("books.db*"):
        path.unlink()
    copy.rename(books)
    assert run("calls", "--json").out == before


def test_settings_are_checked_kept_and_shown_with_their_source(run: Run) -> None:
    """A changed threshold is the keeper's; an unchanged one names its source."""
    assert run("settings", "--set", "visit_days=10", "--set", "units=us").code == 0
    found = json.loads(run("settings", "--json").out)
    assert (found["visit_days"], found["units"]) == (10, "us")
    rows = {row.split()[0]: row for row in run("settings").out.splitlines() if row}
    assert "yours" in rows["visit_days"]
    assert "Meikle & Patt 2011" in rows["pull_by_days"]


@pytest.mark.parametrize("wrong", ["visit_days=soon", "visit_days=9999", "today=soon"])
def test_wrong_setting_changes_nothing(run: Run, wrong: str) -> None:
    """A good change beside a bad one is not made either."""
    ran = run("settings", "--set", "margin=0.05", "--set", wrong)
    assert ran.code == 2
    assert json.loads(run("settings", "--json").out)["margin"] == 0.02


def test_books_are_found_by_option_then_environment_then_custom(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """--books beats TIDEOVER_BOOKS beats the folder of the system; --demo is the invented season."""
    from click.testing import CliRunner

    from tideover.cli.main import cli
    from tideover.cli.session import Session, home_books

    seen: list[str] = []

    def books_of(words: list[str], env: dict[str, str | None]) -> str:
        CliRunner().invoke(cli, [*words, "schema"], env=env, catch_exceptions=False)
        return seen[-1]

    def remember(self: Session, books: str, debug: bool = False, processes: int | None = None) -> None:
        object.__setattr__(self, "books", books)
        object.__setattr__(self, "debug", debug)
        seen.append(books)

    monkeypatch.setattr(Session, "__init__", remember)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setattr("sys.platform", "linux")
    assert books_of(["--books", "a.db"], {"TIDEOVER_BOOKS": "b.db"}) == "a.db"
    assert books_of([], {"TIDEOVER_BOOKS": "b.db"}) == "b.db"
    assert books_of([], {"TIDEOVER_BOOKS": None}) == str(tmp_path / "tideover" / "books.db") == str(home_books())
    assert books_of(["--demo"], {"TIDEOVER_BOOKS": "b.db"}) == str(Path(".tideover/demo/books.db"))
