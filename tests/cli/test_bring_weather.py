"""Weather files among the files brought: known by content, one transaction with the sheets, for the right yards."""

from __future__ import annotations

import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tideover.desk.bring_files import bring_files, is_weather
from tideover.desk.forecast import forecast_key, forecast_of
from tideover.records import BringError, open_books

YARDS = "id,name,latitude,longitude,timezone\nquarry,Quarry,37,-120,America/Los_Angeles\n"
TWO = YARDS + "mill,Mill Race,37.1,-120,America/Los_Angeles\n"
DAILY = "date,temp_max_c,temp_min_c,rain_mm\n2025-07-01,38,20,0\n2025-07-02,40,22,1.5\n"
PLACED = (
    '"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","PRCP","TMAX","TMIN"\n'
    '"USW00000001","2025-07-01","37.0","-120.1","60","SOMEWHERE","0","380","200"\n'
)


def put(folder: Path, name: str, text: str) -> Path:
    """A file."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("name", "text", "weather"),
    [
        ("airport.csv", DAILY, True),
        ("hours.txt", "time,temp_c\n2025-07-01T00:00,20\n", True),
        ("summary.csv", PLACED, True),
        ("service.json", '{"latitude": 37, "daily": {"time": []}}', True),
        ("USW00000001.dly", "USW00000001202507TMAX" + "  380  a" * 31, True),
        # a sheet by its name, whatever its columns; and a sheet by its columns, whatever its name
        ("weather_days.csv", DAILY, False),
        ("mine.csv", "yard,date,temp_max_c,temp_min_c\nquarry,2025-07-01,38,20\n", False),
        ("books.json", '{"format": "tideover books", "entries": [{"note": "\\"daily\\""}]}', False),
        ("looks.csv", "hive,at,seams\n", False),
        ("empty.csv", "", False),
    ],
)
def test_known_by_content(name: str, text: str, weather: bool, tmp_path: Path) -> None:
    """Each kind of file is told from its first lines."""
    assert is_weather(put(tmp_path, name, text)) is weather


def test_yard_and_its_weather_at_once(run: Run, tmp_path: Path) -> None:
    """New books from a sheet and a station's table in one go; the second time nothing is added."""
    files = put(tmp_path, "yards.csv", YARDS), put(tmp_path, "airport.csv", DAILY)
    out = run("--books", tmp_path / "new.db", "bring", *files).out
    assert "added: 1 yard" in out
    assert "quarry: added 2 weather days, 2025-07-01 to 2025-07-02" in out
    assert "already there: 2 days" in run("--books", tmp_path / "new.db", "bring", *files).out
    with open_books(tmp_path / "new.db") as books:
        assert len(books.entries(kind="weather day", yard="quarry")) == 2


def test_bad_weather_line_keeps_the_sheets_out_and_is_listed_with_theirs(run: Run, tmp_path: Path) -> None:
    """One transaction: every bad line of both files with its remedy, and no yard is written."""
    files = (
        put(tmp_path, "yards.csv", YARDS + "bad,Bad,99,0,UTC\n"),
        put(tmp_path, "airport.csv", DAILY + "2025-07-03,138,20,0\n2025-07-04,x,20,0\n"),
    )
    ran = run("--books", tmp_path / "new.db", "bring", *files)
    assert ran.code == 2
    for said in ("yards.csv, line 3", "airport.csv, line 4", "temp_max_f", "airport.csv, line 5", "leave a missing"):
        assert said in ran.err
    with open_books(tmp_path / "new.db") as books:
        assert books.yards() == []


def test_several_yards_ask_which_unless_the_file_says_where(run: Run, tmp_path: Path) -> None:
    """A table that names no place needs --yard; an archive's table with coordinates serves every yard near."""
    books = tmp_path / "new.db"
    run("--books", books, "bring", put(tmp_path, "yards.csv", TWO))
    plain, placed = put(tmp_path, "airport.csv", DAILY), put(tmp_path, "summary.csv", PLACED)
    ran = run("--books", books, "bring", plain)
    assert ran.code == 2
    assert "say which yard it is for: mill, quarry" in ran.err
    assert "quarry: added 2" in run("--books", books, "bring", plain, "--yard", "quarry").out
    both = run("--books", books, "bring", placed).out
    assert "mill: added 1" in both
    # the quarry has that day already, with other readings
    assert "quarry: added 0" in both
    assert run("--books", books, "bring", plain, "--yard", "nowhere").code == 2


def test_days_ahead_become_the_forecast(tmp_path: Path) -> None:
    """A service's past days are written, its days ahead kept beside the settings, and stale after four days."""
    now = datetime(2025, 7, 10, 18, tzinfo=UTC)
    days = [date(2025, 7, 8) + timedelta(days=k) for k in range(6)]
    answer = {
        "latitude": 37.0, "longitude": -120.0, "elevation": 0.0,
        "daily_units": {"temperature_2m_max": "°C", "temperature_2m_min": "°C", "precipitation_sum": "mm"},
        "daily": {
            "time": [d.isoformat() for d in days], "temperature_2m_max": [30.0 + k for k in range(6)],
            "temperature_2m_min": [15.0] * 6, "precipitation_sum": [0.0] * 6,
        },
    }  # fmt: skip
    files = [put(tmp_path, "yards.csv", YARDS), put(tmp_path, "service.json", json.dumps(answer))]
    with open_books(tmp_path / "new.db") as books:
        made = bring_files(books, files, now=now)
        assert (made.weather[0].added, made.weather[0].forecast) == (2, 4)
        held = books.settings()[forecast_key("quarry")]
    got = forecast_of(held, date(2025, 7, 11))
    assert got is not None
    assert [(d.day.day, d.temp_max_c) for d in got.days] == [(11, 33.0), (12, 34.0), (13, 35.0)]
    assert forecast_of(held, date(2025, 7, 15)) is None
    assert forecast_of({"made": "x"}, date(2025, 7, 11)) is None


def test_writing_fails_whole(tmp_path: Path) -> None:
    """Weather for no yard at all is one sentence, and the books stay empty."""
    with open_books(tmp_path / "new.db") as books, pytest.raises(BringError, match="no yard in the books"):
        bring_files(books, [put(tmp_path, "airport.csv", DAILY)])


def test_a_station_without_a_place_says_how_to_give_it_one(run: Run, tmp_path: Path) -> None:
    """The archive's fixed width names no place; a plain table is the keeper's own and is not asked for one."""
    books = tmp_path / "new.db"
    yards = put(tmp_path, "yards.csv", YARDS)
    fixed = put(tmp_path, "a.dly", "\n".join(f"USW00000001202507{e}" + "  300  W" * 31 for e in ("TMAX", "TMIN")))
    out = run("--books", books, "bring", yards, fixed).out
    assert "its place is not in the file" in out
    assert "tideover weather FILE --yard quarry --station ID,LAT,LON,ELEVATION" in out
    assert "--station" not in run("--books", books, "bring", put(tmp_path, "airport.csv", DAILY)).out


def test_what_was_read_is_told_once_for_many_yards_and_brought_again_adds_nothing(run: Run, tmp_path: Path) -> None:
    """Two stations for two yards, the nearer one silent for a day: one line a file, and the stand-in's doubt is kept."""
    near = PLACED.splitlines()[0] + "\n"
    far = near
    for k in range(1, 6):
        row = f'"{{}}","2025-07-0{k}","{{}}","-120.05","60","{{}}","0","38{k}","200"\n'
        near += row.format("USW00000001", 37.05, "NEAR") if k != 3 else ""
        far += row.format("USW00000002", 37.5, "FAR")
    files = put(tmp_path, "yards.csv", TWO), put(tmp_path, "near.csv", near), put(tmp_path, "far.csv", far)
    out = run("--books", tmp_path / "new.db", "bring", *files).out
    assert out.count("read: near.csv") == 1
    assert out.count("NEAR: no temperature on 1 day (2025-07-03); FAR stands in, with a doubt of") == 2
    again = run("--books", tmp_path / "new.db", "bring", *files).out
    assert again.count("added 0 weather days") == 2
    with open_books(tmp_path / "new.db") as books:
        got = {e.at.day: e.values for e in books.entries(kind="weather day", yard="quarry")}
    assert got[3]["temp_sd"] == pytest.approx(1.7, abs=0.15)
    assert "temp_sd" not in got[2]
