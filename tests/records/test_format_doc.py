"""The description of files is current, whole, and its examples can be brought."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.records.making import fresh
from tideover.records import bring
from tideover.records.format_doc import (
    EXAMPLES,
    HIVES_EXAMPLE,
    JSON_EXAMPLE,
    SETTINGS_EXAMPLE,
    YARDS_EXAMPLE,
    document,
)
from tideover.records.kinds import KINDS
from tideover.records.sheets import SHEETS
from tideover.records.values import column_map

DOC = Path(__file__).parents[2] / "docs" / "formats.md"


def test_formats_doc_is_current() -> None:
    """docs/formats.md is the text made now (else run python -m tideover.records.format_doc docs/formats.md)."""
    assert DOC.read_text(encoding="utf-8") == document()


def test_formats_doc_names_every_sheet_column_and_word() -> None:
    """Every sheet, column and word a file may hold is in the description."""
    text = DOC.read_text(encoding="utf-8")
    for sheet in SHEETS:
        assert f"### {sheet}\n" in text
    for kind in KINDS.values():
        for column, (field, _) in column_map(kind).items():
            assert f"`{column}`" in text
            assert all(word in text for word in field.words)


def test_formats_doc_examples_can_be_brought(tmp_path: Path) -> None:
    """All examples together come into empty books; so does the JSON one."""
    files = {"yards": YARDS_EXAMPLE, "hives": HIVES_EXAMPLE, "settings": SETTINGS_EXAMPLE}
    files |= {k.sheet: EXAMPLES[name] for name, k in KINDS.items()}
    known = "0b7f2c1e-6f0e-4d59-9a53-0d8f3f2f6b11"
    files["looks-more"] = f"id,hive,at\n{known},quarry-03,2026-07-13T08:00\n"
    paths = []
    for name, text in files.items():
        path = tmp_path / f"{name}.csv"
        path.write_text(text, encoding="utf-8")
        paths.append(path)
    with fresh(filled=False) as books:
        report = bring(books, paths)
        assert {k for k in report.added if k in KINDS} == set(KINDS)
        assert books.settings() == {"margin": 0.02, "units": "us"}
        assert books.entry_and_state(known)[1] == "withdrawn"
    (tmp_path / "b.json").write_text(JSON_EXAMPLE, encoding="utf-8")
    with fresh(filled=False) as books:
        assert bring(books, [tmp_path / "b.json"]).total_added == 4


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_formats_doc_has_an_example_of_each_kind(kind: str) -> None:
    """Each kind has an example whose columns are all known."""
    header = EXAMPLES[kind].splitlines()[0].split(",")
    assert set(header) - set(column_map(KINDS[kind])) <= {"hive", "yard", "at", "who", "supersedes", "note", "id"}
