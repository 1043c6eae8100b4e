"""The rounds on the command line: what is printed, what scripts get, and the sheets."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from tests.cli.conftest import PreparedDesk, Run
from tests.samples import round_view
from tideover.cli import schemas
from tideover.desk.views import RoundView


class OneYard(PreparedDesk):
    """The made-up round of the one yard that is in the books."""

    def round(self, day: object = None, progress: object = None) -> RoundView:
        """Nine hives, every action once."""
        return round_view((9,))


@pytest.fixture(autouse=True)
def one_yard(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands open that desk."""
    monkeypatch.setattr("tideover.desk.open_desk", OneYard, raising=False)


def test_rounds_are_printed_for_people(run: Run) -> None:
    """Days, yards, hives, the load, what could be saved and what is assumed, in the reader's units."""
    ran = run("rounds", "--units", "us")
    assert ran.code == 0, ran.err
    for words in ("Rounds from 2031-07-14", "leave ", "home ", "Load: ", "To have in hand:", "the plain rule", " mi"):
        assert words in ran.out
    assert "quarry-01: lay on patty" in ran.out


def test_rounds_for_scripts_are_one_object(run: Run) -> None:
    """Only JSON on stdout, of the published shape."""
    ran = run("rounds", "--json")
    assert ran.code == 0, ran.err
    found = json.loads(ran.out)
    jsonschema.Draft202012Validator(json.loads(schemas.text("rounds"))).validate(found)
    assert found["days"]


def test_rounds_as_sheets(run: Run, tmp_path: Path) -> None:
    """The sheets are written where they were asked for."""
    path = tmp_path / "rounds.pdf"
    ran = run("rounds", "--pdf", str(path), "--paper", "letter")
    assert ran.code == 0, ran.err
    assert path.read_bytes().startswith(b"%PDF")
    assert str(path) in ran.out
