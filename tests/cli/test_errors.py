"""What goes wrong is said in one sentence, with exit code 2, and never as a traceback."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import HIVES, Run
from tideover.cli.errors import is_expected, one_line, sentence
from tideover.records import UnknownNameError, open_books


def one_sentence(err: str) -> bool:
    """One line on stderr that begins with the program's name."""
    return err.startswith("tideover: ") and err.count("\n") == 1 and "Traceback" not in err


@pytest.mark.parametrize(
    "words",
    [
        ("call",),
        ("calls", "--colour"),
        ("calls", "--day", "14.7.2031"),
        ("bring",),
        ("bring", "no-such-file.csv"),
        ("export",),
        ("round", "--paper", "a3"),
        ("schema", "nothing"),
        ("settings", "--set", "units"),
        ("settings", "--set", "units=stone"),
        ("settings", "--set", "visit_dayz=3"),
        ("figures", "no.such.figure"),
        ("write", "sonnet"),
        ("write", "look"),
        ("write", "look", "--hive", "nowhere-1"),
        ("write", "look", "--hive", HIVES[0], "seams"),
        ("write", "look", "--hive", HIVES[0], "--at", "yesterday", "eggs=yes"),
        ("write", "bloom note", "bloom=some"),
        ("undo", "--entry", "ffffffff", "--yes"),
        ("--books", "there-is-nothing-here.db", "calls"),
        ("--books", "there-is-nothing-here.db", "export", "out"),
        ("--books", "there-is-nothing-here.db", "serve"),
        ("--books", "there-is-nothing-here.db", "backup", "x.db"),
    ],
)
@pytest.mark.usefixtures("desk")
def test_what_cannot_be_done_is_one_sentence(
    run: Run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, words: tuple[str, ...]
) -> None:
    """Mistyped words, unknown names and missing files."""
    monkeypatch.chdir(tmp_path)
    ran = run(*words)
    assert ran.code == 2, ran
    assert one_sentence(ran.err), ran.err
    assert ran.out == ""
    assert not (tmp_path / "there-is-nothing-here.db").exists()


@pytest.mark.usefixtures("desk")
def test_wrong_field_is_named_with_its_remedy(run: Run, books: Path) -> None:
    """Every wrong field is listed, and nothing is written."""
    with open_books(books) as opened:
        before = opened.version()
    ran = run("write", "look", "--hive", HIVES[0], "seams=99", "eggs=perhaps", "shade_temp_c=31")
    assert ran.code == 2
    assert "Traceback" not in ran.err
    assert "seams" in ran.err
    assert "eggs" in ran.err
    with open_books(books) as opened:
        assert opened.version() == before


def test_bad_file_lists_every_bad_row_and_changes_nothing(run: Run, books: Path, tmp_path: Path) -> None:
    """Line, column and value of each problem; the books stay as they were."""
    sheet = tmp_path / "looks.csv"
    sheet.write_text(
        "hive,at,seams,capped_quarters,eggs\n"
        f"{HIVES[0]},2025-07-09T09:00,8,3,yes\n"
        f"{HIVES[0]},2025-07-10T09:00,8,14,yes\n"
        "nowhere-9,2025-07-10T09:00,8,3,perhaps\n",
        encoding="utf-8",
    )
    with open_books(books) as opened:
        before = opened.version()
    ran = run("bring", sheet)
    assert ran.code == 2
    assert ran.out == ""
    lines = ran.err.splitlines()
    assert lines[0].startswith("tideover: nothing was brought: ")
    assert all(row.startswith("  looks.csv, line ") for row in lines[1:])
    assert any("line 3" in row and "capped_quarters" in row and "14" in row for row in lines)
    assert any("line 4" in row and "nowhere-9" in row for row in lines)
    assert any("line 4" in row and "perhaps" in row for row in lines)
    with open_books(books) as opened:
        assert opened.version() == before


def test_debug_shows_where(run: Run) -> None:
    """--debug adds the traceback for whoever repairs the program."""
    ran = run("--debug", "figures", "no.such.figure")
    assert ran.code == 2
    assert "Traceback" in ran.err
    assert ran.err.rstrip().splitlines()[-1].startswith("tideover: ")


def test_fault_of_the_program_is_owned_up_to(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """An error nobody foresaw has exit code 1 and says so, again in one line."""

    def broken(*_: object, **__: object) -> object:
        raise ZeroDivisionError("division by zero")

    monkeypatch.setattr("tideover.desk.open_desk", broken, raising=False)
    ran = run("calls")
    assert ran.code == 1
    assert one_sentence(ran.err)
    assert "fault in Tideover" in ran.err


def test_error_from_deep_inside_a_library_is_a_fault() -> None:
    """A ValueError is the person's only when our own code raised it."""
    with pytest.raises(ValueError, match="invalid literal") as deep:
        exec(compile("int('x')", "elsewhere", "exec"), {"__name__": "elsewhere"})
    assert not is_expected(deep.value)
    assert is_expected(UnknownNameError("hive 'x' is not in the books"))
    assert is_expected(FileNotFoundError(2, "No such file or directory", "x"))
    assert not is_expected(ZeroDivisionError())


def test_sentence_has_no_decoration() -> None:
    """A KeyError loses its quotes, an OSError its number, every text its line ends."""
    assert sentence(KeyError("no figure 'a'")) == "no figure 'a'"
    assert sentence(FileNotFoundError(2, "No such file or directory", "x.csv")) == (
        "cannot use x.csv: no such file or directory"
    )
    assert one_line("a\n  b\tc ") == "a b c"


def test_reader_that_leaves_is_no_error(books: Path) -> None:
    """`tideover figures | head -1` ends quietly."""
    script = f"{sys.executable} -m tideover.cli figures | head -1"
    ran = subprocess.run(
        ["bash", "-o", "pipefail", "-c", script], capture_output=True, text=True, env=dict(os.environ), check=False
    )
    assert ran.returncode == 0
    assert ran.stderr == ""
    assert ran.stdout.startswith("key")


def test_serve_says_how_to_begin_without_books(run: Run, tmp_path: Path) -> None:
    """No books: one sentence with the ways to begin, on the pages among them; nothing is made."""
    nowhere = tmp_path / "none.db"
    ran = run("--books", nowhere, "serve")
    assert ran.code == 2
    assert "serve --new" in ran.err
    assert not nowhere.exists()
