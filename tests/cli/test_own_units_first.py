"""Every command that tells cautions says the keeper's own units first."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from tests.cli.conftest import PreparedDesk, Run
from tests.own_units import assert_own_first, cautions
from tests.samples import call, round_view
from tideover.desk.views import HiveView, RoundView
from tideover.plan.call import Call


@pytest.fixture
def warned(desk: None, monkeypatch: pytest.MonkeyPatch) -> None:
    """The yard asks for every caution."""

    def made(prepared: PreparedDesk, *args: object, **kwargs: object) -> RoundView:
        view = round_view()
        lines = [replace(view.yards[0].hives[0], hive=c.hive, yard="quarry", call=c) for c in prepared.calls()]
        return replace(view, yards=[replace(view.yards[0], yard="quarry", cautions=cautions(), hives=lines)])

    monkeypatch.setattr("tests.cli.conftest.PreparedDesk.round", made)


@pytest.mark.usefixtures("warned")
@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_round_in_words_and_for_scripts(run: Run, units: str) -> None:
    """Words and JSON say the same cautions, in the units asked for."""
    told = run("round", "--units", units).out
    assert_own_first(told, units, 6)
    found = json.loads(run("round", "--units", units, "--json").out)
    for yard in found["yards"]:
        assert tuple(yard["cautions"]) == cautions(us=units == "us")
    for caution in cautions(us=units == "us"):
        assert f"! {caution}" in told


@pytest.mark.usefixtures("warned")
@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_rounds_in_words_and_for_scripts(run: Run, units: str) -> None:
    """The coming days tell the cautions of today's yards, like the page and the sheets."""
    told = run("rounds", "--units", units).out
    assert_own_first(told, units)
    found = json.loads(run("rounds", "--units", units, "--json").out)
    shown = [c for d in found["days"] for s in d["stops"] for c in s["cautions"]]
    assert_own_first(json.dumps(found, ensure_ascii=False), units)
    for caution in shown:
        assert caution in cautions(us=units == "us")
        assert caution in told


@pytest.mark.usefixtures("desk")
@pytest.mark.parametrize("command", [("calls",), ("hive", "quarry-01")])
def test_calls_and_hives_follow_the_books_units(run: Run, command: tuple[str, ...]) -> None:
    """Summaries, gates and weights; a weight alone is in the keeper's own unit."""
    for units, other in (("metric", " lb "), ("us", " g ")):
        run("settings", "--set", f"units={units}")
        told = run(*command).out
        assert_own_first(told, units, least=0)
        table = told.partition("Patties")[2].partition("Entries")[0]
        assert other not in table


@pytest.mark.usefixtures("desk")
@pytest.mark.parametrize("command", [("calls",), ("hive", "quarry-01")])
def test_sentences_for_scripts_follow_the_books_units(
    run: Run, command: tuple[str, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Gates of calls given as JSON say what the words say."""
    hot = "In 38 °C (100 °F) give 14 lb (6.4 kg) of sugar."
    made = PreparedDesk.hive

    def warned_call(hive_id: str) -> Call:
        plain = call(hive_id)
        return replace(plain, gates=tuple(replace(g, do=hot) for g in plain.gates))

    def view(prepared: PreparedDesk, hive_id: str) -> HiveView:
        found = made(prepared, hive_id)
        return replace(found, line=replace(found.line, call=warned_call(hive_id)))

    monkeypatch.setattr(PreparedDesk, "hive", view)
    monkeypatch.setattr(PreparedDesk, "calls", lambda prepared, progress=None: [warned_call("quarry-01")])
    for units, told in (
        ("metric", "In 38 °C (100 °F) give 6.4 kg (14 lb) of sugar."),
        ("us", "In 100 °F (38 °C) give 14 lb (6.4 kg) of sugar."),
    ):
        run("settings", "--set", f"units={units}")
        found = json.loads(run(*command, "--json").out)
        gates = (found[0] if command == ("calls",) else found["line"]["call"])["gates"]
        assert [g["do"] for g in gates] == [told]
