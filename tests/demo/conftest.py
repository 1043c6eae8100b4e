"""The season made once, and the world behind it."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.demo.reading import SEED
from tideover.demo.keeping import World
from tideover.demo.make import make, world_of


@pytest.fixture(scope="session")
def season(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with the whole season in it."""
    return make(tmp_path_factory.mktemp("season"), SEED)


@pytest.fixture(scope="session")
def world() -> World:
    """The true season, in memory."""
    return world_of(SEED)


@pytest.fixture(scope="session")
def truth(season: Path) -> dict[str, Any]:
    """The truth file."""
    read: dict[str, Any] = json.loads((season / "truth.json").read_text(encoding="utf-8"))
    return read
