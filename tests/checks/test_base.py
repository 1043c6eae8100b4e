"""What a check is and how it is judged."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.checks import base


@given(st.floats(-1e3, 1e3), st.floats(0.0, 10.0), st.floats(-20.0, 20.0))
def test_value_is_judged_by_distance(expected: float, tolerance: float, off: float) -> None:
    """Within the tolerance agrees, outside differs."""
    verdict = base.judge(expected + off, expected, tolerance)

    if abs(off) < tolerance - 1e-3:
        assert verdict == "agrees"
    if abs(off) > tolerance + 1e-3:
        assert verdict == "differs"


@pytest.mark.parametrize(
    ("ours", "expected", "tolerance", "verdict"),
    [
        (5.0, (4.0, 6.0), 0.0, "agrees"),
        (6.4, (4.0, 6.0), 0.5, "agrees"),
        (6.6, (4.0, 6.0), 0.5, "differs"),
        (21.3, 22.0, "at most", "agrees"),
        (22.1, 22.0, "at most", "differs"),
        (0.9, 1.0, "at least", "differs"),
        (math.nan, 1.0, 1e9, "differs"),
        (math.inf, 1.0, "at least", "differs"),
    ],
)
def test_verdict_table(
    ours: float, expected: float | tuple[float, float], tolerance: float | str, verdict: str
) -> None:
    """Ranges, bounds, and numbers that are none."""
    assert base.judge(ours, expected, tolerance) == verdict


def test_unknown_tolerance_is_refused() -> None:
    """Only numbers and the two words."""
    with pytest.raises(ValueError, match="at most"):
        base.judge(1.0, 1.0, "roughly")


def test_check_without_source_is_refused() -> None:
    """A check must say where its expected value was published."""
    with pytest.raises(ValueError, match="no source"):
        base.add(
            "x.none",
            "none",
            lambda: 1.0,
            source=" ",
            kind="arithmetic",
            used_as_input=False,
            expected=1.0,
            tolerance=0.0,
        )
