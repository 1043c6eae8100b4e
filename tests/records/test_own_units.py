"""Pairs of units turned so that the keeper's own stands first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.own_units import assert_own_first, cautions
from tideover.plan.safety import CAUTIONS
from tideover.records.own_units import all_own_first, own_first


@pytest.mark.parametrize(
    ("metric", "us"),
    [
        ("38 °C (100 °F) at noon", "100 °F (38 °C) at noon"),
        ("-12 °C (10 °F) or colder", "10 °F (-12 °C) or colder"),
        ("weighs 36-41 kg (80-90 lb).", "weighs 80-90 lb (36-41 kg)."),
        ("Drought 160 of 203 mm (630 of 800): ask", "Drought 630 of 800 (160 of 203 mm): ask"),
        ("wind 9 m/s (20 mph) in air of 20 % humidity", "wind 20 mph (9 m/s) in air of 20 % humidity"),
        ("A litre (a quart) of water", "A quart (a litre) of water"),
        ("shade and a litre (a quart) of water", "shade and a quart (a litre) of water"),
        ("1,250 g (2¾ lb) and 5 l (1 gal)", "2¾ lb (1,250 g) and 1 gal (5 l)"),
        ("48 km/h (30 mph) over 12.5 km (7.8 mi)", "30 mph (48 km/h) over 7.8 mi (12.5 km)"),
    ],
)
def test_a_pair_is_turned_and_turned_back(metric: str, us: str) -> None:
    """Each keeper reads the same sentence with his own units first, whichever way it was written."""
    assert own_first(metric, "us") == us
    assert own_first(us, "metric") == metric
    assert own_first(metric, "metric") == metric
    assert own_first(us, "us") == us


@pytest.mark.parametrize(
    "text",
    [
        "40 °C, humidity taken as 30 %", "about 14 (9 to 20) days", "quarry-03 (2 tasks)", "5 kg (in two goes)",
        "10 of 11 hives (3 late)", "2 g (see page 3)", "a litre an hour",
    ],
)  # fmt: skip
def test_what_is_no_pair_stays(text: str) -> None:
    """A quantity in one system, and brackets that hold something else, are left alone."""
    assert own_first(text, "us") == own_first(text, "metric") == text


def test_cautions_turned_are_those_written_for_us_units() -> None:
    """Turning what is written metric first gives word for word what is written for a keeper in US units."""
    assert tuple(own_first(c, "us") for c in cautions()) == cautions(us=True)


@pytest.mark.parametrize("units", ["metric", "us"])
def test_standing_cautions_turn_either_way(units: str) -> None:
    """Every amount in the standing cautions has its pair in the other system."""
    for c in CAUTIONS:
        assert_own_first(own_first(f"{c.short} {c.text}", units), units, least=0)
    whole = " ".join(own_first(f"{c.short} {c.text}", units) for c in CAUTIONS)
    assert_own_first(whole, units, least=8)


@given(st.text(alphabet="0123456789 .,()-°CFkglbm/shofin¼A", max_size=60), st.sampled_from(["metric", "us"]))
def test_turning_twice_changes_nothing_more(text: str, units: str) -> None:
    """Whatever the text: once turned it stays, and no letter of it is lost."""
    once = own_first(text, units)
    assert own_first(once, units) == once
    assert sorted(once.lower()) == sorted(text.lower())


def test_plain_values_are_turned_where_they_are_sentences() -> None:
    """Numbers, nothing and names stay; lists and objects are gone through."""
    made = {"a": ["38 °C (100 °F)", 3, None], "b": {"c": "quarry"}}
    assert all_own_first(made, "us") == {"a": ["100 °F (38 °C)", 3, None], "b": {"c": "quarry"}}
