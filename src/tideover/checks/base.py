"""What an outside check is, and how one is registered.

A check function returns our number; what is expected, how near counts, and where the expected value comes from stand
in the decorator. ``from_book`` takes all that from a row of the figures book.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from math import isfinite
from typing import Any, Final, Literal

from tideover.figures import book

Kind = Literal["arithmetic", "observed"]
Verdict = Literal["agrees", "differs"]
Expected = float | tuple[float, float]
Measure = Callable[[], float]
AT_MOST: Final = "at most"
AT_LEAST: Final = "at least"
_SLACK: Final = 1e-9


@dataclass(frozen=True)
class Check:
    """A published value beside ours.

    ``kind``: 'arithmetic' tests our coding, 'observed' our biology. ``used_as_input``: the value also feeds the model,
    so agreement proves little. ``practice``: a trade rule without a source. ``expected`` is a value or a (low, high)
    range; ``tolerance`` is added on both sides, or is 'at most' / 'at least'.
    """

    key: str
    says: str
    source: str
    kind: Kind
    used_as_input: bool
    practice: bool
    expected: Expected
    tolerance: float | str
    unit: str
    ours: float
    verdict: Verdict
    note: str = ""

    def as_json(self) -> dict[str, Any]:
        """Plain JSON values; a range is a list of two."""
        out = asdict(self)
        if isinstance(self.expected, tuple):
            out["expected"] = list(self.expected)
        return out


@dataclass(frozen=True)
class Asked:
    """A registered check before it is run."""

    key: str
    says: str
    source: str
    kind: Kind
    used_as_input: bool
    practice: bool
    expected: Expected
    tolerance: float | str
    unit: str
    note: str
    measure: Measure

    def run(self) -> Check:
        """Measure ours and judge it."""
        ours = float(self.measure())
        return Check(
            self.key, self.says, self.source, self.kind, self.used_as_input, self.practice, self.expected,
            self.tolerance, self.unit, ours, judge(ours, self.expected, self.tolerance), self.note,
        )  # fmt: skip


_ASKED: Final[dict[str, Asked]] = {}


def judge(ours: float, expected: Expected, tolerance: float | str) -> Verdict:
    """Whether ``ours`` agrees with ``expected`` within ``tolerance``; a number that is not finite never does."""
    low, high = expected if isinstance(expected, tuple) else (expected, expected)
    if not isfinite(ours):
        return "differs"
    if tolerance == AT_MOST:
        return "agrees" if ours <= high + _SLACK else "differs"
    if tolerance == AT_LEAST:
        return "agrees" if ours >= low - _SLACK else "differs"
    if isinstance(tolerance, str):
        raise ValueError(f"tolerance is {tolerance!r}, wanted a number, 'at most' or 'at least'.")
    reach = tolerance + _SLACK * max(1.0, abs(high))
    return "agrees" if low - reach <= ours <= high + reach else "differs"


def add(
    key: str,
    says: str,
    measure: Measure,
    *,
    source: str,
    kind: Kind,
    used_as_input: bool,
    expected: Expected,
    tolerance: float | str,
    unit: str = "",
    practice: bool = False,
    note: str = "",
) -> None:
    """Register one check; ValueError when the key is taken by another check or the source is empty."""
    if not source.strip():
        raise ValueError(f"check {key} has no source; name where the expected value was published.")
    before = _ASKED.get(key)
    if before is not None and getattr(before.measure, "__qualname__", "") != getattr(measure, "__qualname__", ""):
        raise ValueError(f"check {key} is registered twice; give each check its own key.")
    _ASKED[key] = Asked(key, says, source, kind, used_as_input, practice, expected, tolerance, unit, note, measure)


def outside(
    key: str,
    says: str,
    *,
    source: str,
    kind: Kind,
    used_as_input: bool,
    expected: Expected,
    tolerance: float | str,
    unit: str = "",
    practice: bool = False,
    note: str = "",
) -> Callable[[Measure], Measure]:
    """Decorate a function that returns our number, as a check."""

    def register(measure: Measure) -> Measure:
        add(
            key, says, measure, source=source, kind=kind, used_as_input=used_as_input, expected=expected,
            tolerance=tolerance, unit=unit, practice=practice, note=note,
        )  # fmt: skip
        return measure

    return register


def source_text(row_key: str) -> str:
    """Sources of a row of the book as one line, with how we know."""
    row = book().row(row_key)
    named = "; ".join(book().source(s).text for s in row.sources)
    return f"{named or 'no source named'} ({row.known})"


def from_book(
    row_key: str,
    measure: Measure,
    *,
    used_as_input: bool,
    expected: Expected | None = None,
    tolerance: float | str | None = None,
    key: str = "",
    says: str = "",
    note: str = "",
) -> None:
    """Register a check whose expected value, unit, kind, tolerance and source are those of a row of the book.

    ``expected`` and ``tolerance`` may be given where the row is a bound or a range. ValueError when
    neither the row nor the call gives them.
    """
    row = book().row(row_key)
    if expected is None:
        if row.value is not None:
            expected = row.value
        elif row.low is not None and row.high is not None:
            expected = (row.low, row.high)
        else:
            raise ValueError(f"row {row_key} has no number to check against; give expected.")
    if tolerance is None:
        tolerance = row.tolerance
    if tolerance is None:
        raise ValueError(f"row {row_key} has no tolerance; give one.")
    add(
        key or row_key, says or row.says, measure, source=source_text(row_key),
        kind=row.kind or ("arithmetic" if row.known == "arithmetic" else "observed"), used_as_input=used_as_input,
        expected=expected, tolerance=tolerance, unit=row.unit, practice=row.known == "common practice",
        note=note or row.note,
    )  # fmt: skip


def run_all(prefix: str = "") -> list[Check]:
    """Run every registered check whose key starts with ``prefix``, in order of key."""
    return [_ASKED[key].run() for key in sorted(_ASKED) if key.startswith(prefix)]
