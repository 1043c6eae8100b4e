"""Checks of feeding: how much patty is eaten, and what feeding did in published trials.

Fed and unfed colonies meet the same luck; what feed is worth, how much it harms and how it is eaten are drawn from
their priors, and the middle of the answers is taken.
"""

from __future__ import annotations

from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.base import AT_LEAST, AT_MOST, Expected, Measure, add, from_book, outside
from tideover.checks.colony_bench import NO_POLLEN, colony, go, patty, plain_params, sky
from tideover.checks.colony_years import COLD, DRY, HUMID, Climate, patties, year
from tideover.figures import book
from tideover.figures.units import POUND_G

Floats = NDArray[np.float64]
MEMBERS: Final = 60
_MATTILA_2006: Final = "Mattila & Otis 2006, J. Econ. Entomol. 99:604-613 (read abstract)"
_INFORMED: Final = "That feed was as good as pollen there informed the prior of its worth; this result did not."

# --- how much is eaten


def eaten_a_day(bees: float, protein: float, pollen: float, days: int = 14) -> float:
    """Patty eaten a day [g] with no pollen in comb or field, mean of ``days`` with more than enough on the hive."""
    hive = colony(bees, 0.045 * bees, pollen_g=0.0)
    on = list(range(0, days, 3))
    run = go(hive, sky(days, index=NO_POLLEN), patty(days, on, 2.0 * POUND_G, protein=protein, pollen=pollen))
    return float(run.series("patty_eaten_g").mean())


from_book(
    "feeding.intake_pollen_mg_per_bee", lambda: 1000.0 * eaten_a_day(4_320.0, 0.124, 1.0) / 4_320.0, used_as_input=True,
    expected=(4.2, 6.8), tolerance=0.0, key="fed.eaten_pollen_cake",
    note="The taste for pollen in a patty was set with these ranges in view.",
)  # fmt: skip


@outside(
    "fed.eaten_substitute",
    "Substitute patty eaten per bee and day as the only protein, 4,000 bees",
    source="Herbert 1980; Herbert et al. 1988, in Brodschneider & Crailsheim 2010, Table I: 0.1-2.2 mg (read)",
    kind="observed", used_as_input=True, expected=(0.1, 2.2), tolerance=0.0, unit="mg/bee/d",
    note="The same appetite also serves full hives in the field.",
)  # fmt: skip
def _substitute() -> float:
    return 1000.0 * eaten_a_day(4_000.0, 0.15, 0.0) / 4_000.0


@outside(
    "fed.eaten_medium_colony",
    "Patty a medium colony of 18,000 bees eats a day in a dearth",
    source="extension and trade practice: a pound in 7-14 days",
    kind="observed", used_as_input=True, practice=True, expected=(32.0, 65.0), tolerance=0.0, unit="g/d",
)  # fmt: skip
def _medium() -> float:
    return eaten_a_day(18_000.0, 0.15, 0.0)


@outside(
    "fed.ignored_in_flow",
    "Patty eaten in a good flow over patty eaten in a dearth",
    source="common practice; Hoover et al. 2022, J. Econ. Entomol. 115:417-429: intake falls with natural pollen",
    kind="observed", used_as_input=True, practice=True, expected=0.7, tolerance=AT_MOST, unit="1",
)  # fmt: skip
def _ignored() -> float:
    flow = colony(18_000.0, 800.0, pollen_g=800.0)
    run = go(flow, sky(14), patty(14, [0, 3, 6, 9, 12], 2.0 * POUND_G))
    return float(run.series("patty_eaten_g").mean()) / eaten_a_day(18_000.0, 0.15, 0.0)


# --- what feeding did


@cache
def feed_params() -> Floats:
    """Middle colonies that differ in what feed is worth, harms and how it is eaten."""
    rng = np.random.default_rng(20)
    names = ("feed_value", "feed_harm", "patty_intake_mg")
    return plain_params(MEMBERS, **{n: book().row(f"colony.{n}").prior().sample(rng, MEMBERS) for n in names})


def gain(
    climate: Climate,
    on: dict[int, float],
    day: int,
    what: tuple[str, ...] = ("adults",),
    *,
    change: dict[int, float] | None = None,
    store: tuple[int, float] | None = None,
    pollen: float = 0.0,
    protein: float = 0.15,
) -> float:
    """Relative gain of fed over unfed colonies on ``day`` (0-based) in the sum of the series, middle member."""
    params = feed_params()
    fed = year(climate, patties(on, pollen=pollen, protein=protein), change=change, store=store, params=params)
    not_fed = year(climate, change=change, store=store, params=params)
    totals = [sum(one.run.series(n)[:, day].astype(np.float64) for n in what) for one in (fed, not_fed)]
    return float(np.median(totals[0] / totals[1] - 1.0))


def _trial(
    key: str,
    says: str,
    measure: Measure,
    *,
    source: str,
    expected: Expected,
    tolerance: float | str,
    note: str = "",
    practice: bool = False,
) -> None:
    add(
        key, says, measure, source=source, kind="observed", used_as_input=False, practice=practice, expected=expected,
        tolerance=tolerance, unit="1", note=note,
    )  # fmt: skip


_SPRING: Final = dict.fromkeys(range(60, 131, 14), POUND_G)
"""A pound every other week from early March to early May."""
_BAD_SPRING: Final = {85: 0.12, 150: 1.0}
_SPENT: Final = (80, 100.0)
"""Pollen-limited: 100 g left in late March."""
_SEP_OCT: Final = dict.fromkeys((250, 257, 264, 271), POUND_G)
_BROOD: Final = ("eggs", "open", "capped")

from_book(
    "feeding.trial_good_spring_difference", lambda: gain(COLD, _SPRING, 180), used_as_input=False,
    tolerance=0.1, key="fed.good_spring", note=_INFORMED,
)  # fmt: skip
_trial(
    "fed.bad_spring_mid_may",
    "Gain of bees by mid-May from spring feed where spring brings little pollen and the store is spent",
    lambda: gain(COLD, _SPRING, 135, change=_BAD_SPRING, store=_SPENT),
    source=f"{_MATTILA_2006}: fed colonies reared sooner, most workers by late April to early May",
    expected=0.0,
    tolerance=AT_LEAST,
    note="Sign only.",
)
_trial(
    "fed.bad_spring",
    "The same gain by mid-June",
    lambda: gain(COLD, _SPRING, 166, change=_BAD_SPRING, store=_SPENT),
    source=f"{_MATTILA_2006}; Hoover, Ovinge & Kearns 2022, J. Econ. Entomol. 115:417-429: unfed had fewer (read "
    "abstract)",
    expected=0.0,
    tolerance=AT_LEAST,
    note=f"Sign only. {_INFORMED}",
)
_trial(
    "fed.bad_spring_brood",
    "Gain of brood in early May from the same feed",
    lambda: gain(COLD, _SPRING, 122, _BROOD, change=_BAD_SPRING, store=_SPENT),
    source="Hoover, Ovinge & Kearns 2022, J. Econ. Entomol. 115:417-429: less brood unfed (read abstract)",
    expected=0.0,
    tolerance=AT_LEAST,
    note="Sign only.",
)
_trial(
    "fed.autumn_ontario",
    "Difference in winter bees after four weekly patties in September and October",
    lambda: gain(COLD, _SEP_OCT, 364),
    source="autumn patties in Ontario: neither number nor life of winter bees changed (read second-hand)",
    expected=0.0,
    tolerance=0.1,
    note="A tenth is our reading of 'no change'.",
)
_trial(
    "fed.autumn_florida",
    "Difference in bees in December after four autumn patties in the hot and humid place",
    lambda: gain(HUMID, _SEP_OCT, 349),
    source="Mortensen et al. 2019, J. Econ. Entomol. 112:60-66: no clear gain in strength (from memory)",
    expected=0.0,
    tolerance=0.1,
    note="A tenth is our reading of 'no clear gain'.",
)
_trial(
    "fed.autumn_stress",
    "Gain of bees by November from pollen feed in a hard late summer and autumn, dry place",
    lambda: gain(
        DRY, dict.fromkeys(range(205, 290, 10), POUND_G), 310, pollen=1.0, protein=0.2, change={190: 0.5, 310: 1.0}
    ),
    source="Branchiccela et al. 2019, Sci. Rep. 9 (Uruguay): more adults and brood when fed pollen in stress (read "
    "abstract)",
    expected=0.0,
    tolerance=AT_LEAST,
    note="Sign only.",
)
_trial(
    "fed.warm_winter_brood",
    "Gain of brood from pollen feed in a warm winter with little pollen",
    lambda: gain(HUMID, {0: POUND_G, 10: POUND_G, 20: POUND_G}, 35, _BROOD, pollen=1.0, protein=0.2),
    source="Ricigliano et al. 2018, Sci. Rep. 8:10475: pollen feeding raised brood (read)",
    expected=0.0,
    tolerance=AT_LEAST,
    note="Sign only.",
)
_trial(
    "fed.late_in_flow",
    "Difference in bees four weeks after patties laid on in the main flow",
    lambda: gain(COLD, {150: POUND_G, 164: POUND_G}, 192),
    source="common practice: feed laid on when pollen is plentiful does nothing",
    expected=0.0,
    tolerance=0.05,
    practice=True,
)


def fed_death_rate() -> float:
    """Deaths per bee and day of fed over unfed pollen-limited colonies, days 15 to 60, middle member."""
    rates = []
    for feeding in (patty(60, [0, 14, 28, 42], POUND_G), None):
        hive = colony(20_000.0, 700.0, pollen_g=50.0, params=feed_params().copy())
        weather = sky(60, index=0.12)
        go(hive, weather.slice(0, 15), feeding.slice(0, 15) if feeding else None)
        run = go(hive, weather.slice(15, 60), feeding.slice(15, 60) if feeding else None)
        rates.append(run.total("adult_deaths") / run.series("adults").sum(axis=1))
    return float(np.median(rates[0] / rates[1]))


add(
    "fed.short_life",
    "Deaths per bee and day of fed over unfed pollen-limited colonies",
    fed_death_rate,
    source="Lamontagne-Drolet et al. 2019, J. Apic. Res. 58: brood as in controls, adult life shorter (read abstract)",
    kind="observed",
    used_as_input=True,
    expected=1.0,
    tolerance=AT_LEAST,
    unit="1",
    note="Sign only; this trial informed the prior of harm.",
)
