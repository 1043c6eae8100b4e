"""The standing cautions of working bees in the heat: what pages and sheets always carry.

They defer to local rules, licensed vets and inspectors, and name the source of every number.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

Subject = Literal[
    "stings", "smoke and fire", "heat", "lifting", "beetles", "disease", "treatments", "feed and sale", "law"
]


@dataclass(frozen=True)
class Caution:
    """One standing caution: a short line for a sheet, the whole of it for a page, and its source."""

    subject: Subject
    short: str
    text: str
    source: str
    known: str
    refers_to: str


LOCAL_RULES: Final = (
    "Local rules, licensed vets, apiary inspectors, fire authorities and doctors come before anything written here."
)
"""Stands on top of every page and sheet of cautions."""

CAUTIONS: Final[tuple[Caution, ...]] = (
    Caution(
        "stings",
        "Trouble breathing, swollen throat or tongue, faintness, hives all over: emergency number, adrenaline at once.",
        "Any trouble breathing, swelling of throat or tongue, faintness, vomiting or hives all over the body after "
        "a sting is an emergency: call the emergency number, use a prescribed adrenaline pen at once (outer thigh), "
        "and go to hospital even if it gets better. Scrape or pull stingers out fast; how hardly matters. More than "
        "about 50 stings is a poisoning risk for anyone. Never work bees alone if you have reacted before; carry a "
        "phone and know the address of the yard.",
        "first-aid pages on insect stings; medical handbook on the load of stings",
        "read",
        "medical",
    ),
    Caution(
        "smoke and fire",
        "No smoker on a fire-ban day. Otherwise bare ground, water at hand, stay 15-20 minutes after.",
        "On a day of fire ban light no smoker; ask the fire authority whether smokers are covered, and work without "
        "smoke or wait. Otherwise light it on bare ground in something that does not burn, never set it down in dry "
        "grass, keep water and an extinguisher at hand, empty out no embers, plug it and carry it in metal, and "
        "stay 15-20 minutes after the last smoke. Whoever causes a fire may answer for it.",
        "New Zealand fire service and apiculture advice on dry conditions; Australian club advice",
        "read",
        "authority",
    ),
    Caution(
        "heat",
        "Go at first light. A litre (a quart) of water an hour. Headache, dizziness, confusion: stop, shade, cool, "
        "help.",
        "Work in the cool of the morning, in shade where there is any, not alone, and build up to it over one or "
        "two weeks. Drink about a litre (a quart) an hour in small amounts, no alcohol. Full sun adds up to 15 °F "
        "(8 °C) to the heat index and a bee suit adds more. Stop at headache or dizziness; confusion or no more sweat "
        "is an emergency. The bands used here are those for work sites, parted at 91 °F (33 °C), 103 °F (39 °C) "
        "and 115 °F (46 °C); the public weather service bands differ.",
        "US OSHA heat index guidance and protective measures; NIOSH on getting used to heat (from memory)",
        "read",
        "medical",
    ),
    Caution(
        "lifting",
        "A full deep box weighs 36-41 kg (80-90 lb): take combs out first, or lift with two.",
        "51 lb (23 kg) is the most that is advised for one person under ideal conditions, less with reach, twist, "
        "height or repeats. A full deep box of ten weighs 80-90 lb (36-41 kg), a medium 40-60 lb (18-27 kg), a "
        "shallow 30-40 lb (14-18 kg). Take combs out first, use half boxes or a stand, or lift with two.",
        "NIOSH lifting limit as given by US OSHA; weights of full boxes are common practice",
        "read",
        "medical",
    ),
    Caution(
        "beetles",
        "Patties breed beetles: keep the pull-by. Where beetles are reportable and suspected: move nothing, call.",
        "Small hive beetles breed in patties: small pieces, off by the pull-by, leftovers bagged and frozen through "
        "(core at -12 °C (10 °F) or colder for 24 hours). The beetle is notifiable in many countries and some states: "
        "where it is, and you suspect it, move no hive, comb, feed or tool, keep a specimen and call the authority at "
        "once.",
        "freezing as published by EU, UK, IE and DK pages; WOAH Terrestrial Code ch. 9.4; Decision 2014/909/EU",
        "read",
        "authority",
    ),
    Caution(
        "disease",
        "Discoloured, twisted, sunken or ropy brood: close up, move nothing, call the inspector. Freezing kills no "
        "spores.",
        "Discoloured, twisted, sunken or ropy brood may be a notifiable disease. Nothing here names a disease: "
        "signs are only consistent with one, a kit or a laboratory confirms it. Close the hive, move no combs, "
        "bees, feed or leftovers, clean tool and gloves, and tell the inspector. Freezing kills beetles but not "
        "foulbrood spores: leftovers go back to their own hive or are destroyed.",
        "Morawetz et al. 2019; USDA ARS; Western Australia department of agriculture; Extension AUS; spores from "
        "memory",
        "read",
        "inspector",
    ),
    Caution(
        "treatments",
        "The label is the law. Antibiotics only through a vet.",
        "Treat mites within the label: dose, heat, honey boxes, waiting time. In the United States antibiotics for "
        "bees need a vet's order since 1 January 2017; elsewhere they may be forbidden. They mask foulbrood, they "
        "do not cure it.",
        "Florida extension (the label is the law); US veterinary feed directive",
        "read",
        "vet",
    ),
    Caution(
        "feed and sale",
        "No syrup and no patty with honey boxes on. Nothing is added to what is sold as honey.",
        "Feed stored in honey combs is not honey: give neither syrup nor patty while boxes for harvest are on, and "
        "take syrup combs out before a flow. Nothing may be added to a food sold as honey. Feed inside the hive "
        "only, late in the day: open feeding starts robbing and spreads disease. Feed made to give or sell may need "
        "a label.",
        "Codex Alimentarius CXS 12-1981 (from memory); practice on feeding and flows",
        "from memory",
        "authority",
    ),
    Caution(
        "law",
        "Check your local rule: registration, distances, disease reports, moving permits, feed labels, honey law.",
        "Rules on registering yards, distances, reporting disease, moving bees, labelling feed and selling honey "
        "differ by country, state and town, and change: check your local rule. This is no legal, medical or "
        "veterinary advice.",
        "survey of state and national pages; not legal advice",
        "read",
        "authority",
    ),
)
"""Every standing caution, most urgent first."""


def caution(subject: Subject) -> Caution:
    """The standing caution on a subject.

    Raises:
        KeyError: when there is none, naming the subjects there are.
    """
    for found in CAUTIONS:
        if found.subject == subject:
            return found
    raise KeyError(
        f"There is no caution on '{subject}', wanted one of {', '.join(c.subject for c in CAUTIONS)}: choose one."
    )


def short_cautions() -> tuple[str, ...]:
    """One line for each caution, for a printed sheet."""
    return tuple(c.short for c in CAUTIONS)
