"""Folding entries into a situation: latest facts with dates, and nothing made of what was skipped."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from scipy import stats

from tests.plan.hives import PLACE, TODAY, days_ago, event, laid, look, seen, state, wash
from tideover.evidence.seen import HiveCase, Place
from tideover.plan.situation import Sign, mite_count, season_start, situation


def test_no_entries_say_nothing():
    """An empty book leaves every fact missing and every sign never asked."""
    s = state(fed=False)
    assert s.last_look is None
    assert s.days_since_look() is None
    assert s.days_since_comb_look() is None
    assert s.sign("brood_signs") == Sign("never asked")
    assert s.mite_count is None
    assert s.patty is None
    assert s.seams_total is None
    assert not s.tiny
    assert not s.fed_this_season


def test_lid_and_comb_looks_are_told_apart():
    """A look without a comb field is a lid look only."""
    s = state(look(20), seen("look", 3, seams=(7.0,), heft="light"))
    assert (s.days_since_look(), s.days_since_comb_look()) == (3, 20)
    assert s.word("heft") == "light"
    assert s.latest["nest_pollen"].day == days_ago(20)
    assert s.word("nest_pollen", 19) is None


def test_entries_after_today_are_left_out():
    """The situation of a day knows nothing of later days."""
    case = HiveCase("h", PLACE, seen=(look(5, heft="heavy"), look(1, heft="light")))
    assert situation(case, (), days_ago(2)).word("heft") == "heavy"


@pytest.mark.parametrize(
    ("answers", "expected"),
    [
        (("yes", "not looked"), "yes"),
        (("no", "not looked"), "no"),
        (("not looked",), "not looked"),
        (("not looked", "no"), "no"),
        (("no", "yes"), "yes"),
        (("yes", "no"), "no"),
        ((), "never asked"),
    ],
)
def test_not_looked_never_overwrites_an_answer(answers, expected):
    """The last yes or no stands; 'not looked' is neither."""
    entries = [seen("look", 10 - i, id=str(i), queen_seen=a) for i, a in enumerate(answers)]
    sign = state(*entries).sign("queen_seen")
    assert sign.answer == expected
    assert sign.within(TODAY, 30) is (expected in ("yes", "no"))


def test_sign_grows_old():
    """An answer counts only for as long as asked."""
    sign = state(look(10)).sign("brood_signs")
    assert sign.within(TODAY, 10)
    assert not sign.within(TODAY, 9)


def test_eggs_of_the_last_two_comb_looks():
    """Newest first, one answer a day, looks without an answer passed over."""
    s = state(look(9, eggs="yes"), look(6, eggs="not looked"), look(4, eggs="no"), look(1, eggs="no"))
    assert s.eggs_comb_looks == ((days_ago(1), False), (days_ago(4), False))
    twice = state(look(1, eggs="yes"), seen("look", 1, 15.0, eggs="no"))
    assert twice.eggs_comb_looks == ((days_ago(1), True),)


@pytest.mark.parametrize(
    ("mites", "bees", "rate", "low", "high"),
    # exact binomial intervals as published for mite washes (arithmetic check values)
    [
        (6, 300, 2.0, 0.74, 4.30),
        (9, 300, 3.0, 1.38, 5.62),
        (0, 300, 0.0, 0.0, 1.22),
        (3, 300, 1.0, 0.21, 2.89),
        (15, 300, 5.0, 2.83, 8.11),
    ],
)
def test_mite_rate_has_its_exact_interval(mites, bees, rate, low, high):
    """Clopper & Pearson 1934, also against scipy's binomial test."""
    count = mite_count(mites, bees, TODAY, "x")
    assert (count.rate, count.low, count.high) == pytest.approx((rate, low, high), abs=0.006)
    exact = stats.binomtest(mites, bees).proportion_ci(0.95, "exact")
    assert (count.low, count.high) == pytest.approx((100 * exact.low, 100 * exact.high))


def test_mite_sample_is_assumed_only_when_not_counted():
    """Half a cup is 300 in most guides and 400 in one: the assumption is kept in sight."""
    s = state(wash(6, None))
    assert s.mite_count is not None
    assert (s.mite_count.bees, s.mite_count.bees_assumed, s.mite_count.rate) == (300, True, 2.0)
    case = HiveCase("h", PLACE, seen=(wash(6, None),))
    assert situation(case, (), TODAY, mite_sample=400).mite_count.rate == 1.5
    with pytest.raises(ValueError, match="wanted 0 or more"):
        mite_count(-1, 300, TODAY, "x")


def test_more_mites_than_bees_is_kept():
    """An absurd wash gives an absurd rate, not an error."""
    count = mite_count(400, 300, TODAY, "x")
    assert count.rate > 100
    assert count.high >= count.rate


def test_piece_on_the_hive_and_what_is_left():
    """Leftover, texture, touch and debris go to the last piece; a missing leftover stays missing."""
    s = state(laid(5, 400.0), seen("look", 2, patty_left=1.0, patty_texture="hard", patty_debris="some"))
    assert s.patty is not None
    assert (s.patty.grams, s.patty.left_grams, s.patty.texture, s.patty.debris) == (400.0, 100.0, "hard", "some")
    unseen = state(laid(5, 400.0), seen("look", 2, seams=(8.0,)))
    assert unseen.patty is not None
    assert unseen.patty.left_quarters is None
    assert unseen.patty.left_grams is None
    gone = state(laid(5), seen("look", 2, patty_left=0.0))
    assert gone.patty is None
    assert gone.feeds[-1].left_quarters == 0.0


def test_weight_taken_off_gives_what_was_left():
    """The weight taken off is turned into quarters of the piece."""
    s = state(laid(8, 400.0), seen("taken off", 1, weight=100.0))
    assert s.patty is None
    assert s.feeds[-1].left_quarters == pytest.approx(1.0)


def test_look_on_the_day_of_laying_on_belongs_to_the_piece_before():
    """Hours order a day: what was left at nine is of the old piece, the new one went on at ten."""
    s = state(laid(7), seen("look", 0, 9.0, patty_left=2.0), laid(0, hour=10.0))
    assert s.patty is not None
    assert s.patty.on == TODAY
    assert s.patty.left_quarters is None
    assert s.older_patty is not None
    assert s.older_patty.on == days_ago(7)


def test_feeds_count_from_the_start_of_the_season():
    """A piece of last year is no feed of this season; the season turns with the hemisphere."""
    old = laid((TODAY - date(2030, 12, 20)).days)
    assert not state(old, fed=False).fed_this_season
    assert season_start(PLACE, TODAY) == date(2031, 1, 1)
    south = Place("s", -35.0)
    assert season_start(south, TODAY) == date(2031, 7, 1)
    assert season_start(south, date(2031, 6, 30)) == date(2030, 7, 1)


@pytest.mark.parametrize(
    ("entries", "holds"),
    [
        ((event("honey boxes on", 9),), True),
        ((event("honey boxes on", 9), event("honey boxes off", 5)), False),
        ((event("honey boxes on", 9), event("harvest", 5)), True),  # boxes may go back on: only 'off' ends it
        ((event("honey boxes off", 9), event("honey boxes on", 5)), True),
        ((event("honey boxes on", 5, 8.0), event("honey boxes off", 5, 17.0)), False),
    ],
)
def test_honey_boxes_hold_until_off(entries, holds):
    """On holds until off, by day and hour."""
    assert (state(*entries).honey_boxes is not None) is holds


def test_events_of_the_yard_count_for_its_hives():
    """A fire ban, robbing or dead bees written for the yard hold for each of its hives, and count once."""
    ban = event("fire ban on", 4)
    s = state(yard=(ban, event("robbing seen", 2), event("dead bees seen", 3)))
    assert s.fire_ban is not None
    assert s.robbing is not None
    assert s.dead_bees is not None
    assert state(ban, yard=(ban,)) == state(ban)


def test_death_ends_when_bees_are_seen_again():
    """A hive restocked after a death lives; an empty look does not revive it."""
    assert state(look(9), event("death", 5)).died is not None
    assert state(event("death", 5), seen("look", 2, seams=(0.0,))).died is not None
    assert state(event("death", 5), look(2)).died is None


def test_entrance_share_needs_both_counts():
    """The share with pollen is missing when no bee was counted."""
    s = state(seen("entrance count", 1, minutes=5, bees_in=80, with_pollen=20))
    assert s.entrance is not None
    assert (s.entrance.value, s.entrance_bees) == (0.25, 80)
    assert state(seen("entrance count", 1, minutes=5, bees_in=0, with_pollen=0)).entrance is None


def test_syrup_keeps_what_was_not_written_missing():
    """Litres not written are missing, not zero."""
    s = state(event("syrup", 3), event("syrup", 1, syrup=2.0, sugar_share=50.0))
    assert [(y.litres, y.sugar_share) for y in s.syrup] == [(None, None), (2.0, 50.0)]


def test_dates_of_what_was_done():
    """Each kind of event keeps its last day."""
    s = state(
        event("treatment", 20),
        event("treatment", 6),
        event("requeen", 9),
        event("split", 12),
        event("move", 3),
        event("swarm", 15),
        event("unite", 14),
        event("water given", 1),
    )
    assert (s.treated_on, s.requeened_on, s.split_on, s.moved_on, s.swarmed_on, s.united_on, s.water_given) == tuple(
        TODAY - timedelta(days=n) for n in (6, 9, 12, 3, 15, 14, 1)
    )


@pytest.mark.parametrize(("seams", "tiny"), [((2.0,), True), ((2.25,), False), ((1.0, 1.0), True), ((8.0, 4.5), False)])
def test_tiny_colony(seams, tiny):
    """Two seams or fewer over all boxes is tiny (our assumption)."""
    s = state(seen("look", 2, seams=seams))
    assert s.tiny is tiny
    assert s.seams_total == sum(seams)


def test_numbers_and_words_grow_old():
    """A value counts on its last day and not after it; without a limit it always does."""
    s = state(seen("look", 10, capped_quarters=3.0, jelly="damp"))
    assert [s.number("capped_quarters", n) for n in (10, 9, None)] == [3.0, None, 3.0]
    assert (s.word("jelly", 10), s.word("jelly", 9), s.word("jelly")) == ("damp", None, "damp")
    assert s.number("jelly") is None
    assert s.word("capped_quarters") is None


def test_only_a_clearing_clears():
    """Other events after brood signs leave the suspicion standing, with its own day."""
    s = state(look(9, brood_signs="yes"), event("treatment", 5), event("requeen", 4))
    assert s.disease_suspected is not None
    assert s.disease_suspected.day == days_ago(9)
    assert state(look(9, brood_signs="yes"), event("disease cleared", 4)).disease_suspected is None
