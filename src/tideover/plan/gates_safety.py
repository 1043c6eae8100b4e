"""Gates of safety and law: disease, beetles, poisoning, fire, heat, honey for sale."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.figures.units import F_PER_C, to_f
from tideover.plan.call import Gate
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.gates_words import heat, on, patty, percent, wind
from tideover.plan.settings import Settings
from tideover.plan.situation import Piece, Situation

_value = reader("calls")
_LAB: Final = "by eye the two foulbroods cannot be told apart: only a kit or a laboratory can"
_DEAD_BEES_DAYS: Final = _value("dead_bees_d")
_BEETLE_DAYS: Final = _value("beetle_report_d")
_LARVAE_DAYS: Final = _value("beetle_larvae_d")


def safety_gates(s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date) -> list[Gate]:
    """Every safety or law gate that stands."""
    found = [
        brood_disease(s),
        beetle_report(s, place),
        hive_dead(s),
        suspect_piece(s),
        dead_bees(s),
        fire_ban(s),
        heat_gate(o, settings),
        fire_weather(s, o, settings),
        beetle_larvae(s, place),
        pull_by_past(s, o, settings, place, today),
        pull_by_due(s, o, settings, place, today),
        honey_boxes(s),
        yard_suspect(s, o),
    ]
    return [g for g in found if g is not None]


def brood_disease(s: Situation) -> Gate | None:
    """Discoloured, twisted, sunken or ropy brood, until it is cleared."""
    seen = s.disease_suspected
    if seen is None:
        return None
    piece = " The patty on it comes off only into a bag, to be destroyed." if s.patty else ""
    return Gate(
        "brood-disease",
        "blocks",
        "Brood signs: treat as a possible notifiable disease",
        f"On {on(seen.day)} brood was discoloured, twisted, sunken or ropy: signs consistent with a brood disease, "
        f"confirm by kit or laboratory; nothing written has cleared it since.",
        "Close the hive, reduce its entrance, move no combs, bees, feed or leftovers from it, clean tool and gloves, "
        f"and tell the apiary inspector; {_LAB}. Antibiotics only through a vet, and they only mask the worse one."
        f"{piece} Find out which hives share combs or pieces with it.",
        "Morawetz et al. 2019; USDA ARS bee disease diagnosis; Western Australia department of agriculture; "
        "Extension AUS (read)",
        "inspector",
    )


def beetle_report(s: Situation, place: Place) -> Gate | None:
    """Small hive beetle suspected where it must be reported, or seen where it is not known to be."""
    seen = s.beetles_suspected
    if seen is None or s.age(seen) > _BEETLE_DAYS:
        return None
    what = f"Beetles or their larvae were written down on {on(seen.day)}, and nothing written has cleared it"
    reportable = place.beetles_reportable in ("yes", "reportable", "present")
    not_reportable = place.beetles_reportable in ("no", "absent")
    if reportable and place.beetles != "present":
        return Gate(
            "beetle-report",
            "blocks",
            "Suspected small hive beetle where it is reportable: move nothing",
            f"{what}; your yard's settings say such a find must be reported.",
            "Move nothing: no hive, comb, patty, tool or wax leaves the yard. Close up, keep a specimen (photograph, "
            "closed vial, freezer) if you can do so here, and call the authority now. It is a suspicion until they "
            "have identified it.",
            "WOAH Terrestrial Code ch. 9.4 and Decision 2014/909/EU recital 1 (read); your local rule comes first",
            "authority",
        )
    if reportable:
        return Gate(
            "beetle-movement",
            "blocks",
            "Beetles in the hive: moving it may be restricted",
            f"{what}; beetles are known here and are reportable.",
            "Ask the authority before moving hives, combs or bees from this yard.",
            "WOAH Terrestrial Code ch. 9.4 (read); your local rule comes first",
            "authority",
        )
    if place.beetles == "absent" and not not_reportable:
        return Gate(
            "beetle-report",
            "blocks",
            "Suspected small hive beetle where none are known: ask before moving anything",
            f"{what}; your yard's settings say beetles are absent, and whether they are reportable is not written.",
            "Move nothing from the yard until you have asked your authority or inspector whether it must be reported; "
            "keep a specimen. It is a suspicion until identified.",
            "WOAH Terrestrial Code ch. 9.4 (read); your local rule comes first",
            "authority",
        )
    return None


def hive_dead(s: Situation) -> Gate | None:
    """The colony is written down as dead."""
    if s.died is None:
        return None
    return Gate(
        "hive-dead",
        "blocks",
        "The colony is dead",
        f"Its death was written down on {on(s.died.day)}.",
        "Close the hive so that it is not robbed, look for the cause (brood signs, mites on the floor, bees head-down "
        "in cells), and use none of its combs elsewhere before you know it.",
        "common practice",
        "inspector",
    )


def suspect_piece(s: Situation) -> Gate | None:
    """A piece came here from a hive that may have a brood disease: still on, or eaten already."""
    if not s.received or s.disease_suspected is not None or s.died is not None:
        return None
    on_now = [r for r in s.received if r.still_on]
    first = (on_now or list(s.received))[0]
    way = "" if first.hand == 1 else ", by way of another hive"
    seen = (
        f"Piece {first.piece}, laid on here on {on(first.on)}, had been on {first.suspect}{way}; brood signs were "
        f"written there on {on(first.suspect_since)} and nothing has cleared them."
    )
    look = (
        "Look at the brood here for discoloured, sunken or ropy larvae now and again after about three weeks; no "
        "combs, bees or leftovers from here to another hive; tell the inspector that this hive had such a piece."
    )
    source = "foulbrood spores survive freezing (common practice, from memory); national bee unit advice"
    if on_now:
        return Gate(
            "suspect-piece-on",
            "blocks",
            "A piece from a suspect hive lies here: off with it, and destroy it",
            seen,
            f"Take it off into a bag, to be destroyed, not frozen and not given to any hive. {look}",
            source,
            "inspector",
        )
    return Gate(
        "suspect-piece-eaten",
        "blocks",
        "This hive had a piece from a suspect hive: nothing goes from it to others",
        seen,
        look,
        source,
        "inspector",
    )


def dead_bees(s: Situation) -> Gate | None:
    """A sudden pile of dead bees: possible poisoning, which protein does not mend."""
    seen = s.dead_bees
    if seen is None or s.age(seen) > _DEAD_BEES_DAYS:
        return None
    return Gate(
        "dead-bees",
        "blocks",
        "Dead bees in numbers: possible poisoning, not hunger",
        f"Dead bees were written down on {on(seen.day)}; more than about 100 a day, trembling or tongues out are "
        "signs consistent with poisoning, confirm by laboratory.",
        "Photograph, freeze a cup of fresh dead bees, note weather and any spraying nearby, and report it to the "
        "state or national pesticide authority. Give water; protein is no answer to this.",
        "Pollinator stewardship bee-kill guide; Colorado and Ontario reporting pages (read)",
        "authority",
    )


def fire_ban(s: Situation) -> Gate | None:
    """A fire ban is on at the yard: no smoker is lit."""
    seen = s.fire_ban
    if seen is None:
        return None
    return Gate(
        "fire-ban",
        "orders",
        "Fire ban: no smoker",
        f"A fire ban has been on since {on(seen.day)}.",
        "Do not light a smoker. Do what can be done without smoke (a lid lifted in the cool, a fine mist of sugar "
        "water), or wait for the ban to end; ask the fire authority whether smokers are covered.",
        "New Zealand fire service and apiculture advice; Australian club advice (read); your local ban comes first",
        "authority",
    )


def heat_gate(o: HiveOutlook, settings: Settings) -> Gate | None:
    """The heat index, sun counted, reaches the level at which work is moved or put off."""
    if o.heat_index_f is not None:
        shade, basis = o.heat_index_f, "heat index"
    elif o.temp_max_c is not None:
        # Without humidity the air temperature stands in; in humid air it is too low, and says so.
        shade, basis = to_f(o.temp_max_c), "air temperature in place of a heat index (humidity not known)"
    else:
        return None
    felt = shade + settings.sun_addon_f
    if felt < settings.heat_high_f:
        return None
    stop = felt >= settings.heat_stop_f
    level = settings.heat_stop_f if stop else settings.heat_high_f
    return Gate(
        "heat",
        "orders",
        "Too hot to work in the open" if stop else "Hot: go in the cool of the day",
        f"Today's highest {basis} is {heat(shade)}; {heat_sun(settings)} and makes {heat(felt)}; "
        f"your limit is {heat(level)}.",
        (
            f"Put the visit off, or go and be done in the cool before it passes {heat(settings.heat_high_f)} in the sun"
            if stop
            else "Go early in the morning or put the visit off"
        )
        + "; not alone, shade, about a litre (a quart) of water an hour. Stop at headache, dizziness or confusion; "
        "confusion or no more sweat is an emergency.",
        "US OSHA heat index bands for work sites, parted at 91 °F (33 °C), 103 °F (39 °C) and 115 °F (46 °C); up to "
        "15 °F (8 °C) added in full sun; read; the public NWS bands differ; local work rules come first",
        "medical",
    )


def heat_sun(settings: Settings) -> str:
    """The sun add-on in words; a difference, so converted without the offset."""
    return f"full sun adds {settings.sun_addon_f:.0f} °F ({settings.sun_addon_f / F_PER_C:.0f} °C)"


def fire_weather(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """Drought, or wind with dry air, without a ban: smoke needs care."""
    if s.fire_ban is not None:
        return None
    seen = []
    if o.drought_kbdi is not None and o.drought_kbdi >= settings.fire_drought_kbdi:
        seen.append(f"drought index {o.drought_kbdi:.0f} of 800 (yours: from {settings.fire_drought_kbdi:.0f})")
    if (
        o.wind_ms is not None
        and o.humidity is not None
        and o.wind_ms >= settings.fire_wind_ms
        and o.humidity <= settings.fire_humidity
    ):
        seen.append(f"wind {wind(o.wind_ms)} with humidity {o.humidity:.0f} %")
    if not seen:
        return None
    return Gate(
        "fire-weather",
        "warns",
        "Fire weather: ask before you light a smoker",
        f"It is dry: {' and '.join(seen)}. No ban is written down, which is not the same as no ban.",
        "Ask whether a ban is on. If you light up: on bare ground, smoker never set down in grass, water and an "
        "extinguisher at hand, nothing emptied out, plugged into metal; stay 15-20 minutes after.",
        "New Zealand fire service and apiculture advice (read); drought index classes from memory",
        "authority",
    )


def beetle_larvae(s: Situation, place: Place) -> Gate | None:
    """Beetle larvae in the patty or comb (where that is not first of all a matter for the authority)."""
    sign = s.sign("beetle_larvae")
    if sign.answer != "yes" or sign.day is None or not sign.within(s.today, _LARVAE_DAYS):
        return None
    if s.patty is not None:
        return Gate(
            "beetle-larvae",
            "blocks",
            "Beetle larvae: the patty comes off",
            f"Beetle larvae were seen on {on(sign.day)}; a piece of {patty(s.patty.grams)} laid on {on(s.patty.on)} "
            "is still on as far as is written.",
            "Take it off now into a closed bag and freeze it through (core at -12 °C (10 °F) or colder for 24 h). "
            "Look for larvae and wet comb. No new piece until a look finds none; then smaller ones.",
            "Reg. (EU) 142/2011 freezing rule as published by EU/UK/IE/DK pages (read); common practice",
            "",
        )
    return Gate(
        "beetle-larvae-comb",
        "blocks",
        "Beetle larvae: see to the combs before any patty",
        f"Beetle larvae were seen on {on(sign.day)}; no piece is on the hive.",
        "Look for larvae and wet, sour comb; take slimed combs out and freeze them; make the room as small as the "
        "bees can guard. No patty until a look finds none.",
        "University extension and national bee unit advice (read); common practice",
        "",
    )


def pull_by_day(s: Situation, o: HiveOutlook, settings: Settings, place: Place) -> date | None:
    """The day by which the oldest piece on the hive must be off; None when none is on."""
    if s.patty is None:
        return None
    days = settings.stay_days_no_beetles if place.beetles == "absent" else settings.pull_by_days
    due = o.pull_by.date() if o.pull_by is not None else s.patty.on + timedelta(days=int(days))
    if s.older_patty is not None:
        due = min(due, s.older_patty.on + timedelta(days=int(days)))
    return due


def pull_by_past(s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date) -> Gate | None:
    """A piece at or past its pull-by; only a warning when it is very likely eaten."""
    due = pull_by_day(s, o, settings, place)
    if due is None or today < due or s.patty is None:
        return None
    piece: Piece = s.older_patty if s.older_patty is not None else s.patty
    left = "" if piece.left_quarters is None else f"; {piece.left_quarters:g} quarters were left when last seen"
    seen = f"A piece of {patty(piece.grams)} was laid on {on(piece.on)}{left}; its pull-by is {on(due)}."
    source = (
        f"pull-by of {settings.pull_by_days:g} days where beetles are present or unknown (arithmetic from Meikle & "
        "Patt 2011; yours to set)"
    )
    if s.older_patty is None and _very_likely_eaten(o, settings):
        return Gate(
            "pull-by-due",
            "warns",
            "Pull-by reached, very likely eaten",
            f"{seen} It is {percent(o.p_eaten_by_pull_by or 0)} likely to be eaten by then.",
            "No special trip; at this visit clear away what is left and write how much it was.",
            source,
        )
    return Gate(
        "pull-by-past",
        "orders",
        "At its pull-by: the piece comes off" if today == due else "Past its pull-by: the piece comes off",
        seen,
        "Take off what is left, look at it for larvae, bag and freeze it. If it is all eaten, write that.",
        source,
    )


def pull_by_due(s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date) -> Gate | None:
    """The pull-by falls before the next planned visit, and the piece may not be eaten by then."""
    due = pull_by_day(s, o, settings, place)
    after = today + timedelta(days=int(settings.visit_days))
    if due is None or s.patty is None or not today < due < after:
        return None
    if s.older_patty is None and _very_likely_eaten(o, settings):
        return None
    chance = "" if o.p_eaten_by_pull_by is None else f" ({percent(o.p_eaten_by_pull_by)} likely to be eaten by then)"
    return Gate(
        "pull-by-due",
        "warns",
        "Pull-by before the next round",
        f"The piece laid on {on(s.patty.on)} must be off by {on(due)}{chance}; the next round is about {on(after)}.",
        f"Take it off this time, or come back by {on(due)}.",
        "pull-by and chance of being eaten are yours to set",
    )


def _very_likely_eaten(o: HiveOutlook, settings: Settings) -> bool:
    return o.p_eaten_by_pull_by is not None and o.p_eaten_by_pull_by >= settings.eaten_by_pull_by


def honey_boxes(s: Situation) -> Gate | None:
    """Boxes of honey for people are on: no syrup, no patty."""
    seen = s.honey_boxes
    if seen is None:
        return None
    return Gate(
        "honey-boxes-on",
        "blocks",
        "Honey boxes for harvest are on: no feed of any kind",
        f"Honey boxes went on {on(seen.day)} and no 'off' is written.",
        "Give neither syrup nor patty: what is stored in those combs is no longer honey. Harvest or take the boxes "
        "off first. Check the label of any treatment for boxes on and waiting time.",
        "Codex Alimentarius CXS 12-1981 (from memory); Florida extension: the label is the law (read)",
        "authority",
    )


def yard_suspect(s: Situation, o: HiveOutlook) -> Gate | None:
    """Another hive of the yard is under suspicion: nothing goes between hives."""
    others = tuple(h for h in o.yard_suspects if h != s.hive)
    if not others or s.disease_suspected is not None:
        return None
    return Gate(
        "yard-suspect",
        "blocks",
        "A hive of this yard is under suspicion: nothing goes between hives",
        f"Brood signs are written and not cleared at {', '.join(others)}.",
        "No combs, bees, feeders or leftovers from hive to hive; leftovers to their own hive or destroyed; the suspect "
        "hive last on the round, tool cleaned. Do not unite or move the yard before the inspector has spoken.",
        "foulbrood spores survive freezing (common practice, from memory); national bee unit advice",
        "inspector",
    )
