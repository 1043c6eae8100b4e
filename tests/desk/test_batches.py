"""A piece laid on from a batch in the books is taken for what the batch is."""

from __future__ import annotations

from datetime import date

from tideover.desk.batches import with_batches
from tideover.evidence.seen import HiveCase, Place, Seen

BATCHES = {"AUG-1": {"batch": "AUG-1", "protein": 20.0, "counted_protein": 17.0, "sugar_share": 44.0}}


def laid(**values: object) -> HiveCase:
    """A hive with one piece laid on and one look."""
    day = date(2031, 8, 2)
    return HiveCase(
        "pit-1", Place("pit", 37.0), (),
        (Seen("a", "laid on", day, 9.0, values), Seen("b", "look", day, 9.0, {"batch": "AUG-1"})),  # type: ignore[arg-type]
    )  # fmt: skip


def test_piece_is_found_by_its_batch_or_by_its_own_code() -> None:
    """The batch named, in any case of letters, or the piece's code less its number; looks are left alone."""
    for values in ({"batch": "aug-1"}, {"piece": "AUG-1-7"}):
        one, other = with_batches(laid(weight=200.0, **values), BATCHES).seen
        assert one.values["protein"] == 17.0
        assert one.values["sugar_share"] == 44.0
        assert "protein" not in other.values


def test_what_the_piece_says_itself_stays() -> None:
    """Its own protein before the batch's; an unknown batch and no batch change nothing."""
    assert with_batches(laid(batch="AUG-1", protein=12.0), BATCHES).seen[0].values["protein"] == 12.0
    for case in (laid(batch="JULY"), laid(weight=200.0), laid(piece="X")):
        assert with_batches(case, BATCHES) == case
    assert with_batches(laid(batch="AUG-1"), {}) == laid(batch="AUG-1")
