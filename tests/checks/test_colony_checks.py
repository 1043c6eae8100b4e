"""The outside checks of the colony and of feeding: each agrees, or is on the list of known disagreements."""

from __future__ import annotations

import json
import math
from typing import Final

import pytest

from tideover.checks import Check, outside_checks
from tideover.checks.colony_protein import flows
from tideover.checks.colony_years import CLIMATES, COLD, DAYS, Climate, plain_year, skies

CHECKS: Final = [c for c in outside_checks() if c.key.startswith(("colony.", "fed."))]

KNOWN_TO_DIFFER: Final = {
    "colony.brood_delays_foraging": "the work of nursing makes foragers sooner",
    "colony.brood_per_bee_best_dearth": "the best size does not move",
    "colony.capping_age_follows_income": "every larva is capped at the same age",
    "colony.darkness_laid": "lays next to nothing without light",
    "colony.dry_brood_day": "back until mid-July",
    "colony.dry_peak_day": "lives off spring's store into summer",
    "colony.forager_loss_a_foraging_day": "radio tags count days actually foraged",
    "colony.honey_with_more_brood": "warming the nest",
    "colony.june_over_september": "keeps its bees long in autumn",
    "colony.june_over_september_north": "a life of some 80 days",
    "colony.large_live_shorter": "does not hang on the size of its colony",
    "colony.need_1000": "aim at fuller bodies",
    "colony.north_brood_day": "almost none of ours fly below 12 C",
    "colony.package_back": "when its first brood emerges",
    "colony.protein_per_larva": "cannot both be",
    "colony.rain_fifth_evening": "were young when the shortage began",
    "colony.shorter_days_laid": "day length bears on laying by itself",
}
"""Where a published value and ours part, and why. The note of the check says it to the keeper too; a check that comes
to agree must be taken off, so that the list stays true."""


def test_list_of_disagreements_names_only_checks_that_exist() -> None:
    """No name on the list is stale."""
    assert set(KNOWN_TO_DIFFER) <= {c.key for c in CHECKS}


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.key)
def test_outside_check(check: Check) -> None:
    """Ours agrees with the published value, whose source stands in the check; known disagreements still stand."""
    shown = f"{check.ours} against {check.expected} ({check.tolerance}) {check.unit}; {check.source}"
    if check.key in KNOWN_TO_DIFFER:
        assert check.verdict == "differs", f"agrees now, take it off the list: {shown}"
        assert KNOWN_TO_DIFFER[check.key] in check.note
        assert check.note.startswith("Known to differ")
    else:
        assert check.verdict == "agrees", shown
        assert not check.note.startswith("Known to differ")


def test_every_number_is_a_number() -> None:
    """No check returns infinity or nothing, and all become plain JSON."""
    for c in CHECKS:
        assert math.isfinite(c.ours), c.key
        assert len(c.source) > 8, c.key
    assert len(json.loads(json.dumps([c.as_json() for c in CHECKS]))) == len(CHECKS)


def test_colony_checks_that_count() -> None:
    """At least twelve are observed in the world, neither inputs nor trade rules nor from memory alone, and agree."""
    counting = [
        c for c in CHECKS
        if c.kind == "observed" and not c.used_as_input and not c.practice and "from memory" not in c.source
        and "our reading of Schmickl" not in c.source
    ]  # fmt: skip

    assert sum(c.verdict == "agrees" for c in counting) >= 12


def test_flows_are_shown_against_all_published_ones_and_conflict() -> None:
    """Ours lies inside the field bookkeeping; the larva's published food alone costs more pollen than a whole bee."""
    table = {f.says: f for f in flows()}
    larva, bee = table["protein fed to one larva"], table["pollen per bee, larva and nurse together"]

    assert bee.published[0] <= bee.ours <= bee.published[1] + 5.0
    # 25 mg at 20 % protein is 125 mg pollen for the larva alone, over the 100 mg a bee costs by bookkeeping.
    assert larva.published[0] / 0.2 > bee.published[0]
    assert all(math.isfinite(f.ours) and f.source for f in table.values())


@pytest.mark.parametrize("climate", CLIMATES, ids=lambda c: c.name)
def test_year_drivers_are_what_they_say(climate: Climate) -> None:
    """Days rise to the June solstice and fall after it; monthly means are kept to 2.5 C; one seed, one sky."""
    w = skies(climate, DAYS, start=1)
    july = float(w.temp_max_c[0, 181:212].mean())

    assert (w.daylength_change_h[30:170] > 0.0).all()
    assert (w.daylength_change_h[175:350] < 0.0).all()
    assert abs(july - climate.high_c[6]) < 2.5
    assert (w.temp_max_c >= w.temp_min_c + 3.0 - 1e-9).all()
    assert (skies(climate, DAYS, start=1).temp_max_c == w.temp_max_c).all()


def test_year_of_a_cold_place_has_little_brood_in_winter_and_lives() -> None:
    """Brood before the winter solstice is less than a fiftieth of summer's, and bees are left in spring.

    Avitabile 1978 (second-hand): brood small before the solstice, rising after; a fiftieth is our reading of small.
    """
    one = plain_year(COLD)
    brood = one.series("open") + one.series("capped")

    assert brood[330:356].max() < brood.max() / 50.0
    assert one.series("adults").min() > 3_000.0
