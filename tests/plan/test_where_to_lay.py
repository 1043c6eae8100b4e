"""Where a piece goes: over the brood, between two boxes where bees fill both (common practice, no source)."""

from __future__ import annotations

import pytest

from tideover.plan.wording import where_to_lay


@pytest.mark.parametrize(
    ("seams", "says", "never"),
    [
        ((8.0,), "on the top bars over the brood", "between"),
        ((8.0, 0.0), "under any box above", "between"),
        ((8.0, 1.5), "under any box above", "between"),
        ((7.0, 6.0), "between the boxes, over the brood", "top bars"),
        ((0.0, 5.0), "of the box the bees are in", "between"),
        (None, "where brood is in two boxes, between them", "reach it"),
        ((1.0,), "on the top bars over the brood", "between"),
    ],
)
def test_piece_lies_where_bees_are(seams: tuple[float, ...] | None, says: str, never: str) -> None:
    """One box, honey above, bees in both, bees moved up, and not known: each is said in a sentence of its own."""
    words = where_to_lay(seams)
    assert says in words
    assert never not in words
    assert "paper left on" in words
