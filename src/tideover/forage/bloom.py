"""What stands in flower at a yard, as the keeper ticked it: a prior on the season's shape for the yard index.

A catalogue names plants of two hot-summer regions; a yard's list says which grow there and how much. The list bends the
ground line of the index by the share of its pollen that is in flower, over the mean of the year, and no more than
a factor of about three. It is off for a yard without a list. Every weight is our assumption; the months are
a catalogue's and the keeper may change each of them.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from importlib.resources import files
from typing import Any, Final, Literal, cast

import numpy as np
import numpy.typing as npt

from tideover.forage.degree_days import simple
from tideover.forage.greenness import ramp
from tideover.forage.notes import BloomNote

Floats = npt.NDArray[np.float64]
Drought = Literal["steady", "ordinary", "thirsty", "after rain", "watered"]
DROUGHTS: Final = ("steady", "ordinary", "thirsty", "after rain", "watered")
YEAR_D: Final = 365
SOUTH_D: Final = 183
"""South of the equator months are half a year later."""
EDGE_D: Final = 12.0
"""Days over which flowering comes and goes at either end."""
BASE_C: Final = 10.0
"""Base of the heat sum (Bowers & Dimmitt 1994: about 10 C for most of the plants followed)."""
HEAT_WINDOW_D: Final = 90
HEAT_SHARE: Final = 0.5
"""Share of the lead in heat that shows in the date: plants answer to day length too (our assumption)."""
MOST_SHIFT_D: Final = 21.0
DRY_END_D: Final = 14.0
"""How much earlier flowering ends when a month's soil water is all but gone (our assumption)."""
WEIGHT: Final = 0.5
"""How far the share in flower bends the log index (our assumption)."""
MOST_LOG: Final = 1.1
LEARN_CATALOGUE: Final = 1.0
"""How many years of notes the catalogue's months are worth."""


@dataclass(frozen=True)
class Plant:
    """A plant of the catalogue or of the keeper's own; months are those of the northern hemisphere."""

    id: str
    common: str
    scientific: str = ""
    region: str = "own"
    months: tuple[tuple[int, int], ...] = ()
    pollen: int = 1
    nectar: int = 1
    drought: Drought = "ordinary"
    sources: tuple[str, ...] = ()
    known: str = "our assumption"
    pollen_known: str = "our assumption"

    def __post_init__(self) -> None:
        """Keep months and worths possible."""
        if not self.months or any(not (1 <= a <= 12 and 1 <= b <= 12) for a, b in self.months):
            raise ValueError(f"months of {self.common} are {self.months}, wanted pairs of months 1 to 12.")
        for name in ("pollen", "nectar"):
            if not 0 <= getattr(self, name) <= 3:
                raise ValueError(f"{name} of {self.common} is {getattr(self, name)}, wanted 0 to 3.")
        if self.drought not in DROUGHTS:
            raise ValueError(f"drought of {self.common} is {self.drought!r}, wanted {', '.join(DROUGHTS)}.")


@dataclass(frozen=True)
class Standing:
    """A plant of a yard and how much of it there is: 1 some, 2 much, 3 it rules the place.

    ``windows``: first and last days of year, of the yard's own hemisphere; None takes the catalogue's months.
    """

    plant: Plant
    amount: int = 1
    windows: tuple[tuple[float, float], ...] | None = None


@cache
def catalogue() -> Mapping[str, Plant]:
    """The plants that ship, by id."""
    found = tomllib.loads((files("tideover.forage") / "data" / "bloom.toml").read_text(encoding="utf-8"))
    sources: dict[str, str] = found["sources"]
    return {
        p["id"]: Plant(
            p["id"], p["common"], p["scientific"], p["region"], tuple((a, b) for a, b in p["months"]), p["pollen"],
            p["nectar"], p["drought"], tuple(sources[s] for s in p["sources"]), p["known"], p["pollen_known"],
        )
        for p in found["plant"]
    }  # fmt: skip


def standing_of(given: object) -> list[Standing]:
    """A yard's list as it is kept in the settings; ValueError in a sentence when it cannot be.

    Each item names a ``plant`` of the catalogue, or is one of the keeper's own with ``common``, ``months``,
    ``pollen`` and ``drought``. Any of these may also be changed for a plant of the catalogue.
    """
    if not isinstance(given, list):
        raise ValueError(f"the bloom list is {type(given).__name__}, wanted a list of plants.")
    made = []
    for item in given:
        one: Mapping[str, Any] = {"plant": item} if isinstance(item, str) else item
        if not isinstance(one, Mapping):
            raise ValueError(f"a plant of the bloom list is {item!r}, wanted an id of the catalogue or its fields.")
        base = catalogue().get(str(one.get("plant", "")))
        if base is None and "common" not in one:
            raise ValueError(
                f"{one.get('plant')!r} is not in the bloom catalogue; give it with common, months, pollen."
            )
        base = base or Plant(str(one.get("plant") or one["common"]), str(one["common"]), months=((1, 12),))
        changes: dict[str, Any] = {
            k: one[k] for k in ("common", "scientific", "pollen", "nectar", "drought") if k in one
        }
        if "months" in one:
            changes["months"] = tuple((int(a), int(b)) for a, b in one["months"])
        amount = int(one.get("amount", 1))
        if not 1 <= amount <= 3:
            raise ValueError(
                f"amount of {base.common} is {amount}, wanted 1 (some), 2 (much) or 3 (it rules the place)."
            )
        made.append(Standing(replace(base, **changes), amount))
    return made


def _first_of(month: int) -> int:
    return date(2001, month, 1).timetuple().tm_yday


def windows(standing: Standing, latitude_deg: float) -> tuple[tuple[float, float], ...]:
    """First and last day of year of each flowering at this latitude; the last may be after New Year (above 365)."""
    if standing.windows is not None:
        return standing.windows
    out = []
    for a, b in standing.plant.months:
        first = _first_of(a) + (SOUTH_D if latitude_deg < 0.0 else 0)
        length = ((b - a) % 12 + 1) * 30.4
        start = float((first - 1) % YEAR_D + 1)
        out.append((start, start + length - 1.0))
    return tuple(out)


def in_flower(
    j: npt.ArrayLike, window: tuple[float, float], earlier_d: npt.ArrayLike = 0.0, ends_earlier_d: npt.ArrayLike = 0.0
) -> Floats:
    """Share in flower on days of year ``j``, 0-1; both shifts in days, one value or one a day."""
    day = np.asarray(j, dtype=np.float64)
    first = window[0] - np.asarray(earlier_d, dtype=np.float64)
    last = window[1] - np.asarray(earlier_d, dtype=np.float64) - np.asarray(ends_earlier_d, dtype=np.float64)
    out = np.zeros(np.broadcast_shapes(day.shape, first.shape))
    for turn in (-YEAR_D, 0, YEAR_D):
        d = day + turn
        rise = ramp((d - first) / EDGE_D, -0.5, 0.5)
        fall = ramp((last - d) / EDGE_D, -0.5, 0.5)
        out = np.maximum(out, rise * fall)
    return out


def heat_lead_d(j: Floats, temp_max: Floats, temp_min: Floats, usual_max: Floats, usual_min: Floats) -> Floats:
    """Days by which the season runs ahead of the usual one, by the heat sum above 10 C of the last three months."""
    gained = simple(temp_max, temp_min, BASE_C)
    usual = simple(usual_max, usual_min, BASE_C)
    lead = np.empty(j.size)
    for k in range(j.size):
        a = max(0, k - HEAT_WINDOW_D + 1)
        pace = max(3.0, float(usual[max(0, k - 29) : k + 1].mean()))
        lead[k] = (float(gained[a : k + 1].sum()) - float(usual[a : k + 1].sum())) / pace
    return np.asarray(np.clip(HEAT_SHARE * lead, -MOST_SHIFT_D, MOST_SHIFT_D))


def _water(standing: Standing, ks: Floats, wet: Floats) -> Floats:
    kind = standing.plant.drought
    if kind == "after rain":
        return np.asarray(0.1 + 0.9 * wet)
    if kind == "thirsty":
        return np.asarray(0.15 + 0.85 * ks)
    # the ground line has the soil's dryness in it already; these two do not feel it
    return np.asarray(1.0 + 0.8 * (1.0 - ks)) if kind in ("steady", "watered") else np.ones_like(ks)


def log_shift(
    standing: Sequence[Standing],
    latitude_deg: float,
    j: Floats,
    temp_max: Floats,
    temp_min: Floats,
    usual_max: Floats,
    usual_min: Floats,
    soil_ks: Floats,
    rain_mm: Floats,
    weight: float = WEIGHT,
) -> Floats:
    """What a yard's plants add to the log index on each day; nought without a list. All arrays one value a day.

    soil_ks: 1 without water stress, 0 at wilting. rain_mm: [mm].
    """
    if not standing:
        return np.zeros(j.size)
    earlier = heat_lead_d(j, temp_max, temp_min, usual_max, usual_min)
    month = np.array([float(soil_ks[max(0, k - 29) : k + 1].mean()) for k in range(j.size)])
    ends = DRY_END_D * (1.0 - month)
    spell = np.convolve(rain_mm, np.ones(3))[: j.size]
    wet = np.array(
        [float(ramp(spell[max(0, k - 21) : max(0, k - 2)].max(initial=0.0), 10.0, 20.0)) for k in range(j.size)]
    )
    offered, usual_year = np.zeros(j.size), np.zeros(YEAR_D)
    year = np.arange(1.0, YEAR_D + 1.0)
    for s in standing:
        worth = s.amount * s.plant.pollen
        late = ends if s.plant.drought in ("ordinary", "thirsty") else np.zeros(j.size)
        shares = [in_flower(j, w, earlier, late) for w in windows(s, latitude_deg)]
        offered += worth * np.max(shares, axis=0) * _water(s, month, wet)
        usual_year += worth * np.max([in_flower(year, w) for w in windows(s, latitude_deg)], axis=0)
    mean = float(usual_year.mean())
    if mean <= 0.0:
        return np.zeros(j.size)
    shift = weight * np.log((offered + 0.15 * mean) / (1.15 * mean))
    return np.asarray(np.clip(shift, -MOST_LOG, MOST_LOG))


def learned(
    standing: Sequence[Standing], notes: Sequence[BloomNote], latitude_deg: float, this_year_from: date
) -> list[Standing]:
    """The list with its windows moved towards what earlier years' notes on each plant saw.

    A year speaks on the start when flowering was seen before the window, or when the plant was noted as not in flower
    within a month before it was first seen; on the end alike. The catalogue counts as one more year.
    """
    out = []
    for s in standing:
        names = {s.plant.id.lower(), s.plant.common.lower()}
        mine = [n for n in notes if n.plant.strip().lower() in names and n.day < this_year_from]
        bent = []
        for first, last in windows(s, latitude_deg):
            starts, ends = [], []
            middle = (first + last) / 2.0
            by_year: dict[int, list[tuple[float, bool]]] = {}
            for n in mine:
                day = float(n.day.timetuple().tm_yday)
                around = day + YEAR_D * round((middle - day) / YEAR_D)
                turn = (n.day + timedelta(days=int(middle - around))).year
                by_year.setdefault(turn, []).append((around, n.bloom != "none"))
            for seen in by_year.values():
                yes = sorted(d for d, open_ in seen if open_)
                no = sorted(d for d, open_ in seen if not open_)
                if not yes:
                    continue
                before = [d for d in no if 0 < yes[0] - d <= 30]
                after = [d for d in no if 0 < d - yes[-1] <= 30]
                if before:
                    starts.append((max(before) + yes[0]) / 2.0)
                elif yes[0] < first:
                    starts.append(yes[0])
                if after:
                    ends.append((min(after) + yes[-1]) / 2.0)
                elif yes[-1] > last:
                    ends.append(yes[-1])
            new_first = (LEARN_CATALOGUE * first + sum(starts)) / (LEARN_CATALOGUE + len(starts))
            new_last = (LEARN_CATALOGUE * last + sum(ends)) / (LEARN_CATALOGUE + len(ends))
            bent.append((new_first, max(new_last, new_first + 7.0)))
        out.append(replace(s, windows=tuple(bent)))
    return out


def names_in_flower(standing: Sequence[Standing], latitude_deg: float, day: date) -> list[str]:
    """Common names of a yard's plants in flower on a day by their months, most pollen first."""
    j = float(day.timetuple().tm_yday)
    shown = []
    for s in standing:
        share = max(float(in_flower(j, w)) for w in windows(s, latitude_deg))
        if share >= 0.5:
            shown.append((-(s.amount * s.plant.pollen), s.plant.common))
    return [name for _, name in sorted(shown)]


def drought_word(text: str) -> Drought:
    """A drought word checked; ValueError names the known ones."""
    if text not in DROUGHTS:
        raise ValueError(f"drought is {text!r}, wanted one of {', '.join(DROUGHTS)}.")
    return cast(Drought, text)
