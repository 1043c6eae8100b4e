"""Forms made from the one table of kinds: labels, units, steps and chips, and what was typed kept on a mistake."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Final, Literal

from tideover.evidence.seen import Value
from tideover.records.errors import Problem
from tideover.records.kinds import KINDS, Field, Kind
from tideover.records.units import PREFERRED, SIGNS, to_units
from tideover.web.units import System

_COMMA: Final = re.compile(r"\A(\d+),(\d{1,2})\Z")

Widget = Literal["chips", "step", "boxes", "text", "select"]

LABELS: Final[dict[str, str]] = {
    "shade_temp": "Air in the shade",
    "seams": "Seams of bees",
    "heft": "Heft from behind",
    "hive_weight": "Whole hive on a scale",
    "patty_left": "Patty left, in quarters",
    "patty_texture": "The rest of it feels",
    "patty_touch": "Touches the cluster",
    "patty_debris": "Crumbs on floor or at the entrance",
    "beetles": "Hive beetles seen",
    "beetle_larvae": "Beetle larvae in patty or comb",
    "outer_pollen": "Pollen on the outer comb",
    "outer_half_sides": "Half comb sides of pollen, outer combs together",
    "nest_pollen": "Band of pollen around the brood",
    "brood_combs": "Combs with brood",
    "capped_quarters": "Capped brood, quarter sides",
    "open_quarters": "Open brood, quarter sides",
    "eggs": "Eggs",
    "jelly": "Jelly around the young larvae",
    "jelly_floating": "Young larvae floating",
    "jelly_damp": "Young larvae damp",
    "jelly_dry": "Young larvae dry",
    "honey_combs": "Honey, in full deep combs",
    "queen_seen": "Queen seen",
    "queen_cells": "Queen cells",
    "many_eggs": "Several eggs in a cell, or on the walls",
    "drone_in_worker": "Domed drone caps in worker cells",
    "brood_signs": "Brood discoloured, twisted, sunken or ropy",
    "deformed_wings": "Bees with deformed wings",
    "pollen_coming": "Pollen coming in, at a glance",
}
"""Short labels for the look; other fields use what their kind says."""

HELP: Final[dict[str, str]] = {
    "seams": "Gaps between top bars filled with bees. Quarters count. No bees is 0; not looked stays empty.",
    "patty_left": "4 is the whole piece, 0 is none.",
    "capped_quarters": "Both sides of the one brood comb you lifted: 0 to 8.",
    "open_quarters": "Same comb: 0 to 8.",
    "brood_combs": "One side only counts half.",
    "jelly": "Larvae one to two days old: swimming in jelly, only damp, or dry.",
    "brood_signs": "If yes: close the hive, share nothing, and call the inspector or a vet.",
    "bees": "Empty means half a cup, taken as 300.",
}

SECTIONS: Final[dict[str, tuple[tuple[str, bool, tuple[str, ...]], ...]]] = {
    "look": (
        (
            "Lid look, half a minute",
            True,
            (
                "seams", "heft", "patty_left", "patty_texture", "patty_touch", "patty_debris", "beetles",
                "beetle_larvae", "pollen_coming", "shade_temp",
            ),
        ),
        (
            "Two combs, three minutes",
            False,
            (
                "outer_pollen", "outer_half_sides", "capped_quarters", "open_quarters", "eggs", "jelly",
                "nest_pollen", "brood_signs", "jelly_floating", "jelly_damp", "jelly_dry", "brood_combs",
            ),
        ),
        (
            "Queen, wings, honey, scale",
            False,
            (
                "queen_seen", "queen_cells", "many_eggs", "drone_in_worker", "deformed_wings", "honey_combs",
                "hive_weight",
            ),
        ),
    ),
    "weather day": (
        ("The day", True, ("temp_max", "temp_min", "rain", "wind", "humidity")),
        ("If the temperatures were not read but filled in", False, ("temp_sd",)),
    ),
}  # fmt: skip
"""Sections of a form: title, unfolded at first, fields. Kinds not named here are one section."""

HIVE_KINDS: Final = (
    "look", "laid on", "taken off", "cold box", "discarded", "mite wash", "entrance count", "event"
)  # fmt: skip
YARD_KINDS: Final = ("bloom note", "weather day", "event", "batch", "cold box", "discarded", "stock count", "road time")


@dataclass(frozen=True)
class FormField:
    """One field as the template draws it; ``name`` carries the unit, ``texts`` what was typed."""

    base: str
    name: str
    widget: Widget
    label: str
    help: str = ""
    unit: str = ""
    step: str = "1"
    low: str = ""
    high: str = ""
    start: str = "0"
    choices: tuple[tuple[str, str], ...] = ()
    required: bool = False
    texts: tuple[str, ...] = ("",)
    parts: tuple[str, ...] = ()
    error: str = ""
    longest: int = 500

    @property
    def filled(self) -> bool:
        """Whether anything was typed or chosen."""
        return any(self.texts)


@dataclass(frozen=True)
class Section:
    """A group of fields, folded or not."""

    title: str
    open: bool
    fields: tuple[FormField, ...]


def slug(kind: str) -> str:
    """A kind's name in an address."""
    return kind.replace(" ", "-")


def kind_of(slug_text: str) -> Kind:
    """The kind of an address; KeyError names the known ones."""
    name = slug_text.replace("-", " ")
    if name not in KINDS or name in ("confirm", "withdraw"):
        known = ", ".join(slug(k) for k in KINDS if k not in ("confirm", "withdraw"))
        raise KeyError(f"There is no kind of entry called {slug_text!r}; wanted one of {known}.")
    return KINDS[name]


def column(field: Field, system: System) -> str:
    """The name of a field with its unit at the end, as in files: ``shade_temp_f``."""
    return f"{field.name}_{PREFERRED[system][field.dimension]}" if field.dimension else field.name


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".")


def _start(field: Field, suffix: str) -> str:
    """Where a stepper begins when nothing is typed: a usual value, so that few taps reach the real one."""
    return {"shade_temp": {"c": "28", "f": "84"}.get(suffix, "0"), "temp_max": {"c": "32", "f": "90"}.get(suffix, "0"),
            "temp_min": {"c": "16", "f": "60"}.get(suffix, "0"), "seams": "5", "minutes": "1", "bees": "300",
            "hive_weight": {"kg": "35", "lb": "75"}.get(suffix, "0"), "sugar_share": "50", "humidity": "30",
            }.get(field.name, "0")  # fmt: skip


def _default_step(field: Field, suffix: str) -> float:
    if field.step is not None:
        return field.step
    return {"g": 50.0, "lb": 0.25 if field.dimension == "patty" else 1.0, "l": 0.5, "gal": 0.25}.get(suffix, 1.0)


def blank(kind: Kind, field: Field, system: System, boxes: Sequence[str]) -> FormField:
    """A field with nothing in it yet; ``boxes`` are the hive's boxes in words, bottom first."""
    suffix = PREFERRED[system][field.dimension] if field.dimension else ""
    label = LABELS.get(field.name) if kind.name == "look" else None
    made = FormField(
        base=field.name,
        name=column(field, system),
        widget="text",
        label=label or field.says[:1].upper() + field.says[1:],
        help=HELP.get(field.name, ""),
        unit=SIGNS.get(suffix, ""),
        required=field.required,
        longest=field.longest,
    )
    if field.type == "word":
        if len(field.words) > 8:
            return replace(made, widget="select", choices=tuple((w, w) for w in field.words))
        words = tuple((w, w) for w in field.words if w != "not looked")
        empty = () if field.required else (("", "not looked" if kind.name in ("look", "taken off") else "not said"),)
        return replace(made, widget="chips", choices=empty + words)
    if field.type == "list":
        parts = tuple(boxes) or ("box",)
        return replace(
            made, widget="boxes", parts=parts, texts=("",) * len(parts),
            step="0.5", low=_number(field.low or 0), high=_number(field.high or 0),
            start=_start(field, suffix),
        )  # fmt: skip
    if field.type in ("number", "count"):
        low, high = (
            end if end is None or not field.dimension else to_units(end, field.dimension, suffix)
            for end in (field.low, field.high)
        )
        # Rounded inwards, so that no stepper reaches what the books refuse.
        ends = (
            "" if low is None else _number(math.ceil(round(low * 100, 6)) / 100),
            "" if high is None else _number(math.floor(round(high * 100, 6)) / 100),
        )
        step = 1.0 if field.type == "count" else _default_step(field, suffix)
        return replace(made, widget="step", step=_number(step), low=ends[0], high=ends[1], start=_start(field, suffix))
    return made


def typed(made: FormField, form: Mapping[str, str]) -> FormField:
    """The field with what was typed put back in."""
    if made.widget == "boxes":
        return replace(made, texts=tuple(form.get(f"{made.name}__{i}", "").strip() for i in range(len(made.parts))))
    return replace(made, texts=(form.get(made.name, "").strip(),))


def stored(made: FormField, field: Field, value: Value | None, system: System) -> FormField:
    """The field with a value from the books put in, in the units of the form."""
    if value is None:
        return made
    if isinstance(value, tuple):
        texts = tuple(_number(v) for v in value)
        return replace(made, texts=(texts + ("",) * len(made.parts))[: max(len(made.parts), len(texts))])
    if isinstance(value, str):
        return replace(made, texts=("" if value == "not looked" else value,))
    if field.dimension:
        value = to_units(float(value), field.dimension, PREFERRED[system][field.dimension])
    return replace(made, texts=(_number(float(value)),))


def sections(kind: Kind, fields: Mapping[str, FormField]) -> tuple[Section, ...]:
    """The fields in their sections; a folded section opens when anything in it is filled or wrong."""
    layout = SECTIONS.get(kind.name, (("", True, tuple(fields)),))
    made = []
    for title, unfolded, names in layout:
        members = tuple(fields[n] for n in names)
        made.append(Section(title, unfolded or any(f.filled or f.error for f in members), members))
    return tuple(made)


def raw(fields: Mapping[str, FormField]) -> dict[str, object]:
    """What was typed, by column name, for the one validator; fields left empty are not there at all."""
    return {
        f.name: "+".join(t or "?" for t in map(_decimal, f.texts)) if f.widget == "boxes" else _decimal(f.texts[0])
        for f in fields.values()
        if f.filled
    }


def _decimal(text: str) -> str:
    """A decimal comma typed on a phone's number pad, as a point; '1,500' stays as it is, for it may mean two things."""
    return _COMMA.sub(r"\1.\2", text)


def with_errors(fields: Mapping[str, FormField], problems: Sequence[Problem]) -> tuple[dict[str, FormField], list[str]]:
    """The fields with a sentence beside each wrong one, and the sentences that belong to no field."""
    out = dict(fields)
    loose: list[str] = []
    for p in problems:
        found = next((f for f in out.values() if p.column in (f.name, f.base) or _same_base(p.column, f.base)), None)
        if found is None:
            loose.append(_sentence(p.what, p.remedy))
            continue
        text = _sentence(p.what, p.remedy)
        if found.widget == "boxes" and not all(found.texts):
            text = "Some boxes are empty: write a number for every box, 0 for no bees, or leave all of them empty."
        elif found.required and not found.filled:
            text = "This is needed: fill it in."
        out[found.base] = replace(found, error=f"{found.error} {text}".strip())
    return out, loose


def _same_base(column_name: str, base: str) -> bool:
    head, _, tail = column_name.rpartition("_")
    return head == base and tail in SIGNS


def _sentence(what: str, remedy: str) -> str:
    text = f"{what}: {remedy}" if remedy else what
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
