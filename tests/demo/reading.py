"""Reading the sheets of the season."""

from __future__ import annotations

import csv
from pathlib import Path
from typing import Final

SEED: Final = 20250


def rows(folder: Path, sheet: str) -> list[dict[str, str]]:
    """Return the rows of a sheet."""
    with (folder / f"{sheet}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))
