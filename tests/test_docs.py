"""Documents that cannot rot: what is in the program is in them, and what they name exists."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tideover.cli.main import COMMANDS, cli

ROOT = Path(__file__).resolve().parents[1]
PAGES = sorted(ROOT.glob("*.md")) + sorted((ROOT / "docs").rglob("*.md"))


def option_names(command: str) -> list[str]:
    """Long options of a command."""
    found = cli.get_command(None, command)  # type: ignore[arg-type]
    assert found is not None
    names = [name for parameter in found.params for name in parameter.opts if name.startswith("--")]
    return [name for name in names if name != "--help"]


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_and_option_is_described(command: str) -> None:
    """docs/use.md has each command in its table, and each of its options somewhere."""
    words = (ROOT / "docs" / "use.md").read_text(encoding="utf-8")
    assert f"| `tideover {command}" in words
    for option in option_names(command):
        assert option in words or option in ("--force", "--note"), f"{command} {option}"


def test_commands_named_in_documents_exist() -> None:
    """No document tells a reader to type a command that is not there."""
    wrong = []
    for page in PAGES:
        for shell in re.findall(r"```sh\n(.*?)```", page.read_text(encoding="utf-8"), re.DOTALL):
            for word in re.findall(r"^\s*(?:\./tide|tideover)(?: --demo)? ([a-z]+)", shell, re.MULTILINE):
                if word not in (*COMMANDS, "test"):
                    wrong.append(f"{page.name}: {word}")
    assert wrong == []


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(ROOT)))
def test_links_between_documents_lead_somewhere(page: Path) -> None:
    """Every relative link names a file or folder of the checkout."""
    wrong = [
        target
        for target in re.findall(r"\]\(([^)#\s]+)[^)]*\)", page.read_text(encoding="utf-8"))
        if "://" not in target and not (page.parent / target).exists()
    ]
    assert wrong == []


def test_readme_begins_with_the_job_and_the_two_commands() -> None:
    """One paragraph with the job, then the two commands that do everything."""
    words = (ROOT / "README.md").read_text(encoding="utf-8")
    paragraph = words.split("\n\n")[1]
    for part in ("hot dry summer", "call per hive", "uncertainty", "round", "may do nothing, or harm"):
        assert part in paragraph, part
    assert words.index("./tide demo") < words.index("./tide test") < words.index("## Your own bees")


def test_every_record_of_a_decision_has_three_parts() -> None:
    """Decision, rationale, consequences: three paragraphs."""
    records = sorted((ROOT / "docs" / "adr").glob("*.md"))
    assert len(records) >= 4
    for record in records:
        words = record.read_text(encoding="utf-8").strip().split("\n\n")
        assert [part.split(".**")[0] for part in words[1:]] == ["**Decision", "**Rationale", "**Consequences"], (
            record.name
        )


def test_rooms_are_described_in_order() -> None:
    """The table of rooms in the architecture is that of the package."""
    import tideover

    listed = re.findall(r"^``(\w+)``", tideover.__doc__ or "", re.MULTILINE)
    words = (ROOT / "docs" / "architecture.md").read_text(encoding="utf-8")
    assert re.findall(r"^\| `(\w+)` \|", words, re.MULTILINE) == listed
