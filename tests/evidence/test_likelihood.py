"""Looks to likelihoods: words and counts as distributions, bounded influence."""

from __future__ import annotations

from itertools import product
from math import factorial

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.stats import binom

from tests.evidence.hives import colonies, show
from tideover.colony import layout as lay
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN
from tideover.evidence import likelihood as lik
from tideover.evidence import scatters
from tideover.evidence import words as w
from tideover.evidence.likelihood import Item, jelly_counts_item, look_items, mite_item, weigh
from tideover.evidence.predict import Shown
from tideover.evidence.scatters import WRONG_ITEM, WRONG_LOOK
from tideover.evidence.seen import BoxSpec


def spread(n: int = 200) -> Shown:
    """Colonies over the whole range of sizes and stores, from next to nothing to plenty."""
    grow = np.geomspace(0.002, 4.0, n)
    return show(
        colonies(
            n, adults=20_000 * grow, eggs=3_000 * grow, open_larvae=5_000 * grow, capped=9_000 * grow,
            pollen_g=800 * grow, honey_g=12_000 * grow, jelly=np.linspace(0.0, 1.0, n),
        )
    )  # fmt: skip


def items(s: Shown, pollen_hours: bool = True, **values: object) -> list[Item]:
    """The items of a look with these fields."""
    return look_items(s, values, tare_kg=40.0, pollen_hours=pollen_hours)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("name", "vocabulary"),
    [
        ("heft", w.HEFT),
        ("outer_pollen", w.POLLEN_OUTER),
        ("nest_pollen", w.POLLEN_NEST),
        ("pollen_coming", w.POLLEN_COMING),
        ("jelly", w.JELLY),
        ("eggs", ("yes", "no")),
        ("queen_seen", ("yes", "no")),
    ],
)
def test_words_are_normalised(name: str, vocabulary: tuple[str, ...]) -> None:
    """For every colony the chances of all the words a keeper may use add up to one."""
    s = spread()
    total = sum(np.exp(items(s, **{name: word})[0].loglik) for word in vocabulary)
    np.testing.assert_allclose(total, 1.0, atol=1e-9)


@pytest.mark.parametrize(("table", "vocabulary"), [(OUTER_POLLEN, w.POLLEN_OUTER), (NEST_POLLEN, w.POLLEN_NEST)])
def test_tables_hold_the_vocabulary(table: dict[str, object], vocabulary: tuple[str, ...]) -> None:
    """The tables behind words hold exactly the words of the vocabulary, in rising order of amount."""
    assert tuple(table) == vocabulary
    shares = [a.share_of_side for a in table.values()]  # type: ignore[attr-defined]
    assert shares == sorted(shares)


def test_heft_words_hold_the_vocabulary() -> None:
    """Weights behind the words for heft rise with the words."""
    assert tuple(scatters.HEFT_KG) == w.HEFT
    assert [m for m, _ in scatters.HEFT_KG.values()] == sorted(m for m, _ in scatters.HEFT_KG.values())


@pytest.mark.parametrize("total", [1, 3, 5])
def test_jelly_counts_sum_to_one(total: int) -> None:
    """The Dirichlet-multinomial of larvae counted adds up to one over all outcomes, for members and for a random hive.

    The item leaves the number of orders out, which is the same for every member; it is put back here.
    """
    s = spread(40)
    members: NDArray[np.float64] = np.zeros(40)
    random_hive = 0.0
    for floating, damp in product(range(total + 1), repeat=2):
        dry = total - floating - damp
        if dry < 0:
            continue
        orders = factorial(total) / (factorial(floating) * factorial(damp) * factorial(dry))
        item = jelly_counts_item(s, floating, damp, dry)
        members = members + orders * np.exp(item.loglik)
        random_hive += orders * float(np.exp(item.background))
    np.testing.assert_allclose(members, 1.0, rtol=1e-9)
    assert random_hive == pytest.approx(1.0, rel=1e-9)


def test_jelly_counts_of_one_comb_say_less_than_free_draws() -> None:
    """Forty larvae of one comb weigh less than forty independent larvae would."""
    s = spread(80)
    item = jelly_counts_item(s, 0.0, 0.0, 40.0)
    free = 40.0 * np.log(lik.jelly_shares(s.jelly)[:, 0])
    assert np.ptp(item.loglik) < 0.5 * np.ptp(free)


def test_jelly_counts_stand_before_the_word() -> None:
    """Where larvae were counted the word for jelly is not taken in a second time."""
    names = [i.name for i in items(spread(), jelly="dry", jelly_dry=8.0, jelly_damp=2.0)]
    assert names == ["jelly counts"]


def test_no_counts_leave_the_word() -> None:
    """Counts of nothing are no counts: the word for jelly stands."""
    names = [i.name for i in items(spread(), jelly="dry", jelly_dry=0.0, jelly_damp=0.0, jelly_floating=0.0)]
    assert names == ["jelly"]


@pytest.mark.parametrize(("mites", "bees"), [(0, 300.0), (3, 300.0), (9, 300.0), (30, 450.0)])
def test_mite_wash_lies_within_and_beyond_the_binomial(mites: int, bees: float) -> None:
    """A wash is told by the exact binomial (SciPy) widened for clumping: same peak, flatter flanks."""
    rates = np.geomspace(0.05, 40.0, 400)
    e = colonies(400, mites=rates)
    item = mite_item(show(e), float(mites), bees)
    exact = binom.logpmf(mites, int(bees), np.clip(rates / 100.0, 1e-5, 0.9))
    ours, theirs = item.loglik - item.loglik.max(), exact - exact.max()
    # Flatter on both flanks, never sharper, apart from the very top where widening lowers the peak.
    far = theirs < -4.0
    assert np.all(ours[far] >= theirs[far])
    if mites > 0:
        best = rates[int(np.argmax(item.loglik))]
        assert best == pytest.approx(100.0 * mites / bees, rel=0.15)


def test_mite_wash_reaches_the_binomial_limit() -> None:
    """With the widening taken out by averaging it over the exact binomial, the two agree (SciPy, 5,000 draws)."""
    rates = np.array([0.5, 1.0, 2.0, 4.0, 8.0])
    item = mite_item(show(colonies(5, mites=rates)), 6.0, 300.0)
    z = np.random.default_rng(1).standard_normal(200_000)
    direct = np.array([binom.pmf(6, 300, np.clip(r / 100.0 * np.exp(0.35 * z), 1e-5, 0.9)).mean() for r in rates])
    ours = np.exp(item.loglik - item.loglik[2])
    np.testing.assert_allclose(ours, direct / direct[2], rtol=0.05)


def test_more_mites_than_bees_is_finite() -> None:
    """A wash with more mites than bees counted gives finite weights that favour the worst infested."""
    item = mite_item(show(colonies(3, mites=np.array([0.5, 5.0, 50.0]))), 60.0, 50.0)
    assert np.all(np.isfinite(item.loglik))
    assert item.loglik[2] >= item.loglik[1] >= item.loglik[0]


def test_not_looked_gives_no_item() -> None:
    """'Not looked' and fields without bearing on the forecast give nothing to weigh."""
    assert items(spread(), eggs="not looked", queen_seen="not looked", beetles="many", brood_signs="yes") == []


def test_pollen_coming_outside_pollen_hours_says_nothing() -> None:
    """Pollen on legs at an hour when no pollen can be fetched is not held against a colony."""
    assert items(spread(), pollen_hours=False, pollen_coming="none") == []
    assert len(items(spread(), pollen_hours=True, pollen_coming="none")) == 1


@pytest.mark.parametrize(
    ("values", "of", "rising"),
    [
        ({"seams": (9.0, 8.0)}, "adults", True),
        ({"seams": (1.0, 0.0)}, "adults", False),
        ({"heft": "heavy"}, "honey_kg", True),
        ({"heft": "very light"}, "honey_kg", False),
        ({"honey_combs": 12.0}, "honey_kg", True),
        ({"honey_combs": 0.0}, "honey_kg", False),
        ({"outer_pollen": "full side"}, "pollen_g", True),
        ({"outer_pollen": "none"}, "pollen_g", False),
        ({"outer_half_sides": 10.0}, "pollen_g", True),
        ({"brood_combs": 16.0}, "capped", True),
        ({"brood_combs": 0.0}, "capped", False),
        ({"eggs": "no"}, "eggs", False),
        ({"jelly": "floating"}, "jelly", True),
        ({"jelly": "dry"}, "jelly", False),
        ({"hive_weight": 95.0}, "honey_kg", True),
    ],
)
def test_extreme_looks_lean_the_right_way(values: dict[str, object], of: str, rising: bool) -> None:
    """The most and the least that can be seen favour the largest and the smallest colonies."""
    s = spread()
    amount = getattr(s, of)
    logs = items(s, **values)[0].loglik
    top, bottom = logs[int(np.argmax(amount))], logs[int(np.argmin(amount))]
    assert bool(top > bottom) is rising


def test_weigh_bounds_each_item() -> None:
    """However badly a member fits one item, it cannot lose more than the wrong-entry part allows."""
    bad = Item("seams", np.array([0.0, -50.0, -5000.0]), -3.0)
    out = weigh([bad], np.full(3, 1 / 3), confirmed=False).loglik
    floor = np.log(WRONG_ITEM) - 3.0
    # The least a member can have is the wrong-entry part alone, the most the right part plus all wrong parts.
    assert out.min() >= np.log1p(-WRONG_LOOK) + floor
    assert np.ptp(out) <= 0.0 - (np.log1p(-WRONG_LOOK) + floor) + 0.1
    assert out[1] == pytest.approx(out[2])


def test_weigh_bounds_a_whole_look() -> None:
    """Twenty items that all speak against a member are bounded by the chance that the look is another hive's."""
    many = [Item(f"i{k}", np.array([0.0, -300.0]), -3.0) for k in range(20)]
    out = weigh(many, np.full(2, 0.5), confirmed=False).loglik
    assert np.ptp(out) <= 20 * 3.0 - np.log(WRONG_LOOK) + 0.01
    assert out[1] >= np.log(WRONG_LOOK) - 60.0 - 1e-9


def test_weigh_confirmed_is_unbounded() -> None:
    """What the keeper confirms is taken at its word: log-weights are the plain sum."""
    a, b = Item("a", np.array([0.0, -50.0]), -3.0), Item("b", np.array([-1.0, -2.0]), -3.0)
    out = weigh([a, b], np.full(2, 0.5), confirmed=True)
    np.testing.assert_allclose(out.loglik, [-1.0, -52.0])
    assert out.odd == 0.0


def test_weigh_of_nothing_is_flat() -> None:
    """A look without any item leaves weights alone."""
    out = weigh([], np.full(4, 0.25), confirmed=False)
    assert np.all(out.loglik == 0.0)
    assert out.odd == 0.0


def test_odd_follows_the_fit() -> None:
    """The chance that a look is wrong is near one when nobody fits, under a tenth when all do."""
    n = 10
    fits = [Item(f"i{k}", np.full(n, -2.0), -3.0) for k in range(4)]
    misfits = [Item(f"i{k}", np.full(n, -40.0), -3.0) for k in range(4)]
    assert weigh(fits, np.full(n, 0.1), confirmed=False).odd < 0.1
    assert weigh(misfits, np.full(n, 0.1), confirmed=False).odd > 0.9


def test_heat_of_the_day_sees_fewer_bees() -> None:
    """With field bees out, the same colony shows fewer seams; how many fewer is its foragers at most."""
    e = colonies(50)
    home, out = show(e, flying=0.0), show(e, flying=0.5)
    assert np.all(out.seams < home.seams)
    np.testing.assert_allclose(home.at_home - out.at_home, 0.5 * e.state[:, lay.FORAGER])


def test_seams_saturate_at_the_space() -> None:
    """A colony far larger than its hive fills every seam and shows no more."""
    s = show(colonies(20, adults=200_000.0))
    assert np.all(s.seams <= 22.0)
    assert np.all(s.seams > 0.9 * 22.0)


def test_a_seam_of_a_low_box_counts_by_its_height() -> None:
    """Two seams in a medium box are as many bees as 2 x 130/203 in a deep one (heights inside the frames, from the
    table of frames); two in a second deep box are two."""
    low, high = (BoxSpec("deep", 10), BoxSpec("medium", 10)), (BoxSpec("deep", 10), BoxSpec("deep", 10))
    e = colonies(50, adults=np.linspace(4_000.0, 12_000.0, 50))
    medium = items(show(e, boxes=low), seams=(2.5, 2.0))[0].loglik
    deep = items(show(e, boxes=low), seams=(2.5 + 2.0 * 130.0 / 203.0,))[0].loglik
    np.testing.assert_allclose(medium, deep)
    s = show(e, boxes=high)
    np.testing.assert_array_equal(items(s, seams=(2.5, 2.0))[0].loglik, items(s, seams=(4.5,))[0].loglik)
    # More boxes counted than the hive now has: the rest goes by the last one.
    np.testing.assert_array_equal(items(s, seams=(2.5, 1.0, 1.0))[0].loglik, items(s, seams=(4.5,))[0].loglik)
