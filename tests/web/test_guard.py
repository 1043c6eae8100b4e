"""Who may talk to the pages, and what every answer carries."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import written_form
from tideover.web import create_app
from tideover.web.guard import host_name


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "", "[", "10.0.0.7:8737"])
def test_strange_host_is_refused(client: TestClient, host: str) -> None:
    """A name that was pointed at this machine by somebody else gets nothing."""
    answer = client.get("/", headers={"host": host})
    assert answer.status_code == 400
    assert "open them by one of those names" in answer.text


@pytest.mark.parametrize("host", ["127.0.0.1", "localhost:8737", "[::1]:8737", "LOCALHOST"])
def test_loopback_names_are_answered(client: TestClient, host: str) -> None:
    """Loopback by any of its names."""
    assert client.get("/api/health", headers={"host": host}).status_code == 200


def test_named_host_is_answered(desk: FakeDesk) -> None:
    """A name given at the start is let in."""
    with TestClient(create_app(desk, hosts=["barn.local"]), base_url="http://barn.local") as client:
        assert client.get("/api/health").status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "https://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://127.0.0.1:9999"},
    ],
)
def test_post_from_another_site_writes_nothing(client: TestClient, desk: FakeDesk, headers: dict[str, str]) -> None:
    """Even with a good token."""
    action, values = written_form(client, "/hive/quarry-02/look", heft="fair")
    before = desk.books.version()
    answer = client.post(action, data=values, headers=headers)
    assert answer.status_code == 403
    assert desk.books.version() == before


@pytest.mark.parametrize("token", ["", "made up", None])
def test_post_without_a_good_token_keeps_what_was_typed(client: TestClient, desk: FakeDesk, token: str | None) -> None:
    """A stale page is shown again, filled in, with a fresh token; the second press writes."""
    action, values = written_form(client, "/hive/quarry-02/look", heft="fair", note="windy")
    before = desk.books.version()
    values.pop("token")
    answer = client.post(action, data=values | ({} if token is None else {"token": token}))
    assert answer.status_code == 403
    assert desk.books.version() == before
    assert 'value="windy"' in answer.text
    from tests.web.reading_pages import Page

    again = Page(answer.text).form("/look")
    assert again.values["heft"] == "fair"
    assert client.post(action, data=again.values).status_code == 303
    assert desk.books.version() > before


def test_token_of_another_browser_is_refused(client: TestClient, desk: FakeDesk) -> None:
    """A token is bound to the cookie it was given with."""
    action, values = written_form(client, "/hive/quarry-02/look", heft="fair")
    with TestClient(client.app, base_url="http://127.0.0.1", follow_redirects=False) as other:
        assert other.post(action, data=values).status_code == 403


def test_headers_are_on_every_answer(client: TestClient) -> None:
    """Pages, JSON, files and refusals alike."""
    for path in ("/", "/api/health", "/static/tideover.css", "/nothing", "/hive/nobody"):
        headers = client.get(path).headers
        assert "default-src 'none'" in headers["content-security-policy"], path
        assert "unsafe-inline" not in headers["content-security-policy"]
        assert headers["x-content-type-options"] == "nosniff"
    assert "default-src 'none'" in client.get("/", headers={"host": "evil.example"}).headers["content-security-policy"]


def test_too_large_a_post_is_refused(client: TestClient) -> None:
    """By its announced length, before it is read."""
    answer = client.post("/bring", headers={"content-length": str(10**9)}, content=b"x")
    assert answer.status_code == 413


def test_host_name_without_port_and_brackets() -> None:
    """The part of a Host header that names the machine."""
    assert host_name("[::1]:80") == "::1"
    assert host_name("Localhost:8737") == "localhost"
