"""Several stations brought to one yard: nearer ones count for more, temperatures corrected for elevation.

Weights fall with the square of the distance, with 300 m of elevation counted as 10 km (our assumption). Temperature is
corrected by 6.5 C a km (the standard atmosphere). Rain is taken from the nearest station that has it, never averaged:
the mean of a wet and a dry station is a drizzle that fell nowhere. A service's model counts only where no station read
anything. Where the nearest station is silent and a farther one or a model stands in, the day carries their doubt.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from math import asin, cos, hypot, radians, sin, sqrt
from typing import Final

from tideover.figures import book
from tideover.figures.units import F_PER_C, MILE_KM
from tideover.forage.files.gathering import runs_of_days
from tideover.forage.files.parts import FIELDS, UNNAMED, FileDay, ReadFile, Station

LAPSE_C_PER_M: Final = 0.0065
EARTH_KM: Final = 6371.0
UP_KM_PER_M: Final = 10.0 / 300.0
NEAR_KM: Final = 2.0
FARTHEST_KM: Final = 150.0
"""A station farther than this says little of the day's weather (our assumption)."""
UNPLACED_KM: Final = 15.0
"""How far a station is taken to be when its file does not say (our assumption)."""
UNPLACED: Final = "its place is not in the file"
TEMP_SD_C: Final = (0.6, 0.02)
"""Temperature doubt at no distance [C], and more per km (our assumption)."""
MODELLED_SD_C: Final = book().value("lookout.forecast_sd_c")
"""Doubt of a service's own view of a day past, as of a forecast's first day [C] (our assumption)."""


@dataclass(frozen=True)
class Site:
    """The yard: degrees, [m]."""

    latitude: float
    longitude: float
    elevation_m: float


@dataclass(frozen=True)
class Merged:
    """Days at the yard, and what was done, in words.

    ``stood_in``: doubt [C] of days on which the nearest station read no temperature and a farther one stands in.
    ``modelled``: doubt [C] of days whose temperature is a service's model's.
    """

    days: list[FileDay]
    stood_in: dict[date, float]
    modelled: dict[date, float]
    said: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class _Source:
    """One station's days at the yard's height, from how far, and whether they were read or come from a model."""

    km: float
    station: Station
    days: dict[date, FileDay]
    modelled: bool
    first: date
    last: date

    @property
    def rank(self) -> tuple[bool, float, str]:
        """What was read before what was modelled, then the nearest."""
        return self.modelled, self.km, self.station.id

    @property
    def name(self) -> str:
        """What the keeper knows it by."""
        return self.station.name or self.station.id


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
    sources: list[_Source] = []
    said: list[str] = []
    for f in files:
        for key, days in f.days.items():
            if not days:
                continue
            station = placed.get(key, f.stations[key])
            km = away_km(station, site)
            said.append(_said(station, len(days), km, site))
            if km <= FARTHEST_KM:
                moved = {d.day: _moved(d, _shift_c(station, site)) for d in days.values()}
                sources.append(_Source(km, station, moved, f.nature == "modelled", min(moved), max(moved)))
    sources.sort(key=lambda s: s.rank)
    days_out: list[FileDay] = []
    stood_in, modelled = {}, {}
    instead: dict[tuple[str, str, float], list[date]] = {}
    for day in sorted({d for s in sources for d in s.days}):
        here = [s for s in sources if day in s.days]
        made = FileDay(day)
        for name in FIELDS:
            known = [(s, v) for s in here if (v := s.days[day].get(name)) is not None]
            if not known:
                continue
            if name == "rain_mm":
                made = made.with_(name, known[0][1])
                continue
            read = [(s.km, v) for s, v in known if not s.modelled] or [(s.km, v) for s, v in known]
            weights = [1.0 / max(NEAR_KM, km) ** 2 for km, _ in read]
            mean = sum(w * v for w, (_, v) in zip(weights, read, strict=True)) / sum(weights)
            made = made.with_(name, round(mean, 2))
        days_out.append(made)
        full = [s for s in here if s.days[day].temp_max_c is not None and s.days[day].temp_min_c is not None]
        if not full:
            continue
        used = full[0]
        usual = next((s for s in sources if not s.modelled and s.first <= day <= s.last), used)
        if used.modelled:
            modelled[day] = MODELLED_SD_C
        elif used is not usual:
            stood_in[day] = TEMP_SD_C[0] + TEMP_SD_C[1] * used.km
            instead.setdefault((usual.name, used.name, stood_in[day]), []).append(day)
    for (missed, other, sd), on in instead.items():
        said.append(
            f"{missed}: no temperature on {len(on)} day{'' if len(on) == 1 else 's'} ({runs_of_days(on)}); {other}"
            f" stands in, with a doubt of {sd:.1f} °C ({F_PER_C * sd:.1f} °F)"
        )
    return Merged(days_out, stood_in, modelled, said)


def _shift_c(station: Station, site: Site) -> float:
    """What is added to a station's temperatures for its height above the yard [C]."""
    return 0.0 if station.elevation_m is None else (station.elevation_m - site.elevation_m) * LAPSE_C_PER_M


def _moved(d: FileDay, shift: float) -> FileDay:
    """A day brought to the yard's height."""
    hi, lo = d.temp_max_c, d.temp_min_c
    return replace(
        d, temp_max_c=None if hi is None else hi + shift, temp_min_c=None if lo is None else lo + shift
    )  # fmt: skip


def _said(station: Station, days: int, km: float, site: Site) -> str:
    """How a station's days were brought to the yard."""
    name = station.name or station.id
    if km > FARTHEST_KM:
        return (
            f"{name}: {km:.0f} km ({km / MILE_KM:.0f} miles) away with its height counted, farther than"
            f" {FARTHEST_KM:.0f} km; left out"
        )
    counted = f"{days} day{'' if days == 1 else 's'}"
    if station.latitude is None:
        named = counted if name == UNNAMED else f"{name}: {counted}"
        return f"{named}; {UNPLACED}: taken as near the yard and as high"
    shift = _shift_c(station, site)
    told = f"temperatures {shift:+.1f} °C ({F_PER_C * shift:+.1f} °F) for height"
    if abs(shift) < 0.05:
        told = "as high as the yard"
    return f"{name}: {counted}; {km:.0f} km ({km / MILE_KM:.0f} miles) away with its height counted, {told}"
