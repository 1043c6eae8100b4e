"""What readings, events and loads assume stands in the book with a reason, not bare in their code."""

from __future__ import annotations

from pathlib import Path
from typing import Final

import pytest

import tideover
from tests.colony.test_figures_named import bare_numbers
from tideover.comb import words
from tideover.desk import asked, desk, neighbours, rounds_stock
from tideover.evidence import beginning, happenings, scatters, walk
from tideover.figures import book
from tideover.forage import notes
from tideover.plan import decide, options, portion, wording
from tideover.plan.rounds import load

ROOMS: Final = Path(tideover.__file__).parent
UNITS: Final = {"60.0", "100.0", "1000.0", "1000"}
"""Minutes of an hour, hundredths, grams of a kilogram."""
WORK: Final = {
    # the grid a count's scatter is summed on, and guards against slips
    "forage/notes.py": {"0.25", "0.7", "5.0", "240.0", "24.0", "150000.0"},
    "forage/alert.py": {"0.1", "0.9", "5", "0.01", "0.99", "100"},  # ends of 80 %, fewest courses, never 0 or 100 %
    "desk/neighbours.py": {"4000", "4", "100", "0.1", "0.9"},  # how many members are drawn, and the ends of 80 %
    "desk/rounds_stock.py": {"7300", "12", "1e-09"},  # a seed, noon, rounding
    "comb/stores.py": set(),
    "comb/words.py": {"3.0", "64.0"},  # guards against slips
    "desk/showing.py": {"1.28", "0.1", "0.9", "0.001", "4.0"},  # ends of 80 %, an empty axis, quarters of a side
    "evidence/assimilate.py": {"8", "2654435761", "4294967295"},  # members carried, mixing a seed
    "evidence/beginning.py": set(),
    "evidence/bends.py": set(),
    "evidence/chances.py": set(),
    "evidence/scaled.py": set(),
    "evidence/checkpoints.py": {"15", "13"},  # which filters are kept
    "evidence/clock.py": {"3.5", "4096", "12", "12.0", "15.0", "3600.0"},  # hours, degrees an hour, a guard
    "evidence/combs.py": {"8.0"},  # eighths
    "evidence/happenings.py": set(),
    "evidence/keeper.py": set(),
    "evidence/known.py": {"0.1", "0.9"},  # ends of 80 %
    "evidence/likelihood.py": {"8.0", "9", "1e-05", "0.9", "1e-09", "1e-300", "700.0"},  # quarters, sums, safe logs
    # fewest of a kind, halvings, safe logs and divisions, totals drawn
    "evidence/moving.py": {"40", "14", "0.02", "1e-12", "1e-10", "1e-09", "7"},
    "evidence/pieces.py": set(),
    "evidence/predict.py": {"4", "3", "4.0"},  # columns, which part is which, quarters of a side
    "evidence/scatters.py": {"1000000.0"},  # milligrams of a kilogram
    "evidence/shapes.py": {"3.0", "2.6", "0.2", "11", "12", "5.0", "1e-09", "64"},  # where a law is read
    "evidence/sky.py": {"2000"},  # days are counted from here
    "evidence/space.py": {"1e-12", "0.0001", "1e-300"},  # safe logs, spreads and scores
    "evidence/supposing.py": set(),
    "evidence/taught.py": {"3.0", "4000"},  # standard errors, draws of the prior
    "evidence/traced.py": set(),
    "evidence/unseen.py": {"0.1", "12.0", "3"},  # how often losses are proposed: weights give the rate back
    # candidates, steps, colonies drawn, safe logs, quarters of a piece, combs a tare is told for
    "evidence/walk.py": {"4", "12", "10.0", "4.0", "600", "700", "50", "1e-09", "1e-06"},
    "evidence/words.py": set(),
    "evidence/yard.py": {"60.0", "1e-12", "0.7", "100", "3"},  # paths that stay, steps of a search, members
    "desk/cards.py": {"23.9", "0.01"},  # within the day, a minute apart
    "desk/eating.py": set(),
    "plan/advise.py": {"200", "0.1", "0.9", "3"},  # members drawn, ends of 80 %, rounding
    "plan/basis.py": set(),
    "plan/cards/afresh.py": {"2.5", "0.12", "4"},  # which answers are worked out anew
    "plan/cards/make.py": {"6", "0.01", "60.0", "0.08", "0.04", "300", "4", "0.1"},  # the same, and their halves
    "plan/cards/worth.py": {"0.97", "10", "0.05", "0.1"},  # which words round to which share
    "plan/compare.py": {"60", "0.1", "0.9", "1e-09"},  # the runway's horizon, ends of 80 %
    "plan/decide.py": set(),
    "plan/drivers.py": {"1e-09", "3"},  # a safe division, rounding
    "plan/gates_cases.py": set(),
    "plan/gates_cause.py": set(),
    "plan/gates_outlook.py": {"1.2815515655446004"},  # normal deviate of 90 %
    "plan/gates_safety.py": set(),
    "plan/gates_use.py": set(),
    "plan/ground.py": {"400", "7001", "7002", "7", "14", "86400", "2000"},  # members, seeds, weeks, seconds of a day
    "plan/options.py": set(),
    "plan/portion.py": {"0.005", "3"},  # rounding
    # months and days of the solstices, latitudes of the table, days of a year and a week, a safe division
    "plan/season_dates.py": {
        "182",
        "365",
        "365.25",
        "10",
        "20",
        "30",
        "40",
        "50",
        "60",
        "70",
        "7",
        "6",
        "12",
        "21",
        "2001",
        "1e-09",
    },
    "plan/settle.py": set(),
    "plan/verdict.py": set(),
    "plan/wording.py": {"0.1", "0.9", "10"},  # ends of 80 %, tens of grams
    "plan/rounds/load.py": set(),
    "plan/rounds/stock.py": {"4000", "1e-09", "0.1", "0.9", "1e-06"},  # draws, rounding, ends of 80 %
    "plan/rounds/work.py": set(),
}
"""Numbers that say how the work is done and nothing of bees or keepers."""


@pytest.mark.parametrize("name", list(WORK))
def test_no_assumption_stands_bare(name: str) -> None:
    """Beside units and the grid of the work, every number of these files is read from the book."""
    found = bare_numbers((ROOMS / name).read_text(encoding="utf-8"), methods=True)
    assert [f for f in found if f.split(": ")[1] not in UNITS | WORK[name]] == []


def test_no_file_of_evidence_is_left_out() -> None:
    """A new file of the room that reads looks is scanned from its first day."""
    files = {f"evidence/{file.name}" for file in (ROOMS / "evidence").glob("*.py")}

    assert files - set(WORK) == {"evidence/__init__.py", "evidence/seen.py"}


@pytest.mark.parametrize("subject", ["reading", "rounds", "lookout", "looks", "calls"])
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
    assert shelf.value("looks.wrong_item") == scatters.WRONG_ITEM
    assert (shelf.value("looks.heft_fair_kg"), shelf.value("looks.heft_fair_log_sd")) == scatters.HEFT_KG["fair"]
    assert shelf.value("looks.quarters_log_sd") == scatters.QUARTERS.share
    assert shelf.value("looks.outer_broad_band") == words.OUTER_POLLEN["broad band"].share_of_side
    assert shelf.value("looks.start_pollen_g") == beginning.POLLEN_G
    assert shelf.value("looks.tare_deep_kg") == walk.BOX_TARE_KG["deep"]
    assert shelf.value("calls.better_by") == asked.BETTER_BY
    assert shelf.value("calls.books_ended_d") == desk.BOOKS_ENDED_D
    assert shelf.value("calls.near_sure") == decide.NEAR_SURE
    assert shelf.value("calls.pressure_high") == portion.PRESSURE["high"]
    assert shelf.value("calls.effort_take_off") == options.BIG["take off"]
    assert shelf.value("reading.listened_d") == neighbours.LISTENED_D
    assert shelf.value("reading.spans_seams") == wording.SPANS
    assert shelf.value("rounds.packed") == load.PACKED
    assert shelf.value("rounds.dearth_least") == rounds_stock.DEARTH_LEAST
