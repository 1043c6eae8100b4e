"""Sentences that tell a quantity in both systems of units, turned so that the keeper's own stands first.

Rooms below write pairs such as '38 °C (100 °F)' once, whoever reads them. What shows them turns the pairs round where
the keeper's own units stand in the brackets; a quantity told in one system alone is left as it is.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any, Final

_NUMBER: Final = r"[+\-−]?\d[\d,.]*[¼½¾]?|[¼½¾]"
_SPAN: Final = rf"(?:{_NUMBER})(?:(?:\s?[-–]\s?|\sto\s)(?:{_NUMBER}))?"
_OF: Final = rf"(?:\sof\s(?:{_NUMBER}))?"
_METRIC: Final = rf"{_SPAN}{_OF}\s(?:°C|kg|g|mm|cm|m/s|km/h|km|litres?|L|l)|[Aa] litre"
_US: Final = rf"{_SPAN}{_OF}\s(?:°F|lb|oz|in|mph|miles|mi|quarts?|gallons?|gal)|{_SPAN}\sof\s800|[Aa] quart"
_PAIR: Final[Mapping[str, re.Pattern[str]]] = {
    "us": re.compile(rf"(?<![\w.,])({_METRIC})\s\(({_US})\)"),
    "metric": re.compile(rf"(?<![\w.,])({_US})\s\(({_METRIC})\)"),
}
"""By the keeper's units: a pair that stands the other way round."""


def own_first(text: str, units: str) -> str:
    """The same sentence with the keeper's units first in every pair.

    :param text: a sentence in which quantities stand as 'one (the other)'.
    :param units: 'metric' or 'us'; anything else is read as metric.
    """
    return _PAIR["us" if units == "us" else "metric"].sub(_turned, text)


def _turned(found: re.Match[str]) -> str:
    first, second = found[1], found[2]
    if first[0] == "A":
        # a sentence begins here
        first, second = "a" + first[1:], second[:1].upper() + second[1:]
    return f"{second} ({first})"


def all_own_first(value: Any, units: str) -> Any:
    """Plain values as JSON holds them, with every sentence in them turned."""
    if isinstance(value, str):
        return own_first(value, units)
    if isinstance(value, dict):
        return {k: all_own_first(v, units) for k, v in value.items()}
    if isinstance(value, list):
        return [all_own_first(v, units) for v in value]
    return value
