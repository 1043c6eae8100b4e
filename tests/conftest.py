"""What the whole suite shares: workers that do not crowd one another, and one answered season."""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import pytest

DEAR: Final = {"answered": "season", "ranks": "calibration", "hives": "cards"}
"""Fixtures that take long, each with the name its tests are kept together by, so that one worker alone makes it."""


def pytest_configure(config: pytest.Config) -> None:
    """Beside other workers a worker's kernel takes one thread: threads of all of them would wait for one another."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        import numba

        numba.set_num_threads(1)


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Tests that share a dear fixture go to the same worker (with ``--dist loadgroup``)."""
    for item in items:
        for name in getattr(item, "fixturenames", ()):
            if name in DEAR:
                item.add_marker(pytest.mark.xdist_group(DEAR[name]))


@dataclass(frozen=True)
class Answered:
    """What ``tideover demo --no-serve`` left behind: its words, its folder, and the desk it asked."""

    code: int
    out: str
    err: str
    folder: Path
    desk: Any


@pytest.fixture(scope="session")
def answered(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Answered]:
    """The invented season made, brought in and answered once, by the command a keeper would give.

    The desk is the command's own, as large as a keeper's, and nobody may write at it.
    """
    import tideover.desk
    from tideover.cli.main import run

    asked: list[Any] = []
    open_desk = tideover.desk.open_desk

    def remembered(*where: Any, **how: Any) -> Any:
        asked.append(open_desk(*where, **how))
        return asked[-1]

    folder = tmp_path_factory.mktemp("answered")
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        patch.chdir(folder)
        patch.setattr("tideover.desk.open_desk", remembered)
        code = run(["demo", "--no-serve", "--paper", "letter"])
    (desk,) = asked
    yield Answered(code, out.getvalue(), err.getvalue(), folder / ".tideover" / "demo", desk)
    desk.books.close()
