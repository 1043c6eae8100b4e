"""Eighths of a side into bees, cells and grams, against published worked examples."""

from __future__ import annotations

import pytest

from tideover.comb.sides import FACTORS, Side, amounts, measure, totals


def standard(*sides: Side) -> dict[str, float]:
    """Amounts by the standard factor of each content."""
    return {c: found[0][1] for c, found in amounts(totals(sides)).items()}


def test_a_full_zander_side() -> None:
    """1,000 bees, 3,200 worker cells, 1 kg food (bees-online.at, read second-hand; Zander face 8 dm2)."""
    assert standard(Side("zander", {"bees": 8.0}))["bees"] == pytest.approx(1000.0, rel=0.001)
    assert standard(Side("zander", {"capped": 8.0}))["capped"] == pytest.approx(3200.0, rel=0.002)
    assert standard(Side("zander", {"honey": 8.0}))["honey"] == pytest.approx(1000.0, rel=0.001)


def test_the_published_example_of_one_side() -> None:
    """4/8 capped food, 1/8 capped brood, 2/8 bees on a Zander side are 500 g, 400 cells, 250 bees
    (the page's own example, bees-online.at, read second-hand)."""
    found = standard(Side("zander", {"honey": 4.0, "capped": 1.0, "bees": 2.0}))
    assert found["honey"] == pytest.approx(500.0, rel=0.001)
    assert found["capped"] == pytest.approx(400.0, rel=0.002)
    assert found["bees"] == pytest.approx(250.0, rel=0.001)


def test_sums_over_a_whole_hive() -> None:
    """About 17,000 bees are 136 eighths of Zander sides (mueggelland.de with arithmetic, read second-hand)."""
    sides = [Side("zander", {"bees": 6.8}) for _ in range(20)]
    assert standard(*sides)["bees"] == pytest.approx(17_000.0, rel=0.001)


def test_alternatives_have_names_and_published_values() -> None:
    """Both sides of a deep comb full of bees: 1,900 single layer (Kauffeld), 2,430 to the limit (Burgett & Burikam 1985),
    1,400 mean of occupied combs (Simpson 1969)."""
    both = [Side("deep", {"bees": 8.0})] * 2
    found = {f.name: v for f, v in amounts(totals(both))["bees"]}
    assert found["single layer"] == pytest.approx(1900.0, rel=0.01)
    assert found["to the limit"] == pytest.approx(2430.0, rel=0.01)
    assert found["occupied average"] == pytest.approx(1400.0, rel=0.02)
    assert all(f.source for fs in FACTORS.values() for f in fs)


def test_not_judged_is_not_nothing() -> None:
    """A content judged on no side is left out; judged as none it is zero."""
    sums = totals([Side("deep", {"bees": 4.0, "eggs": 0.0}), Side("deep", {"bees": 2.0})])
    assert sums.dm2.keys() == {"bees", "eggs"}
    assert sums.dm2["eggs"] == 0.0
    assert sums.sides == {"bees": 2, "eggs": 1}
    assert measure("eggs") == measure("open") == "cells"


@pytest.mark.parametrize("wrong", [{"bees": 8.5}, {"capped": -1.0}, {"wax": 2.0}])
def test_no_face_holds_that(wrong: dict[str, float]) -> None:
    """More than eight eighths, less than none, or a content nobody knows is refused in one sentence."""
    with pytest.raises(ValueError, match="from 0 to 8"):
        Side("deep", wrong)
