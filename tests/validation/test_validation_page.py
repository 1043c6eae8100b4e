"""The page of validation is made of the kept results, and those are large enough to say what it says."""

from __future__ import annotations

from types import ModuleType

import pytest

from benchmarks import calibration, demographic, robust, runway, years
from benchmarks.pages import kept, part_of


@pytest.mark.parametrize("module", [calibration, robust, runway], ids=lambda m: m.__name__.rpartition(".")[2])
def test_page_is_made_of_the_kept_result(module: ModuleType) -> None:
    """Every table is what the kept result gives, to the letter, and tells the version it was measured on."""
    name = module.__name__.rpartition(".")[2]
    result = kept(name)
    for part, text in module.parts(result).items():
        assert part_of(module.PAGE, part) == text, f"{part}: run python -m benchmarks {name} --write"
    assert not result["version"].endswith("+"), "measured with files changed: which program was it?"


@pytest.mark.parametrize("module", [demographic, years], ids=lambda m: m.__name__.rpartition(".")[2])
def test_page_of_the_colony_is_made_of_the_kept_result(module: ModuleType) -> None:
    """Tables of single bees' luck and of years are what the kept results give, to the letter."""
    name = module.__name__.rpartition(".")[2]
    for part, text in module.parts(kept(name)).items():
        assert part_of(module.PAGE, part) == text, f"{part}: run python -m benchmarks {name} --write"


@pytest.mark.parametrize("row", range(len(demographic.SIZES)))
def test_luck_of_single_bees_is_what_the_colony_of_today_gives(row: int) -> None:
    """Seeds are fixed, so a fresh run gives the kept spreads to a hundredth."""
    assert demographic.one(demographic.SIZES[row]) == pytest.approx(kept("demographic")["rows"][row], rel=0.01)


def test_a_look_of_another_hive_is_flagged_more_often_than_a_right_one() -> None:
    """Flags on looks typed into the wrong hive beat flags on the same looks left right by three standard errors of
    their difference, and right ones are flagged no oftener than one in ten (the filter takes one look in fifty and one
    item in fifty for wrong, and a full look has some ten items)."""
    result = kept("robust")
    told = {r["case"]: r["last look flagged"] for r in result["rows"]}
    wrong, right = told["wrong hive"], told["as supposed"]
    error = ((wrong * (1.0 - wrong) + right * (1.0 - right)) / result["seasons"]) ** 0.5
    assert wrong - right > 3.0 * error
    assert right < 0.1


@pytest.mark.slow
def test_looks_of_another_hive_are_flagged_today() -> None:
    """Of 16 seasons run anew, most looks typed into the wrong hive are flagged and hardly any right one is."""
    seeds = range(71_000, 71_016)
    wrong = sum(robust.one(seed, "wrong hive", 200)["flagged"] for seed in seeds)
    right = sum(robust.one(seed, "as supposed", 200)["flagged"] for seed in seeds)
    assert wrong > 8
    assert right <= 3


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
