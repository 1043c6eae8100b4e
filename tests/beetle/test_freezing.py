"""Freezing a piece through."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tideover.beetle import freezing as f
from tideover.beetle.count import beetles_from_strip


@pytest.mark.parametrize(
    ("thickness_mm", "air_c", "film", "hours"),
    [
        (12.7, -18.0, 5.0, 2.3),
        (12.7, -15.0, 8.0, 1.9),
        (25.4, -20.0, 15.0, 1.7),
        (51.0, -18.0, 15.0, 4.7),
        (102.0, -15.0, 8.0, 23.1),
        (152.0, -20.0, 5.0, 37.5),
    ],
)
def test_core_time_table(thickness_mm: float, air_c: float, film: float, hours: float) -> None:
    """Hours to -12 C from a table worked by an independent series (k 0.27, density 1385, heat 2065)."""
    assert f.core_hours(thickness_mm, air_c, film_w_m2k=film) == pytest.approx(hours, rel=0.03)


@settings(max_examples=15, deadline=None)
@given(st.floats(8.0, 120.0), st.floats(-25.0, -14.0), st.floats(5.0, 15.0))
def test_series_agrees_with_stepped_heat(thickness_mm: float, air_c: float, film: float) -> None:
    """Two independent methods give the same time within 1 %."""
    exact = f.core_hours(thickness_mm, air_c, film_w_m2k=film)

    assert f.core_hours_stepped(thickness_mm, air_c, film_w_m2k=film) == pytest.approx(exact, rel=0.01)


@given(st.floats(8.0, 150.0), st.floats(1.0, 40.0))
def test_thicker_takes_longer(thickness_mm: float, more: float) -> None:
    """A thicker stack is never faster."""
    assert f.core_hours(thickness_mm + more) > f.core_hours(thickness_mm)


def test_freezer_too_warm_is_refused() -> None:
    """Air at -10 C can never bring the core to -12 C."""
    with pytest.raises(ValueError, match="colder freezer"):
        f.core_hours(air_c=-10.0)


def test_strip_count_to_beetles() -> None:
    """Six under the strip stand for twenty (30 %, Schaefer et al. in the COLOSS BEEBOOK)."""
    assert beetles_from_strip(6) == pytest.approx(20.0)
