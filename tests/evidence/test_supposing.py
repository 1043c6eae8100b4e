"""A look supposed gives what a look written gives, without replaying the season."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from benchmarks.simulated import simulate
from tideover.evidence.assimilate import assimilate
from tideover.evidence.seen import Seen
from tideover.evidence.supposing import supposing


@pytest.mark.parametrize("eggs", ["yes", "no"])
def test_supposing_a_look_is_the_same_as_writing_it(eggs: str) -> None:
    """Members come out the same, and the hive the look was supposed of is left as it was."""
    season = simulate(70_001, rounded=True, fewest_looks=3, most_looks=4)
    case = replace(season.case, seen=season.case.seen[:-1])
    known = assimilate(case, season.sky, season.today, members=200, seed=5)
    before = known.ensemble.state.tobytes(), known.looks, len(known.reads), known.out.shape
    look = Seen("thought", "look", season.today, 9.0, {"nest_pollen": "scattered", "jelly": "damp", "eggs": eggs})
    written = assimilate(replace(case, seen=(*case.seen, look)), season.sky, season.today, members=200, seed=5)
    for _ in range(2):
        thought = supposing(known, [look])
        np.testing.assert_array_equal(thought.ensemble.state, written.ensemble.state)
        np.testing.assert_array_equal(thought.ensemble.params, written.ensemble.params)
        assert thought.looks == written.looks
    assert (known.ensemble.state.tobytes(), known.looks, len(known.reads), known.out.shape) == before


def test_supposing_refuses_another_day_and_a_hive_never_looked_at() -> None:
    """One sentence each, with what to do instead."""
    season = simulate(70_001, rounded=True, fewest_looks=3, most_looks=4)
    known = assimilate(season.case, season.sky, season.today, members=100, seed=5)
    late = Seen("thought", "look", season.today + timedelta(days=1), 9.0, {"jelly": "dry"})
    with pytest.raises(ValueError, match="suppose one of that day"):
        supposing(known, [late])
    bare = assimilate(replace(season.case, seen=()), season.sky, season.today, members=100, seed=5)
    with pytest.raises(ValueError, match="never looked at"):
        supposing(bare, [replace(late, day=season.today)])
