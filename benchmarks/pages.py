"""Results kept beside the benchmarks, and the tables made of them in the documents."""

from __future__ import annotations

import json
import subprocess
from pathlib import Path
from typing import Any, Final

ROOT: Final = Path(__file__).parent.parent
KEPT: Final = Path(__file__).parent / "results"


def keep(name: str, result: dict[str, Any]) -> None:
    """Write a result as ``results/NAME.json``."""
    KEPT.mkdir(exist_ok=True)
    (KEPT / f"{name}.json").write_text(json.dumps(result, indent=1, ensure_ascii=False) + "\n", encoding="utf-8")


def kept(name: str) -> dict[str, Any]:
    """The result kept under a name; raises ``FileNotFoundError`` when none was."""
    found: dict[str, Any] = json.loads((KEPT / f"{name}.json").read_text(encoding="utf-8"))
    return found


def _marks(part: str) -> tuple[str, str]:
    return f"<!-- {part} begins: made by a command, do not edit -->", f"<!-- {part} ends -->"


def part_of(page: Path, part: str) -> str:
    """The text between the marks of a part; raises ``ValueError`` when the page has no such marks."""
    begins, ends = _marks(part)
    text = page.read_text(encoding="utf-8")
    if begins not in text or ends not in text:
        raise ValueError(f"{page.name} has no marks for {part!r}; add '{begins}' and '{ends}'.")
    return text.split(begins, 1)[1].split(ends, 1)[0].strip("\n")


def put_part(page: Path, part: str, text: str) -> None:
    """Replace the text between the marks of a part."""
    begins, ends = _marks(part)
    part_of(page, part)
    whole = page.read_text(encoding="utf-8")
    before, after = whole.split(begins, 1)[0], whole.split(ends, 1)[1]
    page.write_text(f"{before}{begins}\n{text}\n{ends}{after}", encoding="utf-8")


def table(head: list[str], rows: list[list[str]]) -> str:
    """A Markdown table."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    return "\n".join([*lines, *("| " + " | ".join(row) + " |" for row in rows)])


def version() -> str:
    """The commit measured, short, with '+' when files had changed; 'unknown' outside a checkout."""
    try:
        return subprocess.run(
            ["git", "describe", "--always", "--dirty=+", "--abbrev=8"],
            cwd=ROOT, capture_output=True, text=True, check=True,
        ).stdout.strip()  # fmt: skip
    except (OSError, subprocess.CalledProcessError):
        return "unknown"
