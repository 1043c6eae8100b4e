"""What the books say when something cannot be written down or read."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace


class RecordsError(ValueError):
    """The books refuse something; the message is one sentence a keeper can act on."""


class UnknownNameError(RecordsError, LookupError):
    """A yard, hive or entry was asked for that is not in the books."""


class DifferentContentError(RecordsError):
    """An entry with this id is already in the books and says something else."""


@dataclass(frozen=True)
class Problem:
    """One thing wrong with one row: where it stands, what is wrong, what to do.

    ``line`` counts from 1 (the header is line 1); 0 means the file as a whole.
    ``column`` and ``value`` are empty where the whole row or file is meant. Where the same is wrong with several rows,
    ``rows`` says which, ``count`` how many values, and ``line`` and ``value`` are the first's.
    """

    file: str
    line: int
    column: str
    value: str
    what: str
    remedy: str
    rows: str = ""
    count: int = 1

    @property
    def place(self) -> str:
        """Line or lines in words; empty for the file as a whole."""
        return self.rows or (f"line {self.line}" if self.line else "")

    def __str__(self) -> str:
        """Return the problem as one line."""
        where = self.file
        if self.place:
            where += f"{', ' if where else ''}{self.place}"
        if self.column:
            where += f"{', ' if where else ''}column {self.column}"
        many = f"the first of {self.count}" if self.count > 1 else ""
        told = ", ".join(x for x in (repr(self.value) if self.value else "", many) if x)
        said = f" ({told})" if told else ""
        tail = f"; {self.remedy}" if self.remedy else ""
        return f"{where}{said}: {self.what}{tail}"

    def at(self, file: str, line: int) -> Problem:
        """Return the same problem with its file and line filled in."""
        return replace(self, file=file, line=line)


def shown(value: object, most: int = 60) -> str:
    """Return a value cut to a length that fits in a message."""
    text = value if isinstance(value, str) else repr(value)
    return text if len(text) <= most else text[: most - 1] + "…"


class ProblemsError(RecordsError):
    """Several problems at once; ``problems`` lists every one of them."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems: list[Problem] = list(problems)
        super().__init__("; ".join(str(p) for p in self.problems))


class ValuesError(ProblemsError):
    """Values that an entry cannot hold."""


class BringError(ProblemsError):
    """Files that were not brought; the books are as they were before."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        super().__init__(problems)
        n = len(self.problems)
        head = f"nothing was brought: {n} problem{'s' if n != 1 else ''}"
        self.args = (head + "\n" + "\n".join(f"  {p}" for p in self.problems),)
