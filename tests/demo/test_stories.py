"""Every story of the season is in the books as it should be, and shows at the coming round."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from tests.demo.reading import rows
from tideover.demo.place import ROUND_DAY
from tideover.demo.season import yard_of
from tideover.demo.stories import STORIES
from tideover.plan.call import Interval, Runway
from tideover.plan.gates import gates
from tideover.plan.gates_outlook import HiveOutlook
from tideover.plan.settings import Settings
from tideover.plan.situation import situation
from tideover.records import Books, bring, case, export, open_books, yard_seen


@pytest.fixture(scope="module")
def books(season: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Books]:
    """Books with the whole season brought in."""
    opened = open_books(tmp_path_factory.mktemp("books") / "demo.db")
    bring(opened, sorted(season.glob("*.csv")))
    yield opened
    opened.close()


def test_bring_takes_the_whole_season(season: Path, books: Books) -> None:
    """Every row of every sheet is in the books, with nothing to complain of."""
    assert len(books.yards()) == 3
    assert len(books.hives()) == 26
    for sheet, kind in (("looks", "look"), ("weather_days", "weather day"), ("events", "event")):
        assert sum(e.kind == kind for e, _ in books.all_entries()) == len(rows(season, sheet))
    assert books.settings()["patty_price"] == 4.5


def test_bring_twice_changes_nothing(season: Path, tmp_path: Path) -> None:
    """Bringing the season a second time adds nothing and leaves the version as it was."""
    opened = open_books(tmp_path / "twice.db")
    files = sorted(season.glob("*.csv"))
    first = bring(opened, files)
    assert first.total_added > 4000
    assert first.warnings == []
    before = opened.version()
    again = bring(opened, files)
    assert again.total_added == 0
    assert again.total_there == first.total_added
    assert opened.version() == before
    opened.close()


def test_export_of_the_season_brings_back(books: Books, tmp_path: Path) -> None:
    """What is exported and brought into empty books stands the same."""
    export(books, tmp_path / "out")
    other = open_books(tmp_path / "other.db")
    bring(other, sorted((tmp_path / "out").glob("*.csv")))
    assert other.all_entries() == books.all_entries()
    other.close()


def test_stories_are_told_once_each(truth: dict[str, Any]) -> None:
    """Twenty-six hives, each with what is really going on and what it was written for."""
    assert [s.hive for s in STORIES] == list(dict.fromkeys(s.hive for s in STORIES))
    assert set(truth["hives"]) == {s.hive for s in STORIES}
    assert len(STORIES) == 26
    assert len({s.really for s in STORIES}) == 26


def test_stories_hold_every_call() -> None:
    """Every call there is has at least one hive written for it."""
    told = " | ".join(s.shows for s in STORIES)
    for call in (
        "lay on", "leave", "look again", "take off", "give sugar", "give water", "unite", "move the yard",
        "see to the cause first",
    ):  # fmt: skip
        assert call in told, call


def _outlook(truth: dict[str, Any], hive: str) -> HiveOutlook:
    """The truth of a hive as a forecast that happens to be right, a quarter to each side."""

    def about(x: float) -> Interval:
        return Interval(x, 0.75 * x, 1.25 * x)

    t, yard = truth["hives"][hive], yard_of(hive)
    tops = {"quarry": 42.0, "mill-race": 36.0, "long-fallow": 38.5}
    return HiveOutlook(
        adults=about(t["adults"][-1]),
        honey_kg=about(t["honey_kg"][-1]),
        pollen_g=about(t["pollen_g"][-1]),
        brood=about(t["eggs"][-1] + t["open"][-1] + t["capped"][-1]),
        index=about(truth["yards"][yard]["pollen_offer"][-1]),
        runway=Runway(None, None, None, 0.0),
        p_dearth=0.1 if yard == "mill-race" else 0.9,
        temp_max_c=tops[yard],
    )


EXPECTED = {
    "quarry-02": {"brood-disease"},
    "quarry-04": {"pull-by-past"},
    "quarry-05": {"pull-by-past", "patty-hard"},
    "quarry-06": {"beetle-larvae"},
    "quarry-07": {"laying-workers"},
    "quarry-08": {"mites-high", "wings"},
    "quarry-09": {"brood-pause"},
    "mill-race-01": {"pollen-coming"},
    "mill-race-02": {"honey-boxes-on"},
    "mill-race-03": {"low-confidence"},
    "mill-race-04": {"dead-bees"},
    "mill-race-06": {"robbing", "honey-short"},
    "long-fallow-01": {"honey-short", "fire-ban"},
    "long-fallow-03": {"no-queen"},
    "long-fallow-04": {"laying-workers"},
    "long-fallow-05": {"mites-unknown"},
}
"""Gates that must stand at the round because of what is written."""

FREE_TO_FEED = ("quarry-01", "quarry-03", "quarry-10", "long-fallow-02", "long-fallow-05", "long-fallow-07")
"""Hives at which nothing written forbids or comes before laying on."""


@pytest.mark.parametrize("hive", sorted(EXPECTED))
def test_gates_of_the_story_stand(books: Books, truth: dict[str, Any], hive: str) -> None:
    """What is written about the hive raises the gates its story is there for."""
    c = case(books, hive)
    s = situation(c, yard_seen(books, yard_of(hive)), ROUND_DAY)
    found = {g.code for g in gates(s, _outlook(truth, hive), Settings(), c.place, ROUND_DAY)}
    assert found >= EXPECTED[hive]


@pytest.mark.parametrize("hive", FREE_TO_FEED)
def test_gates_leave_hungry_hives_free(books: Books, truth: dict[str, Any], hive: str) -> None:
    """At the hives meant for feeding no gate of the hive blocks or comes first."""
    c = case(books, hive)
    s = situation(c, yard_seen(books, yard_of(hive)), ROUND_DAY)
    found = gates(s, _outlook(truth, hive), Settings(), c.place, ROUND_DAY)
    assert {g.code for g in found if g.effect != "warns"} <= {"heat", "fire-ban"}


def test_water_was_given_everywhere_but_the_far_ledge(books: Books) -> None:
    """Within three days of the round every hive but one has water written, for itself or its yard."""
    dry = []
    for hive in books.hives():
        s = situation(case(books, hive.id), yard_seen(books, hive.yard), ROUND_DAY)
        if s.water_given is None or (ROUND_DAY - s.water_given).days > 3:
            dry.append(hive.id)
    assert dry == ["quarry-09"]


def test_entries_that_need_care(books: Books, truth: dict[str, Any]) -> None:
    """A wrong, a late, a corrected, two withdrawn and a confirmed entry are there and in their state."""
    state = {e.id: (e, s) for e, s in books.all_entries()}
    odd = truth["entries"]
    wrong, how = state[odd["wrong entry"]["entry"]]
    assert how == "stands"
    assert wrong.values["seams"] == (2.0, 0.0)
    assert truth["hives"][wrong.hive]["adults"][-2] > 15000
    late, how = state[odd["late entry"]["entry"]]
    assert how == "stands"
    assert late.recorded_at is not None
    assert (late.recorded_at - late.at).days >= 14
    right, how = state[odd["correction"]["entry"]]
    assert (right.supersedes, how) == (odd["correction"]["was"], "stands")
    assert state[odd["correction"]["was"]][1] == "corrected"
    for name in ("withdrawn look", "withdrawn event"):
        assert state[odd[name]["entry"]][1] == "withdrawn"
    assert any(e.kind == "confirm" and e.values["entry"] == odd["confirmed entry"]["entry"] for e, _ in state.values())


def test_events_the_books_do_not_know(truth: dict[str, Any], books: Books) -> None:
    """A missed swarm, a supersedure, a robbed hive, a poisoning and a mown field are in the truth alone."""
    unwritten = {(h, u["what"]) for h, t in truth["hives"].items() for u in t["unwritten"]}
    assert {
        ("quarry-07", "swarm"),
        ("mill-race-09", "supersedure"),
        ("mill-race-06", "robbed"),
        ("mill-race-04", "poisoned"),
    } <= unwritten
    assert truth["yards"]["mill-race"]["unwritten"][0]["day"] == "2025-07-22"
    assert not [e for e in books.entries(kind="event", hive="quarry-07") if e.values["event"] == "swarm"]


def test_truth_of_single_stories(truth: dict[str, Any]) -> None:
    """What is said of a hive is what its colony did."""
    t = truth["hives"]
    assert t["mill-race-05"]["adults"][-1] < 5000
    assert t["long-fallow-01"]["honey_kg"][-1] < 2.0
    assert t["long-fallow-03"]["eggs"][-1] == t["long-fallow-03"]["capped"][-1] == 0
    assert t["long-fallow-03"]["queen"][-1] == "gone"
    # It eats what it is given and rears next to nothing from it.
    assert sum(t["long-fallow-04"]["patty_eaten_g"]) > 900
    assert t["long-fallow-04"]["open"][-2] < 500
    assert t["quarry-09"]["open"][-1] < 300
    assert t["long-fallow-06"]["pollen_g"][-1] > 250
    assert t["quarry-05"]["patty_on_g"][-1] > 300
    assert t["quarry-01"]["pollen_g"][-1] < 30


def test_last_looks_are_fresh_but_one(books: Books) -> None:
    """All hives were looked at in the last week but one, which was last opened five weeks ago."""
    last: dict[str, date] = {}
    for entry in books.entries(kind="look"):
        if entry.hive is not None:
            last[entry.hive] = max(last.get(entry.hive, entry.at.date()), entry.at.date())
    old = {hive: (ROUND_DAY - day).days for hive, day in last.items() if (ROUND_DAY - day).days > 7}
    assert old == {"mill-race-03": 35}


def test_stories_stand_in_the_document() -> None:
    """The document of the season tells every story in the words of the table."""
    text = (Path(__file__).parents[2] / "docs" / "demo.md").read_text(encoding="utf-8")
    for story in STORIES:
        assert f"| {story.hive} | {story.really} | {story.shows} |" in text, story.hive
