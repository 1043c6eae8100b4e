"""Factors between units: exact, and written in one place."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Final

import pytest

import tideover
from tideover.figures import units

SOURCE: Final = Path(tideover.__file__).parent
HOME: Final = SOURCE / "figures" / "units.py"
OWN: Final = SOURCE / "demo"
"""The invented world imports nothing it is used to show, not even this (``test_demo_keeps_rules_of_its_own``)."""
NEAR: Final = 7e-4
"""How near a number must be to a factor to be taken for it: 0.621 for 0.621371, but not 454 for 453.59."""

INCH: Final = Decimal("25.4")
POUND: Final = Decimal("453.59237")
CUBIC_INCH_L: Final = (INCH / 100) ** 3
EXACT: Final = {
    # yard and pound: agreement of six standards laboratories, 1959 (25.4 mm an inch, 0.45359237 kg a pound)
    "POUND_G": POUND,
    "POUND_KG": POUND / 1000,
    "OUNCE_G": POUND / 16,
    "INCH_MM": INCH,
    "INCH2_CM2": (INCH / 10) ** 2,
    "FOOT_M": 12 * INCH / 1000,
    "MILE_KM": 5280 * 12 * INCH / 1_000_000,
    "MPH_MS": 5280 * 12 * INCH / 1000 / 3600,
    "KMH_IN_MS": Decimal(3600) / 1000,
    # US gallon: 231 cubic inches
    "GALLON_L": 231 * CUBIC_INCH_L,
    "QUART_L": 231 * CUBIC_INCH_L / 4,
    "CUP_L": 231 * CUBIC_INCH_L / 16,
    # water freezes at 32 and boils at 212 degrees Fahrenheit
    "F_PER_C": Decimal(212 - 32) / 100,
    "F_AT_0_C": Decimal(32),
}

TOLD_APART: Final = {"F_PER_C", "F_AT_0_C", "KMH_IN_MS"}
"""Numbers too plain to be known by their value alone; degrees are known by what is done with them."""
KNOWN: Final = [
    *(
        f
        for name, exact in EXACT.items()
        if name not in TOLD_APART
        for f in (float(exact), 1 / float(exact), float(exact) / 1000)
    ),
    *(2.54, 1 / 2.54, 39.3701),  # centimetres in an inch, inches in a centimetre and in a metre
]


@pytest.mark.parametrize("name", [n for n in vars(units) if n.isupper()])
def test_every_factor_is_its_definition(name: str) -> None:
    """Each is the double nearest to what its definition gives."""
    assert getattr(units, name) == float(EXACT[name])


def test_degrees_at_points_both_scales_define() -> None:
    """Freezing, boiling, and the one temperature that is the same in both."""
    pairs = [(0.0, 32.0), (100.0, 212.0), (-40.0, -40.0)]

    assert [units.to_f(c) for c, _ in pairs] == [f for _, f in pairs]
    assert [units.to_c(f) for _, f in pairs] == [c for c, _ in pairs]


def _number(node: ast.expr) -> float | None:
    if isinstance(node, ast.Constant) and isinstance(node.value, int | float) and not isinstance(node.value, bool):
        return float(node.value)
    return None


def _degrees(node: ast.BinOp) -> bool:
    """Whether something is multiplied or divided by 1.8, or by nine fifths however they are bracketed."""
    pair = [_number(node.left), _number(node.right)]
    if isinstance(node.op, ast.Div) and isinstance(node.left, ast.BinOp) and isinstance(node.left.op, ast.Mult):
        pair = [_number(node.left.left) or _number(node.left.right), pair[1]]
    return 1.8 in pair or pair in ([9.0, 5.0], [5.0, 9.0])


def literals(source: str) -> Iterator[str]:
    """Factors that stand bare in a source: by their value, or degrees by what is done with them."""
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.expr) and (value := _number(node)):
            if any(abs(value / f - 1) < NEAR for f in KNOWN):
                yield f"{node.lineno}: {value}"
        elif isinstance(node, ast.BinOp) and isinstance(node.op, ast.Mult | ast.Div) and _degrees(node):
            yield f"{node.lineno}: degrees by {ast.unparse(node)}"


@pytest.mark.parametrize(
    "bare",
    ["g / 453.6", "kg * 2.2046", "oz * 28.35", "km * 0.621", "mm / 25.4", "cm / 2.54", "m * 3.28", "gal * 3.785",
     "l * 0.2642", "v * 2.237", "c * 1.8 + 32", "(f - 32) * 5 / 9", "c * (9 / 5)", "sd * 1.8"],
)  # fmt: skip
def test_scan_sees_a_bare_factor(bare: str) -> None:
    """Rounded or turned round, a factor is found."""
    assert len(list(literals(bare))) == 1


def test_no_factor_stands_outside_the_table() -> None:
    """Pages, sheets, plans, books and sciences all take them from the one table."""
    found = [
        f"{path.relative_to(SOURCE)}:{hit}"
        for path in sorted(SOURCE.rglob("*.py"))
        if path != HOME and OWN not in path.parents
        for hit in literals(path.read_text(encoding="utf-8"))
    ]

    assert found == []


def test_no_factor_stands_in_a_page() -> None:
    """Templates and scripts ask for words or numbers in the reader's units instead of multiplying by a factor."""
    bare = re.compile(r"[*/(]\s*(\d+\.\d+)(?![\w.%])")
    found = [
        f"{path.relative_to(SOURCE)}: {number}"
        for path in sorted(SOURCE.rglob("*"))
        if path.suffix in {".html", ".js", ".txt", ".ics"}
        for number in bare.findall(path.read_text(encoding="utf-8"))
        if any(abs(float(number) / f - 1) < NEAR for f in (*KNOWN, 1.8) if float(number))
    ]

    assert found == []
