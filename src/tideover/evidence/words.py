"""The words a keeper uses for what was seen, in the order of rising amount.

These tuples are the whole vocabulary of looks and notes. They live below the
books so that science, forms and files share one spelling.
"""

from __future__ import annotations

from typing import Final

YES_NO: Final = ("yes", "no", "not looked")
"""Three answers, because 'not looked' is never 'no'."""

HEFT: Final = ("very light", "light", "fair", "heavy")
PATTY_TEXTURE: Final = ("soft", "firm", "hard")
PATTY_DEBRIS: Final = ("none", "some", "much")
"""Crumbs hauled to the floor or the entrance: gone is not eaten."""

BEETLES: Final = ("none", "few", "many")
POLLEN_OUTER: Final = ("none", "scattered", "thin band", "broad band", "half side", "full side")
POLLEN_NEST: Final = ("none", "scattered", "thin band", "broad band")
JELLY: Final = ("dry", "damp", "floating")
POLLEN_COMING: Final = ("none", "some", "plenty")
BLOOM: Final = ("none", "few", "some", "abundant")
PRESENCE: Final = ("present", "absent", "unknown")
PATTY_PLACE: Final = ("top bars over brood", "between boxes", "edge of cluster")

BATCH_ORIGIN: Final = ("bought", "mixed")
PIECE_GOES: Final = ("cold box", "thrown away")
"""Where a piece goes that was taken off."""
DISCARD_WHY: Final = ("beetle larvae", "suspect hive", "mould", "hard", "thawed", "too old", "given away", "other")
"""Why a piece, or a part of a batch, left the books."""

EVENTS: Final = (
    "syrup",
    "water given",
    "split",
    "unite",
    "swarm",
    "requeen",
    "combs given",
    "combs taken",
    "box added",
    "box removed",
    "harvest",
    "honey boxes on",
    "honey boxes off",
    "treatment",
    "move",
    "robbing seen",
    "dead bees seen",
    "disease cleared",
    "death",
    "fire ban on",
    "fire ban off",
)

ROUND_OUTCOME: Final = ("done", "changed", "not done")
"""What became of a task of the round: as planned, with another weight, or left for later."""

COMB_SIDE: Final = ("a", "b")
"""Faces of a comb; ``a`` is the one seen first, the same way at every comb."""
COMB_CONTENTS: Final = ("capped", "open", "eggs", "pollen", "honey")
"""What shares the cells of one face; bees sit on top of it."""
