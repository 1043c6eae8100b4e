"""The rounds from books and calls: hours, notice, days off, what was kept, what was told, and their other shapes."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pypdf import PdfReader

from tests.web.fake_desk import TODAY, YARDS, FakeDesk
from tideover.cli import schemas
from tideover.desk.rounds import rounds
from tideover.desk.rounds_books import done_since, kept_plan, tasks_of, tasks_text, visit_entry_values
from tideover.desk.rounds_view import Rounds
from tideover.desk.rounds_words import rounds_object, rounds_words
from tideover.paper.rounds_sheet import rounds_sheet
from tideover.records import Entry, parse_values


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[FakeDesk]:
    """Twelve invented hives in three yards with every call once."""
    made = FakeDesk(tmp_path / "books.db")
    yield made
    made.books.close()


def plan(desk: FakeDesk, day: date = TODAY, now: datetime | None = None) -> Rounds:
    """The rounds of those books from a day on."""
    view = desk.round()
    pull = {h.hive: desk.hive(h.hive).pull_by_open for y in view.yards for h in y.hives}
    return rounds(desk.books, replace(view, day=day), pull, now=now, iterations=200)


def keep(desk: FakeDesk, made: Rounds) -> None:
    """Write the plan into the books as the page does."""
    for d in made.days:
        for s in d.stops:
            if not s.provisional:
                raw = visit_entry_values(s.id, d.day, f"{s.start:%H:%M}", f"{s.end:%H:%M}", s.tasks)
                write(desk, "planned visit", s.yard, None, raw)


def write(desk: FakeDesk, kind: str, yard: str, hive: str | None, raw: dict[str, Any]) -> None:
    """One entry of the invented day."""
    at = datetime(2026, 8, 4, 9, 0, tzinfo=YARDS[0].zone)
    values = parse_values(kind, raw, "metric")
    now = datetime.now(UTC)
    desk.books.add([Entry(str(uuid.uuid4()), kind, yard, hive, at, "", "test", "metric", values, None, "", now)])


def days_of(made: Rounds) -> dict[str, date]:
    """On which day each yard's first visit is."""
    found: dict[str, date] = {}
    for d in made.days:
        for s in d.stops:
            found.setdefault(s.yard, d.day)
    return found


def test_days_keep_their_hours_and_the_vehicle(desk: FakeDesk) -> None:
    """Work lies between opening and closing, drives fit between stops, home by the keeper's hour, load within the car."""
    made = plan(desk)
    assert made.days
    for d in made.days:
        assert d.stops[0].start - d.leave == timedelta(minutes=d.stops[0].drive_min)
        assert d.back.hour < 19
        assert d.weight_kg <= 400
        assert d.over == ""
        for s in d.stops:
            assert s.start < s.end <= s.done_by
            assert s.tasks
        for a, b in zip(d.stops, d.stops[1:], strict=False):
            assert b.start >= a.end + timedelta(minutes=b.drive_min)
    assert 0.0 <= made.proof.gap < 1.0
    assert made.proof.bound <= made.proof.cost <= made.proof.greedy_cost


def test_every_pull_by_is_met_or_said_to_be_late(desk: FakeDesk) -> None:
    """A task with a due is done before it, or its stop says by how many days it is late."""
    for d in plan(desk).days:
        for s in d.stops:
            dues = [t.due for t in s.tasks if t.due is not None]
            if s.late_d == 0 and dues:
                assert s.end <= min(dues) or d.day == TODAY
            if s.late_d:
                assert any(w.startswith("Late by") for w in s.why)


def test_days_off_and_notice_are_kept(desk: FakeDesk) -> None:
    """Nobody drives on a day off; a yard with notice is not entered before it is up."""
    desk.books.put_settings({"days_off": "tue, 2026-08-05", "yard_notice": "quarry=4"})
    made = plan(desk)
    assert TODAY.strftime("%a") == "Tue"
    assert all(d.day not in (TODAY, date(2026, 8, 5)) for d in made.days)
    assert days_of(made)["quarry"] >= TODAY + timedelta(days=4)


def test_hours_gone_by_are_not_planned(desk: FakeDesk) -> None:
    """At six in the evening nothing is planned for today."""
    late = datetime(2026, 8, 4, 18, 0, tzinfo=YARDS[0].zone)
    assert all(d.day > TODAY for d in plan(desk, now=late).days)


def test_ids_are_the_same_from_plan_to_plan(desk: FakeDesk) -> None:
    """The same books give the same stops and tasks; an entry of today does not rename them."""
    before = plan(desk)
    assert before == plan(desk)
    write(desk, "bloom note", "quarry", None, {"bloom": "few"})
    write(desk, "mite wash", "quarry", "quarry-02", {"mites": 3, "bees": 300})
    again = plan(desk)
    ids = [{s.id: {t.id for t in s.tasks} for d in one.days for s in d.stops} for one in (before, again)]
    assert ids[0] == ids[1]


def test_missed_day_leaves_its_tasks_open_and_keeps_the_rest(desk: FakeDesk) -> None:
    """The kept plan's first day goes by untold: its tasks are left open and planned anew, other yards keep their day."""
    desk.books.put_settings({"yard_notice": "long-fallow=3", "late_minutes": 100})
    made = plan(desk)
    keep(desk, made)
    gone = {t.id for d in made.days if d.day == TODAY for s in d.stops for t in s.tasks if not s.provisional}
    assert gone
    after = plan(desk, TODAY + timedelta(days=1))
    assert {t.id for t in after.left_open} == gone
    assert days_of(after)["long-fallow"] == days_of(made)["long-fallow"]
    stop = next(s for d in after.days for s in d.stops if s.yard == "long-fallow")
    assert stop.kept
    assert after.kept_at is not None


def test_not_done_is_planned_for_a_later_day(desk: FakeDesk) -> None:
    """A task told as not done today is not on today's list; one told as done is on none."""
    made = plan(desk)
    tasks = [t for d in made.days if d.day == TODAY for s in d.stops for t in s.tasks]
    first, second = tasks[0], tasks[1]
    for t, outcome in ((first, "not done"), (second, "done")):
        write(desk, "task done", t.hive.rpartition("-")[0], t.hive, {"task": t.id, "outcome": outcome})
    after = plan(desk)
    today = {t.id for d in after.days if d.day == TODAY for s in d.stops for t in s.tasks}
    ever = {t.id for d in after.days for s in d.stops for t in s.tasks}
    assert first.id not in today
    assert first.id in ever
    assert second.id not in ever
    assert done_since(desk.books, TODAY)[first.id].outcome == "not done"


def test_entered_road_times_are_driven(desk: FakeDesk) -> None:
    """An hour entered from home to a yard is what the plan drives."""
    desk.books.put_settings({"home_place": "37.2, -119.4"})
    for y in YARDS:
        write(desk, "road time", y.id, None, {"to": "home", "minutes": 61, "km": 40})
    made = plan(desk)
    assert made.days
    assert all(d.drive_min >= 122 for d in made.days)
    assert all(d.drive_km >= 80 for d in made.days)
    assert all(d.stops[0].drive_min == 61 for d in made.days)
    assert made.home == "home, as in your settings"


def test_kept_tasks_come_back_as_they_went(desk: FakeDesk) -> None:
    """Tasks survive their way through an entry; text that is none is no task."""
    tasks = tuple(t for d in plan(desk).days for s in d.stops for t in s.tasks)
    assert tasks_text(tasks_of(tasks_text(tasks))) == tasks_text(tasks)
    assert tasks_of('{"a": 1}') == tasks_of("nonsense") == tasks_of('[{"id": 1}]') == ()


def test_moved_stop_is_a_correction_of_its_entry(desk: FakeDesk) -> None:
    """The last plan kept for a stop is the one that counts."""
    write(desk, "planned visit", "quarry", None, {"day": "2026-08-05", "stop": "quarry/x/1"})
    write(desk, "planned visit", "quarry", None, {"day": "2026-08-07", "stop": "quarry/x/1"})
    assert [(k.stop, k.day) for k in kept_plan(desk.books)] == [("quarry/x/1", date(2026, 8, 7))]


# ---- their other shapes


def test_object_is_what_the_schema_says(desk: FakeDesk) -> None:
    """What --json prints is valid, and a field more or less would be noticed."""
    validator = jsonschema.Draft202012Validator(json.loads(schemas.text("rounds")))
    good = rounds_object(plan(desk))
    validator.validate(json.loads(json.dumps(good)))
    assert not validator.is_valid({**good, "extra": 1})
    assert not validator.is_valid({k: v for k, v in good.items() if k != "proof"})


@pytest.mark.parametrize("units", ["metric", "us"])
def test_words_name_every_stop_and_task(desk: FakeDesk, units: str) -> None:
    """The terminal's lines carry each yard, hive and load in the reader's units."""
    made = plan(desk)
    text = "\n".join(line for _, line in rounds_words(made, units))
    for d in made.days:
        for s in d.stops:
            assert f"{s.name}, {s.start:%H:%M}" in text
            assert all(t.hive in text for t in s.tasks)
    head = next(line for line in text.split("\n") if "leave " in line)
    assert (" mi and" in head, " km and" in head) == (units == "us", units != "us")


@pytest.mark.parametrize(("units", "paper"), [("metric", "a4"), ("us", "letter")])
def test_sheets_hold_every_hive_and_are_the_same_twice(desk: FakeDesk, tmp_path: Path, units: str, paper: str) -> None:
    """A load page a day, a page or more a yard, each hive with its blanks; the same rounds give the same bytes."""
    made, view = plan(desk), desk.round()
    one = rounds_sheet(made, view, tmp_path / "a.pdf", units, paper)
    two = rounds_sheet(made, view, tmp_path / "b.pdf", units, paper)
    assert one.read_bytes() == two.read_bytes()
    pages = [p.extract_text() for p in PdfReader(one).pages]
    assert len(pages) >= len(made.days) + sum(len(d.stops) for d in made.days)
    for d in made.days:
        for s in d.stops:
            mine = [p for p in pages if s.name in p.split("\n")[0]]
            assert mine, s.name
            for t in s.tasks:
                assert any(t.hive in p and "not done" in p for p in mine)
    assert "drinking water" in pages[0]


def test_empty_sheet_is_a_page(desk: FakeDesk, tmp_path: Path) -> None:
    """No day to drive: one page that says so; unknown paper or units are one sentence."""
    made, view = plan(desk), desk.round()
    path = rounds_sheet(replace(made, days=()), view, tmp_path / "a.pdf")
    assert "Nothing presses" in PdfReader(path).pages[0].extract_text()
    with pytest.raises(ValueError, match="wanted one of"):
        rounds_sheet(made, view, tmp_path / "b.pdf", "metric", "a3")
    with pytest.raises(ValueError, match="wanted 'metric' or 'us'"):
        rounds_sheet(made, view, tmp_path / "b.pdf", "stone")
