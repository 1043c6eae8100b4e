"""What is missing in the ledger, and what to write so that the grams balance again."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, Literal

from tideover.patty.ledger.facts import Kind

Code = Literal[
    "where-did-it-go", "not-said", "no-laying-on", "no-taking-off", "left-unknown", "heavier-than-laid",
    "more-than-was", "eaten-before", "short-batch", "unknown-batch", "batch-twice", "count-differs", "which-piece",
    "code-misread", "no-such-piece",
]  # fmt: skip


WEIGHT: Final = "\ue000"
"""Stands in a hole's text for the next of its weights, so that it can be said in either unit."""


@dataclass(frozen=True)
class Fix:
    """One entry that would close a hole: its kind, where, and the values known already (canonical units)."""

    label: str
    kind: Kind
    hive: str | None
    yard: str
    values: Mapping[str, float | str] = field(default_factory=dict)
    at: datetime | None = None


@dataclass(frozen=True)
class Hole:
    """A gap in the ledger.

    ``grams`` is how much cannot be placed, ``fixes`` are entries to write, the likeliest first, ``correct`` the id of
    an entry to look at when the mistake is likelier in it.
    """

    code: Code
    text: str
    grams: float
    at: datetime
    yard: str
    hive: str | None = None
    piece: str = ""
    fixes: tuple[Fix, ...] = ()
    correct: str | None = None
    weights: tuple[float, ...] = ()

    def say(self, weigh: Callable[[float], str]) -> str:
        """The text with its weights said by ``weigh``, which is given grams."""
        parts = self.text.split(WEIGHT)
        said = [weigh(g) for g in self.weights] + [""] * len(parts)
        return "".join(part + said[i] * (i < len(parts) - 1) for i, part in enumerate(parts))
