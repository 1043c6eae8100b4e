"""The field card of a hive as a page."""

from __future__ import annotations

from starlette.testclient import TestClient

from tests.web.reading_pages import Page


def text_of(html: str) -> str:
    """The page's words, white space made even."""
    return " ".join(" ".join(Page(html).text).split())


def test_every_look_of_the_card_stands_on_its_page(client: TestClient) -> None:
    """Words for pollen and jelly, the call and amount for each, first signs with what to do, how long it holds."""
    page = client.get("/hive/quarry-01/card")
    assert page.status_code == 200
    text = text_of(page.text)
    for words in (
        "Jelly dry", "Jelly damp", "Jelly floating", "Scattered", "Thin band", "Broad band", "Lay on 115 g", "Leave",
        "Cannot tell: write the look down", "would be odd, look twice", "Brood discoloured, sunken or ropy",
        "Give sugar 4 kg", "Good until Mon 21 Jul", "10 mm (0.4 in) of rain",
    ):  # fmt: skip
        assert words in text, words


def test_amounts_are_in_the_readers_units(client: TestClient) -> None:
    """A reader of US units sees pounds, inches first, and no grams."""
    client.cookies.set("units", "us")
    text = text_of(client.get("/hive/quarry-01/card").text)
    assert "Lay on ¼ lb" in text
    assert "0.4 in (10 mm)" in text
    assert "115 g" not in text


def test_a_card_that_says_one_thing_says_it_once(client: TestClient) -> None:
    """Where every look leads to the same, that is said in one line above the table."""
    text = text_of(client.get("/hive/long-fallow-01/card").text)
    assert "Whatever pollen and jelly it shows: Lay on 115 g" in text


def test_the_old_piece_comes_off_first(client: TestClient) -> None:
    """A card made for the hive without its old piece says so."""
    assert "The old piece comes off first." in text_of(client.get("/hive/mill-race-01/card").text)


def test_a_hive_without_a_card_says_where_to_go(client: TestClient) -> None:
    """No dead end: a sentence and a way to the call."""
    page = client.get("/hive/quarry-02/card")
    assert page.status_code == 200
    assert "No card is worked out for this hive yet." in text_of(page.text)
    assert 'href="/hive/quarry-02"' in page.text


def test_an_unknown_hive_is_told(client: TestClient) -> None:
    """Not found, in one sentence."""
    assert client.get("/hive/nobody/card").status_code == 404


def test_the_hive_page_holds_its_card(client: TestClient) -> None:
    """Folded below the gates, with a way to the page of its own."""
    page = client.get("/hive/quarry-01").text
    assert "If you see this, do that" in page
    assert 'href="/hive/quarry-01/card"' in page
