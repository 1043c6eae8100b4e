"""How a setting is declared, and what is said of a value that cannot be used."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import Field, field
from datetime import date
from typing import Any, Final

from tideover.plan.rounds.words import days_off, home_of, notice_of

ROUND_TEXTS: Final[Mapping[str, Callable[[str], object]]] = {
    "home_place": home_of,
    "days_off": days_off,
    "yard_notice": notice_of,
}


class SettingsError(ValueError):
    """One or more settings cannot be used; ``problems`` holds one sentence for each."""

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__(" ".join(problems))
        self.problems = problems


def num(
    default: float, says: str, unit: str, low: float, high: float, source: str, known: str, row: str = ""
) -> Any:  # dataclasses.field is typed as its default, which a wrapper cannot repeat
    """A setting that is a number in ``unit``, from ``low`` to ``high``; ``row`` names the figure its default is."""
    return field(
        default=default,
        metadata={"says": says, "unit": unit, "low": low, "high": high, "source": source, "known": known, "row": row},
    )


def words(default: str, says: str, unit: str, source: str, known: str, among: tuple[str, ...] = ()) -> Any:
    """A setting in words, ``among`` those given when any are."""
    metadata = {"says": says, "unit": unit, "source": source, "known": known, "words": among}
    return field(default=default, metadata=metadata)


def month_day(text: str) -> tuple[int, int] | None:
    """Month and day of an ``MM-DD`` text, or None when it is not one."""
    month, dash, day = text.strip().partition("-")
    if not (dash and month.isascii() and day.isascii() and month.isdigit() and day.isdigit()):
        return None
    try:
        # A common year, so that 29 February is refused: it would not exist three years in four.
        found = date(2001, int(month), int(day))
    except ValueError:
        return None
    return found.month, found.day


def read_number(value: Any) -> float | None:
    """A number as typed, or None when it is not one."""
    if isinstance(value, bool):
        return None
    if isinstance(value, (int, float)):
        return float(value)
    if isinstance(value, str):
        try:
            return float(value.strip())
        except ValueError:
            return None
    return None


def problem_with(spec: Field[Any], value: Any) -> str | None:
    """The sentence that refuses a value, or None when it can be used."""
    m = spec.metadata
    if "low" in m:
        # 'not in range' is written so that nan, which compares false with everything, is refused.
        if isinstance(value, bool) or not isinstance(value, (int, float)) or not m["low"] <= value <= m["high"]:
            return (
                f"Setting '{spec.name}' got {value}, wanted {m['low']:g} to {m['high']:g} {m['unit']}: "
                f"choose a value in that range (the default is {spec.default:g})."
            )
        return None
    if not isinstance(value, str):
        return f"Setting '{spec.name}' got {value}, wanted text: write it in words."
    if m["words"] and value not in m["words"]:
        return f"Setting '{spec.name}' got '{value}', wanted one of {', '.join(m['words'])}: choose one of them."
    if m["unit"] == "MM-DD" and value and month_day(value) is None:
        return (
            f"Setting '{spec.name}' got '{value}', wanted month-day such as 09-05, or nothing: write two digits, "
            "a dash and two digits (29 February is not in every year)."
        )
    if spec.name in ROUND_TEXTS:
        try:
            ROUND_TEXTS[spec.name](value)
        except ValueError as e:
            return f"Setting '{spec.name}' {e}."
    if spec.name == "currency" and not 1 <= len(value) <= 8:
        return f"Setting 'currency' got '{value}', wanted 1 to 8 characters such as USD: write a shorter one."
    return None
