"""All settings as one, checked against one another."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Final, Literal

from tideover.plan.settings.asked import SettingsError, problem_with, read_number
from tideover.plan.settings.causes import CauseSettings
from tideover.plan.settings.colony import ColonySettings
from tideover.plan.settings.patties import PattySettings
from tideover.plan.settings.rounds import RoundSettings
from tideover.plan.settings.visit import VisitSettings

PhaseName = Literal["growing", "peak", "shrinking", "resting with brood", "resting without brood"]
PHASES: Final[tuple[PhaseName, ...]] = ("growing", "peak", "shrinking", "resting with brood", "resting without brood")
_MITE_PAIRS: Final[Mapping[PhaseName, tuple[str, str]]] = {
    "growing": ("mites_caution_growing", "mites_treat_growing"),
    "peak": ("mites_caution_peak", "mites_treat_peak"),
    "shrinking": ("mites_caution_shrinking", "mites_treat_shrinking"),
    "resting with brood": ("mites_caution_resting_brood", "mites_treat_resting_brood"),
    "resting without brood": ("mites_caution_resting", "mites_treat_resting"),
}


# Fields come in the order of the bases read from the last to the first: the order in which pages show them.
@dataclass(frozen=True)
class Settings(RoundSettings, CauseSettings, PattySettings, VisitSettings, ColonySettings):
    """Thresholds of the gates and plans; numbers in canonical units, dates as ``MM-DD`` or empty.

    A field whose metadata names a ``row`` has the value of that row of the figures book as its default.
    """

    def __post_init__(self) -> None:
        problems = [p for f in fields(self) if (p := problem_with(f, getattr(self, f.name)))]
        if not problems:
            for caution, treat in _MITE_PAIRS.values():
                if getattr(self, caution) > getattr(self, treat):
                    problems.append(
                        f"Setting '{caution}' is {getattr(self, caution):g}, above '{treat}' "
                        f"({getattr(self, treat):g}); caution comes before treating: lower it."
                    )
            if self.day_end - self.day_start < 2:
                problems.append(
                    f"Setting 'day_end' is {self.day_end:g}, less than two hours after 'day_start' "
                    f"({self.day_start:g}); no round fits in: set them further apart."
                )
            if self.heat_high_f > self.heat_stop_f:
                problems.append(
                    f"Setting 'heat_high_f' is {self.heat_high_f:g}, above 'heat_stop_f' ({self.heat_stop_f:g}); "
                    "the cool-of-the-day level comes before the put-off level: lower it."
                )
        if problems:
            raise SettingsError(tuple(problems))

    def mite_levels(self, phase: PhaseName) -> tuple[float, float]:
        """Caution and treat levels [mites per 100 bees] for a phase of the season."""
        caution, treat = _MITE_PAIRS[phase]
        return float(getattr(self, caution)), float(getattr(self, treat))

    @property
    def asked_chance(self) -> float:
        """Chance of being eaten in time that a piece laid on must have: the keeper's, or as worked out for the hive."""
        return self.portion_chance or self.eaten_by_pull_by

    @classmethod
    def from_mapping(cls, raw: Mapping[str, Any]) -> Settings:
        """Settings from plain values (numbers or text as typed); missing names keep their default.

        Raises:
            SettingsError: with one sentence per value that cannot be used.
        """
        known = {f.name: f for f in fields(cls)}
        problems: list[str] = []
        values: dict[str, Any] = {}
        for name, value in raw.items():
            if name not in known:
                near = difflib.get_close_matches(name, known, n=1)
                hint = f"; did you mean '{near[0]}'?" if near else "; see the list of settings."
                problems.append(f"There is no setting '{name}'{hint}")
                continue
            spec = known[name]
            if "low" in spec.metadata:
                number = read_number(value)
                if number is None:
                    problems.append(
                        f"Setting '{name}' got '{value}', wanted a number of {spec.metadata['unit']} between "
                        f"{spec.metadata['low']:g} and {spec.metadata['high']:g}: write it with digits, such as "
                        f"{spec.default:g}."
                    )
                    continue
                values[name] = number
            elif isinstance(value, str):
                values[name] = value.strip()
            else:
                problems.append(f"Setting '{name}' got '{value}', wanted text: write it in words.")
                continue
            if problem := problem_with(spec, values[name]):
                problems.append(problem)
        if problems:
            raise SettingsError(tuple(problems))
        return cls(**values)

    def to_mapping(self) -> dict[str, float | str]:
        """Every setting as a plain value, ready for ``from_mapping``."""
        return {f.name: getattr(self, f.name) for f in fields(self)}

    def changed(self) -> dict[str, float | str]:
        """Only the settings that differ from their default."""
        return {f.name: getattr(self, f.name) for f in fields(self) if getattr(self, f.name) != f.default}
