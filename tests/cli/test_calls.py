"""Calls and rounds: tables for people, JSON for scripts."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest
from pypdf import PdfReader

from tests.cli.conftest import HIVES, Run
from tideover.cli import schemas
from tideover.plan.call import ACTIONS

pytestmark = pytest.mark.usefixtures("desk")


def validate(name: str, text: str) -> object:
    """Parse JSON text and hold it against one of the shipped schemas."""
    found = json.loads(text)
    schema = json.loads(schemas.text(name))
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(found)
    return found


def test_calls_json_is_one_object_per_hive_in_the_published_shape(run: Run) -> None:
    """The shape is the schema's; every name a script may rely on is there."""
    ran = run("calls", "--json")
    assert (ran.code, ran.err) == (0, "")
    calls = validate("calls", ran.out)
    assert isinstance(calls, list)
    assert [one["hive"] for one in calls] == list(HIVES)
    assert [one["action"] for one in calls] == list(ACTIONS)
    first = calls[0]
    names = (
        "hive", "yard", "action", "product", "grams", "pull_by", "sure", "runway_days", "milestones", "reasons",
        "alternatives", "flags", "gates",
    )  # fmt: skip
    assert set(names) <= set(first)
    assert set(first["runway_days"]) >= {"median", "low", "high", "p_within_horizon"}
    assert first["grams"] == pytest.approx(453.59237)
    assert first["pull_by"] == "2031-07-20T09:30:00+00:00"
    assert first["alternatives"][0]["bees_at_winter"] == {"median": 14200, "low": 9800, "high": 18900}


def test_calls_of_one_hive_for_another_day(run: Run) -> None:
    """--hive picks hives and --day answers for a day."""
    ran = run("calls", "--hive", HIVES[1], "--json")
    assert [one["hive"] for one in json.loads(ran.out)] == [HIVES[1]]
    ran = run("calls", "--day", "2031-08-01", "--json")
    assert {one["made_for"] for one in json.loads(ran.out)} == {"2031-08-01"}


def test_calls_table_is_plain_in_a_pipe(run: Run) -> None:
    """Not at a terminal: columns of words, no colour codes, one line per hive, action in words."""
    ran = run("calls")
    assert ran.code == 0
    assert "\x1b" not in ran.out
    rows = {row.split()[0]: row for row in ran.out.splitlines() if row.startswith("quarry-")}
    assert list(rows) == list(HIVES)
    for hive, action in zip(HIVES, ACTIONS, strict=True):
        assert f"  {action}  " in rows[hive]
    assert "455 g (1 lb) patty" in rows[HIVES[0]]
    assert "Sun 20 Jul 09:30" in rows[HIVES[0]]


def test_calls_follow_the_units_of_the_books(run: Run) -> None:
    """Pounds stand first once the keeper has said so."""
    run("settings", "--set", "units=us")
    assert "1 lb (455 g) patty" in run("calls").out


def test_calls_at_a_terminal_are_a_table_of_words(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    """At a terminal the ruled table still says each call in words."""
    monkeypatch.setattr("sys.stdout.isatty", lambda: True)
    monkeypatch.setenv("COLUMNS", "200")
    ran = run("calls")
    for action in ACTIONS:
        assert action in ran.out


@pytest.mark.parametrize("words", [("calls", "--hive", "quary-03"), ("hive", "quary-03")])
def test_unknown_hive_is_one_sentence_with_near_names(run: Run, words: tuple[str, ...]) -> None:
    """A mistyped hive is answered with the nearest ones."""
    ran = run(*words)
    assert ran.code == 2
    assert ran.out == ""
    assert ran.err.count("\n") == 1
    assert "quarry-03" in ran.err


def test_round_json_has_the_published_shape(run: Run) -> None:
    """Yards, loads, cautions, hives and their calls."""
    found = validate("round", run("round", "--json").out)
    assert isinstance(found, dict)
    assert [yard["name"] for yard in found["yards"]] == ["Quarry", "Mill Race", "Long Fallow"]
    assert sum(len(yard["hives"]) for yard in found["yards"]) == 26


def test_round_for_reading_says_land_load_and_cautions(run: Run) -> None:
    """What to load stands first; cautions stand with their yard."""
    ran = run("round")
    assert ran.out.startswith("Round of Mon 14 Jul 2031: load 7.26 kg (16 lb) patty and 3 kg (6½ lb) sugar")
    assert "Mill Race: Pollen on offer is low" in ran.out
    assert "! Fire-ban day: no smoker lit." in ran.out


def test_round_is_printed_on_the_paper_asked_for(run: Run, tmp_path: Path) -> None:
    """--pdf writes the sheet; --json may go with it."""
    sheet = tmp_path / "round.pdf"
    ran = run("round", "--pdf", sheet, "--paper", "letter")
    assert ran.out == f"The sheet is in {sheet}\n"
    assert float(PdfReader(sheet).pages[0].mediabox.width) == 612
    ran = run("round", "--pdf", sheet, "--json")
    assert json.loads(ran.out)["day"] == "2031-07-14"


def test_hive_says_call_reasons_and_plans(run: Run) -> None:
    """One hive at a glance: call, why, what to look for, plans compared, patties, entries."""
    ran = run("hive", HIVES[0])
    assert ran.code == 0
    assert "Call: lay on, 455 g (1 lb) patty (83 % sure)" in ran.out
    for part in ("Why", "Look for", "Plans compared", "half a pound now", "Patties", "Entries", "0a1b2c3d"):
        assert part in ran.out
    found = json.loads(run("hive", HIVES[0], "--json").out)
    assert found["line"]["call"]["action"] == "lay on"
    assert found["today"] == "2031-07-14"


def test_no_hives_is_said(run: Run, tmp_path: Path) -> None:
    """Empty books give an empty list for scripts and a sentence for people."""
    from tideover.records import open_books

    empty = tmp_path / "empty.db"
    open_books(empty).close()
    assert json.loads(run("--books", empty, "calls", "--json").out) == []
    assert run("--books", empty, "calls").out == "No hive is in the books yet.\n"
