"""Checks of flight, entrance counts and patty intake."""

from __future__ import annotations

from datetime import date
from functools import partial
from typing import Final

import numpy as np

from tideover.checks.base import AT_LEAST, AT_MOST, add, from_book
from tideover.figures.units import POUND_G
from tideover.forage.hours import fit_for_flight, fit_for_pollen, hours, temp_at
from tideover.forage.notes import LOAD_G, CountNote, pollen_hour_weight
from tideover.forage.sun import daylength_h
from tideover.patty.intake import INTAKE, QUARTER_POUND_G, expected_intake_g_day

# --- entrance counts


def _grams(per_min: float, held_h: float) -> float:
    return per_min * 60.0 * held_h * LOAD_G


_COUNT: Final = "pollen returns per minute x 60 x hours x load, over 6 and 8 h"
for rate, low, high in ((1, 5.0, 6.7), (10, 50.0, 67.0), (20, 100.0, 134.0), (50, 252.0, 336.0)):
    for h, value in ((6, low), (8, high)):
        add(
            f"counts.grams_{rate}_{h}h",
            f"{rate} pollen returns a minute held for {h} h",
            partial(_grams, rate, h),
            source=_COUNT,
            kind="arithmetic",
            used_as_input=False,
            expected=value,
            tolerance=0.02 * value,
            unit="g/d",
        )
add(
    "counts.pair_of_pellets",
    "Pollen in a pair of pellets against pellets weighed in Poland",
    lambda: 1000.0 * LOAD_G,
    source="J. Apic. Sci., 19 colonies in 2004-05: 6.54 and 6.80 mg a pellet (read)",
    kind="observed",
    used_as_input=False,
    expected=(13.1, 13.6),
    tolerance=1.5,
    unit="mg",
)
add(
    "counts.desert_share",
    "Pollen bees as a share of leaving bees, desert race and Carniolans",
    lambda: (4.88 / 32.40 + 2.39 / 15.93) / 2.0,
    source="Alqarni 2021, Appl. Sci. 11:9756 (read abstract)",
    kind="arithmetic",
    used_as_input=False,
    expected=0.151,
    tolerance=0.002,
    unit="1",
    note="Not the same as a share of returning bees, which is what our counts are.",
)
add(
    "counts.bees_for_ten_points",
    "Returning bees needed to know a quarter to 10 points",
    lambda: 1.96**2 * 0.25 * 0.75 / 0.1**2,
    source="normal approximation",
    kind="arithmetic",
    used_as_input=False,
    expected=73.0,
    tolerance=1.0,
    unit="bees",
)

# --- flight


def _mean_fit(low_c: float, high_c: float) -> float:
    return float(np.mean(fit_for_flight(np.linspace(low_c, high_c, 41))))


from_book(
    "forage.start_c",
    lambda: _mean_fit(7.0, 12.0),
    used_as_input=True,
    expected=0.1,
    tolerance=AT_MOST,
    says="Share of full flight, mean of 7 to 12 C: almost none below 12 C",
)
add(
    "flight.burrill_rise",
    "Flight at 20 C over flight at 12.5 C: activity rises from 12 to 20 C",
    lambda: float(fit_for_flight(20.0) / fit_for_flight(12.5)),
    source="Burrill & Dietz 1981, Apidologie 12:319-328, restated in the COLOSS BEEBOOK (read second-hand)",
    kind="observed",
    used_as_input=False,
    expected=1.5,
    tolerance=AT_LEAST,
    unit="1",
)
add(
    "flight.orchard_full",
    "Share of full flight at 14 C in light of 300 W/m2",
    lambda: float(fit_for_flight(14.0)),
    source="Vicens & Bosch 2000, Environ. Entomol.: fully active at 12-14 C (read abstract)",
    kind="observed",
    used_as_input=False,
    expected=1.0,
    tolerance=0.3,
    unit="1",
    note="Known to differ: the sources disagree, this one against almost none below 12 C and rising to 20 C.",
)
add(
    "flight.hour_rule",
    "Share of full flight at the 55 F of flight-hour practice",
    lambda: float(fit_for_flight(12.8)),
    source="pollination practice: an hour counts from 55 F",
    kind="observed",
    used_as_input=False,
    practice=True,
    expected=(0.1, 0.6),
    tolerance=0.0,
    unit="1",
)
add(
    "flight.good_at_59f",
    "Share of full flight at 59 F (15 C), called good in orchards",
    lambda: float(fit_for_flight(15.0)),
    source="orchard extension page: foraging from 55 F, good from 59 F (read)",
    kind="observed",
    used_as_input=False,
    expected=0.6,
    tolerance=AT_LEAST,
    unit="1",
)
add(
    "flight.best_at_20",
    "Share of full flight at 20 C, where one review found it highest",
    lambda: float(fit_for_flight(20.0)),
    source="Blazyte-Cereskiene et al. 2010 in Abou-Shaara 2014, Vet. Med. 59:1-10 (from memory)",
    kind="observed",
    used_as_input=False,
    expected=1.0,
    tolerance=0.05,
    unit="1",
)
add(
    "flight.lowest_at_43",
    "Share of full flight at 43 C, where the same review found it lowest",
    lambda: float(fit_for_flight(43.0)),
    source="Abou-Shaara 2014, Vet. Med. 59:1-10 (from memory)",
    kind="observed",
    used_as_input=False,
    expected=0.4,
    tolerance=AT_MOST,
    unit="1",
)
add(
    "flight.best_in_heat",
    "Share of full flight at 40 C, where one study of 14 crops put the optimum",
    lambda: float(fit_for_flight(40.0)),
    source="Li et al. 2025, Sociobiology 72(1): optimum 38-42 C (read abstract)",
    kind="observed",
    used_as_input=False,
    expected=1.0,
    tolerance=0.2,
    unit="1",
    note="Known to differ: other sources put the best at 20-25 C; the ends of the ramp are the keeper's to set.",
)
add(
    "flight.seen_at_46",
    "Some flight at 46 C",
    lambda: float(fit_for_flight(45.9)),
    source="Cooper, Schaffer & Buchmann 1985, J. Exp. Biol. 114:1-15: flight seen to 46 C (read abstract)",
    kind="observed",
    used_as_input=False,
    expected=0.02,
    tolerance=AT_LEAST,
    unit="1",
)
from_book(
    "forage.pollen_falls_first",
    lambda: float((fit_for_pollen(40.0) / fit_for_flight(40.0)) / (fit_for_pollen(25.0) / fit_for_flight(25.0))),
    used_as_input=True,
    expected=0.9,
    tolerance=AT_MOST,
    says="Pollen trips over all trips at 40 C against 25 C: pollen falls first in heat",
)


def _at_hour(hour: float, tmax: float, tmin: float, latitude: float, j: int) -> float:
    return float(fit_for_flight(temp_at(tmax, tmin, daylength_h(latitude, j), hour)))


add(
    "flight.desert_morning",
    "Flight fitness at 7 h over that at 14 h on a 42 C oasis day: high at sunrise, low at noon",
    lambda: _at_hour(7.0, 42.0, 26.0, 25.0, 200) / _at_hour(14.0, 42.0, 26.0, 25.0, 200),
    source="Alqarni 2021, Appl. Sci. 11:9756 (read abstract)",
    kind="observed",
    used_as_input=False,
    expected=1.5,
    tolerance=AT_LEAST,
    unit="1",
)


def _pollen_share_of_day(start: float, stop: float) -> float:
    """Share of the day's pollen that our hour weights put between two hours, Nile delta in May."""
    day = date(2012, 5, 15)
    mid = np.arange(5.0, 19.0, 0.25) + 0.125
    weight = [pollen_hour_weight(CountNote(day, float(h), None, 5.0, 10, 1), 30.0, 32.0, 18.0) for h in mid]
    inside = sum(w for h, w in zip(mid, weight, strict=True) if start <= h < stop)
    return inside / sum(weight)


add(
    "flight.pollen_8_to_12",
    "Share of the day's pollen brought from 8 to 12 h",
    lambda: _pollen_share_of_day(8.0, 12.0),
    source="Egyptian trapping study, spring and summer 2012: 25.4 + 30.3 % (read abstract)",
    kind="observed",
    used_as_input=True,
    expected=0.557,
    tolerance=0.12,
    unit="1",
)
add(
    "flight.pollen_16_to_18",
    "Share of the day's pollen brought from 16 to 18 h",
    lambda: _pollen_share_of_day(16.0, 18.0),
    source="Egyptian trapping study, spring and summer 2012: 7.0 % (read abstract)",
    kind="observed",
    used_as_input=True,
    expected=0.07,
    tolerance=0.05,
    unit="1",
)
add(
    "flight.none_in_frost",
    "Flight hours of a day from -5 to 4 C",
    lambda: float(hours(40.0, 15, 4.0, -5.0)[0]),
    source="Burrill & Dietz 1981: almost none below 12 C",
    kind="observed",
    used_as_input=False,
    expected=0.0,
    tolerance=0.05,
    unit="h",
)

# --- patty intake

add(
    "patty.within_published",
    "Median patty per bee and day (six in ten young) inside the published range of diets",
    lambda: 0.6 * INTAKE.number,
    source="Brodschneider & Crailsheim 2010, Apidologie, Table I: 0.1 to 6.8 mg per bee and day (read)",
    kind="observed",
    used_as_input=False,
    expected=(0.1, 6.8),
    tolerance=0.0,
    unit="mg/bee/d",
)
from_book(
    "feeding.field_full_deep_g_per_day",
    lambda: expected_intake_g_day(12_000.0),
    used_as_input=False,
    note="A full deep box taken as 20,000 bees, 12,000 of them young.",
)
from_book("feeding.field_72h_g", lambda: POUND_G / 7.0 * 3.0, used_as_input=False, tolerance=1.0)
add(
    "patty.quarter_pound",
    "A quarter of an avoirdupois pound",
    lambda: QUARTER_POUND_G,
    source="definition of the pound",
    kind="arithmetic",
    used_as_input=True,
    expected=POUND_G / 4.0,
    tolerance=0.001,
    unit="g",
)
