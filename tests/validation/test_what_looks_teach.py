"""What looks teach and what they are worth: the page is made of the kept results, and those tell what they must."""

from __future__ import annotations

from typing import Any

import pytest

from benchmarks import identifiability, learnt, worth
from benchmarks.calibration import LEVELS
from benchmarks.pages import kept, part_of
from benchmarks.simulated import KINDS


@pytest.fixture(scope="module")
def taught() -> dict[str, Any]:
    """The kept result of what looks teach."""
    return kept("identifiability")


@pytest.fixture(scope="module")
def valued() -> dict[str, Any]:
    """The kept result of what looks are worth."""
    return kept("worth")


def test_page_is_made_of_the_kept_results(taught: dict[str, Any], valued: dict[str, Any]) -> None:
    """Every table of the page is what the kept results give, to the letter."""
    for name, parts in (("identifiability", identifiability.parts(taught)), ("worth", worth.parts(valued))):
        for part, text in parts.items():
            assert part_of(identifiability.PAGE, part) == text, f"{part}: run python -m benchmarks {name} --write"


def test_page_of_what_is_learnt_is_made_of_the_kept_result() -> None:
    """The tables of calibrated parameters are what the kept result gives, to the letter, with its version."""
    result = kept("learnt")
    for part, text in learnt.parts(result).items():
        assert part_of(learnt.PAGE, part) == text, f"{part}: run python -m benchmarks learnt --write"
    assert not result["version"].endswith("+")


@pytest.mark.parametrize("level", LEVELS)
def test_parameters_hold_what_they_say(level: float) -> None:
    """Over 22 parameters and three levels no interval is further off than four standard errors, and the mean standing no
    further than four: one of 66 true intervals passes three by luck in one run of six, four in one of 240."""
    result = kept("learnt")
    n = result["seasons"]
    assert n >= 400
    assert [r["of"] for r in result["rows"]] == list(learnt.NAMES)
    for row in result["rows"]:
        assert row[f"in {level:.0%}"] == pytest.approx(level, abs=4.0 * (level * (1.0 - level) / n) ** 0.5), row["of"]
        assert row["mean standing"] == pytest.approx(0.5, abs=4.0 / (12.0 * n) ** 0.5), row["of"]


def test_families_die_out_with_looks_and_some_are_left() -> None:
    """More looks leave fewer families, of thousands carried, and never fewer than ten."""
    rows = kept("learnt")["by_looks"]
    families = [r["families"] for r in rows]
    assert families == sorted(families, reverse=True)
    assert min(r["fewest families"] for r in rows) >= 10


def test_nothing_is_learnt_of_a_patty_never_laid_on(taught: dict[str, Any]) -> None:
    """Worth, harm and appetite keep their priors through looks at hives nothing was fed to, within three errors."""
    assert taught["seasons"] >= 40
    for row in taught["rows"]:
        if row["of"] in ("feed_value", "feed_harm", "patty_intake_mg"):
            assert abs(row[identifiability.SEVERAL]) < max(0.04, 3.0 * row["error"]), row["of"]


def test_a_look_teaches_what_it_looks_at(taught: dict[str, Any]) -> None:
    """Into the nest tells brood, the lid does not; a scale tells honey and no bees; everything tells most of each."""
    rows = {r["of"]: r for r in taught["rows"]}
    assert rows["capped brood"]["into the nest"] > 0.5 > abs(rows["capped brood"]["at the lid"])
    assert rows["honey"]["scale and entrance"] > 0.3 > rows["adults"]["scale and entrance"]
    for kind in KINDS:
        assert rows["runway"]["everything"] >= rows["runway"][kind] - 0.05


def test_every_kind_is_valued_beside_luck(valued: dict[str, Any]) -> None:
    """Each kind of look once, and the control; shares between nothing and all; enough hives to tell a fifth."""
    rows = {r["look"]: r for r in valued["rows"]}
    assert set(rows) == {worth.NOTHING, *KINDS}
    for r in rows.values():
        assert r["hives"] >= 40
        assert 0.0 <= r["action"] <= r["changed"] <= 1.0
