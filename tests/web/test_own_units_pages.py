"""Every page, sheet and calendar that shows cautions or gates says the keeper's own units first."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
from icalendar import Calendar
from pypdf import PdfReader
from starlette.testclient import TestClient

from tests.own_units import assert_own_first, cautions
from tests.web.fake_desk import FakeDesk
from tests.web.test_rounds_pages import Get, get
from tideover.paper import round_sheet
from tideover.records.own_units import own_first

__all__ = ["get"]

UNITS = ("metric", "us")


def words(page: str) -> str:
    """A page as it is read."""
    main = page.split("<main", 1)[1].split("</main>", 1)[0]
    return re.sub(r"\s+", " ", html.unescape(re.sub(r"<[^>]+>", " ", main)))


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize(
    ("path", "least"), [("/", 6), ("/yard/quarry", 6), ("/rounds", 6), ("/safety", 8), ("/hive/quarry-01", 8)]
)
def test_pages_put_the_readers_own_units_first(client: TestClient, get: Get, path: str, least: int, units: str) -> None:
    """What this browser chose, whatever the books say; the other system stands in brackets."""
    client.cookies.set("units", units)
    assert_own_first(words(get(path)), units, least)


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("path", ["/", "/yard/quarry", "/rounds"])
def test_every_caution_is_shown_whole(client: TestClient, get: Get, path: str, units: str) -> None:
    """Word for word, in either system."""
    client.cookies.set("units", units)
    page = words(get(path))
    for caution in cautions(us=units == "us"):
        assert caution in page


def text_of(pdf: bytes | Path, tmp_path: Path) -> str:
    """The words of a PDF."""
    if isinstance(pdf, bytes):
        path = tmp_path / "read.pdf"
        path.write_bytes(pdf)
        pdf = path
    return re.sub(r"\s+", " ", " ".join(page.extract_text() for page in PdfReader(pdf).pages))


@pytest.mark.parametrize("units", UNITS)
def test_printed_sheets_put_them_first(
    client: TestClient, desk: FakeDesk, get: Get, tmp_path: Path, units: str
) -> None:
    """The sheet of the round and the sheets of the rounds, cautions and gates in them whole."""
    client.cookies.set("units", units)
    get("/rounds")
    rounds = text_of(client.get("/rounds/sheet.pdf").content, tmp_path)
    one = text_of(round_sheet(desk.round(), tmp_path / "round.pdf", units=units), tmp_path)
    for text in (rounds, one):
        assert_own_first(text, units, 6)
        assert own_first("40 °C (104 °F)", units).split(" (")[0][-2:] in text
    assert cautions(us=units == "us")[1] in rounds
    assert cautions(us=units == "us")[1] in one


@pytest.mark.parametrize("units", UNITS)
def test_the_calendar_puts_them_first(client: TestClient, desk: FakeDesk, get: Get, units: str) -> None:
    """A stop's text follows the books' units, since a feed has no reader's own."""
    desk.books.put_settings({"units": units})
    get("/rounds")
    get("/calendar")
    feed = Calendar.from_ical(client.get("/calendar/rounds.ics").content)
    stops = [str(e["DESCRIPTION"]) for e in feed.walk("VEVENT") if "Drive there" in str(e.get("DESCRIPTION"))]
    assert stops
    assert_own_first(" ".join(stops), units, 6)
