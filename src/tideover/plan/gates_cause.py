"""Gates of wrong diagnosis: what looks like hunger for protein and is something else."""

from __future__ import annotations

from datetime import date
from typing import Final

from tideover.evidence.seen import Place
from tideover.figures import reader
from tideover.plan.call import Gate
from tideover.plan.gates_outlook import HiveOutlook, p_below
from tideover.plan.gates_words import bees, between, honey, on, percent, sentence, temp
from tideover.plan.season_dates import season_phase
from tideover.plan.settings import Settings
from tideover.plan.situation import Situation

_value = reader("calls")
_QUEEN_SOURCE: Final = "common practice (from memory); drought and heat: Oliver 2016 and keepers' accounts (read)"
_HONEY_SOURCE: Final = "extension convention of 10-15 lb (from memory), Mississippi State extension (read)"
_HEFT_D, _EGGS_APART_D = _value("heft_seen_d"), _value("eggs_apart_d")
_UNSURE: Final = _value("honey_unsure")
"""Chance of too little honey from which hefting is asked for."""
_GAPS: Final = _value("gaps_open_capped")
"""Open brood under this share of capped brood is called gappy: 6 days open against 12 capped make
one half when the queen lays steadily (arithmetic from development times)."""


def cause_gates(s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date) -> list[Gate]:
    """Every wrong-diagnosis gate that stands."""
    found = [
        honey_short(s, o, settings),
        queen(s, o, settings),
        disease_not_looked(s, o, settings),
        wings(s, settings),
        dry_larvae(s, settings),
        mites(s, o, settings, place, today),
        robbing(s, o, settings),
    ]
    return [g for g in found if g is not None]


def honey_short(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """Too little honey: sugar comes before protein."""
    least = settings.honey_emergency_kg
    days = o.honey_days
    seen = []
    if o.honey_kg.median < least:
        seen.append(
            f"about {honey(o.honey_kg.median)} of honey, from {honey(o.honey_kg.low)} to {honey(o.honey_kg.high)}; "
            f"your least is {honey(least)}"
        )
    if days is not None and days.median < settings.honey_days_short:
        seen.append(f"honey for about {days.median:.0f} days, your least is {settings.honey_days_short:g}")
    heft = s.latest.get("heft")
    if heft is not None and heft.value == "very light" and s.age(heft) <= _HEFT_D and not _sugar_since(s, heft.day):
        seen.append(f"heft 'very light' on {on(heft.day)}")
    if seen:
        text = f"{sentence(*seen)}."
        if s.honey_boxes is not None:
            return Gate(
                "honey-short-boxes-on",
                "orders",
                "Honey short with honey boxes on: boxes off, then sugar",
                f"{text} Honey boxes have been on since {on(s.honey_boxes.day)}.",
                "Look whether there is honey in the boxes above and let the bees keep it, or give combs of their own "
                "honey; if there is none, take the boxes off and give sugar. No syrup while they are on.",
                f"{_HONEY_SOURCE}; Codex CXS 12-1981 (from memory)",
            )
        return Gate(
            "honey-short",
            "orders",
            "Honey short: sugar first, protein after",
            text,
            "Give sugar today, inside the hive and touching the cluster, late in the day; look at it again within a "
            "week. Protein starts brood that a colony without honey cannot keep.",
            _HONEY_SOURCE,
        )
    p = p_below(o.honey_kg, least)
    light = heft is not None and heft.value in ("very light", "light") and s.age(heft) <= settings.sign_days
    if p >= _UNSURE or light:
        why = f"Under your least of {honey(least)} with a chance of {percent(p)}"
        if light and heft is not None:
            why += f"; heft '{heft.value}' on {on(heft.day)}"
        return Gate(
            "honey-unsure",
            "warns",
            "Honey may be short: heft it",
            f"{why}.",
            "Heft the hive or count honey combs beside the brood this visit; carry sugar.",
            _HONEY_SOURCE,
        )
    return None


def _sugar_since(s: Situation, day: date) -> bool:
    return any(y.day >= day for y in s.syrup)


def queen(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """No eggs, or eggs of workers: queen first; in heat or dearth perhaps only a pause in laying."""
    workers = [
        words
        for name, words in (
            ("many_eggs", "several eggs in a cell or on cell walls"),
            ("drone_in_worker", "domed drone caps in worker cells"),
        )
        if (sign := s.sign(name)).answer == "yes" and sign.within(s.today, settings.sign_days)
    ]
    if workers:
        days = [d for name in ("many_eggs", "drone_in_worker") if (d := s.sign(name).day)]
        return Gate(
            "laying-workers",
            "blocks",
            "Signs consistent with laying workers or a failing queen",
            f"Seen {on(max(days))}: {' and '.join(workers)}.",
            "Look for the queen and for single eggs on cell floors; requeen or unite with a queenright colony only "
            "after brood signs were looked for. Protein does not help.",
            _QUEEN_SOURCE,
        )
    looks = s.eggs_comb_looks
    recent = bool(looks) and (s.today - looks[0][0]).days <= settings.sign_days
    none_last = recent and not looks[0][1]
    twice = none_last and len(looks) > 1 and not looks[1][1] and (looks[0][0] - looks[1][0]).days >= _EGGS_APART_D
    likely = o.p_queenless >= settings.queenless_p
    seen_queen = s.sign("queen_seen")
    queen_there = seen_queen.answer == "yes" and seen_queen.within(s.today, settings.sign_days)
    if recent and looks[0][1]:
        return None  # eggs at the last comb look: whatever the forecast thinks, someone lays
    if not none_last and not likely:
        return None
    days_text = " and ".join(on(d) for d, eggs in reversed(looks) if not eggs) if none_last else ""
    text = f"No eggs on {days_text}" if days_text else f"Probability of no laying queen {percent(o.p_queenless)}"
    if s.requeened_on is not None and 0 <= (s.today - s.requeened_on).days <= settings.sign_days:
        text += f"; requeened on {on(s.requeened_on)}, and a new queen takes her time"
    stopping = _stops_laying(o, settings)
    if none_last and stopping and (queen_there or not twice):
        her = f"; the queen was seen on {on(seen_queen.day)}" if queen_there and seen_queen.day else ""
        return Gate(
            "brood-pause",
            "orders",
            "No eggs, but it may be a pause in the heat",
            f"{text}{her}; {stopping}.",
            "Do not call it queenless: look for eggs again in about 7 days, and for the queen. A pause ends by itself; "
            "a patty now finds no larvae to feed.",
            "Oliver 2016 on drought; keepers' accounts of a stop above about 100 °F (read; no measured figure)",
        )
    if twice or likely or (none_last and s.number("open_quarters", settings.sign_days) == 0):
        caveat = f" A pause in the heat is possible too ({stopping})." if stopping else ""
        return Gate(
            "no-queen",
            "orders",
            "Queen first: no eggs or young larvae",
            f"{text}.{caveat}",
            "Look for the queen, a young virgin or queen cells; give a comb with eggs from a hive without brood signs "
            "as a test and look in 3-4 days. Requeen or unite. Feeding cannot mend this.",
            _QUEEN_SOURCE,
        )
    return Gate(
        "eggs-once",
        "warns",
        "No eggs at one look",
        f"{text}; open brood {'was there' if s.number('open_quarters', settings.sign_days) else 'was not noted'}.",
        "Eggs are easily missed: look again with the sun behind you, on another brood comb, and for the queen.",
        _QUEEN_SOURCE,
    )


def _stops_laying(o: HiveOutlook, settings: Settings) -> str:
    """Why laying may have paused, in words; empty when neither heat nor dearth speaks for it."""
    highs = [t for t in (o.temp_max_c, *o.temp_max_past_c) if t is not None]
    if highs and max(highs) >= settings.brood_pause_tmax_c:
        return f"it has been up to {temp(max(highs))}, your level for a pause is {temp(settings.brood_pause_tmax_c)}"
    if o.p_dearth is not None and o.p_dearth >= 0.5:
        return f"a dearth is {percent(o.p_dearth)} likely"
    return ""


def gappy_brood(s: Situation, within_days: float) -> bool | None:
    """Whether open brood is too little for the capped brood; None when either was not looked at."""
    capped, open_ = s.number("capped_quarters", within_days), s.number("open_quarters", within_days)
    if capped is None or open_ is None:
        return None
    return capped >= 1 and open_ < _GAPS * capped


def dry_jelly(s: Situation, within_days: float) -> bool:
    """Whether young larvae were seen dry, by the word or by more than half of those counted."""
    if s.word("jelly", within_days) == "dry":
        return True
    dry = s.number("jelly_dry", within_days)
    others = [n for f in ("jelly_damp", "jelly_floating") if (n := s.number(f, within_days)) is not None]
    return dry is not None and dry > 0 and dry > sum(others)


def disease_not_looked(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """Before a first feed, and when dry larvae meet gaps: brood signs must have been looked for."""
    sign = s.sign("brood_signs")
    if s.disease_suspected is not None or sign.within(s.today, settings.sign_days):
        return None
    gappy = gappy_brood(s, settings.sign_days)
    hungry = (dry_jelly(s, settings.sign_days) and gappy is not False) or (o.jelly == "dry" and gappy is True)
    if s.fed_this_season and not hungry:
        return None
    answered = sign.day if sign.answer in ("yes", "no") else None
    state = f"last answered on {on(answered)}" if answered else sign.answer
    why = "young larvae were dry and the brood gappy or not judged" if hungry else "nothing was fed here this season"
    return Gate(
        "disease-not-looked",
        "orders",
        "Before feeding: look for signs of brood disease",
        f"Discoloured, twisted, sunken or ropy brood: {state}; {why}.",
        "Look at one brood comb, bees shaken off: larvae pearly white and curled, caps even? Answer yes or no; 'not "
        "looked' is not 'no'. Dry larvae with spotty brood may be disease, whatever the stores.",
        "Extension AUS and talk slides on nurse shortage and foulbrood (read): food being short never rules it out",
        "inspector",
    )


def dry_larvae(s: Situation, settings: Settings) -> Gate | None:
    """Dry larvae with gaps and no brood signs: hunger likely, disease not ruled out."""
    sign = s.sign("brood_signs")
    if sign.answer != "no" or not sign.within(s.today, settings.sign_days) or s.disease_suspected is not None:
        return None
    if not (dry_jelly(s, settings.sign_days) and gappy_brood(s, settings.sign_days)):
        return None
    day = f" on {on(sign.day)}" if sign.day else ""
    return Gate(
        "dry-larvae",
        "warns",
        "Dry larvae and gaps: fits hunger, does not rule out disease",
        f"Young larvae dry, open brood scarce beside capped; brood signs answered no{day}.",
        "Look once more at the next visit for discoloured or twisted larvae; if in doubt a kit or the inspector.",
        "Schmickl & Crailsheim (from memory) on larvae eaten in hunger; Extension AUS (read)",
        "inspector",
    )


def wings(s: Situation, settings: Settings) -> Gate | None:
    """Deformed wings: mites and virus; with gaps in the brood that comes before hunger."""
    sign = s.sign("deformed_wings")
    if sign.answer != "yes" or not sign.within(s.today, settings.sign_days) or sign.day is None:
        return None
    treated = s.treated_on is not None and s.treated_on >= sign.day
    after = f"; treated since, on {on(s.treated_on)}" if treated and s.treated_on else ""
    source = "Morawetz et al. 2019, table of signs (read)"
    if gappy_brood(s, settings.sign_days) and not treated:
        return Gate(
            "wings-and-brood",
            "orders",
            "Deformed wings and gappy brood: signs consistent with mites and virus, not hunger",
            f"Deformed wings on {on(sign.day)}, open brood scarce beside capped.",
            "Count mites and treat by the label first; look for chewed caps and dead pupae. Feed only after that.",
            source,
            "vet",
        )
    return Gate(
        "wings",
        "warns",
        "Deformed wings: signs consistent with mites and virus",
        f"Deformed wings on {on(sign.day)}{after}.",
        "Count mites this visit and treat by the label; that is a call of its own beside any feeding.",
        source,
        "vet",
    )


def mites(s: Situation, o: HiveOutlook, settings: Settings, place: Place, today: date) -> Gate | None:
    """Mites high, near the level, or not known; always a warning, because treating is its own call."""
    count = s.mite_count
    phase = season_phase(place, today, o.cluster, o.brood.median)
    caution, treat = settings.mite_levels(phase)
    source = (
        "Tools for Varroa Management, coalition guide, editions about 2016-2018 (from memory; later editions are "
        "lower in places, a US federal laboratory says 3 per 100 all year); yours to set"
    )
    stale = count is not None and (today - count.day).days > settings.mite_count_days
    treated = count is not None and s.treated_on is not None and s.treated_on >= count.day
    if count is None or stale or treated:
        if count is None:
            seen = "No mite count is written."
        elif treated and s.treated_on:
            seen = f"Treated on {on(s.treated_on)}, since the last count ({count.rate:.1f} per 100, {on(count.day)})."
        else:
            seen = f"The last count is {(today - count.day).days} days old ({count.rate:.1f} per 100, {on(count.day)})."
        return Gate(
            "mites-unknown",
            "warns",
            "Mite load not known: count this visit",
            seen,
            "Wash about 300 bees from the brood nest, queen not among them, and count both. Feeding is not held up by "
            "this, but brood raised on feed raises mites too.",
            "Lee, Reuter & Spivak 2010: 300 bees per colony (read second-hand)",
        )
    assumed = f" ({count.bees} bees assumed, not counted: some guides say 400)" if count.bees_assumed else ""
    seen = (
        f"{count.mites} mites in {count.bees} bees{assumed} on {on(count.day)}: {count.rate:.1f} per 100 "
        f"({count.low:.1f} to {count.high:.1f}); {phase}: caution from {caution:g}, treat from {treat:g}."
    )
    if count.rate >= treat:
        return Gate(
            "mites-high",
            "warns",
            "Mites at or above the level: treat",
            seen,
            "Treat within the label, as a call of its own, by the law and the label (honey boxes, waiting time, heat). "
            "Whether to feed is decided apart; brood added by feeding adds mites until it is done.",
            source,
            "vet",
        )
    if count.rate >= caution or count.high >= treat:
        return Gate(
            "mites-near",
            "warns",
            "Mites near the level: count again",
            seen,
            "A count just under the level is not 'safe': count again in 2-4 weeks.",
            source,
        )
    return None


def robbing(s: Situation, o: HiveOutlook, settings: Settings) -> Gate | None:
    """Robbing seen lately, or a weak colony in a dearth: how to feed, not whether."""
    how = (
        "Feed only inside the hive, late in the day, no drips or scents, nothing open in the yard; entrance reduced to "
        "what the guards hold, top vent kept open in the heat."
    )
    seen = s.robbing
    if seen is not None and s.age(seen) <= settings.robbing_days:
        return Gate(
            "robbing",
            "orders",
            "Robbing: reduce the entrance first, feed inside and late",
            f"Robbing was written down on {on(seen.day)}.",
            f"{how} Close or screen the hive if fighting goes on; keep every lid-off short.",
            "Georgia club practice in dearth; conventions (read second-hand)",
        )
    weak = o.adults.median < settings.robbing_bees or s.tiny
    if weak and o.p_dearth is not None and o.p_dearth >= 0.5:
        return Gate(
            "robbing-risk",
            "warns",
            "A weak colony in a dearth invites robbing",
            f"About {between(o.adults)} bees (your level {bees(settings.robbing_bees)}), dearth {percent(o.p_dearth)} "
            "likely; the width of the entrance is not written.",
            how,
            "weak colonies are robbed first, in dearth (common practice)",
        )
    return None
