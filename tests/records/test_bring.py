"""Bringing files: all or nothing, every bad row named, nothing misread."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.records.making import NOW, contents, fresh, uid
from tideover.records import Books, BringError, BringReport, Problem, bring, case, open_books

YARDS = "id,name,latitude,longitude,timezone,elevation_ft,beetles\n"
YARDS += "quarry,Quarry,36.75,-119.8,America/Los_Angeles,460,present\n"
HIVES = "id,yard,boxes\nquarry-01,quarry,deep x10 + medium x10\nquarry-02,quarry,\n"
LOOKS = "hive,at,shade_temp_f,seams,eggs\nquarry-01,2026-07-14T08:30,86,8+4.5,yes\n"
LOOKS += "quarry-02,2026-07-14 09:00,,6,not looked\n"


@pytest.fixture
def books() -> Books:
    """Books in memory with made-up places."""
    return fresh()


def write(folder: Path, files: Mapping[str, str | bytes]) -> list[Path]:
    """Write files and return their paths."""
    folder.mkdir(exist_ok=True)
    for name, content in files.items():
        (folder / name).write_bytes(content if isinstance(content, bytes) else content.encode())
    return [folder / name for name in files]


def bring_text(books: Books, folder: Path, **files: str | bytes) -> BringReport:
    """Bring CSV sheets given as text by sheet name."""
    return bring(books, write(folder, {f"{n}.csv": t for n, t in files.items()}), now=NOW)


def problems(books: Books, folder: Path, **files: str | bytes) -> list[Problem]:
    """Bring files that are wrong; check that the books stay as they were, and return what was wrong."""
    before = contents(books), books.version()
    with pytest.raises(BringError) as e:
        bring_text(books, folder, **files)
    assert (contents(books), books.version()) == before
    for p in e.value.problems:
        assert p.what, p
        assert p.remedy, p
        assert "\n" not in str(p)
    return e.value.problems


def test_bring_sheets_in_any_order_of_files(tmp_path: Path) -> None:
    """Yards, hives and looks come in whatever the order of the files, with units, zone and words read."""
    for names in (("looks", "hives", "yards"), ("yards", "hives", "looks")):
        books = fresh(filled=False)
        texts = {"yards": YARDS, "hives": HIVES, "looks": LOOKS}
        report = bring_text(books, tmp_path, **{n: texts[n] for n in names})
        assert report.added == {"yards": 1, "hives": 2, "look": 2}
        assert str(report).splitlines()[0] == "added: 2 hives, 2 looks, 1 yard"
        first = books.entries()[0]
        assert first.at == datetime(2026, 7, 14, 15, 30, tzinfo=UTC)  # 08:30 in summer there is UTC-7
        assert first.at.utcoffset() is not None
        assert first.values == {"shade_temp": pytest.approx(30.0), "seams": (8.0, 4.5), "eggs": "yes"}  # 86 F is 30 C
        assert first.units == "us"
        assert books.entries()[1].values == {"seams": (6.0,), "eggs": "not looked"}
        assert books.yard("quarry").elevation_m == pytest.approx(140.208)  # 460 ft of 0.3048 m


def test_bring_twice_changes_nothing(books: Books, tmp_path: Path) -> None:
    """The same files again add nothing; rows without ids are known again by what they say."""
    bring_text(books, tmp_path, looks=LOOKS)
    before = contents(books), books.version()
    report = bring_text(books, tmp_path, looks=LOOKS)
    assert (report.total_added, report.there) == (0, {"look": 2})
    assert (contents(books), books.version()) == before


def test_bring_again_after_the_hive_moved(books: Books, tmp_path: Path) -> None:
    """A row known by what it says stays the same row when its hive has moved to another yard since."""
    bring_text(books, tmp_path, looks=LOOKS)
    bring_text(books, tmp_path, hives="id,yard\nquarry-01,mill-race\n")
    report = bring_text(books, tmp_path, looks=LOOKS)
    assert report.added == {}
    assert len(books.entries()) == 2


def test_bring_a_file_with_a_kind_column(books: Books, tmp_path: Path) -> None:
    """A file of any name works when a column says the kind, of several kinds mixed."""
    text = "kind,hive,yard,at,seams,weight_lb,bloom\nlook,quarry-01,,2026-07-14T08:30,8,,\n"
    text += "laid on,quarry-01,,2026-07-14T08:35,,0.5,\nbloom_notes,,quarry,2026-07-14,,,few\n"
    report = bring_text(books, tmp_path, from_the_notebook=text)
    assert report.added == {"look": 1, "laid on": 1, "bloom note": 1}
    assert books.entries(kind="laid on")[0].values["weight"] == 0.5 * 453.59237


def test_bring_accepts_byte_order_mark_quotes_crlf_and_blank_lines(books: Books, tmp_path: Path) -> None:
    """Files as spreadsheets save them: mark at the start, CRLF, line breaks in quotes, blank lines, spare commas."""
    text = '\ufeffHive,At,Note,\r\n\r\nquarry-01,2026-07-14T08:30,"two lines,\r\nand a ""quote""",\r\n,,,\r\n'
    bring_text(books, tmp_path, looks=text)
    assert books.entries()[0].note == 'two lines,\nand a "quote"'


def test_bring_empty_is_missing_never_zero(books: Books, tmp_path: Path) -> None:
    """Empty cells leave no value behind."""
    bring_text(books, tmp_path, looks="hive,at,seams,patty_left,eggs,jelly_dry\nquarry-01,2026-07-14T08:30,, ,,\n")
    assert books.entries()[0].values == {}


def test_bring_corrections_withdrawals_and_confirmations(books: Books, tmp_path: Path) -> None:
    """Corrections, withdrawals and confirmations find their entries, in the same files or in the books."""
    look = f"id,hive,at,seams\n{uid(0)},quarry-01,2026-07-14T08:30,2\n{uid(1)},quarry-02,2026-07-14T08:30,9\n"
    bring_text(books, tmp_path, looks=look)
    report = bring_text(
        books,
        tmp_path,
        withdrawals=f"supersedes,at\n{uid(1)},2026-07-15T19:00\n",
        confirmations=f"entry,at\n{uid(2)},2026-07-15T19:00\n",
        looks=f"id,hive,at,seams,supersedes\n{uid(2)},quarry-01,2026-07-14T08:30,11,{uid(0)}\n",
    )
    assert report.added == {"look": 1, "withdraw": 1, "confirm": 1}
    assert [(e.id, s) for e, s in books.all_entries(kind="look")] == [
        (uid(0), "corrected"),
        (uid(1), "withdrawn"),
        (uid(2), "stands"),
    ]
    assert [(s.id, s.confirmed) for s in case(books, "quarry-01").seen] == [(uid(2), True)]
    assert books.entries(kind="withdraw")[0].hive == "quarry-02"


def test_bring_withdrawal_of_a_withdrawal_without_hive(books: Books, tmp_path: Path) -> None:
    """Withdrawals about one another in one file find the hive through one another, in any order of rows."""
    bring_text(books, tmp_path, looks=f"id,hive,at\n{uid(0)},quarry-01,2026-07-14T08:30\n")
    text = f"id,supersedes,at\n{uid(2)},{uid(1)},2026-07-16T19:00\n{uid(1)},{uid(0)},2026-07-15T19:00\n"
    assert bring_text(books, tmp_path, withdrawals=text).added == {"withdraw": 2}
    assert [(e.id, e.hive, s) for e, s in books.all_entries()] == [
        (uid(0), "quarry-01", "stands"),
        (uid(1), "quarry-01", "corrected"),
        (uid(2), "quarry-01", "stands"),
    ]


def test_bring_warnings(books: Books, tmp_path: Path) -> None:
    """What is odd but possible is brought with a warning."""
    report = bring_text(
        books,
        tmp_path,
        takings_off="hive,at,patty_left\nquarry-01,2026-07-20T09:00,1\n",
        looks="hive,at,seams\nquarry-01,2026-07-14,3\nquarry-01,2026-07-14,3\n",
        bloom_notes="yard,at,bloom\nquarry,2026-07-14,few\n",
        mite_washes=f"hive,at,mites,supersedes\nquarry-01,2025-11-02T01:30,3,{uid(40)}\n",
        hives="id,yard,name\nquarry-02,quarry,Two\n",
    )
    said = "\n".join(report.warnings)
    for wanted in (
        "taken off and none was laid on before",
        "looks.csv: 2 rows (lines 2, 3) say a date without an hour; 12:00 is taken",
        "looks.csv: line 3 says the same as an earlier row",
        "the clocks showed 01:30 twice that day",  # daylight saving ended there on 2 November 2025
        f"entry {uid(40)} is corrected, withdrawn or confirmed, and is not in the books",
        "hive quarry-02 was in the books and is replaced",
    ):
        assert wanted in said
    assert "bloom_notes" not in said
    assert len(report.warnings) == 6


LOOK_CASES = [
    # column, cell, words of the sentence, words of the remedy
    ("capped_quarters", "-1", "negative", "leave it empty"),
    ("capped_quarters", "14", "above what is possible.*0 to 8", "correct the number"),
    ("capped_quarters", "14/8", "fraction", "decimal number with a point.*0 to 8"),
    ("capped_quarters", "2.3", "finer than", "write 2 or 2.5"),
    ("shade_temp_c", "95", "above what is possible", "if this is Fahrenheit.*shade_temp_f"),
    ("shade_temp_c", "31,5", "decimal comma", "31.5"),
    ("shade_temp_c", "31 C", "unit as well", "write 31 alone"),
    ("shade_temp_c", "−3", "dash", "write -3"),
    ("shade_temp_c", "nan", "not a number", "leave the cell empty"),
    ("shade_temp_c", "-inf", "not a number", "leave the cell empty"),
    ("shade_temp_c", "1e999", "too large", "correct it"),
    ("shade_temp_c", "warm", "not a number", "leave the cell empty"),
    ("shade_temp_c", "٣١", "not a number", "leave the cell empty"),
    ("jelly_dry", "2.5", "fraction of a count", "whole number"),
    ("jelly_dry", "1,200", "ambiguous", "write 1200.*1.200"),
    ("jelly_dry", "1_2", "not a number", "whole number|number such as"),
    ("seams", "8++4", "box is missing", "8[+]4.5"),
    ("seams", "8+13", "above what is possible", "correct"),
    ("heft", "heavvy", "not a word for heft", "perhaps 'heavy'"),
    ("eggs", "0", "not a word for eggs", "yes, no, not looked"),
    ("at", "2026-02-30", "no 30 February 2026", "correct the date"),
    ("at", "2026-13-01", "no month 13", "year-month-day"),
    ("at", "07/14/2026", "not a date and time", "2026-07-14T08:30"),
    ("at", "14.7.2026", "not a date and time", "year-month-day"),
    ("at", "2026-07-14T25:00", "no time 25:00", "00:00 to 23:59"),
    ("at", "2026-07-14T08:30+99:00", "not a distance from UTC", "[+]10:00"),
    ("at", "2026-03-08T02:30", "clocks skipped 02:30", "correct the hour"),  # daylight saving began there that day
    ("at", "2026-09-03T08:30", "in the future", "correct the date"),
    ("at", "1206-07-14", "before 1900", "correct the year"),
    ("hive", "quary-01", "'quary-01' is not in the books", "perhaps 'quarry-01'"),
    ("yard", "quary", "'quary' is not in the books", "perhaps 'quarry'"),
    ("id", "row-1", "not an entry id", "leave it empty"),
    ("supersedes", "row-1", "not an entry id", "copy the id"),
    ("units", "imperial", "not a word for units", "metric, us"),
]


@pytest.mark.parametrize(("column", "value", "what", "remedy"), LOOK_CASES)
def test_bring_bad_cell(books: Books, tmp_path: Path, column: str, value: str, what: str, remedy: str) -> None:
    """A bad cell gives one problem with file, line, column, value, what is wrong and the remedy."""
    import re

    cells = {"hive": "quarry-01", "at": "2026-07-14T08:30"} | {column: value}
    quoted = ",".join(f'"{v}"' for v in cells.values())
    good = ",".join("2026-07-14T09:00" if c == "at" else "quarry-02" if c == "hive" else "" for c in cells)
    (p,) = problems(books, tmp_path, looks=f"{','.join(cells)}\n{good}\n{quoted}\n")
    assert (p.file, p.line, p.column, p.value) == ("looks.csv", 3, column, value)
    assert re.search(what, p.what), p.what
    assert re.search(remedy, p.remedy), p.remedy


ROW_CASES = [
    (
        "entrance_counts",
        "hive,at,minutes,bees_in,with_pollen\nquarry-01,2026-07-14T08:30,2,10,11\n",
        "more than bees in",
    ),
    ("entrance_counts", "hive,at,minutes,bees_in\nquarry-01,2026-07-14T08:30,2,10\n", "with pollen is missing"),
    ("weather_days", "yard,at,temp_max_c,temp_min_c\nquarry,2026-07-14,10,20\n", "temp min .20. is more than temp max"),
    ("weather_days", "hive,at,temp_max_c,temp_min_c\nquarry-01,2026-07-14,20,10\n", "about a whole yard"),
    ("layings_on", "hive,at,weight_g,weight_lb\nquarry-01,2026-07-14T08:30,227,0.5\n", "given twice"),
    ("layings_on", "hive,at\nquarry-01,2026-07-14T08:30\n", "weight is missing"),
    ("looks", "hive,at,capped_quarters,open_quarters\nquarry-01,2026-07-14T08:30,6,3\n", "both sides of a comb have 8"),
    ("looks", "at,seams\n2026-07-14T08:30,6\n", "the hive is missing"),
    ("looks", "hive,seams\nquarry-01,6\n", "at is missing"),
    ("looks", "hive,at,seams\nquarry-01,2026-07-14T08:30\n", "row has 2 cells and the header 3"),
    ("looks", "hive,at,seams,heft\nquarry-01,2026-07-14T08:30,6,5,fair\n", "row has 5 cells and the header 4"),
    ("looks", 'hive,at,note\nquarry-01,2026-07-14T08:30,"open\n', "cannot be read"),
    ("withdrawals", "at,hive\n2026-07-14T08:30,quarry-01\n", "which entry it takes out"),
    ("withdrawals", f"supersedes,at\n{uid(77)},2026-07-14T08:30\n", "no entry with this id"),
    ("confirmations", f"entry,at\n{uid(77)},2026-07-14T08:30\n", "no entry with this id"),
    ("events", "hive,at,event,box\nquarry-01,2026-07-14T08:30,box added,deap x10\n", "not a frame type"),
    ("any_name", "kind,hive,at\nlok,quarry-01,2026-07-14T08:30\n", "not a kind of entry"),
    ("any_name", "kind,hive,at\n,quarry-01,2026-07-14T08:30\n", "kind of entry is missing"),
    ("any_name", "kind,hive,at,mites\nlook,quarry-01,2026-07-14T08:30,3\n", "a look has no mites"),
    ("looks", "kind,hive,at\nevent,quarry-01,2026-07-14T08:30\n", "this row is an event"),
    ("yards", "id,latitude,longitude,timezone\nx,95,0,UTC\n", "95 is not a latitude"),
    ("yards", "id,latitude,longitude,timezone\nx,5,0,America/Los_Angles\n", "not a time zone"),
    ("yards", "id,latitude,longitude,timezone,elevation_m,elevation_ft\nx,5,0,UTC,1,3\n", "elevation is given twice"),
    ("hives", "id,yard,boxes\nx,quarry,deap x10\n", "'deap' is not a frame type"),
    ("hives", "id,yard\nx,quary\n", "yard 'quary' is not in the books"),
    ("hives", "id,yard\nx,quarry\nx,mill-race\n", "given twice with different content"),
    ("settings", "name,value\nmargin,two\n", "not a value as JSON"),
]


@pytest.mark.parametrize(("sheet", "text", "what"), ROW_CASES)
def test_bring_bad_row(books: Books, tmp_path: Path, sheet: str, text: str, what: str) -> None:
    """A row whose cells do not fit together gives one problem that names it."""
    import re

    (p,) = problems(books, tmp_path, **{sheet: text})
    assert re.search(what, p.what), p.what
    assert p.line == text.rstrip().count("\n") + 1


FILE_CASES: list[tuple[str | bytes, str, str]] = [
    ("", "file is empty", "names of the columns"),
    ("\n\n", "file is empty", "names of the columns"),
    (
        "hive;at;shade_temp_c\nquarry-01;2026-07-14;31,5\n",
        "separated by semicolons",
        "commas between columns and a point",
    ),
    ("hive\tat\nquarry-01\t2026-07-14\n", "separated by tabs", "commas between columns"),
    ("quarry-01,2026-07-14,6\n", "header is missing", "names of the columns"),
    ("foo,bar\n1,2\n", "does not name the columns", "names of the columns"),
    ("hive,at,seems\nquarry-01,2026-07-14T08:30,\n", "no column 'seems'", "perhaps 'seams'"),
    ("hive,date\nquarry-01,2026-07-14T08:30\n", "no column 'date'", "name it 'at'"),
    ("hive,at,shade_temp\nquarry-01,2026-07-14T08:30,\n", "names no unit", "shade_temp_c .* or shade_temp_f"),
    (
        "hive,at,hive_weight_st\nquarry-01,2026-07-14T08:30,\n",
        "'st' is not a unit",
        "hive_weight_kg .* or hive_weight_lb",
    ),
    ("hive,at,seams,seams\nquarry-01,2026-07-14T08:30,1,2\n", "stands in the header twice", "keep one"),
    (
        "hive,at,note\nquarry-01,2026-07-14T08:30,caf\xe9\n".encode("latin-1"),
        r"byte 31 of the line \(0xe9\)",
        "CSV UTF-8",
    ),
    ("hive,at\nquarry-01,2026-07-14T08:30\n".encode("utf-16"), "UTF-16", "CSV UTF-8"),
    (b"hive,at\nquarry-01,2026-07-14T08:30\x00\n", "zero byte", "CSV UTF-8"),
]


@pytest.mark.parametrize(("text", "what", "remedy"), FILE_CASES)
def test_bring_bad_file(books: Books, tmp_path: Path, text: str | bytes, what: str, remedy: str) -> None:
    """A file that is wrong as a whole is explained, never guessed at."""
    import re

    found = problems(books, tmp_path, looks=text)
    p = found[0]
    assert re.search(what, p.what), p.what
    assert re.search(remedy, p.remedy), p.remedy
    if isinstance(text, bytes) and "byte 31" in what:
        assert p.line == 2
        assert len(found) == 1


def test_bring_lists_every_bad_row_of_every_file(books: Books, tmp_path: Path) -> None:
    """All problems of all files come at once, in the order of files and lines, a bad header not hiding the rows."""
    found = problems(
        books,
        tmp_path,
        looks="hive,at,seams,mood\nquarry-01,2026-07-14T08:30,99,x\nnobody,nowhen,8,\nquarry-02,2026-07-14T08:30,8,\n",
        mite_washes="hive,at,mites\nquarry-01,2026-07-14T08:30,-3\nquarry-01,2026-07-14T08:30,3\nquarry-01,x,y\n",
    )
    assert [(p.file, p.line, p.column) for p in found] == [
        ("looks.csv", 1, "mood"),
        ("looks.csv", 2, "seams"),
        ("looks.csv", 3, "hive"),
        ("looks.csv", 3, "at"),
        ("mite_washes.csv", 2, "mites"),
        ("mite_washes.csv", 4, "mites"),
        ("mite_washes.csv", 4, "at"),
    ]


def test_bring_a_bad_yard_is_reported_once(tmp_path: Path) -> None:
    """Hives and looks of a yard whose own row is bad are not each reported as well."""
    bad = YARDS.replace("36.75", "366.75")
    found = problems(fresh(filled=False), tmp_path, yards=bad, hives=HIVES, looks=LOOKS)
    assert [(p.file, p.column) for p in found] == [("yards.csv", "latitude")]


def test_bring_same_id_with_other_content(books: Books, tmp_path: Path) -> None:
    """An id used for two different rows, in one file or against the books, is refused and explained."""
    text = f"id,hive,at,seams\n{uid(0)},quarry-01,2026-07-14T08:30,2\n"
    more = f"{uid(0)},quarry-01,2026-07-14T08:30,3\n"
    (p,) = problems(books, tmp_path, looks=text + more)
    assert "already in the books with other content" in p.what
    assert "supersedes" in p.remedy
    bring_text(books, tmp_path, looks=text)
    (p,) = problems(books, tmp_path, looks=text.splitlines()[0] + "\n" + more)
    assert (p.line, p.column) == (2, "id")
    assert bring_text(books, tmp_path, looks=text + text.splitlines()[1] + "\n").there == {"look": 2}


@pytest.mark.parametrize(
    ("content", "what"),
    [
        ("", "empty"),
        ("[]", "one JSON object"),
        ('{"format": "tideover books", "version": 1,', "not JSON"),
        ('{"format": "tideover books", "version": 1} x', "not JSON"),
        ('{"format": "other", "version": 1}', "format is not"),
        ('{"format": "tideover books", "version": 2}', "version is not 1"),
        ('{"format": "tideover books", "version": 1, "hive": []}', "not a part"),
        ('{"format": "tideover books", "version": 1, "hives": {}}', "not a list"),
        ('{"format": "tideover books", "version": 1, "entries": [3]}', "not an object"),
        ('{"format": "tideover books", "version": 1, "entries": [{"kind": "lok"}]}', "not a kind"),
        (
            '{"format": "tideover books", "version": 1, "entries": [{"kind": "look", "seams": [8]}]}',
            "no 'seams' in an entry",
        ),
        (
            '{"format": "tideover books", "version": 1, "entries": [\n{"kind": "look", "hive": "quarry-01", '
            '"at": "2026-07-14T08:30", "values": {"shade_temp_c": NaN}}]}',
            "NaN is not a number",
        ),
        (
            '{"format": "tideover books", "version": 1, "entries": [\n{"kind": "look", "hive": "quarry-01", '
            '"at": "2026-07-14T08:30", "values": {"eggs": true}}]}',
            "not one of the words",
        ),
        (
            '{"format": "tideover books", "version": 1, "entries": [\n{"kind": "look", "hive": "quarry-01", '
            '"at": "2026-07-14T08:30", "values": {"jelly_dry": 1e400}}]}',
            "fraction of a count|too large|not a number",
        ),
        ('{"format": "tideover books", "format": "x", "version": 1}', "given twice"),
        ("[" * 100_000, "one JSON object|nested too deeply"),
        ('{"format": ' + "[" * 100_000, "nested too deeply|not JSON"),
    ],
)
def test_bring_bad_json(books: Books, tmp_path: Path, content: str, what: str) -> None:
    """JSON that is broken or says what cannot be is refused in a sentence."""
    import re

    before = contents(books)
    with pytest.raises(BringError) as e:
        bring(books, write(tmp_path, {"x.json": content}), now=NOW)
    (p,) = e.value.problems
    assert re.search(what, p.what), p.what
    assert p.remedy
    if "\n{" in content:
        assert p.line == 2
    assert contents(books) == before


def test_bring_json_and_csv_give_the_same_entry(tmp_path: Path) -> None:
    """The same row written as JSON with numbers and as CSV with text becomes the same values."""
    one, two = fresh(), fresh()
    bring_text(one, tmp_path, looks=LOOKS.splitlines()[0] + f",id\nquarry-01,2026-07-14T08:30,86,8+4.5,yes,{uid(0)}\n")
    entry = {"kind": "look", "id": uid(0), "hive": "quarry-01", "at": "2026-07-14T08:30"}
    entry["values"] = {"shade_temp_f": 86, "seams": [8, 4.5], "eggs": "yes"}  # type: ignore[assignment]
    text = json.dumps({"format": "tideover books", "version": 1, "entries": [entry], "settings": {"margin": 0.03}})
    bring(two, write(tmp_path, {"b.json": text}), now=NOW)
    assert one.all_entries() == two.all_entries()
    assert two.settings() == {"margin": 0.03}


def test_bring_names_files_that_cannot_be_read(books: Books, tmp_path: Path) -> None:
    """Missing files, folders and spreadsheets are named before anything is read."""
    (tmp_path / "looks.xlsx").write_bytes(b"PK")
    with pytest.raises(BringError) as e:
        bring(books, [tmp_path / "none.csv", tmp_path, tmp_path / "looks.xlsx"], now=NOW)
    assert [p.what for p in e.value.problems] == [
        "there is no such file",
        "this is a folder",
        "files ending in .xlsx cannot be read",
    ]
    assert "3 problems" in str(e.value)


def test_bring_tells_progress(books: Books, tmp_path: Path) -> None:
    """Progress rises from the first bytes to all of them."""
    rows = "".join(f"quarry-01,2026-07-14T08:{i % 60:02d}:{i // 60:02d},8\n" for i in range(2000))
    told: list[tuple[int, int, str]] = []
    (path,) = write(tmp_path, {"looks.csv": "hive,at,seams\n" + rows})
    bring(books, [path], progress=lambda d, t, w: told.append((d, t, w)), now=NOW)
    done = [d for d, _, _ in told]
    assert done == sorted(done)
    assert told[-1][:2] == (path.stat().st_size,) * 2
    assert 50 < len(told) < 300
    assert told[0][2] == "reading looks.csv"


def test_bring_a_date_alone_is_noon_of_the_yard(books: Books, tmp_path: Path) -> None:
    """A weather day is at 12:00 local time, so that its day is the day written."""
    bring_text(books, tmp_path, weather_days="yard,at,temp_max_f,temp_min_f,rain_in\nquarry,2026-07-14,104,68,0.5\n")
    (e,) = books.entries()
    assert e.at == datetime(2026, 7, 14, 19, tzinfo=UTC)
    assert e.at.date() == date(2026, 7, 14)
    assert e.values == {"temp_max": pytest.approx(40), "temp_min": pytest.approx(20), "rain": pytest.approx(12.7)}


@given(st.binary(max_size=300), st.sampled_from(["looks.csv", "events.csv", "any.csv", "yards.csv", "b.json"]))
@settings(max_examples=150, deadline=None)
def test_bring_any_bytes_never_breaks(data: bytes, name: str) -> None:
    """Whatever bytes a file holds, it is brought or refused with problems; nothing else happens."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder, fresh() as books:
        path = Path(folder) / name
        path.write_bytes(data)
        before = contents(books)
        refused = None
        try:
            bring(books, [path], now=NOW)
        except BringError as e:
            refused = e.problems
        assert refused is None or (refused and contents(books) == before)


_piece = st.sampled_from(
    [
        "hive",
        "at",
        "seams",
        "kind",
        "look",
        "quarry-01",
        "2026-07-14",
        ",",
        ",",
        "\n",
        "\n",
        '"',
        ";",
        "8+4",
        "-1",
        " ",
        "é",
        "\r",
    ]
)


@given(st.lists(_piece, max_size=40).map("".join))
@settings(max_examples=150, deadline=None)
def test_bring_near_misses_never_break(text: str) -> None:
    """Rows made of the right pieces in the wrong order are brought or refused with problems."""
    test_bring_any_bytes_never_breaks.hypothesis.inner_test(("hive,at,seams\n" + text).encode(), "looks.csv")  # type: ignore[attr-defined]


def test_bring_into_a_file_survives_a_refusal(tmp_path: Path) -> None:
    """After a refused file the books in a file can still be written to."""
    with open_books(tmp_path / "b.db") as books:
        bring_text(books, tmp_path, yards=YARDS, hives=HIVES)
        problems(books, tmp_path, looks="hive,at,seams\nquarry-01,2026-07-14T08:30,-1\n")
        assert bring_text(books, tmp_path, looks=LOOKS).total_added == 2
