"""From beetles seen to beetles there."""

from __future__ import annotations

from typing import Final

from tideover.figures import book

STRIP_SHARE: Final = book().value("beetle.strip_share")
"""Share of a colony's beetles under a corrugated strip on the floor (Schaefer et al. 2008, 2010)."""


def beetles_from_strip(under_strip: float) -> float:
    """Beetles in the colony from the number under a floor strip.

    No treatment threshold is published, and few beetles are no reason to treat; the number is for comparing.
    """
    if under_strip < 0:
        raise ValueError(f"beetles under the strip is {under_strip}, wanted zero or more.")
    return under_strip / STRIP_SHARE
