"""Export: everything out, and back without loss."""

from __future__ import annotations

import csv
import json
import tempfile
from datetime import UTC, datetime
from pathlib import Path

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.records.making import YARDS, contents, entry, fresh, seasons, uid
from tideover.records import Entry, RecordsError, Yard, bring, export
from tideover.records.book_schema import FILE, schema, text
from tideover.records.kinds import KINDS

LATE = datetime(2100, 1, 1, tzinfo=UTC)

_settings = st.dictionaries(
    st.text(st.characters(codec="ascii", categories=["Ll"]), min_size=1, max_size=8),
    st.none()
    | st.booleans()
    | st.integers(-(2**53), 2**53)
    | st.floats(allow_nan=False, allow_infinity=False)
    | st.text(max_size=5),
    max_size=3,
)


@given(seasons(), _settings)
@settings(max_examples=60, deadline=None)
def test_export_and_bring_give_equal_books(season: list[Entry], given_settings: dict[str, object]) -> None:
    """Sheets alone, books.json alone, or both, brought into empty books, give equal books; JSON fits its schema."""
    with tempfile.TemporaryDirectory() as name, fresh() as books:
        books.add(season)
        books.put_settings(given_settings)
        paths = export(books, Path(name))
        sheets = [p for p in paths if p.suffix == ".csv"]
        (whole,) = [p for p in paths if p.suffix == ".json"]
        for files in (sheets, sheets[::-1], [whole], paths):
            with fresh(filled=False) as other:
                report = bring(other, files, now=LATE)
                assert contents(other) == contents(books)
                kinds = {k: n for k, n in report.added.items() if k in KINDS}
                assert kinds == books.count()
        jsonschema.validate(json.loads(whole.read_text(encoding="utf-8")), schema())


@given(st.floats(-40, 60), st.floats(0, 300), st.lists(st.integers(0, 48).map(lambda q: q / 4), min_size=1, max_size=5))
@settings(max_examples=60, deadline=None)
def test_export_floats_read_back_exactly(temp: float, weight: float, seams: list[float]) -> None:
    """Every float comes back bit for bit from a sheet, very small ones too."""
    values = {"shade_temp": temp, "hive_weight": weight, "seams": tuple(seams)}
    with tempfile.TemporaryDirectory() as name, fresh() as books, fresh(filled=False) as other:
        books.add([entry(0, values=values)])
        bring(other, [p for p in export(books, Path(name)) if p.suffix == ".csv"], now=LATE)
        assert other.entry(uid(0)).values == values


def test_export_holds_corrected_and_withdrawn_entries(tmp_path: Path) -> None:
    """Superseded and withdrawn entries are in the sheets as well, and a sheet without entries has its header."""
    with fresh() as books:
        books.add([entry(0), entry(1, supersedes=uid(0)), entry(2), entry(3, "withdraw", supersedes=uid(2))])
        paths = {p.name: p for p in export(books, tmp_path / "new" / "folder")}
    with paths["looks.csv"].open(newline="") as f:
        assert [r["id"] for r in csv.DictReader(f)] == [uid(0), uid(1), uid(2)]
    assert paths["withdrawals.csv"].read_text().count("\n") == 2
    assert paths["mite_washes.csv"].read_text().startswith("id,hive,yard,at,")
    assert len(paths) == 3 + len(KINDS) + 1


def test_export_again_into_the_same_folder_replaces(tmp_path: Path) -> None:
    """A second export leaves nothing of the first behind."""
    with fresh() as books:
        books.add([entry(0)])
        export(books, tmp_path)
    with fresh() as books, fresh(filled=False) as other:
        bring(other, export(books, tmp_path), now=LATE)
        assert other.all_entries() == []


def test_export_to_a_place_that_cannot_be(tmp_path: Path) -> None:
    """A folder that cannot be made is an error in one sentence."""
    (tmp_path / "file").write_text("x")
    with fresh() as books, pytest.raises(RecordsError, match="choose another folder"):
        export(books, tmp_path / "file" / "folder")


def test_yard_floats_and_notes_survive(tmp_path: Path) -> None:
    """Places with odd numbers, quotes and line breaks come back as they were."""
    with fresh() as books, fresh(filled=False) as other:
        books.put_yard(Yard("x y", 'the "far" yard, east', -0.1 - 0.2, 1 / 3, "Australia/Perth", 1e-7, note="a\nb;c"))
        bring(other, export(books, tmp_path), now=LATE)
        assert other.yards() == books.yards() != list(YARDS)


def test_schema_file_is_current() -> None:
    """The schema shipped is the one made from the kinds (else run python -m tideover.records.book_schema)."""
    assert FILE.read_text(encoding="utf-8") == text()
    jsonschema.Draft202012Validator.check_schema(schema())


@pytest.mark.parametrize(
    "wrong",
    [
        {"kind": "lok"},
        {"values": {"capped_quarters": 14}},
        {"values": {"eggs": "maybe"}},
        {"values": {"shade_temp_c": 30, "shade_temp_f": 86}},
        {"values": {"shade_temp": 30}},
        {"values": {"jelly_dry": 2.5}},
        {"id": "row-1"},
        {"mood": "fine"},
    ],
)
def test_schema_refuses_what_bringing_refuses(wrong: dict[str, object]) -> None:
    """What a file must not say, the schema does not allow either."""
    good: dict[str, object] = {"kind": "look", "hive": "a", "at": "2026-07-14T08:30", "values": {"shade_temp_f": 140}}
    whole = {"format": "tideover books", "version": 1, "entries": [good]}
    jsonschema.validate(whole, schema())
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(whole | {"entries": [good | wrong]}, schema())
