"""Seasons drawn from the model itself: a truth that is known, and looks made with the filter's own likelihoods.

One season is a hive whose start, parameters, daily luck, land and looks are all drawn from what
the filter supposes. Each look is drawn item by item from the very functions that weigh it
(``evidence.likelihood``), its chance of being wrong included, so that a filter that is
right must be calibrated on these seasons, and one that is not has nobody else to blame.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.comb.words import NEST_POLLEN, OUTER_POLLEN
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.beginning import starting
from tideover.evidence.keeper import count_prior
from tideover.evidence.likelihood import Item, jelly_shares, look_items
from tideover.evidence.predict import Shown, shown
from tideover.evidence.scatters import WRONG_ITEM, WRONG_LOOK
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Seen, Value
from tideover.evidence.sky import Sky, number
from tideover.evidence.walk import Walk, tare_kg
from tideover.evidence.words import HEFT, JELLY, POLLEN_COMING
from tideover.forage.index import LandDay, YardIndex, yard_index

Floats = NDArray[np.float64]

LATITUDE: Final = 37.0
WEATHER_FROM: Final = date(2030, 11, 1)
SEASON_FROM: Final = date(2031, 3, 20)
WEATHER_TO: Final = date(2031, 12, 1)
LANDS: Final = 6
PATHS: Final = 400
HORIZON_D: Final = 60
BOXES: Final = (BoxSpec("deep", 10), BoxSpec("deep", 10))
QUANTITIES: Final = ("adults", "open brood", "capped brood", "pollen", "honey", "runway")

LIGHT: Final = ("seams", "heft", "outer_pollen")
NEST: Final = (*LIGHT, "nest_pollen", "brood_combs", "capped_quarters", "open_quarters", "eggs", "jelly")
KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "at the lid": LIGHT,
    "into the nest": NEST,
    "jelly counted": (*LIGHT, "jelly_counts", "eggs"),
    "scale and entrance": ("hive_weight", "pollen_coming"),
    "everything": (
        "seams", "outer_half_sides", "nest_pollen", "brood_combs", "capped_quarters", "open_quarters", "eggs",
        "jelly_counts", "honey_combs", "queen_seen", "hive_weight", "pollen_coming",
    ),
}  # fmt: skip
"""Kinds of look, by what is looked at."""
WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "heft": HEFT,
    "outer_pollen": tuple(OUTER_POLLEN),
    "nest_pollen": tuple(NEST_POLLEN),
    "eggs": ("yes", "no"),
    "jelly": JELLY,
    "queen_seen": ("yes", "no"),
    "pollen_coming": POLLEN_COMING,
}
COUNTED: Final = 12
"""Larvae scored in a look that counts them."""
GRID: Final[Mapping[str, tuple[float, float]]] = {
    "seams": (-4.0, 45.0),
    "outer_half_sides": (-4.0, 60.0),
    "brood_combs": (-4.0, 40.0),
    "capped_quarters": (-4.0, 22.0),
    "open_quarters": (-4.0, 22.0),
    "honey_combs": (-4.0, 80.0),
    "hive_weight": (0.0, 260.0),
}
"""Where the numbers of a look can lie; the densities are drawn from on a fine grid over these."""


def land_days(seed: int) -> list[LandDay]:
    """Invented weather of a hot dry summer: a yearly wave, departures of a few days, rain mostly in winter."""
    rng = np.random.default_rng(seed)
    days = (WEATHER_TO - WEATHER_FROM).days
    made, dev = [], 0.0
    warmer = rng.normal(0.0, 1.5)
    wet = float(np.exp(rng.normal(0.0, 0.5)))
    for k in range(days):
        day = WEATHER_FROM + timedelta(days=k)
        season = np.cos(2 * np.pi * (day.timetuple().tm_yday - 200) / 365.25)
        dev = 0.75 * dev + 2.2 * rng.standard_normal()
        high = 24.0 + warmer + 11.0 * season + dev
        rains = rng.random() < wet * (0.14 - 0.12 * season)
        made.append(LandDay(day, high, high - 14.0, float(rng.gamma(0.8, 9.0)) if rains else 0.0))
    return made


@cache
def land(seed: int) -> YardIndex:
    """The yard index of one invented year, known from weather alone."""
    return yard_index(LATITUDE, land_days(seed), until=WEATHER_TO - timedelta(days=1))


@cache
def sky(seed: int, paths: int = PATHS) -> Sky:
    """The same as drivers, with paths of the index drawn."""
    return Sky.of(land(seed), paths, seed + 1000)


# --- looks


def _number(items_at: Callable[[float], Item], low: float, high: float, rng: np.random.Generator) -> float:
    """One draw from the density that an item's likelihood is, over the values a keeper could write."""
    values = np.linspace(low, high, 121)
    log = np.array([float(items_at(v).loglik[0]) for v in values])
    near = np.flatnonzero(log > log.max() - 16.0)
    values = np.linspace(values[max(0, near[0] - 1)], values[min(values.size - 1, near[-1] + 1)], 161)
    log = np.array([float(items_at(v).loglik[0]) for v in values])
    share = np.exp(log - log.max())
    k = int(rng.choice(values.size, p=share / share.sum()))
    return float(values[k] + (values[1] - values[0]) * (rng.random() - 0.5))


def draw_look(
    s: Shown,
    fields: tuple[str, ...],
    rng: np.random.Generator,
    *,
    tare: float,
    pollen_hours: bool,
    wrong: bool = True,
    other: Shown | None = None,
) -> dict[str, Value]:
    """Draw what a keeper writes down from the likelihoods the filter weighs it with.

    :param s: what the true colony would show, arrays of shape (1,).
    :param fields: what is looked at; 'jelly_counts' is counts of larvae by jelly.
    :param rng: the keeper's luck.
    :param tare: empty weight [kg].
    :param pollen_hours: whether pollen could be coming in at that hour.
    :param wrong: draw the wrong-entry parts too.
    :param other: what another hive would show, which a look typed into the wrong hive is of; without it
        no look is.
    """
    if other is not None and wrong and rng.random() < WRONG_LOOK:
        s = other
    values: dict[str, Value] = {}

    def item(name: str, v: Value) -> Item:
        beside = {"brood_combs": values["brood_combs"]} if "brood_combs" in values and "quarters" in name else {}
        found = look_items(s, {**beside, name: v}, tare_kg=tare, pollen_hours=pollen_hours)
        return found[-1]

    for name in fields:
        astray = wrong and rng.random() < WRONG_ITEM
        if name == "pollen_coming" and not pollen_hours:
            continue
        if name in WORDS:
            words = WORDS[name]
            if astray:
                values[name] = str(rng.choice(words))
            else:
                p = np.array([np.exp(float(item(name, w).loglik[0])) for w in words])
                values[name] = str(rng.choice(words, p=p / p.sum()))
        elif name == "jelly_counts":
            alpha = np.ones(3) if astray else 6.0 * jelly_shares(s.jelly)[0]
            counts = rng.multinomial(COUNTED, rng.dirichlet(alpha))
            values |= {f"jelly_{k}": float(c) for k, c in zip(JELLY, counts, strict=True)}
        else:
            low, high = GRID[name]
            if astray:
                # The background is a flat density: as wide as it is high.
                values[name] = float(rng.random() * np.exp(-item(name, 1.0).background))
            else:
                values[name] = _number(lambda v, n=name: item(n, v), low, high, rng)
    return values


def as_written(values: Mapping[str, Value]) -> dict[str, Value]:
    """The same look as a keeper writes it: halves, never below nothing, eight quarters at most."""
    out: dict[str, Value] = {}
    for k, v in values.items():
        if not isinstance(v, float) or k.startswith("jelly_"):
            out[k] = v
        elif k == "hive_weight":
            out[k] = max(0.0, round(v, 1))
        elif k.endswith("_quarters"):
            out[k] = float(np.clip(round(v), 0, 8))
        else:
            out[k] = max(0.0, round(2.0 * v) / 2.0)
    return out


# --- seasons


@dataclass
class Season:
    """One simulated season up to the look it is scored at, the truth just after it, and the case to assimilate."""

    case: HiveCase
    sky: Sky
    today: date
    truth: Ensemble
    truth_weather_path: Sky
    kind: str
    looks: int
    shows: Shown
    """What the true colony showed at the scored look, as that keeper counts."""
    pollen_hours: bool
    """Whether pollen could be coming in at its hour."""
    count_log: float
    """Log of what this keeper writes over what is there, the same at every look."""

    def true_values(self, seed: int, *, runway: bool = True) -> dict[str, float]:
        """The truth of each quantity on the morning of the look."""
        told = quantities(self.truth, self.truth_weather_path, None, self.today, seed, runway)
        return {k: float(v[0]) for k, v in told.items()}


def quantities(
    e: Ensemble, over: Sky, path: NDArray[np.intp] | None, today: date, seed: int, runway: bool = True
) -> dict[str, Floats]:
    """What is scored, per member: totals today and days until reserves are low or larvae eaten (censored)."""
    found = {
        "adults": e.adults(),
        "open brood": e.open_larvae(),
        "capped brood": e.capped(),
        "pollen": e.state[:, lay.BREAD].copy(),
        "honey": e.state[:, lay.HONEY].copy(),
    }
    if runway:
        found["runway"] = runway_days(e, over, path, today, seed)
    return found


def runway_days(e: Ensemble, over: Sky, path: NDArray[np.intp] | None, today: date, seed: int) -> Floats:
    """Days until nurses' reserves are low or larvae are eaten, ``HORIZON_D`` + 1 where neither happens by then."""
    path = np.zeros(e.members, np.intp) if path is None else path
    weather = over.between(today, today + timedelta(days=HORIZON_D), path)
    r = run(e.copy(), weather, seed=seed, salt=77, first_day=number(today), record=False)
    days = np.where(r.passage[:, 1:] > 0, r.passage[:, 1:] - 1.0, HORIZON_D + 1.0)
    return np.asarray(days.min(axis=1))


def walk_of(case: HiveCase, over: Sky, e: Ensemble, start: date, rng: np.random.Generator, seed: int) -> Walk:
    """The filter's own walk around one or more colonies, so that truth and members pass through the same steps."""
    n = e.members
    known = Assimilated(case.hive, start, start, e, np.zeros(n, np.intp), np.zeros((0, 0, 0), np.float32))
    known.count_log = count_prior(rng, n, 1)
    return Walk(case, over, rng, n, seed, known, np.arange(n, dtype=np.intp), proposing=False)


def another(walk: Walk, s: Seen) -> Shown:
    """What one hive drawn at large from the same land and day would show the same keeper."""
    e = starting(walk.rng, 1, walk.sky, walk.known.today)
    now = walk.sky.paths[walk.known.path, walk.sky.at(walk.known.today)]
    return shown(
        e, walk.case.boxes, flying=walk.hours(s)[0], log_index=now, counted=np.exp(walk.known.count_log[:, 0])
    )  # fmt: skip


def simulate(
    seed: int,
    *,
    wrong: bool = True,
    rounded: bool = False,
    most_looks: int = 5,
    fewest_looks: int = 1,
    kinds: tuple[str, ...] = tuple(KINDS),
    truly: Callable[[Ensemble, np.random.Generator], None] | None = None,
    on_way: Callable[[Ensemble, int, np.random.Generator], None] | None = None,
    keeper: Callable[[dict[str, Value]], dict[str, Value]] | None = None,
) -> Season:
    """Draw one season.

    :param seed: everything that is drawn follows from it.
    :param wrong: draw wrong entries with the chances the filter supposes.
    :param rounded: write numbers as a keeper does.
    :param most_looks: looks before and at the scored one, ``fewest_looks`` to this many.
    :param kinds: kinds of look drawn from.
    :param truly: changes the true colony at the start (other parameters).
    :param on_way: changes the true colony after the k-th look (a swarm nobody saw).
    :param keeper: changes what is written (a keeper who overcounts).
    """
    rng = np.random.default_rng((seed, 7919))
    which = int(rng.integers(LANDS))
    over = sky(which)
    alone = replace(over, paths=land(which).paths(1, 500_000 + seed))
    day = SEASON_FROM + timedelta(days=int(rng.integers(0, 120)))
    looks = int(rng.integers(fewest_looks, most_looks + 1))
    hive = f"made-{seed}"
    case = HiveCase(hive, Place("made", LATITUDE), BOXES, ())
    e = starting(rng, 1, over, day)
    if truly is not None:
        truly(e, rng)
    walk = walk_of(case, alone, e, day, rng, 900_000_000 + seed)
    entries: list[Seen] = []
    kind = ""
    for k in range(looks):
        walk.forward(day)
        kind = str(rng.choice(kinds))
        blank = Seen(f"{hive}-{k}", "look", day, float(rng.uniform(8.5, 13.0)), {})
        now, hours = walk.show(blank)
        other = another(walk, blank)
        values = draw_look(
            now, KINDS[kind], rng, tare=tare_kg(case), pollen_hours=hours, wrong=wrong, other=other
        )  # fmt: skip
        values = as_written(values) if rounded else values
        entries.append(replace(blank, values=keeper(values) if keeper is not None else values))
        if k < looks - 1:
            if on_way is not None:
                on_way(walk.known.ensemble, k, rng)
            day = day + timedelta(days=int(rng.integers(5, 22)))
    tendency = float(walk.known.count_log[0, 0])
    return Season(
        replace(case, seen=tuple(entries)), over, day, walk.known.ensemble, alone, kind, looks, now, hours, tendency
    )


def filtered(season: Season, members: int, seed: int = 1) -> Assimilated:
    """The hive of a season as the filter knows it just after the scored look."""
    return assimilate(season.case, season.sky, season.today, members=members, seed=seed)


def standing(values: Floats, truth: float, rng: np.random.Generator) -> float:
    """Rank of the truth among members as a share, ties at random: uniform when calibrated (Talts et al. 2018)."""
    below = int((values < truth).sum())
    equal = int((values == truth).sum())
    return float((below + rng.random() * (equal + 1)) / (values.size + 1))
