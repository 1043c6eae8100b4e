"""Weather files into the books from the command line: one transaction, every bad line, nothing twice."""

from __future__ import annotations

import gzip
import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

from tests.cli.conftest import Run
from tideover.desk.forecast import typical_key, typical_of
from tideover.desk.weather_in import weather_in
from tideover.forage.climate import climate
from tideover.records import open_books

HEAD = "date,temp_max_c,temp_min_c,rain_mm\n"


def table(folder: Path, text: str, name: str = "station.csv") -> Path:
    """A file."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_days_are_written_and_not_twice(run: Run, books: Path, tmp_path: Path) -> None:
    """Two days, then the same file again: nothing new; another reading leaves the books as they were."""
    path = table(tmp_path, HEAD + "2025-07-01,38,20,0\n2025-07-02,40,22,1.5\n")
    assert "added 2 weather days" in run("weather", path, "--yard", "quarry").out
    assert "added 0 weather days" in run("weather", path, "--yard", "quarry").out
    other = table(tmp_path, HEAD + "2025-07-02,41,22,1.5\n", "other.csv")
    assert "left as they are: 1 day" in run("weather", other, "--yard", "quarry").out
    with open_books(books) as opened:
        got = opened.entries(kind="weather day", yard="quarry")
    assert [(e.at.date(), e.values["temp_max"]) for e in got] == [(date(2025, 7, 1), 38.0), (date(2025, 7, 2), 40.0)]
    assert got[1].values == {"temp_max": 40.0, "temp_min": 22.0, "rain": 1.5}


def test_every_bad_line_is_listed_and_nothing_is_written(run: Run, books: Path, tmp_path: Path) -> None:
    """A good file beside a bad one changes nothing either."""
    good = table(tmp_path, HEAD + "2025-07-01,38,20,0\n")
    bad = table(tmp_path, HEAD + "2025-07-01,138,20,0\n2025-07-02,x,20,0\n2025-07-03,30,20,0\n", "bad.csv")
    ran = run("weather", good, bad, "--yard", "quarry")
    assert ran.code == 2
    assert "bad.csv, line 2" in ran.err
    assert "bad.csv, line 3" in ran.err
    with open_books(books) as opened:
        assert opened.entries(kind="weather day") == []


def test_try_writes_nothing(run: Run, books: Path, tmp_path: Path) -> None:
    """It only says what would be."""
    path = table(tmp_path, HEAD + "2025-07-01,38,20,\n")
    said = run("weather", path, "--yard", "quarry", "--try").out
    assert "would add 1" in said
    assert "no rain reading" in said
    with open_books(books) as opened:
        assert opened.entries(kind="weather day") == []


def test_gap_is_bridged_with_its_doubt_in_the_note(run: Run, books: Path, tmp_path: Path) -> None:
    """One day missing between 30 and 32 C becomes 31, without rain, and says so."""
    path = table(tmp_path, HEAD + "2025-07-01,30,20,0\n2025-07-03,32,20,0\n")
    found = json.loads(run("weather", path, "--yard", "quarry", "--json").out)
    assert (found["added"], found["bridged"], found["without_rain"]) == (3, 1, 1)
    with open_books(books) as opened:
        middle = opened.entries(kind="weather day")[1]
    assert {k: middle.values[k] for k in ("temp_max", "temp_min")} == {"temp_max": 31.0, "temp_min": 20.0}
    assert float(str(middle.values["temp_sd"])) > 0.5
    assert "bridged" in middle.note


def test_a_reading_takes_the_place_of_what_was_filled_in(run: Run, books: Path, tmp_path: Path) -> None:
    """The day bridged at 31 C turns out 36 C in a later file: corrected, with nothing filled about it any more."""
    run("weather", table(tmp_path, HEAD + "2025-07-01,30,20,0\n2025-07-03,32,20,0\n"), "--yard", "quarry")
    late = table(tmp_path, HEAD + "2025-07-02,36,21,0\n", "late.csv")
    assert "added 1 weather day," in run("weather", late, "--yard", "quarry").out
    with open_books(books) as opened:
        got = {e.at.date(): e.values for e in opened.entries(kind="weather day")}
    assert got[date(2025, 7, 2)] == {"temp_max": 36.0, "temp_min": 21.0, "rain": 0.0}
    assert len(got) == 3


def test_hours_of_another_zone_and_packed_files(run: Run, books: Path, tmp_path: Path) -> None:
    """Two days of the yard's clock in universal time, gzipped, as archives give them."""
    first = datetime(2025, 7, 1, 7, tzinfo=UTC)
    rows = [f"{first + timedelta(hours=h):%Y-%m-%dT%H:%MZ},{20 + h // 24}" for h in range(48)]
    path = tmp_path / "hours.csv.gz"
    path.write_bytes(gzip.compress("\n".join(["time,temp_c", *rows]).encode()))
    assert run("bring", path, "--yard", "quarry").code == 0
    with open_books(books) as opened:
        got = opened.entries(kind="weather day", yard="quarry")
    assert [(e.at.date(), e.values["temp_max"], e.values["temp_min"]) for e in got] == [
        (date(2025, 7, 1), 20.0, 20.0), (date(2025, 7, 2), 21.0, 21.0),
    ]  # fmt: skip


def test_a_packed_file_that_is_cut_off_is_told(run: Run, books: Path, tmp_path: Path) -> None:
    """Half a download: one sentence with the remedy, nothing written."""
    path = tmp_path / "rows.csv.gz"
    whole = gzip.compress((HEAD + "".join(f"2025-07-{d:02d},{30 + d},{d},0\n" for d in range(1, 29))).encode())
    path.write_bytes(whole[: len(whole) // 2])
    ran = run("bring", path, "--yard", "quarry")
    assert ran.code == 2
    assert "rows.csv.gz: the file cannot be unpacked; fetch it again" in ran.err


def test_weather_files_in_a_folder_are_found(run: Run, books: Path, tmp_path: Path) -> None:
    """A folder stands for the archive's file in it as well as for the sheets."""
    folder = tmp_path / "season"
    folder.mkdir()
    values = "  300  W" + "-9999   " * 30
    table(folder, "\n".join(f"USW00000001202507{e}{values}" for e in ("TMAX", "TMIN")), "a.dly")
    assert "added 1 weather day" in run("bring", folder, "--yard", "quarry").out


def test_days_ahead_and_typical_years_are_not_written(books: Path, tmp_path: Path) -> None:
    """What has not happened is no weather day; a typical year never happened."""
    now = datetime(2025, 7, 2, 18, tzinfo=UTC)
    days = [date(2025, 7, 1) + timedelta(days=k) for k in range(5)]
    answer = {
        "latitude": 37.2, "longitude": -119.4, "elevation": 310.0,
        "daily_units": {"temperature_2m_max": "°C", "temperature_2m_min": "°C"},
        "daily": {
            "time": [d.isoformat() for d in days], "temperature_2m_max": [36.0] * 5, "temperature_2m_min": [18.0] * 5,
        },
    }  # fmt: skip
    path = table(tmp_path, json.dumps(answer), "service.json")
    with open_books(books) as opened:
        got = weather_in(opened, "quarry", [path], now=now)
        assert (got.added, got.ahead) == (1, 4)
        head = ["LOCATION,S,XX,USA,TMY3,1,37.2,-119.4,-8,310", *["X"] * 7]
        rows = [",".join(["1999", "1", "1", str(h), "0", "?", "10", "5", "60", *["0"] * 26]) for h in range(1, 25)]
        typical = weather_in(opened, "quarry", [table(tmp_path, "\n".join(head + rows), "a.epw")], now=now)
    assert (typical.added, typical.typical) == (0, 1)


def test_a_typical_year_is_kept_as_the_usual_weather(run: Run, books: Path, tmp_path: Path) -> None:
    """No day is written; 12 C of mean with 8 of swing at the yard's height stands in for latitude and height alone."""
    head = ["LOCATION,S,XX,USA,TMY3,1,37.2,-119.4,-8,310", *["X"] * 7]
    rows = []
    for k in range(365 * 24):
        t = datetime(2001, 1, 1) + timedelta(hours=k)
        warm = 12.0 - 8.0 * np.cos(2 * np.pi * (t.timetuple().tm_yday - 20) / 365.25) + (5.0 if t.hour == 15 else 0.0)
        rows.append(f"1990,{t.month},{t.day},{t.hour + 1},0,?,{warm:.2f},5,60," + ",".join(["0"] * 26))
    path = table(tmp_path, "\n".join(head + rows), "a.epw")
    ran = run("weather", path, "--yard", "quarry")
    assert "typical year: its yearly course kept as the usual weather here" in ran.out, ran.err
    with open_books(books) as opened:
        assert opened.entries(kind="weather day") == []
        kept = typical_of(opened.settings()[typical_key("quarry")])
        up = (310.0 - opened.yard("quarry").elevation_m) * 0.0065
    assert kept is not None
    usual = climate(37.2, 0.0, typical=kept)
    # high five above the coldest mean of 4, low at the mean itself
    assert float(usual.usual_max(20)) == pytest.approx(4.0 + 5.0 + up, abs=0.15)
    assert float(usual.usual_min(203)) == pytest.approx(20.0 + up, abs=0.15)
    without = climate(37.2, 0.0)
    assert np.trace(usual.mean.cov) < 0.3 * np.trace(without.mean.cov)
    out = run("lookout", "--yard", "quarry", "--day", "2031-07-14").out
    assert "the usual weather of a typical year near the place, and wide" in out


def test_station_place_corrects_for_elevation(run: Run, books: Path, tmp_path: Path) -> None:
    """A fixed-width archive does not say where its station is; --station does (1000 m below: 6.5 C cooler at the yard)."""
    values = "  400   " + "-9999   " * 30
    lines = [f"USW00000001202507{e}{values}" for e in ("TMAX", "TMIN")]
    lines[1] = lines[1].replace("  400", "  200")
    path = table(tmp_path, "\n".join(lines), "a.dly")
    where = "USW00000001,37.2,-119.4,-690"
    assert run("weather", path, "--yard", "quarry", "--station", where).code == 0
    with open_books(books) as opened:
        assert opened.entries(kind="weather day")[0].values == {"temp_max": 33.5, "temp_min": 13.5}


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--yard", "nowhere"), "nowhere"),
        (("--yard", "quarry", "--station", "X,1"), "wanted ID,LAT,LON,ELEVATION"),
    ],
)
def test_wrong_words_are_answered_in_one_line(run: Run, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    """Unknown yard, half a station."""
    ran = run("weather", table(tmp_path, HEAD + "2025-07-01,30,20,0\n"), *words)
    assert ran.code == 2
    assert says in ran.err
    assert len(ran.err.strip().splitlines()) == 1


def test_a_gap_too_long_to_fill_is_told_with_its_days(run: Run, books: Path, tmp_path: Path) -> None:
    """Seven days without a reading: which, and what the season takes there."""
    days = [date(2025, 6, 1) + timedelta(days=k) for k in range(20) if not 5 <= k < 12]
    path = table(tmp_path, HEAD + "".join(f"{d},30,15,0\n" for d in days))
    out = run("weather", path, "--yard", "quarry", "--try").out
    assert (
        "no high or no low, not written: 7 days (2025-06-06 to 2025-06-12); the season takes the usual weather" in out
    )
    told = json.loads(run("weather", path, "--yard", "quarry", "--try", "--json").out)
    assert told["without_temperature"] == 7
    assert told["days_without_temperature"][0] == "2025-06-06"


def test_a_reading_takes_the_place_of_a_models_day_and_never_the_other_way(
    run: Run, books: Path, tmp_path: Path
) -> None:
    """A service's day carries its doubt until a station's reading comes; brought again it changes nothing."""
    service = {
        "latitude": 36.75, "longitude": -119.8, "daily_units": {"temperature_2m_max": "°C", "temperature_2m_min": "°C"},
        "daily": {"time": ["2025-07-01", "2025-07-02"], "temperature_2m_max": [35, 36], "temperature_2m_min": [18, 19]},
    }  # fmt: skip
    model = table(tmp_path, json.dumps(service), "service.json")
    assert (
        "a service's model and no reading: 2 days; each carries a doubt"
        in run("weather", model, "--yard", "quarry").out
    )
    station = table(tmp_path, HEAD + "2025-07-01,33,17,0\n")
    assert "added 1 weather day" in run("weather", station, "--yard", "quarry").out
    for path in (model, station):
        assert "added 0 weather days" in run("weather", path, "--yard", "quarry").out
    with open_books(books) as opened:
        got = {e.at.date(): e.values for e in opened.entries(kind="weather day", yard="quarry")}
    assert got[date(2025, 7, 1)] == {"temp_max": 33.0, "temp_min": 17.0, "rain": 0.0}
    assert got[date(2025, 7, 2)]["temp_sd"] == 1.2


def test_hours_of_another_zone_are_told_by_the_yards_days(run: Run, books: Path, tmp_path: Path) -> None:
    """A whole day of the yard in universal time: one day and nothing left out, in what is told as in what is written."""
    first = datetime(2025, 7, 1, 7, tzinfo=UTC)
    rows = "".join(f"{first + timedelta(hours=k):%Y-%m-%dT%H:%MZ},{20 + k % 9},0\n" for k in range(24))
    out = run("weather", table(tmp_path, "time,temp_c,rain_mm\n" + rows), "--yard", "quarry", "--try").out
    assert "reduced to days, 1 day" in out
    assert "left out" not in out


def test_part_of_a_typical_year_is_not_kept_and_it_is_said(run: Run, books: Path, tmp_path: Path) -> None:
    """One day of it has no yearly course."""
    row = ",".join(["2001", "1", "1", "{}", "60", "?", "10", "5", "45", "1", *["0"] * 25])
    text = (
        "LOCATION,Place,,,TMY,1,36.75,-119.8,-8,100\n" + "x\n" * 7 + "".join(f"{row.format(h)}\n" for h in range(1, 25))
    )
    out = run("weather", table(tmp_path, text, "typical.epw"), "--yard", "quarry", "--try").out
    assert "its course is not kept either, for want of 300 days" in out


def test_a_table_in_two_bytes_a_letter_is_read(run: Run, books: Path, tmp_path: Path) -> None:
    """As some spreadsheets save text."""
    path = tmp_path / "wide.csv"
    path.write_bytes((HEAD + "2025-07-01,33,17,0\n").encode("utf-16"))
    assert "would add 1 weather day" in run("weather", path, "--yard", "quarry", "--try").out
