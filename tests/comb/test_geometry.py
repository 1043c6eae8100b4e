"""Comb geometry against geometry and published combs."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.comb import density as d
from tideover.comb.frames import FRAMES, FrameType, UnknownFrameError, frame
from tideover.comb.stores import bread_g_per_side, bread_range_g_per_side, honey_kg_per_comb


def test_zander_side_is_the_liebefeld_example() -> None:
    """A full Zander side is 1,000 bees and 3,200 cells (teaching page of the Liebefeld method)."""
    zander = frame("zander")

    assert d.bees_per_side(zander) == pytest.approx(1000.0)
    assert d.cells_per_side(zander) == pytest.approx(3200.0, rel=0.002)
    assert d.drone_cells_per_side(zander) == pytest.approx(1840.0, rel=0.002)


@given(st.floats(4.5, 7.5))
def test_both_sides_are_twice_one_side(width: float) -> None:
    """The both-sides trap: every per-comb number is exactly twice the per-side number."""
    assert d.worker_cells_per_dm2_both_sides(width) == pytest.approx(2.0 * d.worker_cells_per_dm2(width))
    for f in FRAMES.values():
        assert d.cells_per_comb(f, width) == pytest.approx(2.0 * d.cells_per_side(f, width))
        assert d.bees_per_comb(f) == pytest.approx(d.bees_per_seam(f))


@given(st.floats(4.5, 7.4))
def test_wider_cells_are_fewer_by_the_square(width: float) -> None:
    """Cells times width squared is constant: 11,547 by regular hexagons."""
    assert d.worker_cells_per_dm2(width) * width**2 == pytest.approx(11_547.0, rel=1e-4)


@pytest.mark.parametrize(
    ("said", "meant"),
    [("Deep", "deep"), ("  national ", "british deep"), ("14x12", "british 14x12"), ("DN", "german normal")],
)
def test_frame_is_found_by_other_names(said: str, meant: str) -> None:
    """Case, spaces and trade names do not matter."""
    assert frame(said).name == meant


def test_unknown_frame_names_near_misses() -> None:
    """The error is a KeyError whose text says what was meant."""
    with pytest.raises(KeyError) as caught:
        frame("zandre")

    assert isinstance(caught.value, UnknownFrameError)
    assert "zander" in str(caught.value)


def test_frame_refuses_impossible_sizes() -> None:
    """An inside size in centimetres is refused."""
    with pytest.raises(ValueError, match="inside length"):
        FrameType("odd", "odd", 42.5, 203.0, "read", "nobody")


def test_density_ladder_rises() -> None:
    """The named levels run from thinnest to densest and span more than a factor of two."""
    levels = [x.bees_per_dm2 for x in d.DENSITIES.values()]

    assert levels == sorted(levels)
    assert levels[-1] / levels[0] > 2.0


@given(st.sampled_from(sorted(FRAMES)), st.floats(0.0, 1.0))
def test_bread_is_lighter_than_honey_and_inside_its_range(name: str, share: float) -> None:
    """Bee bread never outweighs honey on the same area and lies inside its own range."""
    f = frame(name)
    low, high = bread_range_g_per_side(f, share)

    assert low <= bread_g_per_side(f, share) <= high
    assert 2.0 * bread_g_per_side(f, share) <= 1000.0 * honey_kg_per_comb(f) + 1e-9


@pytest.mark.parametrize("share", [-0.1, 1.1])
def test_bread_refuses_shares_outside_a_side(share: float) -> None:
    """More than a whole side is a mistake."""
    with pytest.raises(ValueError, match="share of a side"):
        bread_g_per_side(frame("deep"), share)
