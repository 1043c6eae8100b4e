"""An entry said in a sentence, in metric or US units."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date
from typing import Final

from tideover.evidence.seen import Value
from tideover.records.entries import Entry, Units
from tideover.records.kinds import KINDS, Field
from tideover.records.units import SIGNS, to_units, unit_for

_DIGITS: Final[Mapping[str, int]] = {"g": 0, "c": 1, "f": 0, "in": 2, "mm": 1, "lb": 2, "m": 0, "ft": 0, "mph": 0}

_PHRASES: Final[Mapping[str, str]] = {
    "shade_temp": "{} in the shade",
    "seams": "{} seams of bees",
    "heft": "{} to lift",
    "hive_weight": "{} on the scale",
    "patty_left": "{} of 4 quarters of the patty left",
    "patty_texture": "the patty {}",
    "patty_touch": "patty touching the cluster: {}",
    "patty_debris": "crumbs: {}",
    "beetles": "beetles: {}",
    "beetle_larvae": "beetle larvae: {}",
    "outer_pollen": "pollen on the outer comb: {}",
    "outer_half_sides": "{} half sides of pollen",
    "nest_pollen": "pollen around the brood: {}",
    "brood_combs": "{} combs with brood",
    "capped_quarters": "{} quarter sides of capped brood",
    "open_quarters": "{} quarter sides of open brood",
    "eggs": "eggs: {}",
    "jelly": "jelly {}",
    "jelly_floating": "{} young larvae floating",
    "jelly_damp": "{} damp",
    "jelly_dry": "{} dry",
    "honey_combs": "{} combs of honey",
    "queen_seen": "queen seen: {}",
    "queen_cells": "queen cells: {}",
    "many_eggs": "several eggs in a cell: {}",
    "drone_in_worker": "drone cappings in worker cells: {}",
    "brood_signs": "signs of brood disease: {}",
    "deformed_wings": "deformed wings: {}",
    "pollen_coming": "pollen coming in: {}",
    "protein": "{} % protein",
    "pollen_share": "{} % pollen",
    "paper_on": "paper left on: {}",
    "rain": "rain {}",
    "wind": "wind {}",
    "humidity": "humidity {} %",
    "syrup": "{} of syrup",
    "sugar_share": "{} % sugar",
    "share": "{} % of the bees",
    "combs": "{} combs",
    "honey": "{} of honey",
    "box": "{}",
    "batch": "batch {}",
    "piece": "piece {}",
    "goes": "goes: {}",
    "counted_protein": "{} % protein that counts",
    "water_share": "{} % water",
    "worth": "a kilogram stands for {} g of pollen",
    "worth_low": "at least {} g",
    "worth_high": "at most {} g",
    "cost": "cost {}",
    "pieces": "{} pieces",
    "thickness": "{} thick",
    "keeps_until": "good until {}",
    "freezer_temp": "freezer at {}",
    "stack": "{} on one another",
    "km": "{} km",
    "other": "with or to {}",
}


def _say(field: Field, value: Value, units: Units) -> str:
    if isinstance(value, tuple):
        return " + ".join(f"{v:g}" for v in value)
    if field.type == "date" and isinstance(value, str):
        day = date.fromisoformat(value)
        return f"{day:%a} {day.day} {day:%b %Y}"
    if isinstance(value, str):
        return value
    if field.dimension:
        suffix = unit_for(field.dimension, units)
        return f"{round(to_units(float(value), field.dimension, suffix), _DIGITS.get(suffix, 1)):g} {SIGNS[suffix]}"
    return f"{round(float(value), 2):g}"


def _recipe(text: str) -> str:
    """A recipe by the name the kitchen keeps it under; one that was typed in as it stands."""
    try:
        held = json.loads(text)
    except ValueError:
        return text
    return str(held.get("name") or "of the kitchen") if isinstance(held, dict) else text


def _rest(entry: Entry, units: Units, told: frozenset[str] = frozenset()) -> list[str]:
    parts = []
    for f in KINDS[entry.kind].fields:
        if f.name in entry.values and f.name not in told:
            said = _say(f, entry.values[f.name], units)
            said = _recipe(said) if f.name == "recipe" else said
            parts.append(_PHRASES.get(f.name, f.name.replace("_", " ") + " {}").format(said))
    return parts


def _value(entry: Entry, name: str, units: Units) -> str:
    field = next(f for f in KINDS[entry.kind].fields if f.name == name)
    return _say(field, entry.values[name], units) if name in entry.values else ""


def _doubt(sd_c: object, units: Units) -> str:
    """How far temperatures that were filled in may be off; nothing where they were read."""
    if not isinstance(sd_c, (int, float)):
        return ""
    suffix = "f" if units == "us" else "c"
    # a difference has no zero of its own
    off = to_units(float(sd_c), "temperature", suffix) - to_units(0.0, "temperature", suffix)
    return f", filled in, give or take {off:.1f} {SIGNS[suffix]}"


def _head(entry: Entry, units: Units) -> tuple[str, frozenset[str]]:
    """Return the beginning of the sentence and the fields it has told."""

    def v(name: str) -> str:
        return _value(entry, name, units)

    match entry.kind:
        case "look":
            return ("Looked" if entry.values else "Looked, nothing noted"), frozenset()
        case "comb side":
            return f"Box {v('level')}, comb {v('comb')}, side {v('side')}, in eighths", frozenset(
                {"level", "comb", "side"}
            )
        case "entrance count":
            head = f"Counted {v('bees_in')} bees coming in over {v('minutes')} min, {v('with_pollen')} with pollen"
            return head, frozenset({"bees_in", "minutes", "with_pollen"})
        case "bloom note":
            plant = f" of {v('plant')}" if v("plant") else ""
            return f"In flower{plant}: {v('bloom')}", frozenset({"bloom", "plant"})
        case "laid on":
            where = f", {v('place')}" if v("place") else ""
            return f"Laid on {v('weight')} of patty{where}", frozenset({"weight", "place"})
        case "taken off":
            return f"Took off {v('weight') + ' of' if v('weight') else 'the'} patty", frozenset({"weight"})
        case "mite wash":
            bees = f"{v('bees')} bees" if v("bees") else "half a cup of bees (taken as 300)"
            return f"Washed {v('mites')} mites from {bees}", frozenset({"mites", "bees"})
        case "weather day":
            told = frozenset({"temp_min", "temp_max", "temp_sd"})
            return f"Weather {v('temp_min')} to {v('temp_max')}{_doubt(entry.values.get('temp_sd'), units)}", told
        case "road time":
            return f"By road to {v('to')}: {v('minutes')} min", frozenset({"to", "minutes"})
        case "planned visit":
            when = f", {v('begins')} to {v('ends')}" if v("begins") and v("ends") else ""
            return f"Planned for {v('day')}{when}", frozenset({"day", "stop", "begins", "ends", "tasks"})
        case "task done":
            weight = f", {v('weight')}" if v("weight") else ""
            told = frozenset({"task", "outcome", "planned", "weight", "wrote"})
            return (
                f"Of the round, {v('task').partition(':')[2].partition(':')[0] or 'a task'}: {v('outcome')}{weight}",
                told,
            )
        case "batch":
            return f"Batch {v('batch')}, {v('weight')}, {v('origin') or 'made'}", frozenset(
                {"batch", "weight", "origin"}
            )
        case "cold box":
            what = f"piece {v('piece')}" if v("piece") else f"part of {v('batch')}" if v("batch") else "a piece"
            weight = f", {v('weight')}" if v("weight") else ""
            return f"Into the cold box: {what}{weight}", frozenset({"piece", "batch", "weight"})
        case "discarded":
            what = f"piece {v('piece')}" if v("piece") else f"part of {v('batch')}" if v("batch") else "a piece"
            weight = f", {v('weight')}" if v("weight") else ""
            why = f", {v('why')}" if v("why") else ""
            return f"Discarded {what}{weight}{why}", frozenset({"piece", "batch", "weight", "why"})
        case "stock count":
            return f"Batch {v('batch')}: {v('weight')} still there", frozenset({"batch", "weight"})
        case "event":
            return v("event").capitalize(), frozenset({"event"})
        case "confirm":
            return "Confirmed that an unlikely entry is right", frozenset({"entry"})
        case _:
            return "Withdrew an entry", frozenset()


def describe(entry: Entry, units: Units = "metric") -> str:
    """Return an entry as one sentence in metric or US units, its note included."""
    head, told = _head(entry, units)
    rest = _rest(entry, units, told)
    sep = ": " if entry.kind in ("look", "comb side") else "; "
    note = f" Note: {entry.note}" if entry.note else ""
    return head + (sep + "; ".join(rest) if rest else "") + "." + note
