"""Amino acid needs, and how far a mix meets them.

Ratio of an amino acid: its share of the protein over the share needed; the score is the least ratio. A ratio of 1 or
more in all ten meets the need. Both are per crude protein at N x 6.25.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Final

from tideover.figures import book
from tideover.patty.kitchen.ingredients import DATA, Ingredient
from tideover.patty.kitchen.nutrients import AMINO


@dataclass(frozen=True)
class Pattern:
    """What a mix is held to: percent of protein for each of the ten, and where it comes from."""

    name: str
    says: str
    percent: Mapping[str, float]
    source: str
    known: str
    kind: str
    """``requirement``, ``pattern`` (what some protein holds; no requirement), or ``typed in``."""

    @property
    def title(self) -> str:
        """The name, with a word where it is no requirement."""
        return f"{self.name} (a pattern, not a requirement)" if self.kind == "pattern" else self.name


@cache
def patterns() -> dict[str, Pattern]:
    """The patterns a mix can be held to, by name; the first is the usual one."""
    figures = book()
    found = {}
    for one in tomllib.loads((DATA / "patterns.toml").read_text(encoding="utf-8"))["pattern"]:
        rows = {n: figures.row(one["rows"] + n) for n in AMINO}
        sources = dict.fromkeys(figures.source(s).text for row in rows.values() for s in row.sources)
        known = dict.fromkeys(row.known for row in rows.values())
        found[one["name"]] = Pattern(
            one["name"], one["says"], {n: row.number for n, row in rows.items()}, "; ".join(sources), ", ".join(known),
            one["kind"],
        )  # fmt: skip
    return found


def pattern(name: str = "") -> Pattern:
    """The pattern of that name, the usual one when none is given.

    Raises: ValueError naming those there are.
    """
    held = patterns()
    if not name:
        return next(iter(held.values()))
    if name not in held:
        raise ValueError(f"got requirement {name!r}, wanted one of {', '.join(repr(n) for n in held)}.")
    return held[name]


NEED_LEAST: Final = 0.01
"""No amino acid is asked for below this [% of protein]: a need of nothing has no ratio."""
NEED_MOST: Final = 20.0
"""No amino acid is asked for above this [% of protein]."""


def changed(base: Pattern, need: Mapping[str, float], source: str = "") -> Pattern:
    """A pattern with the keeper's own needs in place of some of its own; the pattern itself when there are none.

    need: by short name of an amino acid, percent of protein. source: where the keeper has them from.
    """
    own = {n: float(need[n]) for n in AMINO if n in need}
    if not own or all(own[n] == base.percent[n] for n in own):
        return base
    typed = ", ".join(AMINO[n] for n in own if own[n] != base.percent[n])
    whose = f"your own ({source})" if source else "your own"
    rest = "" if len(own) == len(AMINO) else f"; the rest as {base.name}"
    return Pattern(
        whose + (f", after {base.name}" if rest else ""),
        f"typed in: {typed}{rest}",
        {n: own.get(n, base.percent[n]) for n in AMINO},
        (source or "the keeper") + (f"; {base.source}" if rest else ""),
        "typed in",
        "typed in",
    )


@dataclass(frozen=True)
class Score:
    """Ratio of each amino acid to its need, the limiting one, and the score."""

    ratios: Mapping[str, float]

    @property
    def limiting(self) -> str:
        """Short name of the amino acid with the least ratio."""
        return min(self.ratios, key=lambda n: self.ratios[n])

    @property
    def score(self) -> float:
        """The least ratio."""
        return self.ratios[self.limiting]

    @property
    def index(self) -> float:
        """Geometric mean of the ratios, each counted up to 1."""
        product = 1.0
        for ratio in self.ratios.values():
            product *= min(1.0, ratio)
        return float(product ** (1.0 / len(self.ratios)))


def score(amino: Mapping[str, float], protein: float, held: Pattern | None = None) -> Score:
    """Score of grams of amino acids beside grams of protein, in the same weight of food.

    Raises: ValueError without protein.
    """
    if protein <= 0.0:
        raise ValueError(f"protein is {protein:g} g, wanted above 0: without protein there is no amino acid score.")
    percent = (held or pattern()).percent
    return Score({n: 100.0 * amino[n] / protein / percent[n] for n in AMINO})


def score_of(ingredient: Ingredient, held: Pattern | None = None) -> Score:
    """Score of one ingredient by itself, at its best values."""
    return score({n: ingredient[n].best for n in AMINO}, ingredient["protein"].best, held)
