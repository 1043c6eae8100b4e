"""The look comb by comb on its page: written as one, refused as one, corrected and taken back as one."""

from __future__ import annotations

from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tests.web.reading_pages import Page, get
from tideover.records import Entry

ADDRESS = "/hive/mill-race-01/combs"


def sent(client: TestClient, **sides: dict[str, str]) -> dict[str, str]:
    """The blank form with sides filled in; keys are box, comb and side as in ``b1c4a``."""
    values = dict(get(client, ADDRESS).form("/combs").values)
    for key, eighths in sides.items():
        level, comb = key[1:-1].split("c")
        values |= {f"{level}.{comb}.{key[-1]}.{name}": v for name, v in eighths.items()}
    return values | {"at": "2026-08-04T07:30", "who": "second keeper"}


def sides(desk: FakeDesk) -> list[Entry]:
    """The sides that stand in the books."""
    return [e for e in desk.books.entries(hive="mill-race-01") if e.kind == "comb side"]


def test_sides_are_written_together_and_added_up(client: TestClient, desk: FakeDesk) -> None:
    """Two sides filled in are two entries at one time; the page then shows what they add up to by several factors."""
    form = sent(client, b1c4a={"bees": "6", "capped": "3,5"}, b1c4b={"bees": "5.5", "honey": "0"})
    answer = client.post(ADDRESS, data=form)
    assert answer.status_code == 303
    found = {(e.values["comb"], e.values["side"]): dict(e.values) for e in sides(desk)}
    assert found[4, "a"] == {"level": 1, "comb": 4, "side": "a", "bees": 6.0, "capped": 3.5}
    assert found[4, "b"] == {"level": 1, "comb": 4, "side": "b", "bees": 5.5, "honey": 0.0}
    assert {e.at.isoformat() for e in sides(desk)} == {"2026-08-04T07:30:00-07:00"}
    words = get(client, answer.headers["location"]).words()
    # 11.5 eighths of a deep face (8.63 dm2) at 125 a dm2 are 1,550 bees; at 82 a dm2 1,017 (arithmetic).
    assert "Written: 2 sides of" in words
    assert "1 550 bees" in words
    assert "occupied average 1 017" in words


def test_taken_back_as_one(client: TestClient, desk: FakeDesk) -> None:
    """One button withdraws every side of the look."""
    answer = client.post(ADDRESS, data=sent(client, b1c1a={"bees": "2"}, b2c3b={"honey": "8"}))
    back = get(client, answer.headers["location"]).form("/combs-back")
    assert client.post(back.action, data=back.values).status_code == 303
    assert sides(desk) == []
    assert client.post(back.action, data=back.values).status_code == 409


def test_too_much_on_one_side_writes_nothing(client: TestClient, desk: FakeDesk) -> None:
    """More than eight eighths of contents, or a word, is refused with all that was typed kept."""
    form = sent(client, b1c1a={"capped": "6", "honey": "3"}, b1c2a={"bees": "many"}, b1c3a={"bees": "4"})
    answer = client.post(ADDRESS, data=form)
    assert answer.status_code == 422
    assert sides(desk) == []
    page = Page(answer.text)
    assert "Box 1, comb 1, side a" in page.words()
    assert "9 eighths" in page.words()
    assert page.form("/combs").values["1.3.a.bees"] == "4"


def test_nothing_filled_in_is_said(client: TestClient, desk: FakeDesk) -> None:
    """An empty form is no look."""
    answer = client.post(ADDRESS, data=sent(client))
    assert answer.status_code == 422
    assert "No side is filled in" in Page(answer.text).words()
    assert sides(desk) == []


def test_second_tap_writes_once_and_a_change_is_a_correction(client: TestClient, desk: FakeDesk) -> None:
    """The same form twice is one look; changed and sent again it is offered as a correction and then replaces."""
    form = sent(client, b1c1a={"bees": "2"})
    first, second = client.post(ADDRESS, data=form), client.post(ADDRESS, data=form)
    assert first.headers["location"] == second.headers["location"]
    assert len(sides(desk)) == 1
    again = client.post(ADDRESS, data=form | {"1.1.a.bees": "7"})
    assert again.status_code == 409
    assert client.post(ADDRESS, data=Page(again.text).form("/combs").values).status_code == 303
    assert [e.values["bees"] for e in sides(desk)] == [7.0]
