"""The smallest change put into the task: the mix it promises is there, and no more gave way than was said."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from tests.patty.kitchen_help import raw
from tideover.patty.kitchen.formulate import formulate
from tideover.patty.kitchen.give_way import with_changes
from tideover.patty.kitchen.ingredients import pantry
from tideover.patty.kitchen.task import read_task

TASKS: list[dict[str, Any]] = [
    {"limits": {"protein_min": 25, "sugar_min": 50, "water_min": 20}},
    {"limits": {"omega_ratio_max": 0.2}},
    {"limits": {"score_min": 1.8}},
    {"aim": "most protein", "budget": 2},
    {
        "ingredients": [
            {"name": "soy flour, defatted", "price_kg": 1.5},
            {"name": "white sugar", "price_kg": 1},
            "water",
        ]
    },
    {
        "ingredients": [
            {"name": "soy flour, defatted", "price_kg": 1.5, "max": 10},
            {"name": "Egg white, dried", "price_kg": 12, "max": 1},
            {"name": "white sugar", "price_kg": 1},
            {"name": "rapeseed oil", "price_kg": 2},
            "water",
        ]
    },
]


@pytest.mark.parametrize("changes", TASKS)
def test_with_the_change_there_is_a_mix(changes: dict[str, Any]) -> None:
    """Limits, amino acids, money and bounds of single ingredients; the task asked for is left as it was."""
    asked = raw(**changes)
    before = repr(asked)
    mix = formulate(read_task(asked), prices=False)
    assert not mix.found
    assert mix.changes
    given = with_changes(asked, mix.changes)
    assert repr(asked) == before
    assert formulate(read_task(given), prices=False).found


@pytest.mark.parametrize("seed", range(40))
def test_at_random_the_change_said_is_enough(seed: int) -> None:
    """Six ingredients of the book at random and limits too strict for most: what is said to be enough is enough."""
    rng = np.random.default_rng(8000 + seed)
    names = [n for n, one in pantry().items() if one.mind != "health" and n not in ("water", "white sugar")]
    items: list[Any] = [{"name": str(n), "price_kg": 2.0} for n in rng.choice(names, 6, replace=False)]
    items += [{"name": "white sugar", "price_kg": 1.0}, "water"]
    limits = {"protein_min": float(rng.uniform(15, 35)), "sugar_min": float(rng.uniform(40, 55))}
    asked = {"batch_kg": 10, "ingredients": items, "limits": limits}
    mix = formulate(read_task(asked), prices=False)
    if not mix.found and mix.changes:
        assert formulate(read_task(with_changes(asked, mix.changes)), prices=False).found
