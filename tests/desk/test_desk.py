"""The desk: from the books to a call per hive, and what an entry changes."""

from __future__ import annotations

import json
import uuid
from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tideover.colony import layout as lay
from tideover.desk import Desk, truth_report
from tideover.desk.objects import call_object
from tideover.plan.call import ACTIONS
from tideover.records import Box, Entry, Hive, Yard, bring, export, open_books

ZONE = ZoneInfo("America/Phoenix")
NOW = datetime(2030, 1, 1, tzinfo=ZONE)


def entry(desk: Desk, hive: str, kind: str, at: datetime, values: dict[str, Any], **more: Any) -> Entry:
    """An entry as a phone would make it."""
    return Entry(
        str(uuid.uuid5(uuid.NAMESPACE_OID, f"{hive}{kind}{at}{values}{more}")), kind, desk.books.hive(hive).yard, hive,
        at, "K", "test", "metric", values, recorded_at=at, **more,
    )  # fmt: skip


def said(desk: Desk, hive: str) -> str:
    """A hive's call as a script gets it."""
    return json.dumps(call_object(desk.hive(hive).line.call), sort_keys=True)


LOOK = {"seams": (6.0,), "outer_pollen": "scattered", "eggs": "yes", "jelly": "damp", "brood_signs": "no"}


def test_every_hive_gets_a_call_of_the_published_kind(desk: Desk) -> None:
    """Twenty-six hives, twenty-six calls, each with a runway, reasons, alternatives and a probability or a gate."""
    calls = desk.calls()

    assert len(calls) == 26
    for c in calls:
        assert c.action in ACTIONS
        assert c.reasons
        assert c.summary
        assert {a.action for a in c.alternatives} >= {
            "leave",
            "lay on",
            "give sugar",
            "give water",
            "unite",
            "look again",
        }
        assert c.sure is None or 0.0 <= c.sure <= 1.0
        assert c.runway.horizon_days == 60
        assert 0.0 <= c.runway.p_within_horizon <= 1.0
        assert set(c.milestones) == {"pantry empty", "nurses' reserves low", "larvae being eaten"}
        assert c.moment == "before the round"


@pytest.mark.parametrize(
    ("hive", "action"),
    [
        ("quarry-02", "see to the cause first"),  # brood signs answered yes
        ("quarry-04", "take off"),  # a piece past its pull-by
        ("quarry-06", "take off"),  # beetle larvae in the piece
        ("mill-race-01", "leave"),  # plenty of pollen
        ("mill-race-05", "unite"),  # too small to go on
        ("mill-race-03", "look again"),  # last looked at five weeks ago
        ("long-fallow-01", "give sugar"),  # no honey
        ("mill-race-06", "give sugar"),  # robbed, and light
        ("long-fallow-04", "see to the cause first"),  # signs of laying workers
        ("mill-race-04", "see to the cause first"),  # dead bees in numbers
        ("quarry-09", "give water"),  # the queen has stopped in the heat, far from water
    ],
)
def test_calls_follow_the_story(desk: Desk, hive: str, action: str) -> None:
    """Where the invented story leaves no doubt, the call is the story's."""
    assert desk.hive(hive).line.call.action == action


def test_demo_holds_every_call_once(desk: Desk) -> None:
    """The invented round has each of the nine calls at least once."""
    assert {c.action for c in desk.calls()} == set(ACTIONS)


def test_quarry_in_deep_dearth_is_fed_and_plenty_is_not(desk: Desk) -> None:
    """Feeding is called at the yard where nothing comes in; hives that the stories give plenty of pollen are left.
    mill-race-07 and -09 are near toss-ups by their stories and may go either way."""
    fed = {c.hive for c in desk.calls() if c.action == "lay on"}

    assert {"quarry-01", "quarry-03", "quarry-10"} <= fed
    assert not fed & {"mill-race-01", "mill-race-02", "mill-race-04", "mill-race-06", "mill-race-08"}


def test_no_call_leaves_a_patty_past_its_pull_by(desk: Desk) -> None:
    """A piece laid on comes off within seven days where beetles are or may be, and within fourteen elsewhere."""
    for c in desk.calls():
        if c.action == "lay on":
            assert c.pull_by is not None
            limit = 14 if c.yard == "long-fallow" else 7
            at = datetime.combine(c.made_for, datetime.min.time(), c.pull_by.tzinfo)
            assert at < c.pull_by <= at + timedelta(days=limit, hours=24)


def test_readings_come_near_the_truth(desk: Desk, season: Path) -> None:
    """The truth was made by other rules than ours: the median error of bees stays under 25 %, and the 80 %
    intervals hold at least half of the hives for bees and honey (our own demand)."""
    truth = json.loads((season / "truth.json").read_text(encoding="utf-8"))["hives"]
    inside = {"bees": 0, "honey": 0}
    errors = []
    for hive, t in truth.items():
        e = desk._answer(hive).known.ensemble
        for name, values, real in (
            ("bees", e.adults(), t["adults"][-1]),
            ("honey", e.state[:, lay.HONEY] / 1000.0, t["honey_kg"][-1]),
        ):
            low, mid, high = np.quantile(values, [0.1, 0.5, 0.9])
            inside[name] += int(low <= real <= high)
            if name == "bees":
                errors.append(abs(mid - real) / real)

    assert np.median(errors) < 0.25
    assert min(inside.values()) >= 13
    assert len(truth_report(desk, season)) == 4


def test_look_changes_its_hive_and_no_other(own_desk: Callable[[], Desk]) -> None:
    """After a look the hive is answered at the hive, of that day; a neighbour's answer is the same object."""
    desk = own_desk()
    before, neighbour = said(desk, "quarry-01"), desk._answer("quarry-03")
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    view = desk.enter(entry(desk, "quarry-01", "look", at, LOOK))

    assert view is not None
    assert view.line.call.moment == "at the hive"
    assert view.line.last_look_day == at.date()
    assert said(desk, "quarry-01") != before
    assert desk._answer("quarry-03") is neighbour


def test_undo_restores_the_answer(own_desk: Callable[[], Desk]) -> None:
    """Withdrawing a look gives back exactly the call there was."""
    desk = own_desk()
    before = said(desk, "mill-race-08")
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    look = entry(desk, "mill-race-08", "look", at, LOOK)
    desk.enter(look)
    assert said(desk, "mill-race-08") != before
    desk.enter(entry(desk, "mill-race-08", "withdraw", at + timedelta(minutes=1), {}, supersedes=look.id))

    assert said(desk, "mill-race-08") == before


def test_order_of_entries_does_not_matter(own_desk: Callable[[], Desk]) -> None:
    """Two looks sent late and in the wrong order, one of them twice, give the answer of looks sent in time."""
    first, second = own_desk(), own_desk()
    day = datetime.combine(first.today(), datetime.min.time(), ZONE)
    a = entry(first, "quarry-03", "look", day - timedelta(days=3, hours=-9), LOOK)
    b = entry(first, "quarry-03", "look", day - timedelta(days=1, hours=-9), LOOK | {"seams": (5.0,)})
    first.enter_all([b])
    first.enter_all([a, b])
    answer = said(first, "quarry-03")

    assert said(second, "quarry-03") == answer


def test_export_and_bring_give_the_same_calls(desk: Desk, tmp_path: Path) -> None:
    """Everything written out and brought into empty books gives the same calls, byte for byte."""
    files = export(desk.books, tmp_path / "out")
    other = open_books(tmp_path / "other.db")
    bring(other, [f for f in files if f.suffix == ".csv"], now=NOW)
    again = Desk(other, members=desk._members)
    for hive in ("quarry-01", "mill-race-07", "long-fallow-05"):
        assert said(again, hive) == said(desk, hive)
    other.close()


def test_absurd_look_is_flagged_with_both_answers_until_confirmed(own_desk: Callable[[], Desk]) -> None:
    """One seam where 25,000 bees were: flagged, bounded, both answers shown; confirming removes the flag."""
    desk = own_desk()
    bees = desk.hive("mill-race-08").line.bees[1]
    at = datetime.combine(desk.today(), datetime.min.time(), ZONE) + timedelta(hours=9)
    odd = {"seams": (1.0,), "brood_combs": 0.5, "capped_quarters": 0.5, "open_quarters": 0.0, "honey_combs": 0.5}
    look = entry(desk, "mill-race-08", "look", at, odd)
    view = desk.enter(look)
    assert view is not None
    flags = view.line.call.flags

    assert [f.entry for f in flags] == [look.id]
    assert flags[0].call_with
    assert flags[0].call_without
    assert view.line.bees[1] > 0.5 * bees
    assert any(h.state == "flagged" for h in view.history)
    confirmed = desk.enter(entry(desk, "mill-race-08", "confirm", at + timedelta(minutes=2), {"entry": look.id}))
    assert confirmed is not None
    assert not confirmed.line.call.flags
    assert confirmed.line.bees[1] < 0.5 * bees


def test_bands_run_on_to_winter(desk: Desk) -> None:
    """Every band has one value a day, in order low to high, from the first entry to the day the cluster forms."""
    view = desk.hive("quarry-01")
    for band in view.bands:
        assert len(band.days) == len(band.low) == len(band.median) == len(band.high)
        assert all(b - a == timedelta(days=1) for a, b in zip(band.days, band.days[1:], strict=False))
        assert all(x <= y <= z for x, y, z in zip(band.low, band.median, band.high, strict=True))
        assert band.days[-1] >= view.today + timedelta(days=30)


def books_of(tmp_path: Path, latitude: float, hives: int = 1) -> Desk:
    """A desk over books with one yard and nothing seen."""
    books = open_books(tmp_path / "few.db")
    books.put_yard(Yard("home", "Home", latitude, 0.0, "UTC", 100.0, "unknown", "unknown"))
    for i in range(hives):
        books.put_hive(Hive(f"h{i}", "home", f"h{i}", (Box(1, "deep", 10),)))
    desk = Desk(books, members=100)
    desk.set_today(date(2025, 8, 16))
    return desk


def test_empty_books_have_an_empty_round(tmp_path: Path) -> None:
    """No hives: a round with nothing in it, not an error."""
    desk = books_of(tmp_path, 33.0, hives=0)

    assert desk.round().yards == []
    assert desk.calls() == []


@pytest.mark.parametrize("latitude", [33.0, -33.0, 52.0])
def test_hive_nobody_looked_at_is_to_be_looked_at(tmp_path: Path, latitude: float) -> None:
    """Without any entry, and without weather, the evidence is thin on either half of the earth."""
    call = books_of(tmp_path, latitude).calls()[0]

    assert call.action == "look again"
    assert call.evidence == "thin"
    assert call.ask
