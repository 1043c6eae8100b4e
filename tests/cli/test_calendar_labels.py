"""``tideover calendar``, ``labels`` and ``round --csv``."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from icalendar import Calendar

from tests.cli.conftest import HIVES, Run
from tideover.paper.round_csv import COLUMNS


@pytest.fixture(autouse=True)
def no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rounds' planner has tests of its own."""
    monkeypatch.setattr("tideover.cli.commands.calendar.planned", lambda desk: None)


@pytest.mark.usefixtures("desk")
def test_the_calendar_is_written_and_read_back(run: Run, tmp_path: Path) -> None:
    """One pull-by; written twice it is the same event with the same SEQUENCE."""
    out = tmp_path / "rounds.ics"
    ran = run("calendar", "--out", out)
    assert ran.code == 0, ran.err
    assert "1 events" in ran.out or "1 event" in ran.out
    (first,) = Calendar.from_ical(out.read_bytes()).walk("VEVENT")
    assert run("calendar", "--out", out).code == 0
    (second,) = Calendar.from_ical(out.read_bytes()).walk("VEVENT")
    assert (first["uid"], int(first["sequence"])) == (second["uid"], int(second["sequence"]))
    found = json.loads(run("calendar", "--json").out)
    assert [(one["kind"], one["sequence"], one["cancelled"]) for one in found] == [("pull-by", 0, False)]


@pytest.mark.usefixtures("desk")
def test_the_feed_has_an_address_that_can_be_changed(run: Run) -> None:
    """The address is told, stays, and changes when asked; settings do not show it."""

    def feed(said: str) -> str:
        begin = said.index("/calendar/")
        return said[begin : said.index(".ics", begin)]

    first = feed(run("calendar").out)
    assert feed(run("calendar").out) == first
    assert feed(run("calendar", "--new-address").out) != first
    assert "calendar:" not in run("settings").out


@pytest.mark.usefixtures("desk")
def test_a_folder_that_is_not_there_is_told(run: Run, tmp_path: Path) -> None:
    """One sentence, exit code 2, nothing written."""
    ran = run("calendar", "--out", tmp_path / "no" / "x.ics")
    assert ran.code == 2
    assert "there is no folder" in ran.err
    assert ran.err.count("\n") == 1


def test_labels_are_written_for_hives(run: Run, tmp_path: Path) -> None:
    """A PDF, and what the codes hold is said."""
    out = tmp_path / "labels.pdf"
    ran = run("labels", "--out", out)
    assert ran.code == 0, ran.err
    assert f"{len(HIVES)} labels" in ran.out
    assert "plain names" in ran.out
    assert out.read_bytes().startswith(b"%PDF")
    assert run("settings", "--set", "address=http://hives.local:8737/").code == 0
    assert "plain names" not in run("labels", "--out", out).out


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--yard", "quarry", "--batch", "K7"), "sheets of their own"),
        (("--batch", "K7"), "write the batch down first"),
        (("--yard", "nowhere"), "nowhere"),
    ],
)
def test_labels_that_cannot_be_made_are_told(run: Run, tmp_path: Path, words: tuple[str, ...], says: str) -> None:
    """One sentence, exit code 2, no file."""
    ran = run("labels", "--out", tmp_path / "l.pdf", *words)
    assert ran.code == 2
    assert says in ran.err
    assert ran.err.count("\n") == 1
    assert not (tmp_path / "l.pdf").exists()


def test_an_address_no_phone_opens_is_refused(run: Run) -> None:
    """Said in one sentence, nothing written."""
    ran = run("settings", "--set", "address=hives.local")
    assert ran.code == 2
    assert "wanted one such as http://" in ran.err


@pytest.mark.usefixtures("desk")
def test_the_round_as_a_table(run: Run, tmp_path: Path) -> None:
    """CSV with the documented columns and a line per hive."""
    out = tmp_path / "round.csv"
    assert run("round", "--csv", out).code == 0
    found = list(csv.DictReader(io.StringIO(out.read_bytes().decode("utf-8"), newline="")))
    assert list(found[0]) == [name for name, _ in COLUMNS]
    assert len(found) == 26
