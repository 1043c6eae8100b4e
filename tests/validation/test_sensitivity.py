"""Global sensitivity: the design, the priors it draws from, the page, and that the kept result is still the model's."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from benchmarks import sensitivity as s
from benchmarks.pages import kept, part_of
from tideover.colony import PARAM_NAMES
from tideover.figures import book

READ_ONLY = ("bees_per_dm2", "bread_per_cell_g", "honey_per_dm2_g", "brood_fill")
"""Parameters that act only where a look is read."""


@pytest.fixture(scope="module")
def result() -> dict[str, Any]:
    """The kept result, of which the page is made."""
    return kept("sensitivity")


@pytest.mark.parametrize("name", PARAM_NAMES)
def test_quantiles_are_those_of_the_prior(name: str) -> None:
    """At 5, 50 and 95 % of the cube each parameter stands at its row's low, median and high (a uniform: its ends)."""
    prior = book().row(f"colony.{name}").prior()
    low, middle, high = s.quantile(prior, np.array([0.05, 0.5, 0.95]))

    assert middle == pytest.approx(prior.median)
    if prior.dist == "uniform":
        assert s.quantile(prior, np.array([0.0, 1.0])) == pytest.approx([prior.low, prior.high])
    else:
        assert low == pytest.approx(prior.low)
        assert high == pytest.approx(prior.high)


def test_only_luck_differs_between_two_runs_of_one_point() -> None:
    """The same points and luck give the same answers; other luck gives others."""
    u = np.random.default_rng(3).random((20, len(s.INPUTS)))
    hive, weather = s.hives(s.CASES[0], u)
    one, two, other = (s.answers(s.CASES[0], hive, weather, salt=k) for k in (1, 1, 2))

    assert np.array_equal(one, two)
    assert not np.array_equal(one[:, 1], other[:, 1])
    assert set(np.unique(one[:, 3])) <= {0.0, 1.0}


def test_design_finds_what_must_be_nothing() -> None:
    """In a small design the dummy and what acts only on reading looks have exactly no total share; indices are numbers."""
    found = s.globally(s.CASES[0], 16)

    for output in s.OUTPUTS:
        inputs = found[output]["inputs"]
        assert set(inputs) == set(s.INPUTS)
        for name in (*READ_ONLY, s.DUMMY):
            assert inputs[name]["total"] == 0.0
        assert all(np.isfinite(v) for one in inputs.values() for v in one.values())
    # What patties are worth cannot bear on a colony left alone.
    assert found["runway"]["inputs"]["feed_value"]["total"] == 0.0
    assert found["winter bees"]["inputs"]["patty_intake_mg"]["total"] == 0.0


def test_fixed_figures_are_put_back() -> None:
    """A figure changed for one run is as before after it, and a share near one stays under one."""
    before = s.constants().copy()
    with s._figure("hive_income_memory", 1.2):
        from tideover.colony import ensemble

        changed = ensemble.constants()
    k = s.CONST_NAMES.index("hive_income_memory")

    assert before[k] < changed[k] < 1.0
    assert np.array_equal(s.constants(), before)


def test_page_is_made_of_the_kept_result(result: dict[str, Any]) -> None:
    """Every table of the page is what the kept result and the book give, to the letter."""
    for part, text in s.parts(result).items():
        assert part_of(s.PAGE, part) == text, f"{part}: run python -m benchmarks sensitivity --write"


def test_kept_result_is_of_these_inputs(result: dict[str, Any]) -> None:
    """Both cases, every input, at least 1,024 base samples, and the method's own noise small beside what is told."""
    assert result["samples"] >= 1_024
    assert set(result["global"]) == {c.name for c in s.CASES}
    for case in result["global"].values():
        for output in s.OUTPUTS:
            assert set(case[output]["inputs"]) == set(s.INPUTS)
            assert case[output]["inputs"][s.DUMMY]["total"] < 0.01


@pytest.mark.parametrize("case", s.CASES, ids=lambda c: c.name)
def test_kept_result_is_still_what_the_model_says(case: s.Case, result: dict[str, Any]) -> None:
    """The mean answers of 600 fresh colonies lie within four standard errors of the kept means."""
    hive, weather = s.hives(case, np.random.default_rng(8).random((600, len(s.INPUTS))))
    y = s.answers(case, hive, weather, salt=1)
    for i, output in enumerate(s.OUTPUTS):
        was = result["global"][case.name][output]
        # The kept mean comes from some thousand colonies; its own error is added.
        reach = 4.0 * was["sd"] * np.sqrt(1.0 / 600 + 1.0 / (2 * result["samples"]))
        assert y[:, i].mean() == pytest.approx(was["mean"], abs=reach), (
            f"{output} has moved: run python -m benchmarks sensitivity --write"
        )
