"""An invented desk and a client that talks to its pages."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Final

import pytest
from starlette.testclient import TestClient

from tests.web.fake_desk import FakeDesk
from tideover.checks import Check, outside_checks
from tideover.web import create_app

PATIENCE_S: Final = 15.0
"""Pages wait this long for the invented desk's round: what they show must not hang on how busy the machine is."""


@pytest.fixture(scope="session")
def filled_books(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file of books made once, to be copied."""
    path = tmp_path_factory.mktemp("web") / "filled.db"
    FakeDesk(path).books.close()
    return path


@pytest.fixture
def desk(tmp_path: Path, filled_books: Path) -> Iterator[FakeDesk]:
    """Twelve invented hives in three yards."""
    made = FakeDesk(Path(shutil.copy(filled_books, tmp_path / "books.db")))
    yield made
    made.books.close()


@pytest.fixture
def client(desk: FakeDesk) -> Iterator[TestClient]:
    """A browser without scripts on those pages."""
    with TestClient(
        create_app(desk, patience_s=PATIENCE_S), base_url="http://127.0.0.1", follow_redirects=False
    ) as made:
        yield made


@pytest.fixture
def empty_client(tmp_path: Path) -> Iterator[TestClient]:
    """Pages over books with nothing in them."""
    made = FakeDesk(tmp_path / "empty.db", empty=True)
    with TestClient(
        create_app(made, patience_s=PATIENCE_S), base_url="http://127.0.0.1", follow_redirects=False
    ) as answer:
        yield answer
    made.books.close()


@pytest.fixture(autouse=True)
def quick_checks(monkeypatch: pytest.MonkeyPatch) -> list[Check]:
    """The outside checks of comb and beetle only: those of the model take half a minute and have tests of their own."""
    made = outside_checks("comb") + outside_checks("beetle")
    monkeypatch.setattr("tideover.web.book_pages.outside_checks", lambda: made)
    return made
