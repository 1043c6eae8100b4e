"""The smallest change put into the task itself, so that one tap works the mix out with it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from math import ceil, floor
from typing import Any, Final

from tideover.patty.kitchen.outcome import Change

MOST_LEVEL: Final = 100.0


def with_changes(raw: Mapping[str, Any], changes: Iterable[Change]) -> dict[str, Any]:
    """A task as a file holds it, with its limits given way as far as ``changes`` say, rounded to the easy side.

    Limits on single amino acids share one score, which gives way as far as the furthest of them.
    """
    made = deepcopy(dict(raw))
    limits = dict(made.get("limits") or {})
    for change in changes:
        side, _, name = change.key.partition(":")
        if change.key == "budget":
            made["budget"] = _up(change.needed)
        elif side == "amino":
            limits["score_min"] = min(_down(change.needed), float(limits.get("score_min", change.level)))
        elif side in ("least", "most"):
            bound = ("min", _down(change.needed)) if side == "least" else ("max", _up(change.needed))
            made["ingredients"] = [_bounded(one, name, *bound) for one in made.get("ingredients") or []]
        else:
            level = _up(change.needed) if change.key.endswith("_max") else _down(change.needed)
            # a limit above what a task may ask for holds nothing back
            limits[change.key] = "none" if level > MOST_LEVEL else level
    if limits:
        made["limits"] = limits
    return made


def _bounded(one: Any, name: str, bound: str, level: float) -> Any:
    table = {"name": one} if isinstance(one, str) else one
    if str(table.get("name", "")).strip().lower() != name.lower():
        return one
    return {**table, bound: level}


def _down(value: float) -> float:
    return floor(100.0 * value) / 100.0


def _up(value: float) -> float:
    return ceil(100.0 * value) / 100.0
