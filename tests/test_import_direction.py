"""Imports go down only: a room may import the rooms before it, and no others."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import tideover

SOURCE = Path(tideover.__file__).parent
ROOMS = re.findall(r"^``(\w+)``", tideover.__doc__ or "", re.MULTILINE)

BESIDE = {"colony", "beetle", "comb", "forage", "patty"}
"""Sciences that stand side by side: none of them imports another."""


def allowed(room: str) -> set[str]:
    """Rooms that ``room`` may import."""
    below = set(ROOMS[: ROOMS.index(room) + 1])
    if room in BESIDE:
        below -= BESIDE - {room}
    if room == "demo":
        # the invented season has rules of its own, so that it can be held against ours
        below &= {"figures", "records", "demo", "evidence"}
    if room == "records":
        # the books know the science by its types only
        below -= {"colony", "beetle", "forage", "patty"}
    return below


def imported(path: Path) -> Iterator[tuple[int, str]]:
    """Line and full name of every import of our own, wherever in the file it stands."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            for alias in node.names:
                if alias.name.split(".")[0] == "tideover":
                    yield node.lineno, alias.name
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}:{node.lineno}: relative imports hide the direction"
            if node.module == "tideover":
                for alias in node.names:
                    yield node.lineno, f"tideover.{alias.name}"
            elif (node.module or "").split(".")[0] == "tideover":
                yield node.lineno, node.module or ""


def test_rooms_are_listed_in_the_package() -> None:
    """The list in the package's docstring names every folder, once."""
    folders = {path.name for path in SOURCE.iterdir() if path.is_dir() and (path / "__init__.py").exists()}
    assert set(ROOMS) == folders
    assert len(ROOMS) == len(set(ROOMS))


@pytest.mark.parametrize("room", ROOMS)
def test_room_imports_only_what_lies_below(room: str) -> None:
    """No import goes up or sideways."""
    may = allowed(room)
    wrong = []
    for path in sorted((SOURCE / room).rglob("*.py")):
        for line, name in imported(path):
            parts = name.split(".")
            if len(parts) > 1 and parts[1] in ROOMS and parts[1] not in may:
                wrong.append(f"{path.relative_to(SOURCE)}:{line} imports {name}")
    assert wrong == []


@pytest.mark.parametrize("room", ROOMS)
def test_room_says_what_lives_here(room: str) -> None:
    """Each room's docstring is a short guide for who comes in."""
    words = ast.get_docstring(ast.parse((SOURCE / room / "__init__.py").read_text(encoding="utf-8"))) or ""
    assert len(words) > 60, f"{room}/__init__.py has no guide"


@pytest.mark.parametrize("room", ["figures", "colony", "beetle", "comb", "forage", "patty", "evidence", "plan"])
def test_science_has_no_clock_no_global_chance_and_no_pages(room: str) -> None:
    """Science rooms take the day and the random generator as arguments, and know no storage or drawing."""
    banned = re.compile(
        r"\b(datetime\.now|date\.today|time\.time\(|np\.random\.(?!Generator|default_rng|SeedSequence|Philox|PCG64|SFC64)\w+"
        r"|import (sqlalchemy|fastapi|reportlab|click|rich|random)\b)"
    )
    wrong = [
        f"{path.relative_to(SOURCE)}:{number} {line.strip()}"
        for path in sorted((SOURCE / room).rglob("*.py"))
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if banned.search(line)
    ]
    assert wrong == []
