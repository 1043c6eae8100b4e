"""Amounts, days and odds in the words of the printed sheet."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING, Final

from tideover.figures.units import POUND_G

if TYPE_CHECKING:
    from tideover.plan.call import Call, Runway

_QUARTERS: Final = ("", "¼", "½", "¾")
_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def pounds(grams: float) -> str:
    """Pounds in quarters where they fit within 3 %, else with one decimal."""
    value = grams / POUND_G
    whole, quarter = divmod(round(value * 4), 4)
    if (whole or quarter) and abs(value - round(value * 4) / 4) <= 0.03 * value:
        return f"{whole or ''}{_QUARTERS[quarter]} lb"
    return f"{value:.1f} lb"


def weight(grams: float) -> str:
    """Grams under 1.5 kg, to the nearest 5; kilograms above."""
    if grams >= 1500:
        return f"{grams / 1000:.2f}".rstrip("0").rstrip(".") + " kg"
    return f"{round(grams / 5) * 5:.0f} g"


def both(grams: float, units: str = "metric") -> str:
    """An amount in both units, the keeper's own first: ``455 g (1 lb)`` or ``1 lb (455 g)``."""
    first, second = (pounds(grams), weight(grams)) if units == "us" else (weight(grams), pounds(grams))
    return f"{first} ({second})"


def day(when: date | datetime) -> str:
    """A day whose month is in letters, so that no order of numbers misleads."""
    return f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]}"


def hour(when: datetime) -> str:
    """A day with its hour, as the clock at the yard shows it."""
    return f"{day(when)} {when:%H:%M}"


def percent(share: float) -> str:
    """A probability in percent, never 0 or 100: it is a share of so many drawn futures, and the next might differ."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{round(share * 100)} %"


def runway(one: Runway) -> str:
    """Days to a milestone with their 80 % range, or that it lies beyond the horizon."""
    if one.median is None:
        return f"not within {one.horizon_days} days (chance {percent(one.p_within_horizon)})"
    low = "?" if one.low is None else f"{one.low:.0f}"
    high = f"over {one.horizon_days}" if one.high is None else f"{one.high:.0f}"
    if one.median < 0.5:
        return "none left" if high == "0" else f"none left (up to {high} day{'' if high == '1' else 's'})"
    middle = f"{one.median:.0f}"
    return f"{middle} day{'' if middle == '1' else 's'} ({low} to {high})"


def sure(call: Call) -> str:
    """How sure the call is, or that it is a toss-up, and whether the evidence is thin."""
    if call.sure is None:
        text = "by a gate"
    else:
        text = f"toss-up ({percent(call.sure)})" if call.toss_up else f"{percent(call.sure)} sure"
    return f"{text}, thin evidence" if call.evidence == "thin" else text


def bees(band: tuple[float, float, float]) -> str:
    """Adults with their range, to the nearest 500 from 2,000 up, else to 100: any look errs by more."""
    low, middle, high = (f"{round(n / step) * step:,}" for n in band for step in (500 if n >= 2000 else 100,))
    return f"{middle} bees ({low} to {high})"


def gives(call: Call, units: str = "metric") -> str:
    """Amount and product, its composition left out; nothing for a call that gives nothing."""
    if call.grams <= 0:
        return ""
    what = f" {call.product.partition(',')[0]}" if call.product else ""
    return f"{both(call.grams, units)}{what}"


def pull_by(call: Call) -> str:
    """When the piece must be off, or that it should have been off before this round."""
    if call.pull_by is None:
        return ""
    if call.pull_by.date() < call.made_for:
        return f"due off since {day(call.pull_by)}"
    return f"pull by {hour(call.pull_by)}"
