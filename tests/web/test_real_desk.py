"""The pages over the real desk and the invented season: a look in, a new call out."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from tests.web.reading_pages import get
from tideover.demo import make
from tideover.desk import Desk
from tideover.plan.call import ACTIONS
from tideover.records import bring, open_books
from tideover.web import create_app


@pytest.fixture(scope="module")
def real(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    """The invented season in fresh books, with a small ensemble: shapes matter here, not precision."""
    folder = tmp_path_factory.mktemp("season")
    sheets: list[Path] = sorted(make(folder).glob("*.csv"))
    with open_books(folder / "books.db") as books:
        bring(books, sheets)
        app = create_app(Desk(books, members=60))
        with TestClient(app, base_url="http://127.0.0.1", follow_redirects=False) as client:
            yield client


def test_hive_page_and_its_json_agree(real: TestClient) -> None:
    """Call, runway, charts and history of a real answer, and the same call for scripts."""
    page = get(real, "/hive/quarry-01")
    assert page.crossed == []
    assert len(page.ids) == len(set(page.ids))
    call = real.get("/api/hive/quarry-01").json()["line"]["call"]
    assert call["action"] in ACTIONS
    words = page.words()
    assert call["action"].capitalize() in words
    for gate in call["gates"]:
        assert " ".join(gate["title"].split()) in words
    for title in ("Adult bees.", "Brood, all ages.", "Stored pollen.", "Honey."):
        assert title in words


def test_look_leads_to_a_new_answer(real: TestClient) -> None:
    """What was written is in the history, and the answer counts it."""
    form = get(real, "/hive/quarry-08/look").form("/look")
    seams = {n: "6" for n in form.names if n.startswith("seams__")}
    assert seams
    answer = real.post(form.action, data=form.values | seams | {"heft": "light", "outer_pollen": "none"})
    assert answer.status_code == 303
    page = get(real, answer.headers["location"])
    assert "Written down." in page.words()
    assert f"e-{form.values['id']}" in page.ids
    view = real.get("/api/hive/quarry-08").json()
    assert view["line"]["last_look_day"] == form.values["at"][:10]


def test_yard_page_shows_the_land_while_the_round_is_being_worked_out(real: TestClient) -> None:
    """It opens either way; the forms are there."""
    page = get(real, "/yard/quarry")
    assert "/yard/quarry/write/bloom-note" in page.links
