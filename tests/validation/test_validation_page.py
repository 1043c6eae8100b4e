"""The page of validation is made of the kept results, and those are large enough to say what it says."""

from __future__ import annotations

from types import ModuleType

import pytest

from benchmarks import calibration, robust, runway
from benchmarks.pages import kept, part_of


@pytest.mark.parametrize("module", [calibration, robust, runway], ids=lambda m: m.__name__.rpartition(".")[2])
def test_page_is_made_of_the_kept_result(module: ModuleType) -> None:
    """Every table is what the kept result gives, to the letter, and tells the version it was measured on."""
    name = module.__name__.rpartition(".")[2]
    result = kept(name)
    for part, text in module.parts(result).items():
        assert part_of(module.PAGE, part) == text, f"{part}: run python -m benchmarks {name} --write"
    assert not result["version"].endswith("+"), "measured with files changed: which program was it?"


def test_runway_beats_plain_rules_by_a_fifth() -> None:
    """Members' score is at most four fifths of that of grams over fixed demand and of climatology."""
    told = {r["forecast"]: r for r in kept("runway")["rows"]}
    for rule in ("grams over fixed demand", "climatology"):
        assert told[rule]["members_to_it"] <= 0.8, rule


@pytest.mark.parametrize("quantity", ["adults", "open brood", "capped brood", "pollen", "honey", "runway"])
def test_kept_calibration_holds(quantity: str) -> None:
    """Every interval holds what it says within two points over 5,000 seasons, within three standard errors over fewer."""
    result = kept("calibration")
    n = result["seasons"]
    assert n >= calibration.ON_EVERY_RUN
    row = next(r for r in result["rows"] if r["quantity"] == quantity)
    for level in calibration.LEVELS:
        error = (level * (1.0 - level) / n) ** 0.5
        assert row[f"in {level:.0%}"] == pytest.approx(level, abs=0.02 if n >= calibration.MOST else 3.0 * error)
