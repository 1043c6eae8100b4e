"""A first season without a file: a yard and its hives typed in, changed, added to; mistakes lose nothing."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import get

GOOD = {
    "name": "Far Side", "latitude": "37,25", "longitude": "-119.5", "elevation": "1000",
    "timezone": "America/Los_Angeles", "beetles": "absent", "beetles_reportable": "present", "count": "3",
    "prefix": "", "frame": "medium", "frames": "8", "boxes": "2",
}  # fmt: skip


def filled(client: TestClient, page: str = "/new-yard", units: str = "metric", **changes: str) -> dict[str, str]:
    """The form of a page, filled in."""
    form = get(client, page).form(page).values
    return form | GOOD | {"form_units": units} | changes


def test_empty_books_lead_to_the_form(empty_client: TestClient) -> None:
    """The first page of empty books and the page for files both offer it."""
    assert "/new-yard" in get(empty_client, "/").links
    assert "/new-yard" in get(empty_client, "/bring").links
    page = get(empty_client, "/new-yard")
    assert page.crossed == []
    assert page.inline == []
    assert len(page.ids) == len(set(page.ids))


def test_yard_and_hives_are_written_together(client: TestClient, desk: FakeDesk) -> None:
    """Numbers with a comma, hives numbered by the yard's name, boxes as typed."""
    assert "/yard/quarry/change" in get(client, "/yard/quarry").links
    answer = client.post("/new-yard", data=filled(client))
    assert answer.status_code == 303
    assert answer.headers["location"] == "/yard/far-side"
    yard = desk.books.yard("far-side")
    assert (yard.name, yard.latitude, yard.longitude, yard.elevation_m) == ("Far Side", 37.25, -119.5, 1000.0)
    assert (yard.beetles, yard.beetles_reportable) == ("absent", "present")
    hives = desk.books.hives("far-side")
    assert [h.id for h in hives] == ["far-side-01", "far-side-02", "far-side-03"]
    assert [(b.frame, b.frames) for b in hives[0].boxes] == [("medium", 8), ("medium", 8)]


def test_height_in_feet(client: TestClient, desk: FakeDesk) -> None:
    """1000 ft are 304.8 m."""
    assert client.post("/new-yard", data=filled(client, units="us")).status_code == 303
    assert desk.books.yard("far-side").elevation_m == pytest.approx(304.8)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"name": ""}, "name is empty"),
        ({"name": "!!"}, "name is empty"),
        ({"latitude": "99"}, "latitude got"),
        ({"longitude": "west"}, "longitude got"),
        ({"elevation": "9000"}, "height got"),
        ({"timezone": "Pacific"}, "time zone got"),
        ({"count": "many"}, "hives got"),
        ({"count": "900"}, "hives got"),
        ({"frames": "0"}, "frames in a box got"),
        ({"boxes": "x"}, "boxes got"),
        ({"frame": "odd"}, "frames got"),
        ({"beetles": "some"}, "wanted present, absent"),
    ],
)
def test_mistakes_are_sentences_and_lose_nothing(
    client: TestClient, desk: FakeDesk, change: dict[str, str], says: str
) -> None:
    """Nothing is written; what was typed is in the form again."""
    before = desk.books.version()
    answer = client.post("/new-yard", data=filled(client, **change))
    assert answer.status_code == 422
    assert says in answer.text
    assert "37,25" in answer.text or "latitude" in change
    assert desk.books.version() == before


def test_a_second_yard_of_the_name_and_a_stale_page_are_told(client: TestClient, desk: FakeDesk) -> None:
    """Neither overwrites anything."""
    assert client.post("/new-yard", data=filled(client)).status_code == 303
    again = client.post("/new-yard", data=filled(client))
    assert again.status_code == 422
    assert "already" in again.text
    assert client.post("/new-yard", data=filled(client, name="Other") | {"token": "no"}).status_code == 403
    assert len(desk.books.hives("far-side")) == 3


def test_yard_is_changed_and_hives_take_the_next_numbers(client: TestClient, desk: FakeDesk) -> None:
    """The form shows what is there; new hives fill free numbers, those that are there stay as they are."""
    client.post("/new-yard", data=filled(client))
    page = "/yard/far-side/change"
    form = get(client, page).form(page).values
    assert form["latitude"] == "37.25"
    assert form["elevation"] == "1000"
    answer = client.post(page, data=form | {"latitude": "37.5", "count": "2", "frame": "deep", "boxes": "1"})
    assert answer.status_code == 303
    assert desk.books.yard("far-side").latitude == 37.5
    hives = desk.books.hives("far-side")
    assert [h.id for h in hives] == [f"far-side-0{i}" for i in range(1, 6)]
    assert len(hives[0].boxes) == 2
    assert len(hives[4].boxes) == 1
    assert client.get("/yard/nowhere/change").status_code == 404
