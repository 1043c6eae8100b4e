"""``tideover card``: cards for people and for scripts."""

from __future__ import annotations

import json
from dataclasses import fields, replace

import jsonschema
import pytest

from tests.cli.conftest import HIVES, PreparedDesk, Run
from tests.samples import card, hive_view, round_view
from tideover.cli import schemas
from tideover.desk.objects import card_object
from tideover.desk.views import HiveView, RoundView
from tideover.paper.cards import does, first_signs, grouped, lines, one_for_all, rain
from tideover.plan.cards.card import Answer, Card, Cell, Row


class CardDesk(PreparedDesk):
    """The prepared desk with a card for every hive, every second one not worth a look."""

    def hive(self, hive_id: str) -> HiveView:
        """The made-up view with its card."""
        view = hive_view(hive_id)
        return replace(view, line=replace(view.line, hive=hive_id, card=card(hive_id)))

    def round(self, day: object = None, progress: object = None) -> RoundView:
        """The made-up round with cards."""
        view = round_view((4,))
        yard = view.yards[0]
        with_cards = [replace(h, card=replace(card(h.hive), worth=i % 2 == 0)) for i, h in enumerate(yard.hives)]
        return replace(view, yards=[replace(yard, hives=with_cards)])


@pytest.fixture
def cards(monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands open the desk with cards."""
    monkeypatch.setattr("tideover.desk.open_desk", CardDesk, raising=False)


@pytest.mark.usefixtures("cards")
def test_a_card_in_words_and_as_json(run: Run) -> None:
    """The same card both ways; the JSON is what its schema promises."""
    said = run("card", "--hive", HIVES[0])
    assert said.code == 0, said.err
    assert "Pollen thin band: jelly dry: lay on 115 g, jelly damp: leave, jelly floating: leave." in said.out
    assert "Good until Mon 21 Jul, or until 10 mm (0.4 in) of rain has fallen." in said.out
    told = run("card", "--hive", HIVES[0], "--json")
    found = json.loads(told.out)
    jsonschema.Draft202012Validator(json.loads(schemas.text("card"))).validate(found)
    assert [one["hive"] for one in found] == [HIVES[0]]
    assert "¼ lb" in run("card", "--hive", HIVES[0], "--units", "us").out


@pytest.mark.usefixtures("cards")
def test_every_hive_in_a_line_or_only_those_worth_a_look(run: Run) -> None:
    """Four hives, two of them worth opening."""
    assert len(json.loads(run("card", "--json").out)) == 4
    assert len(json.loads(run("card", "--worth", "--json").out)) == 2
    assert "look pays" in run("card").out


@pytest.mark.usefixtures("cards")
def test_an_unknown_hive_is_told_in_one_sentence(run: Run) -> None:
    """Exit code 2 and the nearest name."""
    ran = run("card", "--hive", "quarry-0l")
    assert ran.code == 2
    assert ran.out == ""
    assert "did you mean quarry-" in ran.err
    assert ran.err.count("\n") == 1


def test_the_schema_names_every_field() -> None:
    """A field added to a card must reach the schema."""
    defs = json.loads(schemas.text("card"))["$defs"]
    for name, kind in (("card", Card), ("cell", Cell), ("row", Row), ("answer", Answer)):
        assert set(defs[name]["properties"]) == {f.name for f in fields(kind)}, name
    good = card_object(card())
    validator = jsonschema.Draft202012Validator(json.loads(schemas.text("card")))
    assert validator.is_valid([good])
    assert not validator.is_valid([{**good, "same": 1.2}])


def test_rows_that_say_the_same_are_one_row() -> None:
    """Words for pollen with the same three answers stand together; the whole table in one line where it can."""
    assert [words for words, _ in grouped(card())] == ["none", "scattered", "thin band", "broad band"]
    assert [words for words, _ in grouped(card(same=True))] == ["none or scattered or thin band or broad band"]
    assert one_for_all(card()) is None
    same = one_for_all(card(same=True))
    assert same is not None
    assert does(same, both=True) == "lay on 115 g (¼ lb)"
    assert any(text.startswith("Whatever the brood comb shows") for text in lines(card(same=True)))
    assert any("old piece comes off" in text for text in lines(card(first_off=True)))


def test_first_signs_and_rain_in_both_units() -> None:
    """10 mm is 0.4 in (25.4 mm an inch, exact)."""
    assert rain(10) == "10 mm (0.4 in)"
    assert rain(10, "us") == "0.4 in (10 mm)"
    assert "disease signs: see to the cause first" in first_signs(card())
    assert "give sugar 4 kg" in first_signs(card())
