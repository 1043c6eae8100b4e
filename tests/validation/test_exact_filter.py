"""The filter's own steps where the exact answer is known.

A Kalman filter (Kalman 1960, J Basic Eng 82:35-45) answers the linear-Gaussian case exactly: log
totals that wander by ``drift`` and are read with Gaussian error. Bayes' rule by enumeration answers the
discrete case: a queen who lays, is to come, or is not there, seen through 'eggs' and 'queen seen'.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np
import pytest
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.happenings import happen
from tideover.evidence.likelihood import Item, look_items
from tideover.evidence.moving import drift
from tideover.evidence.predict import Shown
from tideover.evidence.scatters import WRONG_ITEM, WRONG_LOOK
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Seen, Value
from tideover.evidence.sky import Sky
from tideover.evidence.walk import Walk
from tideover.figures import book

Floats = NDArray[np.float64]
DAY = date(2031, 6, 1)
MEMBERS = 4000


def walk(e: Ensemble, seed: int) -> Walk:
    """The filter's walk around an ensemble, under a sky that says nothing."""
    one = np.ones(200)
    over = Sky(DAY, np.zeros((4, 200)), 30.0 * one, 15.0 * one, 8.0 * one, 6.0 * one, 14.0 * one)
    n = e.members
    known = Assimilated("pit", DAY, DAY, e, np.zeros(n, np.intp), np.zeros((0, 0, 0), np.float32))
    case = HiveCase("pit", Place("pit", 37.0), (BoxSpec(), BoxSpec()))
    return Walk(case, over, np.random.default_rng(seed), n, seed, known, np.arange(n, dtype=np.intp))


# --- linear and Gaussian

NAMES = ("eggs", "larvae", "capped", "adults", "pollen", "honey")
MEAN = np.log([3_000.0, 6_000.0, 12_000.0, 20_000.0, 800.0, 12_000.0])
SD = np.array([0.5, 0.5, 0.5, 0.6, 0.9, 0.7])


def logs(e: Ensemble) -> Floats:
    """Log totals, shape (members, 6)."""
    return np.log(
        np.stack(
            [e.eggs(), e.open_larvae(), e.capped(), e.adults(), e.state[:, lay.BREAD], e.state[:, lay.HONEY]], axis=1
        )
    )


def wander(days: int) -> Floats:
    """Covariance that ``drift`` adds: brood stages share half of theirs, the rest go their own ways."""
    shelf = book()
    adults, brood, pollen, honey = (shelf.value(f"colony.drift_{k}") for k in ("adults", "brood", "pollen", "honey"))
    q = np.diag([brood**2] * 3 + [adults**2, pollen**2, honey**2])
    q[:3, :3] += 0.5 * brood**2 * (1 - np.eye(3))
    return q * days / 14.0


def reading(now: Shown, h: Floats, y: float, sd: float) -> Item:
    """A Gaussian reading of a weighted sum of log totals."""
    z = np.log(np.stack([now.eggs, now.open_larvae, now.capped, now.adults, now.pollen_g, 1000 * now.honey_kg], axis=1))
    return Item("reading", -0.5 * ((z @ h - y) / sd) ** 2, 0.0)


SEASON: Sequence[tuple[int, tuple[tuple[tuple[float, ...], float], ...]]] = (
    (0, (((0, 0, 0, 1, 0, 0), 0.13), ((0, 0, 0, 0, 1, 0), 0.8))),
    (14, (((0, 0, 1, 0, 0, 0), 0.25), ((0, 0, 0, 0, 0, 1), 0.35))),
    (7, (((0.5, 0.5, 0, 0, 0, 0), 0.3),)),
    (21, (((0, 0, 0, 1, 0, 0), 0.13), ((0, 0, 0, 0, 1, -1), 0.5))),
    (10, (((0, 1, 1, 0, 0, 0), 0.3), ((0, 0, 0, 1, 0, 1), 0.4))),
)
"""Days before a look, and its readings: weights over log totals and error."""


def kalman(readings: list[list[float]]) -> tuple[Floats, Floats]:
    """Exact mean and covariance after the season."""
    m, p = MEAN.copy(), np.diag(SD**2)
    for (days, looked), ys in zip(SEASON, readings, strict=True):
        p = p + wander(days)
        for (h_, sd), y in zip(looked, ys, strict=True):
            h = np.array(h_, dtype=float)
            gain = p @ h / (h @ p @ h + sd**2)
            m = m + gain * (y - h @ m)
            p = p - np.outer(gain, h @ p)
    return m, p


def truths(rng: np.random.Generator) -> list[list[float]]:
    """Readings of a true colony that wanders as supposed."""
    x = MEAN + SD * rng.standard_normal(6)
    out = []
    for days, looked in SEASON:
        if days:
            x = x + np.linalg.cholesky(wander(days)) @ rng.standard_normal(6)
        out.append([float(np.dot(h, x) + sd * rng.standard_normal()) for h, sd in looked])
    return out


def filtered(readings: list[list[float]], seed: int) -> Floats:
    """The same by the filter's annealed steps, resampling and moves; log totals, shape (members, 6)."""
    rng = np.random.default_rng((seed, 1))
    start = np.exp(MEAN + SD * rng.standard_normal((MEMBERS, 6)))
    e = establish(
        draw(rng, MEMBERS), eggs=start[:, 0], open_larvae=start[:, 1], capped=start[:, 2], adults=start[:, 3],
        pollen_g=start[:, 4], honey_g=start[:, 5],
    )  # fmt: skip
    w = walk(e, seed)
    for k, ((days, looked), ys) in enumerate(zip(SEASON, readings, strict=True)):
        drift(w.known.ensemble, days, w.rng)

        def items(now: Shown, looked=looked, ys=ys) -> list[Item]:  # type: ignore[no-untyped-def]
            return [reading(now, np.array(h), y, sd) for (h, sd), y in zip(looked, ys, strict=True)]

        w.learn(Seen(str(k), "look", DAY + timedelta(days=k), 10.0, {}, confirmed=True), items)
    return logs(w.known.ensemble)


def test_filter_agrees_with_an_exact_kalman_filter() -> None:
    """Mean and spread after five looks are those of a Kalman filter, over eight seasons and six log totals.

    One season's error of the mean is Monte Carlo: five looks of about four resamplings that each leave half
    of 4,000 members effective give 0.1 sd, and 48 such errors reach three of them. Averaged over seasons
    there must be no bias.
    """
    errors, ratios = [], []
    for seed in range(8):
        readings = truths(np.random.default_rng((seed, 2)))
        m, p = kalman(readings)
        z = filtered(readings, seed)
        errors.append((z.mean(axis=0) - m) / np.sqrt(np.diag(p)))
        ratios.append(z.std(axis=0) / np.sqrt(np.diag(p)))
    e, r = np.array(errors), np.array(ratios)
    assert np.abs(e).max() < 0.3
    assert np.abs(e.mean(axis=0)).max() < 0.08
    np.testing.assert_allclose(r.mean(axis=0), 1.0, atol=0.05)


def test_filter_agrees_with_kalman_on_correlation() -> None:
    """A reading of a difference ties two totals together as strongly as the Kalman filter says.

    Mean of eight seasons within 0.08. A single season's correlations carry a Monte Carlo error of 0.05 to
    0.09 (spread over 24 seasons), so one season alone would pass or fail by luck.
    """
    found = []
    for seed in range(8):
        readings = truths(np.random.default_rng((seed, 2)))
        _, p = kalman(readings)
        found.append(np.corrcoef(filtered(readings, seed).T))
    exact = p / np.sqrt(np.outer(np.diag(p), np.diag(p)))
    np.testing.assert_allclose(np.mean(found, axis=0), exact, atol=0.08)


# --- discrete

STATES = ("lays", "to come", "none")
EGGS = (6_000.0, 0.0, 0.0)
QUEEN = (1.0, -14.0, -9999.0)
LOOKS: Sequence[dict[str, Value]] = (
    {"eggs": "no"},
    {"eggs": "no", "queen_seen": "no"},
    {"queen_seen": "yes"},
    {"eggs": "yes"},
)
P_EGGS = (0.005 + 0.965 * (1 - np.exp(-6_000 / 150)), 0.005, 0.005)
P_SEEN = (0.35, 0.15, 0.02)


def exact_bayes(prior: Floats, looks: Sequence[dict[str, Value]]) -> Floats:
    """Bayes' rule by enumeration, with the chance of a wrong item and of a wrong look."""
    p = prior.copy()
    for values in looks:
        right = np.ones(3)
        nowhere = 1.0
        for name, v in values.items():
            yes = np.array(P_EGGS if name == "eggs" else P_SEEN)
            likely = yes if v == "yes" else 1 - yes
            right *= (1 - WRONG_ITEM) * likely + WRONG_ITEM * 0.5
            nowhere *= 0.5
        p = p * ((1 - WRONG_LOOK) * right + WRONG_LOOK * nowhere)
        p /= p.sum()
    return p


def queens(prior: Floats, seed: int) -> Walk:
    """Colonies alike in all but the queen and her eggs."""
    n = MEMBERS
    which = np.repeat(np.arange(3), np.round(prior * n).astype(int))
    params = np.repeat(draw(np.random.default_rng(seed), 1), which.size, axis=0)
    e = establish(
        params, eggs=np.array(EGGS)[which], open_larvae=0.0, capped=0.0, adults=20_000.0, pollen_g=500.0,
        honey_g=10_000.0, queen=np.array(QUEEN)[which],
    )  # fmt: skip
    return walk(e, seed)


def shares(w: Walk) -> Floats:
    """Shares of members whose queen lays, is to come, is not there."""
    q = w.known.ensemble.state[:, lay.QUEEN]
    return np.array([(q > 0.5).mean(), ((q < 0) & (q > -9000)).mean(), (q < -9000).mean()])


@pytest.mark.parametrize("prior", [(0.96, 0.024, 0.016), (0.5, 0.3, 0.2)])
@pytest.mark.parametrize("upto", [1, 2, 3, 4])
def test_filter_agrees_with_bayes_by_enumeration(prior: tuple[float, ...], upto: int) -> None:
    """Chances of the three queens after looks at eggs and queen are those of Bayes' rule, within four standard errors.

    The error allowed is that of a share of 4,000 members met by one resampling per look, over twelve seeds.
    """
    exact = exact_bayes(np.array(prior), LOOKS[:upto])
    got = []
    for seed in range(12):
        w = queens(np.array(prior), seed)
        for k, values in enumerate(LOOKS[:upto]):
            w.learn(
                Seen(str(k), "look", DAY + timedelta(days=k), 10.0, values),
                lambda now, v=values: look_items(now, v, tare_kg=30.0, pollen_hours=False),
            )
        got.append(shares(w))
    error = np.sqrt(exact * (1 - exact) / MEMBERS * 2 * upto / 12) + 0.002
    np.testing.assert_array_less(np.abs(np.mean(got, axis=0) - exact), 4 * error)


def test_requeening_then_no_eggs_agrees_with_bayes() -> None:
    """A requeening takes with 0.85 chance; 'queen seen: no' then moves that as Bayes' rule does."""
    prior = np.array([0.0, 0.0, 1.0])
    after = exact_bayes(np.array([0.0, 0.85, 0.15]), [{"queen_seen": "no"}])
    got = []
    for seed in range(12):
        w = queens(prior, seed)
        happen(w.known.ensemble, "requeen", {}, w.rng)
        w.learn(
            Seen("a", "look", DAY, 10.0, {"queen_seen": "no"}),
            lambda now: look_items(now, {"queen_seen": "no"}, tare_kg=30.0, pollen_hours=False),
        )
        got.append(shares(w))
    np.testing.assert_allclose(np.mean(got, axis=0), after, atol=4 * np.sqrt(0.15 * 0.85 / MEMBERS / 12 * 2))


def test_wrong_look_chance_agrees_with_bayes() -> None:
    """The chance that a look belongs elsewhere is Bayes' rule over the mixture of right and wrong looks."""
    from tideover.evidence.likelihood import weigh

    w = queens(np.array([1.0, 0.0, 0.0]), 0)
    now, _ = w.show(None)
    values: dict[str, Value] = {"eggs": "no", "queen_seen": "no"}
    items = look_items(now, values, tare_kg=30.0, pollen_hours=False)
    got = weigh(items, np.full(MEMBERS, 1 / MEMBERS), confirmed=False).odd
    eggs_no, unseen = 1 - P_EGGS[0], 1 - P_SEEN[0]
    right = (0.98 * eggs_no + 0.02 * 0.5) * (0.98 * unseen + 0.02 * 0.5)
    assert got == pytest.approx(0.02 * 0.25 / (0.02 * 0.25 + 0.98 * right), rel=0.01)
