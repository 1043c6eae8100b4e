"""Help is quick, loads nothing heavy, and tells how each command is used."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import Run
from tideover.cli.main import COMMANDS, cli
from tideover.cli.main import run as run_command

HEAVY = ("numpy", "numba", "scipy", "sqlalchemy", "alembic", "pydantic", "fastapi", "reportlab", "rich", "jinja2")

PROBE = """
import sys
from tideover.cli.main import run
code = run(["--help"])
print("LOADED", [name for name in {heavy!r} if name in sys.modules], code)
"""


def test_help_loads_nothing_heavy() -> None:
    """No numeric, database, page or drawing library is imported to print help."""
    ran = subprocess.run(
        [sys.executable, "-c", PROBE.format(heavy=HEAVY)], stdout=subprocess.PIPE, text=True, check=True
    )
    assert "LOADED [] 0" in ran.stdout


@pytest.mark.parametrize("name", COMMANDS)
def test_command_has_help_and_an_example(name: str, run: Run) -> None:
    """Each command's help ends with an example that begins with the program's name."""
    shown = run(name, "--help")
    assert shown.code == 0
    assert "Example: tideover" in " ".join(shown.out.split())
    command = cli.get_command(None, name)  # type: ignore[arg-type]
    assert command is not None
    assert command.short_help
    assert command.name == name


def test_help_lists_every_command_and_the_cautions(run: Run) -> None:
    """The first thing read names the dangers of the work."""
    shown = run("--help")
    for name in COMMANDS:
        assert f"  {name} " in shown.out
    for caution in ("stings", "fire", "heat", "vets", "inspectors"):
        assert caution in shown.out


def test_nothing_typed_shows_help(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a command the help is shown, and the exit code says nothing was done."""
    assert run_command([]) == 2
    assert "Usage: tideover" in capsys.readouterr().out


def test_serve_wants_certificate_and_key_together(run: Run, tmp_path: Path) -> None:
    """One without the other, and files that are neither, are one sentence each."""
    some = tmp_path / "some.pem"
    some.write_text("nothing of the kind", encoding="utf-8")
    for words in (("--cert", some), ("--key", some), ("--cert", some, "--key", some)):
        ran = run("serve", *words)
        assert ran.code == 2
        assert ran.err.count("\n") == 1
        assert "PEM files" in ran.err
