"""What readings, events and loads assume stands in the book with a reason, not bare in their code."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

import tideover
from tests.colony.test_figures_named import bare_numbers
from tideover.desk import neighbours, rounds_stock
from tideover.evidence import happenings
from tideover.figures import book
from tideover.forage import notes
from tideover.plan import wording
from tideover.plan.rounds import load

ROOMS: Final = Path(tideover.__file__).parent
UNITS: Final = {"60.0", "100.0", "1000.0", "1000"}
"""Minutes of an hour, hundredths, grams of a kilogram."""
WORK: Final = {
    "forage/notes.py": {"0.25", "0.7", "5.0"},  # the grid a count's scatter is summed on
    "forage/alert.py": {"0.1", "0.9", "5", "0.01", "0.99", "100"},  # ends of 80 %, fewest courses, never 0 or 100 %
    "desk/neighbours.py": {"4000", "4", "100", "0.1", "0.9"},  # how many members are drawn, and the ends of 80 %
    "desk/rounds_stock.py": {"7300", "12", "1e-09"},  # a seed, noon, rounding
    "evidence/happenings.py": set(),
    "plan/rounds/load.py": set(),
}
"""Numbers that say how the work is done and nothing of bees or keepers."""


@pytest.mark.parametrize("name", list(WORK))
def test_no_assumption_stands_bare(name: str) -> None:
    """Beside units and the grid of the work, every number of these files is read from the book."""
    found = bare_numbers((ROOMS / name).read_text(encoding="utf-8"))
    assert [f for f in found if f.split(": ")[1] not in UNITS | WORK[name]] == []


@pytest.mark.parametrize("subject", ["reading", "rounds", "lookout"])
def test_every_row_of_them_says_why(subject: str) -> None:
    """Each has a unit and a source; what is our assumption gives a reason."""
    rows = book().rows(f"{subject}.")
    assert len(rows) >= 10
    for row in rows:
        assert row.unit, row.key
        assert row.sources, row.key
        if row.known == "our assumption":
            assert row.note, row.key


def test_rows_are_what_the_code_uses() -> None:
    """The names in the code hold the values of their rows."""
    shelf = book()
    robbed, swarm, mites = (shelf.row(f"reading.{n}") for n in ("robbed_left", "swarm_share", "treated_mites_left"))
    rules = notes.DEFAULT_COUNT_RULES

    assert (robbed.low, robbed.high) == happenings.ROBBED
    assert (swarm.low, swarm.high) == happenings.SWARM_SHARE
    assert (mites.low, mites.high) == happenings.SURVIVE_TREATMENT
    assert shelf.value("reading.count_colony_log_sd") == rules.colony_log_sd
    assert shelf.value("reading.count_outside_log_sd") == rules.outside_log_sd
    assert shelf.value("reading.bloom_some") == notes.BLOOM_WORDS["some"].median
    assert shelf.value("reading.listened_d") == neighbours.LISTENED_D
    assert shelf.value("reading.spans_seams") == wording.SPANS
    assert shelf.value("rounds.packed") == load.PACKED
    assert shelf.value("rounds.dearth_least") == rounds_stock.DEARTH_LEAST
