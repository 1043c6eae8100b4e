"""Checks of what a year's shape is made of: brood in winter, growth from small, who forages when, when brood is most.

They say which term of the day makes its season late. Of them only the sealed brood of winter was in view when a figure
of the day was set (``colony.light_ahead_d``).
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.base import AT_LEAST, AT_MOST, outside
from tideover.checks.colony_bench import bees_of_one_age, colony, go, plain_params, sky
from tideover.checks.colony_years import (
    COLD,
    CONNECTICUT,
    DAYS,
    DRY,
    OCTOBER,
    SCOTLAND,
    WEATHERS,
    Climate,
    Year,
    in_weathers,
    skies,
    well_stored,
)  # fmt: skip
from tideover.colony import layout as lay
from tideover.colony.weather import Weather
from tideover.forage.sun import daylength_h

Floats = NDArray[np.float64]
_HARRIS: Final = "Harris, Manitoba colonies confined to winter quarters (read abstract; year from memory: 2009)"
_INVENTED: Final = "Pollen on offer through the year is an invented driver."
LAST: Final = lay.N_AGE - 1
"""Age class in which all older house bees stand together."""

# --- brood in winter

DECEMBER_5: Final = 338
"""Day of the year (0-based) on which the colonies were carried in."""
CONFINED_DAYS: Final = 96
"""From 5 December to 11 March."""
ROOM_C: Final = 5.0
"""Temperature at which bees are wintered indoors, by a research farm's wintering guide (read)."""


@cache
def confined() -> tuple[float, float]:
    """Share of March's bees that were reared since 5 December, and bees reared over bees dead; medians of weathers.

    Colonies of the cold place spend the time in the dark at 5 C. The share is followed class by class; in the oldest
    class bees old and new are taken to die alike.
    """
    return tuple(np.median([_confined(seed) for seed in WEATHERS], axis=0))


def _confined(seed: int) -> tuple[float, float]:
    whole = skies(COLD, 3 * DAYS, seed=seed)
    hive = colony(
        12_000.0, 0.0, pollen_g=1_000.0, honey_g=40_000.0, warmth_c=float(np.mean(COLD.low_c)), flight=0.1,
        params=plain_params(),
    )  # fmt: skip
    begin = DAYS + DECEMBER_5
    for a, b in ((0, OCTOBER), (OCTOBER, DAYS), (DAYS, DAYS + OCTOBER), (DAYS + OCTOBER, begin)):
        well_stored(hive)
        go(hive, whole.slice(a, b))
    inside = _room(whole.slice(begin, begin + CONFINED_DAYS))
    new_in_last, reared, dead = 0.0, 0.0, 0.0
    for day in range(CONFINED_DAYS):
        house = hive.state[0, lay.HOUSE : lay.RESERVE].copy()
        run = go(hive, inside.slice(day, day + 1))
        reared += float(run.total("emerged")[0])
        dead += float(run.total("adult_deaths")[0])
        joining = house[LAST - 1] if day >= LAST else 0.0
        new_in_last = (new_in_last * house[LAST] + joining) / (house[LAST] + house[LAST - 1])
    house = hive.state[0, lay.HOUSE : lay.RESERVE]
    new = float(house[:LAST].sum() + new_in_last * house[LAST])
    return new / float(hive.adults()[0]), reared / dead


def _room(outside_: Weather) -> Weather:
    """The same days in a dark room at ``ROOM_C``."""
    still = np.zeros_like(outside_.flight_h)
    level = np.full_like(outside_.temp_max_c, ROOM_C)
    return Weather(
        outside_.log_index, level, level, still, still, outside_.daylength_h, outside_.daylength_change_h
    )  # fmt: skip


@outside(
    "colony.winter_reared_share",
    "Share of the bees of 11 March reared since 5 December, confined in a dark room at 5 C",
    source=_HARRIS, kind="observed", used_as_input=False, expected=(0.34, 0.50), tolerance=0.0, unit="1",
    note=f"Day length goes on as outside, which no bee saw there. {_INVENTED}",
)  # fmt: skip
def _reared_share() -> float:
    return confined()[0]


@outside(
    "colony.winter_replaced",
    "Bees reared over bees dead in the same time: most of the dead were replaced",
    source=_HARRIS, kind="observed", used_as_input=False, expected=0.5, tolerance=AT_LEAST, unit="1",
    note="Half is our reading of most.",
)  # fmt: skip
def _replaced() -> float:
    return confined()[1]


@outside(
    "colony.winter_sealed_brood",
    "Sealed brood, mean of mid-January to mid-March, outdoors at 41 N",
    source="Avitabile 1978, J. Apic. Res. 17: sealed brood in the thousands a colony from January on (2nd-hand)",
    kind="observed", used_as_input=True, expected=1_000.0, tolerance=AT_LEAST, unit="cells",
    note="A thousand is our reading of thousands. How far ahead laying takes the day length to go was set with this "
    f"in view. {_INVENTED}",
)  # fmt: skip
def _sealed() -> float:
    return in_weathers(CONNECTICUT, lambda one: float(one.series("capped")[15:74].mean()))


# --- growth from small


@cache
def package() -> Floats:
    """Bees of a package of 10,000 on empty combs over 150 plain days in a flow, day 0 the hiving."""
    hive = colony(10_000.0, 0.0, pollen_g=0.0, honey_g=20_000.0)
    return np.concatenate(([10_000.0], go(hive, sky(150)).series("adults")[0].astype(np.float64)))


@outside(
    "colony.package_back",
    "Days until a package of 10,000 bees has its number again",
    source="common practice: two keepers' associations give the fewest bees on day 23-24, as many as at first on day "
    "30, twice as many on day 40 (read)",
    kind="observed", used_as_input=False, practice=True, expected=30.0, tolerance=5.0, unit="d",
    note="Known to differ: ours is down to 3,900 bees when its first brood emerges, after 21 days, and rears brood for "
    "no more than that. To double from day 30 to 40 takes 1,000 births a day more than deaths, so brood of three cells "
    "a bee and more from the first week on.",
)  # fmt: skip
def _package_back() -> float:
    bees = package()
    fewest = int(bees[:45].argmin())
    return float(fewest + np.flatnonzero(bees[fewest:] >= bees[0])[0])


# --- laying where the day is cut short

BEAVERLODGE_DEG: Final = 55.2
"""Latitude of the trial."""
LATE_APRIL: Final = 118
"""Day of the year on which its packages were about hived."""
_BEAVERLODGE: Final = (
    "Package colonies at Beaverlodge, Alberta, Canadian Entomologist: environment, brood rearing, build-up and honey "
    "(read abstract; authors not shown)"
)


@cache
def laid_over_whole_days(cut_h: float, days: int) -> float:
    """Eggs laid by a package of 8,000 bees in ``days`` shorter by ``cut_h``, over those laid in whole days [1].

    The days' change is left as it was. Without any light nothing flies.
    """
    day = np.arange(LATE_APRIL, LATE_APRIL + days, dtype=np.float64)
    length = daylength_h(BEAVERLODGE_DEG, day)
    change = 0.5 * (daylength_h(BEAVERLODGE_DEG, day + 1.0) - daylength_h(BEAVERLODGE_DEG, day - 1.0))
    laid = []
    for cut in (cut_h, 0.0):
        light = np.maximum(0.0, length - cut)
        plain = sky(days, high_c=18.0, low_c=6.0, flight_h=np.where(light > 0.0, 8.0, 0.0))
        hive = colony(8_000.0, 0.0, pollen_g=500.0, honey_g=30_000.0)
        run = go(hive, replace(plain, daylength_h=light, daylength_change_h=change))
        laid.append(float(run.total("laid")[0]))
    return laid[0] / laid[1]


@outside(
    "colony.shorter_days_laid",
    "Eggs laid in 60 spring days shorter by six hours over those in whole days, 55 N",
    source=_BEAVERLODGE, kind="observed", used_as_input=False, expected=1.0, tolerance=0.1, unit="1",
    note="Known to differ: no effect of eight to nine weeks was found there (a tenth is our reading of none); in ours "
    "day length bears on laying by itself. Other work finds more brood in longer days (Kefuss 1978).",
)  # fmt: skip
def _shorter_days() -> float:
    return laid_over_whole_days(6.0, 60)


@outside(
    "colony.darkness_laid",
    "Fall of laying in three weeks of complete darkness in spring",
    source=_BEAVERLODGE, kind="observed", used_as_input=False, expected=(35.0, 60.0), tolerance=0.0, unit="%",
    note="Known to differ: ours lays next to nothing without light, where laying went on at half there.",
)  # fmt: skip
def _darkness() -> float:
    return 100.0 * (1.0 - laid_over_whole_days(24.0, 21))


# --- who forages when


@cache
def life_in(bees: float, laying: float) -> float:
    """Bees over deaths a day, mean of a week, in a colony of that size and brood after a fortnight of flow [d]."""
    hive = colony(bees, laying)
    go(hive, sky(14))
    run = go(hive, sky(7))
    return float(run.series("adults")[0].mean() / (run.total("adult_deaths")[0] / 7.0))


@outside(
    "colony.large_live_shorter",
    "Life in a colony of 31,000 bees over life in one of 8,000, each with the brood it rears",
    source="Rueppell, Kaftanouglu & Page 2009, Exp. Gerontol. 44: shorter lives in large colonies (read abstract)",
    kind="observed", used_as_input=False, expected=1.0, tolerance=AT_MOST, unit="1",
    note="Known to differ: a bee's risk does not hang on the size of its colony in ours, only on nursing, food and "
    "flight; the sizes compared there are not in the abstract.",
)  # fmt: skip
def _large_shorter() -> float:
    return life_in(31_000.0, 1_400.0) / life_in(8_000.0, 690.0)


def day_of_foraging(larvae_per_bee: float) -> float:
    """Age at which a tenth of bees that emerged together forage, each with so many open larvae to tend [d]."""
    hive = bees_of_one_age(10_000.0)
    for day in range(1, 100):
        adults = float(hive.adults()[0])
        hive.state[0, lay.EGG : lay.QUALITY] = 0.0
        hive.state[0, lay.LARVA : lay.CAPPED] = larvae_per_bee * adults / lay.N_LARVA
        hive.state[0, lay.BREAD] = 5_000.0
        go(hive, sky(1))
        if float(hive.state[0, lay.FORAGER]) > 0.1 * float(hive.adults()[0]):
            return float(day)
    return np.inf


@outside(
    "colony.brood_delays_foraging",
    "Age at first foraging with one larva a bee over that without brood",
    source="Le Conte, Mohammedi & Robinson 2001, Proc. R. Soc. B 268:163-168: brood pheromone, later foraging in five "
    "of five trials (read abstract)",
    kind="observed", used_as_input=False, expected=1.0, tolerance=AT_LEAST, unit="1",
    note="Known to differ: in ours the work of nursing makes foragers sooner (Amdam 2009), and brood's call to stay "
    "is not in the model; put in, it moves the year little.",
)  # fmt: skip
def _delay() -> float:
    return day_of_foraging(1.0) / day_of_foraging(0.0)


# --- when brood is most


def brood(one: Year) -> Floats:
    """Eggs, open and capped brood by day, shape (365,)."""
    return one.series("eggs") + one.series("open") + one.series("capped")


def _day_of_most_brood(place: Climate) -> float:
    return in_weathers(place, lambda one: float(brood(one).argmax()) + 1.0)


@outside(
    "colony.dry_brood_day",
    "Day of the year with most brood where summers are dry",
    source="16 colonies at Davis, California, 1978: worker brood most in mid-May (read abstract; Page, from memory)",
    kind="observed", used_as_input=False, expected=135.0, tolerance=10.0, unit="d",
    note="Known to differ: few bees are left after a winter of flying and little brood, and day length holds nothing "
    f"back until mid-July. {_INVENTED}",
)  # fmt: skip
def _dry_brood() -> float:
    return _day_of_most_brood(DRY)


@outside(
    "colony.north_brood_day",
    "Day of the year with most brood in a cool place at 56 N",
    source="McLellan 1979, Scotland: 24,000 cells in mid-June, almost none in late September (read abstract)",
    kind="observed", used_as_input=False, expected=166.0, tolerance=10.0, unit="d",
    note="Known to differ: almost none of ours fly below 12 C, so that pollen comes late and colonies grow until "
    f"August. {_INVENTED}",
)  # fmt: skip
def _north_brood() -> float:
    return _day_of_most_brood(SCOTLAND)
