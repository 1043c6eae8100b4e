"""Figures, settings, bring, export and units."""

from __future__ import annotations

import io
import threading
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import Page, get
from tideover.checks import Check
from tideover.figures import book
from tideover.plan.settings import PARTS, Settings, fields_for_display
from tideover.web import create_app
from tideover.web.book_pages import bare, check_groups, check_number, figure_line, figure_number, kept_settings


def test_units_are_remembered_by_the_browser(client: TestClient, desk: FakeDesk) -> None:
    """Back on the page it came from; the books are not touched, so that nothing is worked out anew."""
    before = desk.books.version()
    form = get(client, "/?yard=quarry").form("/units")
    answer = client.post("/units", data=form.values | {"units": "us"})
    assert answer.status_code == 303
    assert answer.headers["location"] == "/?yard=quarry"
    assert "Lay on: 1 lb" in get(client, "/").words()
    assert desk.books.version() == before


def test_usual_units_of_the_books_hold_until_a_browser_chooses(client: TestClient, desk: FakeDesk) -> None:
    """A setting for every device, the switch for one."""
    form = get(client, "/settings").form("/settings")
    client.post("/settings", data=form.values | {"units": "us"})
    assert desk.books.settings()["units"] == "us"
    with TestClient(client.app, base_url="http://127.0.0.1") as other:
        assert "Lay on: 1 lb" in get(other, "/").words()
        other.cookies.set("units", "metric")
        assert "Lay on: 455 g" in get(other, "/").words()


@pytest.mark.parametrize("address", ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:x", ""])
def test_units_lead_back_to_our_own_pages_only(client: TestClient, address: str) -> None:
    """No address on another site is followed."""
    form = get(client, "/").form("/units")
    answer = client.post("/units", data=form.values | {"units": "us", "next": address})
    assert answer.headers["location"] == "/"


def test_figures_by_subject_and_by_word(client: TestClient) -> None:
    """Every subject is listed with its count; every row of it shows key, source and how it is known."""
    page = get(client, "/figures")
    subjects = book().subjects()
    assert all(f"/figures?subject={s}" in page.links for s in subjects)
    for subject in subjects[:3]:
        words = get(client, f"/figures?subject={subject}").words()
        for row in book().rows(f"{subject}."):
            assert row.key in words
            assert row.known in words
    found = client.get("/figures?q=beetle+egg").text
    assert found.count("data-words=") == sum(
        "beetle" in figure_line(r, book()).words and "egg" in figure_line(r, book()).words for r in book().rows()
    )
    assert "No figure matches" in client.get("/figures?q=zeppelin").text


@pytest.mark.parametrize(
    ("number", "shown"),
    [(21.0, "21"), (0.152, "0.152"), (1234.5, "1,234"), (2.5e-5, "2.5e-05"), (0.0, "0"), (12.34, "12.34")],
)
def test_figure_numbers_are_readable(number: float, shown: str) -> None:
    """Four digits are enough, and none is lost that matters."""
    assert figure_number(number) == shown


def test_settings_show_their_source_and_keep_a_change(client: TestClient, desk: FakeDesk) -> None:
    """Each threshold with where it comes from; a new value is kept and shown."""
    page = get(client, "/settings")
    words = page.words()
    for line in fields_for_display():
        assert line.says[:1].upper() + line.says[1:] in words
    form = page.form("/settings")
    assert set(form.values) - {"token", "units"} == {line.name for line in fields_for_display()}
    answer = client.post("/settings", data=form.values | {"mites_treat_peak": "4", "honey_winter_kg": ""})
    assert answer.status_code == 303
    assert "Saved." in get(client, answer.headers["location"]).words()
    kept = Settings.from_mapping({k: v for k, v in desk.books.settings().items() if k in Settings().to_mapping()})
    assert kept.mites_treat_peak == 4
    assert kept.honey_winter_kg == Settings().honey_winter_kg
    assert kept.changed() == {"mites_treat_peak": 4.0}


def test_settings_stand_under_headings_that_tell_what_is_changed(client: TestClient, desk: FakeDesk) -> None:
    """Every setting once, under a heading in the order of the fields; a changed one is marked there and at its place."""
    lines = fields_for_display()
    assert [line.part for line in lines if line.name in {first for _, first in PARTS}] == [p for p, _ in PARTS]
    assert all(line.part for line in lines)
    assert "yours" not in get(client, "/settings").words()
    desk.books.put_settings({"honey_winter_kg": 25.0, "honey_days_short": 10})
    words = get(client, "/settings").words()
    assert "Honey (1 yours)" in words
    assert "Honey wanted when the cluster forms (yours)" in words
    assert "(2 yours)" not in words


def test_settings_are_told_in_the_units_of_the_page(client: TestClient) -> None:
    """A threshold kept in other units than the reader's has its value said in both; a difference of degrees has not."""
    metric = get(client, "/settings").words()
    assert "103 °F is 39.4 °C." in metric
    assert ". 15 °F is" not in metric
    assert "kg is" not in metric
    client.cookies.set("units", "us")
    us = get(client, "/settings").words()
    assert "18 kg is 39.7 lb." in us
    assert "2.9 currency/kg is 1.32 currency/lb." in us
    assert "50 km/h is 31.07 mph." in us
    assert "103 °F is" not in us


def test_impossible_setting_is_told_and_nothing_is_kept(client: TestClient, desk: FakeDesk) -> None:
    """All mistakes at once, everything typed still there."""
    form = get(client, "/settings").form("/settings")
    typed = form.values | {"mites_treat_peak": "many", "margin": "7", "honey_winter_kg": "25"}
    answer = client.post("/settings", data=typed)
    assert answer.status_code == 422
    assert "mites_treat_peak" in answer.text
    assert "margin" in answer.text
    assert "(yours)" in answer.text
    assert answer.text.count("<details open>") == len(PARTS)
    again = Page(answer.text).form("/settings").values
    assert (again["mites_treat_peak"], again["margin"], again["honey_winter_kg"]) == ("many", "7", "25")
    assert "margin" not in desk.books.settings()
    assert client.post("/settings", data=form.values | {"token": "x"}).status_code == 403


def test_settings_of_other_rooms_are_passed_over(client: TestClient, desk: FakeDesk) -> None:
    """The units in the books are no threshold."""
    desk.books.put_settings({"units": "us", "margin": 0.05})
    from types import SimpleNamespace

    assert kept_settings(SimpleNamespace(books=desk.books)).margin == 0.05  # type: ignore[arg-type]


@pytest.fixture
def exported(client: TestClient, tmp_path: Path) -> Iterator[dict[str, bytes]]:
    """The files of the export."""
    answer = client.get("/export")
    assert answer.status_code == 200
    assert 'filename="tideover-books-2026-08-04.zip"' in answer.headers["content-disposition"]
    with zipfile.ZipFile(io.BytesIO(answer.content)) as archive:
        assert archive.testzip() is None
        yield {n: archive.read(n) for n in archive.namelist()}


@pytest.mark.parametrize("ending", [".csv", ".json"])
def test_export_brought_into_empty_books_gives_the_same(
    exported: dict[str, bytes], empty_client: TestClient, desk: FakeDesk, ending: str
) -> None:
    """Out by one page and in by another, by sheets or by the one file."""
    token = get(empty_client, "/bring").form("/bring").values
    files = [("files", (name, data)) for name, data in exported.items() if name.endswith(ending)]
    answer = empty_client.post("/bring", data=token, files=files)
    assert answer.status_code == 200
    assert "Brought." in answer.text
    books = empty_client.app.state.site.books  # type: ignore[attr-defined]
    assert books.yards() == desk.books.yards()
    assert books.hives() == desk.books.hives()
    assert books.all_entries() == desk.books.all_entries()
    again = empty_client.post("/bring", data=token, files=files)
    assert "Added: nothing." in again.text


def test_bad_file_lists_every_bad_row_and_changes_nothing(client: TestClient, desk: FakeDesk) -> None:
    """Line, column, value and remedy of each; the name is the file's own, not where it lay."""
    sheet = (
        "hive,at,capped_quarters,heft\n"
        "quarry-01,2026-08-01T08:00,14,fair\n"
        "nobody,2026-08-01T08:00,4,fair\n"
        "quarry-01,2026-08-01T08:00,4,floating\n"
    )
    form = get(client, "/bring").form("/bring")
    before = desk.books.version()
    answer = client.post("/bring", data=form.values, files=[("files", ("looks.csv", sheet))])
    assert answer.status_code == 422
    words = Page(answer.text).words()
    assert "Nothing was brought" in words
    for text in (
        "looks.csv, line 2",
        "looks.csv, line 3",
        "looks.csv, line 4",
        "capped_quarters",
        "floating",
        "nobody",
    ):
        assert text in words, text
    assert "tideover-bring" not in answer.text
    assert desk.books.version() == before


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("looks.csv", b"\xff\xfe\x00"),
        ("looks.csv", b""),
        ("books.json", b"{"),
        ("notes.txt", b"x"),
        ("../../looks.csv", b"hive;at\n"),
    ],
)
def test_unreadable_file_is_told(client: TestClient, desk: FakeDesk, name: str, data: bytes) -> None:
    """Wrong encoding, nothing in it, half a file, not a sheet, semicolons: a sentence each."""
    form = get(client, "/bring").form("/bring")
    before = desk.books.version()
    answer = client.post("/bring", data=form.values, files=[("files", (name, data))])
    assert answer.status_code == 422
    assert "Nothing was brought" in answer.text
    assert desk.books.version() == before


def test_bring_without_a_file_or_token(client: TestClient) -> None:
    """Told what is missing."""
    form = get(client, "/bring").form("/bring")
    empty = client.post("/bring", data=form.values, files=[("files", ("", b""))])
    assert empty.status_code == 422
    assert "no file was chosen" in empty.text
    assert client.post("/bring", data={}, files=[("files", ("looks.csv", b"hive,at\n"))]).status_code == 403


def test_checks_page_shows_every_check_with_its_source(client: TestClient, quick_checks: list[Check]) -> None:
    """The very objects of the checks room, those that differ first, none left out."""
    checks = quick_checks
    words = get(client, "/checks").words()
    assert f"{sum(c.verdict == 'agrees' for c in checks)} of {len(checks)} agree" in words
    page = get(client, "/checks")
    for c in checks:
        assert c.key in page.ids
        assert " ".join(c.source.split()) in words
    groups = check_groups(checks)
    assert sum(len(rows) for _, _, rows, _ in groups) == len(checks)
    assert all(c.verdict == "agrees" for title, _, rows, _ in groups if title != "They differ" for c in rows)


def test_checks_that_take_long_are_run_once_behind_a_page_that_asks_again(
    client: TestClient, monkeypatch: pytest.MonkeyPatch, quick_checks: list[Check]
) -> None:
    """The model's own checks take half a minute: the page says so, refreshes, and keeps the answer."""
    gate, runs = threading.Event(), []

    def slow() -> list[Check]:
        runs.append(1)
        gate.wait(10)
        return quick_checks

    monkeypatch.setattr("tideover.web.book_pages.outside_checks", slow)
    client.app.state.site.patience_s = 0.05  # type: ignore[attr-defined]
    assert 'http-equiv="refresh"' in client.get("/checks").text
    gate.set()
    client.app.state.site.patience_s = 10  # type: ignore[attr-defined]
    assert "agree" in get(client, "/checks").words()
    get(client, "/checks")
    assert runs == [1]


def test_check_numbers() -> None:
    """Ranges, words and numbers."""
    assert check_number((2.0, 3.5)) == "2 to 3.5"
    assert check_number("at least") == "at least"
    assert check_number(123456.0) == "123,456"


def test_problem_keeps_only_the_files_own_name() -> None:
    """Where an upload lay for a moment is nobody's business."""
    from tideover.records import Problem

    assert bare(Problem("somewhere/0/looks.csv", 2, "a", "b", "c", "d")).file == "looks.csv"


def test_safety_page_defers_to_those_who_decide(empty_client: TestClient) -> None:
    """Every standing caution with its source, metric first in books that are metric, and local rules on top."""
    from tideover.plan.safety import CAUTIONS, LOCAL_RULES
    from tideover.records.own_units import own_first

    words = get(empty_client, "/safety").words()
    assert LOCAL_RULES in words
    for c in CAUTIONS:
        assert own_first(c.text, "metric") in words
        assert c.source[1:] in words


def test_app_serves_no_other_docs(desk: FakeDesk) -> None:
    """Interactive documentation would fetch from elsewhere."""
    with TestClient(create_app(desk), base_url="http://127.0.0.1") as client:
        assert client.get("/docs").status_code == 404
        assert "/api/calls" in client.get("/api/openapi.json").json()["paths"]
