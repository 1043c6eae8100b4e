"""A year either side of the equator, and the page that tells it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Final

import numpy as np
import pytest

from tideover.checks.colony_years import CLIMATES, Climate, plain_year, year

ROOT: Final = Path(__file__).parents[2]


@pytest.mark.parametrize("climate", CLIMATES, ids=lambda c: c.name)
def test_year_is_the_same_on_the_other_side_of_the_equator(climate: Climate) -> None:
    """With months turned and latitude negated the year counted from midwinter has its peak within twelve days and
    within a twentieth in size, and eats as much pollen within a tenth: nothing knows a month."""
    north, south = plain_year(climate), year(climate.mirrored())
    a, b = north.series("adults"), south.series("adults")

    assert abs(int(a.argmax()) - int(b.argmax())) <= 12
    assert b.max() == pytest.approx(a.max(), rel=0.05)
    assert south.total("bread_eaten_g") == pytest.approx(north.total("bread_eaten_g"), rel=0.1)


def test_brood_turns_before_bees_do() -> None:
    """In every climate the most brood stands before the most bees, by at least a week (bees are reared first)."""
    for climate in CLIMATES:
        one = plain_year(climate)
        brood = one.series("open") + one.series("capped")
        assert int(one.series("adults").argmax()) - int(brood.argmax()) >= 7


def test_page_of_years_tells_what_the_model_says() -> None:
    """The kept result behind docs/science/years.md is that of the model as it is, to a hundredth."""
    kept = json.loads((ROOT / "benchmarks" / "results" / "years.json").read_text(encoding="utf-8"))["places"]
    for name, climate in zip(("temperate", "humid", "mediterranean"), CLIMATES, strict=True):
        one = plain_year(climate)
        assert kept[name]["most bees"]["first"] == pytest.approx(float(one.series("adults").max()), rel=0.01), (
            "run it again"
        )
        assert kept[name]["bees reared"]["first"] == pytest.approx(one.total("emerged"), rel=0.01)
        assert (ROOT / "docs" / "science" / f"years-{name}.svg").stat().st_size < 60_000
    assert np.isfinite([v for place in kept.values() for told in place.values() for v in told.values()]).all()
