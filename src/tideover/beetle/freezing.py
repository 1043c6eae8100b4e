"""How long a piece of patty takes to freeze through: an exact series and a numerical check of it.

A slab cooled on both faces by freezer air. Sugar-rich patty holds no ice in a household freezer, so no
latent heat enters. The rule that kills beetles is -12 C or lower for 24 h at the core; the time
to reach it comes on top.
"""

from __future__ import annotations

from math import exp, log, pi, sin, tan
from typing import Final

import numpy as np
import numpy.typing as npt

from tideover.figures import book

CONDUCTIVITY_W_MK: Final = book().value("freezing.patty_conductivity_w_mk")
DENSITY_KG_M3: Final = book().value("freezing.patty_density_kg_m3")
HEAT_J_KGK: Final = book().value("freezing.patty_heat_j_kgk")
AIR_FILM_W_M2K: Final = book().value("freezing.air_film_w_m2k")
STILL_AIR_W_M2K: Final = book().row("freezing.air_film_w_m2k").low or AIR_FILM_W_M2K
"""The slow end of the film's range, which the cold box reckons with."""
PATTY_MM: Final = book().value("freezing.patty_thickness_mm")
HOLD_H: Final = book().value("freezing.rule_h")
CORE_C: Final = book().value("freezing.rule_c")
_ROOTS: Final = 12
Floats = npt.NDArray[np.float64]


def _share(start_c: float, target_c: float, air_c: float) -> float:
    if not air_c < target_c < start_c:
        raise ValueError(
            f"air {air_c} C cannot bring a piece from {start_c} to {target_c} C; a colder freezer is needed."
        )
    return (target_c - air_c) / (start_c - air_c)


def biot(
    thickness_mm: float, film_w_m2k: float = AIR_FILM_W_M2K, conductivity_w_mk: float = CONDUCTIVITY_W_MK
) -> float:
    """Biot number of a slab cooled on both faces (half thickness x film / conductivity)."""
    return film_w_m2k * thickness_mm / 2000.0 / conductivity_w_mk


def _roots(bi: float) -> list[float]:
    """First roots of x tan x = Bi, one in each (n pi, n pi + pi/2), by bisection."""
    out = []
    for n in range(_ROOTS):
        low, high = n * pi + 1e-12, n * pi + pi / 2.0 - 1e-12
        for _ in range(80):
            mid = (low + high) / 2.0
            low, high = (mid, high) if mid * tan(mid) < bi else (low, mid)
        out.append((low + high) / 2.0)
    return out


def core_hours(
    thickness_mm: float = PATTY_MM,
    air_c: float = -18.0,
    start_c: float = 35.0,
    target_c: float = CORE_C,
    film_w_m2k: float = AIR_FILM_W_M2K,
    *,
    conductivity_w_mk: float = CONDUCTIVITY_W_MK,
    density_kg_m3: float = DENSITY_KG_M3,
    heat_j_kgk: float = HEAT_J_KGK,
) -> float:
    """Hours until the middle of a slab reaches ``target_c`` [C], by the exact series for a plane wall.

    theta = sum C_n exp(-x_n^2 Fo), C_n = 4 sin x_n / (2 x_n + sin 2 x_n), x_n tan x_n = Bi.
    """
    if thickness_mm <= 0.0 or film_w_m2k <= 0.0:
        raise ValueError("thickness or air film is not above zero; give both above zero.")
    share = _share(start_c, target_c, air_c)
    roots = _roots(biot(thickness_mm, film_w_m2k, conductivity_w_mk))
    weights = [4.0 * sin(x) / (2.0 * x + sin(2.0 * x)) for x in roots]
    half = thickness_mm / 2000.0
    scale = half * half * density_kg_m3 * heat_j_kgk / conductivity_w_mk

    def theta(seconds: float) -> float:
        fourier = seconds / scale
        return sum(c * exp(-x * x * fourier) for c, x in zip(weights, roots, strict=True))

    low, high = 0.0, scale
    while theta(high) > share:
        high *= 2.0
    for _ in range(80):
        mid = (low + high) / 2.0
        low, high = (mid, high) if theta(mid) > share else (low, mid)
    return high / 3600.0


def core_hours_stepped(
    thickness_mm: float = PATTY_MM,
    air_c: float = -18.0,
    start_c: float = 35.0,
    target_c: float = CORE_C,
    film_w_m2k: float = AIR_FILM_W_M2K,
    cells: int = 40,
) -> float:
    """The same time by stepping heat through half the slab (implicit differences), as an independent check."""
    _share(start_c, target_c, air_c)
    dx = thickness_mm / 2000.0 / cells
    capacity = DENSITY_KG_M3 * HEAT_J_KGK * dx
    between = CONDUCTIVITY_W_MK / dx
    outer = 1.0 / (1.0 / film_w_m2k + dx / 2.0 / CONDUCTIVITY_W_MK)
    step_s = max(1.0, core_hours(thickness_mm, air_c, start_c, target_c, film_w_m2k) * 3600.0 / 4000.0)
    matrix = np.zeros((cells, cells))
    for i in range(cells):
        if i:
            matrix[i, i] += between
            matrix[i, i - 1] -= between
        if i < cells - 1:
            matrix[i, i] += between
            matrix[i, i + 1] -= between
    matrix[-1, -1] += outer
    # Crank-Nicolson, with the core cell half a width from the symmetry plane
    eye = np.eye(cells) * capacity / step_s
    forward = np.linalg.solve(eye + matrix / 2.0, eye - matrix / 2.0)
    above = np.full(cells, start_c - air_c)
    goal, seconds = target_c - air_c, 0.0
    while above[0] > goal:
        before = above[0]
        above = forward @ above
        seconds += step_s
        if above[0] <= goal:
            return float(seconds - step_s * (goal - above[0]) / (before - above[0])) / 3600.0
    return seconds / 3600.0


def core_hours_lumped(
    thickness_mm: float = PATTY_MM,
    air_c: float = -18.0,
    start_c: float = 35.0,
    target_c: float = CORE_C,
    film_w_m2k: float = AIR_FILM_W_M2K,
) -> float:
    """The same time taking the piece as one temperature; a little early, good only for single patties."""
    share = _share(start_c, target_c, air_c)
    return DENSITY_KG_M3 * HEAT_J_KGK * thickness_mm / 2000.0 / film_w_m2k * -log(share) / 3600.0


def freezer_hours(stacked: int = 1, air_c: float = -18.0, film_w_m2k: float = AIR_FILM_W_M2K) -> float:
    """Hours in the freezer to kill beetles in a stack of ``stacked`` one-pound patties: reach -12 C, then hold 24 h."""
    if stacked < 1:
        raise ValueError(f"patties in the stack is {stacked}, wanted one or more.")
    return core_hours(stacked * PATTY_MM, air_c, film_w_m2k=film_w_m2k) + HOLD_H


def ready_hours(
    thickness_mm: float = PATTY_MM,
    stacked: int = 1,
    air_c: float = -18.0,
    *,
    film_w_m2k: float = STILL_AIR_W_M2K,
    start_c: float = 35.0,
) -> float | None:
    """Hours in a freezer after which a piece in a stack of ``stacked`` counts as killed through; None for never.

    The time for the core of the stack to reach the rule's temperature, in still air, and then the rule's hold.
    thickness_mm: of one piece [mm]. air_c: of the freezer [C]. start_c: of the piece when it goes in [C].
    """
    if stacked < 1:
        raise ValueError(f"patties in the stack is {stacked}, wanted one or more.")
    if thickness_mm <= 0.0:
        raise ValueError(f"the thickness is {thickness_mm} mm, wanted above zero.")
    if air_c >= CORE_C:
        return None
    return core_hours(stacked * thickness_mm, air_c, start_c, CORE_C, film_w_m2k) + HOLD_H


def ice_point_water_activity(temp_c: float) -> float:
    """Water activity in balance with ice at ``temp_c`` [C] (Koop et al. 2000; from memory).

    A piece whose own activity is lower holds no ice there: it stays soft, and cold.
    """
    if not -80.0 <= temp_c <= 0.0:
        raise ValueError(f"temperature is {temp_c} C, wanted -80 to 0.")
    t = temp_c + 273.15
    mu = 210368.0 + 131.438 * t - 3.32373e6 / t - 41729.1 * log(t)
    return exp(mu / (8.31441 * t))


def core_hours_one_term(
    thickness_mm: float = PATTY_MM,
    air_c: float = -18.0,
    start_c: float = 35.0,
    target_c: float = CORE_C,
    film_w_m2k: float = AIR_FILM_W_M2K,
) -> float:
    """The same time by the first term of the series alone: good once the Fourier number is over 0.2."""
    share = _share(start_c, target_c, air_c)
    x = _roots(biot(thickness_mm, film_w_m2k))[0]
    weight = 4.0 * sin(x) / (2.0 * x + sin(2.0 * x))
    half = thickness_mm / 2000.0
    fourier = log(weight / share) / (x * x)
    return fourier * half * half * DENSITY_KG_M3 * HEAT_J_KGK / CONDUCTIVITY_W_MK / 3600.0


def plank_hours(
    thickness_mm: float,
    air_c: float,
    freezing_c: float,
    latent_j_kg: float,
    film_w_m2k: float = AIR_FILM_W_M2K,
    *,
    conductivity_w_mk: float = CONDUCTIVITY_W_MK,
    density_kg_m3: float = DENSITY_KG_M3,
) -> float:
    """Hours for a slab that holds ice to freeze through from its freezing point, by Plank's equation (1913).

    t = rho L / (T_f - T_air) (P a / h + R a^2 / k), P = 1/2 and R = 1/8 for a slab cooled on both faces.
    conductivity_w_mk: of the frozen slab [W/m/K]. latent_j_kg: heat of freezing per kilogram of slab [J/kg].
    """
    if not air_c < freezing_c:
        raise ValueError(f"air of {air_c} C freezes nothing whose freezing point is {freezing_c} C.")
    a = thickness_mm / 1000.0
    path = a / (2.0 * film_w_m2k) + a * a / (8.0 * conductivity_w_mk)
    return density_kg_m3 * latent_j_kg / (freezing_c - air_c) * path / 3600.0


def freeze_hours_stepped(
    thickness_mm: float,
    air_c: float,
    freezing_c: float,
    latent_j_kg: float,
    film_w_m2k: float = AIR_FILM_W_M2K,
    *,
    conductivity_w_mk: float = CONDUCTIVITY_W_MK,
    density_kg_m3: float = DENSITY_KG_M3,
    heat_j_kgk: float = HEAT_J_KGK,
    start_c: float | None = None,
    target_c: float | None = None,
    cells: int = 30,
) -> float:
    """Hours until the core of a slab that holds ice is at ``target_c`` [C], by stepping heat content (enthalpy).

    start_c: of the slab when it goes in, its freezing point when None. target_c: just below freezing when None.
    For a mix so wet that ice forms; without latent heat it is ``core_hours`` again.
    """
    start = freezing_c if start_c is None else start_c
    target = freezing_c - 0.01 if target_c is None else target_c
    if not air_c < target < max(start, freezing_c):
        raise ValueError(
            f"air of {air_c} C cannot bring a slab from {start} to {target} C; a colder freezer is needed."
        )
    dx = thickness_mm / 2000.0 / cells
    between = conductivity_w_mk / dx
    outer = 1.0 / (1.0 / film_w_m2k + dx / 2.0 / conductivity_w_mk)
    capacity = density_kg_m3 * heat_j_kgk * dx
    latent = density_kg_m3 * latent_j_kg * dx
    # explicit steps inside the limit of stability
    step_s = 0.8 * capacity / (2.0 * between)
    heat = np.full(cells, capacity * (start - freezing_c) + latent)

    def temperature(h: Floats) -> Floats:
        warm = np.maximum(0.0, h - latent) / capacity
        cold = np.minimum(0.0, h) / capacity
        return freezing_c + warm + cold

    seconds = 0.0
    while True:
        t = temperature(heat)
        if t[0] <= target and heat[0] <= 0.0:
            return seconds / 3600.0
        flow = between * np.diff(t)
        heat[:-1] += step_s * flow
        heat[1:] -= step_s * flow
        heat[-1] -= step_s * outer * (t[-1] - air_c)
        seconds += step_s
