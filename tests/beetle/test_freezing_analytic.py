"""Freezing times against analytic solutions: one term, Plank, the limits of the slab; sources beside each."""

from __future__ import annotations

from math import exp

import pytest

from tideover.beetle.freezing import (
    CONDUCTIVITY_W_MK,
    DENSITY_KG_M3,
    HEAT_J_KGK,
    HOLD_H,
    biot,
    core_hours,
    core_hours_lumped,
    core_hours_one_term,
    core_hours_stepped,
    freeze_hours_stepped,
    plank_hours,
    ready_hours,
)


@pytest.mark.parametrize("stack", [1, 2, 4, 8, 12])
@pytest.mark.parametrize("film", [5.0, 8.0, 15.0])
def test_one_term_series_and_stepping_agree(stack: int, film: float) -> None:
    """Series, its first term (Incropera & DeWitt, plane wall, Fo > 0.2) and heat stepped through the slab: within 1 %."""
    mm = 12.7 * stack
    exact = core_hours(mm, film_w_m2k=film)
    fourier = exact * 3600 * CONDUCTIVITY_W_MK / (DENSITY_KG_M3 * HEAT_J_KGK * (mm / 2000) ** 2)
    assert fourier > 0.2
    assert core_hours_one_term(mm, film_w_m2k=film) == pytest.approx(exact, rel=0.01)
    assert core_hours_stepped(mm, film_w_m2k=film) == pytest.approx(exact, rel=0.01)


def test_one_term_constants_of_the_printed_table() -> None:
    """Bi 0.1, 1 and 10: first roots 0.3111, 0.8603, 1.4289 and weights 1.0161, 1.1191, 1.2620 (Incropera & DeWitt,
    Table 5.1, from memory): the core's share left at Fo = 0.5 is weight exp(-root^2 / 2).
    """
    for bi, root, weight in ((0.1, 0.3111, 1.0161), (1.0, 0.8603, 1.1191), (10.0, 1.4289, 1.2620)):
        mm = 40.0
        film = bi * CONDUCTIVITY_W_MK / (mm / 2000.0)
        assert biot(mm, film) == pytest.approx(bi)
        share = weight * exp(-(root**2) * 0.5)
        hours = 0.5 * (mm / 2000.0) ** 2 * DENSITY_KG_M3 * HEAT_J_KGK / CONDUCTIVITY_W_MK / 3600.0
        start, air = 35.0, -65.0
        target = air + share * (start - air)
        assert core_hours_one_term(mm, air, start, target, film) == pytest.approx(hours, rel=0.002)


def test_thin_slab_is_one_temperature() -> None:
    """At a Biot number under 0.05 the whole piece has one temperature: Newton's cooling, within 2 %."""
    mm, film = 3.0, 5.0
    assert biot(mm, film) < 0.05
    assert core_hours_lumped(mm, film_w_m2k=film) == pytest.approx(core_hours(mm, film_w_m2k=film), rel=0.02)


def test_plank_worked_by_hand() -> None:
    """Plank 1913, slab: 1000 kg/m3 x 250 kJ/kg / 20 K x (0.05/(2 x 10) + 0.05^2/(8 x 1)) = 35 156 s = 9.77 h."""
    hours = plank_hours(50.0, -21.0, -1.0, 250_000.0, 10.0, conductivity_w_mk=1.0, density_kg_m3=1000.0)
    assert hours == pytest.approx(12_500.0 * (0.0025 + 0.0003125) * 1000.0 / 3600.0)
    assert hours == pytest.approx(9.77, abs=0.01)


def test_stepping_with_ice_agrees_with_plank_where_only_ice_counts() -> None:
    """With hardly any heat capacity beside the heat of freezing, stepped heat content gives Plank's time within 5 %."""
    kind = {"conductivity_w_mk": 1.0, "density_kg_m3": 1000.0}
    plank = plank_hours(50.0, -21.0, -1.0, 250_000.0, 10.0, **kind)
    stepped = freeze_hours_stepped(50.0, -21.0, -1.0, 250_000.0, 10.0, heat_j_kgk=400.0, cells=10, **kind)
    assert stepped == pytest.approx(plank, rel=0.05)


def test_stepping_without_ice_is_the_series_again() -> None:
    """No heat of freezing: the same time as the plane wall, within 2 %."""
    stepped = freeze_hours_stepped(25.4, -18.0, -5.0, 0.0, start_c=35.0, target_c=-12.0, cells=15)
    assert stepped == pytest.approx(core_hours(25.4), rel=0.02)


def test_ice_makes_it_longer() -> None:
    """A wet mix that gives off 50 kJ/kg at -8 C takes longer than one that holds no ice."""
    wet = freeze_hours_stepped(25.4, -18.0, -8.0, 50_000.0, start_c=35.0, target_c=-12.0, cells=15)
    assert wet > 1.5 * core_hours(25.4)


@pytest.mark.parametrize("air", [-12.0, -5.0, 4.0])
def test_ready_never_where_the_freezer_is_not_cold_enough(air: float) -> None:
    """The rule asks for -12 C at the core (Regulation (EU) 142/2011): air at or above it never gets there."""
    assert ready_hours(12.7, 1, air) is None


def test_ready_rises_with_stack_thickness_and_warmth() -> None:
    """More on one another, thicker, or less cold: later; never before the hold."""
    base = ready_hours(12.7, 1, -18.0)
    assert base is not None
    assert base > HOLD_H
    for other in (ready_hours(12.7, 2, -18.0), ready_hours(20.0, 1, -18.0), ready_hours(12.7, 1, -15.0)):
        assert other is not None
        assert other > base
    assert ready_hours(12.7, 2, -18.0) == ready_hours(25.4, 1, -18.0)
    for bad in ((0.0, 1), (12.7, 0)):
        with pytest.raises(ValueError, match="wanted"):
            ready_hours(*bad)
