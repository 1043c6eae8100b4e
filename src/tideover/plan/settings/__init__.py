"""The keeper's own thresholds, each with its range, its source and how it is known.

Every number a gate or a plan compares with stands here once, so that a keeper can
set it and a page can show where it came from. Defaults are published values where
there are any; the rest say 'our assumption' or 'common practice'.

``colony``, ``visit``, ``patties``, ``causes`` and ``rounds`` declare them by what they are about; ``whole`` puts
them together and checks them; ``shown`` is what a page shows; ``asked`` says how one is declared and refused.

May import what ``plan`` may. Start reading at ``whole``.
"""

from tideover.plan.settings.asked import SettingsError, month_day
from tideover.plan.settings.shown import FEED_EFFECT_NOTE, PARTS, SettingShown, fields_for_display
from tideover.plan.settings.whole import PHASES, PhaseName, Settings

__all__ = [
    "FEED_EFFECT_NOTE", "PARTS", "PHASES", "PhaseName", "SettingShown", "Settings", "SettingsError",
    "fields_for_display", "month_day",
]  # fmt: skip
