"""From the books to the science, and entries in sentences."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given, settings

from tests.records.making import HIVES, YARDS, entry, fresh, seasons, uid
from tideover.evidence.seen import BoxSpec, Place
from tideover.records import Entry, boxes_now, case, cases, describe, yard_seen
from tideover.records.entries import Box
from tideover.records.kinds import KINDS


def test_case_has_place_boxes_and_facts_in_local_time() -> None:
    """Day and hour are those of the yard: 15:30 UTC is 08:30 there, and 03:00 UTC is still the day before."""
    with fresh() as books:
        books.add([entry(0, values={"eggs": "yes"}, who="A."), entry(1, at=datetime(2026, 7, 16, 3, 0, tzinfo=UTC))])
        got = case(books, "quarry-01")
    assert got.place == Place("quarry", 36.75, -119.8, 140.0, "America/Los_Angeles", "present", "absent")
    assert got.boxes == (BoxSpec("deep", 10),)
    assert [(s.id, s.day, s.hour, s.who) for s in got.seen] == [
        (uid(0), date(2026, 7, 14), 8.5, "A."),
        (uid(1), date(2026, 7, 15), 20.0, "A."),
    ]
    assert got.seen[0].values == {"eggs": "yes"}


def test_case_leaves_out_what_does_not_stand_and_bookkeeping() -> None:
    """Corrected and withdrawn entries, confirmations and withdrawals are no facts about bees."""
    with fresh() as books:
        books.add(
            [
                entry(0),
                entry(1, supersedes=uid(0)),
                entry(2),
                entry(3, "withdraw", supersedes=uid(2)),
                entry(4, "confirm", {"entry": uid(1)}),
            ]
        )
        assert [(s.id, s.confirmed) for s in case(books, "quarry-01").seen] == [(uid(1), True)]
        books.add([entry(5, "withdraw", supersedes=uid(4))])
        assert [(s.id, s.confirmed) for s in case(books, "quarry-01").seen] == [(uid(1), False)]


def test_case_confirmation_filed_under_another_hive_counts() -> None:
    """A confirmation is about the entry it names, wherever it was filed."""
    with fresh() as books:
        books.add([entry(0), entry(1, "confirm", {"entry": uid(0)}, hive=None, yard="mill-race")])
        assert case(books, "quarry-01").seen[0].confirmed


def test_yard_seen_has_what_is_of_no_hive() -> None:
    """Weather, bloom and events of a yard are the yard's; entries of its hives are not."""
    with fresh() as books:
        weather = {"temp_max": 39.0, "temp_min": 18.0}
        books.add(
            [
                entry(0),
                entry(1, "weather day", weather),
                entry(2, "event", {"event": "fire ban on"}, hive=None, at=entry().at + timedelta(days=1)),
                entry(3, "weather day", weather, yard="mill-race"),
                entry(4, "confirm", {"entry": uid(1)}, hive=None),
            ]
        )
        assert [(s.kind, s.confirmed) for s in yard_seen(books, "quarry")] == [("weather day", True), ("event", False)]


@given(seasons())
@settings(max_examples=30, deadline=None)
def test_cases_in_bulk_are_the_same_one_by_one(season: list[Entry]) -> None:
    """All cases of a yard read at once equal each read alone."""
    with fresh() as books:
        books.add(season)
        for y in YARDS:
            assert cases(books, y.id) == {h.id: case(books, h.id) for h in books.hives(y.id)}


def test_boxes_now_follow_the_events() -> None:
    """A box added goes on top, a box removed is the topmost of its kind, and the last one stays."""

    def event(n: int, what: str, box: str = "") -> Entry:
        values = {"event": what} | ({"box": box} if box else {})
        return entry(n, "event", values, hive="quarry-02", at=entry().at + timedelta(days=n))

    with fresh() as books:
        books.add([event(0, "box added", "medium x9"), event(1, "box removed", "deep"), event(2, "syrup")])
        seen = case(books, "quarry-02").seen
    hive = HIVES[1]
    assert boxes_now(hive, seen[:1]) == (Box(1, "deep", 10), Box(2, "medium", 9), Box(3, "medium", 9))
    assert boxes_now(hive, seen) == (Box(1, "medium", 9), Box(2, "medium", 9))
    assert len(boxes_now(hive, seen[1:2] * 5)) == 1


@pytest.mark.parametrize(
    ("e", "metric", "us"),
    [
        (
            entry(0, values={"shade_temp": 30.0, "seams": (8.0, 4.5), "eggs": "not looked"}, note="windy"),
            "Looked: 30 °C in the shade; 8 + 4.5 seams of bees; eggs: not looked. Note: windy",
            "Looked: 86 °F in the shade; 8 + 4.5 seams of bees; eggs: not looked. Note: windy",
        ),
        (
            entry(0, "laid on", {"weight": 226.796185, "protein": 15.0, "place": "top bars over brood"}),
            "Laid on 227 g of patty, top bars over brood; 15 % protein.",
            "Laid on 0.5 lb of patty, top bars over brood; 15 % protein.",
        ),
        (
            entry(0, "weather day", {"temp_max": 40.0, "temp_min": 20.0, "rain": 12.7}),
            "Weather 20 °C to 40 °C; rain 12.7 mm.",
            "Weather 68 °F to 104 °F; rain 0.5 in.",
        ),
        (
            entry(0, "weather day", {"temp_max": 40.0, "temp_min": 20.0, "temp_sd": 1.5}),
            "Weather 20 °C to 40 °C, filled in, give or take 1.5 °C.",
            "Weather 68 °F to 104 °F, filled in, give or take 2.7 °F.",
        ),
        (
            entry(0, "mite wash", {"mites": 4}),
            "Washed 4 mites from half a cup of bees (taken as 300).",
            "Washed 4 mites from half a cup of bees (taken as 300).",
        ),
        (
            entry(0, "event", {"event": "syrup", "syrup": 3.785411784, "sugar_share": 50.0}),
            "Syrup; 3.8 L of syrup; 50 % sugar.",
            "Syrup; 1 gal of syrup; 50 % sugar.",
        ),
        (
            entry(0, "planned visit", {"day": "2026-08-10", "begins": "06:45", "ends": "08:45"}),
            "Planned for Mon 10 Aug 2026, 06:45 to 08:45.",
            "Planned for Mon 10 Aug 2026, 06:45 to 08:45.",
        ),
    ],
)
def test_describe_says_an_entry_in_both_units(e: Entry, metric: str, us: str) -> None:
    """An entry reads as a sentence in metric and in US units (30 C = 86 F, 0.5 lb = 226.8 g, 12.7 mm = 0.5 in)."""
    assert (describe(e, "metric"), describe(e, "us")) == (metric, us)


@pytest.mark.parametrize(
    ("kept", "told"),
    [
        ('{"aim": "as weighed", "name": "House patty", "ingredients": []}', "recipe House patty"),
        ('{"aim": "as weighed"}', "recipe of the kitchen"),
        ("two parts sugar, one of flour", "recipe two parts sugar, one of flour"),
        ("12", "recipe 12"),
    ],
)
def test_a_kitchens_recipe_is_told_by_its_name(kept: str, told: str) -> None:
    """What the kitchen keeps is for machines to read; what was typed in is told as it stands."""
    assert told in describe(entry(0, kind="batch", hive=None, values={"batch": "B7", "weight": 900.0, "recipe": kept}))


@given(seasons())
@settings(max_examples=40, deadline=None)
def test_describe_tells_every_word_and_count(season: list[Entry]) -> None:
    """Every word and count of an entry is in its sentence, which ends with a stop or its note."""
    for e in season:
        said = describe(e, "metric")
        own = sorted((e.note, *(v for v in e.values.values() if isinstance(v, str))), key=len, reverse=True)
        bare = said
        for text in own:
            bare = bare.replace(text, "") if text else bare
        assert "{" not in bare
        assert said.endswith((".", e.note))
        for f in KINDS[e.kind].fields:
            if f.name in e.values and f.type in ("word", "count") and f.name != "event":
                assert str(e.values[f.name]) in said
