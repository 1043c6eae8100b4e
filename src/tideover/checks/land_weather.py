"""Checks of drought, evapotranspiration, sun, soil water and greenness."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from math import floor, log
from typing import Final

import numpy as np

from tideover.checks.base import add, from_book
from tideover.figures.units import INCH_MM, KMH_IN_MS
from tideover.forage import air, drought, soil, sun
from tideover.forage import evapotranspiration as et
from tideover.forage.greenness import growing_season

_XCLIM: Final = "hand-calculated tests of the open climate-index library xclim (read), its order of a day"
_NFDRS: Final = "US fire-danger reference code, NFDRS 2016 (read), replayed by hand"
_FAO: Final = "Allen et al. 1998, FAO Irrigation and Drainage Paper 56"

_RAIN: Final = (10.0, 0.0, 0.1, 6.0, 0.0, 0.0, 0.5, 0.3, 0.0, 1.0)
_HOT: Final = (20.0, 30.0, 20.0, 30.0, 30.0, 25.0, 40.0, 35.0, 20.0, 20.0)
_FLAT: Final = (30.0,) * 10


def _other_order(rain: Sequence[float], tmax: Sequence[float], annual: float, start: float) -> float:
    """Our drying and rain rule in the other published order: drying from yesterday's value, 5 mm, 0.00173."""
    q, spell = start, np.float64(0.0)
    for fell, high in zip(rain, tmax, strict=True):
        net, total = drought.net_rain_mm(spell, fell, 5.0)
        spell = np.float64(total)
        q = min(drought.DRIEST_MM, max(0.0, q + float(drought.drying_mm(q, high, annual, 0.00173)) - float(net)))
    return q


_DRY: Final = (0.0,) * 10
for number, rain, tmax, annual, start, value in (
    (1, (100.0,) * 10, (0.0,) * 10, 1.0, 0.0, 0.0),
    (2, _DRY, (100.0,) * 10, 1.0, 0.0, 203.2),
    (3, _RAIN, _FLAT, 1.0, 0.0, 7.25278),
    (4, _DRY, _HOT, 1.0, 0.0, 8.46632),
    (5, _RAIN, _HOT, 1.0, 0.0, 7.10174),
    (6, _RAIN, _HOT, 1.0, 10.0, 12.18341),
    (7, _RAIN, _HOT, 100.0, 0.0, 8.45569),
    (8, _RAIN, _HOT, 1.0, 203.2, 197.33375),
):
    add(
        f"drought.other_order_{number}",
        "Drought after ten days, drying before rain",
        partial(_other_order, rain, tmax, annual, start),
        source=_XCLIM,
        kind="arithmetic",
        used_as_input=False,
        expected=value,
        tolerance=1e-4,
        unit="mm",
    )


def _ours(rain: Sequence[float], tmax: Sequence[float], annual: float, coefficient: float = 0.0441 / INCH_MM) -> float:
    return float(drought.series_mm(rain, tmax, annual, cold_floor=False, rain_coefficient=coefficient)[-1])


from_book("forage.kbdi_replay_3", lambda: _ours(_RAIN, _FLAT, 1.0), used_as_input=False, tolerance=1e-4)
from_book("forage.kbdi_replay_5", lambda: _ours(_RAIN, _HOT, 1.0), used_as_input=False, tolerance=1e-4)
add(
    "drought.rain_first_7",
    "Drought after ten days, rain first, 100 mm a year",
    lambda: _ours(_RAIN, _HOT, 100.0, 0.001736),
    source="Keetch & Byram 1968 order, replayed by hand with the rain coefficient rounded to 0.001736",
    kind="arithmetic",
    used_as_input=False,
    expected=8.88848,
    tolerance=1e-4,
    unit="mm",
)
from_book("forage.kbdi_us_example", lambda: drought.drying_us(200.0, 95.0, 30.0), used_as_input=False)
from_book("forage.kbdi_erratum", lambda: drought.drying_us(0.0, 90.0, 30.0), used_as_input=False)
from_book("forage.kbdi_zero_f", lambda: log(drought.C2 / drought.C1) / drought.PER_F, used_as_input=False)
add(
    "drought.si_against_us",
    "The SI form against the US form at 95 F, 35 inches a year",
    lambda: float(drought.drying_mm(50.8, 35.0, 889.0)),
    source="Keetch & Byram 1968 eq. 18 x 0.254 (4.1100 mm)",
    kind="arithmetic",
    used_as_input=False,
    expected=4.1100,
    tolerance=0.005,
    unit="mm",
)
_TABLE: Final = {
    (20, 80): (5.66, 4.25, 2.83, 1.42),
    (30, 95): (18.40, 13.80, 9.20, 4.60),
    (40, 100): (32.56, 24.42, 16.28, 8.14),
    (60, 105): (68.16, 51.12, 34.08, 17.04),
}
for (inches, fahrenheit), row in _TABLE.items():
    for q, value in zip((0, 200, 400, 600), row, strict=True):
        add(
            f"drought.table_{inches}in_{fahrenheit}f_{q}",
            f"One day's drying at {q}, {fahrenheit} F, {inches} in a year",
            partial(drought.drying_us, q, fahrenheit, inches),
            source="Keetch & Byram 1968 with Alexander's 1990 correction, table by hand",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=0.006,
            unit="0.01 in",
        )

_RUN: Final = (
    (0.0, 92),
    (0.0, 95),
    (0.0, 97),
    (0.10, 94),
    (0.15, 88),
    (0.60, 84),
    (0.0, 90),
    (0.20, 91),
    (0.0, 96),
    (0.0, 99),
    (1.50, 86),
    (0.30, 82),
    (0.0, 93),
)
_WHOLE: Final = (116, 134, 154, 171, 178, 128, 142, 156, 174, 195, 77, 57, 75)
_EXACT: Final = (116.08, 134.52, 154.47, 170.98, 177.69, 127.77, 141.62, 155.95, 174.26, 195.10, 77.24, 57.16, 75.16)


def _us_run(whole: bool, day: int) -> float:
    """Thirteen days in hundredths of an inch from 100, 35 inches a year; ``whole`` rounds as operations do."""
    q, spell = 100.0, np.float64(0.0)
    for rain_in, high in _RUN[: day + 1]:
        net_mm, total = drought.net_rain_mm(spell, rain_in * INCH_MM)
        spell = np.float64(total)
        net = float(net_mm) / 0.254
        q = max(0.0, q - (floor(net + 0.05) if whole else net))
        dry = drought.drying_us(q, high, 35.0) if high > 50 else 0.0
        q = min(800.0, q + (floor(dry + 0.5) if whole else dry))
    return q


for day, (rounded, exact) in enumerate(zip(_WHOLE, _EXACT, strict=True)):
    add(
        f"drought.us_whole_{day + 1:02d}",
        f"Operational run in whole numbers, day {day + 1}",
        partial(_us_run, True, day),
        source=_NFDRS,
        kind="arithmetic",
        used_as_input=False,
        expected=float(rounded),
        tolerance=0.0,
        unit="0.01 in",
    )
    add(
        f"drought.us_exact_{day + 1:02d}",
        f"The same run unrounded, day {day + 1}",
        partial(_us_run, False, day),
        source=_NFDRS,
        kind="arithmetic",
        used_as_input=False,
        expected=exact,
        tolerance=0.01,
        unit="0.01 in",
    )
add(
    "drought.exactly_020",
    "Net rain of 0.20 inch exactly in one spell",
    lambda: float(drought.net_rain_mm(0.0, 5.08)[0]),
    source=_NFDRS,
    kind="arithmetic",
    used_as_input=False,
    expected=0.0,
    tolerance=0.0,
    unit="mm",
)

for key, says, ours, value, tolerance, unit in (
    ("fao.ex2_pressure", "Pressure at 1,800 m, example 2", lambda: air.pressure_kpa(1800.0), 81.756, 0.01, "kPa"),
    (
        "fao.ex2_gamma",
        "Psychrometric constant, example 2",
        lambda: air.psychrometric_kpa_per_c(1800.0),
        0.05437,
        1e-4,
        "kPa/C",
    ),
    (
        "fao.ex3_hot",
        "Saturation pressure at 24.5 C, example 3",
        lambda: float(air.saturation_kpa(24.5)),
        3.0746,
        5e-4,
        "kPa",
    ),
    (
        "fao.ex3_cold",
        "Saturation pressure at 15 C, example 3",
        lambda: float(air.saturation_kpa(15.0)),
        1.7053,
        5e-4,
        "kPa",
    ),
    (
        "fao.ex5_ea",
        "Actual pressure, example 5",
        lambda: float(air.actual_kpa_from_extremes(25.0, 18.0, 82.0, 54.0)),
        1.7015,
        1e-3,
        "kPa",
    ),
    (
        "fao.ex11_rnl",
        "Net longwave, example 11",
        lambda: float(et.net_longwave_mj(25.1, 19.1, 2.1, 14.5, 18.8)),
        3.534,
        0.01,
        "MJ/m2/d",
    ),
    (
        "fao.ex18_ra",
        "Radiation outside the air, example 18",
        lambda: float(sun.extraterrestrial_mj(50.8, 187)),
        41.088,
        0.01,
        "MJ/m2/d",
    ),
    ("fao.ex18_daylength", "Day length, example 18", lambda: float(sun.daylength_h(50.8, 187)), 16.105, 0.01, "h"),
    (
        "fao.ex18_u2",
        "Wind at 2 m from 10 km/h at 10 m, example 18",
        lambda: float(air.wind_at_2m(10.0 / KMH_IN_MS)),
        2.0776,
        1e-3,
        "m/s",
    ),
    (
        "fao.ex17_rs",
        "Solar radiation from 8.5 h of sun, example 17",
        lambda: float(
            et.solar_from_sunshine_mj(sun.extraterrestrial_mj(_BANGKOK, 105), 8.5, sun.daylength_h(_BANGKOK, 105))
        ),
        22.65,
        0.02,
        "MJ/m2/d",
    ),
    (
        "fao.hot_day",
        "Temperature method, 30 N in July, 38 and 24 C",
        lambda: float(et.hargreaves_mm(38.0, 24.0, sun.extraterrestrial_mj(30.0, 200))),
        6.909,
        0.005,
        "mm/d",
    ),
):
    add(
        key,
        says,
        ours,
        source=_FAO,
        kind="arithmetic",
        used_as_input=False,
        expected=value,
        tolerance=tolerance,
        unit=unit,
    )

_BANGKOK: Final = 13 + 44 / 60
_LYON: Final = 45 + 43 / 60


def _bangkok() -> float:
    ra, day = sun.extraterrestrial_mj(_BANGKOK, 105), sun.daylength_h(_BANGKOK, 105)
    rs = et.solar_from_sunshine_mj(ra, 8.5, day)
    ground = 0.14 * ((34.8 + 25.6) / 2.0 - 29.2)
    return float(et.penman_monteith_mm(34.8, 25.6, 2.85, 2.0, rs, ra, 2.0, ground))


def _uccle() -> float:
    ra, day = sun.extraterrestrial_mj(50.8, 187), sun.daylength_h(50.8, 187)
    rs = et.solar_from_sunshine_mj(ra, 9.25, day)
    ea = air.actual_kpa_from_extremes(21.5, 12.3, 84.0, 63.0)
    return float(et.penman_monteith_mm(21.5, 12.3, ea, air.wind_at_2m(10.0 / KMH_IN_MS), rs, ra, 100.0))


def _lyon(method: str) -> float:
    ra = sun.extraterrestrial_mj(_LYON, 196)
    rs = et.solar_from_temps_mj(ra, 26.6, 14.8)
    if method == "rs":
        return float(rs)
    if method == "hargreaves":
        return float(et.hargreaves_mm(26.6, 14.8, ra))
    return float(et.penman_monteith_mm(26.6, 14.8, air.actual_kpa_from_min_temp(14.8, 0.0), 2.0, rs, ra, 200.0))


from_book("forage.fao_et0_bangkok", _bangkok, used_as_input=False, tolerance=0.01)
from_book("forage.fao_et0_uccle", _uccle, used_as_input=False, tolerance=0.01)
from_book("forage.fao_et0_lyon", lambda: _lyon("penman"), used_as_input=False, tolerance=0.05)
from_book("forage.fao_et0_lyon_hargreaves", lambda: _lyon("hargreaves"), used_as_input=False, tolerance=0.05)
from_book("forage.fao_rs_lyon", lambda: _lyon("rs"), used_as_input=False, tolerance=0.05)
from_book("forage.fao_ra_20s", lambda: float(sun.extraterrestrial_mj(-20.0, 246)), used_as_input=False, tolerance=0.05)
from_book("forage.fao_daylength_20s", lambda: float(sun.daylength_h(-20.0, 246)), used_as_input=False, tolerance=0.05)
from_book("forage.fao_es", lambda: float(air.mean_saturation_kpa(24.5, 15.0)), used_as_input=False, tolerance=0.005)
from_book(
    "forage.fao_vpd",
    lambda: float(air.deficit_kpa(25.0, 18.0, air.actual_kpa_from_extremes(25.0, 18.0, 82.0, 54.0))),
    used_as_input=False,
    tolerance=0.005,
)
from_book("forage.fao_u2", lambda: float(air.wind_at_2m(3.2)), used_as_input=False, tolerance=0.05)
from_book(
    "forage.fao_raw_maize_mm",
    lambda: soil.readily_available_mm(soil.total_available_mm(0.17, 1.2), 0.55),
    used_as_input=False,
    tolerance=0.5,
)


def _bucket(day: int, what: int) -> float:
    """Six days of the bucket: total 90 mm, p 0.60, factor 0.85, from 50 mm; 0 is Ks, 1 the depletion."""
    depletion, ks = np.float64(50.0), np.float64(1.0)
    for rain, et0 in list(zip((0, 0, 0, 12, 0, 0), (7, 8, 8, 5, 7, 8), strict=True))[: day + 1]:
        new_ks, left = soil.step(depletion, rain, et0, 90.0, 0.60, 0.85)
        ks, depletion = np.float64(new_ks), np.float64(left)
    return float((ks, depletion)[what])


for day, (stress, left) in enumerate(
    ((1.0, 55.95), (0.8016, 61.401), (0.6732, 65.979), (1.0, 58.229), (0.806, 63.024), (0.635, 67.342))
):
    for what, value, tolerance, unit in ((0, stress, 1e-3, "1"), (1, left, 0.01, "mm")):
        add(
            f"fao.bucket_{day + 1}_{('ks', 'depletion')[what]}",
            f"Soil bucket, day {day + 1}",
            partial(_bucket, day, what),
            source=f"{_FAO}, equations 83-85, replayed by hand",
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=tolerance,
            unit=unit,
        )

from_book("forage.gsi_example", lambda: float(growing_season(24.0, 1.820, 13.72)), used_as_input=False, tolerance=1e-3)
from_book(
    "forage.gsi_example_dry", lambda: float(growing_season(24.0, 3.641, 13.72)), used_as_input=False, tolerance=1e-3
)
add(
    "greenness.cold_short",
    "Greenness at 1.5 C, 500 Pa, 10.5 h",
    lambda: float(growing_season(1.5, 0.5, 10.5)),
    source="Jolly, Nemani & Running 2005 ramps, by hand",
    kind="arithmetic",
    used_as_input=False,
    expected=0.25,
    tolerance=1e-3,
    unit="1",
)
