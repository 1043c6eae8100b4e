"""The cold box over small books worked out by hand."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

from tideover.beetle.freezing import HOLD_H, core_hours
from tideover.desk.coldbox import cold_box, piece_life, received_until, suspects
from tideover.plan.settings import Settings
from tideover.records import Books, Entry, Hive, Yard, open_books

START = datetime(2031, 7, 1, 16, tzinfo=UTC)
"""Nine in the morning at the yards."""
SETTINGS = Settings()


@pytest.fixture
def books(tmp_path: Path) -> Iterator[Books]:
    """Two yards with two hives and one."""
    made = open_books(tmp_path / "books.db")
    zone = "America/Phoenix"
    made.put_yard(Yard("quarry", "Quarry", 33.0, -112.0, zone, 300.0, "present", "absent"))
    made.put_yard(Yard("mill", "Mill", 33.1, -112.1, zone, 300.0, "absent", "absent"))
    for h, y in (("q1", "quarry"), ("q2", "quarry"), ("m1", "mill")):
        made.put_hive(Hive(h, y))
    yield made
    made.close()


def write(books: Books, kind: str, days: float, hive: str | None, yard: str = "quarry", **values: Any) -> Entry:
    """Write one entry so many days after the start."""
    entry = Entry(str(uuid.uuid4()), kind, yard, hive, START + timedelta(days=days), "A.", values=values)
    books.add([entry])
    return entry


def now(days: float) -> datetime:
    """So many days after the start, by the yard's clock."""
    return (START + timedelta(days=days)).astimezone(Yard("x", "x", 0.0, 0.0, "America/Phoenix").zone)


def lay_and_freeze(books: Books, **cold: Any) -> None:
    """A batch, a piece on q1 for a week, its rest into the cold box at noon."""
    write(books, "batch", -1, None, batch="B1", weight=2000.0)
    write(books, "laid on", 0, "q1", weight=300.0, batch="B1", piece="B1-1")
    write(books, "taken off", 7, "q1", weight=120.0, piece="B1-1")
    write(books, "cold box", 7.1, "q1", weight=120.0, piece="B1-1", **cold)


def test_frozen_single_is_ready_after_the_core_and_a_day(books: Books) -> None:
    """One piece 12.7 mm thick at -18 C: ready when the core has been at -12 C for 24 h, in still air (5 W/m2K).

    The time to the core is the exact series for a plane wall (Incropera, eq. 5.42), the hold is the rule's 24 h.
    """
    lay_and_freeze(books, freezer_temp=-18.0, stack=1)
    hours = HOLD_H + core_hours(12.7, -18.0, 35.0, -12.0, 5.0)
    (early,) = cold_box(books, now(7.1 + hours / 24.0 - 0.02), SETTINGS).frozen
    (late,) = cold_box(books, now(7.1 + hours / 24.0 + 0.02), SETTINGS).frozen
    assert (early.state, late.state) == ("not yet", "ready")
    assert (late.hive, late.grams, late.batch) == ("q1", 120.0, "B1")
    assert late.hours == pytest.approx(hours)
    assert 25.0 < hours < 28.0


def test_frozen_stack_takes_longer_and_an_unsaid_one_counts_as_a_stack(books: Books) -> None:
    """Nothing said of stacking or temperature: four on one another at the keeper's setting, and it says so."""
    lay_and_freeze(books)
    (f,) = cold_box(books, now(8), SETTINGS).frozen
    assert (f.stack, f.stack_said, f.freezer_c, f.freezer_said) == (4, False, -18.0, False)
    assert f.hours == pytest.approx(HOLD_H + core_hours(4 * 12.7, -18.0, 35.0, -12.0, 5.0))


def test_frozen_at_minus_ten_never_counts(books: Books) -> None:
    """The rule asks for -12 C at the core: a freezer at -10 C never gets there."""
    lay_and_freeze(books, freezer_temp=-10.0, stack=1)
    (f,) = cold_box(books, now(60), SETTINGS).frozen
    assert (f.state, f.ready_at) == ("never", None)


def test_frozen_again_colder_starts_anew(books: Books) -> None:
    """A second entry for the same piece is a new spell: the time counts from it."""
    lay_and_freeze(books, freezer_temp=-10.0, stack=1)
    write(books, "cold box", 9.0, "q1", piece="B1-1", freezer_temp=-18.0, stack=1)
    (f,) = cold_box(books, now(9.5), SETTINGS).frozen
    assert f.state == "not yet"
    (f,) = cold_box(books, now(11), SETTINGS).frozen
    assert f.state == "ready"


def test_frozen_with_larvae_or_past_its_day_is_thrown_away(books: Books) -> None:
    """Larvae seen in it, or its batch past its last good day: throw away, whatever the freezer did."""
    write(books, "batch", -1, None, batch="B1", weight=2000.0, keeps_until="2031-07-20")
    for n, (hive, larvae) in enumerate((("q1", "yes"), ("q2", "no")), start=1):
        write(books, "laid on", 0, hive, weight=300.0, piece=f"B1-{n}")
        write(books, "taken off", 7, hive, weight=120.0, piece=f"B1-{n}", beetle_larvae=larvae)
        write(books, "cold box", 7.1, hive, piece=f"B1-{n}", stack=1)
    assert {f.piece: f.state for f in cold_box(books, now(12), SETTINGS).frozen} == {
        "B1-1": "throw away", "B1-2": "ready",
    }  # fmt: skip
    assert {f.state for f in cold_box(books, now(30), SETTINGS).frozen} == {"throw away"}


def test_suspect_hive_condemns_its_pieces_and_flags_who_got_them(books: Books) -> None:
    """q1 shows brood signs after its rest went to m1: the piece in the freezer goes, m1 is flagged, q2 is not."""
    lay_and_freeze(books, freezer_temp=-18.0, stack=1)
    write(books, "laid on", 10, "m1", "mill", weight=50.0, piece="B1-1")
    write(books, "laid on", 10, "q2", weight=200.0, piece="B1-2")
    assert received_until(books) == {}
    look = write(books, "look", 12, "q1", brood_signs="yes")
    view = cold_box(books, now(13), SETTINGS)
    assert [(f.piece, f.state) for f in view.frozen] == [("B1-1", "throw away")]
    assert "foulbrood" in view.frozen[0].why
    assert {o.hive: bool(o.suspect) for o in view.on_hives} == {"m1": True, "q2": False}
    got = received_until(books)
    assert list(got) == ["m1"]
    assert (got["m1"][0].piece, got["m1"][0].suspect, got["m1"][0].still_on) == ("B1-1", "q1", True)
    assert suspects(books) == {"q1": look.at}
    write(books, "event", 20, "q1", event="disease cleared")
    assert received_until(books) == {}
    assert [f.state for f in cold_box(books, now(21), SETTINGS).frozen] == ["ready"]


def test_on_hive_pull_by_follows_the_beetles_of_the_yard(books: Books) -> None:
    """Seven days where beetles are present, fourteen where they are absent (the settings' first values)."""
    write(books, "laid on", 0, "q1", weight=300.0)
    write(books, "laid on", 0, "m1", "mill", weight=300.0)
    view = cold_box(books, now(8), SETTINGS)
    assert {o.hive: (o.pull_by - o.since, o.overdue) for o in view.on_hives} == {
        "q1": (timedelta(days=7), True),
        "m1": (timedelta(days=14), False),
    }


def test_entries_of_later_days_are_left_out(books: Books) -> None:
    """The cold box of a day knows nothing of the next."""
    lay_and_freeze(books, stack=1)
    view = cold_box(books, now(5), SETTINGS)
    assert view.frozen == ()
    assert [o.left_g for o in view.on_hives] == [300.0]


def test_holes_of_earlier_years_are_only_counted(books: Books) -> None:
    """A rest whose way nobody wrote two years ago is not asked about any more."""
    write(books, "laid on", -730, "q1", weight=300.0)
    write(books, "taken off", -723, "q1", weight=100.0)
    view = cold_box(books, now(0), SETTINGS)
    assert (view.holes, view.older_holes) == ((), 1)


def test_corrected_and_withdrawn_entries_do_not_count(books: Books) -> None:
    """A withdrawn laying on leaves nothing on the hive."""
    laid = write(books, "laid on", 0, "q1", weight=300.0)
    books.add([Entry(str(uuid.uuid4()), "withdraw", "quarry", "q1", START, supersedes=laid.id)])
    assert cold_box(books, now(1), SETTINGS).on_hives == ()


def test_empty_books_have_an_empty_box(tmp_path: Path) -> None:
    """No yard, no entry: an empty view, no error."""
    with open_books(tmp_path / "none.db") as none:
        assert cold_box(none, now(0), SETTINGS).empty


def test_piece_life_tells_each_step(books: Books) -> None:
    """From the batch to the freezer in four steps, by its code in any spelling; an unknown code is None."""
    lay_and_freeze(books, stack=1)
    life = piece_life(books, " b1-1", now(8), SETTINGS)
    assert life is not None
    assert [(text, grams) for _, text, grams in life.steps] == [
        ("laid on q1, from batch B1", 300.0),
        ("gone from q1", 180.0),
        ("taken off q1", 120.0),
        ("into the cold box", 120.0),
    ]
    assert life.words == "In the cold box."
    assert piece_life(books, "B1-9", now(8), SETTINGS) is None
    assert date(2031, 7, 8) == life.steps[-1][0].date()


def test_piece_clock_follows_the_air_only_at_the_edge(books: Books) -> None:
    """With cold days written, beetles at the edge of the cluster are later than over brood; none where absent."""
    for d in range(12):
        write(books, "weather day", d, None, temp_max=16.0, temp_min=4.0)
    write(books, "laid on", 0, "q1", weight=300.0, piece="A-1", place="edge of cluster")
    write(books, "laid on", 0, "q2", weight=300.0, piece="A-2", place="top bars over brood")
    write(books, "laid on", 0, "m1", "mill", weight=300.0, piece="A-3")
    half = {}
    for code in ("A-1", "A-2", "A-3"):
        life = piece_life(books, code, now(11), SETTINGS)
        assert life is not None
        half[code] = [c.half_grown for _, c in life.clocks]
    assert half["A-3"] == []
    edge, over = half["A-1"][0], half["A-2"][0]
    assert edge is not None
    assert over is not None
    # over brood at 35 C: 7.5 days on the fast published figures (Meikle & Patt 2011)
    assert (over - now(0)).total_seconds() / 86_400 == pytest.approx(7.5, abs=0.3)
    assert edge > over


def test_unfed_hive_expects_its_yards_appetite(books: Books, monkeypatch: pytest.MonkeyPatch) -> None:
    """q1 was seen eating and q2 never: q2 is given what the yard's hives say; m1, alone in its yard, keeps the prior.

    The filter is replaced by the prior: asked here is only whose appetite goes to whom.
    """
    from types import SimpleNamespace

    import numpy as np

    from tideover.colony.layout import P
    from tideover.desk import Desk
    from tideover.desk.eating import expect
    from tideover.desk.neighbours import Alone
    from tideover.patty.appetite import PRIOR, Appetite, of_yard, seen_in

    write(books, "laid on", 0, "q1", weight=300.0)
    write(books, "taken off", 7, "q1", weight=10.0)
    desk = Desk(books, members=100)
    rng = np.random.default_rng(5)
    told = Appetite(PRIOR.mean + 0.7, 0.1)
    monkeypatch.setattr(desk._worked, "alone", lambda hive, today: Alone(today, (), told))
    got = {}
    for hive in ("q1", "q2", "m1"):
        params = np.zeros((4000, max(P.values()) + 1))
        params[:, P["patty_intake_mg"]] = np.exp(PRIOR.mean + PRIOR.sd * rng.standard_normal(4000))
        known = SimpleNamespace(ensemble=SimpleNamespace(params=params), walk=None)
        expected_of = desk._worked.appetites(desk._yards.case(hive), date(2031, 7, 20))
        if expected_of:
            expect(known, expected_of)  # type: ignore[arg-type]
        got[hive] = seen_in(params[:, P["patty_intake_mg"]])
    expected = of_yard([told])
    assert got["q2"].mean == pytest.approx(expected.mean, abs=0.02)
    assert got["q2"].sd == pytest.approx(expected.sd, abs=0.02)
    for same in ("q1", "m1"):
        assert got[same].mean == pytest.approx(PRIOR.mean, abs=0.02)
