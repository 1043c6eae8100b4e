"""JSON for scripts."""

from __future__ import annotations

import json
from dataclasses import dataclass
from importlib.resources import files

import jsonschema
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tideover.desk import objects as answers
from tideover.plan.call import ACTIONS
from tideover.records.own_units import all_own_first
from tideover.web.api import plain


def test_calls_hold_the_names_scripts_rely_on(client: TestClient, desk: FakeDesk) -> None:
    """One object per hive, every action there, null beyond the horizon."""
    calls = client.get("/api/calls").json()
    assert [c["hive"] for c in calls] == desk.order
    assert {c["action"] for c in calls} == set(ACTIONS)
    wanted = {
        "hive", "yard", "action", "product", "grams", "pull_by", "sure", "runway_days", "milestones", "reasons",
        "alternatives", "flags", "gates", "then",
    }  # fmt: skip
    assert wanted <= set(calls[0])
    leave = next(c for c in calls if c["action"] == "leave")
    assert leave["runway_days"] == {
        "median": None, "low": None, "high": None, "p_within_horizon": 0.12, "horizon_days": 60,
    }  # fmt: skip
    assert calls[0]["pull_by"] == "2026-08-11T14:00:00-07:00"


def test_round_and_hive(client: TestClient) -> None:
    """The round's yards and one hive's series."""
    made = client.get("/api/round").json()
    assert [y["yard"] for y in made["yards"]] == ["long-fallow", "mill-race", "quarry"]
    assert made["yards"][2]["hives"][0]["call"]["runway_days"]["median"] == 9.0
    hive = client.get("/api/hive/quarry-01").json()
    assert [b["name"] for b in hive["bands"]] == ["adults", "brood", "pollen", "honey"]
    assert hive["line"]["call"]["flags"][0]["call_without"] == "leave"


def test_pages_and_command_line_give_the_same_objects(client: TestClient, desk: FakeDesk) -> None:
    """One shape for scripts, wherever they ask; it is the shape of the schema that ships."""
    calls = client.get("/api/calls").json()
    assert calls == all_own_first([answers.call_object(c) for c in desk.calls()], "metric")
    assert client.get("/api/round").json() == all_own_first(answers.round_object(desk.round()), "metric")
    schema = json.loads(files("tideover.cli.schemas").joinpath("calls.schema.json").read_text(encoding="utf-8"))
    jsonschema.validate(calls, schema)


def test_unknown_hive_is_a_sentence_in_json(client: TestClient) -> None:
    """404 with an error, not a page."""
    answer = client.get("/api/hive/nobody")
    assert answer.status_code == 404
    assert "not in the books" in answer.json()["error"]
    assert client.get("/api/nothing").json()["error"]


def test_health_tells_the_version_of_the_books(client: TestClient, desk: FakeDesk) -> None:
    """For whoever watches the server."""
    assert client.get("/api/health").json()["books"] == desk.books.version()


def test_numbers_that_are_not_finite_become_null() -> None:
    """JSON has no word for them."""

    @dataclass
    class Holder:
        a: float
        b: tuple[float, ...]

    assert json.dumps(plain(Holder(float("nan"), (1.0, float("inf"))))) == '{"a": null, "b": [1.0, null]}'


def test_sentences_say_the_readers_own_units_first(client: TestClient) -> None:
    """As the pages do; without a choice the books' units hold."""
    for path in ("/api/calls", "/api/round", "/api/hive/quarry-01"):
        told = client.get(path, headers={"cookie": "units=metric"}).text
        turned = client.get(path, headers={"cookie": "units=us"}).text
        assert "36 °C (97 °F)" in told, path
        assert "97 °F (36 °C)" in turned, path
        assert "36 °C (97 °F)" not in turned, path
