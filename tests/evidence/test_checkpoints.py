"""A filter taken on from where it stood gives the bytes of one that replays the season."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from benchmarks.simulated import Season, simulate
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.checkpoints import Checkpoints
from tideover.evidence.seen import BoxSpec, HiveCase, Seen

MEMBERS, SEED = 100, 5


def season() -> Season:
    """A simulated season with a look of the last day held back."""
    return simulate(70_001, rounded=True, fewest_looks=4, most_looks=5)


def known(s: Season, case: HiveCase, kept: Checkpoints | None = None) -> Assimilated:
    """The hive as known on the season's last day."""
    return assimilate(case, s.sky, s.today, members=MEMBERS, seed=SEED, checkpoints=kept)


def same(a: Assimilated, b: Assimilated) -> bool:
    """Whether two answers are the same bytes, records, reads, flags and what is told of the land included."""
    return (
        a.ensemble.state.tobytes() == b.ensemble.state.tobytes()
        and a.ensemble.params.tobytes() == b.ensemble.params.tobytes()
        and a.out.tobytes() == b.out.tobytes()
        and a.count_log.tobytes() == b.count_log.tobytes()
        and a.path.tolist() == b.path.tolist()
        and [(r.entry, r.values.tobytes()) for r in a.reads] == [(r.entry, r.values.tobytes()) for r in b.reads]
        and (a.flags, a.effective, a.land, a.looks) == (b.flags, b.effective, b.land, b.looks)
    )


def extra(s: Season, back: int, who: str | None = None) -> Seen:
    """A look so many days back by the keeper who looks there, or by another."""
    usual = next(e.who for e in s.case.seen if e.kind == "look")
    values = {"nest_pollen": "scattered", "jelly": "damp", "eggs": "yes"}
    return Seen(f"extra-{back}", "look", s.today - timedelta(days=back), 20.0, values, usual if who is None else who)


@pytest.mark.parametrize("back", [0, 1, 10, 30, 60])
def test_a_look_written_now_or_late_gives_the_bytes_of_a_replay(back: int) -> None:
    """A look of today, of yesterday, late, and later than any checkpoint, one after the other on the same ones."""
    s = season()
    kept = Checkpoints()
    assert same(known(s, s.case, kept), known(s, s.case))
    first = replace(s.case, seen=(*s.case.seen, extra(s, back)))
    assert same(known(s, first, kept), known(s, first))
    second = replace(first, seen=(*first.seen, replace(extra(s, 0), id="one more", hour=21.0)))
    assert same(known(s, second, kept), known(s, second))
    # withdrawn again
    assert same(known(s, s.case, kept), known(s, s.case))


def test_a_new_last_look_goes_on_from_where_the_filter_stood(monkeypatch: pytest.MonkeyPatch) -> None:
    """Only the new look is taken in, and nothing at all when nothing is new."""
    from tideover.evidence.walk import Walk

    taken: list[str] = []
    take_in = Walk.take_in

    def counted(self: Walk, s: Seen) -> None:
        taken.append(s.id)
        take_in(self, s)

    monkeypatch.setattr(Walk, "take_in", counted)
    s = season()
    kept = Checkpoints()
    known(s, s.case, kept)
    assert len(taken) == len(s.case.seen)
    taken.clear()
    known(s, replace(s.case, seen=(*s.case.seen, extra(s, 0))), kept)
    assert taken == ["extra-0"]
    taken.clear()
    known(s, replace(s.case, seen=(*s.case.seen, extra(s, 0))), kept)
    assert taken == []


def test_what_a_filter_was_begun_with_must_be_the_same() -> None:
    """Another keeper, other boxes, another land, a look corrected: all are replayed, to the bytes of a replay."""
    s = season()
    kept = Checkpoints()
    known(s, s.case, kept)
    corrected = [replace(e, values={**e.values, "jelly": "dry"}) if e.kind == "look" else e for e in s.case.seen]
    for case in (
        replace(s.case, seen=(*s.case.seen, extra(s, 0, who="somebody else"))),
        replace(s.case, boxes=(BoxSpec("deep", 8),)),
        replace(s.case, seen=tuple(corrected)),
        replace(s.case, seen=s.case.seen[1:]),
    ):
        assert same(known(s, case, kept), known(s, case))
        known(s, s.case, kept)
    dry = replace(s, sky=replace(s.sky, paths=s.sky.paths - 0.5))
    assert same(known(dry, dry.case, kept), known(dry, dry.case))


def test_a_checkpoint_is_left_as_it_was_by_what_goes_on_from_it() -> None:
    """The same new look twice from one checkpoint is the same, and the hive's members may be changed in between."""
    s = season()
    kept = Checkpoints()
    known(s, s.case, kept)
    case = replace(s.case, seen=(*s.case.seen, extra(s, 0)))
    told = known(s, case)
    for _ in range(2):
        known(s, s.case, kept).ensemble.state[:] = np.nan
        found = known(s, case, kept)
        assert same(found, told)
        found.ensemble.params[:] = 0.0
        if found.walk is not None:
            found.walk.known.ensemble.state[:] = 0.0


def test_only_so_many_hives_are_kept() -> None:
    """The hive asked for longest ago is let go first."""
    s = season()
    kept = Checkpoints(most=2)
    for hive in ("a", "b", "c"):
        known(s, replace(s.case, hive=hive), kept)
    assert list(kept._held) == ["b", "c"]
