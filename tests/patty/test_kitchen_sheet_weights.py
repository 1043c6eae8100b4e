"""What the sheet prints is weighed on a scale: in every unit it adds up to the batch, bags and stock included."""

from __future__ import annotations

import re
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.patty.kitchen_help import PRICES, raw
from tideover.paper.batch import buying, piece_words, weighed
from tideover.patty.kitchen.batch import Sheet, sheet
from tideover.patty.kitchen.formulate import Mix, formulate
from tideover.patty.kitchen.task import read_task

OUNCE_G = 28.349523125
"""Exact: a sixteenth of the international avoirdupois pound."""
GRAMS = {"g": 1.0, "kg": 1000.0, "lb": 16.0 * OUNCE_G, "oz": OUNCE_G}


def read_back(text: str) -> tuple[float, float]:
    """Grams that a printed weight says, and half of its last digit in grams."""
    grams = step = 0.0
    for number, unit in re.findall(r"([\d.]+) (kg|g|lb|oz)", text):
        grams += float(number) * GRAMS[unit]
        places = len(number.partition(".")[2])
        step = 0.5 * 10.0**-places * GRAMS[unit]
    # pounds without ounces are rounded to a tenth of an ounce, and small weights print no trailing zeros
    if "lb" in text:
        step = 0.05 * OUNCE_G
    elif "oz" in text:
        step = 0.005 * OUNCE_G
    return grams, step


def mixed(**changes: Any) -> tuple[Mix, Sheet]:
    """A mix and its sheet."""
    mix = formulate(read_task(raw(**changes)), prices=False)
    return mix, sheet(mix)


@settings(max_examples=60, deadline=None)
@given(st.floats(1e-4, 5000.0))
def test_a_printed_weight_is_the_weight(kilograms: float) -> None:
    """To half its last digit, in either unit; that half is under 0.35 % of the weight, or under half a gram."""
    for units in ("metric", "us"):
        grams, step = read_back(weighed(kilograms, units))
        assert grams == pytest.approx(1000.0 * kilograms, abs=step + 1e-9)
        assert step <= max(0.5, 0.0035 * 1000.0 * kilograms)


@pytest.mark.parametrize("batch", [{"batch_g": 700}, {"batch_kg": 20}, {"batch_lb": 44}, {"batch_oz": 27},
                                   {"batch_kg": 1500}], ids=str)  # fmt: skip
@pytest.mark.parametrize("units", ["metric", "us"])
def test_printed_weights_add_to_the_batch(batch: dict[str, float], units: str) -> None:
    """Asked in any unit, printed in either: the lines add to the batch to within their own last digits."""
    size = 1000.0 * (read_task(raw(batch_kg=None) | batch).batch_kg or 0.0)
    asked = sum(v * GRAMS[k.partition("_")[2]] for k, v in batch.items())
    assert size == pytest.approx(asked)
    _, made = mixed(**({"batch_kg": None} | batch))
    lines = [read_back(weighed(w.kilograms, units)) for w in made.weighings]
    total, step = read_back(weighed(made.total_kg, units))
    slack = sum(s for _, s in lines)
    assert sum(g for g, _ in lines) == pytest.approx(asked, abs=slack + 1e-6)
    assert total == pytest.approx(asked, abs=step + 1e-6)
    assert sum(w.share for w in made.weighings) == pytest.approx(100.0)


def test_pieces_and_the_rest_are_told_and_make_the_batch() -> None:
    """Ten kilograms in pieces of 450 g: 22 pieces and 100 g over, protein and money in each."""
    mix, made = mixed(batch_kg=10, piece_g=450)
    said = piece_words(made, "metric")
    assert said.startswith("22 pieces of 450 g (1 lb), ")
    assert "; 100 g over." in said
    assert f"{0.45 * 1000 * 0.18:.1f} g protein" in said
    assert f"{mix.spend / 10 * 0.45:.2f} USD in each" in said
    assert "over" not in piece_words(mixed(batch_kg=None, batch_lb=4, piece_lb=1)[1], "us")


def test_bags_are_told_with_their_size_and_what_is_left() -> None:
    """Sugar in bags of 5 kg: as many as are needed and no more; what was bought is what went in and what is left."""
    items = [{"name": n, "price_kg": p} for n, p in PRICES.items()] + ["water"]
    for one in items:
        if isinstance(one, dict) and one["name"] == "white sugar":
            one |= {"bag_kg": 5.0, "stock_kg": 1.0}
    mix, made = mixed(ingredients=items)
    (sugar,) = [w for w in made.weighings if w.name == "white sugar"]
    assert sugar.bags == pytest.approx(mix.bought["white sugar"] / 5.0)
    assert 1.0 + 5.0 * sugar.bags == pytest.approx(sugar.kilograms + sugar.left_kg)
    assert sugar.left_kg < 5.0
    assert buying(sugar, "metric").startswith(f"{sugar.bags} bags of 5.00 kg, {weighed(sugar.left_kg, 'metric')} left")
    assert "11 lb" in buying(sugar, "us")


def test_what_comes_from_the_shed_is_not_bought() -> None:
    """All, or the rest of it; what is bought as it goes in needs no word."""
    items = [{"name": n, "price_kg": p} for n, p in PRICES.items()] + ["water"]
    for one in items:
        if isinstance(one, dict) and one["name"] in ("white sugar", "rapeseed oil"):
            one["stock_kg"] = 2.0
    by_name = {w.name: buying(w, "metric") for w in mixed(ingredients=items)[1].weighings}
    assert by_name["white sugar"].endswith("kg, the rest from the shed")
    assert by_name["soy flour, defatted"] == ""
    if "rapeseed oil" in by_name:
        assert by_name["rapeseed oil"] == "from the shed"
