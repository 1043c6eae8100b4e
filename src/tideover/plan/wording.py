"""A call in words: reasons, runway, summary, what belongs to the plan."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.evidence.assimilate import Assimilated
from tideover.evidence.scatters import JELLY_DRY, JELLY_FLOATING
from tideover.figures import book, reader
from tideover.plan.call import Action, Interval, Reason, Runway
from tideover.plan.compare import Outcome
from tideover.plan.decide import Choice
from tideover.plan.gates_words import honey
from tideover.plan.options import Option
from tideover.plan.settings import Settings

Floats = NDArray[np.float64]

TRACE_G, NOW_TO_D = reader("calls")("trace_g"), reader("calls")("now_to_d")
"""Less stored pollen is told as under it; a runway whose 80 % end before this is now."""


def interval(values: Floats) -> Interval:
    """Median and 80 % interval of an ensemble's values."""
    low, mid, high = quantiles(values)
    return Interval(mid, low, high)


def quantiles(values: Floats) -> tuple[float, float, float]:
    """The 10, 50 and 90 % points of ``numpy.quantile``, to the last bit, without its checks: asked for thousands of
    times on a card.
    """
    ranks = (values.size - 1) * np.array([0.1, 0.5, 0.9])
    under = np.floor(ranks).astype(np.intp)
    over = np.minimum(under + 1, values.size - 1)
    near = np.partition(values, np.concatenate([under, over]))
    found = []
    for t, a, b in zip((ranks - under).tolist(), near[under].tolist(), near[over].tolist(), strict=True):
        # from the nearer end, as numpy does
        found.append(b - (b - a) * (1.0 - t) if t >= 0.5 else a + (b - a) * t)
    low, mid, high = found
    return low, mid, high


def jelly_word(j: float) -> str:
    """The keeper's word for a jelly index."""
    return "dry" if j < JELLY_DRY else "damp" if j < JELLY_FLOATING else "floating"


@dataclass(frozen=True)
class Views:
    """Forecast pieces every later step reads."""

    first: Runway
    milestones: dict[str, Runway]
    need_g: float
    income_g: float
    honey_days: Interval | None
    honey_first_low: float | None


def _count(x: float, sign: str = "") -> str:
    """A count with thin gaps between thousands, rounded to what can be said: tens, from a thousand on hundreds."""
    rounded = round(x, -2) if abs(x) >= 1000 else round(x, -1)
    return f"{rounded:{sign},.0f}".replace(",", "\u202f")


def _grams(g: float) -> str:
    """Grams as far as they can be said."""
    return f"{round(g):.0f} g" if g < 10 else f"{round(g, -1):.0f} g"


def plain_reason(views: Views, known: Assimilated, land: str) -> Reason:
    """Stores against need and income, and what the land gives."""
    e = known.ensemble
    stored = float(np.median(e.state[:, lay.BREAD]))
    shown = f"under {TRACE_G:.0f} g" if stored < TRACE_G else f"about {_grams(stored)}"
    return Reason(
        f"Stored pollen {shown}; the brood and nurses there would eat about {_grams(views.need_g)} a day and about "
        f"{_grams(views.income_g)} a day comes in. {land}"
    )


def runway_words(r: Runway) -> str:
    """The runway as a clause."""
    if r.median is None:
        return f"protein is not likely to run out within {r.horizon_days} days (chance {r.p_within_horizon:.0%})"
    high = f"{r.high:.0f}" if r.high is not None else f"over {r.horizon_days}"
    low = f"{r.low:.0f}" if r.low is not None else "?"
    if r.median < 1:
        if r.high is None:
            return f"the brood nest is most likely short of protein now, yet it may last over {r.horizon_days} days"
        return (
            "the brood nest is short of protein now"
            if r.high < NOW_TO_D
            else f"the brood nest is short of protein now or within {high} days"
        )
    middle = f"{r.median:.0f}"
    return f"the brood nest runs short of protein in about {middle} day{'' if middle == '1' else 's'} ({low} to {high})"


def summary(action: Action, choice: Choice, views: Views, sugar_kg: float, ordered: str, toss_up: bool) -> str:
    """The call in one or two sentences.

    :param ordered: what a gate or a case for a bigger change says instead; '' where plans decided.
    """
    if ordered:
        return ordered
    gain = _count(float(np.median(choice.gain)), "+")
    way = runway_words(views.first)
    if action == "lay on":
        text = f"Lay on: {way}; expected {gain} bees at winter against leaving alone."
    elif action == "leave":
        text = f"Leave alone: {way}; the best feeding plan is expected to change bees at winter by {gain}."
    elif action == "give sugar":
        text = f"Give {honey(sugar_kg)} of sugar as syrup inside the hive today."
    else:
        text = f"{action.capitalize()}: {way}."
    return text + (" It is a toss-up; the lesser intervention is taken." if toss_up else "")


def product(action: Action, settings: Settings) -> str | None:
    """What is given, described generically; None where nothing is."""
    if action == "lay on":
        with_pollen = f", {settings.patty_pollen_share:g} % pollen" if settings.patty_pollen_share > 0 else ""
        return f"soft patty, {settings.patty_protein:g} % protein{with_pollen}"
    return "sugar, given as syrup inside the hive" if action == "give sugar" else None


SPANS: Final = book().value("reading.spans_seams")
"""Seams of bees in a box from which a piece between it and the next is reached from both (common practice)."""


def where_to_lay(seams: tuple[float, ...] | None) -> str:
    """Where a piece goes: over the brood, and between two boxes where bees fill both (common practice, no source).

    :param seams: seams of bees by box, bottom first, at the last look; None when never counted.
    """
    flat = "paper left on, slit below, touching the bees"
    if seams is None:
        return f"Lay it flat on the top bars over the brood, {flat}; where brood is in two boxes, between them."
    filled = [i for i, n in enumerate(seams) if n >= SPANS]
    if len(filled) > 1:
        return f"Lay it flat between the boxes, over the brood, where bees of both reach it; {flat}."
    if filled and filled[0] > 0:
        return f"Lay it flat on the top bars of the box the bees are in, over the brood, {flat}."
    return f"Lay it flat on the top bars over the brood, under any box above, {flat}."


def rhythm(option: Option, settings: Settings, stay: int) -> str:
    """The plan a first piece belongs to, and when to come back."""
    if option.rhythm == "once":
        return f"Come back within {stay} days and take off what is left."
    every = int(settings.visit_days) * (2 if option.rhythm == "every other week" else 1)
    return (
        f"The plan it belongs to: {option.name}, every {every} days until pollen returns; never past {stay} days "
        "without taking off what is left."
    )


def gain_reason(choice: Choice, best: Outcome, leave: Outcome) -> Reason:
    """What feeding is expected to change, the chance of nil and harm counted in."""
    fed = best if best is not leave else choice.runner_up
    gain = interval(choice.gain)
    born = float(np.median(fed.emerged) - np.median(leave.emerged))
    return Reason(
        f"Against leaving alone, '{fed.option.name}' is expected to change bees at winter by "
        f"{_count(gain.median, '+')} ({_count(gain.low, '+')} to {_count(gain.high, '+')}) and bees reared until then "
        f"by {_count(born, '+')}. That feeding may do nothing, or harm, is counted in."
    )
