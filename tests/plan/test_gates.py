"""Each gate fires where it should and not on the other side of its boundary.

Levels are those of the published or conventional sources named in ``plan.settings``; the gates'
list and their order follow the synthesis of winter readiness advice named there, so each line
below gives the reason of its boundary.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from tests.plan.hives import PLACE, QUIET, TODAY, days_ago, event, laid, look, quiet, seen, stand, state, wash
from tideover.evidence.seen import Place, Seen
from tideover.plan.call import Interval
from tideover.plan.gates_table import KINDS
from tideover.plan.settings import Settings

UNKNOWN_BEETLES = replace(PLACE, beetles="unknown")
REPORTABLE = replace(PLACE, beetles="unknown", beetles_reportable="present")


def test_quiet_hive_raises_no_gate():
    """The base of every case below raises nothing, so what fires is what was changed."""
    assert stand(quiet()) == {}


SEEN_CASES: list[tuple[str, str | None, tuple[Seen, ...], dict[str, object]]] = [
    # code, effect or None, more entries, changes to the clean look of two days ago
    ("brood-disease", "blocks", (), {"brood_signs": "yes"}),
    ("brood-disease", None, (), {"brood_signs": "not looked"}),
    ("brood-disease", None, (event("disease cleared", 1),), {"brood_signs": "yes"}),  # cleared since
    ("brood-disease", "blocks", (event("disease cleared", 3),), {"brood_signs": "yes"}),  # cleared before
    ("brood-disease", "blocks", (look(1, brood_signs="no"),), {"brood_signs": "yes"}),  # a later no clears nothing
    ("dead-bees", "blocks", (event("dead bees seen", 21),), {}),  # 21 days: our assumption
    ("dead-bees", None, (event("dead bees seen", 22),), {}),
    ("hive-dead", "blocks", (event("death", 1),), {}),
    ("hive-dead", None, (event("death", 3),), {}),  # bees seen after it: restocked
    ("honey-boxes-on", "blocks", (event("honey boxes on", 60),), {}),
    ("honey-boxes-on", None, (event("honey boxes on", 60), event("honey boxes off", 1)), {}),
    ("honey-boxes-on", "blocks", (event("honey boxes off", 60), event("honey boxes on", 1)), {}),
    ("beetle-larvae", "blocks", (laid(3),), {"beetle_larvae": "yes"}),
    ("beetle-larvae", None, (), {"beetle_larvae": "yes"}),  # no piece on
    ("beetle-larvae-comb", "blocks", (), {"beetle_larvae": "yes"}),
    ("beetle-larvae-comb", None, (look(1, beetle_larvae="no"),), {"beetle_larvae": "yes"}),
    ("beetle-larvae-comb", "blocks", (look(1, beetle_larvae="not looked"),), {"beetle_larvae": "yes"}),
    ("fire-ban", "orders", (event("fire ban on", 30),), {}),
    ("fire-ban", None, (event("fire ban on", 30), event("fire ban off", 0)), {}),
    ("laying-workers", "blocks", (), {"many_eggs": "yes"}),
    ("laying-workers", "blocks", (), {"drone_in_worker": "yes"}),
    ("laying-workers", None, (), {"drone_in_worker": "not looked"}),
    # no eggs at two comb looks three days apart (no eggs for 3 days: common practice)
    ("no-queen", "orders", (look(5, eggs="no"),), {"eggs": "no"}),
    ("no-queen", None, (look(4, eggs="no"),), {"eggs": "no"}),
    ("eggs-once", "warns", (look(4, eggs="no"),), {"eggs": "no"}),
    ("no-queen", None, (look(5, eggs="yes"),), {"eggs": "no"}),
    ("no-queen", None, (look(5, eggs="no"),), {"eggs": "yes"}),
    ("no-queen", None, (look(5, eggs="no"),), {"eggs": "not looked"}),
    ("no-queen", "orders", (), {"eggs": "no", "open_quarters": 0.0}),  # no eggs, no larvae
    ("wings", "warns", (), {"deformed_wings": "yes"}),
    ("wings", None, (), {"deformed_wings": "not looked"}),
    # gappy: open under a quarter of capped (half is steady laying: 6 days open, 12 capped)
    ("wings-and-brood", "orders", (), {"deformed_wings": "yes", "open_quarters": 0.5}),
    ("wings-and-brood", None, (), {"deformed_wings": "yes", "open_quarters": 1.0}),
    ("wings-and-brood", None, (event("treatment", 1),), {"deformed_wings": "yes", "open_quarters": 0.5}),
    ("dry-larvae", "warns", (), {"jelly": "dry", "open_quarters": 0.5}),
    ("dry-larvae", None, (), {"jelly": "dry", "open_quarters": 1.0}),
    ("dry-larvae", None, (), {"jelly": "damp", "open_quarters": 0.5}),
    ("disease-not-looked", "orders", (), {"jelly": "dry", "open_quarters": 0.5, "brood_signs": "not looked"}),
    ("disease-not-looked", None, (), {"jelly": "dry", "open_quarters": 1.0, "brood_signs": "not looked"}),
    ("robbing", "orders", (event("robbing seen", 10),), {}),  # 10 days: setting
    ("robbing", None, (event("robbing seen", 11),), {}),
    ("honey-short", "orders", (), {"heft": "very light"}),
    ("honey-short", None, (event("syrup", 1, syrup=4.0),), {"heft": "very light"}),  # sugar given since
    ("honey-unsure", "warns", (), {"heft": "light"}),
    ("honey-unsure", None, (), {"heft": "fair"}),
    # pollen with a thin band by the brood in the clean look
    ("pollen-coming", "blocks", (), {"pollen_coming": "plenty"}),
    ("pollen-coming", None, (), {"pollen_coming": "plenty", "nest_pollen": "scattered"}),
    ("pollen-coming-unsure", "warns", (), {"pollen_coming": "plenty", "nest_pollen": "scattered"}),
    ("pollen-coming", "blocks", (seen("entrance count", 10, minutes=5, bees_in=100, with_pollen=20),), {}),  # 20 %
    ("pollen-coming", None, (seen("entrance count", 10, minutes=5, bees_in=100, with_pollen=19),), {}),
    ("pollen-coming", None, (seen("entrance count", 11, minutes=5, bees_in=100, with_pollen=20),), {}),
    ("pollen-coming", None, (seen("entrance count", 1, minutes=5, bees_in=29, with_pollen=20),), {}),
    ("wings-and-brood", "orders", (), {"deformed_wings": "yes", "capped_quarters": 1.0, "open_quarters": 0.0}),
    ("wings-and-brood", None, (), {"deformed_wings": "yes", "capped_quarters": 0.5, "open_quarters": 0.0}),
    ("pull-by-past", "orders", (laid(7),), {}),  # at the pull-by of 7 days
    ("pull-by-past", None, (laid(6),), {}),
    ("pull-by-past", None, (laid(8), seen("taken off", 1)), {}),
    ("pull-by-past", None, (laid(8), look(1, patty_left=0.0)), {}),  # nothing left
    ("pull-by-due", None, (laid(7),), {}),  # due today is the order above, said once
    ("pull-by-due", "warns", (laid(6),), {}),  # due tomorrow, next round in 7 days
    ("pull-by-due", None, (), {}),
    ("patty-left", "warns", (laid(9),), {"patty_left": 0.25, "patty_texture": "soft"}),  # 7 days on
    ("patty-left", None, (laid(8),), {"patty_left": 0.25, "patty_texture": "soft"}),
    ("patty-left", None, (laid(9),), {"patty_left": 0.25, "patty_texture": "hard"}),
    ("patty-hard", "warns", (laid(8),), {"patty_left": 3.0, "patty_texture": "hard"}),
    ("mites-unknown", "warns", (event("treatment", 1),), {}),  # treated since the count
    ("mites-unknown", None, (event("treatment", 6),), {}),
]


@pytest.mark.parametrize(("code", "effect", "entries", "changes"), SEEN_CASES)
def test_gate_from_what_was_seen(code, effect, entries, changes):
    """A gate stands, with its effect, exactly when the entries say so."""
    gate = stand(quiet(*entries, **changes)).get(code)
    assert (gate.effect if gate else None) == effect


FORECAST_CASES: list[tuple[str, str | None, dict[str, object]]] = [
    # 5.7 kg: middle of the extension convention of 10-15 lb
    ("honey-short", "orders", {"honey_kg": Interval(5.69, 5.0, 6.4)}),
    ("honey-short", None, {"honey_kg": Interval(5.7, 5.0, 6.4)}),
    ("honey-unsure", "warns", {"honey_kg": Interval(5.7, 5.0, 6.4)}),
    ("honey-unsure", None, {"honey_kg": Interval(8.0, 7.0, 9.0)}),
    ("honey-short", "orders", {"honey_days": Interval(9.9, 5, 15)}),
    ("honey-short", None, {"honey_days": Interval(10, 5, 15)}),
    ("honey-short", None, {"honey_days": None}),
    # OSHA: high from 103 F, very high over 115 F, up to 15 F for full sun
    ("heat", "orders", {"heat_index_f": 88.0}),
    ("heat", None, {"heat_index_f": 87.9}),
    ("heat", None, {"heat_index_f": None, "temp_max_c": 31.0}),  # 87.8 F
    ("heat", "orders", {"heat_index_f": None, "temp_max_c": 31.2}),  # 88.2 F
    ("heat", None, {"heat_index_f": None, "temp_max_c": None}),
    ("fire-weather", "warns", {"drought_kbdi": 600.0}),
    ("fire-weather", None, {"drought_kbdi": 599.0}),
    ("fire-weather", "warns", {"wind_ms": 11.2, "humidity": 15.0}),  # red flag: 25 mph with 15 %
    ("fire-weather", None, {"wind_ms": 11.2, "humidity": 16.0}),
    ("fire-weather", None, {"wind_ms": 11.1, "humidity": 15.0}),
    ("robbing-risk", "warns", {"adults": Interval(9900, 8000, 12000), "p_dearth": 0.5}),
    ("robbing-risk", None, {"adults": Interval(9900, 8000, 12000), "p_dearth": 0.49}),
    ("robbing-risk", None, {"adults": Interval(10000, 8000, 12000), "p_dearth": 0.5}),
    ("robbing-risk", None, {"adults": Interval(9900, 8000, 12000), "p_dearth": None}),
    ("pollen-coming", "blocks", {"index": Interval(0.8, 0.5, 1.2)}),
    ("pollen-coming", None, {"index": Interval(0.8, 0.49, 1.2)}),
    ("low-confidence", "orders", {"adults": Interval(15000, 9000, 27000)}),  # three times
    ("low-confidence", None, {"adults": Interval(15000, 9001, 27000)}),
    ("yard-suspect", "blocks", {"yard_suspects": ("quarry-07",)}),
    ("yard-suspect", None, {"yard_suspects": ("quarry-03",)}),  # itself
]


@pytest.mark.parametrize(("code", "effect", "changes"), FORECAST_CASES)
def test_gate_from_the_forecast(code, effect, changes):
    """A gate stands, with its effect, exactly when the forecast says so."""
    gate = stand(quiet(), **changes).get(code)
    assert (gate.effect if gate else None) == effect


def test_queenless_probability_orders_queen_check_unless_eggs_were_seen():
    """A forecast of no queen sends the keeper to look, but eggs in the comb outweigh it."""
    assert stand(quiet(eggs="not looked"), p_queenless=0.5)["no-queen"].effect == "orders"
    assert "no-queen" not in stand(quiet(eggs="not looked"), p_queenless=0.49)
    assert "no-queen" not in stand(quiet(eggs="yes"), p_queenless=0.9)


@pytest.mark.parametrize(
    ("heat", "queen", "twice", "code"),
    [
        # about 100 F = 37.8 C: keepers' accounts of a stop in laying
        ({"temp_max_c": 37.8}, "yes", True, "brood-pause"),
        ({"temp_max_c": 37.7}, "yes", True, "no-queen"),
        ({"temp_max_past_c": (36.0, 39.0)}, "yes", True, "brood-pause"),
        ({"p_dearth": 0.5}, "yes", True, "brood-pause"),
        ({"temp_max_c": 37.8}, "no", True, "no-queen"),  # twice, and she was not found
        ({"temp_max_c": 37.8}, "not looked", True, "no-queen"),
        ({"temp_max_c": 37.8}, "not looked", False, "brood-pause"),  # once, in the heat
        ({}, "yes", False, "eggs-once"),
    ],
)
def test_no_eggs_in_heat_is_a_pause_only_with_reason(heat, queen, twice, code):
    """No eggs in heat or dearth is looked at again in days; without heat, or twice without her, the queen is first."""
    earlier = (look(9, eggs="no"),) if twice else ()
    found = stand(quiet(*earlier, eggs="no", queen_seen=queen), **heat)
    assert {"brood-pause", "no-queen", "eggs-once"} & found.keys() == {code}
    if code == "brood-pause":
        assert "not call it queenless" in found[code].do


@pytest.mark.parametrize(
    ("place", "changes", "code", "effect"),
    [
        (REPORTABLE, {"beetles": "few"}, "beetle-report", "blocks"),
        (REPORTABLE, {"beetle_larvae": "yes"}, "beetle-report", "blocks"),
        (REPORTABLE, {"beetles": "none"}, "beetle-report", None),
        (replace(PLACE, beetles="absent", beetles_reportable="unknown"), {"beetles": "few"}, "beetle-report", "blocks"),
        (replace(PLACE, beetles="absent", beetles_reportable="absent"), {"beetles": "few"}, "beetle-report", None),
        (UNKNOWN_BEETLES, {"beetles": "few"}, "beetle-report", None),
        (replace(REPORTABLE, beetles="present"), {"beetles": "few"}, "beetle-movement", "blocks"),
        (replace(REPORTABLE, beetles="present"), {"beetles": "few"}, "beetle-report", None),
    ],
)
def test_beetles_where_reportable_move_nothing(place: Place, changes, code, effect):
    """A suspected reportable beetle forbids moving anything and refers to the authority (WOAH Code ch. 9.4)."""
    gate = stand(quiet(laid(3), place=place, **changes), place=place).get(code)
    assert (gate.effect if gate else None) == effect
    if gate:
        assert gate.refers_to == "authority"


def test_beetle_suspicion_is_not_cleared_by_finding_none_later():
    """Only a clearing ends a suspicion of a reportable beetle, and then nothing else is ordered off the hive."""
    again = (look(1, beetles="none", beetle_larvae="no"), laid(9))
    found = stand(quiet(*again, place=REPORTABLE, beetles="few"), place=REPORTABLE)
    assert "beetle-report" in found
    assert "pull-by-past" not in found
    cleared = (*again, event("disease cleared", 0))
    assert "beetle-report" not in stand(quiet(*cleared, place=REPORTABLE, beetles="few"), place=REPORTABLE)


@pytest.mark.parametrize(
    ("mites", "bees", "code"),
    [
        # shrinking (from four weeks after midsummer): caution 2, treat 3 per 100 (coalition guide 2016-2018)
        (9, 300, "mites-high"),  # 3.00 per 100
        (8, 300, "mites-near"),
        (6, 300, "mites-near"),
        (4, 300, "mites-near"),  # 1.3 per 100, but the exact upper end 3.4 reaches the level
        (2, 300, None),  # 0.67, upper end 2.4
        (12, 400, "mites-high"),
        (9, 400, "mites-near"),  # 2.25 per 100: the same mites in 400 bees
        (9, None, "mites-high"),  # taken as 300
        (0, 100, "mites-near"),  # none in 100 bees does not exclude 3 per 100 (upper end 3.6)
        (0, 300, None),
    ],
)
def test_mite_levels_and_their_error(mites, bees, code):
    """The level of the season decides, a count whose error reaches the level is not called safe, nothing blocks."""
    found = stand(state(look(), wash(mites, bees)))
    assert found.keys() & {"mites-high", "mites-near", "mites-unknown"} == ({code} if code else set())
    assert all(g.effect == "warns" for c, g in found.items() if c.startswith("mites"))


def test_mite_level_follows_the_season():
    """Four per 100 is high in autumn and not at the peak (coalition guide: 5 at peak, 3 when shrinking)."""
    s = state(look(), wash(12, 300))
    assert "mites-high" in stand(s)
    peak = date(2031, 7, 10)
    assert "mites-high" not in stand(s, today=peak)


@pytest.mark.parametrize(("ago", "stands"), [(35, False), (36, True)])
def test_mite_count_grows_old(ago, stands):
    """A count older than five weeks is as good as none (common practice: about monthly)."""
    assert ("mites-unknown" in stand(state(look(), wash(1, 300, ago)))) is stands


def test_first_feed_needs_an_answer_about_brood_signs():
    """Before a hive's first feed, 'not looked', 'never asked' and an old answer all order a look."""
    assert "disease-not-looked" not in stand(quiet(fed=False))
    for case in (
        quiet(fed=False, brood_signs="not looked"),
        state(look(drop=("brood_signs",)), wash(), fed=False),
        state(look(22), look(drop=("brood_signs",)), wash(), fed=False),
    ):
        found = stand(case)
        assert found["disease-not-looked"].effect == "orders"
        assert "look for signs of brood disease" in found["disease-not-looked"].title.lower()
    assert "disease-not-looked" not in stand(state(look(21), look(drop=("brood_signs",)), wash(), fed=False))
    assert "disease-not-looked" not in stand(quiet(brood_signs="not looked"))  # fed before, nothing dry


def test_honey_short_with_boxes_on_never_gives_syrup():
    """With boxes for harvest on, short honey orders the boxes off first (Codex CXS 12-1981)."""
    found = stand(quiet(event("honey boxes on", 20), heft="very light"))
    assert "honey-short" not in found
    assert found["honey-short-boxes-on"].effect == "orders"
    assert "no syrup" in found["honey-short-boxes-on"].do.lower()


def test_pull_by_from_the_clock_and_the_chance_of_being_eaten():
    """The clock's pull-by is used; a piece very likely eaten needs no special trip and only warns."""
    s = quiet(laid(5))
    at = datetime(2031, 7, 20, 9, tzinfo=UTC)
    assert "pull-by-past" in stand(s, pull_by=at)
    assert "pull-by-past" in stand(s, pull_by=at, p_eaten_by_pull_by=0.79)
    eaten = stand(s, pull_by=at, p_eaten_by_pull_by=0.8)
    assert "pull-by-past" not in eaten
    assert eaten["pull-by-due"].effect == "warns"
    assert "pull-by-due" in stand(s, pull_by=datetime(2031, 7, 21, 9, tzinfo=UTC))
    assert "pull-by-due" not in stand(s, pull_by=datetime(2031, 7, 27, 9, tzinfo=UTC))


def test_pull_by_without_beetles_is_the_hardening_limit():
    """Where beetles are absent a piece may stay fourteen days (common practice: hardening and mould)."""
    place = replace(PLACE, beetles="absent")
    assert "pull-by-past" not in stand(quiet(laid(13), place=place), place=place)
    assert "pull-by-past" in stand(quiet(laid(14), place=place), place=place)


def test_older_piece_sets_the_pull_by():
    """A piece seen in part before a new one was laid on counts until it is written off."""
    s = state(laid(9), look(4, patty_left=1.0), laid(3), look(2), wash())
    assert "pull-by-past" in stand(s, p_eaten_by_pull_by=0.95)
    s = state(laid(9), look(4, patty_left=1.0), seen("taken off", 4, 10.0), laid(3), look(2), wash())
    assert "pull-by-past" not in stand(s)


@pytest.mark.parametrize(
    ("today", "stands"), [(date(2031, 9, 4), False), (date(2031, 9, 5), True), (date(2032, 1, 31), True)]
)
def test_stop_date_warns_and_says_why(today, stands):
    """Past the stop date the gate warns that winter bees are delayed (Mattila & Otis 2007), and no more."""
    gate = stand(quiet(), settings=Settings(patty_stop="09-05"), today=today).get("stop-date")
    assert (gate is not None) is stands
    if gate:
        assert gate.effect == "warns"
        assert "delays the winter bees" in gate.do


@pytest.mark.parametrize(
    ("entries", "code"),
    [
        ((), "low-confidence"),
        ((look(28),), None),
        ((look(29),), "low-confidence"),
        ((look(29), seen("look", 2, seams=(8.0,))), "look-old"),
        ((seen("look", 2, seams=(8.0,)),), "look-old"),
    ],
)
def test_too_little_known_is_said(entries, code):
    """An old or missing look cannot tell; a recent lid look without combs only warns."""
    found = stand(state(*entries, wash()))
    assert found.keys() & {"low-confidence", "look-old"} == ({code} if code else set())


def test_low_confidence_asks_for_the_one_missing_sign():
    """The first sign not seen lately is asked for, and only that one."""
    thin = Interval(15000, 5000, 30000)
    gate = stand(state(look(drop=("jelly", "heft")), wash()), adults=thin)["low-confidence"]
    assert "jelly of the youngest larvae" in gate.do
    assert "heft" not in gate.do
    assert "second time" in stand(quiet(), adults=thin)["low-confidence"].do


def test_pollen_none_at_the_entrance_outweighs_the_index():
    """What was seen at the entrance comes before the yard's forecast index."""
    rich = {"index": Interval(0.9, 0.7, 1.2)}
    assert "pollen-coming" in stand(quiet(), **rich)
    assert "pollen-coming" not in stand(quiet(pollen_coming="none"), **rich)


def test_every_gate_is_named_in_the_table_and_fires_somewhere():
    """No code is unknown to the table, and every code of the table is raised by some case of this file."""
    raised = {c for c, effect, _, _ in SEEN_CASES if effect} | {c for c, effect, _ in FORECAST_CASES if effect}
    raised |= {
        "brood-pause",
        "beetle-report",
        "beetle-movement",
        "mites-high",
        "mites-near",
        "honey-short-boxes-on",
        "stop-date",
        "low-confidence",
        "look-old",
        "suspect-piece-on",
        "suspect-piece-eaten",
    }
    assert raised == set(KINDS)


def test_gate_texts_carry_date_source_and_no_named_disease():
    """Every gate says what was seen, what to do and its source; no disease is named as fact."""
    cases = [quiet(*entries, **changes) for _, effect, entries, changes in SEEN_CASES if effect]
    found = [g for s in cases for g in stand(s).values()]
    found += [g for _, effect, changes in FORECAST_CASES if effect for g in stand(quiet(), **changes).values()]
    for gate in found:
        assert gate.title, gate.code
        assert gate.seen.endswith("."), gate.code
        assert gate.do, gate.code
        assert gate.source, gate.code
        assert gate.refers_to in ("", "inspector", "vet", "authority", "medical"), gate.code
        assert "None" not in gate.seen + gate.do, gate.code
        for name in ("american foulbrood", "european foulbrood", "sacbrood", "chalkbrood", "nosema"):
            assert name not in (gate.title + gate.seen + gate.do).lower(), gate.code
    disease = stand(quiet(brood_signs="yes"))["brood-disease"]
    assert "signs consistent with a brood disease, confirm by kit or laboratory" in disease.seen
    assert f"{days_ago(2).day} July" in disease.seen
    assert disease.refers_to == "inspector"


def test_skipped_fields_raise_no_gate_of_their_own():
    """Leaving a field out never reads as 'no' or zero: the hive with only seams written raises no cause gate."""
    found = stand(state(seen("look", 2, seams=(8.0, 5.0)), wash()))
    assert found.keys() == {"look-old"}


def test_dead_hive_keeps_only_safety():
    """A dead colony is not asked for mites, queen or pollen."""
    s = state(look(eggs="no", heft="very light"), event("death", 1))
    assert stand(s).keys() == {"hive-dead"}
    assert QUIET.p_queenless < 0.5
    assert s.died is not None
    assert s.today == TODAY


@pytest.mark.parametrize(
    ("nest", "outer", "code"),
    [
        # (word, days ago) for the band by the brood and the outer comb
        (None, ("broad band", 2), "pollen-coming"),
        (None, ("thin band", 2), "pollen-coming-unsure"),
        (None, ("broad band", 22), "pollen-coming-unsure"),  # too old to count
        (("none", 2), ("full side", 2), "pollen-coming-unsure"),  # far from the brood is not by the brood
        (("none", 5), ("full side", 2), "pollen-coming"),  # filled since
        (("thin band", 21), None, "pollen-coming"),
        (("thin band", 22), None, "pollen-coming-unsure"),
    ],
)
def test_bread_by_the_brood(nest, outer, code):
    """Bread counts by the brood, or on the outer comb when the brood comb was not seen empty since."""
    entries = [look(1, drop=("nest_pollen", "outer_pollen"), pollen_coming="plenty"), wash()]
    for field, found in (("nest_pollen", nest), ("outer_pollen", outer)):
        if found:
            entries.append(seen("look", found[1], **{field: found[0]}))
    assert {"pollen-coming", "pollen-coming-unsure"} & stand(state(*entries)).keys() == {code}


def test_queen_texts_carry_the_days_and_what_was_done():
    """The days without eggs, a sighting of the queen and a requeening stand in the words."""
    gate = stand(quiet(look(6, eggs="no"), event("requeen", 8), eggs="no"))["no-queen"]
    assert "No eggs on 14 July and 18 July" in gate.seen
    assert "requeened on 12 July" in gate.seen
    pause = stand(quiet(eggs="no", queen_seen="yes"), temp_max_c=40.0)["brood-pause"]
    assert "the queen was seen on 18 July" in pause.seen
    assert "40 °C (104 °F)" in pause.seen
    treated = stand(quiet(event("treatment", 1), deformed_wings="yes"))["wings"]
    assert "treated since, on 19 July" in treated.seen
    assert "treated" not in stand(quiet(event("treatment", 4), deformed_wings="yes"))["wings"].seen


@pytest.mark.parametrize(
    ("dry", "damp", "floating", "stands"),
    [(6, 3, 2, True), (5, 3, 2, False), (0, None, None, False), (3, None, None, True)],
)
def test_counted_jelly_reads_as_dry_by_majority(dry, damp, floating, stands):
    """More than half of the larvae counted dry is dry; a count not made is left out."""
    counts = {"jelly_dry": dry, "jelly_damp": damp, "jelly_floating": floating}
    made = {k: v for k, v in counts.items() if v is not None}
    s = state(look(drop=("jelly",), open_quarters=0.5, **made), wash())
    assert ("dry-larvae" in stand(s)) is stands


def test_counted_jelly_is_not_asked_for_again():
    """A count of larvae answers the question for jelly as well as the word does."""
    thin = Interval(15000, 5000, 30000)
    counted = state(look(drop=("jelly", "heft"), jelly_damp=9), wash())
    assert "look at the heft" in stand(counted, adults=thin)["low-confidence"].do


def test_sign_asked_for_again_only_after_its_days():
    """A sign seen exactly as many days ago as the keeper allows is not asked for."""
    thin = Interval(15000, 5000, 30000)
    assert "second time" in stand(state(look(21), wash()), adults=thin)["low-confidence"].do
    assert "band of pollen" in stand(state(look(22), wash()), adults=thin)["low-confidence"].do


def test_dead_hive_in_a_suspect_yard_keeps_the_yard_rule():
    """Nothing goes between hives of a suspect yard, dead hives least of all."""
    found = stand(state(look(), event("death", 1)), yard_suspects=("quarry-07",))
    assert found.keys() == {"hive-dead", "yard-suspect"}
