"""Which entries stand: the same for every order of arrival."""

from __future__ import annotations

from datetime import timedelta

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.records.making import contents, entry, fresh, seasons, uid
from tideover.records import Entry
from tideover.records.fold import fold, word_of


def states(*entries: Entry) -> dict[int, str]:
    """Return number -> state."""
    found = fold(word_of(e) for e in entries)
    return {int(i.replace("-", ""), 16) - 1: s for i, s in found.items()}


def at(minutes: float) -> dict[str, object]:
    """Return a written time some minutes after the made-up entry."""
    return {"recorded_at": entry().at + timedelta(minutes=minutes)}


def test_fold_lone_entries_stand() -> None:
    """Entries that nothing corrects stand."""
    assert states(entry(0), entry(1)) == {0: "stands", 1: "stands"}


def test_fold_chain_of_corrections() -> None:
    """Of a chain of corrections the last one stands."""
    a, b, c = entry(0, **at(0)), entry(1, supersedes=uid(0), **at(1)), entry(2, supersedes=uid(1), **at(2))
    assert states(c, a, b) == {0: "corrected", 1: "corrected", 2: "stands"}


def test_fold_two_corrections_of_one_entry() -> None:
    """Of two corrections of one entry the one written later stands, whichever arrives first."""
    a, b, c = entry(0, **at(0)), entry(1, supersedes=uid(0), **at(9)), entry(2, supersedes=uid(0), **at(5))
    assert states(a, b, c) == states(b, c, a) == {0: "corrected", 1: "stands", 2: "corrected"}


def test_fold_slow_clock_cannot_undo_a_correction() -> None:
    """A correction holds though the clock it was written by runs behind."""
    a, b = entry(0, **at(60)), entry(1, supersedes=uid(0), **at(0))
    assert states(a, b) == {0: "corrected", 1: "stands"}


def test_fold_correction_of_a_correction_with_slow_clock() -> None:
    """Building on an entry counts as later than it, so the chain holds against an older rival."""
    a, b = entry(0, **at(0)), entry(1, supersedes=uid(0), **at(30))
    c, rival = entry(2, supersedes=uid(1), **at(1)), entry(3, supersedes=uid(0), **at(29))
    assert states(a, b, c, rival) == {0: "corrected", 1: "corrected", 2: "stands", 3: "corrected"}


def test_fold_withdrawal_and_its_withdrawal() -> None:
    """A withdrawal takes an entry out; withdrawing the withdrawal brings it back."""
    a, w = entry(0, **at(0)), entry(1, "withdraw", supersedes=uid(0), **at(1))
    assert states(a, w) == {0: "withdrawn", 1: "stands"}
    back = entry(2, "withdraw", supersedes=uid(1), **at(2))
    assert states(a, w, back) == {0: "stands", 1: "corrected", 2: "stands"}


def test_fold_correction_of_a_withdrawn_entry() -> None:
    """A correction written after the withdrawal stands; one written before it is withdrawn."""
    a, w = entry(0, **at(0)), entry(1, "withdraw", supersedes=uid(0), **at(5))
    assert states(a, w, entry(2, supersedes=uid(0), **at(9))) == {0: "corrected", 1: "corrected", 2: "stands"}
    assert states(a, w, entry(2, supersedes=uid(0), **at(3))) == {0: "corrected", 1: "stands", 2: "withdrawn"}


def test_fold_missing_target_joins_rivals() -> None:
    """Two corrections of an entry that has not arrived are rivals all the same."""
    b, c = entry(1, supersedes=uid(0), **at(1)), entry(2, supersedes=uid(0), **at(2))
    assert states(b, c) == {1: "corrected", 2: "stands"}


def test_fold_ring_leaves_one_standing() -> None:
    """Entries superseding one another in a ring still leave exactly one standing."""
    a, b, c = entry(0, supersedes=uid(2), **at(1)), entry(1, supersedes=uid(0), **at(3)), entry(2, supersedes=uid(1))
    found = states(a, b, c)
    assert sorted(found.values()) == ["corrected", "corrected", "stands"]
    assert found[1] == "stands"


@given(seasons(), st.randoms(use_true_random=False))
@settings(max_examples=60, deadline=None)
def test_fold_any_order_and_duplication(season: list[Entry], random: object) -> None:
    """Any permutation and duplication of entries, sent in any portions, gives the same books and fold."""
    reference = fold(word_of(e) for e in season)
    with fresh() as one, fresh() as other:
        one.add(season)
        shuffled = season + season[::2]
        random.shuffle(shuffled)  # type: ignore[attr-defined]
        while shuffled:
            k = random.randint(1, 3)  # type: ignore[attr-defined]
            other.add(shuffled[:k])
            shuffled = shuffled[k:]
        assert contents(one) == contents(other)
        assert {e.id: s for e, s in one.all_entries()} == reference
        version = one.version()
        assert one.add(season) == 0
        assert one.version() == version
        one.refold()
        assert contents(one) == contents(other)


@given(seasons())
@settings(max_examples=60, deadline=None)
def test_fold_one_stands_at_most(season: list[Entry]) -> None:
    """Of the ordinary entries that belong together at most one stands, and never one that was corrected."""
    found = fold(word_of(e) for e in season)
    ordinary = {e.id for e in season if e.kind != "withdraw"}
    for e in season:
        ring = e.supersedes in {x.id for x in season} and _in_ring(e, season)
        if e.kind != "withdraw" and e.supersedes in ordinary and not ring:
            assert found[str(e.supersedes)] == "corrected"


def _in_ring(e: Entry, season: list[Entry]) -> bool:
    by_id = {x.id: x for x in season}
    seen: set[str] = set()
    at_: str | None = e.id
    while at_ is not None and at_ in by_id:
        if at_ in seen:
            return True
        seen.add(at_)
        at_ = by_id[at_].supersedes
    return False
