"""Forage shared by a yard: messages between hives, exact where they can be, and never counted twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tests.evidence.hives import BOXES, FIRST, PLACE, TODAY, look, only, sky
from tideover.colony import layout as lay
from tideover.colony.weather import Weather
from tideover.evidence.assimilate import assimilate
from tideover.evidence.known import LandSaid
from tideover.evidence.seen import HiveCase
from tideover.evidence.yard import assimilate_yard, informed, led_on, path_weights, said_by_others

D = timedelta(days=1)
PATHS = 4000


def test_messages_weigh_paths_as_conjugate_normals_do() -> None:
    """Paths spread normally about a level and two Gaussian messages on it: mean and spread are the conjugate
    posterior's (precisions add; any textbook on Bayesian inference)."""
    wide = sky(paths=PATHS)
    said = [LandSaid(h, "e", FIRST, FIRST + 14 * D, float(np.log(0.5)), p) for h, p in (("b", 20.0), ("c", 10.0))]
    level = wide.paths[:, 0]
    w = path_weights(wide, said)
    prior = 1.0 / level.var()
    expected = (prior * level.mean() + 30.0 * np.log(0.5)) / (prior + 30.0)
    mean = float(w @ level)
    assert mean == pytest.approx(expected, abs=0.01)
    assert float(w @ (level - mean) ** 2) == pytest.approx(1.0 / (prior + 30.0), rel=0.08)


def test_silence_changes_nothing_and_sharp_messages_keep_paths() -> None:
    """Without messages the sky is the same object; a message too sharp still leaves many paths effective."""
    over = sky(paths=400)
    assert informed(over, [], 1) is over
    sharp = [LandSaid("b", "e", FIRST, FIRST + 14 * D, float(np.log(2.0)), 1e6)]
    w = path_weights(over, sharp)
    assert 1.0 / float((w * w).sum()) >= 50.0


def test_a_hive_never_hears_itself() -> None:
    """Messages of a hive are left out for that hive, so that nothing it saw counts twice."""
    cases = [HiveCase(f"pit-{k}", PLACE, BOXES, (look(TODAY - 20 * D), look(TODAY - 9 * D))) for k in (1, 2)]
    alone = [assimilate(c, sky(), TODAY, members=100) for c in cases]
    fake = [replace(a, land=[LandSaid(a.hive, "e", FIRST, TODAY, 0.0, 1.0)]) for a in alone]
    assert [m.hive for m in said_by_others(fake, "pit-1")] == ["pit-2"]


def test_neighbours_pollen_speaks_of_a_hive_nobody_looked_at() -> None:
    """Where five neighbours fill combs with pollen in three weeks, or empty them, a hive not looked at since is
    thought to bring in more, or less: the land's index moves the same way by at least a third of its log spread."""
    wide = replace(
        sky(), paths=np.log(0.4) + 0.9 * np.random.default_rng(5).standard_normal((300, 1)) * np.ones((1, sky().days))
    )
    found, income = {}, {}
    for name, word in (("rich", "full side"), ("poor", "none")):
        neighbours = [
            HiveCase(
                f"pit-{k}",
                PLACE,
                BOXES,
                (look(TODAY - 24 * D), only(TODAY - 3 * D, outer_pollen=word, seams=(8.0, 5.0))),
            )
            for k in range(2, 7)
        ]
        mine = HiveCase("pit-1", PLACE, BOXES, (look(TODAY - 24 * D),))
        alone = [assimilate(c, wide, TODAY, members=250) for c in neighbours]
        said = said_by_others(alone, "pit-1")
        found[name] = float(path_weights(wide, said) @ wide.paths[:, -1])
        both = assimilate_yard([mine, *neighbours], wide, TODAY, members=60, first_members=250)
        income[name] = float(np.median(both["pit-1"].out[:, -7:, lay.O["income_g"]]))
    assert found["rich"] - found["poor"] > 0.3
    assert income["rich"] > 1.2 * income["poor"]


def test_futures_are_led_on_from_the_paths_that_were_weighed() -> None:
    """A land known to stand higher by d is expected to stand higher by d x keep^k after k days (the mean of an AR(1)
    process, any textbook on time series); the futures keep their order, but for ties, and each its own luck."""
    rng = np.random.default_rng(4)
    n, days, keep = 2000, 30, 0.975
    before = sky(paths=4000)
    after = replace(before, paths=before.paths + 0.4)
    starts = np.quantile(before.paths[:, -1], rng.random(n))
    luck = rng.standard_normal((n, days))
    flat = np.zeros((n, days))
    weather = Weather(luck, flat, flat, flat, flat, np.zeros(days), np.zeros(days))
    moved = led_on(weather, starts, keep, before, after).log_index - luck
    np.testing.assert_allclose(moved, 0.4 * keep ** np.arange(1, days + 1) * np.ones((n, 1)), atol=1e-12)
    narrow = replace(before, paths=before.paths.mean() + 0.5 * (before.paths - before.paths.mean()))
    ends = starts + led_on(weather, starts, 1.0, before, narrow).log_index[:, 0] - luck[:, 0]
    assert ends.std() == pytest.approx(0.5 * starts.std(), rel=0.05)
    assert np.corrcoef(starts, ends)[0, 1] > 0.999
