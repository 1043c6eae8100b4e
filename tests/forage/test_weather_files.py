"""Weather files read: layouts, units, missing marks and flags, stations and gaps."""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tideover.forage.air import wind_at_2m
from tideover.forage.files import FileDay, ReadFile, Site, Station, fill, merge, read
from tideover.forage.files.archive import RECORD
from tideover.forage.files.service import load
from tideover.forage.files.stations import distance_km
from tideover.forage.files.telling import tell


def record(element: str, values: list[str], month: str = "201108", station: str = "USW00012921") -> str:
    """A fixed-width record: eight letters a day, padded to 31 days with the missing mark."""
    cells = [*values, *["-9999   "] * (31 - len(values))]
    return f"{station}{month}{element}{''.join(cells)}"


def only(made: ReadFile) -> dict[date, FileDay]:
    """The days of the file's one station."""
    assert len(made.days) == 1
    return next(iter(made.days.values()))


def test_fixed_width_offsets_flags_and_units() -> None:
    """269 letters, the 31st value in columns 262-266; 39.4 C, 40.0 C, day 3 fails its check; trace, 0, 12.7 mm.

    Source: NOAA GHCN-Daily readme, section III; the sample lines are made by hand from it.
    """
    hot = record("TMAX", ["  394  W", "  400  W", " 4061 XW"])
    cool = record("TMIN", ["  250  W", "  261  W", "  240  W"])
    wet = record("PRCP", ["    0T W", "    0  W", "  127  W"])
    last = record("TMAX", ["-9999   "] * 30 + ["  351  W"], "201107")
    assert len(hot) == RECORD == 269
    assert last[261:266] == "  351"
    made = read("\n".join([hot, cool, wet, last]))
    days = only(made)
    assert made.troubles == []
    assert days[date(2011, 8, 1)].temp_max_c == pytest.approx(39.4)
    assert days[date(2011, 8, 2)].temp_max_c == pytest.approx(40.0)
    assert days[date(2011, 8, 3)].temp_max_c is None
    assert [days[date(2011, 8, d)].rain_mm for d in (1, 2, 3)] == pytest.approx([0.0, 0.0, 12.7])
    assert days[date(2011, 7, 31)].temp_max_c == pytest.approx(35.1)
    assert sum(made.left_out.values()) == 1


def test_presumed_zero_is_not_dry() -> None:
    """Measurement flag P is 'missing presumed zero': no rain reading (readme: flag table, read)."""
    made = read(record("PRCP", ["    0P  ", "    0   "]))
    days = only(made)
    assert date(2011, 8, 1) not in days
    assert days[date(2011, 8, 2)].rain_mm == 0.0


def test_a_value_on_a_day_the_month_lacks_is_a_trouble() -> None:
    """30 February cannot be; days after the month's end hold the missing mark (readme)."""
    made = read(record("TMAX", ["  100   "] * 30, "201102"))
    assert [t.line for t in made.troubles] == [1, 1]


def test_cut_record_is_a_trouble_with_its_line() -> None:
    """A letter that is no number is named with its line and day."""
    made = read(record("TMAX", ["  394  W", "  4x0  W"]) + "\nnothing of the kind")
    assert [(t.line, t.value) for t in made.troubles] == [(1, "4x0"), (2, "nothing of the kind")]


def test_archive_rows_without_header() -> None:
    """ID, YYYYMMDD, element, value in tenths, three flags, hour (archive's by-year readme, read)."""
    text = (
        "USW00012921,20110801,TMAX,394,,,W,2400\nUSW00012921,20110801,TMIN,250,,,W,\n"
        "USW00012921,20110801,PRCP,25,,X,W,\nUSW00012921,20110801,AWND,40,,,W,"
    )
    day = only(read(text))[date(2011, 8, 1)]
    assert (day.temp_max_c, day.temp_min_c, day.rain_mm) == (39.4, 25.0, None)
    # FAO-56 eq. 47: 4.0 m/s at 10 m is 2.99 m/s at 2 m
    assert day.wind_ms == pytest.approx(2.99, abs=0.01)


@pytest.mark.parametrize(
    ("high", "low", "rain", "said"), [("394", "250", "25", "tenths"), ("39.4", "25.0", "2.5", "metric")]
)
def test_daily_summaries_in_tenths_or_metric(high: str, low: str, rain: str, said: str) -> None:
    """The same day from both kinds of order; attributes hold measurement and quality flags (read)."""
    head = (
        "STATION,DATE,LATITUDE,LONGITUDE,ELEVATION,NAME,PRCP,PRCP_ATTRIBUTES,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES"
    )
    rows = [
        f'USW00012921,2011-08-01,29.54,-98.48,240.5,"INTL, TX",{rain},",,W",{high},",,W",{low},",,W"',
        f'USW00012921,2011-08-02,29.54,-98.48,240.5,"INTL, TX",{rain},",I,W",{high},",,W",{low},",,W"',
    ]
    made = read("\n".join([head, *rows]))
    days = only(made)
    assert said in made.form
    assert (days[date(2011, 8, 1)].temp_max_c, days[date(2011, 8, 1)].rain_mm) == (39.4, 2.5)
    assert days[date(2011, 8, 2)].rain_mm is None
    assert made.stations["USW00012921"].elevation_m == 240.5


def test_plain_daily_table_in_us_units() -> None:
    """Units stand in the column's name; trace is nothing measurable, empty is missing (32 F is 0 C, 1 in is 25.4 mm)."""
    days = only(read("date,tmax_f,tmin_f,rain_in,humidity\n2025-07-01,104,68,1.00,20\n2025-07-02,95,,T,\n"))
    assert days[date(2025, 7, 1)].temp_max_c == pytest.approx(40.0)
    assert days[date(2025, 7, 1)].rain_mm == pytest.approx(25.4)
    assert days[date(2025, 7, 2)].rain_mm == 0.0
    assert days[date(2025, 7, 2)].temp_min_c is None


def test_every_bad_line_is_listed() -> None:
    """Fahrenheit in a Celsius column, a word, a wrong date, a missing cell, a low above the high: five lines."""
    made = read(
        "date,temp_max_c,temp_min_c,rain_mm\n2025-07-01,104,20,0\n2025-07-02,hot,20,0\n7/3/25,30,20,0\n2025-07-04,30\n"
        "2025-07-05,20,25,0\n"
    )
    assert sorted(t.line for t in made.troubles) == [2, 3, 4, 5, 6]
    assert "Fahrenheit" in made.troubles[0].remedy


def test_column_without_a_unit_is_refused() -> None:
    """No silent Celsius or Fahrenheit."""
    made = read("date,tmax,tmin,rain_mm\n2025-07-01,30,20,0\n")
    assert [t.column for t in made.troubles] == ["tmax", "tmin"]


def hours_of(day: str, temps: list[float], rain: float = 0.0) -> list[str]:
    """Rows of an hourly table."""
    return [f"{day}T{h:02d}:00,{t},{rain},50" for h, t in enumerate(temps)]


def test_hours_become_days() -> None:
    """High and low are the ends of the 24 hours, rain their sum, humidity their mean."""
    temps = [20.0 + 10.0 * float(np.sin(np.pi * (h - 8) / 12)) for h in range(24)]
    rows = ["time,temp_c,rain_mm,humidity", *hours_of("2025-07-01", temps, 0.5)]
    day = only(read("\n".join(rows)))[date(2025, 7, 1)]
    assert (day.temp_max_c, day.temp_min_c) == (30.0, 10.0)
    assert day.rain_mm == pytest.approx(12.0)
    assert day.humidity == 50.0


def test_a_day_with_its_afternoon_missing_has_no_high() -> None:
    """Ten hours gone around the hottest: no temperature is made of the rest."""
    rows = [r for r in hours_of("2025-07-01", [20.0] * 24) if not 10 <= int(r[11:13]) < 20]
    made = read("\n".join(["time,temp_c,rain_mm,humidity", *rows]))
    assert made.days == {}
    assert made.left_out["days with too few hours of temp"] == 1


def epw(temps: list[float]) -> str:
    """A typical-year file of some days: 8 lines of header, 35 columns."""
    head = ["LOCATION,Somewhere,XX,USA,TMY3,723170,36.10,-79.95,-5.0,270.0", *["DESIGN CONDITIONS,0"] * 7]
    rows = []
    for i, t in enumerate(temps):
        cells = ["1999", "1", str(1 + i // 24), str(1 + i % 24), "0", "?", f"{t}", "5", "60", *["0"] * 26]
        cells[21] = "4.0"
        rows.append(",".join(cells))
    return "\n".join([*head, *rows])


def test_typical_year_is_read_and_never_called_measured() -> None:
    """Columns 7, 9 and 22 (temperature, humidity, wind), hours 1 to 24; missing marks 99.9 are left out; no rain."""
    made = read(epw([10.0] * 12 + [20.0] * 12 + [99.9] * 24))
    day = only(made)[date(2001, 1, 1)]
    assert made.nature == "typical"
    assert (day.temp_max_c, day.temp_min_c, day.rain_mm) == (20.0, 10.0, None)
    assert day.wind_ms == pytest.approx(float(wind_at_2m(4.0)), abs=0.01)
    assert len(only(made)) == 2
    assert only(made)[date(2001, 1, 2)].temp_max_c is None
    assert made.stations["723170"].elevation_m == 270.0


def test_typical_year_with_named_columns() -> None:
    """Line 1 station, line 2 names, MM/DD/YYYY and 01:00 to 24:00, missing -9900 (layout read in an open file)."""
    head = '723170,"SOMEWHERE",NC,-5.0,36.100,-79.950,273'
    names = "Date (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C),RHum (%),Wspd (m/s),Lprecip depth (mm)"
    rows = [f"06/01/1988,{h:02d}:00,{15 + h if h != 7 else -9900},40,2.0,99" for h in range(1, 25)]
    day = only(read("\n".join([head, names, *rows])))[date(2001, 6, 1)]
    assert (day.temp_max_c, day.temp_min_c, day.rain_mm) == (39.0, 16.0, None)


SERVICE = """{"latitude": 37.2, "longitude": -119.4, "elevation": 300.0,
 "daily_units": {"time": "iso8601", "temperature_2m_max": "°F", "temperature_2m_min": "°F", "precipitation_sum": "inch"},
 "daily": {"time": ["2025-07-01", "2025-07-02"], "temperature_2m_max": [104.0, null],
           "temperature_2m_min": [68.0, 70.0], "precipitation_sum": [0.5, 0.0]}}"""


def test_forecast_json_by_a_loader_that_needs_no_network() -> None:
    """Units beside the values are obeyed; null is missing."""
    made, said = load(lambda lat, lon: SERVICE, 37.2, -119.4)
    assert made is not None
    assert said == ""
    days = only(made)
    assert days[date(2025, 7, 1)].temp_max_c == pytest.approx(40.0)
    assert days[date(2025, 7, 1)].rain_mm == pytest.approx(12.7)
    assert days[date(2025, 7, 2)].temp_max_c is None


def test_without_a_network_it_says_what_is_missing_and_goes_on() -> None:
    """No file, one sentence."""

    def nobody(lat: float, lon: float) -> str:
        raise OSError(101, "Network is unreachable")

    made, said = load(nobody, 37.2, -119.4)
    assert made is None
    assert "no forecast: Network is unreachable" in said


@pytest.mark.parametrize("text", ['{"daily": 3}', '{"daily": {"time": [1]}', "{}"])
def test_forecast_json_of_another_shape_is_told(text: str) -> None:
    """A wrong block, broken JSON and no block at all."""
    if tell(text) is None:
        with pytest.raises(ValueError, match="known weather file"):
            read(text)
    else:
        assert read(text).troubles


@pytest.mark.parametrize("text", ["", "hello", "date,price\n2025-01-01,3"])
def test_other_files_are_refused(text: str) -> None:
    """One sentence naming what is wanted."""
    assert tell(text) is None
    with pytest.raises(ValueError, match="temp_max_c"):
        read(text)


def made_file(
    station: Station, values: list[tuple[float, float, float | None]], first: date = date(2025, 7, 1)
) -> ReadFile:
    """A file of one station."""
    out = ReadFile("made")
    for k, (hi, lo, rain) in enumerate(values):
        day = first + timedelta(days=k)
        out.put(station, day, "temp_max_c", hi, k)
        out.put(station, day, "temp_min_c", lo, k)
        if rain is not None:
            out.put(station, day, "rain_mm", rain, k)
    return out


def test_distance_on_the_globe() -> None:
    """One degree of latitude is 111.2 km (mean earth radius 6371 km)."""
    assert distance_km(30.0, -98.0, 31.0, -98.0) == pytest.approx(111.19, abs=0.01)


def test_elevation_is_corrected_by_the_standard_atmosphere() -> None:
    """A station 1000 m below reads 6.5 C warmer than the yard (ISO 2533: 6.5 C a km)."""
    there = Station("low", "low", 37.0, -119.0, 100.0)
    got = merge([made_file(there, [(36.5, 20.0, 1.0)])], Site(37.0, -119.0, 1100.0))
    assert got.days[0].temp_max_c == pytest.approx(30.0)


def test_nearer_station_counts_more_and_rain_is_never_averaged() -> None:
    """10 and 20 km away: weights 4 to 1; rain is the nearer one's, and the other's only where that has none."""
    near, far = Station("n", "n", 37.09, -119.0, 0.0), Station("f", "f", 37.18, -119.0, 0.0)
    files = [
        made_file(near, [(30.0, 10.0, 5.0), (30.0, 10.0, None)]),
        made_file(far, [(40.0, 20.0, 0.0), (40.0, 20.0, 3.0)]),
    ]
    got = merge(files, Site(37.0, -119.0, 0.0))
    assert got.days[0].temp_max_c == pytest.approx(32.0, abs=0.05)
    assert [d.rain_mm for d in got.days] == [5.0, 3.0]
    assert got.stood_in == {}


def test_where_the_nearest_station_is_silent_a_farther_one_stands_in_with_its_doubt() -> None:
    """0.6 C and 0.02 C a km (our assumption): 20 km away is 1.0 C; the rain is the farther one's too, and it is told."""
    near, far = Station("n", "Near", 37.09, -119.0, 0.0), Station("f", "Far", 37.18, -119.0, 0.0)
    files = [
        made_file(near, [(30.0, 10.0, 0.0)]),
        made_file(near, [(30.0, 10.0, 0.0)], date(2025, 7, 4)),
        made_file(far, [(31.0, 11.0, 2.0)] * 5),
    ]
    files[0].days["n"].update(files.pop(1).days["n"])
    got = merge(files, Site(37.0, -119.0, 0.0))
    assert sorted(got.stood_in) == [date(2025, 7, 2), date(2025, 7, 3)]
    assert [*got.stood_in.values()] == pytest.approx([0.6 + 0.02 * 20.015] * 2, abs=0.01)
    assert [d.rain_mm for d in got.days] == [0.0, 2.0, 2.0, 0.0, 2.0]
    assert got.said[-1] == (
        "Near: no temperature on 2 days (2025-07-02 to 2025-07-03); Far stands in, with a doubt of 1.0 °C (1.8 °F)"
    )


def test_a_services_model_counts_only_where_nothing_was_read() -> None:
    """The model's cell lies on the yard itself, and yet the station 10 km off decides, rain included."""
    station, cell = Station("n", "n", 37.09, -119.0, 0.0), Station("service", "", 37.0, -119.0, 0.0)
    model = made_file(cell, [(40.0, 20.0, 9.0), (41.0, 21.0, 8.0)])
    model.nature = "modelled"
    got = merge([model, made_file(station, [(30.0, 10.0, 0.0)])], Site(37.0, -119.0, 0.0))
    assert [(d.temp_max_c, d.rain_mm) for d in got.days] == [(30.0, 0.0), (41.0, 8.0)]
    assert got.modelled == {date(2025, 7, 2): 1.2}


@pytest.mark.parametrize(("mark", "named"), [(";", "semicolons"), ("\t", "tabs")])
def test_a_table_parted_otherwise_is_told_by_what_parts_it(mark: str, named: str) -> None:
    """As a spreadsheet of a country with decimal commas saves it."""
    with pytest.raises(ValueError, match=f"parted by {named}, wanted commas"):
        read("date,temp_max_c,temp_min_c,rain_mm\n2025-07-01,30,15,0\n".replace(",", mark))


def test_far_station_is_left_out_with_a_word() -> None:
    """300 km away says little of the day."""
    got = merge([made_file(Station("x", "x", 40.0, -119.0, 0.0), [(30.0, 10.0, 0.0)])], Site(37.0, -119.0, 0.0))
    assert got.days == []
    assert "left out" in got.said[0]


def test_short_gap_is_bridged_with_a_spread_and_a_long_one_stays() -> None:
    """Three days between 30 and 34 C rise by one a day, most doubtful in the middle; a week stays a gap; rain stays unknown."""
    first = date(2025, 7, 1)
    known = [0, 4, 12, *range(13, 40)]
    rng = np.random.default_rng(2)
    days = [FileDay(first + timedelta(days=k), 30.0 + (k if k < 5 else rng.normal(2, 2)), 15.0, 0.0) for k in known]
    got = fill(days)
    by = {d.day: d for d in got.days}
    assert [by[first + timedelta(days=k)].temp_max_c for k in (1, 2, 3)] == pytest.approx([31.0, 32.0, 33.0])
    assert got.bridged[first + timedelta(days=2)] > got.bridged[first + timedelta(days=1)] > 0.0
    assert by[first + timedelta(days=2)].rain_mm is None
    assert first + timedelta(days=8) in got.still_missing
    assert first + timedelta(days=8) not in got.bridged


ROWS = "USW00012921,20110801,TMAX,394,,,W,2400\nUSW00012921,20110801,TMIN,250,,,W,\n"


def test_archive_rows_with_the_header_some_copies_have() -> None:
    """The same rows under ID, DATE, ELEMENT, DATA_VALUE (the archive's open-data copies; header from memory)."""
    made = read("ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n" + ROWS)
    assert made.troubles == []
    assert only(made) == {d.day: FileDay(d.day, 39.4, 25.0, line=2) for d in only(read(ROWS)).values()}


def test_summaries_ordered_in_us_units_are_not_taken_for_tenths() -> None:
    """Whole degrees with rain in hundredths of an inch: 104 F is 40 C, not 10.4 C (units of an order: archive's readme, from memory)."""
    text = (
        "STATION,NAME,DATE,PRCP,TMAX,TMIN\nUSW00012921,X,2011-08-01,0.50,104,68\nUSW00012921,X,2011-08-02,0.00,95,59\n"
    )
    made = read(text)
    days = only(made)
    assert "US units" in made.form
    assert (days[date(2011, 8, 1)].temp_max_c, days[date(2011, 8, 1)].rain_mm) == (40.0, 12.7)
    assert days[date(2011, 8, 2)].temp_min_c == 15.0


def test_summaries_whose_units_cannot_be_told_are_refused() -> None:
    """No rain column and whole numbers that could be 9.5 C or 95 F: one trouble, no day."""
    made = read("STATION,DATE,TMAX,TMIN\nUSW00012921,2011-08-01,95,60\n")
    assert made.days == {}
    assert [(t.line, t.column) for t in made.troubles] == [(1, "TMAX")]
    assert "PRCP" in made.troubles[0].remedy


def test_columns_passed_over_are_named_and_other_units_refused() -> None:
    """Rain in centimetres must not vanish unseen; a pressure column is only told of."""
    made = read("date,temp_max_c,temp_min_c,rain_cm,pressure\n2025-07-01,30,20,1,1013\n")
    assert made.unread == ["pressure"]
    assert [(t.line, t.column) for t in made.troubles] == [(1, "rain_cm")]
    assert "rain_mm" in made.troubles[0].remedy


@pytest.mark.parametrize("mark", ["-9999", "-999.9", "999.9", "9999", "9999.9"])
def test_marks_of_a_missing_reading_are_missing(mark: str) -> None:
    """Such numbers stand for nothing measured; as rain of a day 999.9 mm would pass for a flood."""
    day = only(read(f"date,temp_max_c,temp_min_c,rain_mm\n2025-07-01,30,20,{mark}\n"))[date(2025, 7, 1)]
    assert (day.temp_max_c, day.rain_mm) == (30.0, None)


def test_hours_in_universal_time_become_days_of_the_yards_clock() -> None:
    """A wave whose lowest hour is 5 in the morning at UTC-7: read without the zone each day would mix two of them."""
    start = datetime(2025, 7, 1, tzinfo=UTC)
    stamps = [start + timedelta(hours=h) for h in range(72)]
    rows = []
    for t in stamps:
        here = t.astimezone(ZoneInfo("America/Los_Angeles"))
        # each local day is ten degrees warmer than the one before
        rows.append(f"{t:%Y-%m-%dT%H:%M}Z,{10 * here.day + here.hour / 10:.1f}")
    made = read("\n".join(["time,temp_c", *rows]))
    assert made.for_zone is not None
    days = only(made.for_zone(ZoneInfo("America/Los_Angeles")))
    assert days[date(2025, 7, 1)] == FileDay(date(2025, 7, 1), 12.3, 10.0, line=9)
    assert days[date(2025, 7, 2)].temp_max_c == pytest.approx(22.3)
    assert date(2025, 6, 30) not in days


def test_clock_changes_make_no_day_shorter() -> None:
    """In spring an hour is not there, in autumn one comes twice with other readings: three whole days each."""
    for first, hour in ((date(2026, 3, 7), 2), (date(2025, 11, 1), 1)):
        rows = []
        for k in range(72):
            t = datetime.combine(first, time()) + timedelta(hours=k)
            if t.hour != hour or t.date() != first + timedelta(days=1):
                rows.append(f"{t:%Y-%m-%dT%H:%M},{t.hour},0.1")
            elif hour == 1:
                rows += [f"{t:%Y-%m-%dT%H:%M},{t.hour},0.1", f"{t:%Y-%m-%dT%H:%M},{t.hour - 3},0.2"]
        made = read("\n".join(["time,temp_c,rain_mm", *rows]))
        days = only(made)
        assert made.troubles == []
        assert [d.temp_max_c for d in days.values()] == [23.0] * 3
        middle = days[first + timedelta(days=1)]
        assert middle.temp_min_c == (0.0 if hour == 2 else -2.0)
        assert middle.rain_mm == pytest.approx(2.3 if hour == 2 else 2.6)


def test_an_hour_given_twice_counts_once_and_two_readings_of_it_are_a_trouble() -> None:
    """A row written twice must not double its rain; another reading of two in the afternoon cannot be as well."""
    rows = hours_of("2025-07-01", [20.0] * 24, 1.0)
    made = read("\n".join(["time,temp_c,rain_mm,humidity", *rows, rows[14]]))
    assert only(made)[date(2025, 7, 1)].rain_mm == pytest.approx(24.0)
    odd = read("\n".join(["time,temp_c,rain_mm,humidity", *rows, "2025-07-01T14:00,25.0,1.0,50"]))
    assert [(t.line, t.column, t.value) for t in odd.troubles] == [(26, "temp_c", "25")]


def test_an_hour_out_of_range_is_told_by_its_own_line() -> None:
    """41 lines down, in the column's own name."""
    rows = hours_of("2025-07-01", [20.0] * 24)
    rows[9] = "2025-07-01T09:00,20.0,0,140"
    made = read("\n".join(["time,temp_c,rain_mm,humidity", *rows]))
    assert [(t.line, t.column) for t in made.troubles] == [(11, "humidity")]


def test_a_services_hours_alone_are_asked_to_be_days() -> None:
    """An answer with an hourly block only is known for what it is, and the remedy names the daily one."""
    text = '{"latitude": 37, "hourly": {"time": ["2025-07-01T00:00"], "temperature_2m": [20]}}'
    made = read(text)
    assert [t.column for t in made.troubles] == ["daily"]


def test_a_services_bad_value_is_told_by_its_day() -> None:
    """A service's answer may be one line long, so that a line says nothing."""
    text = (
        '{"latitude": 37, "daily_units": {"temperature_2m_max": "\\u00b0C"},'
        ' "daily": {"time": ["2025-07-01", "2025-07-02"], "temperature_2m_max": [30, 130]}}'
    )
    assert [t.column for t in read(text).troubles] == ["temp_max_c of 2025-07-02"]


def test_fahrenheit_by_the_hour_is_told_with_the_columns_own_name() -> None:
    """The remedy names a column that such a table has."""
    made = read("time,temp_c,rain_mm\n2025-07-01T12:00,99,0\n")
    assert made.troubles[0].remedy == "if these are Fahrenheit, say so in the column's name (temp_f)"
