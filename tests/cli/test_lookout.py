"""The lookout on the command line."""

from __future__ import annotations

import json
import re
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import jsonschema
import numpy as np
import pytest

from tests.cli.conftest import Run
from tideover.cli import schemas
from tideover.desk.forecast import forecast_key
from tideover.desk.lookout import YardLookout, need_g_per_day, trend, water_l
from tideover.desk.lookout_words import at_rest, look, missing, need, rests_on, share_words, temperature, volume
from tideover.records import Yard, new_entry, open_books

pytestmark = pytest.mark.usefixtures("desk")
TODAY = date(2031, 7, 14)


@pytest.fixture
def dry(books: Path) -> Path:
    """Half a year of weather that dries out, notes that fall, and a second yard with nothing."""
    with open_books(books) as opened:
        opened.put_yard(Yard("mill", "Mill", 37.3, -119.3, "America/Los_Angeles", 280.0))
        made = []
        for k in range(1, 160):
            at = datetime(2031, 7, 14, 19, tzinfo=UTC) - timedelta(days=k)
            hot = 38.0 - 0.12 * k
            values = {"temp_max": hot, "temp_min": hot - 16.0, "rain": 6.0 if k > 90 and k % 5 == 0 else 0.0}
            made.append(new_entry("weather day", "quarry", None, at, values, at))
        for k, word in ((70, "abundant"), (50, "some"), (28, "few"), (14, "none"), (4, "none")):
            at = datetime(2031, 7, 14, 17, tzinfo=UTC) - timedelta(days=k)
            made.append(new_entry("bloom note", "quarry", None, at, {"bloom": word}, at))
        opened.add(made)
    return books


def test_plain_words_first(run: Run, dry: Path) -> None:
    """The yard's first line says which way it goes, what share of the need, and the dearth."""
    ran = run("lookout", "--yard", "quarry")
    assert ran.code == 0, ran.err
    first = next(line for line in ran.out.splitlines() if line.startswith("Quarry:"))
    assert "Pollen on offer" in first
    assert "what a strong hive needs" in first
    assert "Pollen dearth for about" in first
    for part in ("litres of water", "Heat index", "Drought", "OSHA"):
        assert part in ran.out


@pytest.mark.parametrize(("units", "sign"), [("metric", "°C"), ("us", "°F")])
def test_want_of_pollen_in_winter_is_told_apart(run: Run, books: Path, units: str, sign: str) -> None:
    """In weeks too cold to fly no pollen comes in whatever flowers: that is no dearth to feed against."""
    with open_books(books) as opened:
        made = []
        for k in range(1, 160):
            at = datetime(2031, 1, 14, 19, tzinfo=UTC) - timedelta(days=k)
            values = {"temp_max": 6.0 + 0.12 * k, "temp_min": -2.0 + 0.1 * k, "rain": 3.0 if k % 5 == 0 else 0.0}
            made.append(new_entry("weather day", "quarry", None, at, values, at))
        opened.add(made)
    told = " ".join(run("lookout", "--yard", "quarry", "--day", "2031-01-14", "--units", units).out.split())
    assert f"Quarry: Too cold to fly on most days (highs of about {'7' if units == 'metric' else '44'} {sign}" in told
    assert "no reason to feed protein" in told
    assert "pollen on offer" in told


def test_cold_weeks_that_end_are_no_winter() -> None:
    """It is said only where both the weeks past and those ahead are too cold."""
    assert at_rest(5.0, 8.0, "metric")
    assert at_rest(5.0, 16.0, "metric") == ""
    assert at_rest(20.0, 8.0, "us") == ""


def test_look_asked_for_in_a_dearth_is_asked_for_its_end() -> None:
    """Today, on a day named, and not at all; out of a dearth the question is whether one is on."""
    assert look(None, TODAY, 3, "dearth") == ""
    assert look(TODAY, TODAY, 3, "dearth") == (
        "Whether the dearth is ending cannot be told without another look: a bloom note and a minute at an entrance today"
        " would tell most."
    )
    later = TODAY + timedelta(days=2)
    assert "a bloom note on Wednesday 16 July would tell most" in look(later, TODAY, 0, "dearth")
    assert "whether a dearth is on" in look(later, TODAY, 0, "pollen")


def test_look_asked_for_while_pollen_is_perhaps_back_asks_whether_the_dearth_is_over() -> None:
    """Not whether one is on by then; a day to come is one of its own beside the weekly look, today's needs no such word."""
    later = TODAY + timedelta(days=2)
    assert look(later, TODAY, 3, "perhaps back") == (
        "Whether the dearth is over cannot be told without another look: a bloom note and a minute at an entrance on"
        " Wednesday 16 July would tell most. If your weekly look falls on another day, make this one too."
    )
    assert look(TODAY, TODAY, 0, "perhaps back") == (
        "Whether the dearth is over cannot be told without another look: a bloom note today would tell most."
    )
    # a look after the day from which the end is sure asks what comes next
    assert "dearth is over" in look(later, TODAY, 3, "perhaps back", later)
    assert "it can no longer be told" in look(later, TODAY, 3, "perhaps back", TODAY + timedelta(days=1))
    for state in ("dearth", "pollen", "cannot tell", "dearth ahead"):
        assert look(later, TODAY, 3, state).endswith("If your weekly look falls on another day, make this one too.")
        assert "weekly" not in look(TODAY, TODAY, 3, state)


def test_yard_without_anything_says_what_is_missing(run: Run, dry: Path) -> None:
    """It answers from latitude alone, and says so."""
    ran = run("lookout", "--yard", "mill")
    assert ran.code == 0, ran.err
    assert "Mill: By place and time of year alone, nothing is known here yet: pollen on offer" in ran.out
    assert "No weather has been brought" in ran.out
    assert "No forecast is in the books" in ran.out


def test_json_has_the_published_shape(run: Run, dry: Path) -> None:
    """Every list of the strip is as long as its days, and two weeks lie ahead."""
    found = json.loads(run("lookout", "--json").out)
    jsonschema.Draft202012Validator(json.loads(schemas.text("lookout"))).validate(found)
    assert [y["yard"] for y in found["yards"]] == ["mill", "quarry"]
    strip = found["yards"][1]["strip"]
    assert {len(v) for v in strip.values()} == {len(strip["days"])}
    assert strip["days"][-1] == (TODAY + timedelta(days=13)).isoformat()
    assert all(a <= b <= c for a, b, c in zip(strip["low"], strip["median"], strip["high"], strict=True))
    assert strip["bloom"].count("none") == 2
    assert found["yards"][1]["alert"]["p_now"] > 0.5


def test_day_and_yard_are_obeyed(run: Run, dry: Path) -> None:
    """An earlier day knows nothing of what came after; an unknown yard is one sentence."""
    found = json.loads(run("lookout", "--json", "--day", "2031-05-20", "--yard", "quarry").out)
    assert found["today"] == "2031-05-20"
    assert found["yards"][0]["alert"]["p_now"] < 0.4
    assert run("lookout", "--yard", "nowhere").code == 2


def test_need_of_a_strong_hive() -> None:
    """100 to 165 g a day: 15,000 to 25,000 cells in 21 days at 0.14 g (derived from published figures)."""
    assert 100.0 <= need_g_per_day() <= 165.0


@pytest.mark.parametrize(
    ("share", "words"), [(0.2, "a fifth"), (0.1, "a tenth"), (0.5, "half"), (1.0, "about all"), (3.0, "twice")]
)
def test_shares_in_words(share: float, words: str) -> None:
    """Nearest plain fraction."""
    assert words in share_words(share)


def test_trend_counts_days_of_falling() -> None:
    """A fall over 16 days after a steady month is told as 16 to 20 (the week's mean trails); steady is nought."""
    steady = np.full(40, 0.0)
    falling = np.concatenate([steady, np.log(np.linspace(1.0, 0.2, 17))[1:]])
    assert -20 <= trend(list(falling)) <= -14
    assert trend(list(steady)) == 0
    assert trend(list(-falling)) > 10


def test_water_rises_with_heat() -> None:
    """None on a mild day; a quart (0.946 L) at 36 C and a gallon (3.785 L) at 44 C, to the figures' two digits."""
    assert water_l(25.0) == 0.0
    assert water_l(36.0) == pytest.approx(0.946, abs=0.01)
    assert water_l(44.0) == pytest.approx(3.8, abs=0.3)


def test_units_of_the_keeper(run: Run, dry: Path) -> None:
    """US units in the words when asked for, or when the settings say so; a gallon is 3.785 litres."""
    out = run("lookout", "--yard", "quarry", "--units", "us").out
    assert "°F in the next three days" in out
    assert "quarts of water" in out or "gallons of water" in out
    assert "litres of water" not in out
    assert volume(3.785411784, "us") == "1.0 gallons"
    assert volume(0.946352946, "us") == "1.0 quarts"
    assert temperature(38.0, "us") == "100 °F"
    with open_books(dry) as opened:
        opened.put_settings({"units": "us"})
    assert "°F in the next three days" in run("lookout", "--yard", "quarry").out


def test_forecast_bends_the_first_days_and_is_named(run: Run, dry: Path) -> None:
    """Six days of 45 C ahead raise the heat told; the forecast's dry wind is fire weather; stale, it is passed over."""
    days = [[(TODAY + timedelta(days=k)).isoformat(), 45.0, 24.0, 0.0, 7.0, 10.0] for k in range(6)]
    plain = json.loads(run("lookout", "--yard", "quarry", "--json").out)["yards"][0]
    with open_books(dry) as opened:
        opened.put_settings({forecast_key("quarry"): {"made": TODAY.isoformat(), "days": days}})
    bent = json.loads(run("lookout", "--yard", "quarry", "--json").out)["yards"][0]
    assert max(bent["strip"]["temp_max_c"][-14:-9]) > max(plain["strip"]["temp_max_c"][-14:-9]) + 4
    assert f"forecast of {TODAY}" in bent["basis"]
    assert any(c["topic"] == "fire" and c["level"] == "stop" for c in bent["cautions"])
    assert not any("No forecast" in m for m in bent["missing"])
    with open_books(dry) as opened:
        old = (TODAY - timedelta(days=6)).isoformat()
        opened.put_settings({forecast_key("quarry"): {"made": old, "days": days}})
    assert json.loads(run("lookout", "--yard", "quarry", "--json").out)["yards"][0]["basis"] == plain["basis"]


def test_unusual_rain_is_told_from_every_year_there_is(run: Run, books: Path) -> None:
    """Seven springs in the books, the last without rain: told as dry for the season, with its number of years."""
    with open_books(books) as opened:
        made = []
        for year in range(2025, 2032):
            for k in range(1, 101):
                at = datetime(year, 7, 14, 19, tzinfo=UTC) - timedelta(days=k)
                wet = 0.0 if year == 2031 else 4.0 + 0.5 * (year % 4) if k % 6 == 0 else 0.0
                values = {"temp_max": 33.0, "temp_min": 17.0, "rain": wet}
                made.append(new_entry("weather day", "quarry", None, at, values, at))
        opened.add(made)
    out = run("lookout", "--yard", "quarry").out
    assert "Rain of the last 90 days: extremely dry for the season" in out
    assert "from 6 years only" in out


def test_what_the_hives_stored_is_in_the_strip(run: Run, dry: Path) -> None:
    """A hive's look that says 0.05 of a good flow lowers the strip and raises the dearth; left out on demand."""
    with_it = json.loads(run("lookout", "--json", "--yard", "quarry", "--day", "2031-05-20").out)["yards"][0]
    without = json.loads(run("lookout", "--json", "--yard", "quarry", "--day", "2031-05-20", "--no-hives").out)
    without = without["yards"][0]
    assert with_it["heard"] == ["quarry-01"]
    assert "What the hives stored is in it, from its one hive (quarry-01)." in with_it["hives_in"]
    assert without["heard"] == []
    assert without["hives_in"] == ""
    today = with_it["strip"]["days"].index("2031-05-19")
    assert with_it["strip"]["median"][today] < 0.8 * without["strip"]["median"][today]
    assert with_it["alert"]["p_now"] > without["alert"]["p_now"]
    # a land without weather or notes is moved further, being known less
    assert "What the hives stored is in it" in run("lookout", "--yard", "quarry").out


def test_the_keepers_own_units_stand_first(run: Run, dry: Path) -> None:
    """Metric for the one and US for the other, the other system in brackets, in cautions and in the bands' source."""
    metric = run("lookout", "--yard", "quarry").out
    assert re.search(r"Heat index \d+ °C \(\d+ °F\) in the shade", metric)
    # 91, 103 and 115 F are 32.8, 39.4 and 46.1 C
    assert "lower below 33 °C (91 °F), moderate below 39 °C (103 °F), high below 46 °C (115 °F)" in metric
    us = run("lookout", "--yard", "quarry", "--units", "us").out
    assert re.search(r"Heat index \d+ °F \(\d+ °C\) in the shade", us)
    assert re.search(r"Drought \d+ of 800 \(\d+ of 203 mm\)", us)
    assert "lower below 91 °F (33 °C)" in us


def test_a_fire_ban_in_the_books_is_heeded_until_it_is_lifted(run: Run, dry: Path) -> None:
    """On since last week: no smoker is spoken of; off again: back to asking whether one holds."""
    ban = "do not light a smoker"
    assert ban not in run("lookout", "--yard", "quarry").out
    for k, event in ((7, "fire ban on"), (2, "fire ban off")):
        at = datetime(2031, 7, 14, 19, tzinfo=UTC) - timedelta(days=k)
        with open_books(dry) as opened:
            opened.add([new_entry("event", "quarry", None, at, {"event": event}, at)])
        assert (ban in run("lookout", "--yard", "quarry").out) is (k == 7)


@pytest.mark.parametrize("day", ["yesterday", "14.7.2031", "2031-02-30"])
def test_a_day_that_is_none_is_answered_in_one_sentence(run: Run, dry: Path, day: str) -> None:
    """What was given, and how a day is written."""
    ran = run("lookout", "--day", day)
    assert ran.code == 2
    assert f"'{day}' is not a day; write it as YYYY-MM-DD" in ran.err
    assert "%" not in ran.err


def test_words_say_first_what_little_they_rest_on() -> None:
    """Nothing, weather without a look, looks without weather, weather that has stopped; nothing to say with both."""
    assert "nothing is known here" in rests_on(None, TODAY, False, 3)
    assert rests_on(TODAY - timedelta(days=1), TODAY, False, 3) == "By weather alone"
    heard = rests_on(TODAY - timedelta(days=1), TODAY, False, 3, heard=True)
    assert heard == "By weather and looks at hives alone"
    assert rests_on(None, TODAY, True, 3) == "Without any weather"
    assert rests_on(date(2031, 7, 1), TODAY, True, 3) == "By the usual weather since 1 July"
    assert rests_on(TODAY - timedelta(days=3), TODAY, True, 3) == ""
    assert rests_on(TODAY - timedelta(days=3), TODAY, True, 3, 40) == "With rain known on 20 of the last 60 days only"


def test_drought_from_rain_nobody_measured_is_no_caution(run: Run, dry: Path) -> None:
    """Five weeks without a reading between old weather and yesterday's: told first, and no drought warned of."""
    assert "Drought" in run("lookout", "--yard", "quarry").out
    with open_books(dry) as opened:
        gap = [e for e in opened.entries(kind="weather day") if date(2031, 6, 5) <= e.at.date() <= date(2031, 7, 11)]
        opened.add([new_entry("withdraw", "quarry", None, e.at, {}, e.at, supersedes=e.id) for e in gap])
    out = run("lookout", "--yard", "quarry").out
    assert "Quarry: With rain known on 23 of the last 60 days only: pollen on offer" in out
    assert "Rain was not measured on 37 of the last 60 days and the usual rain of the season stands in" in out
    assert "! Drought" not in out
    told = (
        "Temperatures were not measured on 37 of the last 60 days, where the usual ones of the season stand in; pollen"
    )
    assert told in out


def test_temperatures_that_were_filled_in_are_told() -> None:
    """None of a few; a fortnight by its own number, and beside days that are missing as more."""

    def said(unknown: int, filled: int) -> str:
        return " ".join(missing(TODAY, TODAY, True, True, None, 3, "the place", 0, unknown, filled))

    assert "Temperatures" not in said(4, 6)
    assert "not measured on 14 of the last 60 days, filled in from the days beside, a farther station or a" in said(
        0, 14
    )
    assert "season stand in, and on 2 more, filled in" in said(20, 2)


def test_a_range_is_never_nought_to_nought(run: Run) -> None:
    """In the cold no bee flies: under one in a hundred, not '0 % (0 to 0 %)'."""
    out = run("lookout", "--yard", "quarry", "--no-hives", "--day", "2030-01-05").out
    assert "(0 to 0 %)" not in out
    assert "A strong hive can fetch" in out


def test_what_can_be_fetched_is_told_with_its_range_or_as_next_to_none() -> None:
    """The same sentence on page and command."""
    some, none = (SimpleNamespace(need_share=s) for s in ((0.04, 0.19, 0.87), (0.0, 0.001, 0.004)))
    assert need(cast("YardLookout", some)) == (
        "A strong hive can fetch about 19 % (4 to 87 %) of the pollen its brood needs."
    )
    assert need(cast("YardLookout", none)).startswith("A strong hive can fetch under 1 % of the pollen")
