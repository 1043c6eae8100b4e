"""The rounds on pages: days and stops, one tap a task, undo, the plan kept, the sheet."""

from __future__ import annotations

import re
import threading
import time
from collections.abc import Callable

import pytest
from icalendar import Calendar
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tideover.desk.rounds_books import kept_plan

Get = Callable[[str], str]


@pytest.fixture
def get(client: TestClient) -> Get:
    """Ask for a page until it is worked out."""

    def ask(path: str) -> str:
        until = time.monotonic() + 120
        while time.monotonic() < until:
            answer = client.get(path)
            assert answer.status_code == 200, answer.text[:400]
            if 'http-equiv="refresh"' not in answer.text:
                return answer.text
            time.sleep(0.1)
        raise AssertionError(f"{path} was never ready")

    return ask


def token(page: str) -> str:
    """The token of a page's forms."""
    found = re.search(r'name="token" value="([^"]+)"', page)
    assert found
    return found[1]


def form_of(page: str, hive: str, action: str) -> dict[str, str]:
    """The hidden fields of the first form of that task."""
    for form in re.findall(r'<form class="row noprint" method="post" action="/rounds/task">(.*?)</form>', page, re.S):
        fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
        if fields["hive"] == hive and fields["action"] == action:
            fields.pop("outcome", None)
            return fields
    raise AssertionError(f"no button to {action} at {hive}")


def test_days_stops_and_loads_are_shown(get: Get) -> None:
    """Leaving and home, yards in order with times, why, load, what to have in hand, and how good the plan is."""
    page = get("/rounds")
    for words in ("Leave ", "home ", "Load:", "drinking water", "To have in hand", "How good this plan is", "Out by "):
        assert words in page
    assert page.index("1. ") < page.index("2. ")
    assert "Done as planned" in page
    assert "water mist" not in page or "fire ban" in page


def test_done_as_planned_writes_the_fact_and_can_be_undone(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """One tap writes what was laid on and what became of the task; a second press writes nothing; undo takes both."""
    page = get("/rounds")
    fields = form_of(page, "quarry-01", "lay on") | {"outcome": "done", "token": token(page)}
    before = len(desk.books.entries(kind="laid on", hive="quarry-01"))
    for _ in range(2):
        answer = client.post("/rounds/task", data=fields)
        assert answer.status_code == 303
    laid = desk.books.entries(kind="laid on", hive="quarry-01")
    told = desk.books.entries(kind="task done", hive="quarry-01")
    assert len(laid) == before + 1
    assert laid[-1].values["weight"] == pytest.approx(453.6)
    assert [t.values["outcome"] for t in told] == ["done"]
    assert told[0].values["wrote"] == laid[-1].id

    shown = get(answer.headers["location"].partition("#")[0])
    assert "Told today" in shown
    client.post("/rounds/undo", data={"entry": told[0].id, "token": token(shown)})
    assert len(desk.books.entries(kind="laid on", hive="quarry-01")) == before
    assert desk.books.entries(kind="task done", hive="quarry-01") == []
    assert desk.books.entry_and_state(laid[-1].id)[1] == "withdrawn"


def test_another_weight_in_pounds(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """Half a pound typed in US units is 226.8 g in the books, and the plan's own weight stands beside it."""
    client.cookies.set("units", "us")
    page = get("/rounds")
    fields = form_of(page, "quarry-01", "lay on") | {"outcome": "changed", "weight": "0,5", "token": token(page)}
    assert client.post("/rounds/task", data=fields).status_code == 303
    told = desk.books.entries(kind="task done", hive="quarry-01")[-1]
    # 1 lb is 453.59237 g by definition
    assert told.values["weight"] == pytest.approx(453.59237 / 2)
    assert told.values["planned"] == pytest.approx(453.6)
    assert desk.books.entries(kind="laid on", hive="quarry-01")[-1].values["weight"] == pytest.approx(453.59237 / 2)


@pytest.mark.parametrize(
    ("weight", "says"), [("", "wanted a number"), ("nan", "wanted 0 to 5 kg"), ("99", "0 to 5 kg")]
)
def test_weights_that_cannot_be_write_nothing(
    client: TestClient, desk: FakeDesk, get: Get, weight: str, says: str
) -> None:
    """A sentence with the way back; the books are as they were."""
    client.cookies.set("units", "us")
    page = get("/rounds")
    before = desk.books.count()
    fields = form_of(page, "quarry-01", "lay on") | {"outcome": "changed", "weight": weight, "token": token(page)}
    answer = client.post("/rounds/task", data=fields)
    assert answer.status_code == 422
    assert says in answer.text
    assert desk.books.count() == before


def test_not_done_writes_no_fact(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """The task is told as not done, the hive's facts are as they were, and it is planned for a later day."""
    page = get("/rounds")
    fields = form_of(page, "quarry-01", "lay on") | {"outcome": "not done", "token": token(page)}
    before = len(desk.books.entries(kind="laid on"))
    client.post("/rounds/task", data=fields)
    assert len(desk.books.entries(kind="laid on")) == before
    after = get("/rounds")
    today = after.split('<section class="yard"')[1]
    assert "Lay on patty at quarry-01" not in today
    assert "not done" in after


def test_without_a_token_nothing_is_written(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """A form from elsewhere is refused, whatever it asks."""
    get("/rounds")
    before = desk.books.count()
    for path in ("/rounds/keep", "/rounds/task", "/rounds/undo"):
        assert client.post(path, data={"token": "made up"}).status_code == 403
    assert desk.books.count() == before


def test_plan_is_kept_once_and_stands(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """Keeping writes a planned visit for each stop; keeping again writes nothing; the page says it is kept."""
    page = get("/rounds")
    answer = client.post("/rounds/keep", data={"token": token(page)})
    kept = kept_plan(desk.books)
    assert answer.headers["location"] == f"/rounds?kept={len(kept)}"
    assert len(kept) >= 3
    assert {t.hive for k in kept for t in k.tasks} >= {"quarry-01"}
    again = client.post("/rounds/keep", data={"token": token(get("/rounds"))})
    assert again.headers["location"] == "/rounds?kept=0"
    shown = get("/rounds")
    assert "Every yard stands on the day it was kept for." in shown
    assert "As in the plan kept." in shown


def test_empty_books_lead_on(empty_client: TestClient) -> None:
    """No hive: what to do instead of an empty table."""
    answer = empty_client.get("/rounds")
    assert answer.status_code == 200
    assert "No hives in the books yet" in answer.text
    assert 'href="/bring"' in answer.text


def test_sheet_is_a_pdf(client: TestClient, get: Get) -> None:
    """The sheets come as one file to print; an unknown paper is one sentence."""
    get("/rounds")
    answer = client.get("/rounds/sheet.pdf")
    assert answer.status_code == 200
    assert answer.content.startswith(b"%PDF")
    assert client.get("/rounds/sheet.pdf?paper=a3").status_code == 422


def test_tap_does_not_wait_for_the_next_plan(
    client: TestClient, desk: FakeDesk, get: Get, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the plan is made anew the last one is shown, without the task just told, and says so."""
    page = get("/rounds")
    fields = form_of(page, "quarry-01", "lay on") | {"outcome": "done", "token": token(page)}
    release = threading.Event()

    def slow(*given: object, **named: object) -> None:
        release.wait(30)
        raise ValueError("nobody waits for this plan any more")

    monkeypatch.setattr("tideover.web.plans.rounds", slow)
    client.post("/rounds/task", data=fields)
    shown = client.get("/rounds").text
    release.set()
    assert "being made anew" in shown
    assert "Lay on patty at quarry-01" not in shown
    assert "Done as planned: lay on patty at quarry-01" not in shown
    assert "Done as planned: lay on patty at quarry-04" in shown


def test_the_calendar_shows_the_days_of_the_rounds(client: TestClient, get: Get) -> None:
    """Every stop of the page is an event of the calendar that begins at the same day and minute, and no other is."""
    page = get("/rounds")
    on_page = set()
    for section in re.split(r'<section class="yard" aria-labelledby="d-', page)[1:]:
        day = section[:10]
        for name, begins in re.findall(r'<h3 id="s-[^"]+">\d+\. ([^,]+), (\d\d:\d\d) to', section):
            on_page.add((day, begins, name))
    events = Calendar.from_ical(client.get("/calendar/rounds.ics").content).walk("VEVENT")
    stops = {
        (f"{e.start:%Y-%m-%d}", f"{e.start:%H:%M}", str(e["LOCATION"]))
        for e in events
        if "pieces off by" not in str(e["SUMMARY"]) and "frozen" not in str(e["SUMMARY"]).lower()
    }

    assert on_page
    assert stops == on_page


def test_a_calendar_that_is_written_leaves_the_plan_standing(client: TestClient, desk: FakeDesk, get: Get) -> None:
    """What a calendar remembers as sent goes into the books; neither calls nor plan are worked out anew for it."""
    get("/rounds")
    before, made = desk.books.version(), desk.rounds_made
    get("/calendar")
    assert desk.books.version() > before
    assert 'http-equiv="refresh"' not in client.get("/rounds").text
    assert desk.rounds_made == made
