"""Dearth ahead, dearth now, and 'pollen is back': probabilities and lead times from whole paths of the index.

Past and future are drawn together, so that doubt about today runs on into the days ahead. A dearth is a
run of at least fourteen days whose seven-day mean (of the log index) lies below the dearth line; it begins
with the first of them and ends with the first of seven days above it. No published dearth threshold for honey bees
was found: line and lengths
are our assumption and may be set.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import log
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
DEARTH: Final = 0.25
State = Literal["dearth", "dearth ahead", "pollen is back", "pollen", "cannot tell"]


@dataclass(frozen=True)
class AlertRules:
    """Line and lengths of a dearth, and when to speak."""

    line: float = DEARTH
    mean_d: int = 7
    dearth_d: int = 14
    back_d: int = 7
    within_d: int = 14
    speak: float = 0.4
    """One missed costs more than a look too many (our assumption); how often it comes true: docs/science/lookout.md."""
    ahead_speak: float = 0.5
    back_speak: float = 0.6
    ask_from: float = 0.1
    """A look is asked for when a dearth is more likely than this and less likely than the rest to one."""
    ask_within_d: int = 7
    ask_apart_d: int = 3


DEFAULT_ALERT: Final = AlertRules()


@dataclass(frozen=True)
class Alert:
    """What is ahead; probabilities 0-1, days from today, None when it happens in too few paths to say.

    ``began`` and ``back`` are days in the past where more than half the paths put them, with 80 % ranges.
    """

    state: State
    words: str
    p_now: float
    p_within: float
    starts_in: tuple[float, float, float] | None
    ends_in: tuple[float, float, float] | None
    p_back: float
    began: tuple[date, date, date] | None
    back: tuple[date, date, date] | None


def smooth(log_index: npt.ArrayLike, width: int = 7) -> Floats:
    """Running mean over the last ``width`` days along the last axis (fewer at the beginning)."""
    x = np.asarray(log_index, dtype=np.float64)
    total = np.cumsum(x, axis=-1)
    out = total.copy()
    out[..., width:] = total[..., width:] - total[..., :-width]
    return np.asarray(out / np.minimum(np.arange(1, x.shape[-1] + 1), width))


def in_dearth(log_index: npt.ArrayLike, rules: AlertRules = DEFAULT_ALERT) -> Bools:
    """For each path and day whether a dearth is on, shape as given (paths, days).

    It needs ``dearth_d`` days below the line to begin, counted from the first of them, and ``back_d`` above it to
    end. A run that the last day cuts short counts as a dearth when it has lasted half of that.
    """
    below = smooth(np.atleast_2d(log_index), rules.mean_d) < log(rules.line)
    paths, days = below.shape
    on = np.zeros((paths, days), dtype=np.bool_)
    run = np.zeros(paths, dtype=np.int64)
    state = np.zeros(paths, dtype=np.bool_)
    since = np.zeros(paths, dtype=np.int64)
    for d in range(days):
        differs = below[:, d] != state
        since = np.where(differs & (run == 0), d, since)
        run = np.where(differs, run + 1, 0)
        needed = np.where(state, rules.back_d, rules.dearth_d)
        turned = (run >= needed) | (differs & (d == days - 1) & ~state & (run >= rules.dearth_d // 2))
        on[:, d] = state
        for p in np.flatnonzero(turned):
            on[p, since[p] : d + 1] = not state[p]
        state = np.where(turned, ~state, state)
        run = np.where(turned, 0, run)
    return on


def look_by(
    days: Sequence[date], log_index: npt.ArrayLike, today: date, last_look: date | None,
    rules: AlertRules = DEFAULT_ALERT,
) -> date | None:  # fmt: skip
    """The day on which a look would tell most: the first within a week when the paths disagree about a dearth.

    None when the week ahead is as good as settled; never sooner than three days after the look before.

    :param log_index: paths over past and future days, shape (paths, days).
    :param last_look: day of the newest note or count; None without one.
    """
    x = np.atleast_2d(np.asarray(log_index, dtype=np.float64))
    k = (today - days[0]).days
    share = in_dearth(x, rules)[:, k : k + rules.ask_within_d + 1].mean(axis=0)
    split = np.flatnonzero((share >= rules.ask_from) & (share <= 1.0 - rules.ask_from))
    if split.size == 0:
        return None
    told = today + timedelta(days=int(split[0]))
    return told if last_look is None else max(told, last_look + timedelta(days=rules.ask_apart_d))


def _turns(on: Bools, rising: bool) -> Floats:
    """Last day each path turned into (or out of) a dearth; -1 when it never did, shape (paths,)."""
    flips = on[:, 1:] & ~on[:, :-1] if rising else ~on[:, 1:] & on[:, :-1]
    days = on.shape[1] - 1
    last = days - np.argmax(flips[:, ::-1], axis=1)
    return np.where(flips.any(axis=1), last, -1).astype(np.float64)


def _first_ahead(on: Bools, rising: bool) -> Floats:
    """First day ahead each path is in (or out of) a dearth, inf when never; ``on`` holds days ahead only."""
    wanted = on if rising else ~on
    return np.where(wanted.any(axis=1), np.argmax(wanted, axis=1).astype(np.float64), np.inf)


def _three(values: Floats) -> tuple[float, float, float]:
    low, mid, high = np.quantile(values, [0.1, 0.5, 0.9], method="inverted_cdf")
    return float(low), float(mid), float(high)


def alert(
    days: Sequence[date],
    log_index: npt.ArrayLike,
    today: date,
    rules: AlertRules = DEFAULT_ALERT,
    *,
    taught: bool = True,
) -> Alert:
    """Read an alert from paths of the log index over past and future days, shape (paths, days).

    :param today: must be one of ``days``, with days before and after it.
    :param taught: whether earlier years' notes of the yard shaped the days ahead. Without them a dearth ahead is not
        announced: in trials such warnings came true one time in ten or less.
    """
    x = np.atleast_2d(np.asarray(log_index, dtype=np.float64))
    k = (today - days[0]).days
    if not 0 < k < len(days):
        raise ValueError(f"today is {today}, wanted a day inside {days[0]} to {days[-1]}.")
    on = in_dearth(x, rules)
    now = on[:, k]
    p_now = float(now.mean())
    ahead = on[:, k:]
    start, end = _first_ahead(ahead[~now], True), _first_ahead(ahead[now], False)
    p_within = float(p_now + (1.0 - p_now) * np.mean(start <= rules.within_d)) if start.size else p_now
    began = back = None
    if p_now >= rules.speak:
        began = _dates(days, _turns(on[now][:, : k + 1], True))
    past_end = _turns(on[~now][:, : k + 1], False) if (~now).any() else np.zeros(0)
    ended_lately = past_end >= max(1, k - 28)
    p_back = float((1.0 - p_now) * ended_lately.mean()) if past_end.size else 0.0
    if p_back >= rules.back_speak:
        back = _dates(days, past_end[ended_lately])
    starts_in = _three(start) if start.size and p_now < rules.speak and np.isfinite(np.median(start)) else None
    ends_in = _three(end) if end.size and p_now >= rules.speak and np.isfinite(np.median(end)) else None
    state, words = _say(p_now, p_within, p_back, starts_in, ends_in, began, back, today, rules, taught)
    return Alert(state, words, p_now, p_within, starts_in, ends_in, p_back, began, back)


def _dates(days: Sequence[date], at: Floats) -> tuple[date, date, date] | None:
    known = at[at >= 0]
    if known.size < max(5, at.size // 2):
        return None
    low, mid, high = _three(known)
    first = days[0]
    return (first + timedelta(days=int(low)), first + timedelta(days=int(mid)), first + timedelta(days=int(high)))


def _span(three: tuple[float, float, float]) -> str:
    low, mid, high = three
    high_word = "later than is looked ahead" if not np.isfinite(high) else f"{high:.0f}"
    return f"in about {mid:.0f} days ({low:.0f} to {high_word})"


def _percent(p: float) -> str:
    return "under 1 %" if p < 0.01 else "over 99 %" if p > 0.99 else f"{100 * p:.0f} %"


def _say(
    p_now: float, p_within: float, p_back: float, starts: tuple[float, float, float] | None,
    ends: tuple[float, float, float] | None, began: tuple[date, date, date] | None,
    back: tuple[date, date, date] | None, today: date, rules: AlertRules, taught: bool,
) -> tuple[State, str]:  # fmt: skip
    if p_now >= rules.speak:
        for_days = f" for about {(today - began[1]).days} days" if began else ""
        more = f"; pollen may be back {_span(ends)}" if ends else "; no end within the days looked ahead"
        doubt = f"{_percent(p_now)} likely" if p_now >= 0.5 else f"about as likely as not, {_percent(p_now)}"
        return "dearth", f"Pollen dearth{for_days} ({doubt}){more}."
    if p_back >= rules.back_speak and back is not None:
        days = (today - back[1]).days
        return "pollen is back", f"Pollen is back, since about {days} days ago ({_percent(p_back)} likely)."
    if p_within >= rules.ahead_speak and not taught:
        return (
            "cannot tell",
            "Cannot tell what comes: by its weather alone a dearth would be near, but that says little before a year of"
            " this yard's own notes; a bloom note or a minute at an entrance each week shows it when it begins.",
        )
    if p_within >= rules.ahead_speak:
        when = _span(starts) if starts else f"within {rules.within_d} days"
        return (
            "dearth ahead",
            f"A dearth is likely to begin {when} ({_percent(p_within)} within {rules.within_d} days).",
        )
    if p_within >= 0.3 or p_now >= 0.3:
        return (
            "cannot tell",
            f"Cannot tell: a dearth now is {_percent(p_now)} likely, within {rules.within_d} days {_percent(p_within)};"
            " a bloom note or a minute at an entrance would decide it.",
        )
    return "pollen", f"No dearth in sight ({_percent(p_within)} within {rules.within_d} days)."
