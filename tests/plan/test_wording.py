"""Clauses of a call in words."""

from __future__ import annotations

import pytest

from tideover.plan.call import Runway
from tideover.plan.wording import runway_words


@pytest.mark.parametrize(
    ("runway", "said"),
    [
        (Runway(0.0, 0.0, 2.0, 1.0), "the brood nest is short of protein now"),
        (Runway(0.0, 0.0, 12.0, 1.0), "the brood nest is short of protein now or within 12 days"),
        # the looks leave it open: short now in the middle case, and not for two months at the other end
        (
            Runway(0.0, 0.0, None, 0.7),
            "the brood nest is most likely short of protein now, yet it may last over 60 days",
        ),
        (Runway(20.0, 8.0, None, 0.7), "the brood nest runs short of protein in about 20 days (8 to over 60)"),
        (Runway(None, None, None, 0.1), "protein is not likely to run out within 60 days (chance 10%)"),
    ],
)
def test_runway_in_words(runway: Runway, said: str) -> None:
    """Each end of the range is told as it is, none of them as 'within over'."""
    assert runway_words(runway) == said
