"""The twenty-six stories of the season: what is really wrong with each hive, as a table.

A story is told in three columns. ``happens`` is what befalls the colony or is done
to it, whether or not anybody writes it down. ``patties`` is what is laid on.
``says`` is what the keepers wrote at one visit over and above the ordinary, where
the story needs it said. The rest of every look is drawn from the colony itself.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Final


def d(month: int, day: int) -> date:
    """Return that day of the season."""
    return date(2025, month, day)


@dataclass(frozen=True)
class Happening:
    """Something that befalls a colony on ``day``.

    ``what`` is a rule in ``season``, ``size`` its size in the rule's own unit. ``wrote`` is
    the word of the events sheet if a keeper wrote it down, else empty: the world knows,
    the books do not. ``fields`` are the columns written with it.
    """

    day: date
    what: str
    size: float = 0.0
    wrote: str = ""
    fields: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Laid:
    """A patty laid on: pounds, where, taken off when (never if None), how it dries.

    ``hauled`` is what the bees carry out as rubbish [g/day]; ``larvae`` says that beetle
    larvae were in it when it came off.
    """

    day: date
    lb: float
    place: str = "top bars over brood"
    off: date | None = None
    dries: float = 1.0
    touches: bool = True
    hauled: float = 0.0
    paper: str = "yes"
    larvae: bool = False


@dataclass(frozen=True)
class Story:
    """One hive: how it starts, what is really going on, and the call it was written for.

    ``laying`` is the most the queen lays in a day, ``keeps`` the pace of dying against the
    usual, ``hoards`` how much pollen its bees like to store, ``water`` whether they have any
    near, ``last_visit`` the day after which nobody opened it.
    """

    hive: str
    really: str
    shows: str
    boxes: str = "deep x10 + medium x10"
    adults: float = 11000.0
    laying: float = 1650.0
    honey_kg: float = 14.0
    mites: float = 0.0035
    keeps: float = 1.0
    water: bool = True
    hoards: float = 1.0
    happens: tuple[Happening, ...] = ()
    patties: tuple[Laid, ...] = ()
    says: Mapping[date, Mapping[str, str]] = field(default_factory=dict)
    last_visit: date | None = None
    note: str = ""


def fortnightly(lb: float, *, place: str = "top bars over brood") -> tuple[Laid, ...]:
    """Return a patty every other week from 5 July, the last on for the first week of August."""
    return (Laid(d(7, 5), lb, place), Laid(d(7, 19), lb, place), Laid(d(8, 2), lb, place, off=d(8, 9)))


H = Happening

QUARRY: Final = (
    Story(
        "quarry-01",
        "strong colony, a good queen, nothing coming in: plainly hungry",
        "lay on, much",
        boxes="deep x10",
        adults=14000,
        laying=1850,
        honey_kg=24,
        happens=(
            H(d(4, 12), "split", 0.35, "split", {"share": "35", "other": "mill-race-05"}),
            H(d(5, 24), "nothing", 0, "box added", {"box": "deep x10"}),
        ),
        patties=fortnightly(1.0),
        says={d(8, 9): {"brood_signs": "no"}},
        note="the strongest of the pit",
    ),
    Story(
        "quarry-02",
        "brood disease since early July: sunken caps, ropy larvae; looks hungry as well, and was fed for it",
        "see to the cause first; suspected brood disease",
        adults=11500,
        laying=1700,
        happens=(H(d(7, 1), "diseased", 0.10),),
        patties=fortnightly(1.0),
        says={
            d(7, 5): {"brood_signs": "not looked"},
            d(7, 26): {"brood_signs": "not looked"},
            d(8, 9): {"brood_signs": "yes", "jelly": "dry"},
        },
    ),
    Story(
        "quarry-03",
        "small colony, a late nucleus united to it in June; hungry but can eat little",
        "lay on, a quarter",
        boxes="deep x10 + medium x10",
        adults=5500,
        laying=820,
        honey_kg=9,
        happens=(
            H(d(6, 7), "join", 0.2, "unite", {"share": "20", "other": "a nucleus, not in the books"}),
            H(d(6, 7), "nothing", 0, "box removed", {"box": "medium x10"}),
        ),
        patties=(Laid(d(7, 5), 0.5), Laid(d(7, 19), 0.25), Laid(d(8, 2), 0.25, off=d(8, 9))),
        says={d(8, 9): {"brood_signs": "no", "eggs": "yes"}},
    ),
    Story(
        "quarry-04",
        "a patty forgotten: laid on 3 August at the edge, most of it still there",
        "take off",
        adults=9500,
        laying=1450,
        patties=(Laid(d(7, 5), 0.5, off=d(7, 19)), Laid(d(8, 3), 1.0, "edge of cluster", touches=False)),
        says={d(8, 9): {"beetles": "many", "patty_touch": "no"}},
    ),
    Story(
        "quarry-05",
        "a patty gone hard: paper off, hot air over it, cluster drawn away",
        "take off; a hard piece says nothing of hunger",
        adults=10000,
        laying=1400,
        happens=(H(d(4, 26), "young queen", 1600, "requeen", {}),),
        patties=(
            Laid(d(7, 5), 1.0),
            Laid(d(7, 28), 1.0, "between boxes", dries=2.6, touches=False, paper="no"),
        ),
        says={d(8, 9): {"patty_texture": "hard", "patty_touch": "no", "patty_debris": "some", "beetles": "few"}},
    ),
    Story(
        "quarry-06",
        "beetle larvae in the patty, for the second time; colony too small to guard it",
        "take off today; beetle larvae",
        boxes="deep x10",
        adults=6000,
        laying=900,
        honey_kg=10,
        patties=(
            Laid(d(7, 5), 0.5, "edge of cluster", off=d(7, 19), touches=False, larvae=True),
            Laid(d(8, 2), 1.0),
        ),
        says={
            d(7, 19): {"beetle_larvae": "yes", "beetles": "few"},
            d(8, 9): {"beetle_larvae": "yes", "beetles": "many", "patty_texture": "firm"},
        },
    ),
    Story(
        "quarry-07",
        "swarmed unseen in late May, the young queen never came back: laying workers now",
        "see to the cause first; laying workers",
        adults=12500,
        laying=1700,
        happens=(H(d(5, 22), "swarm", 0.55), H(d(6, 12), "queen gone"), H(d(6, 25), "laying workers")),
        patties=(Laid(d(7, 19), 0.5), Laid(d(8, 2), 0.5, off=d(8, 9))),
        says={
            d(7, 26): {"queen_seen": "no", "eggs": "yes", "many_eggs": "not looked"},
            d(8, 9): {
                "queen_seen": "no",
                "eggs": "yes",
                "many_eggs": "yes",
                "drone_in_worker": "yes",
                "queen_cells": "no",
            },
        },
    ),
    Story(
        "quarry-08",
        "mites have run away since spring; hungry as well, but mites are what kills it",
        "treat, a call of its own; mite count high, deformed wings",
        adults=11500,
        laying=1650,
        mites=0.027,
        patties=fortnightly(0.5),
        says={d(8, 9): {"deformed_wings": "yes", "brood_signs": "no", "eggs": "yes"}},
    ),
    Story(
        "quarry-09",
        "far ledge, away from the tub: its field bees carry water and the queen has stopped in the heat",
        "give water; brood pause in heat",
        adults=11000,
        laying=1500,
        honey_kg=22,
        water=False,
        hoards=1.6,
        patties=(Laid(d(7, 12), 0.5, "edge of cluster", off=d(7, 26), dries=2.4, touches=False, paper="no"),),
        says={d(8, 9): {"queen_seen": "yes", "eggs": "no", "brood_signs": "no"}},
        note="on the far ledge",
    ),
    Story(
        "quarry-10",
        "strong and hungry; on 9 August the look of a small hive was typed in here by mistake",
        "lay on, a pound; one absurd look is flagged and both answers shown",
        boxes="deep x10 + deep x10",
        adults=13500,
        laying=1800,
        honey_kg=22,
        patties=fortnightly(1.0),
        says={
            d(8, 9): {
                "seams": "2+0",
                "heft": "light",
                "brood_combs": "1",
                "capped_quarters": "0.5",
                "open_quarters": "1",
                "honey_combs": "1.5",
                "hive_weight_lb": "",
                "brood_signs": "no",
            }
        },
    ),
)

MILL_RACE: Final = (
    Story(
        "mill-race-01",
        "plenty of pollen all summer: nothing to do",
        "leave",
        boxes="deep x10 + deep x10",
        adults=12500,
        laying=1700,
        honey_kg=20,
        says={d(8, 10): {"pollen_coming": "plenty", "nest_pollen": "broad band", "jelly": "floating"}},
    ),
    Story(
        "mill-race-02",
        "plenty of pollen; a box of honey on it for harvest",
        "leave; honey boxes on",
        boxes="deep x10 + deep x10",
        adults=13500,
        laying=1800,
        honey_kg=22,
        happens=(
            H(d(5, 4), "nothing", 0, "honey boxes on", {"box": "medium x10"}),
            H(d(6, 22), "harvest", 12, "harvest", {"honey_lb": "26"}),
        ),
    ),
    Story(
        "mill-race-03",
        "nobody has looked for five weeks, and then not at pollen or jelly; it is in fact middling",
        "look again, at pollen and jelly",
        adults=11000,
        laying=1500,
        last_visit=d(7, 12),
        says={
            d(7, 12): {
                "outer_pollen": "",
                "outer_half_sides": "",
                "nest_pollen": "",
                "jelly": "",
                "jelly_floating": "",
                "jelly_damp": "",
                "jelly_dry": "",
                "pollen_coming": "",
            }
        },
    ),
    Story(
        "mill-race-04",
        "field bees poisoned on 11 August, probably by spray on the fodder; a third of the adults gone",
        "see to the cause first; report",
        boxes="deep x10 + deep x10",
        adults=12500,
        laying=1700,
        honey_kg=20,
        happens=(H(d(8, 11), "poisoned", 0.34), H(d(8, 12), "nothing", 0, "dead bees seen", {})),
        says={d(8, 10): {"brood_signs": "no", "eggs": "yes"}},
    ),
    Story(
        "mill-race-05",
        "the April split never grew: a failing queen and far less than a box of bees",
        "unite",
        boxes="deep x8",
        adults=2600,
        laying=480,
        honey_kg=6,
        happens=(
            H(d(3, 29), "syrup", 1.3, "syrup", {"syrup_qt": "2", "sugar_share": "50"}),
            H(d(4, 12), "nothing", 0, "combs given", {"combs": "2", "other": "quarry-01"}),
            H(d(6, 1), "failing", 0.030),
        ),
        says={
            d(7, 27): {"eggs": "yes", "queen_seen": "yes", "queen_cells": "yes"},
            d(8, 10): {
                "eggs": "yes",
                "queen_seen": "yes",
                "drone_in_worker": "no",
                "many_eggs": "no",
                "brood_signs": "no",
            },
        },
    ),
    Story(
        "mill-race-06",
        "weak, and robbed on 8 August through a wide entrance: light now",
        "robbing: close down first, then sugar",
        boxes="deep x8 + medium x8",
        adults=4500,
        laying=640,
        honey_kg=8,
        happens=(H(d(8, 8), "robbed", 7.0), H(d(8, 10), "nothing", 0, "robbing seen", {})),
    ),
    Story(
        "mill-race-07",
        "stands at the dry end and brings in little, though the land gives: no clear need, no plenty",
        "a toss-up between a little and leave",
        adults=10500,
        laying=1500,
        hoards=0.30,
        says={d(8, 10): {"brood_signs": "no"}},
    ),
    Story(
        "mill-race-08",
        "ordinary and well; one entry corrected",
        "leave; a corrected entry",
        adults=10500,
        laying=1550,
        says={d(8, 10): {"brood_signs": "no"}},
    ),
    Story(
        "mill-race-09",
        "made a new queen in June, nobody knew; the late July look reached the books two weeks late",
        "leave; a late entry",
        boxes="deep x10 + medium x10",
        adults=11500,
        laying=1600,
        happens=(H(d(6, 8), "supersedure", 24),),
    ),
)

LONG_FALLOW: Final = (
    Story(
        "long-fallow-01",
        "harvested too hard in June, nothing since: about to starve",
        "give sugar today",
        adults=11500,
        laying=1650,
        honey_kg=12,
        happens=(
            H(d(5, 3), "nothing", 0, "honey boxes on", {"box": "medium x10"}),
            H(d(6, 14), "harvest_to", 9.5, "harvest", {"honey_lb": "44"}),
            H(d(6, 14), "nothing", 0, "honey boxes off", {}),
        ),
        says={d(8, 12): {"heft": "very light", "honey_combs": "0", "brood_signs": "no"}},
    ),
    Story(
        "long-fallow-02",
        "well-led colony on bare land; swarmed in April",
        "move the yard, or lay on",
        adults=12000,
        laying=1700,
        honey_kg=18,
        happens=(H(d(4, 19), "swarm", 0.45, "swarm", {"share": "45"}),),
        patties=(Laid(d(7, 6), 1.0), Laid(d(7, 20), 1.0), Laid(d(8, 3), 0.5)),
        says={d(8, 12): {"brood_signs": "no", "eggs": "yes"}},
    ),
    Story(
        "long-fallow-03",
        "queen lost at the July visit",
        "see to the cause first; no queen",
        adults=11000,
        laying=1600,
        honey_kg=16,
        happens=(H(d(7, 6), "queen gone"),),
        patties=(Laid(d(7, 20), 0.5, hauled=4.0),),
        says={
            d(7, 27): {"eggs": "no", "queen_seen": "no"},
            d(8, 12): {"eggs": "no", "queen_seen": "no", "queen_cells": "no", "many_eggs": "no", "brood_signs": "no"},
        },
    ),
    Story(
        "long-fallow-04",
        "an old queen run dry: it eats every patty and rears nothing from it",
        "see to the cause first; feeding will not help",
        adults=10500,
        laying=1350,
        honey_kg=18,
        happens=(H(d(6, 10), "failing", 0.045),),
        patties=tuple(Laid(day, 0.5) for day in (d(7, 6), d(7, 13), d(7, 20), d(7, 27), d(8, 3))),
        says={d(8, 12): {"queen_seen": "yes", "eggs": "yes", "drone_in_worker": "yes", "many_eggs": "no"}},
    ),
    Story(
        "long-fallow-05",
        "hungry; no mite count all year; chalky brood in May was cleared",
        "move the yard, or lay on; mite count unknown",
        adults=11000,
        laying=1600,
        happens=(
            H(d(5, 12), "nothing", 0, "disease cleared", {}),
            H(d(5, 28), "nothing", 0, "combs taken", {"combs": "1"}),
        ),
        patties=(Laid(d(7, 6), 0.5), Laid(d(7, 20), 0.5), Laid(d(8, 3), 0.5)),
        says={
            d(5, 3): {"brood_signs": "yes"},
            d(5, 24): {"brood_signs": "no"},
            d(8, 12): {"brood_signs": "no", "eggs": "yes"},
        },
    ),
    Story(
        "long-fallow-06",
        "has shut its brood down by itself and sits on pollen and honey: long-lived bees, no need",
        "leave, or look again",
        adults=11500,
        laying=1500,
        honey_kg=30,
        keeps=0.8,
        hoards=1.7,
        happens=(H(d(5, 28), "shut down", 0.03),),
        says={d(8, 12): {"queen_seen": "yes", "heft": "heavy", "brood_signs": "no"}},
    ),
    Story(
        "long-fallow-07",
        "brought from the Quarry in April; hungry; a ground beetle was once taken for the other kind",
        "move the yard, or lay on; a withdrawn entry",
        adults=11000,
        laying=1600,
        happens=(H(d(4, 8), "nothing", 0, "move", {"other": "long-fallow"}),),
        patties=(Laid(d(7, 6), 0.5, "between boxes"), Laid(d(7, 20), 1.0, hauled=18.0), Laid(d(8, 3), 0.5)),
        says={d(8, 3): {"patty_debris": "much"}, d(8, 12): {"brood_signs": "no", "eggs": "yes"}},
    ),
)

STORIES: Final = QUARRY + MILL_RACE + LONG_FALLOW
"""All twenty-six, in the order of the round."""
