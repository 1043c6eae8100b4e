"""Heat and fire at the visit, and the dates that end a season."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from tideover.plan.settings.asked import num, words

_OSHA: Final = "US OSHA heat index bands for work sites (<91, 91-103, 103-115, >115 °F); the public NWS bands differ"


@dataclass(frozen=True)
class VisitSettings:
    """Settings of the visit and of the year."""

    # --- the visit -------------------------------------------------------------------------
    heat_high_f: float = num(
        103,
        "heat index, sun counted, from which the visit goes to the cool of the day",
        "°F",
        80,
        130,
        _OSHA,
        "read",
        "safety.osha_high_f",
    )
    heat_stop_f: float = num(
        115,
        "heat index, sun counted, from which the visit is put off",
        "°F",
        85,
        140,
        _OSHA,
        "read",
        "safety.osha_extreme_f",
    )
    sun_addon_f: float = num(
        15,
        "added to the heat index for work in full sun",
        "°F",
        0,
        25,
        "US OSHA: up to 15 °F; heavy gear such as a bee suit adds more",
        "read",
        "safety.sun_adds_f",
    )
    fire_drought_kbdi: float = num(
        600,
        "Keetch-Byram drought index (0-800) from which smoke is treated as fire weather",
        "index 0-800",
        0,
        800,
        "Keetch & Byram 1968; 600-800 goes with severe drought and deep burning",
        "from memory",
    )
    fire_wind_ms: float = num(
        11.2,
        "wind from which, with dry air, it is fire weather",
        "m/s",
        1,
        40,
        "25 mph, common in US red flag criteria; local criteria differ",
        "from memory",
    )
    fire_humidity: float = num(
        15,
        "relative humidity at or below which, with wind, it is fire weather",
        "%",
        1,
        60,
        "15 %, common in US red flag criteria; local criteria differ",
        "from memory",
    )

    # --- seasons ---------------------------------------------------------------------------
    last_brood: str = words(
        "",
        "usual last brood of the year (month-day); empty derives it from latitude and elevation",
        "MM-DD",
        "rule of thumb from Ontario, Sardinia, Arkansas and Gulf accounts",
        "our assumption",
    )
    patty_stop: str = words(
        "",
        "no more patties from this date (month-day); empty: the weeks below before the usual last brood",
        "MM-DD",
        "there is no published universal date",
        "our assumption",
    )
    patty_stop_weeks: float = num(
        7,
        "weeks before the usual last brood from which patties stop",
        "weeks",
        0,
        16,
        "working rule of 6-8 weeks: 21 days of brood and the time to turn nurses into winter bees",
        "our assumption",
    )
    cluster_date: str = words(
        "",
        "usual date the cluster forms (month-day); empty derives it from weather, or latitude and elevation",
        "MM-DD",
        "bees stop flying and cluster below about 14 °C (57 °F)",
        "read",
    )
    cluster_temp_c: float = num(
        14,
        "mean day temperature below which the cluster is taken to have formed",
        "°C",
        5,
        20,
        "Mississippi state leaflet 2021: no flight, cluster below about 57 °F",
        "read",
        "winter.cluster_c",
    )
