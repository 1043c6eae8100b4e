"""House rules: nothing of one machine in the files, locks that can be trusted, one way to test."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
SKIP = {
    ".git",
    ".venv",
    ".tideover",
    "__pycache__",
    ".pytest_cache",
    ".mypy_cache",
    ".ruff_cache",
    ".hypothesis",
    "dist",
    "build",
}
BINARY = {".ttf", ".png", ".jpg", ".pdf", ".db", ".gz", ".woff2", ".ico", ".nbc", ".nbi"}

# put together here, so that this file does not hold what it forbids
MACHINE = re.compile("|".join(r"(?<![\w.~*])/" + folder + "/" for folder in ("work", "tmp", "root", "home", "Users")))
REGISTRY = re.compile(
    "|".join(("py" + r"pi\.org", "python" + r"hosted\.org", "npm" + r"js\.(org|com)", "debian" + r"\.org/debian"))
)


def files() -> Iterator[Path]:
    """Every text file of the checkout."""
    for path in sorted(ROOT.rglob("*")):
        parts = path.relative_to(ROOT).parts
        if path.is_file() and not SKIP & set(parts) and path.suffix not in BINARY:
            yield path


def hits(pattern: re.Pattern[str]) -> list[str]:
    """Places where a pattern stands."""
    return [
        f"{path.relative_to(ROOT)}:{number}: {line.strip()[:80]}"
        for path in files()
        for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), start=1)
        if pattern.search(line)
    ]


def test_no_file_names_a_folder_of_one_machine() -> None:
    """Files work wherever the checkout lies."""
    assert hits(MACHINE) == []


def test_no_file_names_a_registry() -> None:
    """Where packages come from is the machine's affair."""
    assert hits(REGISTRY) == []


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-test.lock"])
def test_lock_pins_every_package_by_hash_and_names_no_index(lock: str) -> None:
    """Each requirement has one version and at least one SHA-256; no line is an option."""
    words = (ROOT / lock).read_text(encoding="utf-8").replace("\\\n", " ")
    wanted = [line for line in words.splitlines() if line.strip() and not line.lstrip().startswith("#")]
    assert len(wanted) > 20
    for line in wanted:
        assert re.match(r"[A-Za-z0-9][\w.\-]*(\[[\w,\-]+\])?==\S+", line), line[:80]
        assert re.search(r"--hash=sha256:[0-9a-f]{64}", line), line[:80]


def test_locks_agree() -> None:
    """A package that runs and is tested has one version."""

    def versions(name: str) -> dict[str, str]:
        return dict(re.findall(r"^([\w.\-]+)==(\S+)", (ROOT / name).read_text(encoding="utf-8"), re.MULTILINE))

    run, test = versions("requirements.lock"), versions("requirements-test.lock")
    assert {name: test[name] for name in run if name in test} == {name: v for name, v in run.items() if name in test}


def test_continuous_integration_runs_exactly_what_a_person_runs() -> None:
    """.ci/run goes to the top folder and calls ./tide test."""
    lines = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()
    assert lines == ["#!/usr/bin/env bash", "set -euo pipefail", 'cd "$(dirname "$0")/.."', "exec ./tide test"]
    for name in ("tide", ".ci/run"):
        assert (ROOT / name).stat().st_mode & 0o111, name


def test_licence_is_whole() -> None:
    """The Apache License 2.0, from its title to its appendix, and that of the typeface."""
    words = (ROOT / "LICENSE").read_text(encoding="utf-8")
    for part in ("Apache License", "Version 2.0, January 2004", "9. Accepting Warranty", "END OF TERMS AND CONDITIONS"):
        assert part in words
    font = (ROOT / "src/tideover/paper/fonts/LICENSE.md").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in font
