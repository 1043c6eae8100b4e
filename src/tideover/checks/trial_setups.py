"""Published feeding trials as set-ups the colony model can run: place, season, bees, schedule, what was measured.

Papers were mostly seen as abstracts, so much of a set-up is **taken**: what a trial took and did not tell is written
in ``taken`` and shown beside the result. Pollen on offer through the year is the invented driver of ``colony_years``.
What each trial saw stands in the figures book under the set-up's ``key``.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Final, Literal

from tideover.checks.colony_years import COLD, DRY, HUMID, Climate
from tideover.figures.units import POUND_G

Measure = Literal["adults", "brood", "capped", "reared", "life", "honey", "eaten"]
"""Adults, brood (all) or capped brood on the last day; workers reared, most honey gained over the start, and
mean life over the trial (bee-days per death); patty eaten a day, mean over the trial."""


@dataclass(frozen=True)
class Treatment:
    """What one group of colonies met.

    ``patties``: day of the trial (0-based) to grams laid on, what is left staying on; ``pollen``: share of pollen in
    them; ``protein``: crude protein share; ``on_offer``: day of the trial to the factor on pollen on offer from then
    on; ``stored_g``: stored pollen at the start [g], None as settled; ``bees``: adults made equal to at the start, None
    those of the trial.
    """

    patties: dict[int, float] = field(default_factory=dict)
    pollen: float = 0.0
    protein: float = 0.15
    on_offer: dict[int, float] = field(default_factory=dict)
    stored_g: float | None = None
    bees: float | None = None


@dataclass(frozen=True)
class Trial:
    """One comparison of one trial.

    ``key`` is the row that holds what was seen; ``start`` the day of the year (1-based) on which it begins;
    ``days`` its length; ``bees`` the adults colonies are made equal to at the start; ``colonies`` those in a group;
    ``control`` None where only an amount was measured.
    """

    key: str
    climate: Climate
    start: int
    days: int
    bees: float
    colonies: int
    measure: Measure
    treated: Treatment
    control: Treatment | None
    taken: str


def every(days: int, last: int, grams: float = POUND_G, first: int = 0) -> dict[int, float]:
    """``grams`` each ``days`` days from ``first`` to before ``last``."""
    return dict.fromkeys(range(first, last, days), grams)


_PLAIN: Final = Treatment()
_N: Final = "ten colonies a group"

# Spring in Ontario: limited colonies start with little stored pollen; a bad spring brings a seventh of the usual pollen
# to the end of May.
_BAD: Final = {0: 0.15, 75: 1.0}
_LIMITED: Final = Treatment(stored_g=100.0)
_LIMITED_BAD: Final = Treatment(stored_g=100.0, on_offer=_BAD)
_SPRING: Final = every(7, 56)
_SPRING_TAKEN: Final = f"cold place, from 16 March, 8,000 bees, {_N}, 100 g stored, a pound a week for eight weeks"

# Autumn in Ontario.
_AUTUMN_TAKEN: Final = "cold place, from 7 September, 22,000 bees, 1 kg stored"
_FOUR: Final = every(7, 28)
_KILO: Final = Treatment(stored_g=1_000.0)
_LONGER: Final = Treatment(stored_g=1_000.0, patties=every(7, 49), pollen=1.0, protein=0.2)

# A poor spring in Alberta.
_POOR: Final = Treatment(stored_g=150.0, on_offer={0: 0.3})
_POOR_FED: Final = replace(_POOR, patties=every(7, 42))
_POOR_TAKEN: Final = f"cold place, from 1 April, 9,000 bees, {_N}, 150 g stored, pollen 0.3 of usual, a pound a week"

# Autumn in a plantation in Uruguay: much pollen of one kind, which the model knows only as less pollen.
_STRESS: Final = Treatment(on_offer={0: 0.4, 90: 1.0})
_STRESS_FED: Final = replace(_STRESS, patties=every(10, 90), pollen=1.0, protein=0.2)
_STRESS_TAKEN: Final = (
    f"hot and humid place from 22 August, its autumn for that of Uruguay, 15,000 bees, {_N}, pollen 0.4 of usual for "
    "90 days, a pound of pollen patty every ten days"
)

# Summer dearth in Gwalior: colonies of five combs, small patties.
_DEARTH: Final = Treatment(on_offer={0: 0.4}, stored_g=100.0)
_DEARTH_FED: Final = replace(_DEARTH, patties=every(7, 56, 100.0))
_DEARTH_TAKEN: Final = f"hot and humid place from 10 June, 8,000 bees, {_N}, pollen 0.4 of usual, 100 g a week"

_NONE: Final = {0: 1e-6}
_NUCLEI: Final = "no pollen in comb or field, two weeks, three nuclei a group"


def _more(grams_each: float, days: int, protein: float, pollen: float) -> Treatment:
    """More than enough patty and nothing else."""
    return Treatment(every(3, days, grams_each), pollen, protein, _NONE, 0.0)


PRIOR: Final = (
    Trial("trials.prior.ontario_spring_early", COLD, 75, 50, 8_000.0, 10, "reared",
          replace(_LIMITED, patties=_SPRING, pollen=0.5), _LIMITED, _SPRING_TAKEN),
    Trial("trials.prior.ontario_good_spring", COLD, 75, 122, 8_000.0, 10, "reared",
          replace(_LIMITED, patties=_SPRING, pollen=0.5), _LIMITED, _SPRING_TAKEN),
    Trial("trials.prior.ontario_bad_spring_honey", COLD, 75, 169, 8_000.0, 10, "honey",
          replace(_LIMITED_BAD, patties=_SPRING, pollen=0.5), _LIMITED_BAD,
          f"{_SPRING_TAKEN}, pollen 0.15 of usual to the end of May"),
    Trial("trials.prior.quebec_brood", COLD, 152, 60, 20_000.0, 10, "brood",
          Treatment(every(7, 60), on_offer={0: 0.5}), _PLAIN,
          f"cold place in June and July, 20,000 bees, {_N}, half the pollen trapped away, a pound a week"),
    Trial("trials.prior.quebec_life", COLD, 152, 60, 20_000.0, 10, "life",
          Treatment(every(7, 60), on_offer={0: 0.5}), Treatment(on_offer={0: 0.5}),
          f"as above, {_N}, both groups with half the pollen"),
    Trial("trials.prior.winter_forage_growth", DRY, 305, 110, 12_000.0, 10, "adults",
          Treatment(every(7, 110), on_offer={0: 0.2}), Treatment(on_offer={0: 1.5}),
          f"dry place, November to February, 12,000 bees, {_N}; fed: pollen 0.2 of usual and a pound a week; on "
          "forage: 1.5 of usual"),
    Trial("trials.prior.intake_pollen", HUMID, 150, 14, 4_320.0, 1, "eaten", _more(454.0, 14, 0.124, 1.0), None,
          "no pollen in comb or field, two weeks"),
    Trial("trials.prior.intake_substitute", HUMID, 150, 14, 4_000.0, 1, "eaten", _more(454.0, 14, 0.2, 0.0), None,
          "no pollen in comb or field, two weeks, 20 % protein"),
)  # fmt: skip
"""Set-ups of trials that informed the priors."""

HELD_OUT: Final = (
    Trial("trials.held.ontario_autumn_fed", COLD, 250, 206, 22_000.0, 5, "adults",
          replace(_KILO, patties=_FOUR, pollen=1.0, protein=0.2), _KILO,
          f"{_AUTUMN_TAKEN}, four pounds, counted on 1 April"),
    Trial("trials.held.ontario_autumn_trapped", COLD, 250, 206, 22_000.0, 5, "adults",
          replace(_KILO, on_offer={0: 0.5, 49: 1.0}), _KILO,
          f"{_AUTUMN_TAKEN}, half the pollen trapped for seven weeks"),
    Trial("trials.held.ontario_autumn_workers", COLD, 250, 80, 22_000.0, 5, "reared", _LONGER, _KILO,
          f"{_AUTUMN_TAKEN}, five colonies a group, a pound of pollen patty weekly for seven weeks"),
    Trial("trials.held.ontario_autumn_winter_bees", COLD, 250, 115, 22_000.0, 5, "adults", _LONGER, _KILO,
          f"{_AUTUMN_TAKEN}, five colonies a group, the same patties, counted at the year's end"),
    Trial("trials.held.ontario_before_winter", COLD, 250, 358, 22_000.0, 10, "honey",
          replace(_KILO, patties=_FOUR, pollen=1.0, protein=0.2), _KILO,
          f"{_AUTUMN_TAKEN}, {_N}, four pounds, honey to the end of August next year"),
    Trial("trials.held.alberta_brood", COLD, 91, 35, 9_000.0, 10, "brood", _POOR_FED, _POOR, _POOR_TAKEN),
    Trial("trials.held.alberta_bees", COLD, 91, 56, 9_000.0, 10, "adults", _POOR_FED, _POOR, _POOR_TAKEN),
    Trial("trials.held.illinois_bees", COLD, 75, 60, 9_000.0, 10, "adults",
          replace(_LIMITED, patties=_SPRING), _LIMITED, f"cold place from 16 March, 9,000 bees, {_N}, 100 g stored"),
    Trial("trials.held.uruguay_brood", HUMID, 234, 85, 15_000.0, 10, "brood", _STRESS_FED, _STRESS, _STRESS_TAKEN),
    Trial("trials.held.uruguay_bees", HUMID, 234, 85, 15_000.0, 10, "adults", _STRESS_FED, _STRESS, _STRESS_TAKEN),
    Trial("trials.held.uruguay_spring", HUMID, 234, 195, 15_000.0, 10, "adults", _STRESS_FED, _STRESS,
          f"{_STRESS_TAKEN}; counted in early March"),
    Trial("trials.held.uruguay_winter_brood", HUMID, 234, 145, 15_000.0, 10, "brood",
          replace(_STRESS, patties=every(10, 145, first=90), pollen=1.0, protein=0.2), _STRESS,
          "the same place and autumn, fed from the ninetieth day"),
    Trial("trials.held.warm_winter_brood", HUMID, 335, 60, 10_000.0, 10, "brood",
          Treatment(every(10, 60), pollen=1.0, protein=0.2), _PLAIN,
          f"hot and humid place in December and January, 10,000 bees, {_N}, a pound of pollen patty every ten days"),
    Trial("trials.held.florida_strength", HUMID, 250, 90, 15_000.0, 10, "adults",
          Treatment(every(14, 56), pollen=1.0, protein=0.2), _PLAIN,
          f"hot and humid place in autumn, 15,000 bees, {_N}, a pound of pollen patty every other week, four in all"),
    Trial("trials.held.gwalior_brood", HUMID, 161, 56, 8_000.0, 10, "capped", _DEARTH_FED, _DEARTH, _DEARTH_TAKEN),
    Trial("trials.held.gwalior_bees", HUMID, 161, 56, 8_000.0, 10, "adults", _DEARTH_FED, _DEARTH, _DEARTH_TAKEN),
    Trial("trials.held.israel_large_patty", DRY, 213, 42, 15_000.0, 10, "brood",
          Treatment(every(10, 42), pollen=0.5, protein=0.15, stored_g=100.0), Treatment(stored_g=100.0),
          f"dry place in August, 15,000 bees, {_N}, 100 g stored, a pound of patty half of pollen every ten days; the "
          "sugar of the other patty is left out, honey being plenty"),
    Trial("trials.held.china_protein", COLD, 91, 48, 10_000.0, 5, "reared",
          Treatment(every(7, 48), protein=0.25, on_offer={0: 0.3}, stored_g=200.0),
          Treatment(every(7, 48), protein=0.34, on_offer={0: 0.3}, stored_g=200.0),
          "cold place from 1 April, 10,000 bees, pollen 0.3 of usual, a pound a week; 25 % against 34 %, since the "
          "model knows of no harm from too much protein"),
    Trial("trials.held.china_workers", COLD, 91, 48, 10_000.0, 5, "reared",
          Treatment(every(7, 48), protein=0.3, on_offer={0: 0.3}, stored_g=200.0), None,
          "the same with 30 % protein"),
    Trial("trials.held.twelve_comb_intake", HUMID, 150, 14, 16_000.0, 1, "eaten", _more(908.0, 14, 0.2, 1.0), None,
          "no pollen in comb or field, two weeks, 16,000 bees"),
    Trial("trials.held.morena_intake", HUMID, 290, 49, 8_000.0, 3, "eaten",
          Treatment(every(7, 49, 200.0), on_offer={0: 0.3}), None,
          "hot and humid place from mid October, 8,000 bees, pollen 0.3 of usual, 200 g a week"),
    Trial("trials.held.intake_at_23", HUMID, 150, 14, 4_000.0, 3, "eaten", _more(454.0, 14, 0.23, 0.0), None,
          f"{_NUCLEI}, 4,000 bees for 500 g"),
    Trial("trials.held.intake_5_over_23", HUMID, 150, 14, 4_000.0, 3, "eaten", _more(454.0, 14, 0.05, 0.0),
          _more(454.0, 14, 0.23, 0.0), f"{_NUCLEI}, 4,000 bees for 500 g"),
    Trial("trials.held.intake_50_over_23", HUMID, 150, 14, 4_000.0, 3, "eaten", _more(454.0, 14, 0.5, 0.0),
          _more(454.0, 14, 0.23, 0.0), f"{_NUCLEI}, 4,000 bees for 500 g"),
    Trial("trials.held.intake_200_over_600", HUMID, 150, 14, 4_800.0, 3, "eaten",
          replace(_more(454.0, 14, 0.23, 0.0), bees=1_600.0), _more(454.0, 14, 0.23, 0.0),
          f"{_NUCLEI}, 1,600 bees for 200 g and 4,800 for 600 g"),
)  # fmt: skip
"""Set-ups of trials that were held out."""

TRIALS: Final = (*PRIOR, *HELD_OUT)
