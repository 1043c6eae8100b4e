"""What a look says of each member, against laws as SciPy writes them and sums of plain chances."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, factorial, log

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy import stats
from scipy.special import log_softmax

from tests.evidence.hives import BOXES, colonies
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.layout import P
from tideover.comb.density import worker_cells_per_dm2
from tideover.comb.frames import frame
from tideover.comb.stores import POLLEN_FILLED
from tideover.evidence import predict, scatters
from tideover.evidence import words as w
from tideover.evidence.likelihood import (
    QUARTERS_MOST,
    Item,
    jelly_shares,
    look_items,
    mite_item,
    patty_item,
    together,
    weigh,
    wrong_items,
)  # fmt: skip
from tideover.evidence.predict import Shown, shown
from tideover.evidence.scatters import WRONG_ITEM, WRONG_LOOK, Scatter

Floats = NDArray[np.float64]
seeds = st.integers(0, 2**32)


@dataclass
class Hives:
    """Unlike colonies, what they would show, and the same put down from their states one total after another."""

    e: Ensemble
    shown: Shown
    counted: Floats
    offer_log: Floats
    flying: float

    def param(self, name: str) -> Floats:
        return self.e.params[:, P[name]]

    def total(self, first: int, last: int) -> Floats:
        return np.asarray(self.e.state[:, first:last].sum(axis=1))

    @property
    def side(self) -> float:
        return frame("deep").dm2_per_side

    @property
    def brood(self) -> Floats:
        return self.total(lay.EGG, lay.QUALITY)

    @property
    def bread_g(self) -> Floats:
        return np.asarray(self.e.state[:, lay.BREAD] / predict.BREAD_POLLEN_SHARE)

    @property
    def bread_side_g(self) -> Floats:
        return self.side * worker_cells_per_dm2() * self.param("bread_per_cell_g")

    @property
    def at_home(self) -> Floats:
        return np.asarray(self.total(lay.HOUSE, lay.RESERVE) + (1.0 - self.flying) * self.e.state[:, lay.FORAGER])

    @property
    def seams(self) -> Floats:
        """Bees over what two facing sides carry, saturating at the places between and beside combs."""
        raw = self.at_home / (2.0 * self.side * self.param("bees_per_dm2"))
        return np.asarray(raw * (1.0 + (raw / sum(b.frames + 1 for b in BOXES)) ** 6) ** (-1.0 / 6.0))

    @property
    def brood_combs(self) -> Floats:
        full = self.brood / (2.0 * self.side * worker_cells_per_dm2() * self.param("brood_fill") * predict.COMB_COVERED)
        return np.asarray(full + predict.COMB_BEGUN * (1.0 - np.exp(-self.brood / predict.COMB_BEGUN_CELLS)))

    def quarters(self, cells: Floats, combs: Floats) -> Floats:
        quarter = self.side * worker_cells_per_dm2() * self.param("brood_fill") / 4.0
        return np.minimum(QUARTERS_MOST, scatters.MIDDLE_COMB * self.counted * cells / np.maximum(1.0, combs) / quarter)


def hives(seed: int, n: int = 30) -> Hives:
    rng = np.random.default_rng(seed)

    def some(middle: float) -> Floats:
        return np.where(rng.random(n) < 0.15, 0.0, middle * np.exp(rng.standard_normal(n)))

    e = colonies(
        n, adults=15_000.0 * np.exp(0.8 * rng.standard_normal(n)), eggs=some(3_000.0), open_larvae=some(5_000.0),
        capped=some(9_000.0), pollen_g=some(500.0), honey_g=some(12_000.0), jelly=rng.random(n),
        mites=rng.lognormal(0.0, 2.0, n),
    )  # fmt: skip
    e.state[:, lay.QUEEN] = rng.choice([lay.NO_QUEEN, 0.0, 1.0], n)
    e.state[:, lay.PATTY] = rng.uniform(0.0, 454.0, n)
    e.state[:, lay.HIVE_DEV] = 0.3 * rng.standard_normal(n)
    land, counted, flying = (
        rng.normal(-1.0, 1.0, n),
        np.exp(0.1 * rng.standard_normal(n)),
        float(rng.choice([0.0, 0.4])),
    )
    now = shown(e, BOXES, flying=flying, log_index=land, counted=counted)
    offer = land + e.state[:, lay.HIVE_DEV] + np.log(e.params[:, P["income_scale"]])
    return Hives(e, now, counted, offer, flying)


def one(h: Hives, name: str, value: object, **more: object) -> Item:
    """The item of one field of a look."""
    found = look_items(h.shown, {name: value} | more, tare_kg=40.0, pollen_hours=True)  # type: ignore[arg-type]
    return next(it for it in found if it.name == name)


def counts(value: float, predicted: Floats, scatter: Scatter) -> Floats:
    """A number written: normal about what is there, its spread a least one and a share of what is there, squared."""
    sd = np.sqrt(scatter.least**2 + (scatter.share * predicted) ** 2)
    return np.asarray(stats.norm(predicted, sd).logpdf(value))


def words(x_log: Floats, table: dict[str, tuple[float, float]], word: str) -> Floats:
    """A word written: its bell's share of all bells at the log amount."""
    bells = np.stack([stats.norm(m, sd).logpdf(x_log) for m, sd in table.values()])
    return np.asarray(log_softmax(bells, axis=0)[list(table).index(word)])


def same(found: Floats, expected: Floats) -> None:
    np.testing.assert_allclose(found, expected, rtol=1e-9, atol=1e-9)


# --- items


@settings(max_examples=30, deadline=None)
@given(seed=seeds, value=st.floats(0.0, 30.0))
def test_numbers_written_are_normal_about_what_is_there(seed: int, value: float) -> None:
    """Seams, combs, quarters, half sides, honey and weight from the members' states by ``scipy.stats.norm``."""
    h = hives(seed)
    state = h.e.state
    same(one(h, "seams", value).loglik, counts(value, h.seams * h.counted, scatters.SEAMS))
    same(one(h, "brood_combs", value).loglik, counts(value, h.brood_combs * h.counted, scatters.COMBS))
    honey = h.counted * state[:, lay.HONEY] / (h.side * h.param("honey_per_dm2_g"))
    same(one(h, "honey_combs", value).loglik, counts(value, honey, scatters.HONEY))
    half = h.counted * h.bread_g * scatters.OUTER_SHARE / (0.5 * h.bread_side_g * POLLEN_FILLED)
    same(one(h, "outer_half_sides", value).loglik, counts(value, half, scatters.HALF_SIDES))
    for name, cells in (("capped", h.total(lay.CAPPED, lay.QUALITY)), ("open", h.total(lay.LARVA, lay.CAPPED))):
        field = f"{name}_quarters"
        same(one(h, field, value).loglik, counts(value, h.quarters(cells, h.brood_combs), scatters.QUARTERS))
        known = counts(value, h.quarters(cells, 5.0 / h.counted), scatters.QUARTERS)
        same(one(h, field, value, brood_combs=5.0).loglik, known)
    kg = 40.0 + state[:, lay.HONEY] / 1000.0 + scatters.BEE_KG * h.at_home + h.bread_g / 1000.0
    weight = one(h, "hive_weight", 40.0 + value).loglik
    same(weight, np.asarray(stats.norm(kg, scatters.WEIGHT_SD).logpdf(40.0 + value)))
    left = patty_item(h.shown, 454.0, value / 30.0).loglik
    same(left, np.asarray(stats.norm(state[:, lay.PATTY] / 454.0, scatters.PATTY_SD).logpdf(value / 30.0)))


@settings(max_examples=20, deadline=None)
@given(seed=seeds)
def test_words_written_are_shares_of_all_words_bells(seed: int) -> None:
    """Heft and pollen words by ``scipy.special.log_softmax`` of ``scipy.stats.norm``, every word of each vocabulary."""
    h = hives(seed)
    sides = 2.0 * np.maximum(1.0, h.brood_combs)
    amounts = {
        "heft": (np.log(h.e.state[:, lay.HONEY] / 1000.0 + scatters.HEFT_UNFELT_KG), scatters.HEFT_LOG),
        "outer_pollen": (
            np.log(scatters.OUTER_SHARE * h.bread_g / scatters.OUTER_SIDES / h.bread_side_g + scatters.LEAST_SHARE),
            scatters.OUTER,
        ),
        "nest_pollen": (
            np.log(scatters.NEST_SHARE * h.bread_g / sides / h.bread_side_g + scatters.LEAST_SHARE),
            scatters.NEST,
        ),
        "pollen_coming": (h.offer_log, scatters.POLLEN_COMING_LOG),
    }
    for name, (x_log, table) in amounts.items():
        for word in table:
            item = one(h, name, word)
            same(item.loglik, words(x_log, dict(table), word))
            assert exp(item.background) == pytest.approx(1.0 / len(table))


@settings(max_examples=20, deadline=None)
@given(seed=seeds)
def test_answers_of_few_kinds_are_their_chances(seed: int) -> None:
    """Eggs, queen and jelly, each answer by the chance put down, and what no member can show is still possible."""
    h = hives(seed)
    laid = h.total(lay.EGG, lay.LARVA)
    eggs = scatters.EGGS_BY_MISTAKE + scatters.EGGS_FOUND * (1.0 - np.exp(-laid / scatters.EGGS_E_FOLD))
    chance = dict(zip((1.0, 0.0, lay.NO_QUEEN), scatters.QUEEN_SEEN, strict=True))
    queen = np.array([chance[float(q)] for q in h.e.state[:, lay.QUEEN]])
    for name, yes in (("eggs", eggs), ("queen_seen", queen)):
        same(one(h, name, "yes").loglik, np.log(yes))
        same(one(h, name, "no").loglik, np.log(1.0 - yes))
    jelly = h.e.state[:, lay.JELLY]
    dry = stats.logistic(scatters.JELLY_DRY, scatters.JELLY_WIDTH).sf(jelly)
    floating = stats.logistic(scatters.JELLY_FLOATING, scatters.JELLY_WIDTH).cdf(jelly)
    plain = np.stack([dry, np.maximum(0.0, 1.0 - dry - floating), floating], axis=1) + scatters.JELLY_LEAST
    plain /= plain.sum(axis=1, keepdims=True)
    same(jelly_shares(jelly), plain)
    for k, word in enumerate(w.JELLY):
        blurred = (1.0 - 3.0 * scatters.JELLY_BLUR) * plain[:, k] + scatters.JELLY_BLUR
        same(one(h, "jelly", word).loglik, np.log(blurred))


@settings(max_examples=30, deadline=None)
@given(seed=seeds, larvae=st.tuples(*[st.integers(0, 40)] * 3).filter(any))
def test_larvae_counted_are_dirichlet_multinomial(seed: int, larvae: tuple[int, int, int]) -> None:
    """By ``scipy.stats.dirichlet_multinomial``, less the number of orders, which is the same for every member."""
    h = hives(seed, 12)
    dry, damp, floating = larvae
    values = {"jelly_dry": float(dry), "jelly_damp": float(damp), "jelly_floating": float(floating)}
    (item,) = look_items(h.shown, values, tare_kg=0.0, pollen_hours=True)  # type: ignore[arg-type]
    orders = log(factorial(sum(larvae))) - sum(log(factorial(k)) for k in larvae)
    for k, shares in enumerate(jelly_shares(h.e.state[:, lay.JELLY])):
        plain = stats.dirichlet_multinomial(scatters.JELLY_ALIKE * shares, sum(larvae)).logpmf(larvae) - orders
        assert item.loglik[k] == pytest.approx(plain, rel=1e-9, abs=1e-9)


@settings(max_examples=30, deadline=None)
@given(seed=seeds, mites=st.integers(0, 60), bees=st.one_of(st.none(), st.integers(100, 500)))
def test_a_mite_wash_is_binomial_over_scattered_rates(seed: int, mites: int, bees: int | None) -> None:
    """By ``scipy.stats.binom``, meant over nine rates (Gauss-Hermite), over the chance at the rate counted."""
    h = hives(seed)
    item = mite_item(h.shown, float(mites), None if bees is None else float(bees))
    n = int(max(mites, scatters.WASH_BEES if bees is None else bees))
    sd = scatters.WASH_LOG_SD_UNCOUNTED if bees is None else scatters.WASH_LOG_SD
    nodes, weights = np.polynomial.hermite_e.hermegauss(9)
    rates = np.clip(h.e.state[:, lay.MITES, None] / 100.0 * np.exp(sd * nodes), 1e-5, 0.9)
    best = stats.binom.pmf(mites, n, mites / n)
    plain = stats.binom.pmf(mites, n, rates) @ (weights / weights.sum()) / best
    np.testing.assert_allclose(np.exp(item.loglik), plain, rtol=1e-6, atol=1e-290)


# --- a whole look


def look(seed: int, members: int, items: int, far: float) -> tuple[list[Item], Floats]:
    """Items that fit members more or less, and weights of members, some of them nothing."""
    rng = np.random.default_rng(seed)
    made = [Item(f"i{k}", -far * rng.exponential(size=members), -float(rng.uniform(0.5, 4.0))) for k in range(items)]
    weights = np.where(rng.random(members) < 0.2, 0.0, rng.exponential(size=members))
    weights[0] += 0.1
    return made, weights / weights.sum()


@settings(max_examples=60, deadline=None)
@given(
    seed=seeds,
    members=st.integers(1, 20),
    items=st.integers(1, 6),
    elsewhere=st.one_of(st.none(), st.floats(-9.0, 0.0)),
)
def test_a_look_is_right_or_wrong_by_item_and_as_a_whole(
    seed: int, members: int, items: int, elsewhere: float | None
) -> None:
    """Chances multiplied and added as they stand, no logs: each item is right or wrong, then the whole look; the chance
    that the look, and that each item, is wrong by Bayes' rule."""
    made, weights = look(seed, members, items, 3.0)
    right = np.ones(members)
    wrong = 1.0
    for it in made:
        right *= (1.0 - WRONG_ITEM) * np.exp(it.loglik) + WRONG_ITEM * exp(it.background)
        wrong *= exp(it.background)
    if elsewhere is not None:
        wrong = exp(elsewhere)
    plain = (1.0 - WRONG_LOOK) * right + WRONG_LOOK * wrong
    found = weigh(made, weights, confirmed=False, elsewhere=elsewhere)
    np.testing.assert_allclose(np.exp(found.loglik), plain, rtol=1e-9)
    # the house's own measure of oddness: prior odds times the ratio of what was seen, at the members' right chance
    assert found.odd == pytest.approx(
        WRONG_LOOK * wrong / (WRONG_LOOK * wrong + (1.0 - WRONG_LOOK) * float(weights @ right)), rel=1e-9
    )
    sure = weigh(made, weights, confirmed=True, elsewhere=elsewhere)
    np.testing.assert_allclose(sure.loglik, sum(it.loglik for it in made), rtol=1e-12)
    for it, chance in zip(made, wrong_items(tuple(made), weights), strict=True):
        as_right = (1.0 - WRONG_ITEM) * np.exp(it.loglik)
        as_wrong = WRONG_ITEM * exp(it.background)
        assert chance == pytest.approx(float(weights @ (as_wrong / (as_right + as_wrong))), rel=1e-9)
    assert exp(together(made)) == pytest.approx(float(right.mean()), rel=1e-9)


def test_what_is_left_of_a_piece_counts_at_its_background_at_any_hive() -> None:
    """Other hives have other pieces on: the item adds the same for every colony drawn at large."""
    made, _ = look(1, 9, 3, 3.0)
    piece = Item("patty left", np.linspace(-50.0, 0.0, 9), -1.5)
    assert together([*made, piece]) == pytest.approx(together(made) - 1.5, rel=1e-12)


@pytest.mark.parametrize("least", [-800.0, -1e6, -1e300, -np.inf])
def test_a_member_that_cannot_be_keeps_the_chance_of_a_wrong_entry(least: float) -> None:
    """However small the chance, nought included, what remains is that of wrong entries, to nine digits; no nan."""
    made = [Item("a", np.array([-1.0, least, least]), -2.0), Item("b", np.array([-1.0, -1.0, least]), -3.0)]
    weights = np.array([0.5, 0.25, 0.25])
    found = weigh(made, weights, confirmed=False)
    a = np.array([(1.0 - WRONG_ITEM) * exp(-1.0), 0.0, 0.0]) + WRONG_ITEM * exp(-2.0)
    b = np.array([(1.0 - WRONG_ITEM) * exp(-1.0)] * 2 + [0.0]) + WRONG_ITEM * exp(-3.0)
    np.testing.assert_allclose(np.exp(found.loglik), (1.0 - WRONG_LOOK) * a * b + WRONG_LOOK * exp(-5.0), rtol=1e-9)
    assert 0.0 < found.odd < 1.0
    nobody = weigh([Item("a", np.full(3, least), -2.0)], weights, confirmed=False)
    assert np.ptp(nobody.loglik) == 0.0
    assert nobody.odd == pytest.approx(WRONG_LOOK / (WRONG_LOOK + (1.0 - WRONG_LOOK) * WRONG_ITEM), rel=1e-9)
    np.testing.assert_allclose(wrong_items((made[1],), np.array([0.0, 0.0, 1.0])), 1.0, rtol=1e-12)
    assert together([Item("a", np.array([0.0, least]), -np.inf)]) == pytest.approx(log(0.5 * (1.0 - WRONG_ITEM)))
