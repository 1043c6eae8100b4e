"""Forecasts and states put into the words of the pages."""

from __future__ import annotations

from datetime import date, datetime
from typing import Final

from tideover.plan.call import Call, Runway
from tideover.web import units as u
from tideover.web.units import System

MILESTONES: Final[dict[str, str]] = {
    "pantry empty": "stored pollen is eaten up",
    "nurses' reserves low": "the nurses’ own reserves run low",
    "larvae being eaten": "brood pays: larvae are eaten",
}

REFERS: Final[dict[str, str]] = {
    "medical": "a doctor, or the emergency number",
    "authority": "the authority in charge where you are",
    "inspector": "the bee inspector",
    "vet": "a licensed vet",
}

_DAYS: Final = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
_MONTHS: Final = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day(when: date | datetime | None) -> str:
    """A date with its weekday, the month in letters so that no order of numbers can mislead."""
    if when is None:
        return "never"
    return f"{_DAYS[when.weekday()]} {when.day} {_MONTHS[when.month - 1]}"


def day_year(when: date | datetime | None) -> str:
    """The same with the year."""
    return "never" if when is None else f"{day(when)} {when.year}"


def moment(when: datetime | None) -> str:
    """A date and hour, as the clock at the yard shows it."""
    return "no time set" if when is None else f"{day(when)}, {when:%H:%M}"


def milestone(name: str) -> str:
    """What happens at a milestone, in words."""
    return MILESTONES.get(name, name.replace("_", " "))


def refers(name: str) -> str:
    """Who to ask."""
    return REFERS.get(name, name)


def percent(share: float) -> str:
    """A probability as a whole percentage; a forecast of some hundred draws can claim neither 0 nor 100."""
    if share < 0.01:
        return "under 1 %"
    if share > 0.99:
        return "over 99 %"
    return f"{round(share * 100)} %"


def in_days(r: Runway) -> str:
    """A runway in words, e.g. 'in 9 days (5–16)' or 'not within 60 days (chance of it 12 %)'."""
    if r.median is None:
        return f"not within {r.horizon_days} days (chance of it {percent(r.p_within_horizon)})"
    middle, low = round(r.median), round(r.low or 0)
    high = f"over {r.horizon_days}" if r.high is None else str(round(r.high))
    if middle <= 0 and high == "0":
        return "now"
    head = "now" if middle <= 0 else f"in {middle} day{'s' if middle != 1 else ''}"
    joint = " to " if r.high is None else "\u2060–\u2060"
    return f"{head} ({low}{joint}{high})"


def runway(r: Runway) -> str:
    """The runway line of the round."""
    return f"brood pays {in_days(r)}" if r.median is not None else f"brood pays: {in_days(r)}"


def sure(call: Call) -> str:
    """How sure the call is, or that it is a toss-up."""
    if call.sure is None:
        return "by a gate"
    return f"toss-up ({percent(call.sure)})" if call.toss_up else f"{percent(call.sure)} sure"


def amount(call: Call, system: System, product: bool = True) -> str:
    """What to give and how much; empty when the call gives nothing."""
    if call.grams <= 0:
        return ""
    what = (call.product or "") if product else "sugar" if call.action == "give sugar" else ""
    what = what.replace(" %", "\u00a0%")
    if call.action == "give sugar":
        return f"{u.honey(call.grams / 1000, system)} {what}".strip()
    return f"{u.patty(call.grams, system)} {what}".strip()


def overdue(call: Call, today: date) -> bool:
    """Whether the piece on the hive should have been off before today."""
    return call.pull_by is not None and call.pull_by.date() < today


def bees(band: tuple[float, float, float]) -> str:
    """Adults today with their interval."""
    low, middle, high = band
    return f"{u.bees(middle)} bees ({u.bees(low)}\u2060–\u2060{u.bees(high)})"


def ago(then: date | None, today: date) -> str:
    """How long ago a look was."""
    if then is None:
        return "not looked at yet"
    days = (today - then).days
    if days < 0:
        return day(then)
    return {0: "today", 1: "yesterday"}.get(days, f"{days} days ago")
