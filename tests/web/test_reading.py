"""Pages that show."""

from __future__ import annotations

from dataclasses import replace

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FLAGGED, FakeDesk
from tests.web.reading_pages import Page, get
from tideover.plan.call import ACTIONS

PAGES = (
    "/",
    "/hive/quarry-01",
    "/hive/mill-race-02",
    "/hive/quarry-01/look",
    "/hive/quarry-01/write/laid-on",
    "/hive/quarry-01/write/taken-off",
    "/hive/quarry-01/write/mite-wash",
    "/hive/quarry-01/write/entrance-count",
    "/hive/quarry-01/write/event",
    "/yard/quarry",
    "/yard/quarry/write/bloom-note",
    "/yard/quarry/write/entrance-count",
    "/yard/quarry/write/weather-day",
    "/yard/quarry/write/event",
    f"/entry/{FLAGGED}/correct",
    "/figures",
    "/figures?subject=colony",
    "/figures?q=pollen",
    "/checks",
    "/settings",
    "/bring",
    "/safety",
)


@pytest.mark.parametrize("path", PAGES)
def test_page_is_well_made(client: TestClient, path: str) -> None:
    """It opens; tags close in order; ids are unique; nothing inline, nothing from elsewhere."""
    page = get(client, path)
    assert page.crossed == []
    assert page.open == []
    assert len(page.ids) == len(set(page.ids))
    assert page.inline == []
    assert all(s.startswith("/static/") for s in page.sources)
    assert all(link.startswith(("/", "#")) for link in page.links)


@pytest.mark.parametrize("path", [p for p in PAGES if "?" not in p])
def test_links_lead_somewhere(client: TestClient, path: str) -> None:
    """Every link on every page opens."""
    page = get(client, path)
    for link in {part.split("#")[0] for part in page.links} - {"", "/export"}:
        assert client.get(link).status_code == 200, link


def test_round_has_one_line_per_hive_with_its_call(client: TestClient, desk: FakeDesk) -> None:
    """All hives, all calls as words, loads, cautions, pull-by and runway."""
    words = get(client, "/").words().replace("\u2060", "")
    for hive in desk.order:
        assert hive in words
    for action in ACTIONS:
        assert action.capitalize() in words
    for text in (
        "Lay on: 455 g",
        "pull by Tue 11 Aug, 14:00",
        "brood pays in 9 days (4–15)",
        "83 % sure",
        "toss-up (55 %)",
        "Fire ban: no smoker.",
        "11 gates",
        "1 entry to check",
        "brood pays: not within 60 days (chance of it 12 %)",
    ):
        assert text in words, text


def test_round_filters_by_yard_and_call(client: TestClient) -> None:
    """Each choice narrows the lines; a choice nobody matches says so."""
    assert client.get("/?yard=quarry").text.count('class="hive"') == 4
    assert client.get("/?call=leave").text.count('class="hive"') == 2
    assert client.get("/?yard=quarry&call=leave").text.count('class="hive"') == 0
    assert "No hive matches this choice." in client.get("/?yard=quarry&call=leave").text
    assert "No hive matches this choice." in client.get("/?yard=nowhere").text


def test_empty_books_say_how_to_begin(empty_client: TestClient) -> None:
    """No hives is a beginning, not an error."""
    page = get(empty_client, "/")
    assert "No hives in the books yet" in page.words()
    assert "/bring" in page.links


def test_hive_page_holds_call_reasons_gates_flags_and_alternatives(client: TestClient) -> None:
    """What issue a keeper may take with the call is all on one page."""
    words = get(client, "/hive/quarry-01").words()
    for text in (
        "Lay on",
        "Pull by Tue 11 Aug, 14:00",
        "Two weeks without rain.",
        "Treat for mites: 4 per 100 bees.",
        "An entry to check",
        "With it lay on 450 g",
        "Without it leave",
        "what to do for gate 11",
        "the bee inspector",
        "Stored pollen is eaten up",
        "Beats the call",
        "A pound now (the call)",
        "On the hive now: 455 g since Thu 30 Jul",
        "pull by Thu 6 Aug, 12:00",
        "455 g patty",
        "Taken off",
    ):
        assert text in words, text
    assert client.get("/hive/quarry-01").text.count('<svg class="chart" viewBox="0 0 360') == 4


def test_toss_up_is_called_one(client: TestClient) -> None:
    """Too close to tell is said, with why the milder plan is called."""
    words = get(client, "/hive/quarry-02").words()
    assert "toss-up" in words
    assert "too close to tell apart" in words


@pytest.mark.parametrize("path", ["/hive/nobody", "/yard/nowhere", "/entry/x/correct", "/nothing", "/hive/nobody/look"])
def test_unknown_address_is_a_sentence(client: TestClient, path: str) -> None:
    """404 with a way back, never a traceback."""
    answer = client.get(path)
    assert answer.status_code == 404
    page = Page(answer.text)
    assert "/" in page.links
    assert "Traceback" not in answer.text


def test_names_are_escaped(client: TestClient, desk: FakeDesk) -> None:
    """A note is text, whatever it holds."""
    from tests.web.reading_pages import written_form

    action, values = written_form(client, "/hive/quarry-02/look", note="<script>alert(1)</script>")
    assert client.post(action, data=values).status_code == 303
    assert "<script>alert" not in client.get("/hive/quarry-02").text
    assert "&lt;script&gt;" in client.get("/hive/quarry-02").text


def test_us_units_everywhere_on_the_hive_page(client: TestClient) -> None:
    """Amounts, honey and the history are told in pounds and Fahrenheit."""
    client.cookies.set("units", "us")
    words = get(client, "/hive/quarry-01").words()
    assert "1 lb patty" in words
    assert "88 °F in the shade" in words  # 31 degrees Celsius: 31 x 9/5 + 32 = 87.8
    assert "Laid on 1 lb of patty" in words


@pytest.mark.parametrize(
    "path", ["/", "/hive/quarry-01", "/yard/quarry", "/hive/quarry-01/look", "/yard/quarry/entrance", "/counter"]
)
def test_a_hive_with_a_name_of_its_own_is_shown_with_it(client: TestClient, desk: FakeDesk, path: str) -> None:
    """The label stays, the name stands beside it; a hive without one shows its label alone."""
    assert "Split Lid" not in get(client, path).words()
    desk.books.put_hive(replace(desk.books.hive("quarry-01"), name="Split Lid by the gate"))
    assert desk.books.hive_names() == {"quarry-01": "Split Lid by the gate"}
    words = get(client, path).words()
    assert "Split Lid by the gate" in words
    assert "quarry-01" in words
