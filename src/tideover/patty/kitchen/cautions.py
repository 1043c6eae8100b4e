"""What must be minded when mixing and feeding: always all of it, and more for what is in the tub."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final

from tideover.figures import book
from tideover.patty.kitchen.ingredients import MINDS, Ingredient


@dataclass(frozen=True)
class Caution:
    """One caution: its subject, what to do, where it comes from and how that is known."""

    subject: str
    text: str
    source: str
    known: str


def _from(subject: str, text: str, row_key: str) -> Caution:
    row = book().row(row_key)
    return Caution(subject, text, "; ".join(book().source(s).text for s in row.sources), row.known)


ALWAYS: Final[tuple[Caution, ...]] = (
    _from("soy", "Toasted soy flour only. Raw soy holds trypsin inhibitors.", "kitchen.raw_soy"),
    _from(
        "yeast", "Inactive yeast only, killed by heat. Live yeast goes on working in the patty.", "kitchen.live_yeast"
    ),
    _from(
        "pollen and honey",
        "No pollen or honey of unknown health: both carry foulbrood, chalkbrood and viruses. Your own from "
        "healthy hives, or "
        "irradiated with 15 to 25 kGy; freezing and drying do not kill the spores.",
        "kitchen.gamma_kgy",
    ),
    _from(
        "HMF",
        "Hydroxymethylfurfural kills bees: 40 mg in a kg of syrup is the limit proposed. No syrup inverted "
        "with acid, none that "
        "was boiled, browned or stored warm.",
        "kitchen.hmf_syrup_limit_mg_kg",
    ),
    _from(
        "mould",
        "Nothing mouldy or fermenting, in the bag or in the patty. Heating does not remove mould poisons.",
        "kitchen.mould",
    ),
    Caution(
        "medicine",
        "No antibiotic and no other medicine in a feed. Only a licensed vet orders one; antibiotics hide foulbrood.",
        "club advice on old recipes; veterinary law differs by country",
        "read",
    ),
    Caution(
        "dust",
        "Flour, yeast and egg powder are dust: a fitted mask (FFP2 or N95), no draught, no flame near a "
        "cloud of flour or sugar.",
        "common practice at work with flour",
        "common practice",
    ),
    Caution(
        "allergens",
        "Soy, egg, milk, peanut, wheat, sesame and pollen make some people ill, some gravely. Who is "
        "allergic does not mix; wash "
        "tubs and scales before food is made with them again. Label it as feed, out of reach of children and pets.",
        "food allergen lists of public health agencies",
        "from memory",
    ),
    Caution(
        "honey for sale",
        "No patty and no syrup on hives with boxes of honey for sale: it ends up in the honey, allergens too.",
        "Codex Alimentarius CXS 12-1981",
        "from memory",
    ),
    Caution(
        "law",
        "Feed that is sold or given away may need a permit and a label: ask the feed authority. Local rules, "
        "vets and inspectors "
        "come before this sheet.",
        "feed law differs by country",
        "common practice",
    ),
)
"""Stands on every batch, page and sheet."""


def of(ingredients: Iterable[Ingredient]) -> tuple[Caution, ...]:
    """The standing cautions, then what the ingredients used ask for."""
    used = list(ingredients)
    extra = []
    for one in used:
        if one.mind in ("lactose", "hmf", "acid", "mould"):
            extra.append(Caution(one.name, MINDS[one.mind], "see the ingredients book", one.known))
    if any(one.name.startswith("pea protein") for one in used):
        text = "Its amino acids come from another table that runs lower: the score of a mix with it is likely too low."
        extra.append(Caution("pea protein isolate", text, "Gorissen et al. 2018", "read"))
    return (*ALWAYS, *extra)
