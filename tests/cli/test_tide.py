"""The script that sets everything up: parts of it, without installing anything."""

from __future__ import annotations

import importlib.machinery
import importlib.util
import json
import sys
from pathlib import Path
from types import ModuleType

import pytest

ROOT = Path(__file__).resolve().parents[2]


@pytest.fixture
def tide(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    """The script as a module, its environment and locks in a folder of the test."""
    monkeypatch.setattr(sys, "dont_write_bytecode", True)
    loader = importlib.machinery.SourceFileLoader("tide_script", str(ROOT / "tide"))
    spec = importlib.util.spec_from_loader("tide_script", loader)
    assert spec is not None
    module = importlib.util.module_from_spec(spec)
    loader.exec_module(module)
    env = tmp_path / "env"
    monkeypatch.setattr(module, "ROOT", tmp_path)
    monkeypatch.setattr(module, "ENV", env)
    monkeypatch.setattr(module, "STAMP", env / "tide.json")
    monkeypatch.setattr(module, "PYTHON", env / "bin" / "python")
    locks = {"run": tmp_path / "requirements.lock", "test": tmp_path / "requirements-test.lock"}
    for lock in locks.values():
        lock.write_text("click==8.1.8 --hash=sha256:00\n", encoding="utf-8")
    monkeypatch.setattr(module, "LOCKS", locks)
    return module


class Steps:
    """Stands in for making and installing, and remembers what was asked."""

    def __init__(self, tide: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
        self.done: list[str] = []
        self.tide = tide

        def create() -> None:
            self.done.append("create")
            tide.PYTHON.parent.mkdir(parents=True, exist_ok=True)
            if not tide.PYTHON.exists():
                tide.PYTHON.symlink_to(sys.executable)

        monkeypatch.setattr(tide, "create_venv", create)
        monkeypatch.setattr(tide, "install", lambda lock: self.done.append(lock.name))
        monkeypatch.setattr(tide, "link_source", lambda: self.done.append("link"))


def test_environment_is_made_once_and_again_only_when_a_lock_changes(
    tide: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Second start: nothing. Test packages: only those. Changed lock: that lock. Lost Python: everything."""
    steps = Steps(tide, monkeypatch)
    tide.make_environment(["run"])
    assert steps.done == ["create", "requirements.lock", "link"]
    steps.done.clear()
    tide.make_environment(["run"])
    assert steps.done == []
    tide.make_environment(["run", "test"])
    assert steps.done == ["requirements-test.lock", "link"]
    steps.done.clear()
    tide.LOCKS["run"].write_text("click==8.1.9 --hash=sha256:00\n", encoding="utf-8")
    tide.make_environment(["run", "test"])
    assert steps.done == ["requirements.lock", "link"]
    steps.done.clear()
    tide.PYTHON.unlink()
    tide.make_environment(["run", "test"])
    assert steps.done == ["create", "requirements.lock", "requirements-test.lock", "link"]


def test_environment_that_failed_half_way_is_finished_next_time(
    tide: ModuleType, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No stamp is left by an install that stopped."""
    steps = Steps(tide, monkeypatch)

    def fails(lock: Path) -> None:
        raise SystemExit(2)

    whole = tide.install
    monkeypatch.setattr(tide, "install", fails)
    with pytest.raises(SystemExit):
        tide.make_environment(["run"])
    assert not tide.STAMP.exists()
    monkeypatch.setattr(tide, "install", whole)
    tide.make_environment(["run"])
    assert "requirements.lock" in steps.done
    assert set(json.loads(tide.STAMP.read_text(encoding="utf-8"))) == {"run", "src"}


def test_missing_lock_is_one_sentence(
    tide: ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A checkout with a file missing says which."""
    tide.LOCKS["run"].unlink()
    with pytest.raises(SystemExit) as left:
        tide.make_environment(["run"])
    assert left.value.code == 2
    assert "requirements.lock is missing" in capsys.readouterr().err


def test_python_without_venv_is_one_clear_sentence(
    tide: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Where the venv part is missing, the remedy is named."""
    fake = tmp_path / "python-without-venv"
    fake.write_text("#!/bin/sh\necho 'No module named venv'\nexit 1\n", encoding="utf-8")
    fake.chmod(0o755)
    monkeypatch.setattr(sys, "executable", str(fake))
    with pytest.raises(SystemExit) as left:
        tide.create_venv()
    assert left.value.code == 2
    said = capsys.readouterr().err
    assert "No module named venv" in said
    assert "apt-get install python3-venv" in said


def test_old_python_is_told_so(tide: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    """With no newer Python on the machine: which is needed, which it is, what to do."""
    monkeypatch.setattr("shutil.which", lambda name: None)
    monkeypatch.setattr(sys, "version_info", (3, 9, 2))
    with pytest.raises(SystemExit) as left:
        tide._find_newer_python()
    assert "needs Python 3.11 or newer and this is Python 3.9" in str(left.value.code)


def test_script_can_be_read_by_an_old_python() -> None:
    """The too-old sentence can only be said if the file parses there (grammar of Python 3.7)."""
    import ast

    ast.parse((ROOT / "tide").read_text(encoding="utf-8"), feature_version=(3, 7))


def test_browser_is_the_one_named_or_the_one_found(
    tide: ModuleType, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """TIDEOVER_CHROMIUM wins; a name without a file is said; none at all is said with a remedy."""
    named = tmp_path / "browser"
    named.write_text("", encoding="utf-8")
    monkeypatch.setenv("TIDEOVER_CHROMIUM", str(named))
    assert tide.find_chromium() == str(named)
    monkeypatch.setenv("TIDEOVER_CHROMIUM", str(tmp_path / "nothing"))
    tide.ensure_chromium()
    assert "will FAIL" in capsys.readouterr().err
    monkeypatch.delenv("TIDEOVER_CHROMIUM")
    monkeypatch.setattr(tide.shutil, "which", lambda name: None)
    tide.ensure_chromium()
    assert "apt-get install chromium" in capsys.readouterr().err


def test_test_stops_at_the_first_step_that_fails(tide: ModuleType, monkeypatch: pytest.MonkeyPatch) -> None:
    """Lint, layout, types, tests, in that order, with the failing step's exit code; words after 'test' go to pytest."""
    ran: list[list[str]] = []
    codes = {"ruff": 0, "mypy": 0, "pytest": 3}

    def run(*words: object) -> int:
        ran.append([str(word) for word in words])
        return codes[ran[-1][1]]

    monkeypatch.setattr(tide, "run", run)
    monkeypatch.setattr(tide, "make_environment", lambda kinds: ran.append(kinds))
    monkeypatch.setattr(tide, "ensure_chromium", lambda: None)
    assert tide.main(["test", "-k", "patty"]) == 3
    assert ran[0] == ["run", "test"]
    assert [step[1] for step in ran[1:]] == ["ruff", "ruff", "mypy", "pytest"]
    assert ran[-1][2:] == ["-n", "2", "-k", "patty"]
    ran.clear()
    codes["mypy"] = 1
    assert tide.main(["test"]) == 1
    assert [step[1] for step in ran[1:]] == ["ruff", "ruff", "mypy"]


@pytest.mark.parametrize(
    ("extra", "two"),
    [
        ((), True),
        (("-k", "x"), True),
        (("-n0",), False),
        (("-n", "4"), False),
        (("--pdb",), False),
        (("tests/a.py::b",), False),
    ],
)
def test_two_workers_unless_told_otherwise(tide: ModuleType, extra: tuple[str, ...], two: bool) -> None:
    """A single test, a debugger or an own number of workers turns them off."""
    assert tide.wants_workers(extra) is two
