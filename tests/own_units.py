"""Whether the keeper's own units stand first in what is shown, told without the product's own way of turning pairs."""

from __future__ import annotations

import re
from typing import Final

from tideover.forage.heat import visit_cautions

_METRIC: Final = r"(?:°C|\bk?g|\bmm|\bcm|m/s|\bkm|\blitres?|\bl)"
_US: Final = r"(?:°F|\blb|\boz|\bof 800|\bmph|\bmi|\bquarts?|\bin|\bgal)"
METRIC_FIRST: Final = re.compile(rf"[^.;()]*{_METRIC} \([^()]*{_US}\)")
US_FIRST: Final = re.compile(rf"[^.;()]*{_US} \([^()]*{_METRIC}\)")
WEATHER: Final = {"tmax_c": 41.0, "rh": 20.0, "wind": 9.0, "rain_mm": 12.0, "drought": 160.0}
"""A day that asks for every caution but the one of cold."""


def cautions(us: bool = False) -> tuple[str, ...]:
    """What such a day asks for: heat, fire, wind, rain, lifting; and the cold of another day."""
    warm = visit_cautions(**WEATHER, heaviest_box="deep", us=us)
    return tuple(c.text for c in [*warm, *visit_cautions(8.0, 60.0, 1.0, 0.0, 10.0, us=us)])


def assert_own_first(text: str, units: str, least: int = 1) -> None:
    """No pair of units the other way round, and at least so many the right way round."""
    text = re.sub(r"\s+", " ", text)
    wrong, right = (METRIC_FIRST, US_FIRST) if units == "us" else (US_FIRST, METRIC_FIRST)
    assert wrong.findall(text) == []
    assert len(right.findall(text)) >= least, text
