"""The kitchen's form: a task as fields, and fields as the very task a file holds."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final
from urllib.parse import quote

from tideover.figures.units import POUND_KG
from tideover.patty.kitchen.ingredients import CONFIRM, MINDS, Ingredient, pantry
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.requirement import Pattern, pattern, score_of
from tideover.patty.kitchen.task import DEFAULT_LIMITS, LIMITS
from tideover.web import units as u
from tideover.web.forms import slug
from tideover.web.pages import first
from tideover.web.units import System

USUAL: Final = (
    "soy flour, defatted",
    "yeast, brewer's, dried",
    "egg white, dried",
    "white sugar",
    "rapeseed oil",
    "water",
)
"""Ticked when the page is opened for the first time."""
LONGEST: Final = 20000
"""Characters of a mix in an address."""
LIMIT_FIELDS: Final = tuple(
    key for key in LIMITS if key not in ("softness_max", "crystals_max", "fibre_max", "lactose_max")
)
COMPOSITION: Final = ("protein", "sugar", "water", "fat", "fibre", "ash", "salt", "toxic", "la", "ala")


@dataclass(frozen=True)
class Line:
    """An ingredient in the form, with what was typed."""

    name: str
    slug: str
    use: bool
    typed: Mapping[str, str]
    ask: bool
    confirmed: bool
    hint: str
    says: str


def unit(units: System) -> str:
    """The unit of weights in the forms."""
    return "lb" if units == "us" else "kg"


def shown(raw: Mapping[str, Any], name: str, units: System) -> str:
    """A weight, or a price per weight, of a task as the form shows it: as typed, or turned into the reader's unit."""
    wanted = unit(units)
    if raw.get(f"{name}_{wanted}") is not None:
        return as_text(raw[f"{name}_{wanted}"])
    sizes = {"kg": 1.0, "g": 1e-3, "lb": POUND_KG, "oz": POUND_KG / 16.0}
    for suffix, size in sizes.items():
        value = raw.get(f"{name}_{suffix}")
        if value is None or value == "":
            continue
        try:
            number = float(value)
        except (TypeError, ValueError):
            return as_text(value)
        ratio = size / sizes[wanted]
        return f"{number / ratio if name == 'price' else number * ratio:.4g}"
    return ""


def as_text(value: Any) -> str:
    """A value of a task as typed."""
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)


def lines(
    raw: Mapping[str, Any], own: list[Ingredient], units: System, fresh: bool,
    prices: Mapping[str, Mapping[str, Any]] | None = None,
) -> list[Line]:  # fmt: skip
    """Every ingredient of the book as the form shows it.

    fresh: whether nothing was asked yet. prices: price and bag kept from an earlier mix, for what the task leaves out.
    """
    kept = prices or {}
    given = raw.get("ingredients")
    by_name: dict[str, Mapping[str, Any]] = {}
    for one in given if isinstance(given, list) else []:
        table = {"name": one} if isinstance(one, str) else one
        if isinstance(table, Mapping):
            by_name[str(table.get("name", "")).strip().lower()] = table
    found = []
    for one in [*own, *pantry().values()]:
        held = by_name.get(one.name.lower(), {})
        before = held or kept.get(one.name, {})
        typed = {n: shown(held, n, units) for n in ("stock", "amount")}
        typed |= {n: shown(before, n, units) for n in ("price", "bag")}
        typed |= {n: as_text(held.get(n)) for n in ("min", "max")}
        hint = ""
        if one.hint and one.hint[1] > 0.0:
            low, high = (h * (POUND_KG if units == "us" else 1.0) for h in one.hint)
            hint = f"{low:.2g} to {high:.2g} in US dollars, bulk to small pack (from memory; put your own)"
        usual = one.name == "water" or one.name in kept if kept else one.name in USUAL
        use = usual if fresh else bool(held)
        mind = MINDS.get(one.mind, "")
        found.append(
            Line(
                one.name, slug(one.name), use, typed, one.mind == CONFIRM, held.get("confirmed") is True, hint,
                " ".join(t for t in (one.says[:1].upper() + one.says[1:] + ".", mind, one.note) if t),
            )
        )  # fmt: skip
    # what is in the mix stands first
    return sorted(found, key=lambda line: not line.use)


def task_from_form(form: Mapping[str, str], own: list[Ingredient]) -> dict[str, Any]:
    """The task a form asks for, with what was typed as it was typed; empty fields are left out."""
    w = "lb" if form.get("form_units") == "us" else "kg"
    raw: dict[str, Any] = {}
    for name in ("name", "aim", "budget", "currency", "requirement"):
        if text := first(form, name):
            raw[name] = text
    for name in ("batch", "piece"):
        if text := first(form, name):
            raw[f"{name}_{w}"] = text
    if text := first(form, "chance"):
        raw["chance_max"] = _percent(text)
    limits: dict[str, Any] = {}
    for key in LIMIT_FIELDS:
        if f"limit_{key}" in form:
            text = first(form, f"limit_{key}")
            if text != (f"{DEFAULT_LIMITS[key]:g}" if key in DEFAULT_LIMITS else ""):
                limits[key] = text or "none"
    if limits:
        raw["limits"] = limits
    need = {n: text for n in AMINO if (text := first(form, f"need_{n}"))}
    if need:
        if text := first(form, "need_source"):
            need["source"] = text
        raw["need"] = need
    chosen = []
    for one in [*own, *pantry().values()]:
        s = slug(one.name)
        if not form.get(f"use_{s}"):
            continue
        item: dict[str, Any] = {"name": one.name}
        for name in ("price", "stock", "bag", "amount"):
            if text := first(form, f"{name}_{s}"):
                item[f"{name}_{w}"] = text
        for name in ("min", "max"):
            if text := first(form, f"{name}_{s}"):
                item[name] = text
        if form.get(f"confirmed_{s}"):
            item["confirmed"] = True
        chosen.append(item)
    raw["ingredients"] = chosen
    return raw


def _percent(text: str) -> float | str:
    try:
        return float(text.replace(",", ".")) / 100.0
    except ValueError:
        return text


def address(raw: Mapping[str, Any]) -> str:
    """The page of a mix."""
    return "/kitchen?mix=" + quote(json.dumps(raw, separators=(",", ":"), ensure_ascii=False))


def limit_lines(raw: Mapping[str, Any]) -> list[tuple[str, str, str]]:
    """Key, words and typed level of each limit in the form."""
    held = raw.get("limits")
    given = held if isinstance(held, Mapping) else {}
    found = []
    for key in LIMIT_FIELDS:
        usual = f"{DEFAULT_LIMITS[key]:g}" if key in DEFAULT_LIMITS else ""
        value = as_text(given[key]) if key in given else usual
        side = "at least" if key.endswith("_min") else "at most"
        percent = "" if key in ("score_min", "omega_ratio_max", "softness_min") else ", %"
        says = LIMITS[key]
        found.append((key, f"{says[:1].upper()}{says[1:]} {side}{percent}", "" if value == "none" else value))
    return found


OWN_FIELDS: Final = ("water", "protein", "fat", "fibre", "ash", "sugar", "lactose", "harmful", "salt", "la", "ala")
"""What the form for an ingredient of one's own asks, besides amino acids."""


def content_words(ingredient: Ingredient, nutrient: str) -> str:
    """A content as the book's page shows it: a number, or the range of what is not known."""
    c = ingredient[nutrient]
    if c.value is None:
        return f"not known ({u.plain(c.low, 1)}–{u.plain(c.high, 1)})" if c.high > 0.0 else "0"
    text = u.plain(c.value, 2)
    return text if c.high - c.low < 0.005 else f"{text} ({u.plain(c.low, 1)}–{u.plain(c.high, 1)})"


def chance_text(raw: Mapping[str, Any]) -> str:
    """The wished-for chance of a shortfall in percent, as the form shows it."""
    value = raw.get("chance_max")
    if value is None:
        return "" if raw else "10"
    return f"{100 * value:g}" if isinstance(value, int | float) else str(value)


def need_lines(raw: Mapping[str, Any]) -> dict[str, str]:
    """The keeper's own amino acid needs as typed, by short name."""
    held = raw.get("need")
    given = held if isinstance(held, Mapping) else {}
    return {n: as_text(given.get(n, given.get(name))) for n, name in AMINO.items()} | {
        "source": as_text(given.get("source"))
    }


def chosen_pattern(raw: Mapping[str, Any]) -> Pattern:
    """The published need that stands behind what is left empty."""
    try:
        return pattern(str(raw.get("requirement") or ""))
    except ValueError:
        return pattern()


def label_text(value: Any) -> str:
    """What was written of an ingredient of one's own, as its form takes it."""
    if isinstance(value, list | tuple) and len(value) == 2:
        return f"[{as_text(value[0])}:{as_text(value[1])}]"
    return as_text(value)


def gone_name(text: str) -> str:
    """Name of the ingredient that was just taken out; empty when there is none."""
    try:
        one = json.loads(text) if text else {}
    except ValueError:
        return ""
    return str(one.get("name") or "")[:60] if isinstance(one, dict) else ""


def score_text(ingredient: Ingredient) -> str:
    """The amino acid score of an ingredient by itself and what limits it, where all ten are known."""
    if ingredient["protein"].low < 1.0:
        return "none"
    if any(not ingredient[n].known for n in AMINO):
        return "not known"
    found = score_of(ingredient)
    return f"{found.score:.2f}, {AMINO[found.limiting]}"
