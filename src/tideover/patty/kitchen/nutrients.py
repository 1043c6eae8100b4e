"""What is counted in an ingredient: its names, units, and how each is said."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Final

AMINO: Final[dict[str, str]] = {
    "thr": "threonine", "val": "valine", "met": "methionine", "leu": "leucine", "ile": "isoleucine",
    "phe": "phenylalanine", "lys": "lysine", "his": "histidine", "arg": "arginine", "trp": "tryptophan",
}  # fmt: skip
"""The ten amino acids bees cannot make, by their short names."""

NUTRIENTS: Final[dict[str, str]] = {
    "water": "water",
    "protein": "crude protein (N x 6.25)",
    "fat": "fat",
    "fibre": "fibre",
    "ash": "ash",
    "sugar": "sugar bees can use",
    "lactose": "lactose",
    "harmful": "other sugars harmful to bees",
    "salt": "salt",
    "la": "linoleic acid (omega-6)",
    "ala": "linolenic acid (omega-3)",
}
"""Per 100 g as sold; ``salt`` is sodium as table salt (x 2.5421)."""

COUNTED: Final[tuple[str, ...]] = (*NUTRIENTS, *AMINO)
SAYS: Final[dict[str, str]] = NUTRIENTS | AMINO | {
    "toxic": "sugars harmful to bees, lactose included",
    "dry": "dry matter",
}  # fmt: skip


@dataclass(frozen=True)
class Content:
    """Grams of something in 100 g: a value where one is known, and the range it can lie in.

    An unknown has no value and a range; it is never zero. ``low`` equals ``high`` where a table gives one number.
    """

    value: float | None
    low: float
    high: float

    def __post_init__(self) -> None:
        """Keep the range in order."""
        inside = self.value is None or self.low - 1e-9 <= self.value <= self.high + 1e-9
        if not (isfinite(self.low) and isfinite(self.high) and 0.0 <= self.low <= self.high + 1e-12 and inside):
            raise ValueError(
                f"got {self.value} with a range {self.low:g} to {self.high:g}, wanted 0 or more with the value inside; "
                "correct the numbers."
            )

    @property
    def best(self) -> float:
        """The value, or the middle of the range of an unknown."""
        return (self.low + self.high) / 2.0 if self.value is None else self.value

    @property
    def known(self) -> bool:
        """Whether a table or label gave a value."""
        return self.value is not None


def read(text: str) -> Content | None:
    """A cell such as ``7``, ``7[2:13]`` or ``[0:3]``; None when it is empty.

    Raises: ValueError for anything else.
    """
    text = text.strip()
    if not text:
        return None
    head, bracket, tail = text.partition("[")
    try:
        value = float(head) if head.strip() else None
        if not bracket:
            return Content(value, float(head), float(head))
        low, _, high = tail.rstrip("]").partition(":")
        return Content(value, float(low), float(high))
    except ValueError as error:
        raise ValueError(f"got {text!r}, wanted a number, a number[low:high] or [low:high].") from error
