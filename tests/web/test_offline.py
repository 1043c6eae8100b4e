"""The minute at the entrance without signal: the page opens, counts wait on the phone, each is written once."""

from __future__ import annotations

import re
import threading
import time
import uuid
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
import uvicorn
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect
from starlette.testclient import TestClient

from tests.web.conftest import PATIENCE_S
from tests.web.fake_desk import FakeDesk
from tests.web.test_browser import Served, browser, served
from tideover.records import Entry
from tideover.web import create_app
from tideover.web.server import free_socket

__all__ = ["browser", "served"]  # fixtures

KEPT = "This page is kept on this phone"


def phone(browser: Browser, address: str) -> tuple[BrowserContext, Page]:
    """A phone that was once at the lookout with signal, and never at a counter."""
    c = browser.new_context(viewport={"width": 390, "height": 844}, has_touch=True, is_mobile=True, locale="en-US")
    page = c.new_page()
    page.set_default_timeout(15_000)
    page.goto(f"{address}/lookout")
    page.evaluate(
        "navigator.serviceWorker.ready.then(async () => { while (!navigator.serviceWorker.controller)"
        " await new Promise(r => setTimeout(r, 50)); })"
    )
    return c, page


def tap(page: Page, plain: int, pollen: int) -> None:
    """A count by tap."""
    for name, taps in (("Bee in", plain), ("Bee with pollen", pollen)):
        for _ in range(taps):
            page.get_by_role("button", name=name, exact=True).tap()


def counts(desk: FakeDesk) -> list[Entry]:
    """Counts in the books, by hive."""
    return sorted(desk.books.entries(kind="entrance count"), key=lambda e: str(e.hive))


@pytest.mark.browser
def test_the_counter_opens_without_signal_and_each_count_is_written_once(browser: Browser, served: Served) -> None:
    """At the address of a yard never opened before: its hives, a count, another; both are sent later, once."""
    c, page = phone(browser, served.address)
    with c:
        c.set_offline(True)
        page.goto(f"{served.address}/yard/mill-race/entrance")
        expect(page.get_by_text(KEPT)).to_be_visible()
        assert page.get_by_label("Hive").input_value() == "mill-race-01"
        tap(page, 4, 2)
        page.get_by_role("button", name="Write it down").tap()
        expect(
            page.get_by_text("No signal: mill-race-01, 6 bees, 2 with pollen, is kept on this phone.")
        ).to_be_attached()
        page.get_by_label("Hive").select_option("quarry-02")
        tap(page, 3, 0)
        page.get_by_role("button", name="Write it down").tap()
        expect(page.locator("[data-waiting] li")).to_have_count(2)
        page.reload()
        expect(page.locator("[data-waiting] li")).to_have_count(2)
        expect(page.get_by_text("2 counts wait on this phone for signal.")).to_be_visible()
        page.goto(f"{served.address}/settings")
        expect(page.get_by_role("heading", name="No signal")).to_be_visible()
        expect(page.get_by_text("2 counts wait on this phone for signal.")).to_be_visible()
        page.get_by_role("link", name="A minute at the entrance").tap()
        expect(page.locator("[data-waiting] li")).to_have_count(2)
        assert counts(served.desk) == []
        c.set_offline(False)
        expect(page.get_by_text("2 counts made without signal written down.")).to_be_visible()
        expect(page.locator("[data-waiting]")).to_be_hidden()
        page.goto(f"{served.address}/lookout")
        page.reload()
        expect(page.locator("[data-waits]")).to_be_hidden()
        found = counts(served.desk)
        assert [(e.yard, e.hive, e.values["bees_in"], e.values["with_pollen"]) for e in found] == [
            ("mill-race", "mill-race-01", 6, 2), ("quarry", "quarry-02", 3, 0),
        ]  # fmt: skip
        # the minute was cut short: what was watched is what counts
        assert {float(str(e.values["minutes"])) for e in found} == {0.25}
        assert abs(found[0].at - datetime.now(found[0].at.tzinfo)) < timedelta(minutes=15)


@pytest.mark.browser
def test_a_hive_added_since_stands_in_the_kept_page(browser: Browser, served: Served) -> None:
    """The phone asks after its list with any page it has; what changed is there when the signal is gone."""
    c, page = phone(browser, served.address)
    with c:
        served.desk.books.put_hive(replace(served.desk.books.hive("quarry-02"), id="quarry-new"))
        answers: list[int] = []
        # a page opened before the list has been put away asks for it once more
        while 204 not in answers and len(answers) < 6:
            with c.expect_event("response", lambda r: r.url.endswith("/counter")) as met:
                page.goto(f"{served.address}/lookout")
            answers.append(met.value.status)
        assert (answers[0], answers[-1]) == (200, 204)
        c.set_offline(True)
        page.goto(f"{served.address}/counter")
        expect(page.locator("option[value=quarry-new]")).to_have_count(1)


@pytest.mark.browser
def test_a_page_left_open_keeps_its_count(browser: Browser, served: Served) -> None:
    """Opened with signal, counted without: the same, and the page is ready for the next count."""
    c, page = phone(browser, served.address)
    with c:
        page.goto(f"{served.address}/yard/quarry/entrance")
        page.get_by_label("Hive").select_option("quarry-02")
        day = (datetime.fromisoformat(page.locator("[name=at]").input_value()) - timedelta(days=1)).date()
        page.locator("[name=at]").fill(f"{day}T09:30")
        tap(page, 5, 1)
        c.set_offline(True)
        page.get_by_role("button", name="Write it down").tap()
        expect(page.get_by_text(f"quarry-02, {day} 09:30: 6 bees, 1 with pollen.")).to_be_visible()
        assert page.get_by_label("Bees in, all of them").input_value() == ""
        assert page.evaluate("Object.keys(localStorage).length") == 1
        c.set_offline(False)
        expect(page.locator("[data-waiting]")).to_be_hidden()
        assert [e.values["bees_in"] for e in counts(served.desk)] == [6]
        assert f"{counts(served.desk)[0].at:%Y-%m-%dT%H:%M}".startswith(str(day))


@pytest.mark.browser
def test_an_answer_that_is_lost_writes_nothing_twice(browser: Browser, served: Served) -> None:
    """The books have the count, the phone never hears of it and sends it again: once in the books."""
    c, page = phone(browser, served.address)
    with c:
        page.goto(f"{served.address}/yard/quarry/entrance")
        tap(page, 2, 1)
        c.set_offline(True)
        page.get_by_role("button", name="Write it down").tap()
        expect(page.locator("[data-waiting] li")).to_have_count(1)
        lost = []

        def lose(route: Route) -> None:
            if route.request.method == "POST" and not lost:
                lost.append(route.fetch().status)
                route.abort()
            else:
                route.continue_()

        page.route("**/counter", lose)
        c.set_offline(False)
        until = time.monotonic() + 15
        while not lost and time.monotonic() < until:
            page.wait_for_timeout(100)
        assert lost == [200]
        assert len(counts(served.desk)) == 1
        expect(page.locator("[data-waiting] li")).to_have_count(1)
        page.goto(f"{served.address}/counter")
        expect(page.locator("[data-waiting]")).to_be_hidden()
        assert [e.values["bees_in"] for e in counts(served.desk)] == [3]


@pytest.mark.browser
def test_what_the_books_refuse_stays_until_it_is_corrected(browser: Browser, served: Served) -> None:
    """More with pollen than came in: not taken, said why, corrected in the form, written once under its own id."""
    c, page = phone(browser, served.address)
    with c:
        c.set_offline(True)
        page.goto(f"{served.address}/counter")
        page.get_by_label("Hive").select_option("long-fallow-01")
        page.get_by_label("Bees in, all of them").fill("4")
        page.get_by_label("Of these with pollen").fill("9")
        page.get_by_role("button", name="Write it down").tap()
        c.set_offline(False)
        expect(page.get_by_text("Not taken:")).to_be_visible()
        assert counts(served.desk) == []
        page.reload()
        expect(page.get_by_text("1 count was not taken by the books.")).to_be_visible()
        page.get_by_role("button", name="Correct: long-fallow-01").tap()
        assert page.get_by_label("Bees in, all of them").input_value() == "4"
        page.get_by_label("Of these with pollen").fill("3")
        page.get_by_role("button", name="Write it down").tap()
        expect(page.get_by_text("3 of 4 bees carried pollen")).to_be_visible()
        expect(page.locator("[data-waits]")).to_be_hidden()
        assert [(e.hive, e.values["with_pollen"]) for e in counts(served.desk)] == [("long-fallow-01", 3)]


class Stopping:
    """Pages that can be stopped and started again on one port."""

    def __init__(self, desk: FakeDesk) -> None:
        self.desk, self.port = desk, 0

    def start(self) -> None:
        """Serve, on the port of before."""
        self.bound = free_socket("127.0.0.1", self.port, tries=1)
        self.port = self.bound.getsockname()[1]
        app = create_app(self.desk, patience_s=PATIENCE_S)
        self.server = uvicorn.Server(uvicorn.Config(app, log_level="error", access_log=False))
        self.thread = threading.Thread(target=self.server.run, kwargs={"sockets": [self.bound]}, daemon=True)
        self.thread.start()
        while not self.server.started:
            time.sleep(0.02)

    def stop(self) -> None:
        """No longer answer."""
        self.server.force_exit = self.server.should_exit = True
        self.thread.join(10)
        self.bound.close()


@pytest.fixture
def stopping(desk: FakeDesk) -> Iterator[Stopping]:
    """Pages being served until they are stopped."""
    made = Stopping(desk)
    made.start()
    yield made
    made.stop()


@pytest.mark.browser
def test_books_that_cannot_be_reached_are_like_no_signal(browser: Browser, stopping: Stopping) -> None:
    """The phone has a network and the books' machine is off: the kept page comes, and later the count is sent once."""
    address = f"http://127.0.0.1:{stopping.port}"
    c, page = phone(browser, address)
    with c:
        stopping.stop()
        page.goto(f"{address}/yard/quarry/entrance")
        page.get_by_label("Hive").select_option("quarry-03")
        page.get_by_label("Air in the shade").fill("31")
        tap(page, 1, 1)
        page.get_by_role("button", name="Write it down").tap()
        expect(page.locator("[data-waiting] li")).to_have_count(1)
        assert counts(stopping.desk) == []
        stopping.start()
        page.goto(f"{address}/lookout")
        expect(page.get_by_text("1 count made without signal written down.")).to_be_visible()
        assert [(e.hive, e.values["bees_in"], e.values["shade_temp"]) for e in counts(stopping.desk)] == [
            ("quarry-03", 2, 31.0)
        ]


def token(client: TestClient) -> str:
    """What a kept page asks for before it sends."""
    return str(client.get("/counter/token").json()["token"])


def sent(client: TestClient, **changes: str) -> dict[str, str]:
    """A count as a phone sends it."""
    count = {
        "id": str(uuid.UUID(int=9)), "hive": "quarry-02", "bees_in": "20", "with_pollen": "6", "minutes": "1",
        "at": "2026-08-03T09:30", "who": "jo", "shade_temp": "88", "form_units": "us",
    }  # fmt: skip
    return count | {"token": token(client)} | changes


SCRIPT = {"accept": "application/json"}


def test_a_count_sent_by_many_at_once_is_written_once(client: TestClient, desk: FakeDesk) -> None:
    """Two pages of one phone may send it at the same moment; units are those it was typed in (88 °F is 31.1 °C)."""
    form = sent(client)
    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(lambda _: client.post("/counter", data=form, headers=SCRIPT), range(6)))
    assert {a.status_code for a in answers} == {200}
    (entry,) = counts(desk)
    assert entry.id == form["id"]
    assert entry.values["shade_temp"] == pytest.approx(31.11, abs=0.01)
    other = client.post("/counter", data=form | {"bees_in": "21"}, headers=SCRIPT)
    assert other.status_code == 409
    assert len(counts(desk)) == 1


def test_a_count_withdrawn_is_not_brought_back_by_sending_it_again(client: TestClient, desk: FakeDesk) -> None:
    """Undone by the keeper while the phone still had it."""
    form = sent(client)
    client.post("/counter", data=form, headers=SCRIPT)
    client.post(f"/entry/{form['id']}/withdraw", data={"token": token(client), "id": str(uuid.UUID(int=10))})
    assert counts(desk) == []
    assert client.post("/counter", data=form, headers=SCRIPT).status_code == 200
    assert counts(desk) == []


@pytest.mark.parametrize(
    ("wrong", "status", "says"),
    [
        ({"hive": "nobody"}, 422, "not a hive in the books"),
        ({"bees_in": "some"}, 422, "bees in"),
        ({"at": "tomorrow"}, 422, "not a date and time"),
        ({"token": "x"}, 403, "too long"),
    ],
)
def test_a_count_that_cannot_be_taken_says_why(
    client: TestClient, desk: FakeDesk, wrong: dict[str, str], status: int, says: str
) -> None:
    """In sentences, for the phone to show; nothing is written."""
    answer = client.post("/counter", data=sent(client, **wrong), headers=SCRIPT)
    assert answer.status_code == status
    assert says in " ".join(answer.json()["problems"]).lower().replace("'", "") or says in answer.text
    assert counts(desk) == []


def test_the_kept_page_holds_every_yard_and_works_without_scripts(client: TestClient, desk: FakeDesk) -> None:
    """Hives under their yards with their clocks; posted as a plain form it leads to the hive's own yard."""
    page = client.get("/counter").text
    assert re.findall(r'<optgroup label="([^"]+)"', page) == [y.name for y in desk.books.yards()]
    assert len(re.findall(r'<option value="[^"]+" data-yard="[^"]+" data-zone="America/Los_Angeles"', page)) == 12
    answer = client.post("/counter", data=sent(client))
    assert answer.status_code == 303
    assert answer.headers["location"].startswith("/yard/quarry/entrance?entered=")


def test_a_kept_page_is_made_anew_only_where_something_changed(client: TestClient, desk: FakeDesk) -> None:
    """A phone asks with every page it has, and the list of thousands of hives takes a second to make."""
    mark = client.get("/counter").headers["kept-as-of"]
    again = client.get("/counter", headers={"kept-as-of": mark})
    assert (again.status_code, again.content) == (204, b"")
    desk.books.put_hive(replace(desk.books.hive("quarry-02"), id="quarry-new"))
    changed = client.get("/counter", headers={"kept-as-of": mark})
    assert changed.status_code == 200
    assert 'value="quarry-new"' in changed.text
    other_units = {"kept-as-of": changed.headers["kept-as-of"], "cookie": "units=us"}
    assert client.get("/counter", headers=other_units).status_code == 200


def test_the_worker_keeps_what_the_pages_ask_for(client: TestClient, empty_client: TestClient) -> None:
    """Everything it keeps is there under that very address; without hives the page says how to begin."""
    worker = client.get("/offline.js")
    assert worker.headers["content-type"].startswith("text/javascript")
    kept = re.search(r"const KEPT = \[(.*?)\];", worker.text)
    assert kept
    addresses = re.findall(r'"([^"]+)"', kept[1])
    page = client.get("/counter").text
    for asked in re.findall(r'(?:src|href)="(/static/[^"]+)"', page):
        assert asked in addresses
    for address in addresses:
        assert client.get(address).status_code == 200
    assert "No hive is in the books yet." in empty_client.get("/counter").text
