"""No number of the colony's day stands bare in its code: each is a named figure with a row in the book."""

from __future__ import annotations

import ast
from pathlib import Path
from typing import Final

import pytest

import tideover.colony
from tideover.colony.fixed import Fixed
from tideover.colony.layout import CONST_NAMES, PARAM_NAMES
from tideover.colony.parameters import constants
from tideover.figures import book

ROOM: Final = Path(tideover.colony.__file__).parent
PLAIN: Final = {0, 0.5, 1, 2}
"""Nothing, one, two and a half: what sums, means and the midpoint rule are made of."""
NUMBERING: Final = {"BLOCK", "FIGURES"}


def bare_numbers(text: str, *, methods: bool = False) -> list[str]:
    """Numeric literals of ``text`` outside subscripts, defaults of drivers and layout of the work.

    Classes are passed over, or with ``methods`` only their fields.
    """
    tree = ast.parse(text)
    passed: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Subscript):
            passed |= {id(n) for n in ast.walk(node.slice)}
        elif isinstance(node, (ast.Assign, ast.AnnAssign)):
            targets = node.targets if isinstance(node, ast.Assign) else [node.target]
            if any(isinstance(t, ast.Name) and t.id in NUMBERING for t in targets) and node.value is not None:
                passed |= {id(n) for n in ast.walk(node.value)}
        elif isinstance(node, ast.ClassDef):
            # A driver's default is the keeper's or the weather's, not the colony's.
            for part in node.body:
                if not (methods and isinstance(part, ast.FunctionDef)):
                    passed |= {id(n) for n in ast.walk(part)}
    bare = [
        n
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant)
        and isinstance(n.value, (int, float))
        and not isinstance(n.value, bool)
        and id(n) not in passed
        and n.value not in PLAIN
    ]
    return [f"line {n.lineno}: {n.value!r}" for n in sorted(bare, key=lambda n: (n.lineno, n.col_offset))]


@pytest.mark.parametrize("name", ["kernel.py", "reference.py"])
def test_no_number_of_the_day_stands_bare(name: str) -> None:
    """Only 0, 1, 2, 0.5 and places in arrays are written as numbers; all else is read from the book."""
    assert bare_numbers((ROOM / name).read_text(encoding="utf-8")) == []


def test_scan_finds_what_it_should() -> None:
    """A rate, a threshold and a sentinel are found; halves, array places and ages are not."""
    found = bare_numbers("y = 0.35 * x[7] + 0.5\nif a > 100.0:\n    b = -9999.0\nz = s[LAST - 3] * 2.0\n")
    assert [f.split(": ")[1] for f in found] == ["0.35", "100.0", "9999.0"]


def test_every_figure_has_a_row_in_order() -> None:
    """Names of the fixed figures are rows of the book, none is also a parameter, and values come in their order."""
    assert Fixed._fields == CONST_NAMES
    assert not set(CONST_NAMES) & set(PARAM_NAMES)
    shelf = book()
    for name, value in zip(CONST_NAMES, constants(), strict=True):
        row = shelf.row(f"colony.{name}")
        assert row.value == value
        assert row.sources
        assert row.unit, name


def test_every_assumed_figure_has_a_range() -> None:
    """A figure nobody measured says how far it might be off; the span a rate is told for is a unit, not a guess."""
    shelf = book()
    rows = [shelf.row(f"colony.{name}") for name in CONST_NAMES]
    bare = [r.key for r in rows if r.known == "our assumption" and r.low is None]
    assert bare == ["colony.heat_laying_span_c"]
