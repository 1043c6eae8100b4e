"""The ingredients book: a table that ships, and the keeper's own from a label.

Composition per 100 g as sold. Protein is brought to N x 6.25 in every row, since tables use factors of their own.
What a table leaves blank is unknown: it gets the widest range that the rest of the row allows.
"""

from __future__ import annotations

import csv
import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Final

from tideover.patty.kitchen.nutrients import AMINO, COUNTED, Content, read

DATA: Final = Path(__file__).parents[1] / "data"
SOURCES: Final[dict[str, str]] = {
    "usda-sr26": "US food table, Standard Reference 26 (2013)",
    "nasem2021": "National Academies 2021, feed library",
    "gorissen2018": "Gorissen et al. 2018",
    "thakur2020": "Thakur and Nanda 2020",
}
"""Short words for the sources of the table; the figures book has them in full."""
GROUPS: Final = ("powder", "sugar", "syrup", "oil", "liquid", "minor")
MINDS: Final[dict[str, str]] = {
    "toasted": "Toasted soy only: raw soy holds trypsin inhibitors.",
    "inactive": "Inactive (heat-killed) yeast only: live yeast goes on working in the patty and in the bee.",
    "health": "Only from your own hives free of disease, or irradiated (15-25 kGy): it can carry foulbrood "
    "and viruses.",
    "lactose": "Its lactose is harmful to bees; the limit on harmful sugars holds it down.",
    "hmf": "Fresh, stored cool, HMF below 40 mg/kg: heat and acid make HMF, which kills bees.",
    "mould": "Food grade only, without mould: heating does not remove mould poisons.",
    "acid": "Add after everything has cooled: acid and heat make HMF.",
}
"""What must be minded of an ingredient, by the word in its row."""
CONFIRM: Final = "health"
"""An ingredient with this mind is left out until the keeper says where it comes from."""
FORBIDDEN: Final = (
    "antibiotic", "tetracycline", "tylosin", "lincomycin", "fumagillin", "streptomycin", "sulfa", "neomycin",
)  # fmt: skip
OWN_SPREAD: Final = (6.0, 12.0)
"""Spread of protein and of amino acids of an ingredient known from a label only [% of the value]."""


class IngredientError(ValueError):
    """An ingredient cannot be used; the message says why and what to do."""


@dataclass(frozen=True)
class Ingredient:
    """One ingredient: what it is, where its numbers come from, and its contents per 100 g."""

    name: str
    says: str
    group: str
    source: str
    id: str
    known: str
    contents: Mapping[str, Content]
    simple: float
    """Share of its useful sugar that is glucose or fructose."""
    cv_protein: float
    cv_amino: float
    allergen: str = ""
    mind: str = ""
    hint: tuple[float, float] | None = None
    """Rough price [US dollars/kg, bulk to small pack], from memory."""
    note: str = ""
    own: bool = False

    def __getitem__(self, nutrient: str) -> Content:
        """Its content of a nutrient [g per 100 g]; ``toxic`` is lactose and the other harmful sugars together."""
        if nutrient == "toxic":
            lactose, other = self.contents["lactose"], self.contents["harmful"]
            known = lactose.known and other.known
            return Content(lactose.best + other.best if known else None, lactose.low + other.low,
                           lactose.high + other.high)  # fmt: skip
        return self.contents[nutrient]

    @property
    def unknown(self) -> tuple[str, ...]:
        """Nutrients with no value and room for doubt."""
        return tuple(n for n in COUNTED if not self.contents[n].known and self.contents[n].high > 0.0)

    @property
    def source_words(self) -> str:
        """Where its numbers come from, in words a reader can look up."""
        return SOURCES.get(self.source, self.source)

    @property
    def dry(self) -> float:
        """Dry matter [g per 100 g]."""
        return 100.0 - self.contents["water"].best


def bounded(
    given: Mapping[str, Content | None], name: str = "", amino_shares: Mapping[str, float] | None = None
) -> dict[str, Content]:
    """Contents with every blank turned into the widest range that the rest allows.

    amino_shares: greatest share of the protein each amino acid may have.
    Raises: IngredientError when the parts pass 100 g.
    """
    full: dict[str, Content] = {n: c for n, c in given.items() if c is not None}
    least = sum(full[n].low for n in ("water", "protein", "fat", "ash", "sugar", "lactose", "harmful") if n in full)
    if least > 101.5:
        raise IngredientError(
            f"the parts of {name or 'this ingredient'} add up to {least:.1f} g in 100 g; check the label."
        )

    def room(*others: str) -> float:
        return max(0.0, 100.0 - sum(full[n].low for n in others if n in full))

    whole = ("water", "protein", "fat", "ash")
    for n in ("protein", "fat", "water", "ash"):
        if n not in full:
            rest = [m for m in (*whole, "sugar", "lactose", "harmful", "fibre") if m != n]
            most = room(*rest)
            full[n] = Content(None, 0.0, min(most, 12.0) if n == "ash" else most)
    carbohydrate = room(*whole)
    for n in ("sugar", "lactose", "harmful"):
        if n not in full:
            full[n] = _range(room(*whole, *(m for m in ("sugar", "lactose", "harmful") if m != n and m in full)))
    if "fibre" not in full:
        full["fibre"] = _range(min(carbohydrate, room(*whole, "sugar", "lactose", "harmful")))
    if "salt" not in full:
        full["salt"] = _range(full["ash"].high)
    for n in ("la", "ala"):
        if n not in full:
            full[n] = _range(full["fat"].high * 0.8)
    for n in AMINO:
        if n not in full:
            full[n] = _range(full["protein"].high * (amino_shares or {}).get(n, 0.15))
    return {n: full[n] for n in COUNTED}


def _range(high: float) -> Content:
    """From nothing up to ``high``; with no room it is known to be none."""
    return Content(0.0, 0.0, 0.0) if high <= 1e-9 else Content(None, 0.0, high)


@cache
def amino_shares() -> dict[str, float]:
    """Greatest share of the protein that each amino acid has in any row of the table."""
    found = dict.fromkeys(AMINO, 0.0)
    for row in _rows():
        protein = read(row["protein"])
        for n in AMINO:
            content = read(row[n])
            if protein and protein.low > 5.0 and content:
                found[n] = max(found[n], content.high / protein.low)
    return found


def _rows() -> list[dict[str, str]]:
    with (DATA / "ingredients.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@cache
def pantry() -> dict[str, Ingredient]:
    """The ingredients that ship, by name."""
    found = {}
    for row in _rows():
        hint = (float(row["hint_low"]), float(row["hint_high"])) if row["hint_low"] else None
        found[row["name"]] = Ingredient(
            row["name"], row["says"], row["group"], row["source"], row["id"], row["known"],
            bounded({n: read(row[n]) for n in COUNTED}, row["name"], amino_shares()),
            float(row["simple"] or 0.0), float(row["cv_protein"]) / 100.0, float(row["cv_amino"]) / 100.0,
            row["allergen"], row["mind"], hint, row["note"],
        )  # fmt: skip
    return found


LABEL: Final = ("water", "protein", "fat", "fibre", "ash", "sugar", "lactose", "harmful", "salt", "la", "ala", *AMINO)
"""What the keeper may give of an ingredient of his own [g per 100 g]; anything left out is unknown."""


def from_label(raw: Mapping[str, Any]) -> Ingredient:
    """The keeper's own ingredient.

    raw: ``name``; any of ``LABEL`` as a number or [low, high]; ``group``; ``simple``; ``mind``; ``allergen``; and
    ``like``, an ingredient of the table whose pattern of amino acids in the protein is taken, 20 % either way.
    Raises: IngredientError with one sentence.
    """
    name = str(raw.get("name", "")).strip()
    if not name or len(name) > 60:
        raise IngredientError(f"got the name {name!r}, wanted 1 to 60 characters; write what the bag says it is.")
    low_name = name.lower()
    if any(word in low_name for word in FORBIDDEN):
        raise IngredientError(
            f"{name}: no medicine goes into a patty without a vet's order; leave it out and ask a vet."
        )
    if name in pantry():
        raise IngredientError(f"the book already has {name!r}; give yours a name of its own.")
    known = {"name", "like", "group", "simple", "mind", "allergen", "note", *LABEL}
    for key in raw:
        if key not in known:
            near = difflib.get_close_matches(key, known, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"wanted any of {', '.join(LABEL)}."
            raise IngredientError(f"{name} has no {key!r}; {hint}")
    given: dict[str, Content | None] = {n: _number(name, n, raw.get(n)) for n in LABEL}
    if given["protein"] is None and given["sugar"] is None and given["fat"] is None and given["water"] is None:
        raise IngredientError(
            f"{name}: nothing is known of it; give at least protein, sugar, fat or water from the label."
        )
    group = str(raw.get("group") or "powder")
    mind = str(raw.get("mind") or "")
    if group not in GROUPS:
        raise IngredientError(f"{name}: got group {group!r}, wanted one of {', '.join(GROUPS)}.")
    if mind and mind not in MINDS:
        raise IngredientError(f"{name}: got mind {mind!r}, wanted one of {', '.join(MINDS)}.")
    like = str(raw.get("like") or "")
    if like:
        pattern = find(like)
        if given["protein"] is None or pattern["protein"].best <= 0.0:
            raise IngredientError(f"{name}: to be like {like} it needs its own protein; give it from the label.")
        for n in AMINO:
            if given[n] is None and pattern[n].known:
                share = pattern[n].best / pattern["protein"].best
                value = share * given["protein"].best
                given[n] = Content(value, 0.8 * value, 1.2 * value)
    contents = bounded(given, name, amino_shares())
    try:
        simple = float(str(raw.get("simple") or 0.0).replace(",", "."))
    except ValueError:
        simple = -1.0
    if not 0.0 <= simple <= 1.0:
        raise IngredientError(
            f"{name}: got simple {raw['simple']!r}, wanted the share of its sugar that is glucose or fructose, 0 to 1."
        )
    return Ingredient(
        name, f"your own, from its label{f', amino acids like {like}' if like else ''}", group, "your label",
        "", "label",
        contents, simple, OWN_SPREAD[0] / 100.0, OWN_SPREAD[1] / 100.0, str(raw.get("allergen") or ""), mind, None,
        str(raw.get("note") or ""), True,
    )  # fmt: skip


def _number(name: str, nutrient: str, value: Any) -> Content | None:
    if value is None or (isinstance(value, str) and not value.strip()):
        return None
    try:
        if isinstance(value, str):
            content = read(value.replace(",", "."))
            assert content is not None
        elif isinstance(value, list | tuple) and len(value) == 2:
            content = Content(None, float(value[0]), float(value[1]))
        elif isinstance(value, int | float) and not isinstance(value, bool):
            content = Content(float(value), float(value), float(value))
        else:
            raise ValueError
    except (ValueError, TypeError) as error:
        raise IngredientError(
            f"{name}: {nutrient} got {value!r}, wanted grams in 100 g such as 45, or a range such as [40:50]."
        ) from error
    if content.high > 100.0:
        raise IngredientError(f"{name}: {nutrient} is {content.high:g}, wanted at most 100 g in 100 g.")
    return content


def find(name: str, own: Iterable[Ingredient] = ()) -> Ingredient:
    """The ingredient of that name, the keeper's own first.

    Raises: IngredientError naming near misses.
    """
    book = pantry() | {one.name: one for one in own}
    if name in book:
        return book[name]
    by_lower = {n.lower(): n for n in book}
    if name.strip().lower() in by_lower:
        return book[by_lower[name.strip().lower()]]
    near = difflib.get_close_matches(name.lower(), by_lower, n=3, cutoff=0.4)
    tail = f"did you mean {' or '.join(repr(by_lower[n]) for n in near)}?" if near else "see the ingredients book."
    raise IngredientError(f"there is no ingredient {name!r}; {tail}")
