"""From calls to visits: what is due when, in how few openings, within which hours, over which roads."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest

from tests.samples import GATE, call, runway
from tideover.plan.call import ACTIONS, Interval, Runway
from tideover.plan.rounds.load import items
from tideover.plan.rounds.roads import Road, roads, straight_km
from tideover.plan.rounds.stock import Appetite, appetite, chance_of_laying, needs
from tideover.plan.rounds.windows import DayHeat, index_f, window
from tideover.plan.rounds.words import days_off, home_of, notice_of
from tideover.plan.rounds.work import Job, bundles, follow_ups, jobs_of
from tideover.plan.settings import Settings, SettingsError

TODAY = date(2031, 7, 14)
S = Settings()


def job(hive: str, first: int = 0, due: int | None = 3, minutes: float = 10.0) -> Job:
    """A look between two days from today."""
    end = None if due is None else datetime(2031, 7, 14, 20, tzinfo=UTC) + timedelta(days=due)
    return Job(hive, "quarry", "look again", "look", 0.0, 0.0, minutes, TODAY + timedelta(days=first), end, "because")


@pytest.mark.parametrize("action", ACTIONS)
def test_every_action_is_a_task_or_none(action: str) -> None:
    """Each call gives its own task; leaving alone and moving a yard give none."""
    made = jobs_of(call("quarry-03", action, worth_opening=action != "leave"), None, S, TODAY, UTC)  # type: ignore[arg-type]
    assert [j.action for j in made] == ([] if action in ("leave", "move the yard") else [action])


def test_piece_on_the_hive_rules_the_day() -> None:
    """A pull-by before the runway's end is the due, to the hour; a leave with a piece on is fetched by then."""
    off = datetime(2031, 7, 16, 9, 30, tzinfo=UTC)
    assert jobs_of(call("quarry-03"), off, S, TODAY, UTC)[0].due == off
    rest = jobs_of(call("quarry-03", "leave", worth_opening=False), off, S, TODAY, UTC)
    assert [(j.action, j.due, j.first) for j in rest] == [("take off", off, TODAY)]


def test_runway_brings_protein_forward_but_never_behind_the_week() -> None:
    """The early end of the runway sets the day; one beyond the horizon leaves the weekly turn."""
    soon = jobs_of(call("quarry-03", runway=runway(5.0)), None, S, TODAY, UTC)[0]
    late = jobs_of(call("quarry-03", runway=Runway(None, None, None, 0.1)), None, S, TODAY, UTC)[0]
    assert soon.due is not None
    assert late.due is not None
    assert (soon.due.date() - TODAY).days == 2
    assert (late.due.date() - TODAY).days == 7


def test_fewest_visits_that_meet_every_due() -> None:
    """Intervals pierced by their ends: three that overlap are one visit, one that begins later is a second."""
    made = bundles("quarry", [job("a", 0, 3), job("b", 1, 5), job("c", 3, 9), job("d", 4, 9), job("e", 0, None)], 500)
    assert [[j.hive for j in b.jobs] for b in made] == [["a", "b", "c", "e"], ["d"]]
    assert [b.number for b in made] == [1, 2]
    assert made[0].first == TODAY + timedelta(days=3)


def test_visit_too_long_is_cut_by_whole_hives() -> None:
    """No part is longer than a morning holds, every job is in one part, hives are not split."""
    jobs = [job(f"h{i:02d}", minutes=10) for i in range(25)]
    made = bundles("quarry", jobs, 100)
    assert sum(len(b.jobs) for b in made) == 25
    assert all(b.minutes <= 100 for b in made)
    assert [b.part for b in made] == [0, 1, 2]


def test_piece_laid_on_brings_a_later_visit() -> None:
    """It is off by its stay after the visit, and not fetched earlier than two days before."""
    laid = jobs_of(call("quarry-03"), None, S, TODAY, UTC)
    done = datetime(2031, 7, 15, 8, 0, tzinfo=UTC)
    after = follow_ups(laid, done, S)
    assert [(j.action, j.due) for j in after] == [("take off", done + timedelta(days=6))]
    assert after[0].first == date(2031, 7, 19)
    assert follow_ups([job("a")], done, S) == []


# ---- hours


def hot(high: float, low: float = 22.0) -> DayHeat:
    """A July day at 33 degrees north."""
    return DayHeat(TODAY, 33.3, high, low)


def test_index_at_the_high_is_that_of_the_published_table() -> None:
    """96 F at 50 % humidity reads 108 F in the National Weather Service's printed heat index chart (from memory).

    A low of 26.0 C less two degrees of dew point holds about 50 % at 35.6 C; two degrees either way are allowed,
    one for the chart's own rounding and one for the humidity not being exactly 50 %.
    """
    at_high = max(index_f(hot(35.56, 26.0), m, 0.0) for m in range(600, 1080, 5))
    assert at_high == pytest.approx(108.0, abs=2.0)


def test_hotter_days_close_earlier() -> None:
    """The window shrinks as the high rises, opens at sunrise or the keeper's hour, and is shut when the night is hot."""
    rules = {"start_h": 6.0, "end_h": 19.0, "high_f": 103.0, "stop_f": 115.0, "sun_f": 15.0}
    closes = [window(hot(t), **rules).closes for t in (28.0, 36.0, 40.0, 44.0)]
    assert closes[0] == 19 * 60
    assert closes == sorted(closes, reverse=True)
    assert closes[-1] < closes[1] < closes[0]
    assert window(hot(36.0), **rules).opens == 360
    assert window(hot(36.0), **(rules | {"start_h": 3.0})).opens > 4 * 60
    shut = window(DayHeat(TODAY, 33.3, 46.0, 35.0), **rules)
    assert shut.minutes == 0


# ---- roads


def test_straight_line_against_a_known_distance() -> None:
    """One degree of latitude is 111.2 km on a sphere of the earth's mean radius (2 pi 6371.0088 / 360)."""
    assert straight_km((33.0, -113.0), (34.0, -113.0)) == pytest.approx(111.195, abs=0.01)
    assert straight_km((0.0, 179.5), (0.0, -179.5)) == pytest.approx(111.195, abs=0.01)


def test_entered_roads_come_first_and_hold_both_ways() -> None:
    """An entered time replaces the reckoned one; the other way back stands when it was entered too."""
    places = [(33.0, -113.0), (33.1, -113.0), (33.2, -113.0)]
    entered = {("a", "home"): Road(40.0, 30.0), ("a", "b"): Road(9.0), ("b", "a"): Road(12.0)}
    made = roads(["home", "a", "b"], places, entered, 1.3, 50.0)
    assert (made.minutes[0][1], made.minutes[1][0], made.km[0][1]) == (40, 40, 30.0)
    assert (made.minutes[1][2], made.minutes[2][1]) == (9, 12)
    assert made.km[0][2] == pytest.approx(2 * 11.1195 * 1.3, abs=0.01)
    assert made.minutes[0][2] == round(2 * 11.1195 * 1.3 / 50 * 60)
    assert made.entered == 4


# ---- stock


def test_need_agrees_with_the_binomial() -> None:
    """Ten hives, 455 g each with chance 0.5 in one round: the 90 % quantile of a binomial (10, 0.5) is 7 pieces.

    Binomial table: P(X <= 6) = 0.828, P(X <= 7) = 0.945.
    """
    got, draws = needs(
        [Appetite("quarry", 0.5, 100.0)] * 10,
        {"quarry": [1.0]},
        in_hand_g=0.0,
        short=0.1,
        unit_g=100.0,
        seed=3,
        draws=40_000,
    )
    assert got.get == 700.0
    assert got.short_then == pytest.approx(1 - 0.9453, abs=0.006)
    assert float(draws.mean()) == pytest.approx(500.0, rel=0.01)


def test_hives_of_a_yard_stop_together() -> None:
    """With an even chance that the dearth holds, one yard of ten is all or nothing; ten yards of one are not."""
    one, _ = needs([Appetite("a", 1.0, 100.0)] * 10, {"a": [1.0, 0.5]}, in_hand_g=0, short=0.1, unit_g=1, seed=1)
    many, _ = needs(
        [Appetite(f"y{i}", 1.0, 100.0) for i in range(10)], {f"y{i}": [1.0, 0.5] for i in range(10)},
        in_hand_g=0, short=0.1, unit_g=1, seed=1,
    )  # fmt: skip
    assert one.high - one.low > 1.8 * (many.high - many.low)
    assert one.low == pytest.approx(1000.0)


def test_what_is_in_hand_is_not_bought_again() -> None:
    """Enough in hand: nothing to get, and the chance of running short says so."""
    hives = [Appetite("a", 1.0, 100.0)] * 3
    got, _ = needs(hives, {"a": [1.0]}, in_hand_g=300.0, short=0.1, unit_g=113.4, seed=1)
    assert (got.get, got.short_now) == (0.0, 0.0)
    few, _ = needs(hives, {"a": [1.0]}, in_hand_g=299.0, short=0.1, unit_g=113.4, seed=1)
    assert (few.get, few.short_now, few.short_then) == (113.4, 1.0, 0.0)


def test_appetite_follows_the_call() -> None:
    """Lay on: what leaving does not beat; leave with nothing to load: none; a look that may lead to feeding: its chance."""
    feeding = replace(call("q").alternatives[0], better_than_call=0.3)
    leaving = replace(feeding, name="leave", action="leave", better_than_call=0.25)
    assert chance_of_laying(call("q", alternatives=(feeding, leaving))) == pytest.approx(0.75)
    assert appetite(call("q", "leave", loads_g=0.0)).chance == 0.0
    look = appetite(call("q", "look again", loads_g=226.8, alternatives=(feeding, leaving)))
    assert (look.chance, look.grams) == (pytest.approx(0.3), pytest.approx(226.8))
    assert isinstance(feeding.honey_kg, Interval)
    assert np.isfinite(appetite(call("q")).grams)


# ---- load


def test_no_smoker_fuel_where_a_fire_ban_holds() -> None:
    """Fuel is loaded for the yards without a ban only; with bans everywhere there is none."""
    jobs = jobs_of(call("quarry-03"), None, S, TODAY, UTC)
    both = items([("Quarry", jobs), ("Mill Race", jobs)], {}, frozenset({"Quarry"}), 4.0)
    assert next(x.amount for x in both if x.what == "smoker fuel") == 1
    none = [x.what for x in items([("Quarry", jobs)], {}, frozenset({"Quarry"}), 4.0)]
    assert "smoker fuel" not in none
    assert "water mist instead of smoke" in none


def test_load_adds_up_by_hive() -> None:
    """Patty as the calls say to load, sugar in kilograms, reducers where robbing threatens, water by the hour."""
    robbed = call("quarry-04", "give sugar", 2000.0, gates=(replace(GATE, code="robbing"),))
    calls = {"quarry-03": call("quarry-03"), "quarry-04": robbed}
    jobs = [j for c in calls.values() for j in jobs_of(c, None, S, TODAY, UTC)]
    got = {x.what: x.amount for x in items([("Quarry", jobs)], calls, frozenset(), 3.4)}
    assert got["patty"] == pytest.approx(453.59237)
    assert got["sugar"] == pytest.approx(2.0)
    assert (got["entrance reducer"], got["robbing cloth"], got["drinking water"]) == (1, 1, 4)


# ---- settings written as text


def test_texts_of_the_settings() -> None:
    """A place, days off and notice are read as written, and refused in a sentence."""
    assert home_of("33.31, -113.42") == (33.31, -113.42)
    assert home_of("") is None
    assert days_off("sun, 2031-07-04 Wednesday") == (frozenset({6, 2}), frozenset({date(2031, 7, 4)}))
    assert notice_of("quarry=2, mill-race=0") == {"quarry": 2, "mill-race": 0}
    for name, text in (("home_place", "north"), ("days_off", "someday"), ("yard_notice", "quarry two")):
        with pytest.raises(SettingsError, match=f"Setting '{name}' got"):
            Settings(**{name: text})  # type: ignore[arg-type]
    with pytest.raises(SettingsError, match="day_end"):
        Settings(day_start=9, day_end=10)
