"""Calls and rounds as plain objects for scripts; the shapes are those of the JSON Schemas that ship with ``cli``."""

from __future__ import annotations

import dataclasses
import json
import math
from collections.abc import Mapping
from datetime import date, datetime
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine, RoundView
    from tideover.plan.call import Call, Runway
    from tideover.plan.cards.card import Card


def plain(value: object) -> Any:
    """Any answer of the rooms below as JSON can hold it.

    Dates become ISO text, tuples lists, dataclasses objects; a number that is not
    finite becomes null, since JSON has no word for it.
    """
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name.rstrip("_"): plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(one) for key, one in value.items()}
    if isinstance(value, list | tuple | set | frozenset):
        return [plain(one) for one in value]
    if isinstance(value, datetime | date):
        return value.isoformat()
    if isinstance(value, bool) or value is None or isinstance(value, str | int):
        return value
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if hasattr(value, "tolist"):
        return plain(value.tolist())
    return str(value)


def runway_object(runway: Runway) -> dict[str, Any]:
    """Days to a milestone; null where the percentile lies beyond the horizon."""
    return {
        "median": plain(runway.median),
        "low": plain(runway.low),
        "high": plain(runway.high),
        "p_within_horizon": plain(runway.p_within_horizon),
        "horizon_days": runway.horizon_days,
    }


def call_object(call: Call) -> dict[str, Any]:
    """One hive's call."""
    return {
        "hive": call.hive,
        "yard": call.yard,
        "made_for": call.made_for.isoformat(),
        "moment": call.moment,
        "action": call.action,
        "summary": call.summary,
        "product": call.product,
        "grams": plain(call.grams),
        "pull_by": plain(call.pull_by),
        "sure": plain(call.sure),
        "toss_up": call.toss_up,
        "evidence": call.evidence,
        "worth_opening": call.worth_opening,
        "loads_g": plain(call.loads_g),
        "runway_days": runway_object(call.runway),
        "milestones": {name: runway_object(one) for name, one in call.milestones.items()},
        "reasons": plain(call.reasons),
        "alternatives": plain(call.alternatives),
        "flags": plain(call.flags),
        "gates": plain(call.gates),
        "ask": list(call.ask),
        "then": list(call.then_),
    }


def card_object(card: Card) -> dict[str, Any]:
    """A hive's field card."""
    found: dict[str, Any] = plain(card)
    return found


def line_object(line: HiveLine) -> dict[str, Any]:
    """One line of the round, with its yard."""
    return {
        "hive": line.hive,
        "yard": line.yard,
        "yard_name": line.yard_name,
        "last_look": line.last_look,
        "last_look_day": plain(line.last_look_day),
        "bees": dict(zip(("low", "median", "high"), plain(line.bees), strict=True)),
        "call": call_object(line.call),
    }


def round_object(view: RoundView) -> dict[str, Any]:
    """The coming round: load, then yards with their hives and calls."""
    return {
        "day": view.day.isoformat(),
        "made_at": view.made_at.isoformat(),
        "load_g": plain(view.load_g),
        "sugar_kg": plain(view.sugar_kg),
        "cost": plain(view.cost),
        "note": view.note,
        "yards": [
            {
                "yard": yard.yard,
                "name": yard.name,
                "land": yard.land,
                "index": dict(zip(("low", "median", "high"), plain(yard.index), strict=True)),
                "load_g": plain(yard.load_g),
                "cautions": list(yard.cautions),
                "hives": [
                    {k: v for k, v in line_object(line).items() if k not in ("yard", "yard_name")}
                    for line in yard.hives
                ],
            }
            for yard in view.yards
        ],
    }


def as_text(value: object) -> str:
    """JSON text, two spaces deep, UTF-8 letters kept."""
    return json.dumps(value, indent=2, ensure_ascii=False, allow_nan=False)
