"""Several stations brought to one yard: nearer ones count for more, temperatures corrected for elevation.

Weights fall with the square of the distance, with 300 m of elevation counted as 10 km (our assumption). Temperature is
corrected by 6.5 C a km (the standard atmosphere). Rain is taken from the nearest station that has it, never averaged:
the mean of a wet and a dry station is a drizzle that fell nowhere. Spreads that come along grow with distance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from math import asin, cos, hypot, radians, sin, sqrt
from typing import Final

from tideover.forage.files.parts import FIELDS, FileDay, ReadFile, Station

LAPSE_C_PER_M: Final = 0.0065
EARTH_KM: Final = 6371.0
KM_A_MILE: Final = 1.609344
UP_KM_PER_M: Final = 10.0 / 300.0
NEAR_KM: Final = 2.0
FARTHEST_KM: Final = 150.0
"""A station farther than this says little of the day's weather (our assumption)."""
UNPLACED_KM: Final = 15.0
"""How far a station is taken to be when its file does not say (our assumption)."""
UNPLACED: Final = "its place is not in the file"
TEMP_SD_C: Final = (0.6, 0.02)
"""Temperature doubt at no distance [C], and more per km (our assumption)."""


@dataclass(frozen=True)
class Site:
    """The yard: degrees, [m]."""

    latitude: float
    longitude: float
    elevation_m: float


@dataclass(frozen=True)
class Merged:
    """Days at the yard, spread of each day's temperature [C], and what was done, in words."""

    days: list[FileDay]
    temp_sd_c: dict[date, float]
    said: list[str] = field(default_factory=list)


def distance_km(lat1: float, lon1: float, lat2: float, lon2: float) -> float:
    """Great-circle distance [km] by the haversine."""
    a, b = radians(lat1), radians(lat2)
    h = sin((b - a) / 2.0) ** 2 + cos(a) * cos(b) * sin(radians(lon2 - lon1) / 2.0) ** 2
    return 2.0 * EARTH_KM * asin(min(1.0, sqrt(h)))


def away_km(station: Station, site: Site) -> float:
    """Distance with elevation counted in [km]; the default where the station's place is not known."""
    if station.latitude is None or station.longitude is None:
        return UNPLACED_KM
    flat = distance_km(station.latitude, station.longitude, site.latitude, site.longitude)
    up = 0.0 if station.elevation_m is None else abs(station.elevation_m - site.elevation_m) * UP_KM_PER_M
    return hypot(flat, up)


def merge(files: Sequence[ReadFile], site: Site, stations: Sequence[Station] = ()) -> Merged:
    """Bring measured files of any number of stations to one yard.

    stations: places of stations whose files do not say (the archive's fixed width does not). Days ahead of a
    modelled file and typical years must be sifted out by the caller.
    """
    placed = {s.id: s for s in stations}
    sources: list[tuple[float, Station, dict[date, FileDay]]] = []
    said: list[str] = []
    for f in files:
        for key, days in f.days.items():
            station = placed.get(key, f.stations[key])
            km = away_km(station, site)
            name = station.name or station.id
            if km > FARTHEST_KM:
                said.append(
                    f"{name}: {km:.0f} km ({km / KM_A_MILE:.0f} miles) away with its height counted, farther than"
                    f" {FARTHEST_KM:.0f} km; left out"
                )
                continue
            shift = 0.0 if station.elevation_m is None else (station.elevation_m - site.elevation_m) * LAPSE_C_PER_M
            moved = {}
            for d in days.values():
                hi, lo = d.temp_max_c, d.temp_min_c
                moved[d.day] = FileDay(
                    d.day, None if hi is None else hi + shift, None if lo is None else lo + shift, d.rain_mm,
                    d.wind_ms, d.humidity, d.line,
                )  # fmt: skip
            counted = f"{name}: {len(days)} day{'' if len(days) == 1 else 's'}"
            if station.latitude is None:
                said.append(f"{counted}; {UNPLACED}: taken as near the yard and as high")
            else:
                said.append(
                    f"{counted}; {km:.0f} km ({km / KM_A_MILE:.0f} miles) away with its height counted, temperatures"
                    f" {shift:+.1f} °C ({1.8 * shift:+.1f} °F) for height"
                )
            sources.append((km, station, moved))
    sources.sort(key=lambda s: (s[0], s[1].id))
    days_out, spread = [], {}
    for day in sorted({d for _, _, held in sources for d in held}):
        here = [(km, held[day]) for km, _, held in sources if day in held]
        made = FileDay(day)
        for name in FIELDS:
            known = [(km, v) for km, d in here if (v := d.get(name)) is not None]
            if not known:
                continue
            if name == "rain_mm":
                made = made.with_(name, known[0][1])
            else:
                weights = [1.0 / max(NEAR_KM, km) ** 2 for km, _ in known]
                mean = sum(w * v for w, (_, v) in zip(weights, known, strict=True)) / sum(weights)
                made = made.with_(name, round(mean, 2))
        nearest = min(km for km, _ in here)
        spread[day] = TEMP_SD_C[0] + TEMP_SD_C[1] * nearest
        days_out.append(made)
    return Merged(days_out, spread, said)
