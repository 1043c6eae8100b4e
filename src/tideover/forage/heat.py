"""Cautions for a visit: heat by the national heat index, fire, rain and wind, lifting.

The heat index is the US National Weather Service formula with both corrections. Two sets of bands are in
use and old pages disagree, so every text names its set. Local rules and a doctor's advice come first.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Final

from tideover.figures import book
from tideover.figures.units import INCH_MM, MPH_MS, POUND_KG, to_c, to_f
from tideover.forage.air import saturation_kpa

_figure = book().value
FULL_SUN_F: Final = _figure("safety.sun_adds_f")
"""Full sun adds up to this to the index [F] (OSHA); a bee suit adds more."""
LIFT_LIMIT_KG: Final = _figure("safety.lift_limit_kg")
"""Ideal-case recommended weight, 51 lb (NIOSH); less with reach, twist, height and repetition."""
BOX_KG: Final[dict[str, tuple[float, float]]] = {
    name: (book().row(f"safety.{name}_full_kg").low or 0.0, book().row(f"safety.{name}_full_kg").high or 0.0)
    for name in ("deep", "medium", "shallow")
}
"""Full ten-frame boxes, lightest and heaviest [kg] (extension pages)."""
OSHA_BANDS: Final = (
    (_figure("safety.osha_moderate_f"), "lower"),
    (_figure("safety.osha_high_f"), "moderate"),
    (_figure("safety.osha_extreme_f"), "high"),
    (float("inf"), "very high to extreme"),
)
NWS_BANDS: Final = (
    (_figure("safety.nws_caution_f"), "none"),
    (_figure("safety.nws_extreme_caution_f"), "caution"),
    (_figure("safety.nws_danger_f"), "extreme caution"),
    (_figure("safety.nws_extreme_danger_f"), "danger"),
    (float("inf"), "extreme danger"),
)
"""Current public bands (from memory)."""
_HEAT_INDEX: Final = tuple(
    _figure(f"safety.hi_{term}") for term in ("c0", "t", "r", "tr", "tt", "rr", "ttr", "trr", "ttrr")
)
FIRE_DROUGHT_MM: Final = 152.4
"""Keetch-Byram 600 of 800: severe drought, deep burning."""
WINDY_FIRE_DROUGHT_MM: Final = 101.6
"""400 of 800: enough on a windy day (our assumption)."""
WINDY_MS: Final = 6.7
"""15 mph."""
RED_FLAG_WIND_MS: Final = _figure("safety.red_flag_wind_ms")
RED_FLAG_RH_PCT: Final = _figure("safety.red_flag_rh_pct")
"""Dry and windy at once: a US weather office's warning criteria (read; they differ by office)."""
AFTERNOON_WIND: Final = 1.4
"""Afternoon wind over the day's mean (our assumption)."""
WIND_AT_10M: Final = 4.0 / 3.0
"""Wind at 10 m over that at 2 m (FAO-56's log profile over grass: 1 / 0.748)."""


def heat_index_f(temp_f: float, rh_pct: float) -> float:
    """Heat index [F] at an air temperature [F] and relative humidity [%].

    Below 80 F by the simple line averaged with the temperature; else the full regression with the dry
    and the humid correction. Meant for the shade.
    """
    if not 0.0 <= rh_pct <= 100.0:
        raise ValueError(f"humidity is {rh_pct} %, wanted 0 to 100; give relative humidity in percent.")
    t, r = temp_f, rh_pct
    simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + r * 0.094)
    mean = (simple + t) / 2.0
    if mean < 80.0:
        return mean
    powers = (1.0, t, r, t * r, t * t, r * r, t * t * r, t * r * r, t * t * r * r)
    full = sum(c * x for c, x in zip(_HEAT_INDEX, powers, strict=True))
    if r < 13.0 and 80.0 <= t <= 112.0:
        full -= (13.0 - r) / 4.0 * sqrt((17.0 - abs(t - 95.0)) / 17.0)
    elif r > 85.0 and 80.0 <= t <= 87.0:
        full += (r - 85.0) / 10.0 * (87.0 - t) / 5.0
    return full


def afternoon_wind_ms(mean_at_2m: float) -> float:
    """Afternoon wind at 10 m, as warnings give it, from the day's mean at 2 m [m/s] (our assumption)."""
    return mean_at_2m * AFTERNOON_WIND * WIND_AT_10M


def heat_index_c(temp_c: float, rh_pct: float) -> float:
    """Heat index [C] at an air temperature [C] and relative humidity [%]."""
    return to_c(heat_index_f(to_f(temp_c), rh_pct))


def _band(bands: tuple[tuple[float, str], ...], value: float) -> str:
    return next(word for top, word in bands if value < top)


def osha_band(index_f: float) -> str:
    """Work-site risk band of a heat index [F] (OSHA set)."""
    return _band(OSHA_BANDS, index_f)


def nws_band(index_f: float) -> str:
    """Public warning band of a heat index [F] (current National Weather Service set)."""
    return _band(NWS_BANDS, index_f)


def lift_ratio(weight_kg: float) -> float:
    """Weight over the ideal-case limit; above one needs a second person or frames taken out first."""
    return weight_kg / LIFT_LIMIT_KG


@dataclass(frozen=True)
class Caution:
    """A caution for the visit: what it is about, ``stop`` or ``care``, and what to do."""

    topic: str
    level: str
    text: str
    source: str


def afternoon_humidity_pct(temp_max_c: float, temp_min_c: float, dry_by_c: float = 2.0) -> float:
    """Humidity at the day's high when none was measured [%], with the dew point at Tmin less ``dry_by_c``."""
    return float(100.0 * saturation_kpa(temp_min_c - dry_by_c) / saturation_kpa(temp_max_c))


def _both(metric: str, us: str, us_first: bool) -> str:
    """A quantity in both systems, the keeper's first."""
    return f"{us} ({metric})" if us_first else f"{metric} ({us})"


def degrees(index_f: float, us_first: bool = False) -> str:
    """A temperature given in F in both scales, whole degrees, the keeper's first."""
    return _both(f"{to_c(index_f):.0f} °C", f"{index_f:.0f} °F", us_first)


def bands_in_words(bands: tuple[tuple[float, str], ...], us_first: bool = False) -> str:
    """A set of bands: each with its upper end in both scales."""
    return ", ".join(
        f"{word} below {degrees(top, us_first)}" if top != float("inf") else f"{word} above" for top, word in bands
    )


def _heat(tmax_c: float, rh: float | None, us: bool) -> list[Caution]:
    shade = heat_index_f(to_f(tmax_c), 30.0 if rh is None else rh)
    sun = shade + FULL_SUN_F
    told = f"Heat index {degrees(shade, us)} in the shade, up to {degrees(sun, us)} in full sun"
    if rh is None:
        told += ", humidity taken as 30 %"
    water = _both("a litre", "a quart", us)
    advice = {
        "very high to extreme": ("stop", "Put off work that can wait; else be done by mid-morning, and never alone."),
        "high": (
            "care", f"Go early; shade and {water} of cool water an hour, rest often, not alone; a suit adds heat.",
        ),
        "moderate": ("care", "Water and shade at hand; stop on headache, dizziness or confusion."),
    }  # fmt: skip
    band = osha_band(sun)
    if band not in advice:
        return []
    level, do = advice[band]
    return [Caution("heat", level, f"{told}: {band}. {do}", "OSHA heat bands; NWS heat index")]


def _wind(wind: float, us: bool) -> str:
    return _both(f"{wind:.0f} m/s", f"{wind / MPH_MS:.0f} mph", us)


def _fire(wind: float | None, drought: float | None, fire_ban: bool, rh: float | None, us: bool) -> list[Caution]:
    if fire_ban:
        text = (
            "Fire ban: do not light a smoker. Ask the fire authority what holds for smokers;"
            " use a water mist, or come another day."
        )
        return [Caution("fire", "stop", text, "fire service advice to beekeepers; local law decides")]
    if wind is not None and rh is not None and wind >= RED_FLAG_WIND_MS and rh <= RED_FLAG_RH_PCT:
        text = (
            f"Fire weather: wind about {_wind(wind, us)} in air of {rh:.0f} % humidity. Do not"
            " light a smoker before you have asked the fire service; a spark in grass runs faster than you do."
        )
        return [Caution("fire", "stop", text, "US weather service's dry-and-windy warnings; local law decides")]
    windy = (wind or 0.0) > WINDY_MS
    if drought is not None and (drought >= FIRE_DROUGHT_MM or (windy and drought >= WINDY_FIRE_DROUGHT_MM)):
        dry = _both(f"{drought:.0f} of 203 mm", f"{drought / 0.254:.0f} of 800", us)
        text = (
            f"Drought {dry}: ask first whether a fire ban holds. Light"
            " the smoker in a metal bucket on bare ground, water and extinguisher beside it, plug it after, and stay"
            " 20 minutes."
        )
        return [Caution("fire", "care", text, "Keetch & Byram 1968 stages; fire service advice to beekeepers")]
    return []


def visit_cautions(
    tmax_c: float,
    rh: float | None,
    wind: float | None,
    rain_mm: float | None,
    drought: float | None,
    *,
    fire_ban: bool = False,
    heaviest_box: str | None = None,
    driest_rh: float | None = None,
    us: bool = False,
) -> list[Caution]:
    """Cautions for a visit on a day with this weather; an empty list is no promise.

    tmax_c: day's high [C]. rh: humidity at the hottest hours [%], None unknown (30 % taken). driest_rh: the
    lowest to be ready for [%], ``rh`` when None. wind: afternoon's at 10 m [m/s]. rain_mm [mm]. drought:
    Keetch-Byram [mm]. fire_ban: a ban is declared. heaviest_box: 'deep', 'medium', 'shallow'. us: US units
    stand first, metric ones in brackets; the other way round without it.
    """
    out = [
        *_heat(tmax_c, rh, us), *_fire(wind, drought, fire_ban, rh if driest_rh is None else driest_rh, us)
    ]  # fmt: skip
    if wind is not None and wind > WINDY_MS:
        text = f"Wind {_wind(wind, us)}: bees fly badly, smoke and lids blow about; keep it short."
        out.append(Caution("wind", "care", text, "15 mph rule of pollination practice"))
    if rain_mm is not None and rain_mm >= 1.0:
        fell = _both(f"{rain_mm:.0f} mm", f"{rain_mm / INCH_MM:.1f} in", us)
        text = f"Rain {fell}: all bees are at home and brood chills; open only what must be."
        out.append(Caution("rain", "care", text, "common practice, no source"))
    if tmax_c < 12.0:
        text = f"High of {degrees(to_f(tmax_c), us)}: do not pull brood combs; lid look only."
        out.append(Caution("cold", "care", text, "common practice, no source"))
    if heaviest_box is not None and heaviest_box in BOX_KG:
        low, high = BOX_KG[heaviest_box]
        if high > LIFT_LIMIT_KG:
            weighs = _both(f"{low:.0f}-{high:.0f} kg", f"{low / POUND_KG:.0f}-{high / POUND_KG:.0f} lb", us)
            limit = _both(f"{LIFT_LIMIT_KG:.0f} kg", f"{LIFT_LIMIT_KG / POUND_KG:.0f} lb", us)
            text = (
                f"A full {heaviest_box} box weighs {weighs}; the ideal-case limit is {limit}. Take frames"
                " out first or lift with two."
            )
            out.append(Caution("lifting", "care", text, "NIOSH recommended weight limit"))
    return out
