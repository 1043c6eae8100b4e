"""Sun and day length by FAO Irrigation and Drainage Paper 56 (Allen et al. 1998), equations 21-25 and 34."""

from __future__ import annotations

from datetime import date
from typing import Final

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
SOLAR_CONSTANT_MJ_M2_MIN: Final = 0.0820
MM_PER_MJ_M2: Final = 0.408


def day_of_year(day: date) -> int:
    """Day number J, 1 on the first of January."""
    return day.timetuple().tm_yday


def declination_rad(j: npt.ArrayLike) -> Floats:
    """Solar declination [rad] on day ``j`` (eq. 24)."""
    return np.asarray(0.409 * np.sin(2.0 * np.pi * np.asarray(j, dtype=np.float64) / 365.0 - 1.39))


def earth_sun(j: npt.ArrayLike) -> Floats:
    """Inverse relative distance from the earth to the sun (eq. 23)."""
    return np.asarray(1.0 + 0.033 * np.cos(2.0 * np.pi * np.asarray(j, dtype=np.float64) / 365.0))


def sunset_angle_rad(latitude_deg: float, j: npt.ArrayLike) -> Floats:
    """Sunset hour angle [rad] (eq. 25); clamped to polar night (0) and midnight sun (pi)."""
    if not -90.0 <= latitude_deg <= 90.0:
        raise ValueError(f"latitude is {latitude_deg}, wanted -90 to 90 degrees; south is negative.")
    phi = np.radians(latitude_deg)
    return np.asarray(np.arccos(np.clip(-np.tan(phi) * np.tan(declination_rad(j)), -1.0, 1.0)))


def daylength_h(latitude_deg: float, j: npt.ArrayLike) -> Floats:
    """Hours from sunrise to sunset (eq. 34)."""
    return np.asarray(24.0 / np.pi * sunset_angle_rad(latitude_deg, j))


def extraterrestrial_mj(latitude_deg: float, j: npt.ArrayLike) -> Floats:
    """Radiation above the air, Ra [MJ/m2/day] (eq. 21)."""
    phi = np.radians(latitude_deg)
    ws = sunset_angle_rad(latitude_deg, j)
    delta = declination_rad(j)
    angle = ws * np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.sin(ws)
    return np.asarray(24.0 * 60.0 / np.pi * SOLAR_CONSTANT_MJ_M2_MIN * earth_sun(j) * angle)


def sine_of_elevation(latitude_deg: float, j: npt.ArrayLike, solar_hour: npt.ArrayLike) -> Floats:
    """Sine of the sun's height at a solar hour (noon is 12)."""
    phi = np.radians(latitude_deg)
    delta = declination_rad(j)
    hour_angle = (np.asarray(solar_hour, dtype=np.float64) - 12.0) * np.pi / 12.0
    return np.asarray(np.sin(phi) * np.sin(delta) + np.cos(phi) * np.cos(delta) * np.cos(hour_angle))
