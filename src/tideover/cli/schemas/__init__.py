"""JSON Schemas that ship with the package, found by name."""

from __future__ import annotations

from importlib.resources import files
from typing import Final

ROOMS: Final = ("cli", "figures", "records")
"""Rooms that may keep schemas, each in a folder ``schemas`` with names ``NAME.schema.json``."""

ENDING: Final = ".schema.json"


def _found() -> dict[str, str]:
    found = {}
    for room in ROOMS:
        folder = files("tideover") / room / "schemas"
        if not folder.is_dir():
            continue
        for file in folder.iterdir():
            if file.name.endswith(ENDING):
                found[file.name.removesuffix(ENDING)] = f"{room}/schemas/{file.name}"
    return found


def names() -> list[str]:
    """Names of all schemas, sorted."""
    return sorted(_found())


def text(name: str) -> str:
    """The schema as JSON text.

    Raises: KeyError for a name not in ``names()``.
    """
    return (files("tideover") / _found()[name]).read_text(encoding="utf-8")
