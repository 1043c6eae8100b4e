"""Gates of usefulness: whether a patty can do any good now, and whether enough is known to say."""

from __future__ import annotations

from datetime import date
from typing import Final

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.plan.call import Gate, Moment
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.gates_words import between, on, patty, percent, sentence
from tideover.plan.season_dates import stop_window
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

_value = reader("calls")
_REST_DAYS, _REST_AFTER_D = _value("rest_seen_d"), _value("rest_after_d")
"""Days for which a rest seen counts, and after which it means too large a piece."""

_POLLEN_DAYS: Final = _value("pollen_seen_d")
"""Pollen seen longer ago than this does not say that it comes in today."""
_ENOUGH_RETURNS: Final = _value("returns_least")
"""Fewer returning bees than this say little about the share with pollen."""
_SIGNS_TO_ASK: Final = (
    ("nest_pollen", "the band of pollen around the brood"),
    ("jelly", "the jelly of the youngest larvae"),
    ("eggs", "eggs"),
    ("brood_signs", "signs of brood disease (yes, no or not looked)"),
    ("capped_quarters", "capped brood in quarter sides"),
    ("open_quarters", "open brood in quarter sides"),
    ("seams", "seams of bees per box"),
    ("heft", "the heft"),
)


def use_gates(
    s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date, moment: Moment
) -> list[Gate]:
    """Every usefulness gate that stands."""
    found = [
        pollen_coming(s, o, settings),
        stop_date(settings, place, today),
        leftover(s),
        low_confidence(s, o, settings, moment),
    ]
    return [g for g in found if g is not None]


def pollen_coming(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """Pollen coming in: with bread by the brood a patty is of no use."""
    seen = []
    glance = s.latest.get("pollen_coming")
    if glance is not None and s.age(glance) > _POLLEN_DAYS:
        glance = None
    none_since = glance.day if glance is not None and glance.value == "none" else None
    if glance is not None and glance.value == "plenty":
        seen.append(f"pollen coming in 'plenty' on {on(glance.day)}")
    count = s.entrance
    if (
        count is not None
        and isinstance(count.value, float)
        and s.age(count) <= _POLLEN_DAYS
        and (s.entrance_bees or 0) >= _ENOUGH_RETURNS
        and count.value >= settings.pollen_share_enough
        and (none_since is None or count.day > none_since)
    ):
        seen.append(
            f"{percent(count.value)} of {s.entrance_bees} returning bees carried pollen on {on(count.day)} "
            f"(yours: from {percent(settings.pollen_share_enough)})"
        )
    # What was seen outweighs the yard's index, which is a forecast.
    if not seen and none_since is None and o.index.low >= settings.pollen_index_enough:
        seen.append(f"pollen on offer at the yard {o.index.median:.2f} (1 is an ordinary good flow)")
    if not seen:
        return None
    source = "Hoover et al. 2022: little gain where pollen comes in (read abstract, inference)"
    bread = _bread(s, settings)
    if bread:
        return Gate(
            "pollen-coming",
            "blocks",
            "Pollen is coming in and there is bread by the brood: do not feed",
            f"{sentence(*seen, bread)}.",
            "Lay nothing on; look again at the next round whether it still comes in.",
            source,
        )
    return Gate(
        "pollen-coming-unsure",
        "warns",
        "Pollen is coming in; bread by the brood is not seen",
        f"{sentence(*seen)}; no band of pollen by the brood is written in the last {settings.sign_days:g} days.",
        "Look at one brood comb: with a band of pollen there, lay nothing on.",
        source,
    )


def _bread(s: Situation, settings: Settings) -> str:
    nest = s.latest.get("nest_pollen")
    if nest is not None and nest.value in ("thin band", "broad band") and s.age(nest) <= settings.sign_days:
        return f"{nest.value} of pollen by the brood on {on(nest.day)}"
    outer = s.latest.get("outer_pollen")
    none_by_brood = nest is not None and nest.value in ("none", "scattered") and outer and nest.day >= outer.day
    if (
        outer is not None
        and outer.value in ("broad band", "half side", "full side")
        and s.age(outer) <= settings.sign_days
        and not none_by_brood
    ):
        return f"outer comb with pollen, {outer.value}, on {on(outer.day)}"
    return ""


def stop_date(settings: Settings, place: Place, today: date) -> Gate | None:
    """The stop date of patties has passed: late protein delays the winter bees."""
    window = stop_window(settings, place, today)
    if window is None or not window.holds(today):
        return None
    return Gate(
        "stop-date",
        "warns",
        "Past the stop date for patties",
        f"The stop date here is {on(window.stop)}: {window.how}.",
        "Late protein keeps brood going and delays the winter bees without making more of them; feed only if you have "
        "a reason, such as building for an early contract.",
        "Mattila & Otis 2007, Ontario (read abstract); the date itself is a rule of thumb, yours to set",
    )


def leftover(s: Situation) -> Gate | None:
    """A piece left after a week: too large, off the cluster, or only too hard to eat."""
    piece = s.patty if s.patty is not None else (s.feeds[-1] if s.feeds else None)
    if (
        piece is None
        or piece.left_day is None
        or not piece.left_quarters
        or (s.today - piece.left_day).days > _REST_DAYS
    ):
        return None
    if piece.texture == "hard":
        return Gate(
            "patty-hard",
            "warns",
            "The piece went hard: it says nothing about hunger",
            f"{piece.left_quarters:g} quarters of {patty(piece.grams)} left on {on(piece.left_day)}, hard.",
            "Not eaten is not unwanted: a fresh, soft, smaller piece touching the cluster, paper on the outer face.",
            "harder than thick nut butter is refused (common practice)",
        )
    on_days = (piece.left_day - piece.on).days
    if on_days < _REST_AFTER_D:
        return None
    why = " It did not touch the cluster, which may be why." if piece.touch == "no" else ""
    return Gate(
        "patty-left",
        "warns",
        "Not eaten in a week: smaller pieces",
        f"{piece.left_quarters:g} quarters of {patty(piece.grams)} left on {on(piece.left_day)} after {on_days} "
        f"days.{why}",
        "Next piece no more than they ate, laid over the brood; less where beetles are.",
        "eaten within 7-10 days (common practice); USDA Baton Rouge bee laboratory on weak colonies and beetles (read)",
    )


def missing_sign(s: Situation, within_days: float) -> str | None:
    """The one sign that would help most and was not seen lately; None when all were."""
    for name, words in _SIGNS_TO_ASK:
        known = s.latest.get(name)
        counted = name == "jelly" and any(f"jelly_{k}" in s.latest for k in ("dry", "damp", "floating"))
        if counted:
            known = max((s.latest[f] for f in s.latest if f.startswith("jelly")), key=lambda k: k.day)
        if known is None or s.age(known) > within_days:
            return words
    return None


def low_confidence(s: Situation, o: HiveOutlook, settings: Settings, moment: Moment) -> Gate | None:
    """Too little is known to say: cannot tell, and ask for the one missing sign."""
    stale = settings.look_stale_days
    seen = []
    look, comb = s.days_since_look(), s.days_since_comb_look()
    if look is None:
        seen.append("the hive was never looked at")
    elif look > stale:
        seen.append(f"the last look is {look} days old (yours: {stale:g})")
    low = max(o.adults.low, 1.0)
    if o.adults.high / low >= settings.thin_ratio:
        seen.append(f"bees {between(o.adults)}: the high end is {o.adults.high / low:.1f} times the low end")
    ask = missing_sign(s, settings.sign_days)
    wanted = f"look at {ask}" if ask else "look a second time, in good light or with a second pair of eyes"
    source = "thresholds are our assumption, yours to set"
    when = "Now" if moment == "at the hive" else "On this round"
    if seen:
        return Gate(
            "low-confidence",
            "orders",
            "Cannot tell: too little is known",
            f"{sentence(*seen)}.",
            f"{when} {wanted}; the call is made again with it.",
            source,
        )
    if comb is None or comb > stale:
        text = "no comb was ever in hand here" if comb is None else f"the last comb look is {comb} days old"
        return Gate(
            "look-old",
            "warns",
            "Brood and bread not seen lately",
            f"{sentence(text)} (yours: {stale:g} days).",
            f"{when} {wanted}, if it can be done quickly.",
            source,
        )
    return None
