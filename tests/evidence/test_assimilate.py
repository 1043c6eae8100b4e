"""Carrying a hive through its season: resampling, moving, and what looks do to what is known."""

from __future__ import annotations

from datetime import timedelta

import numba
import numpy as np
import pytest

from tests.evidence.hives import (
    BOXES,
    FIRST,
    MEMBERS,
    PLACE,
    TODAY,
    colonies,
    known,
    look,
    median,
    only,
    same,
    seen,
    sky,
)  # fmt: skip
from tideover.colony import layout as lay
from tideover.colony.layout import P
from tideover.colony.parameters import draw
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.likelihood import Item
from tideover.evidence.moving import drift, move, systematic
from tideover.evidence.predict import Shown
from tideover.evidence.seen import HiveCase, Seen
from tideover.evidence.space import space
from tideover.evidence.walk import Walk
from tideover.figures import book

D = timedelta(days=1)
WEEK = timedelta(days=7)


def idle(a: Assimilated) -> float:
    """Chance that no queen lays, whether or not one is to come."""
    return float((a.ensemble.state[:, lay.QUEEN] <= 0.5).mean())


# --- resampling and moving


def test_systematic_keeps_counts_within_one() -> None:
    """Each member is chosen floor(n w) or ceil(n w) times (the property of systematic resampling, Kitagawa 1996)."""
    rng = np.random.default_rng(1)
    for _ in range(50):
        weights = rng.dirichlet(np.full(200, 0.2))
        counts = np.bincount(systematic(weights, 500, rng), minlength=200)
        assert counts.sum() == 500
        assert np.all(np.abs(counts - 500 * weights) < 1.0 + 1e-9)


def test_systematic_is_unbiased() -> None:
    """Over many draws the mean count of a member is n w (Kitagawa 1996)."""
    rng = np.random.default_rng(2)
    weights = np.array([0.013, 0.1, 0.287, 0.6])
    counts = np.mean([np.bincount(systematic(weights, 10, rng), minlength=4) for _ in range(20_000)], axis=0)
    np.testing.assert_allclose(counts, 10 * weights, atol=0.02)


def test_systematic_of_equal_weights_keeps_everybody() -> None:
    """Equal weights choose every member once."""
    chosen = systematic(np.full(64, 1 / 64), 64, np.random.default_rng(0))
    assert sorted(chosen) == list(range(64))


def test_move_keeps_mean_and_covariance() -> None:
    """Moving keeps the mean and the covariance of log totals (Liu & West 2001), to sampling error."""
    n = 20_000
    rng = np.random.default_rng(5)
    z = rng.standard_normal((n, 2))
    honey, pollen = np.exp(9.0 + 0.5 * z[:, 0]), np.exp(6.0 + 0.4 * (0.7 * z[:, 0] + np.sqrt(0.51) * z[:, 1]))
    e = colonies(n, honey_g=honey, pollen_g=pollen)
    before = np.log(e.state[:, [lay.HONEY, lay.BREAD]] + 1.0)
    move(e, rng)
    after = np.log(e.state[:, [lay.HONEY, lay.BREAD]] + 1.0)
    np.testing.assert_allclose(after.mean(axis=0), before.mean(axis=0), atol=4 * 0.25 * 0.5 / np.sqrt(n) + 0.002)
    np.testing.assert_allclose(np.cov(after.T), np.cov(before.T), rtol=0.03)
    assert np.corrcoef(before[:, 0], after[:, 0])[0, 1] < 0.99
    assert np.all(e.state[:, lay.HOUSE : lay.RESERVE] >= 0)
    assert np.all((e.state[:, lay.JELLY] >= 0) & (e.state[:, lay.JELLY] <= 1))


def test_move_leaves_empty_stages_empty() -> None:
    """A colony without brood does not grow any by being moved."""
    e = colonies(200, eggs=0.0, open_larvae=0.0, capped=0.0)
    move(e, np.random.default_rng(1))
    assert np.all(e.state[:, lay.EGG : lay.QUALITY] == 0.0)


def test_drift_has_the_spread_of_its_rows() -> None:
    """Four weeks of drift widen log totals by the row's spread times the root of two."""
    n = 20_000
    e = colonies(n)
    before = e.copy()
    drift(e, 28, np.random.default_rng(9))
    for column, row in ((lay.HONEY, "colony.drift_honey"), (lay.BREAD, "colony.drift_pollen")):
        moved = np.log(e.state[:, column] / before.state[:, column])
        assert moved.std() == pytest.approx(book().value(row) * np.sqrt(2.0), rel=0.03)
    adults = np.log(e.adults() / before.adults())
    assert adults.std() == pytest.approx(book().value("colony.drift_adults") * np.sqrt(2.0), rel=0.03)


@pytest.mark.parametrize("error", [0.6, 0.2, 0.08])
def test_annealed_steps_reach_the_exact_answer(error: float) -> None:
    """One normal look at a normal log total gives the conjugate posterior, whatever the number of steps it takes.

    Expected: precision adds, mean is weighted by precision (any textbook on Bayesian inference).
    """
    n, prior_mean, prior_sd, saw = 6000, np.log(10_000.0), 0.5, np.log(10_000.0) + 0.6
    e = colonies(n, honey_g=np.exp(prior_mean + prior_sd * np.random.default_rng(4).standard_normal(n)))
    one = sky()
    state = Assimilated("toy", FIRST, FIRST, e, np.zeros(n, np.intp), np.zeros((0, 0, 0), np.float32))
    walk = Walk(HiveCase("toy", PLACE, BOXES), one, np.random.default_rng(6), n, 6, state, np.arange(n, dtype=np.intp))

    def weigh_now(now: Shown) -> list[Item]:
        z = (np.log(1000.0 * now.honey_kg) - saw) / error
        return [Item("toy", -0.5 * z * z, -1e6)]

    walk.learn(Seen("toy", "look", FIRST, 9.0, {}, confirmed=True), weigh_now)
    precision = 1 / prior_sd**2 + 1 / error**2
    mean, sd = (prior_mean / prior_sd**2 + saw / error**2) / precision, precision**-0.5
    got = np.log(state.ensemble.state[:, lay.HONEY])
    assert got.mean() == pytest.approx(mean, abs=0.05 * prior_sd)
    assert got.std() == pytest.approx(sd, rel=0.05)


def test_what_looks_say_nothing_of_keeps_its_spread() -> None:
    """Six telling looks at honey alone, which nothing ties to the parameters, leave the variance of the parameters'
    normal scores at one.

    Mean over 21 parameters and thirty-six walks of 400 members, whose standard error is about 0.016 (measured over
    ninety-six). With some eighty effective members a look, six looks
    would take about six parts in eighty of it (arithmetic) if nothing were given back.
    """
    n, found = 400, []
    for seed in range(36):
        rng = np.random.default_rng(seed)
        e = colonies(n)
        e.params[:] = draw(rng, n)
        state = Assimilated("toy", FIRST, FIRST, e, np.zeros(n, np.intp), np.zeros((0, 0, 0), np.float32))
        walk = Walk(HiveCase("toy", PLACE, BOXES), sky(), rng, n, seed, state, np.arange(n, dtype=np.intp), fed=True)
        before = space().scores(e.params).var(axis=0)
        for k in range(6):
            # Honey is drawn anew for every look, so that none of them speaks of anything else.
            state.ensemble.state[:, lay.HONEY] = np.exp(9.2 + 0.5 * rng.standard_normal(n))
            saw = 9.2 + 0.5 * rng.standard_normal()

            def weigh_now(now: Shown, saw: float = saw) -> list[Item]:
                return [Item("toy", -0.5 * ((np.log(1000.0 * now.honey_kg) - saw) / 0.1) ** 2, -1e6)]

            walk.learn(Seen(f"{k}", "look", FIRST, 9.0, {}, confirmed=True), weigh_now)
        found.append(space().scores(state.ensemble.params).var(axis=0) / before)
    ratio = np.array(found)
    assert ratio.mean() == pytest.approx(1.0, abs=0.05)


# --- same input, same bytes


def season(with_patty: bool = True) -> list[Seen]:
    """A short season of entries of every kind taken in."""
    return [
        look(FIRST + 10 * D, capped_quarters=4.0),
        seen("mite wash", FIRST + 10 * D, 10.0, mites=2, bees=300),
        *([seen("laid on", FIRST + 12 * D, 8.0, weight=226.8)] if with_patty else []),
        look(FIRST + 17 * D, patty_left=1.0, patty_texture="soft"),
        seen("taken off", FIRST + 17 * D, 9.2, patty_left=1.0, patty_debris="none"),
        seen("event", FIRST + 20 * D, 9.0, event="treatment"),
        look(FIRST + 40 * D, seams=(9.0, 7.0), jelly="floating"),
    ]


def test_same_seed_gives_same_bytes_in_any_order() -> None:
    """The order in which entries are handed over does not change a byte."""
    entries = season()
    first = known(*entries)
    assert same(first, known(*reversed(entries)))
    assert same(first, known(*sorted(entries, key=lambda s: s.id)))


def test_another_seed_gives_other_bytes_and_much_the_same_answer() -> None:
    """Luck of the draw moves the median of adults by less than the 80 % interval is wide."""
    a, b = known(*season()), known(*season(), seed=2)
    assert not same(a, b)
    low, high = np.quantile(a.ensemble.adults(), [0.1, 0.9])
    assert low < median(b, "adults") < high


def test_threads_do_not_change_the_bytes() -> None:
    """One thread or two, the same bytes."""
    had = numba.get_num_threads()
    try:
        numba.set_num_threads(1)
        one = known(*season())
        numba.set_num_threads(min(2, numba.config.NUMBA_NUM_THREADS))
        two = known(*season())
    finally:
        numba.set_num_threads(had)
    assert same(one, two)


def test_an_entry_sent_twice_counts_once() -> None:
    """The same laying-on in the list twice is one piece."""
    entries = season()
    assert same(known(*entries), known(*entries, entries[2]))


def test_not_looked_and_missing_are_the_same_bytes() -> None:
    """Fields 'not looked' say as much as fields left out: nothing, bit for bit."""
    day = FIRST + 30 * D
    asked = look(day, drop=("eggs",), id="a", queen_seen="not looked", eggs="not looked", brood_signs="not looked")
    assert same(known(asked), known(look(day, drop=("eggs",), id="a")))


def test_a_look_at_nothing_leaves_what_is_known_much_as_it_was() -> None:
    """A look with no field filled weighs nothing: no read, no flag."""
    a = known(look(FIRST + 10 * D), only(FIRST + 20 * D, shade_temp=30.0))
    assert [r.day for r in a.reads] == [FIRST + 10 * D]
    assert a.flags == []


def test_skipped_is_not_zero() -> None:
    """Leaving out brood does not lower brood; writing none does."""
    day = TODAY - 2 * D
    left_out = known(look(day, drop=("capped_quarters", "open_quarters", "brood_combs", "eggs", "jelly")))
    none = known(look(day, drop=("jelly",), capped_quarters=0.0, open_quarters=0.0, brood_combs=0.0, eggs="no"))
    assert median(none, "capped") < 0.3 * median(left_out, "capped")


def test_pieces_on_and_off_at_the_same_minute() -> None:
    """Old off and new on written at one time leave the new piece on, whatever their ids."""
    day = TODAY - D
    for ids in (("a", "b"), ("b", "a")):
        a = known(
            look(FIRST + 10 * D), seen("laid on", day - WEEK, 9.0, id="old", weight=200.0),
            seen("taken off", day, 9.0, id=ids[0], weight=50.0), seen("laid on", day, 9.0, id=ids[1], weight=400.0),
        )  # fmt: skip
        assert a.patty_laid_g == 400.0
        assert np.median(a.ensemble.state[:, lay.PATTY]) > 100.0


def test_without_leaves_an_entry_out_and_believing_confirms_it() -> None:
    """Leaving out is the same as not having it; believing is the same as having it confirmed."""
    first, odd = look(FIRST + 10 * D), look(FIRST + 30 * D, id="odd", seams=(2.0, 0.0))
    confirmed = look(FIRST + 30 * D, id="odd", confirmed=True, seams=(2.0, 0.0))
    assert same(known(first, odd, without={"odd"}), known(first))
    assert same(known(first, odd, believing={"odd"}), known(first, confirmed))


# --- bounded influence and flags

ABSURD = {"seams": (1.0, 0.0), "heft": "very light", "brood_combs": 1.0, "capped_quarters": 0.0, "open_quarters": 0.0}


def _three(last: Seen) -> Assimilated:
    return known(look(TODAY - 21 * D), look(TODAY - 11 * D), last, members=600)


def test_an_absurd_look_is_flagged_with_bounded_influence() -> None:
    """The look of a tiny hive typed in for a strong one is flagged and moves under a third of what it would confirmed.

    A third is our own bound: what is left of the look is its chance, two in a hundred, to be right after all.
    """
    day = TODAY - D
    believed = _three(look(day, id="odd", confirmed=True, **ABSURD))
    doubted = _three(look(day, id="odd", **ABSURD))
    before = known(look(TODAY - 21 * D), look(TODAY - 11 * D), members=600)
    assert [f.entry for f in doubted.flags] == ["odd"]
    assert doubted.flags[0].chance_wrong > 0.5
    assert believed.flags == []
    moved = abs(median(doubted, "adults") - median(before, "adults"))
    would = abs(median(believed, "adults") - median(before, "adults"))
    assert would > 10_000
    assert moved < would / 3


def test_a_confirmed_crash_is_believed() -> None:
    """Two seams confirmed after looks at twelve: adults are those of a small hive (105 bees/dm2, 17.6 dm2 a seam)."""
    small = {"seams": (2.0, 0.0), "brood_combs": 2.0, "capped_quarters": 1.0, "open_quarters": 1.0}
    a = _three(look(TODAY, id="odd", confirmed=True, **small))
    assert 0.5 * 2 * 105 * 17.6 < median(a, "adults") < 2.0 * 2 * 105 * 17.6
    assert a.flags == []


def test_a_plausible_look_is_not_flagged() -> None:
    """An ordinary look after ordinary looks raises no flag."""
    assert _three(look(TODAY - D, seams=(9.0, 5.0))).flags == []


def test_the_first_look_is_never_flagged() -> None:
    """Nothing is known before the first look, so nothing can disagree with it."""
    assert known(look(TODAY - D, seams=(0.5, 0.0), heft="heavy")).flags == []


def test_one_number_mistyped_among_right_ones_is_outweighed() -> None:
    """Seams typed ten times too few in an otherwise ordinary look leave adults within a fifth of what they were."""
    usual = _three(look(TODAY - D, id="x"))
    typo = _three(look(TODAY - D, id="x", seams=(0.8, 0.4)))
    assert median(typo, "adults") == pytest.approx(median(usual, "adults"), rel=0.2)


# --- leftovers


def _left(**values: object) -> Assimilated:
    return known(
        look(TODAY - 30 * D),
        seen("laid on", TODAY - 8 * D, 9.0, weight=453.6),
        only(TODAY - D, id="left", **values),  # type: ignore[arg-type]
    )


@pytest.mark.parametrize(
    "why", [{"patty_texture": "hard"}, {"patty_touch": "no"}, {"patty_debris": "some"}, {"patty_debris": "much"}]
)
def test_leftovers_that_say_nothing_of_appetite_only_set_what_is_there(why: dict[str, str]) -> None:
    """Hard, out of touch, or hauled out as crumbs: no weight on any member, the amount taken as seen."""
    a = _left(patty_left=4.0, **why)
    assert [r.entry for r in a.reads] == [f"look-{TODAY - 30 * D}-9.0"]
    assert np.median(a.ensemble.state[:, lay.PATTY]) > 0.75 * 453.6


def test_soft_leftovers_speak_of_appetite() -> None:
    """A soft piece in touch eaten to the last crumb favours better eaters than one left whole."""
    all_gone, untouched = _left(patty_left=0.0, patty_texture="soft"), _left(patty_left=4.0, patty_texture="soft")
    from tideover.colony.layout import P

    appetite = [float(np.median(a.ensemble.params[:, P["patty_intake_mg"]])) for a in (all_gone, untouched)]
    assert appetite[0] > appetite[1]
    assert np.all(all_gone.ensemble.state[:, lay.PATTY] == 0.0)


def test_a_piece_of_sugar_alone_has_no_protein() -> None:
    """Protein written as 0 is 0, not the usual share."""
    a = known(look(TODAY - 9 * D), seen("laid on", TODAY - D, weight=200.0, protein=0.0))
    assert np.all(a.ensemble.state[:, lay.PATTY_PROTEIN] == 0.0)


# --- odd seasons


def test_a_season_with_no_entries() -> None:
    """Nothing written: broad, in season, no looks, nothing negative."""
    a = known()
    assert a.looks == 0
    assert a.today == TODAY
    assert a.ensemble.members == MEMBERS
    assert np.isfinite(a.ensemble.state).all()
    assert a.ensemble.adults().min() >= 0
    low, high = np.quantile(a.ensemble.adults(), [0.1, 0.9])
    assert high > 2 * low


@pytest.mark.parametrize("day", [FIRST, FIRST - 30 * D, TODAY, TODAY - D])
def test_one_look_on_an_odd_day(day: object) -> None:
    """A look on the first day of weather, before it begins, yesterday or this morning is taken in once."""
    a = known(look(day))  # type: ignore[arg-type]
    assert a.looks == 1
    assert len(a.reads) == 1
    assert a.ensemble.members == MEMBERS
    assert a.out.shape[0] in (0, MEMBERS)
    assert a.out.shape[1] == (TODAY - day).days  # type: ignore[operator]
    assert np.isfinite(a.ensemble.state).all()


def test_entries_after_today_are_not_known_yet() -> None:
    """What is written for tomorrow does not change today."""
    entries = season()
    assert same(known(*entries), known(*entries, look(TODAY + D, seams=(1.0, 0.0))))


def test_only_a_mite_wash() -> None:
    """A wash alone moves mites and leaves the rest broad."""
    many, few = (known(seen("mite wash", TODAY - D, mites=k, bees=300)) for k in (30, 0))
    assert median(many, "mites") > 2 * median(few, "mites")


def test_last_years_entries_say_nothing() -> None:
    """Looks of the year before leave this season as if they had not been made."""
    old = [look(TODAY - 400 * D, seams=(2.0, 0.0)), look(TODAY - 380 * D)]
    assert same(known(look(TODAY - 9 * D), *old), known(look(TODAY - 9 * D)))
    assert same(known(*old), known())


def test_a_swarm_takes_the_share_written() -> None:
    """A swarm written as 30 % takes about that, one without a share takes half or more."""
    from tideover.evidence.happenings import happen

    rng = np.random.default_rng(1)
    written, unsaid = colonies(500), colonies(500)
    happen(written, "swarm", {"share": 30.0}, rng)
    happen(unsaid, "swarm", {}, rng)
    assert np.median(written.adults()) == pytest.approx(0.70 * 20_000, rel=0.05)
    assert np.median(unsaid.adults()) < 0.60 * 20_000


# --- inference


def test_looks_without_eggs_raise_the_chance_that_no_queen_lays() -> None:
    """Each further look with no eggs makes 'no queen lays' likelier; one with eggs makes it unlikely."""
    bare = {"eggs": "no", "open_quarters": 0.0}
    first = look(TODAY - 40 * D)
    once = look(TODAY - 16 * D, drop=("jelly",), **bare)
    twice = look(TODAY - 2 * D, drop=("jelly",), capped_quarters=0.0, **bare)
    chances = [idle(known(*seen, members=600)) for seen in ([first], [first, once], [first, once, twice])]
    assert chances[0] < 0.1
    assert chances == sorted(chances)
    assert chances[2] > 0.5
    assert idle(known(first, once, look(TODAY - 2 * D), members=600)) < 0.2


def test_a_first_look_at_a_hive_without_brood_is_believed() -> None:
    """No eggs, no larvae, no capped brood at the very first look: brood is known to be next to none."""
    bare = {"eggs": "no", "open_quarters": 0.0, "capped_quarters": 0.0, "brood_combs": 0.0}
    a = known(look(TODAY - D, drop=("jelly",), **bare))
    assert median(a, "capped") < 1500
    assert idle(a) > 0.5


@pytest.mark.parametrize(
    ("more", "less", "of"),
    [
        ({"seams": (10.0, 9.0)}, {"seams": (4.0, 0.0)}, "adults"),
        ({"heft": "heavy"}, {"heft": "light"}, "honey"),
        ({"honey_combs": 8.0}, {"honey_combs": 1.0}, "honey"),
        ({"hive_weight": 70.0}, {"hive_weight": 45.0}, "honey"),
        ({"outer_pollen": "full side"}, {"outer_pollen": "none"}, "pollen"),
        ({"outer_half_sides": 6.0}, {"outer_half_sides": 0.0}, "pollen"),
        ({"nest_pollen": "broad band"}, {"nest_pollen": "none"}, "pollen"),
        ({"brood_combs": 8.0, "capped_quarters": 6.0}, {"brood_combs": 3.0, "capped_quarters": 1.0}, "capped"),
        ({"brood_combs": 7.0, "open_quarters": 3.0}, {"brood_combs": 7.0, "open_quarters": 0.5}, "open_larvae"),
        ({"jelly": "floating"}, {"jelly": "dry"}, "jelly"),
        ({"jelly_floating": 20}, {"jelly_dry": 20}, "jelly"),
    ],
)
def test_more_seen_is_more_known(more: dict[str, object], less: dict[str, object], of: str) -> None:
    """What a field speaks of ends higher when more of it is seen."""
    day = TODAY
    high, low = (known(look(day - 20 * D), only(day, id="l", **v)) for v in (more, less))  # type: ignore[arg-type]
    assert median(high, of) > 1.05 * median(low, of)


def test_an_outer_comb_full_both_sides_is_kilograms_not_grams() -> None:
    """Six half sides of pollen are told as 0.5-4 kg (arithmetic: a deep side has about 3,300 cells of 0.17 g bread)."""
    a = known(only(TODAY, outer_half_sides=6.0, seams=(9.0, 8.0)))
    assert 500.0 < median(a, "pollen") < 4000.0


def test_a_scale_reads_honey_in_kilograms() -> None:
    """Ten kilograms more on the scale are about ten kilograms more honey."""
    light, heavy = (known(only(TODAY, id="s", seams=(8.0, 4.0), hive_weight=w)) for w in (46.0, 56.0))
    assert median(heavy, "honey") - median(light, "honey") == pytest.approx(10.0, abs=4.0)


def test_syrup_is_kilograms_of_honey() -> None:
    """Ten litres of one-to-one syrup give about 6 kg (arithmetic: 10 l x 1.23 kg/l x 50 % x 0.8 / 0.82)."""
    base, fed = (
        known(look(TODAY)),
        known(look(TODAY), seen("event", TODAY, 12.0, event="syrup", syrup=10.0, sugar_share=50.0)),
    )
    assert median(fed, "honey") - median(base, "honey") == pytest.approx(10 * 1.23 * 0.5 * 0.8 / 0.82, abs=0.1)


def test_prior_parameters_survive_an_empty_season() -> None:
    """With nothing seen, parameters are still draws from their priors."""
    a, prior = known(members=2000), draw(np.random.default_rng(0), 20_000)
    for k in range(lay.PARAMS):
        assert np.median(a.ensemble.params[:, k]) == pytest.approx(np.median(prior[:, k]), rel=0.15, abs=0.02)


def test_a_hive_restocked_after_a_death_is_a_new_colony() -> None:
    """After a death only what came later counts, once bees are seen again; until then the hive is empty."""
    old, died = look(FIRST + 5 * D), seen("event", FIRST + 20 * D, event="death")
    new = look(TODAY - 5 * D, seams=(6.0, 0.0))
    assert same(known(old, died, new), known(new))
    assert np.all(known(old, died).ensemble.adults() == 0.0)


def test_a_first_look_at_nothing_is_no_first_look() -> None:
    """A look at nothing before the first real one does no harm and costs no members."""
    a = known(only(TODAY - 20 * D, shade_temp=30.0), look(TODAY - 3 * D), look(TODAY - D))
    assert a.ensemble.members == MEMBERS
    assert a.out.shape[:2] == (MEMBERS, 20)
    assert len(a.reads) == 2


def test_looks_cannot_teach_what_a_patty_is_worth_before_one_was_laid_on() -> None:
    """With nothing fed the worth, harm and appetite of patties keep their priors however often a hive is looked at:
    mean and spread within four standard errors of the figures' priors."""
    a = known(*(look(TODAY - k * D, id=f"l{k}") for k in (40, 30, 20, 10, 1)), members=600)
    rng = np.random.default_rng(99)
    for name in ("feed_value", "feed_harm", "patty_intake_mg"):
        prior = book().row(f"colony.{name}").prior().sample(rng, 200_000)
        got = a.ensemble.params[:, P[name]]
        kurtosis = float(((prior - prior.mean()) ** 4).mean() / prior.var() ** 2)
        assert abs(got.mean() - prior.mean()) < 4 * prior.std() / np.sqrt(got.size)
        assert abs(got.std() / prior.std() - 1) < 4 * np.sqrt((kurtosis - 1) / 4 / got.size)


def test_protein_not_written_is_the_keepers() -> None:
    """A piece without its protein takes the share given; one with it keeps its own."""
    bare = known(look(TODAY - 9 * D), seen("laid on", TODAY - 3 * D, weight=454.0), protein=21.0)
    own = known(look(TODAY - 9 * D), seen("laid on", TODAY - 3 * D, weight=454.0, protein=12.0), protein=21.0)
    assert (bare.ensemble.state[:, lay.PATTY_PROTEIN] == 0.21).all()
    assert (own.ensemble.state[:, lay.PATTY_PROTEIN] == 0.12).all()


def test_robbing_seen_takes_honey() -> None:
    """After robbing the honey is lower in the middle and wider: what is gone is not known."""
    quiet, robbed = (
        known(look(TODAY - 9 * D)),
        known(look(TODAY - 9 * D), seen("event", TODAY - 2 * D, event="robbing seen")),
    )
    logs = [np.log(k.ensemble.state[:, lay.HONEY] + 1.0) for k in (quiet, robbed)]
    assert np.median(logs[1]) < np.median(logs[0]) - 0.2
    assert logs[1].std() > logs[0].std()


def test_what_robbers_left_is_read_once_whatever_the_hour() -> None:
    """Robbing is under way before the visit that finds it: the same visit's look reads what was left, and nothing
    more is taken after it. Written an hour before or after the look, it is the same hive to the last byte."""
    before, after = (
        known(look(TODAY - 9 * D, honey_combs=3.5), seen("event", TODAY - D, hour, event="robbing seen", id="robbed"),
              look(TODAY - D, 9.0, heft="light", honey_combs=1.25, brood_combs=7.0))
        for hour in (8.0, 10.0)
    )  # fmt: skip
    assert same(before, after)
    # 1.25 full deep combs of honey of about 2.5 kg (row colony.honey_per_dm2_g, 290 g/dm2 of comb, by 8.63 dm2), read
    # with an error of half a comb or so; light is the keeper's word for about 5 kg (our assumption).
    assert 2.0 < median(after, "honey") < 5.5
    assert not after.flags


def test_robbing_may_empty_a_hive() -> None:
    """What robbers left runs from nearly nothing to nearly all: the chance of under a fifth of it is about a fifth."""
    quiet = known(look(TODAY - 9 * D))
    robbed = known(look(TODAY - 9 * D), seen("event", TODAY - 2 * D, event="robbing seen"))
    least = 0.2 * median(quiet, "honey")
    assert (quiet.ensemble.state[:, lay.HONEY] / 1000.0 < least).mean() < 0.02
    assert 0.10 < (robbed.ensemble.state[:, lay.HONEY] / 1000.0 < least).mean() < 0.35


def test_feedings_that_do_nothing_stay_a_tenth_when_members_move() -> None:
    """A tenth of the prior of a feed's worth is exactly nothing and a tenth exactly as good as pollen (normal scores of
    -1.27 and 1.27: Phi = 0.103). Thirty moves that teach nothing leave both shares and the spread between."""
    e = colonies(6_000)
    rng = np.random.default_rng(5)
    worth = e.params[:, P["feed_value"]]
    shares = [(float((worth == 0.0).mean()), float((worth == 1.0).mean()))]
    spread = worth.std()
    for _ in range(30):
        move(e, rng)
        worth = e.params[:, P["feed_value"]]
        shares.append((float((worth == 0.0).mean()), float((worth == 1.0).mean())))
    for nil, full in (shares[0], shares[-1]):
        # three standard errors of a share of 0.103 among 6 000
        assert nil == pytest.approx(0.103, abs=3 * np.sqrt(0.103 * 0.897 / 6_000))
        assert full == pytest.approx(0.103, abs=3 * np.sqrt(0.103 * 0.897 / 6_000))
    assert worth.std() == pytest.approx(spread, rel=0.03)
