"""Forage shared by a yard: messages between hives, exact where they can be, and never counted twice."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from tests.evidence.hives import BOXES, FIRST, PLACE, TODAY, look, only, sky
from tideover.evidence.assimilate import assimilate
from tideover.evidence.known import LandSaid
from tideover.evidence.seen import HiveCase
from tideover.evidence.yard import assimilate_yard, informed, path_weights, said_by_others

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
    thought to bring in more, or less: the land's index moves the same way by at least a tenth of its log spread."""
    wide = replace(
        sky(), paths=np.log(0.4) + 0.9 * np.random.default_rng(5).standard_normal((300, 1)) * np.ones((1, sky().days))
    )
    found = {}
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
        both = assimilate_yard([mine, *neighbours], wide, TODAY, members=60, first_members=250)
        said = said_by_others(both.values(), "pit-1")
        found[name] = float(path_weights(wide, said) @ wide.paths[:, -1])
    assert found["rich"] - found["poor"] > 0.09
