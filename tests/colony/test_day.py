"""The compiled day: it equals the readable one, keeps its books, and does not depend on threads."""

from __future__ import annotations

import itertools

import numba as nb
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tideover.colony import ensemble, noise, reference
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.colony.establish import establish
from tideover.colony.layout import G, O, P
from tideover.colony.parameters import constants, draw
from tideover.colony.weather import Feeding, Weather, light_term

Floats = np.ndarray


def sky(days: int, index: float = 0.4, high: float = 36.0, low: float = 22.0, hours: float = 9.0) -> Weather:
    """Days all alike, shared by all members."""

    def flat(v: float) -> Floats:
        return np.full((1, days), v)

    return Weather(
        np.log(flat(index)), flat(high), flat(low), flat(hours), flat(0.7 * hours), np.full(days, 13.0), np.zeros(days)
    )


def colonies(members: int = 40, seed: int = 3, **changed: float) -> Ensemble:
    """Summer colonies with drawn parameters."""
    totals = {
        "adults": 22_000.0, "eggs": 3_500.0, "open_larvae": 7_000.0, "capped": 13_000.0, "pollen_g": 700.0,
        "honey_g": 9_000.0,
    }  # fmt: skip
    return establish(draw(np.random.default_rng(seed), members), **(totals | changed))


def fed(days: int, every: int = 7, grams: float = 454.0, chance: float = 0.85) -> Feeding:
    """A piece at every visit, some visits missed, and syrup once."""
    visit, zero = np.full(days, -1.0), np.zeros(days)
    visit[::every] = grams
    sugar = zero.copy()
    sugar[3:4] = 2_000.0
    return Feeding(visit, np.full(days, 0.15), np.full(days, 0.05), sugar, zero, chance)


def by_the_book(
    e: Ensemble, w: Weather, f: Feeding, seed: int, first: int, c: Floats | None = None
) -> tuple[Floats, Floats]:
    """The same days by the readable path: records and ledger."""
    c = constants() if c is None else c
    light = light_term(w.daylength_h, w.daylength_change_h, c)
    ledger = np.zeros((e.members, lay.LEDGERS))
    out = []
    for d in range(w.days):
        day = reference.Day(
            w.log_index[0, d], w.temp_max_c[0, d], w.temp_min_c[0, d], w.flight_h[0, d], w.pollen_h[0, d],
            float(light[d]), f.visit_g[d], f.protein[d], f.pollen[d], f.sugar_g[d], f.keep_rest[d], f.visit_chance,
        )  # fmt: skip
        out.append(reference.step(e.state, e.params, c, day, noise.key(seed, 0), first + d, ledger))
    return np.stack(out, axis=1), ledger


@settings(max_examples=12, deadline=None)
@given(
    index=st.floats(0.005, 2.0), high=st.floats(2.0, 46.0), hours=st.floats(0.0, 12.0), seed=st.integers(0, 10_000),
    pollen=st.floats(0.0, 3_000.0), honey=st.floats(0.0, 20_000.0),
)  # fmt: skip
def test_kernel_is_the_readable_day(
    index: float, high: float, hours: float, seed: int, pollen: float, honey: float
) -> None:
    """Forty days with feeding, missed visits and noise give the same states by both paths, to rounding."""
    w, f = sky(40, index, high, high - 13.0, hours), fed(40)
    fast, slow = (colonies(12, seed, pollen_g=pollen, honey_g=honey) for _ in range(2))
    r = run(fast, w, f, seed=seed, first_day=500)
    out, ledger = by_the_book(slow, w, f, seed, 500)

    np.testing.assert_allclose(fast.state, slow.state, rtol=1e-8, atol=1e-7)
    np.testing.assert_allclose(r.ledger, ledger, rtol=1e-8, atol=1e-6)
    np.testing.assert_allclose(r.out, out, rtol=1e-5, atol=1e-3)


@pytest.mark.parametrize("brood", [0.0, 0.02, 0.1])
def test_queens_fail_and_are_raised_by_both_paths_alike(monkeypatch: pytest.MonkeyPatch, brood: float) -> None:
    """Where a queen fails on one day of twelve, and brood to raise another from is short, enough or plenty, both paths
    leave the same members queenless, waiting and laying."""
    c = constants()
    c[lay.C["queen_failure"]] = 0.08
    monkeypatch.setattr(ensemble, "constants", c.copy)
    w, f = sky(45), fed(45)
    start = {"eggs": 3_500.0 * brood, "open_larvae": 7_000.0 * brood}
    fast, slow = (colonies(400, 2, **start) for _ in range(2))
    fast.params[:, P["laying_max"]] = slow.params[:, P["laying_max"]] = np.linspace(1.0, 2_000.0, 400)
    run(fast, w, f, seed=11)
    by_the_book(slow, w, f, 11, 0, c)
    queen = slow.state[:, lay.QUEEN]

    assert (fast.state[:, lay.QUEEN] == queen).all()
    assert min((queen == 1.0).sum(), (queen == lay.NO_QUEEN).sum(), ((queen < 0.0) & (queen > -100.0)).sum()) > 5


@settings(max_examples=25, deadline=None)
@given(
    index=st.floats(0.001, 5.0), high=st.floats(-20.0, 50.0), hours=st.floats(0.0, 16.0),
    adults=st.sampled_from([0.0, 40.0, 3_000.0, 60_000.0]), honey=st.sampled_from([0.0, 300.0, 30_000.0]),
    queen=st.sampled_from([1.0, -9999.0, -10.0]),
)  # fmt: skip
def test_nothing_goes_below_nothing(
    index: float, high: float, hours: float, adults: float, honey: float, queen: float
) -> None:
    """Whatever the weather, no stage, store or mite is negative, reserves stay in 0-1 and all is finite."""
    e = colonies(6, 1, adults=adults, honey_g=honey, queen=queen)
    run(e, sky(60, index, high, high - 10.0, hours), fed(60), seed=2)
    x = e.state
    counts = np.r_[lay.EGG : lay.CAPPED + lay.N_CAPPED, lay.HOUSE : lay.RESERVE, lay.FORAGER, lay.BREAD, lay.HONEY]

    assert np.isfinite(x).all()
    assert (x[:, counts] >= 0.0).all()
    assert (x[:, [lay.PATTY, lay.MITES]] >= 0.0).all()
    assert ((x[:, lay.RESERVE : lay.FORAGER] >= 0.0) & (x[:, lay.RESERVE : lay.FORAGER] <= 1.0)).all()


def test_bees_and_protein_balance() -> None:
    """Bees: start and emerged less deaths. Bread: start and income less eaten. Protein: eaten, returned and drawn
    equal jelly, adults and waste. Honey and patty likewise. All to rounding, over eighty fed days."""
    e = colonies()
    adults, bread = e.adults(), e.state[:, lay.BREAD].copy()
    honey, patty = e.state[:, lay.HONEY].copy(), e.state[:, lay.PATTY].copy()
    r = run(e, sky(80, 0.25), fed(80), seed=5)

    def total(name: str) -> Floats:
        return r.ledger[:, G[name]]

    close = {"rtol": 1e-9, "atol": 1e-5}
    np.testing.assert_allclose(e.adults(), adults + total("emerged") - total("adult_deaths"), **close)
    np.testing.assert_allclose(e.state[:, lay.BREAD], bread + total("pollen_in_g") - total("bread_eaten_g"), **close)
    np.testing.assert_allclose(e.state[:, lay.HONEY], honey + total("honey_in_g") - total("honey_used_g"), **close)
    np.testing.assert_allclose(
        e.state[:, lay.PATTY],
        patty + total("patty_laid_g") - total("patty_removed_g") - total("patty_eaten_g"), **close,
    )  # fmt: skip
    np.testing.assert_allclose(
        total("protein_eaten_g") + total("protein_returned_g") + total("protein_drawn_g"),
        total("protein_jelly_g") + total("protein_adult_g") + total("protein_waste_g"), **close,
    )  # fmt: skip


def test_same_bytes_for_any_number_of_threads() -> None:
    """One thread, two threads and a second run leave identical states."""
    before = nb.get_num_threads()
    states = []
    try:
        for threads in (1, min(2, nb.config.NUMBA_NUM_THREADS), 1):
            nb.set_num_threads(threads)
            e = colonies(101)
            run(e, sky(50), fed(50), seed=9)
            states.append(e.state.tobytes())
    finally:
        nb.set_num_threads(before)

    assert states[0] == states[1] == states[2]


def test_two_halves_are_one_whole() -> None:
    """Running 30 days and then 20 gives what running 50 does, since luck belongs to dates."""
    whole, halves = colonies(), colonies()
    run(whole, sky(50), seed=4, first_day=100)
    run(halves, sky(30), seed=4, first_day=100)
    run(halves, sky(20), seed=4, first_day=130)

    assert whole.state.tobytes() == halves.state.tobytes()


@pytest.mark.parametrize("index", [0.02, 0.1, 0.3])
def test_more_pollen_never_shortens_the_runway_of_fixed_brood(index: float) -> None:
    """Without a queen the brood's course is fixed by what is there: a fuller pantry then never empties sooner,
    and reserves never run low sooner."""
    passages = []
    for grams in (100.0, 400.0, 1_000.0, 2_500.0):
        e = colonies(60, pollen_g=grams, queen=-9999.0, honey_g=60_000.0)
        # Collecting answers to the store; held still here, so that only the pantry differs.
        e.params[:, P["forager_share"]] = 1e-9
        e.state[:, lay.FORAGER] = 0.0
        r = run(e, sky(60, index), seed=3)
        passages.append(np.where(r.passage < 0, 99.0, r.passage))
    for poorer, richer in itertools.pairwise(passages):
        assert (richer[:, 0] >= poorer[:, 0]).all()
        assert (richer[:, 1] >= poorer[:, 1]).all()


def test_fed_brood_days_never_fall_on_average() -> None:
    """With brood free, harm set to nothing and the same luck, a weekly pound never lowers a colony's brood-days by
    more than a thousandth, and raises them in a dearth."""
    sums = []
    for grams in (-1.0, 454.0):
        e = colonies(80)
        e.params[:, P["feed_harm"]] = 0.0
        f = fed(70, grams=grams, chance=1.0) if grams > 0 else Feeding.none(70)
        f.sugar_g[:] = 0.0
        e.state[:, lay.HONEY] = 60_000.0
        r = run(e, sky(70, 0.08), f, seed=6)
        sums.append((r.out[:, :, O["open"]] + r.out[:, :, O["capped"]]).sum(axis=1))
    bare, with_patty = sums

    assert (with_patty >= 0.999 * bare).mean() > 0.97
    assert np.median(with_patty) > 1.05 * np.median(bare)


def test_winter_bees_come_out_of_the_model() -> None:
    """Old house bees of a broodless colony with full reserves die several times slower than busy summer ones;
    three times is the least in Smedal et al. 2009 (3-6 weeks with brood, 20 and more without)."""
    summer, winter = colonies(200), colonies(200, eggs=0.0, open_larvae=0.0, capped=0.0, queen=-9999.0, reserve=0.95)
    winter.state[:, lay.FORAGER] = 0.0
    hot = run(summer, sky(30, 1.0, 27.0, 15.0), seed=1)
    cold = run(winter, sky(30, 0.02, 8.0, -2.0, 0.0), seed=1)
    rate = [np.median(r.ledger[:, G["adult_deaths"]]) / 30.0 / 20_000.0 for r in (hot, cold)]

    assert rate[0] > 3.0 * rate[1]


def test_noise_is_what_it_says() -> None:
    """Mean 0, sd 1, kurtosis 2.7 of four uniforms (exact: 3 - 1.2 / 4), and compiled draws equal the array ones."""
    z = noise.normal_array(noise.key(1, 2), np.arange(200_000, dtype=np.uint64), 7, 3)

    assert abs(z.mean()) < 4.0 / np.sqrt(z.size)
    assert abs(z.std() - 1.0) < 0.01
    assert abs((z**4).mean() / z.var() ** 2 - 2.7) < 0.05
    other = noise.normal_array(noise.key(1, 3), np.arange(200_000, dtype=np.uint64), 7, 3)
    assert abs(np.corrcoef(z, other)[0, 1]) < 0.01


@pytest.mark.parametrize(
    ("rows", "days", "says"), [(3, 10, "rows; wanted 1 or 40"), (1, 12, "the feeding schedule has 10 days; wanted 12")]
)
def test_wrong_shapes_get_a_sentence(rows: int, days: int, says: str) -> None:
    """Drivers that do not fit the ensemble or the schedule are refused before anything is changed."""
    e = colonies()
    before = e.state.tobytes()
    w = sky(days)
    w = Weather(np.repeat(w.log_index, rows, axis=0), *(getattr(w, n) for n in (
        "temp_max_c", "temp_min_c", "flight_h", "pollen_h", "daylength_h", "daylength_change_h"
    )))  # fmt: skip
    with pytest.raises(ValueError, match=says):
        run(e, w, fed(10), seed=1)
    assert e.state.tobytes() == before
