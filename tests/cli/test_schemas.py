"""The JSON Schemas that ship: sound in themselves, and true of what is printed."""

from __future__ import annotations

import json
from dataclasses import fields

import jsonschema
import pytest

from tests.cli.conftest import Run
from tests.samples import call, hive_view, round_view
from tideover.cli import schemas
from tideover.desk.objects import as_text, call_object, plain, round_object
from tideover.plan.call import ACTIONS, Alternative, Call, Flag, Gate, Reason


@pytest.mark.parametrize("name", schemas.names())
def test_schema_is_sound_and_printed(name: str, run: Run) -> None:
    """Each is valid JSON Schema 2020-12 and is printed by `tideover schema NAME`."""
    ran = run("schema", name)
    assert ran.code == 0
    schema = json.loads(ran.out)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    jsonschema.Draft202012Validator.check_schema(schema)
    assert name in run("schema").out.split()


@pytest.mark.parametrize("name", ["calls", "checks", "figures", "round"])
def test_promised_schema_ships(name: str) -> None:
    """Scripts may rely on these four."""
    assert name in schemas.names()


def test_schema_names_every_field_of_a_call() -> None:
    """A field added to a call, gate, reason, flag or alternative must reach the schema."""
    defs = json.loads(schemas.text("calls"))["$defs"]
    renamed = {"runway": "runway_days", "then_": "then"}
    assert set(defs["call"]["properties"]) == {renamed.get(f.name, f.name) for f in fields(Call)}
    for name, kind in (("gate", Gate), ("reason", Reason), ("flag", Flag), ("alternative", Alternative)):
        assert set(defs[name]["properties"]) == {f.name for f in fields(kind)}, name
    assert tuple(defs["action"]["enum"]) == ACTIONS


def test_schema_refuses_what_is_not_a_call() -> None:
    """A wrong action, a probability above one and a missing reason list are caught."""
    validator = jsonschema.Draft202012Validator(json.loads(schemas.text("calls")))
    good = call_object(call())
    assert validator.is_valid([good])
    assert not validator.is_valid([{**good, "action": "feed"}])
    assert not validator.is_valid([{**good, "sure": 1.2}])
    assert not validator.is_valid([{key: value for key, value in good.items() if key != "reasons"}])


def test_figures_json_has_the_published_shape(run: Run) -> None:
    """Every figure with value, range, unit, source and how it is known."""
    found = json.loads(run("figures", "--json").out)
    jsonschema.Draft202012Validator(json.loads(schemas.text("figures"))).validate(found)
    sources = {one["key"] for one in found["sources"]}
    assert len(found["figures"]) > 50
    for row in found["figures"]:
        assert row["known"]
        assert set(row["sources"]) <= sources


def test_figures_of_one_subject(run: Run) -> None:
    """A key or its beginning picks rows, for people and for scripts."""
    found = json.loads(run("figures", "brood.egg_days", "--json").out)
    assert [row["key"] for row in found["figures"]] == ["brood.egg_days"]
    shown = run("figures", "brood.egg_days").out
    assert "brood.egg_days" in shown
    assert "adults." not in shown


def test_checks_json_has_the_published_shape(run: Run) -> None:
    """Every outside check with expected, ours and verdict."""
    ran = run("checks", "--json")
    assert ran.code == 0, ran.err
    found = json.loads(ran.out)
    jsonschema.Draft202012Validator(json.loads(schemas.text("checks"))).validate(found)
    observed = [one for one in found if one["kind"] == "observed" and not one["used_as_input"]]
    assert len(observed) >= 12
    assert f"of {len(found)} agree." in run("checks").out


def test_json_has_no_words_for_numbers() -> None:
    """Numbers that are not finite become null; dates ISO text; tuples lists."""
    assert plain((float("nan"), float("inf"), 1.5, None, True)) == [None, None, 1.5, None, True]
    assert json.loads(as_text(plain(hive_view())))["today"] == "2031-07-14"
    assert json.loads(as_text(round_object(round_view())))["yards"][0]["index"]["median"] == 0.06
