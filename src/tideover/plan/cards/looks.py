"""The looks on a card: what would be written down for each of them.

A card is read from the top. Its first rows are signs that rule everything else; whoever gets past
them has seen eggs, no sick brood and, where it matters, no beetle larvae, and the table below takes
that as written.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Final

from tideover.evidence.seen import HiveCase, Seen, Value
from tideover.evidence.words import JELLY, POLLEN_NEST

POLLEN: Final = POLLEN_NEST
"""Words for the band of pollen by the brood, poorest first: one brood comb in hand shows it and the jelly."""
JELLY_SEEN: Final = JELLY
THOUGHT_OF: Final = "thought of"
"""Name of the entry a card thinks of; it is never written to the books."""


@dataclass(frozen=True)
class FirstSign:
    """A sign that is looked for before pollen and jelly.

    :param name: short name.
    :param says: what is seen.
    :param values: what would be written.
    """

    name: str
    says: str
    values: Mapping[str, Value]


FIRST: Final[tuple[FirstSign, ...]] = (
    FirstSign("disease signs", "brood discoloured, sunken or ropy", MappingProxyType({"brood_signs": "yes"})),
    FirstSign("beetle larvae", "beetle larvae in patty or comb", MappingProxyType({"beetle_larvae": "yes"})),
    FirstSign("very light", "hive very light", MappingProxyType({"heft": "very light"})),
    FirstSign("light", "hive light", MappingProxyType({"heft": "light"})),
    FirstSign("no eggs", "no eggs", MappingProxyType({"eggs": "no", "brood_signs": "no"})),
)
"""In the order they are looked for: what is a matter of law and other hives first."""


def table_values(pollen: str, jelly: str, *, larvae_looked: bool) -> dict[str, Value]:
    """What would be written after a look at one brood comb that passed the first rows.

    :param pollen: word for the band of pollen by the brood.
    :param jelly: word for the jelly of the youngest larvae.
    :param larvae_looked: a piece lies on the hive or beetle larvae were written, so that the piece was looked at.
    """
    if pollen not in POLLEN:
        raise ValueError(f"pollen by the brood is {pollen!r}, wanted one of {', '.join(POLLEN)}.")
    if jelly not in JELLY_SEEN:
        raise ValueError(f"jelly is {jelly!r}, wanted one of {', '.join(JELLY_SEEN)}.")
    values: dict[str, Value] = {"nest_pollen": pollen, "jelly": jelly, "eggs": "yes", "brood_signs": "no"}
    if larvae_looked:
        values["beetle_larvae"] = "no"
    return values


def with_look(case: HiveCase, day: date, hour: float, values: Mapping[str, Value]) -> HiveCase:
    """The case as it would stand after a look on ``day``; later entries are left out.

    :param hour: hour of the look; a later look of the same day still comes after it.
    """
    kept = tuple(s for s in case.seen if s.day <= day)
    # Whoever looked last is taken to look again: how he counts is known already.
    who = next((s.who for s in reversed(kept) if s.kind == "look"), "")
    thought = Seen(THOUGHT_OF, "look", day, hour, MappingProxyType(dict(values)), who)
    return HiveCase(case.hive, case.place, case.boxes, (*kept, thought))
