"""One invented season for the desk's tests, brought once, copied where a test writes."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import cast

import pytest

from tests.conftest import Answered
from tideover import demo
from tideover.desk import Desk
from tideover.records import bring, open_books

MEMBERS = 150


@pytest.fixture(scope="session")
def season(answered: Answered) -> Path:
    """The season's folder."""
    return answered.folder / "season"


@pytest.fixture(scope="session")
def desk(answered: Answered) -> Desk:
    """A desk nobody writes at, with every hive of the season answered."""
    return cast(Desk, answered.desk)


@pytest.fixture(scope="session")
def brought(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Books with the season in them."""
    season = demo.make(tmp_path_factory.mktemp("season"))
    path = tmp_path_factory.mktemp("books") / "books.db"
    books = open_books(path)
    bring(books, sorted(season.glob("*.csv")))
    books.put_settings(json.loads((season / "settings.json").read_text(encoding="utf-8")))
    books.close()
    return path


@pytest.fixture
def own_desk(brought: Path, tmp_path: Path) -> Iterator[Callable[[], Desk]]:
    """Desks over a copy of the books; each call opens another desk on the same copy."""
    path = tmp_path / "books.db"
    shutil.copy(brought, path)
    opened: list[Desk] = []

    def make() -> Desk:
        opened.append(Desk(open_books(path), members=MEMBERS))
        return opened[-1]

    yield make
    for d in opened:
        d.books.close()
