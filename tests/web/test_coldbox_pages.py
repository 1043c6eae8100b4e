"""The cold box's pages: what is shown, forms filled in, and the way back."""

from __future__ import annotations

import re
import uuid
from datetime import datetime, timedelta
from html import unescape
from typing import Any

from starlette.testclient import TestClient

from tests.web.fake_desk import TODAY, FakeDesk
from tideover.records import Entry, Yard


def _write(desk: FakeDesk, kind: str, days: float, hive: str | None = "quarry-01", **values: Any) -> None:
    zone = desk.books.yard("quarry").zone
    at = datetime.combine(TODAY, datetime.min.time(), zone) + timedelta(days=days, hours=8)
    desk.books.add([Entry(str(uuid.uuid4()), kind, "quarry", hive, at, values=values)])


def _season(desk: FakeDesk) -> None:
    _write(desk, "batch", -30, None, batch="B1", weight=3000.0, protein=15.0, cost=12.0)
    _write(desk, "laid on", -20, weight=300.0, piece="B1-1")
    _write(desk, "taken off", -14, weight=90.0, piece="B1-1")
    _write(desk, "cold box", -13.9, weight=90.0, piece="B1-1", freezer_temp=-18.0, stack=1)
    _write(desk, "laid on", -10, "quarry-02", weight=200.0, piece="B1-2")
    _write(desk, "taken off", -4, "quarry-02", weight=60.0, piece="B1-2")


def test_coldbox_shows_ready_piece_and_asks_for_the_missing_entry(client: TestClient, desk: FakeDesk) -> None:
    """A rest frozen long enough is ready for its own hive; one whose way is not written is asked about."""
    _season(desk)
    page = unescape(client.get("/coldbox").text)
    assert "ready for quarry-01" in page
    assert "came off quarry-02; where they went is not written" in page
    assert re.search(r'href="/hive/quarry-01/write/laid-on\?weight=90&piece=B1-1&batch=B1"', page)
    asked = re.search(r'href="(/hive/quarry-02/write/cold-box\?[^"]*)"', page)
    assert asked
    form = client.get(asked[1]).text
    assert 'name="piece" value="B1-2"' in form
    assert 'name="weight_g" value="60"' in form


def test_coldbox_in_pounds(client: TestClient, desk: FakeDesk) -> None:
    """In US units weights are in ounces and pounds and the rule in Fahrenheit."""
    _season(desk)
    client.cookies.set("units", "us")
    page = unescape(client.get("/coldbox").text)
    assert "3.2 oz" in page
    assert "2.1 oz of piece B1-2 came off" in page
    assert "10.4 °F" in page
    assert not re.search(r"\d g\b", page)


def test_coldbox_entry_comes_back_to_it_with_undo(client: TestClient, desk: FakeDesk) -> None:
    """What is written from the page is said on the page, and can be taken back."""
    _season(desk)
    form = client.get("/hive/quarry-02/write/cold-box?piece=B1-2&weight=60").text
    sent = {n: unescape(v) for n, v in re.findall(r'name="([^"]+)"[^>]*?value="([^"]*)"', form)}
    sent |= {"piece": "b1-2", "weight_g": "60", "freezer_temp_c": "-18", "stack": "1", "form_units": "metric"}
    answer = client.post("/hive/quarry-02/write/cold-box", data=sent)
    assert answer.status_code == 303, answer.text
    assert answer.headers["location"].startswith("/coldbox?entered=")
    page = client.get(answer.headers["location"]).text
    assert "Undo" in page
    assert "every gram written is somewhere" in page


def test_form_takes_words_and_time_from_the_address(client: TestClient) -> None:
    """A form opened from a hole has its words, text and time filled in; an odd time is passed over."""
    form = client.get("/hive/quarry-01/write/taken-off?piece=B1-1&goes=cold+box&at=2026-07-20T09:30").text
    assert 'value="2026-07-20T09:30"' in form
    assert re.search(r'name="goes" value="cold box" checked', form)
    assert client.get("/hive/quarry-01/write/taken-off?at=nonsense&goes=nowhere").status_code == 200


def test_coldbox_of_empty_books_and_of_a_bare_yard(empty_client: TestClient) -> None:
    """Without yards it says what to bring; with a yard and no patties what to begin with."""
    assert "No yard is in the books yet" in empty_client.get("/coldbox").text
    empty_client.app.state.site.books.put_yard(Yard("bare", "Bare", 37.0, -119.0))  # type: ignore[attr-defined]
    page = empty_client.get("/coldbox").text
    assert "Nothing about patties is written yet" in page
    assert "/yard/bare/write/batch" in page


def test_piece_page_and_unknown_code(client: TestClient, desk: FakeDesk) -> None:
    """A piece's page tells its life; an unknown code is a sentence."""
    _season(desk)
    page = unescape(client.get("/piece/B1-1").text)
    assert "into the cold box" in page
    assert "Lay on quarry-01" in page
    missing = client.get("/piece/ZZZ")
    assert missing.status_code == 404
    assert "is not in the books" in missing.text


def test_suspect_hive_is_at_the_top(client: TestClient, desk: FakeDesk) -> None:
    """Brood signs at quarry-01: its piece is to be thrown away, with a button that says why."""
    _season(desk)
    _write(desk, "look", -1, brood_signs="yes")
    page = unescape(client.get("/coldbox").text)
    assert "quarry-01 may have a brood disease" in page
    assert re.search(r'href="/hive/quarry-01/write/discarded\?piece=B1-1&weight=90&why=suspect\+hive"', page)
