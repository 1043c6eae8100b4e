"""Feeding trials: the split, the way they are simulated and scored, the page, and the two calls that must come out."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy import stats

from benchmarks.pages import kept, part_of
from benchmarks.trials import PAGE, parts
from tests.validation.late_and_dearth import late_season, mid_dearth
from tideover.checks.trial_groups import _tested, foretell
from tideover.checks.trial_scores import prior_effects, score, summary
from tideover.checks.trial_setups import HELD_OUT, PRIOR, TRIALS, Treatment, every
from tideover.figures import book
from tideover.plan.call import Call
from tideover.plan.decide import choose
from tideover.plan.settings import Settings

FED_PRIORS = (
    "colony.feed_value", "colony.feed_harm", "colony.patty_intake_mg", "colony.patty_taste_plain", "colony.patty_taste_pollen",
)  # fmt: skip
TABLES = {"brodschneider2010", "arithmetic"}
"""Not trials: a review's table and our own sums."""


@pytest.fixture(scope="module")
def result() -> dict[str, Any]:
    """The kept result, of which the page is made."""
    return kept("trials")


def test_every_trial_in_the_book_has_a_set_up_and_no_other() -> None:
    """Rows of trials and set-ups are the same set, and each stands on one side of the split."""
    rows = {r.key for r in book().rows("trials.")} - {"trials.split"}

    assert rows == {t.key for t in TRIALS}
    assert {t.key for t in PRIOR} == {k for k in rows if k.startswith("trials.prior.")}
    assert {t.key for t in HELD_OUT} == {k for k in rows if k.startswith("trials.held.")}


def test_held_out_papers_inform_no_prior_of_feeding() -> None:
    """No held-out source stands behind the priors, save the one paper whose other part does and which says so."""
    behind = {s for name in FED_PRIORS for s in book().row(name).sources}
    for t in HELD_OUT:
        row = book().row(t.key)
        shared = set(row.sources) & behind - TABLES
        assert not shared or "informed a prior" in row.conditions, t.key
    for t in PRIOR:
        assert set(book().row(t.key).sources) & behind, t.key


def test_at_least_eight_published_trials_are_held_out() -> None:
    """Papers, not comparisons; spring, dearth and autumn; pollen and substitute; gain, nothing and harm."""
    rows = [book().row(t.key) for t in HELD_OUT]

    assert len({s for r in rows for s in r.sources} - TABLES) >= 8
    assert {r.value for r in rows if r.unit == "sign"} == {-1.0, 0.0, 1.0}
    assert {t.treated.pollen for t in HELD_OUT if t.treated.patties} >= {0.0, 1.0}


def test_same_treatment_is_seen_as_a_difference_about_once_in_twenty() -> None:
    """The test papers use has its level: groups treated alike differ at 5 % in about 5 % of simulated trials."""
    alike = replace(TRIALS[3], treated=Treatment(), control=Treatment(), days=20)
    f = foretell(alike, replicates=200, seed=3)

    assert f.more is not None
    assert f.less is not None
    assert f.nothing is not None
    # Three standard errors of a share of 0.05 in 200.
    assert f.more + f.less <= 0.05 + 3 * np.sqrt(0.05 * 0.95 / 200)
    assert f.more + f.nothing + f.less == pytest.approx(1.0)
    assert abs(f.median - 1.0) < 0.05


def test_welch_is_the_one_of_the_reference_library() -> None:
    """Our vectorised test with missing colonies gives scipy's t and p (ttest_ind, unequal variances)."""
    rng = np.random.default_rng(4)
    a, b = rng.normal(10, 2, (6, 7)), rng.normal(11, 3, (6, 5))
    a[0, 2] = b[1, 0] = np.nan
    t, p = _tested(a, b)
    want = stats.ttest_ind(a, b, axis=1, equal_var=False, nan_policy="omit")

    np.testing.assert_allclose(t, want.statistic, rtol=1e-9)
    np.testing.assert_allclose(p, want.pvalue, rtol=1e-9)


def test_food_in_plain_need_is_found_by_a_large_trial() -> None:
    """No pollen at all for six weeks and thirty colonies a group: pollen patties are seen to give more bees."""
    starving = Treatment(on_offer={0: 1e-6}, stored_g=0.0)
    large = replace(
        TRIALS[3], treated=replace(starving, patties=every(7, 42), pollen=1.0, protein=0.2), control=starving, days=42,
        colonies=30, measure="adults",
    )  # fmt: skip
    f = foretell(large, replicates=60, seed=2)

    assert f.more is not None
    assert f.more > 0.8


def test_score_reads_signs_and_numbers() -> None:
    """The chance is that of what was seen; a number is held against the intervals; weeks are weeks."""
    by_key = {t.key: t for t in TRIALS}
    nothing = by_key["trials.held.ontario_autumn_fed"]
    s = score(nothing, foretell(nothing, replicates=30))
    weekly = by_key["trials.held.morena_intake"]
    f = foretell(weekly, replicates=30)
    w = score(weekly, f)

    assert s.chance_of_seen == s.nothing
    assert w.chance_of_seen is None
    assert w.effect[2] == pytest.approx(7.0 * f.median)
    assert (w.verdict == "outside 95 %") == (not w.effect[0] <= 34.8 <= w.effect[4])
    assert summary([s, w])["signs"] == summary([s, w])["numbers"] == 1


def test_page_is_made_of_the_kept_result(result: dict[str, Any]) -> None:
    """Every table of the page is what the kept result gives, to the letter."""
    for part, text in parts(result).items():
        assert part_of(PAGE, part) == text, f"{part}: run python -m benchmarks trials --write"


def test_kept_result_tells_what_the_book_tells(result: dict[str, Any]) -> None:
    """Each trial is there once, with the book's words; at least as many are scored as are held out."""
    told = {s["key"]: s for s in result["scores"]}

    assert set(told) == {t.key for t in TRIALS}
    for key, s in told.items():
        assert s["says"] == book().row(key).says
        assert s["held_out"] is (".held." in key)
    assert result["held_out"]["signs"] + result["held_out"]["numbers"] == len(HELD_OUT)


@pytest.mark.parametrize(
    "key", ["trials.held.alberta_bees", "trials.held.florida_strength", "trials.held.gwalior_bees"]
)
def test_kept_result_is_still_what_the_model_says(key: str, result: dict[str, Any]) -> None:
    """A fresh, smaller run gives the kept middle within its 80 % interval and the kept chance within 0.15."""
    trial = next(t for t in TRIALS if t.key == key)
    was = next(s for s in result["scores"] if s["key"] == key)
    now = score(trial, foretell(trial, replicates=100, seed=2))

    assert now.effect[1] <= was["effect"][2] <= now.effect[3]
    assert now.chance_of_seen == pytest.approx(was["chance_of_seen"], abs=0.15), (
        "the model has moved: run python -m benchmarks trials --write"
    )


def test_prior_of_feeding_holds_nothing_and_harm() -> None:
    """Before any patty, in a dearth and late in the season, no gain and fewer bees both have a chance."""
    dearth, plenty, autumn = prior_effects()

    for case in (dearth, plenty, autumn):
        assert case.not_better > 0.08  # about a tenth of feedings do nothing, by the prior of worth
        assert case.harm > 0.005
        assert case.harm + case.nil + case.gain == pytest.approx(1.0)
    # Feeding into a flow gives nothing (Ontario, good springs and autumns): most of the prior says so.
    assert plenty.nil > 0.5
    assert plenty.not_better > dearth.not_better


def _chosen(call: Call) -> tuple[str, bool]:
    return call.action, call.toss_up


def test_leave_must_win_late_in_the_season() -> None:
    """September with pollen coming in: no plan of feeding beats leaving alone by the margin, gates or no gates.

    Ontario, four weekly patties in September and October: neither more bees nor longer lives (Mattila & Otis 2007,
    Canadian Entomologist 139:554-563).
    """
    advice = late_season()
    choice = choose(advice.outcomes, Settings())

    assert _chosen(advice.call) == ("leave", False)
    assert choice.best.option.action == "leave"
    assert choice.sure > 0.9


def test_lay_on_must_win_in_the_middle_of_a_dearth() -> None:
    """July without pollen, dry jelly, four months to the cluster: feeding is called and is likelier than not right.

    Feed in a summer dearth gave more brood and bees than none (Kumar et al. 2013, Gwalior).
    """
    advice = mid_dearth()
    choice = choose(advice.outcomes, Settings())

    assert _chosen(advice.call) == ("lay on", False)
    assert advice.call.grams > 0
    assert choice.best.option.action == "lay on"
    assert choice.sure > 0.6
