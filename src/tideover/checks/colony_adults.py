"""Checks of adult bees: how long they live, what shortens their lives, what they eat in winter."""

from __future__ import annotations

from functools import cache, partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.base import AT_LEAST, AT_MOST, from_book, outside
from tideover.checks.colony_bench import bees_of_one_age, colony, go, plain_params, rested, sky
from tideover.checks.colony_years import COLD, plain_year, skies
from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble

Floats = NDArray[np.float64]
_PRADO: Final = "Prado et al. 2020, R. Soc. Open Sci. 7:200998 (read abstract)"
_SMEDAL: Final = "Smedal et al. 2009, J. Exp. Biol. 212:3795 (read)"

# --- how long bees live


def life(larvae_per_bee: float = 0.0, *, flight_h: float = 8.0, days: int = 700, reserve: float = 0.35) -> float:
    """Mean life [d] of 10,000 bees that emerge together and tend so many open larvae each, in a flow.

    Brood is put back to its number each evening and none emerges, so that those left are the survivors.
    """
    hive = bees_of_one_age(10_000.0, reserve=reserve)
    weather = sky(1, flight_h=flight_h) if flight_h > 1.0 else sky(1, flight_h=flight_h, high_c=5.0, low_c=-5.0)
    alive = 0.0
    for _ in range(days):
        adults = float(hive.adults()[0])
        alive += adults
        if adults < 1.0:
            break
        hive.state[0, lay.EGG : lay.LARVA] = 0.0
        hive.state[0, lay.LARVA : lay.CAPPED] = larvae_per_bee * adults / lay.N_LARVA
        hive.state[0, lay.CAPPED : lay.QUALITY] = 0.0
        hive.state[0, lay.BREAD] = 5_000.0
        hive.state[0, lay.HONEY] = 60_000.0
        go(hive, weather)
    return alive / 10_000.0 - 0.5


@cache
def life_at_rest(index: float = 1.0) -> float:
    """Adults over bees emerging a day in a colony at rest [d]."""
    hive, run = rested(index)
    born = go(Ensemble(hive.state.copy(), hive.params), sky(1, index=index)).total("emerged")[0]
    return float(run.series("adults")[0, -1] / born)


@cache
def apparent_summer_life() -> float:
    """Adults over a twelfth of capped brood, mean of late spring to early autumn in the cold place [d]."""
    year = plain_year(COLD)
    season = slice(135, 274)
    return float((year.series("adults")[season] / (year.series("capped")[season] / 12.0)).mean())


from_book("adults.apparent_summer_life_days", apparent_summer_life, used_as_input=False, expected=(20.0, 30.0),
          key="colony.summer_life", note="Worked out as there, from adults and capped brood.")  # fmt: skip


@outside(
    "colony.life_without_over_with_brood",
    "Mean life of winter bees without brood over that of bees in a colony at rest with full brood",
    source=_SMEDAL, kind="observed", used_as_input=False, expected=3.0, tolerance=AT_LEAST, unit="1",
    note="3-6 weeks with brood, 20 weeks and more without.",
)  # fmt: skip
def _with_without() -> float:
    return life(0.0, flight_h=0.0) / life_at_rest()


from_book("adults.life_without_brood_days", lambda: life(0.0, flight_h=0.0), used_as_input=False, expected=140.0,
          tolerance=AT_LEAST, key="colony.life_without_brood")  # fmt: skip


@outside(
    "colony.brood_removed_in_flow",
    "Mean life in a flow without brood over that with one larva a bee",
    source="Amdam et al. 2009, Exp. Gerontol. 44:467: less brood rearing early in life, later death (read abstract)",
    kind="observed", used_as_input=True, expected=1.0, tolerance=AT_LEAST, unit="1", note="Sign only.",
)  # fmt: skip
def _removed_in_flow() -> float:
    return life(0.0) / life(1.0)


@outside(
    "colony.nursing_load_shortens",
    "Mean life with two larvae a bee over that with half a larva a bee",
    source="Eischen, Rothenbuhler & Kulincevic 1983, J. Apic. Res. 22 (read abstract)",
    kind="observed", used_as_input=True, expected=0.99, tolerance=AT_MOST, unit="1",
    note="Sign only. There the life of the young reared fell; here that of the nurses.",
)  # fmt: skip
def _load() -> float:
    return life(2.0) / life(0.5)


@outside(
    "colony.stressed_rearing_shortens",
    "Mean life of bees reared in pollen stress over that of bees reared in plenty",
    source="Scofield & Mattila 2015, PLoS ONE 10:e0121731 (read abstract)",
    kind="observed", used_as_input=False, expected=1.0, tolerance=AT_MOST, unit="1", note="Sign only.",
)  # fmt: skip
def _stressed() -> float:
    # A third of the body quality is what the model gives after ten days of deep shortage.
    return life(1.0, reserve=0.35 * 0.33) / life(1.0, reserve=0.35)


@outside(
    "colony.dearth_lengthens_life",
    "Adults over bees emerging a day in a thin flow (0.35) over the same in a good one",
    source="Winston 1980, J. Kansas Entomol. Soc. 53(1): in dearth worker life is slightly up (read abstract)",
    kind="observed", used_as_input=False, expected=1.0, tolerance=AT_LEAST, unit="1", note="Sign only.",
)  # fmt: skip
def _dearth_life() -> float:
    return life_at_rest(0.35) / life_at_rest(1.0)


@cache
def forager_loss() -> float:
    """Share of foragers lost on a full flying day in a flow, measured in a colony of foragers only."""
    hive = colony(0.0, 0.0, queen=-9999.0)
    hive.state[0, lay.FORAGER] = 10_000.0
    return float(go(hive, sky(1)).total("adult_deaths")[0] / 10_000.0)


@cache
def loss_before_foraging() -> float:
    """Share of emerging bees that die before they forage, first flights included, in a colony at rest.

    At rest every bee that emerges dies; those that did not die as foragers died before.
    """
    hive, _ = rested(1.0)
    foragers = float(hive.state[0, lay.FORAGER])
    run = go(hive, sky(1))
    return float(1.0 - foragers * forager_loss() / run.total("emerged")[0])


from_book("adults.preforaging_loss_pct", lambda: 100.0 * loss_before_foraging(), used_as_input=True,
          key="colony.loss_before_foraging")  # fmt: skip
outside(
    "colony.forager_loss_a_day", "Foragers lost on a full flying day",
    source="Dukas & Visscher 1994, Anim. Behav. 48:639; Visscher & Dukas 1997 (from memory): 0.13-0.154 a day",
    kind="observed", used_as_input=True, expected=(12.2, 14.3), tolerance=1.0, unit="%",
)(lambda: 100.0 * forager_loss())  # fmt: skip
from_book(
    "adults.forager_loss_per_foraging_day_pct", lambda: 100.0 * forager_loss(), used_as_input=False,
    key="colony.forager_loss_a_foraging_day",
    note="Known to differ: radio tags count days actually foraged, ours every flying day of every forager.",
)  # fmt: skip

# --- winter


@cache
def cold_winter(pollen_factor: float = 1.0) -> tuple[float, float]:
    """Bees of 15 March over bees of 15 November in the cold place, and bees of 15 March over bees emerging a day."""
    year = plain_year(COLD)
    before = float(year.series("adults")[318])
    hive = year.end.copy()
    hive.state[0, lay.BREAD] *= pollen_factor
    run = go(hive, skies(COLD, 90, start=1, seed=12))
    return float(run.series("adults")[0, 73]) / before, float(run.total("emerged")[0])


from_book("adults.winter_decline_share", lambda: cold_winter()[0], used_as_input=True, expected=(0.48, 0.68),
          tolerance=0.0, key="colony.winter_share_left",
          note="The death rate of winter bees was set with this in view.")  # fmt: skip


@outside(
    "colony.winter_size_flat",
    "Spread over sizes 4,400 to 34,000 of the share alive after 100 broodless winter days",
    source="Free & Racey 1968; Harbo 1983, Environ. Entomol. 12: survival does not depend on size (read abstracts)",
    kind="observed", used_as_input=False, expected=0.05, tolerance=AT_MOST, unit="1",
)  # fmt: skip
def _flat() -> float:
    sizes = np.array([4_400.0, 8_900.0, 17_000.0, 34_000.0])
    left = _broodless(sizes, 100).adults() / sizes
    return float(np.ptp(left))


def _broodless(sizes: Floats, days: int) -> Ensemble:
    hive = colony(sizes, 0.0, pollen_g=500.0, params=plain_params(sizes.size), queen=-9999.0, flight=0.0, warmth_c=8.0)
    go(hive, sky(days, flight_h=0.0, high_c=10.0, low_c=3.0, daylength_h=10.0))
    return hive


@cache
def honey_per_bee(bees: float, cells_per_bee: float = 0.0) -> float:
    """Honey used per bee and winter day [mg] over 24 days, brood kept at its number."""
    hive = colony(bees, cells_per_bee * bees / 18.7, honey_g=50_000.0, queen=-9999.0, flight=0.0)
    nest = hive.state[0, lay.EGG : lay.HOUSE].copy()
    used = bee_days = 0.0
    for _ in range(24):
        adults = float(hive.adults()[0])
        hive.state[0, lay.EGG : lay.HOUSE] = nest
        hive.state[0, lay.EGG : lay.QUALITY] *= adults / bees
        used += float(go(hive, sky(1, flight_h=0.0, high_c=14.0, low_c=5.0)).total("honey_used_g")[0])
        bee_days += adults
    return 1000.0 * used / bee_days


for name, bees in (("small", 4_400.0), ("middle", 8_900.0), ("large", 34_000.0)):
    from_book(f"stores.broodless_mg_{name}", partial(honey_per_bee, bees), used_as_input=True,
              key=f"colony.honey_broodless_{name}")  # fmt: skip
from_book("stores.brood_mg_crowded", partial(honey_per_bee, 10_000.0, 0.34), used_as_input=False,
          key="colony.honey_with_some_brood")  # fmt: skip
from_book(
    "stores.brood_mg_roomy", partial(honey_per_bee, 10_000.0, 0.72), used_as_input=False,
    key="colony.honey_with_more_brood",
    note="Known to differ by a little: warming the nest, which brood and room both ask for, is not in the model.",
)  # fmt: skip


@outside(
    "colony.honey_falls_with_size",
    "Honey per bee at 34,000 bees over that at 8,900: falls with size, mainly below 18,000",
    source="Free & Racey 1968, Ent. Exp. Appl. 11 (read abstract)",
    kind="observed", used_as_input=False, expected=1.0, tolerance=AT_MOST, unit="1", note="Sign only.",
)  # fmt: skip
def _honey_size() -> float:
    return honey_per_bee(34_000.0) / honey_per_bee(8_900.0)
