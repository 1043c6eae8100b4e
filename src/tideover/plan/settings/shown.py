"""Settings as a page shows them."""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from typing import Final

from tideover.plan.settings.whole import Settings

FEED_EFFECT_NOTE: Final = (
    "What a patty does is itself uncertain and may be nothing or harm: autumn patties gave no more winter bees in "
    "Ontario trials (Mattila & Otis 2007), colonies fed in winter had more virus, Nosema and queen loss than colonies "
    "on forage (DeGrandi-Hoffman et al. 2016), and in Alberta different intakes often did not change brood or adults "
    "(Hoover et al. 2022). The prior of the effect spans nil and harm and is not a setting."
)
"""Shown beside the settings: why the effect of feeding is not a number to type in."""

PARTS: Final[tuple[tuple[str, str], ...]] = (
    ("When one plan beats another", "margin"),
    ("Mites", "mites_caution_growing"),
    ("Honey", "honey_emergency_kg"),
    ("Heat and fire at the visit", "heat_high_f"),
    ("Dates that end a season", "last_brood"),
    ("How long a piece lies", "pull_by_days"),
    ("What too much and too little cost", "portion_chance"),
    ("Your patty", "patty_from"),
    ("Pollen, the queen and robbers", "pollen_share_enough"),
    ("Old and thin readings", "look_stale_days"),
    ("Uniting, moving and water", "unite_winter_bees"),
    ("Beetles, prices of feed and working time", "beetle_pressure"),
    ("When and from where rounds go", "home_place"),
    ("Road and vehicle", "road_factor"),
    ("What you have in hand", "freezer_l"),
    ("Prices of the round", "sugar_price"),
    ("Field cards", "card_days"),
)
"""Headings of the settings, each with the first setting under it."""


@dataclass(frozen=True)
class SettingShown:
    """One setting as a page shows it: value, default, range, source and how it is known."""

    name: str
    says: str
    value: float | str
    default: float | str
    unit: str
    low: float | None
    high: float | None
    words: tuple[str, ...]
    source: str
    known: str
    row: str
    """Key of the row in the figures book that the default is taken from; empty when there is none."""
    part: str
    """Heading it stands under, one of ``PARTS``."""

    @property
    def own(self) -> bool:
        """Whether it holds another value than the first; numbers may stand as typed."""
        return _as_typed(self.value) != _as_typed(self.default)


def _as_typed(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def fields_for_display(settings: Settings | None = None) -> tuple[SettingShown, ...]:
    """Every setting in order, with what a page needs to show and edit it."""
    used = settings if settings is not None else Settings()
    shown = []
    starts = {first: heading for heading, first in PARTS}
    part = ""
    for f in fields(used):
        m = f.metadata
        part = starts.get(f.name, part)
        shown.append(
            SettingShown(
                f.name,
                m["says"],
                getattr(used, f.name),
                f.default if f.default is not MISSING else "",
                m["unit"],
                m.get("low"),
                m.get("high"),
                tuple(m.get("words", ())),
                m["source"] or m["known"],
                m["known"],
                m.get("row", ""),
                part,
            )
        )
    return tuple(shown)
