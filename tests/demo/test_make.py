"""The files of the season: same bytes, every kind and word, nobody named, rules of its own."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

import tideover.demo
from tests.demo.reading import SEED, rows
from tideover.demo.make import SETTINGS, make, world_of
from tideover.demo.outings import _comb_by_comb
from tideover.demo.sheets import Sheets
from tideover.records.kinds import KINDS, UNITS, Field
from tideover.records.values import parse_values


def _cells(folder: Path, sheet: str, field: Field) -> list[str]:
    names = {field.name} | {f"{field.name}_{unit}" for unit in UNITS.get(field.dimension or "", {})}
    return [row[c] for row in rows(folder, sheet) for c in names & row.keys() if row[c]]


def test_make_same_seed_same_bytes(season: Path, tmp_path: Path) -> None:
    """Making the season twice from one seed gives the same files, byte for byte."""
    again = make(tmp_path / "again", SEED)
    assert sorted(p.name for p in again.iterdir()) == sorted(p.name for p in season.iterdir())
    for path in season.iterdir():
        assert (again / path.name).read_bytes() == path.read_bytes(), path.name


def test_make_other_seed_other_season(season: Path, tmp_path: Path) -> None:
    """Another seed gives other looks with other ids, and the same hives."""
    other = make(tmp_path / "other", SEED + 1)
    assert (other / "hives.csv").read_bytes() == (season / "hives.csv").read_bytes()
    assert {r["id"] for r in rows(other, "looks")}.isdisjoint(r["id"] for r in rows(season, "looks"))


BY_LOADERS = {"weather day.temp_sd"}
"""Written by the reading of a weather file alone, of days it had to bridge: the season's own station misses none."""


def test_make_uses_every_kind_field_and_word(season: Path) -> None:
    """Every kind of entry has rows, every field a keeper or station writes is filled in, and every word is used."""
    missing = []
    for kind in KINDS.values():
        if not rows(season, kind.sheet):
            missing.append(kind.name)
        for field in kind.fields:
            used = set(_cells(season, kind.sheet, field))
            if not used:
                missing.append(f"{kind.name}.{field.name}")
            missing += [f"{kind.name}.{field.name}: {word}" for word in field.words if word not in used]
    assert set(missing) == BY_LOADERS


def test_make_rows_read_without_a_problem(season: Path) -> None:
    """The values of every row are in range and in the words of their kind."""
    common = {"id", "hive", "yard", "at", "recorded_at", "who", "device", "supersedes", "note"}
    read = 0
    for kind in KINDS.values():
        for row in rows(season, kind.sheet):
            parse_values(kind.name, {c: v for c, v in row.items() if c not in common})
            read += 1
    assert read > 4000


@pytest.mark.parametrize("seed", [SEED, 31, 32, 33])
def test_make_sides_of_comb_hold_no_more_than_a_side(seed: int) -> None:
    """What stands in a side's cells is at most eight eighths, whatever the seed; 31 wrote eight and a half."""
    world, sheets = world_of(seed), Sheets(seed)
    _comb_by_comb(world, sheets)
    sides = sheets.rows["comb_sides"]
    assert len(sides) == 40
    for row in sides:
        in_cells = [float(row[name]) for name in ("capped", "open", "eggs", "pollen", "honey")]
        assert min(in_cells) >= 0.0
        assert sum(in_cells) <= 8.0, row


def test_make_ids_are_unique(season: Path) -> None:
    """No two entries of the season share an id."""
    ids = [row["id"] for kind in KINDS.values() for row in rows(season, kind.sheet)]
    assert len(ids) == len(set(ids))


def test_make_yards_and_hives(season: Path) -> None:
    """Three yards with what holds of beetles there, and 10, 9 and 7 hives."""
    yards = {row["id"]: row for row in rows(season, "yards")}
    assert [(y["beetles"], y["beetles_reportable"]) for y in yards.values()] == [
        ("present", "absent"), ("unknown", "absent"), ("absent", "present"),
    ]  # fmt: skip
    hives = rows(season, "hives")
    assert [sum(h["yard"] == y for h in hives) for y in yards] == [10, 9, 7]


def test_make_last_entries_before_the_round(season: Path) -> None:
    """The last entry of the season is of 15 August 2025, and every yard has one from the last week."""
    for yard in ("quarry", "mill-race", "long-fallow"):
        hive_days = [
            row["at"][:10]
            for kind in KINDS.values()
            for row in rows(season, kind.sheet)
            if row.get("hive", "").startswith(yard) or row.get("yard") == yard
        ]
        assert max(hive_days) == "2025-08-15"
        looks = [row["at"][:10] for row in rows(season, "looks") if row["hive"].startswith(yard)]
        assert "2025-08-09" <= max(looks) <= "2025-08-15"


def test_make_has_three_earlier_years_of_weather(season: Path) -> None:
    """Every yard has every day from 2022 on, so that futures can be drawn from past years."""
    for yard in ("quarry", "mill-race", "long-fallow"):
        days = [row["at"][:10] for row in rows(season, "weather_days") if row["yard"] == yard]
        assert len(days) == len(set(days)) == 365 + 365 + 366 + 227
        assert (min(days), max(days)) == ("2022-01-01", "2025-08-15")


def test_make_leaves_fields_out(season: Path) -> None:
    """Books have holes: among two-comb looks every field but seams is left empty somewhere."""
    looks = [row for row in rows(season, "looks") if row["brood_combs"] or row["capped_quarters"]]
    for column in ("heft", "nest_pollen", "jelly", "honey_combs", "eggs", "pollen_coming", "brood_signs"):
        empty = sum(not row[column] for row in looks)
        assert 0 < empty < len(looks) / 2, column


def test_make_names_nobody(season: Path) -> None:
    """Keepers are two letters, and no text holds a name, an address or a capitalised word but places."""
    places = {"Quarry", "Mill", "Race", "Long", "Fallow", "K", "J"}
    for path in season.glob("*.csv"):
        for row in rows(season, path.stem):
            assert row.get("who", "") in ("", "K", "J")
            for column in ("note", "name", "other", "plant", "device"):
                text = row.get(column, "")
                if path.stem == "settings":
                    continue
                assert set(re.findall(r"\b[A-Z]\w*", text)) <= places, text
                assert not re.search(r"@|www|http|\d{5,}", text), text


def test_demo_keeps_rules_of_its_own() -> None:
    """The invented world takes nothing from the science it is used to show."""
    allowed = {"tideover.records.kinds"}
    for path in Path(tideover.demo.__file__).parent.glob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            names = [node.module or ""] if isinstance(node, ast.ImportFrom) else []
            names += [a.name for a in node.names] if isinstance(node, ast.Import) else []
            for name in names:
                if name.startswith("tideover") and not name.startswith("tideover.demo"):
                    assert name in allowed, f"{path.name} imports {name}"


def test_settings_are_known_names() -> None:
    """Every setting of the demo is one the plans know, in its range."""
    from tideover.plan.settings import Settings

    settings = Settings.from_mapping(SETTINGS)
    assert settings.patty_price == SETTINGS["patty_price"]
