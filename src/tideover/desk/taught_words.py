"""What a hive's looks have taught of its own figures, in a keeper's words."""

from __future__ import annotations

from typing import Final

from tideover.evidence.known import Assimilated
from tideover.evidence.taught import COUNTING, narrowed

WORDS: Final = {
    COUNTING: "how its keeper counts",
    "laying_max": "how much its queen lays at most",
    "larva_protein_mg": "what a larva is fed",
    "nurse_intake_mg": "what a nurse eats at most",
    "forager_hazard": "how soon its foragers die",
    "house_hazard": "how soon its house bees die",
    "winter_hazard": "how soon its winter bees die",
    "income_scale": "how well it collects",
    "nectar_scale": "how much nectar there is beside pollen",
    "heat_laying": "what heat costs its laying",
    "feed_value": "what a patty is worth to it",
    "feed_harm": "what harm a patty does it",
    "patty_intake_mg": "how fast it eats a patty",
    "forager_share": "how many of its bees forage",
    "cannibal_rate": "how fast hungry larvae are eaten",
    "reserve_mg": "what a bee holds in reserve",
    "mite_growth": "how fast its mites grow",
    "hive_income_sd": "how much its collecting wanders",
    "bees_per_dm2": "how densely its bees sit",
    "bread_per_cell_g": "what a cell of pollen holds",
    "honey_per_dm2_g": "what a comb of honey holds",
    "brood_fill": "how full its brood combs are",
}
WORTH: Final = "feed_value"


def own_figures(known: Assimilated) -> str:
    """One sentence or two: what this hive's looks have narrowed of its own figures, and that the rest is the book's."""
    taught = narrowed(known)
    rest = "stays in the figures book's range: looks at one hive do not tell it."
    if not taught:
        return f"Everything about these bees' own ways, and what a patty is worth to them, {rest}"
    told = ", ".join(WORDS[name] for name in taught)
    worth = "" if WORTH in taught else ", what a patty is worth to them among it,"
    return f"Its looks have narrowed {told}. Everything else about these bees' ways{worth} {rest}"
