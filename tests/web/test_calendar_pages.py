"""The calendar page, its file and feed; labels, the table and the page a piece's code opens."""

from __future__ import annotations

import csv
import io
import re
import uuid
from datetime import UTC, datetime
from typing import Any

import pytest
from icalendar import Calendar
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import Page
from tests.web.test_card_pages import text_of
from tideover.records import Entry


@pytest.fixture(autouse=True)
def no_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rounds' planner has tests of its own."""
    monkeypatch.setattr("tideover.web.calendar_pages.coming", lambda _: (True, None))


def feed_of(client: TestClient) -> str:
    """The feed's path, as the page tells it."""
    found = re.search(r'value="http://127.0.0.1(/calendar/[\w-]+\.ics)"', client.get("/calendar").text)
    assert found is not None
    return found.group(1)


def test_the_feed_is_at_an_address_that_cannot_be_guessed(client: TestClient, desk: FakeDesk) -> None:
    """256 random bits; any other address is no calendar, in the same words; nothing may be kept by a proxy."""
    feed = feed_of(client)
    assert len(feed.removeprefix("/calendar/").removesuffix(".ics")) >= 43
    answer = client.get(feed)
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "text/calendar; charset=utf-8"
    assert "no-store" in answer.headers["cache-control"]
    (event,) = Calendar.from_ical(answer.content).walk("VEVENT")
    assert "Quarry: pieces off by 08:00" in str(event["summary"])
    assert "455 g (1 lb)" in str(event["description"])
    for wrong in ("/calendar/x.ics", feed.replace(feed[12], "_" if feed[12] != "_" else "-", 1), "/calendar/.ics"):
        assert client.get(wrong).status_code == 404


def test_before_anyone_asked_there_is_no_feed(client: TestClient) -> None:
    """Without a token no address fits, not even an empty or 'None' one."""
    for guess in ("None", "null", "undefined"):
        assert client.get(f"/calendar/{guess}.ics").status_code == 404


def test_a_new_address_ends_the_old(client: TestClient) -> None:
    """After a leak one button is enough."""
    old = feed_of(client)
    form = Page(client.get("/calendar").text).form("/calendar/anew")
    assert client.post("/calendar/anew", data=form.values).status_code == 303
    new = feed_of(client)
    assert new != old
    assert client.get(old).status_code == 404
    assert client.get(new).status_code == 200
    assert client.post("/calendar/anew", data={}).status_code == 403
    assert feed_of(client) == new


def test_asking_again_changes_nothing_and_a_piece_taken_off_is_cancelled(
    client: TestClient, desk: FakeDesk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same bytes until something changes; then the same UID with a higher SEQUENCE and STATUS:CANCELLED."""
    feed = feed_of(client)
    first = client.get(feed).content
    version = desk.books.version()
    assert client.get(feed).content == first
    assert desk.books.version() == version
    monkeypatch.setattr(desk, "pieces_on", dict)
    (before,) = Calendar.from_ical(first).walk("VEVENT")
    (after,) = Calendar.from_ical(client.get(feed).content).walk("VEVENT")
    assert after["uid"] == before["uid"]
    assert (int(before["sequence"]), int(after["sequence"])) == (0, 1)
    assert str(after["status"]) == "CANCELLED"


def test_the_file_is_a_message_to_bring_in(client: TestClient) -> None:
    """METHOD:PUBLISH, as a download."""
    answer = client.get("/calendar/rounds.ics")
    assert b"METHOD:PUBLISH\r\n" in answer.content
    assert "attachment" in answer.headers["content-disposition"]


def test_an_empty_calendar_says_what_to_do(empty_client: TestClient) -> None:
    """No hive, no event: a valid calendar and a way on."""
    page = empty_client.get("/calendar")
    assert page.status_code == 200
    assert "Nothing yet" in text_of(page.text)
    assert Calendar.from_ical(empty_client.get("/calendar/rounds.ics").content).walk("VEVENT") == []


def test_the_table_of_the_round(client: TestClient, empty_client: TestClient) -> None:
    """A CSV download with a line per hive; without hives a sentence."""
    answer = client.get("/round.csv")
    assert answer.headers["content-type"] == "text/csv; charset=utf-8"
    found = list(csv.DictReader(io.StringIO(answer.text, newline="")))
    assert len(found) == 12
    assert empty_client.get("/round.csv").status_code == 404


def test_labels_for_hives_and_what_is_told_when_there_are_none(client: TestClient, empty_client: TestClient) -> None:
    """A PDF for a yard; an unknown yard or batch, or no hives, in one sentence."""
    answer = client.get("/labels.pdf?yard=quarry")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")
    assert client.get("/labels.pdf?yard=nowhere").status_code == 404
    told = client.get("/labels.pdf?batch=K9")
    assert told.status_code == 422
    assert "No batch 'K9' is in the books" in text_of(told.text)
    assert empty_client.get("/labels.pdf").status_code == 422
    assert "No yard is in the books yet." in text_of(empty_client.get("/labels").text)
    assert "Quarry, 4 hives" in text_of(client.get("/labels").text)


def entry(kind: str, hive: str | None, values: dict[str, Any], day: int) -> Entry:
    """An entry at the Quarry."""
    at = datetime(2026, 7, day, 16, tzinfo=UTC)
    return Entry(str(uuid.uuid4()), kind, "quarry", hive, at, "first keeper", "page", "metric", values)


def test_a_piece_opens_by_its_code(client: TestClient, desk: FakeDesk) -> None:
    """What a label's code holds is an address that answers with the piece; an unknown code is not found."""
    desk.books.add(
        [
            entry("batch", None, {"batch": "K7", "weight": 567.0, "pieces": 5}, 1),
            entry("laid on", "quarry-02", {"weight": 113.4, "batch": "K7", "piece": "K7-2"}, 20),
        ]
    )
    page = client.get("/piece/K7-2")
    assert page.status_code == 200
    assert 'href="/hive/quarry-02"' in page.text
    assert client.get("/piece/Z9-1").status_code == 404
    assert "K7, 5 pieces" in text_of(client.get("/labels").text)


def test_the_round_leads_to_what_is_taken_along(client: TestClient) -> None:
    """Calendar, labels and table are one tap from the round."""
    links = Page(client.get("/").text).links
    for address in ("/calendar", "/labels", "/round.csv"):
        assert address in links
