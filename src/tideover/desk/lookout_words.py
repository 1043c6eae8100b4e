"""The lookout in words, in the keeper's units, and as lines for a terminal or plain values for scripts."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from tideover.desk.objects import plain
from tideover.figures import book, reader
from tideover.forage.alert import Alert, State
from tideover.forage.heat import NWS_BANDS, OSHA_BANDS, bands_in_words
from tideover.forage.outlook import Forecast
from tideover.forage.standard_rain import in_words as rain_in_words
from tideover.records.entries import Units
from tideover.records.units import SIGNS, to_units

if TYPE_CHECKING:
    from tideover.desk.lookout import LookoutView, YardLookout

HOT_DAY_C = 38.0
FLYING_FROM_C: Final = reader("looks")("flying_from_c")


def temperature(celsius: float, units: Units) -> str:
    """A temperature in whole degrees with its sign."""
    suffix = "f" if units == "us" else "c"
    return f"{to_units(celsius, 'temperature', suffix):.0f} {SIGNS[suffix]}"


def volume(litres: float, units: Units) -> str:
    """Water in litres, or in US quarts under a gallon and gallons from there."""
    if units == "us":
        gallons = to_units(litres, "volume", "gal")
        return f"{4 * gallons:.1f} quarts" if gallons < 1.0 else f"{gallons:.{0 if gallons >= 10 else 1}f} gallons"
    return f"{litres:.{0 if litres >= 10 else 1}f} litres"


def share_words(share: float) -> str:
    """A share of the need in words a keeper uses."""
    for below, words in (
        (0.04, "next to nothing of"), (0.075, "about a twentieth of"), (0.13, "about a tenth of"),
        (0.17, "about a seventh of"), (0.225, "about a fifth of"), (0.29, "about a quarter of"),
        (0.42, "about a third of"), (0.58, "about half of"), (0.71, "about two thirds of"),
        (0.9, "about three quarters of"), (1.25, "about all of"),
    ):  # fmt: skip
        if share < below:
            return words
    return "more than all of" if share < 2.0 else "over twice"


def sources(units: Units) -> tuple[str, ...]:
    """Where bands and needs come from, one sentence each."""
    osha, nws = (bands_in_words(bands, units == "us") for bands in (OSHA_BANDS, NWS_BANDS))
    return (
        f"Heat at work: bands of the US safety authority (OSHA), in full sun: {osha}.",
        f"Heat index: the US National Weather Service's formula; its public bands: {nws} (from memory).",
        "Fire: Keetch & Byram 1968 stages; dry and windy after the US weather service's warnings, which differ by"
        " office (read); local fire law decides.",
        "Pollen needed: 20,000 brood cells in 21 days, 130 mg a bee (a strong colony; protein.pollen_per_bee_mg).",
        "Water: a quart to a gallon (1 to 3.8 litres) a hive on a summer day (bee course of an extension school, read);"
        " at which heat how much is our assumption.",
        "A dearth: two weeks with the week's mean below a quarter of an ordinary good flow (our assumption).",
    )


RAIN_BACK_D: Final = int(book().value("lookout.rain_back_d"))
"""Days looked back on when it is told how well rain is known."""
RAIN_FEW, RAIN_MANY = (int(book().value(f"lookout.rain_{n}_d")) for n in ("few", "many"))
"""Days of these without a reading from which it is told, and from which the headline says it."""


def rests_on(
    lately: date | None, today: date, noted: bool, stale_d: int, rain_unknown: int = 0, heard: bool = False
) -> str:
    """What the headline begins with where little is known: a guess must not be taken for a reading.

    :param heard: whether looks at hives say something of the land.
    """
    if lately is None:
        return "By place and time of year alone, nothing is known here yet" if not noted else "Without any weather"
    if (today - lately).days > stale_d:
        return f"By the usual weather since {lately.day} {lately:%B}"
    if rain_unknown > RAIN_MANY:
        return f"With rain known on {RAIN_BACK_D - rain_unknown} of the last {RAIN_BACK_D} days only"
    if noted:
        return ""
    return "By weather and looks at hives alone" if heard else "By weather alone"


def headline(told: Alert, moving: int, share: float, basis: str = "") -> str:
    """The plain words that come first; ``basis`` says what they rest on where that is little."""
    if moving < 0:
        head = f"Pollen on offer has been falling for {-moving} days"
    elif moving > 0:
        head = f"Pollen on offer has been rising for {moving} days"
    else:
        head = "Pollen on offer is steady"
    if basis:
        head = f"{basis}: {head[0].lower()}{head[1:]}"
    return f"{head}; {share_words(share)} what a strong hive needs. {told.words}"


def at_rest(lately_c: float, ahead_c: float, units: Units) -> str:
    """What a dearth means while it is too cold to fly; nothing where bees can, or soon will.

    :param lately_c: mean high of the last two weeks [C].
    :param ahead_c: mean high looked for in the two weeks ahead [C].
    """
    if max(lately_c, ahead_c) >= FLYING_FROM_C:
        return ""
    highs = (
        f"highs of about {temperature(lately_c, units)} these two weeks and {temperature(ahead_c, units)} in the next"
    )
    return (
        f"Too cold to fly on most days ({highs}): no pollen can come in, and a colony at rest rears little that asks"
        " for it. Want of pollen now is winter's, and by itself no reason to feed protein."
    )


def look(by: date | None, today: date, hives: int, state: State, sure: date | None = None) -> str:
    """When to look next and why; nothing when no look would change what is said of the days ahead.

    A day to come is told as one of its own: who keeps to the day of the week misses the look that tells most.

    :param sure: day from which a dearth's end is told as sure if nothing changes; a look after it asks what comes next.
    """
    if by is None:
        return ""
    how = "a bloom note and a minute at an entrance" if hives else "a bloom note"
    day = f"{by:%A} {by.day} {by:%B}"
    when = "today" if by <= today else f"on {day}"
    too = "" if by <= today else ". If your weekly look falls on another day, make this one too"
    if state == "dearth":
        return f"Whether the dearth is ending cannot be told without another look: {how} {when} would tell most{too}."
    if state == "perhaps back" and (sure is None or by <= sure):
        return f"Whether the dearth is over cannot be told without another look: {how} {when} would tell most{too}."
    if by <= today:
        return f"Whether a dearth is on cannot be told for sure today: {how} would tell most."
    return f"By {day} it can no longer be told for sure whether a dearth is on: {how} that day would tell most{too}."


def water(hottest_c: float, litres: float, hives: int, units: Units) -> str:
    """Water for the hottest of the next three days; nothing when none is hot."""
    if litres <= 0.0 or hives == 0:
        return ""
    of_them = f"{hives} hive{'s' if hives != 1 else ''}"
    return (
        f"Up to {temperature(hottest_c, units)} in the next three days: about {volume(litres / hives, units)} of water"
        f" a hive a day, {volume(litres, units)} for {of_them}, in the shade, with footing, and never let it run dry."
    )


def hot_days(temp_max_c: np.ndarray, units: Units) -> str:
    """Days of great heat ahead, from futures of shape (n, days); nothing when none is likely."""
    per = (temp_max_c >= HOT_DAY_C).sum(axis=1)
    low, mid, high = (int(v) for v in np.quantile(per, [0.1, 0.5, 0.9]))
    if high == 0:
        return ""
    return (
        f"Days of {temperature(HOT_DAY_C, units)} or more in the next two weeks: about {mid} ({low} to {high});"
        " pollen trips halve on them."
    )


def rain(got: tuple[float, int] | None) -> str:
    """The last 90 days' rain against other years'; nothing without years enough."""
    if got is None:
        return ""
    value, years = got
    thin = "" if years >= 30 else f", from {years} years only"
    return f"Rain of the last 90 days: {rain_in_words(value)} for the season (index {value:+.1f}{thin})."


def missing(
    lately: date | None,
    today: date,
    noted: bool,
    listed: bool,
    forecast: Forecast | None,
    stale_d: int,
    usual: str,
    rain_unknown: int,
    heat_unknown: int = 0,
    heat_filled: int = 0,
) -> list[str]:
    """What the lookout lacks, what stands in for it, and what would help.

    :param rain_unknown: of the last ``RAIN_BACK_D`` days those without a rain reading.
    :param heat_unknown: of these those without temperatures.
    :param heat_filled: of these those whose temperatures were filled in, with their doubt.
    """
    out = []
    if lately is None:
        out.append(f"No weather has been brought: this is the usual weather of {usual}, and wide.")
    elif (today - lately).days > stale_d:
        out.append(f"The last weather day is {lately}; since then the usual weather of the place stands in.")
    if lately is not None and rain_unknown > RAIN_FEW:
        out.append(
            f"Rain was not measured on {rain_unknown} of the last {RAIN_BACK_D} days and the usual rain of the"
            " season stands in, so drought, soil water and pollen are less sure."
        )
    if lately is not None and heat_unknown + heat_filled > RAIN_FEW:
        stand = f"on {heat_unknown} of the last {RAIN_BACK_D} days, where the usual ones of the season stand in"
        more = "more" if heat_unknown else f"of the last {RAIN_BACK_D} days"
        fill = f"on {heat_filled} {more}, filled in from the days beside, a farther station or a model"
        told = [t for n, t in ((heat_unknown, stand), (heat_filled, fill)) if n]
        out.append(f"Temperatures were not measured {', and '.join(told)}; pollen is told the wider for it.")
    if forecast is None:
        out.append("No forecast is in the books: the days ahead are drawn from the place's own weather.")
    if not noted:
        out.append("Nothing in flower has been noted: one bloom note or a minute at an entrance narrows this most.")
    if not listed:
        out.append("No plants are listed for this yard; a list bends the season to what grows there.")
    return out


def need(y: YardLookout) -> str:
    """What a strong hive can fetch of what its brood needs, with its range."""
    low, mid, high = (100 * v for v in y.need_share)
    if high < 0.5:
        return "A strong hive can fetch under 1 % of the pollen its brood needs, whatever flowers."
    return f"A strong hive can fetch about {mid:.0f} % ({low:.0f} to {high:.0f} %) of the pollen its brood needs."


def fortnight(y: YardLookout) -> str:
    """What is on offer in two weeks, with its range, and how likely a dearth is then."""
    s = y.strip
    end = f"{s.median[-1]:.2f} ({s.low[-1]:.2f} to {s.high[-1]:.2f})"
    return f"In two weeks: {end} of a good flow; a dearth that day is {100 * s.dearth[-1]:.0f} % likely."


def lookout_object(view: LookoutView) -> dict[str, Any]:
    """The lookout as plain values for scripts; the shape is that of the schema 'lookout'."""
    return {
        "today": view.today.isoformat(),
        "sources": list(view.sources),
        "yards": [
            {
                "yard": y.yard, "name": y.name, "headline": y.headline, "hives": y.hives,
                "hives_in": y.hives_in, "heard": list(y.heard),
                "look_by": y.look_by.isoformat() if y.look_by else None, "look": y.look,
                "alert": plain(y.alert), "need_share": dict(zip(("low", "median", "high"), y.need_share, strict=True)),
                "trend_days": y.trend_days, "water_l": y.water_l, "water": y.water,
                "cautions": plain(y.cautions), "hot_days": y.hot_days, "rain_words": y.rain_words,
                "in_flower": list(y.in_flower), "missing": list(y.missing), "basis": y.basis,
                "strip": plain(y.strip),
            }
            for y in view.yards
        ],
    }  # fmt: skip


def lookout_words(view: LookoutView) -> Iterator[tuple[str, str]]:
    """The lookout as lines for a terminal, each with its indent."""
    yield "", f"Lookout of {view.today:%Y-%m-%d}"
    if not view.yards:
        yield "", "No yard is in the books yet: bring yards.csv, or type one in on the pages (tideover serve)."
    for y in view.yards:
        yield "", ""
        yield "", f"{y.name}: {y.headline}"
        yield "  ", need(y)
        yield "  ", fortnight(y)
        for line in (y.hives_in, y.look, y.water, y.hot_days, y.rain_words):
            if line:
                yield "  ", line
        if y.in_flower:
            yield "  ", f"By its list of plants now in flower: {', '.join(y.in_flower[:8])}."
        for c in y.cautions:
            yield "  ! ", f"{c.text} ({c.source})"
        yield "  - ", f"Days ahead: {y.basis}."
        for line in y.missing:
            yield "  - ", line
    if view.yards:
        yield "", ""
        for line in view.sources:
            yield "", line
