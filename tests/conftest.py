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

# Workers of the suite are the processes that run side by side; tests of a desk's own say how many they want.
os.environ.setdefault("TIDEOVER_PROCESSES", "1")

TOGETHER: Final = {
    "season": ("cli/test_demo.py", "desk/test_advice.py", "desk/test_cards.py", "desk/test_season.py"),
    "calibration": ("validation/test_calibration.py",),
    "cards": ("plan/test_cards.py",),
}
"""Files whose tests go to one worker, because they share a fixture that takes long to make."""
DEAR: Final = {"answered": "season", "ranks": "calibration", "hives": "cards"}
"""Those fixtures, and where tests that use them must stand."""


def together(nodeid: str) -> str:
    """What a test is kept together with: a name of ``TOGETHER``, else itself."""
    file = nodeid.partition("::")[0].removeprefix("tests/")
    return next((name for name, files in TOGETHER.items() if file in files), nodeid)


def pytest_configure(config: pytest.Config) -> None:
    """Beside other workers a worker's kernel takes one thread: threads of all of them would wait for one another."""
    if "PYTEST_XDIST_WORKER" in os.environ:
        import numba

        numba.set_num_threads(1)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """A test that uses a dear fixture stands in a file of its group, or the fixture would be made twice.

    Raises: pytest.UsageError naming the test.
    """
    for item in items:
        for name in getattr(item, "fixturenames", ()):
            if name in DEAR and together(item.nodeid) != DEAR[name]:
                files = ", ".join(TOGETHER[DEAR[name]])
                raise pytest.UsageError(f"{item.nodeid} uses {name!r}, which takes long to make; put it in {files}.")


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Single tests go to whichever worker is free, groups as one."""
    from xdist.scheduler import LoadScopeScheduling

    class Grouped(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return together(nodeid)

    return Grouped(config, log)


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
