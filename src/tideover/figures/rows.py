"""What a figure is: one row, its source, and the words a row may use."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any, Final, Literal

from tideover.figures.prior import Z95, Prior

Known = Literal[
    "read", "read abstract", "read second-hand", "from memory", "arithmetic", "our assumption", "common practice"
]
KNOWN: Final[tuple[Known, ...]] = (
    "read",
    "read abstract",
    "read second-hand",
    "from memory",
    "arithmetic",
    "our assumption",
    "common practice",
)
"""How we know a figure.  ``read``: the number stood in the document itself; ``read abstract``: only title,
abstract or opening were seen; ``read second-hand``: seen quoted by someone else; ``from memory``: not checked;
``arithmetic``: computed from the rows named; ``our assumption``: a choice, adjustable; ``common practice``:
what keepers do, no source."""

Confidence = Literal["high", "medium", "low"]
CONFIDENCES: Final[tuple[Confidence, ...]] = ("high", "medium", "low")

Dist = Literal["fixed", "normal", "lognormal", "uniform"]
DISTS: Final[tuple[Dist, ...]] = ("fixed", "normal", "lognormal", "uniform")

Kind = Literal["arithmetic", "observed"]
KINDS: Final[tuple[Kind, ...]] = ("arithmetic", "observed")
"""What a check row tests: ``arithmetic`` our coding, ``observed`` our biology."""


class FigureError(ValueError):
    """The book cannot be read; ``problems`` holds one sentence per fault."""

    def __init__(self, problems: list[str]) -> None:
        """Keep every fault and say them all, one a line."""
        self.problems: Final = tuple(problems)
        super().__init__("\n".join(problems))


class UnknownFigureError(KeyError):
    """No figure or source has this key; the message names the nearest that exist."""

    def __str__(self) -> str:
        """Plain sentence (a bare ``KeyError`` would print it quoted)."""
        return str(self.args[0]) if self.args else ""


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from: authors, year, journal or handbook; ``doi`` where there is one."""

    key: str
    text: str
    doi: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One figure.

    ``value`` is in ``unit``; ``low`` and ``high`` are the published range, and the 5 % and 95 % points where
    ``dist`` is given.  A row may give only a range (no ``value``) or only ``text`` (a rule in words).
    ``floor`` and ``ceiling`` are hard physical limits on draws.  ``see`` names rows that differ or belong
    together.  ``check`` marks an outside check: ``kind`` says what it tests and ``tolerance`` [unit] how close
    counts as agreement.
    """

    key: str
    says: str
    sources: tuple[str, ...]
    known: Known
    confidence: Confidence
    value: float | None = None
    low: float | None = None
    high: float | None = None
    unit: str = ""
    dist: Dist | None = None
    floor: float | None = None
    ceiling: float | None = None
    text: str = ""
    conditions: str = ""
    adjustable: bool = False
    check: bool = False
    kind: Kind | None = None
    tolerance: float | None = None
    see: tuple[str, ...] = ()
    note: str = ""

    @property
    def subject(self) -> str:
        """First part of the key, which is also the name of the file the row stands in."""
        return self.key.split(".", 1)[0]

    @property
    def number(self) -> float:
        """The value; raises ``FigureError`` for a row that is words or only a range."""
        if self.value is None:
            what = "words" if self.text and self.low is None else "only a range"
            raise FigureError([f"Figure {self.key} is {what} and has no single value: read its text, low and high."])
        return self.value

    @property
    def span(self) -> tuple[float, float]:
        """Low and high; raises ``FigureError`` for a row without a range."""
        if self.low is None or self.high is None:
            raise FigureError([f"Figure {self.key} has no range: give it low and high."])
        return self.low, self.high

    @property
    def shown(self) -> str:
        """The figure in words: ``5.5 (4.2 to 6.8) mg/bee/d``, a bare range, or its text."""
        span = "" if self.low is None or self.high is None else f"{self.low:g} to {self.high:g}"
        if self.value is None:
            return f"{span} {self.unit}" if span else self.text
        return f"{self.value:g} ({span}) {self.unit}" if span else f"{self.value:g} {self.unit}"

    def prior(self) -> Prior:
        """The row as a distribution; a row with no ``dist`` is fixed at its value (a bare range is uniform)."""
        dist: Dist = self.dist or ("uniform" if self.value is None and self.low is not None else "fixed")
        if dist == "fixed":
            return Prior("fixed", self.number, 0.0, self.floor, self.ceiling)
        if self.low is None or self.high is None:
            raise FigureError([f"Figure {self.key} has shape {dist} but no range: give it low and high."])
        if dist == "uniform":
            center, spread = (self.low + self.high) / 2.0, (self.high - self.low) / 2.0
        elif dist == "normal":
            center, spread = self.number, (self.high - self.low) / (2.0 * Z95)
        else:
            center, spread = self.number, math.log(self.high / self.low) / (2.0 * Z95)
        return Prior(dist, center, spread, self.floor, self.ceiling)

    def as_json(self) -> dict[str, Any]:
        """The row as plain JSON values; absent numbers are ``null``."""
        out = asdict(self)
        out["sources"] = list(self.sources)
        out["see"] = list(self.see)
        out["min"] = out.pop("floor")
        out["max"] = out.pop("ceiling")
        return out
