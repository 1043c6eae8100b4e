"""The outside checks of land, comb, beetle, patty and visit: every one agrees, or its difference is known and said."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tideover.checks import Check, outside_checks

PREFIXES = ("beetle.", "comb.", "counts.", "drought.", "fao.", "feeding.field", "flight.", "forage.", "freezing.",
            "greenness.", "mites.", "patty.", "protein.bread", "safety.", "stores.", "strength.")  # fmt: skip
EVERY = outside_checks()
CHECKS = [c for c in EVERY if c.key.startswith(PREFIXES)]

KNOWN_TO_DIFFER = {
    "beetle.soil_d_18": "cool soil has its own line",
    "beetle.total_d_18_6": "laboratories disagree in the cool",
    "comb.exam_langstroth_box": "built and usable area",
    "flight.best_in_heat": "other sources put the best at 20-25 C",
    "flight.orchard_full": "sources disagree",
}
"""Where a published value and ours part, and why; the note of the check says it too."""


@pytest.mark.parametrize("check", CHECKS, ids=lambda c: c.key)
def test_outside_check(check: Check) -> None:
    """Ours agrees with the published value, whose source stands in the check; known differences carry a note."""
    if check.key in KNOWN_TO_DIFFER:
        assert check.verdict == "differs"
        assert KNOWN_TO_DIFFER[check.key] in check.note
    else:
        assert check.verdict == "agrees", f"{check.ours} against {check.expected} ({check.tolerance}), {check.source}"


def test_checks_that_count() -> None:
    """At least twelve are observed in the world, not inputs and not trade rules, and agree."""
    counting = [c for c in CHECKS if c.kind == "observed" and not c.used_as_input and not c.practice]

    assert sum(c.verdict == "agrees" for c in counting) >= 12


def test_each_check_names_a_source_and_its_kind() -> None:
    """No check without source or kind, and all become plain JSON."""
    for c in CHECKS:
        assert len(c.source) > 8
        assert c.kind in {"arithmetic", "observed"}
    assert len(json.loads(json.dumps([c.as_json() for c in CHECKS]))) == len(CHECKS)


def test_page_of_the_model_tells_every_difference_and_no_other() -> None:
    """docs/science/model.md has a row for each check that differs, with ours to a hundredth, and the counts of all."""
    page = (Path(__file__).parents[2] / "docs" / "science" / "model.md").read_text(encoding="utf-8")
    table = page.split("These differ, and are shown", 1)[1].split("###", 1)[0]
    rows = [line for line in table.splitlines() if line.startswith("| ")][1:]
    differ = [c for c in EVERY if c.verdict == "differs"]

    for c in differ:
        mine = [r for r in rows if r.startswith(f"| {c.says}")]
        assert len(mine) == 1, c.key
        assert float(mine[0].split("|")[3]) == pytest.approx(c.ours, rel=0.01), c.key
    assert len(rows) == len(differ)
    counting = [c for c in EVERY if c.kind == "observed" and not c.used_as_input]
    assert f"against {len(EVERY)} published values" in page
    assert f"Of {len(counting)} that were observed" in page
    assert f"{sum(c.verdict == 'agrees' for c in counting)} agree." in page
