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
from math import exp, log
from typing import Final, Literal

import numpy as np
import numpy.typing as npt

from tideover.figures import book

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]
_SHELF: Final = book()
DEARTH: Final = _SHELF.value("lookout.dearth_line")
MEAN_D: Final = int(_SHELF.value("lookout.mean_d"))
State = Literal["dearth", "dearth ahead", "perhaps back", "pollen is back", "pollen", "cannot tell"]


@dataclass(frozen=True)
class AlertRules:
    """Line and lengths of a dearth, and when to speak."""

    line: float = DEARTH
    mean_d: int = MEAN_D
    dearth_d: int = int(_SHELF.value("lookout.dearth_d"))
    back_d: int = int(_SHELF.value("lookout.back_d"))
    within_d: int = int(_SHELF.value("lookout.within_d"))
    speak: float = _SHELF.value("lookout.speak")
    """Share of paths in dearth from which it is said. One missed costs more than a look too many (our assumption); how
    often it comes true: docs/science/lookout.md."""
    ahead_speak: float = _SHELF.value("lookout.ahead_speak")
    back_speak: float = _SHELF.value("lookout.back_speak")
    """Of the paths out of a dearth, the share in which one ended lately from which its end is said: a dearth that was
    told from two paths in five must be taken back with its day, though many paths never had it."""
    back_after_d: int = int(_SHELF.value("lookout.back_after_d"))
    """Days the end must lie back before it is told as sure; until then pollen is 'perhaps back'."""
    lately_d: int = int(_SHELF.value("lookout.lately_d"))
    unsure: float = _SHELF.value("lookout.unsure")
    odds: tuple[float, float] = (_SHELF.value("lookout.odds_shift"), _SHELF.value("lookout.odds_power"))
    """How a share of paths in dearth becomes a chance, for a yard with earlier years' notes: log odds told = first +
    second x log odds of the share. Shares were too low from a fifth up; fitted on 200 seasons of an invented land in
    real weather and scored on others (docs/science/lookout.md). (0, 1) leaves shares as they are."""
    ask_from: float = _SHELF.value("lookout.ask_from")
    """A look is asked for when a dearth is more likely than this and less likely than the rest to one."""
    ask_within_d: int = int(_SHELF.value("lookout.ask_within_d"))
    ask_apart_d: int = int(_SHELF.value("lookout.ask_apart_d"))
    end_ask_from: float = _SHELF.value("lookout.end_ask_from")
    end_ask_within_d: int = int(_SHELF.value("lookout.end_ask_within_d"))
    """The same while a dearth is said: its end is seldom in sight until a look shows it, so that a smaller chance, and
    one further on, is worth the look (chosen on seasons of an invented land: docs/science/lookout.md)."""


DEFAULT_ALERT: Final = AlertRules()


@dataclass(frozen=True)
class Alert:
    """What is ahead; probabilities 0-1, days from today, None when it happens in too few paths to say.

    What is said goes by shares of paths; the chances told with it are set right (``AlertRules.odds``).
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


def smooth(log_index: npt.ArrayLike, width: int = MEAN_D) -> Floats:
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

    While a dearth is said the first within ten days on which one path in twenty is out of it. None when the days ahead
    are as good as settled; never sooner than three days after the look before.

    :param log_index: paths over past and future days, shape (paths, days).
    :param last_look: day of the newest note or count; None without one.
    """
    x = np.atleast_2d(np.asarray(log_index, dtype=np.float64))
    k = (today - days[0]).days
    share = in_dearth(x, rules)[:, k:].mean(axis=0)
    said = share[0] >= rules.speak
    least, within = (rules.end_ask_from, rules.end_ask_within_d) if said else (rules.ask_from, rules.ask_within_d)
    share = share[: within + 1]
    split = np.flatnonzero((share >= least) & (share <= 1.0 - least))
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


def chance(share: float, rules: AlertRules = DEFAULT_ALERT) -> float:
    """The chance told for a share of paths in dearth; none and all stay none and all."""
    shift, power = rules.odds
    yes, no = exp(shift) * share**power, (1.0 - share) ** power
    return float(yes / (yes + no))


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
        announced: in trials such warnings came true one time in ten or less; and chances are told as shares of paths.
    """
    x = np.atleast_2d(np.asarray(log_index, dtype=np.float64))
    k = (today - days[0]).days
    if not 0 < k < len(days):
        raise ValueError(f"today is {today}, wanted a day inside {days[0]} to {days[-1]}.")
    on = in_dearth(x, rules)
    now = on[:, k]
    share_now = float(now.mean())
    p_now = chance(share_now, rules) if taught else share_now
    ahead = on[:, k:]
    start, end = _first_ahead(ahead[~now], True), _first_ahead(ahead[now], False)
    soon = float(np.mean(start <= rules.within_d)) if start.size else 0.0
    began = back = None
    if share_now >= rules.speak:
        began = _dates(days, _turns(on[now][:, : k + 1], True))
    past_end = _turns(on[~now][:, : k + 1], False) if (~now).any() else np.zeros(0)
    ended_lately = past_end >= max(1, k - rules.lately_d)
    lately = float(ended_lately.mean()) if past_end.size else 0.0
    if share_now < rules.speak and lately >= rules.back_speak:
        back = _dates(days, past_end[ended_lately])
    starts_in = _three(start) if start.size and share_now < rules.speak and np.isfinite(np.median(start)) else None
    ends_in = _three(end) if end.size and share_now >= rules.speak and np.isfinite(np.median(end)) else None
    shares = _Chances(share_now, soon, lately)
    told = _Chances(p_now, soon, lately)
    state, words = _say(shares, told, starts_in, ends_in, began, back, today, rules, taught)
    return Alert(state, words, p_now, told.within, starts_in, ends_in, told.back, began, back)


def sure_from(told: Alert, rules: AlertRules = DEFAULT_ALERT) -> date | None:
    """The day from which an end told as perhaps is told as sure, if the days last; None in any other state."""
    if told.state != "perhaps back" or told.back is None:
        return None
    return told.back[1] + timedelta(days=rules.back_after_d)


@dataclass(frozen=True)
class _Chances:
    """A dearth now; one that begins within the days asked, if none is on; one that ended lately, if none is on."""

    now: float
    soon: float
    lately: float

    @property
    def within(self) -> float:
        return self.now + (1.0 - self.now) * self.soon

    @property
    def back(self) -> float:
        return (1.0 - self.now) * self.lately


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


def _say_back(
    shares: _Chances, told: _Chances, starts: tuple[float, float, float] | None, back: tuple[date, date, date],
    today: date, rules: AlertRules, taught: bool,
) -> tuple[State, str]:  # fmt: skip
    """A dearth that ended lately: perhaps, till it lies days back; with doubt, where it may never have been."""
    n = (today - back[1]).days
    ago = "1 day" if n == 1 else f"{n} days"
    since = f"since about {ago} ago" if n else "since about today"
    again = ""
    if taught and shares.soon >= rules.ahead_speak:
        when = _span(starts) if starts else f"within {rules.within_d} days"
        again = f" A dearth is likely to begin again {when}."
    if n < rules.back_after_d:
        sure = back[1] + timedelta(days=rules.back_after_d)
        return (
            "perhaps back",
            f"Pollen is perhaps back, {since} ({_percent(1.0 - told.now)} likely that no dearth is on): a few good days"
            f" are no end yet; if they last, it is told as sure from about {sure:%A} {sure.day} {sure:%B}.{again}",
        )
    if told.back < 0.5:
        doubt = f"a dearth now is {_percent(told.now)} likely"
        return "pollen is back", f"If there was a dearth, pollen is back, {since} ({doubt}).{again}"
    return "pollen is back", f"Pollen is back, {since} ({_percent(told.back)} likely).{again}"


def _percent(p: float) -> str:
    return "under 1 %" if p < 0.01 else "over 99 %" if p > 0.99 else f"{100 * p:.0f} %"


def _say(
    shares: _Chances, told: _Chances, starts: tuple[float, float, float] | None,
    ends: tuple[float, float, float] | None, began: tuple[date, date, date] | None,
    back: tuple[date, date, date] | None, today: date, rules: AlertRules, taught: bool,
) -> tuple[State, str]:  # fmt: skip
    """The state by shares of paths, in words with the chances told."""
    if shares.now >= rules.speak:
        for_days = f" for about {(today - began[1]).days} days" if began else ""
        more = f"; pollen may be back {_span(ends)}" if ends else "; no end within the days looked ahead"
        as_likely = told.now < 0.5
        doubt = f"about as likely as not, {_percent(told.now)}" if as_likely else f"{_percent(told.now)} likely"
        return "dearth", f"Pollen dearth{for_days} ({doubt}){more}."
    if back is not None:
        return _say_back(shares, told, starts, back, today, rules, taught)
    if shares.within >= rules.ahead_speak and not taught:
        return (
            "cannot tell",
            "Cannot tell what comes: by its weather alone a dearth would be near, but that says little before a year of"
            " this yard's own notes; a bloom note or a minute at an entrance each week shows it when it begins.",
        )
    if shares.within >= rules.ahead_speak:
        when = _span(starts) if starts else f"within {rules.within_d} days"
        return (
            "dearth ahead",
            f"A dearth is likely to begin {when} ({_percent(told.within)} within {rules.within_d} days).",
        )
    if shares.within >= rules.unsure or shares.now >= rules.unsure:
        return (
            "cannot tell",
            f"Cannot tell: a dearth now is {_percent(told.now)} likely, within {rules.within_d} days"
            f" {_percent(told.within)}; a bloom note or a minute at an entrance would decide it.",
        )
    return "pollen", f"No dearth in sight ({_percent(told.within)} within {rules.within_d} days)."
