"""Eight members at a time: the same numbers as one at a time, whatever lane a member is in and however many there are."""

from __future__ import annotations

import math

import numba as nb
import numpy as np
import pytest

from tideover.colony import lanes as ln
from tideover.colony import layout as lay
from tideover.colony.ensemble import Course, Ensemble, run
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.colony.weather import Feeding, Weather


@nb.njit(fastmath={"contract", "arcp", "nsz"})
def _exponentials(x, found):  # type: ignore[no-untyped-def]  # pragma: no cover
    table = ln.rows(1)
    last, who = x.shape[0] - 1, np.arange(x.shape[0])
    for first in range(0, x.shape[0], ln.WIDTH):
        table[0] = ln.exp(ln.pick(x, ln.members(who, first, last), 0))
        for j in range(min(ln.WIDTH, last + 1 - first)):
            found[first + j] = ln.take(table, 0, j)


@nb.njit
def _choices(x, limit, found):  # type: ignore[no-untyped-def]  # pragma: no cover
    table = ln.rows(4)
    last, who = x.shape[0] - 1, np.arange(x.shape[0])
    for first in range(0, x.shape[0], ln.WIDTH):
        v = ln.pick(x, ln.members(who, first, last), 0)
        table[0] = ln.where((v > limit) & (v < 2.0 * limit), v, -1.0)
        table[1] = min(v, limit) - max(limit, v)
        table[2] = ln.lanes(1.0 if ln.some(v > limit) else 0.0)
        table[3] = ln.where((v <= limit) | (v >= 2.0 * limit), 1.0, v)
        for j in range(min(ln.WIDTH, last + 1 - first)):
            for a in range(4):
                found[first + j, a] = ln.take(table, a, j)


def test_exp_is_the_library_s_to_two_units_in_the_last_place() -> None:
    """Against ``math.exp`` of the platform's C library on even steps and near 0; ends are held beyond 700."""
    x = np.r_[np.linspace(-700.0, 700.0, 200_001), np.linspace(-1e-3, 1e-3, 2_001), [0.0, -1e9, 1e9]]
    found = np.empty(x.size)
    _exponentials(x[:, None].copy(), found)
    expected = np.array([math.exp(min(700.0, max(-700.0, v))) for v in x])

    assert np.abs(found / expected - 1.0).max() <= 2.0 * np.finfo(float).eps
    assert found[-3] == 1.0


def test_choices_and_comparisons_go_member_by_member() -> None:
    """``where``, ``min``, ``max``, and-ed and or-ed answers as NumPy gives them; ``some`` asks the vector of eight."""
    x = np.random.default_rng(1).uniform(0.0, 3.0, 43)
    found = np.empty((x.size, 4))
    _choices(x[:, None].copy(), 1.2, found)

    assert (found[:, 0] == np.where((x > 1.2) & (x < 2.4), x, -1.0)).all()
    assert (found[:, 1] == np.minimum(x, 1.2) - np.maximum(1.2, x)).all()
    assert (found[:, 2] == [(x[i - i % 8 : i - i % 8 + 8] > 1.2).any() for i in range(x.size)]).all()
    assert (found[:, 3] == np.where((x <= 1.2) | (x >= 2.4), 1.0, x)).all()


def _hives(members: int) -> tuple[Ensemble, Weather, Feeding]:
    """Colonies with weather of their own and a weekly piece; the first ones are the same for any number."""
    p = draw(np.random.default_rng(8), 100)[:members]
    start = np.linspace(2_000.0, 40_000.0, 100)[:members]
    e = establish(p, adults=start, eggs=3_000.0, open_larvae=6_000.0, capped=11_000.0, pollen_g=500.0, honey_g=8_000.0)
    days, rng = 40, np.random.default_rng(9)
    own = [
        rng.uniform(low, high, (100, days))[:members] for low, high in ((-3, 0), (24, 41), (10, 20), (4, 11), (2, 8))
    ]
    visit = np.full(days, -1.0)
    visit[::7] = 454.0
    plain = [np.full(days, v) for v in (0.15, 0.04, 0.0, 0.0)]
    w = Weather(*(np.ascontiguousarray(a) for a in own), np.full(days, 13.5), np.full(days, -0.02))
    return e, w, Feeding(visit, *plain, 0.8)


@pytest.mark.parametrize("members", [1, 7, 8, 9, 31, 33, 65])
def test_a_member_s_days_do_not_depend_on_how_many_others_there_are(members: int) -> None:
    """State, records, totals and milestones of the first members are the bytes they are among a hundred."""
    whole, w, f = _hives(100)
    all_of = run(whole, w, f, seed=5, first_day=40)
    part, w, f = _hives(members)
    some_of = run(part, w, f, seed=5, first_day=40)

    assert part.state.tobytes() == whole.state[:members].tobytes()
    assert some_of.out.tobytes() == all_of.out[:members].tobytes()
    assert some_of.ledger.tobytes() == all_of.ledger[:members].tobytes()
    assert some_of.passage.tobytes() == all_of.passage[:members].tobytes()


def test_like_members_in_unlike_lanes_fare_alike() -> None:
    """Without luck, nine copies of a colony end in the same bytes whichever lane they are in."""
    e, w, f = _hives(1)
    e.params[:, lay.P["hive_income_sd"]] = 0.0
    many = Ensemble(np.repeat(e.state, 9, axis=0), np.repeat(e.params, 9, axis=0))
    day = w.slice(0, 1)
    run(many, day, Feeding(*(a[:1] for a in (f.visit_g, f.protein, f.pollen, f.sugar_g, f.keep_rest)), 1.0), seed=1)
    free = np.r_[lay.CAPPED : lay.HOUSE, lay.BREAD, lay.HONEY, lay.PATTY, lay.JELLY, lay.MITES]

    assert (many.state[:, free] == many.state[0, free]).all()


def test_parted_members_and_days_are_the_bytes_of_whole_ones() -> None:
    """Some members stepped ahead by parts of days, others after them in one go and in another order, end as all of them
    stepped together: state, records, totals and milestones."""
    whole, w, f = _hives(100)
    at_once = run(whole, w, f, seed=5, first_day=40)
    parted, w, f = _hives(100)
    course = Course(parted, w, f, seed=5, first_day=40)
    order = np.random.default_rng(3).permutation(100)
    some, rest = order[:37], order[37:]
    course.step(0, 11, some)
    course.step(11, 12, some)
    course.step(0, 40, rest)
    course.step(12, 40, some[::-1].copy())
    by_parts = course.run()

    assert parted.state.tobytes() == whole.state.tobytes()
    assert by_parts.out.tobytes() == at_once.out.tobytes()
    assert by_parts.ledger.tobytes() == at_once.ledger.tobytes()
    assert by_parts.passage.tobytes() == at_once.passage.tobytes()
