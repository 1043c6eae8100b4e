"""The book that ships: every row sourced, plain, consistent, and readable by scripts."""

from __future__ import annotations

import json
import re
from importlib.resources import files
from pathlib import Path

import jsonschema
import numpy as np
import pytest

from tideover.figures import CONFIDENCES, KNOWN, Book, book, load
from tideover.figures.shelf import DATA

FORBIDDEN = re.compile(
    r"https?:|www\.|\.com\b|\.org\b|\.net\b|\bblog|\bshop\b|\bretail|\bvendor|\bsupplier|\bInc\.|\bLLC\b|\bLtd\b|®|™",
    re.IGNORECASE,
)
SUBJECTS = {
    "adults", "beetle", "brood", "calls", "feeding", "feedlaw", "forage", "freezing", "kitchen", "looks", "mites", "protein",
    "safety", "signs", "stores", "strength", "winter",
}  # fmt: skip


def test_book_holds_every_subject() -> None:
    """Each subject file is there and none is a stub."""
    have = book()
    assert set(have.subjects()) >= SUBJECTS
    for subject in SUBJECTS:
        assert len(have.rows(f"{subject}.")) >= 10, subject


def test_book_is_read_once() -> None:
    """The same object is handed out each time."""
    assert book() is book()


def test_every_row_says_where_from_and_how_known() -> None:
    """A source that exists, a way of knowing, a confidence, and a unit with every number."""
    have = book()
    for row in have.rows():
        assert [have.source(key).text for key in row.sources], row.key
        assert row.known in KNOWN, row.key
        assert row.confidence in CONFIDENCES, row.key
        assert (row.value is None and row.low is None) or row.unit.strip(), row.key


def test_every_source_is_used() -> None:
    """No source stands in the book for nothing."""
    have = book()
    used = {key for row in have.rows() for key in row.sources}
    assert [s.key for s in have.sources() if s.key not in used] == []


def test_known_agrees_with_the_sources() -> None:
    """A row with no source but practice or our own judgement never claims to have been read."""
    for row in book().rows():
        if row.known == "common practice":
            assert "common-practice" in row.sources or "arithmetic" in row.sources, row.key
        if row.sources == ("common-practice",):
            assert row.known not in ("read", "read abstract", "read second-hand"), row.key
        if row.sources == ("figures-judgement",):
            assert row.known not in ("read", "read abstract", "read second-hand"), row.key


def test_no_commerce_in_the_files() -> None:
    """No addresses, companies or places of sale, in rows or sources."""
    for file in sorted(DATA.glob("*.toml")):
        for number, line in enumerate(file.read_text(encoding="utf-8").splitlines(), 1):
            assert not FORBIDDEN.search(line), f"{file.name}:{number}: {line}"


def test_checks_are_firm_and_of_a_kind() -> None:
    """Checks are never of low confidence, say what they test, and are many of both kinds."""
    checks = book().checks()
    assert all(row.confidence != "low" and row.kind for row in checks)
    observed = [row for row in checks if row.kind == "observed" and row.known != "common practice"]
    assert len(observed) >= 60
    assert sum(row.kind == "arithmetic" for row in checks) >= 120


def test_disagreeing_rows_point_at_one_another() -> None:
    """Where sources disagree both rows stand and refer to each other."""
    pairs = [
        ("brood.total_days", "brood.total_days_measured"),
        ("adults.forager_loss_per_day", "adults.forager_loss_per_foraging_day_pct"),
        ("protein.pollen_per_larva_mg", "protein.pollen_per_bee_field_mg"),
        ("protein.store_ratio", "protein.store_ratio_other"),
        ("beetle.egg_base_c", "beetle.egg_base_c_other"),
        ("forage.optimum_low_c", "forage.optimum_high_c"),
        ("mites.half_cup_bees", "mites.half_cup_bees_other"),
        ("safety.nws_danger_f", "safety.nws_danger_old_f"),
        ("feeding.trial_equal", "feeding.trial_short_life"),
    ]
    for one, other in pairs:
        assert other in book().row(one).see, one
        assert one in book().row(other).see, other


def test_feeding_can_do_nothing_or_harm() -> None:
    """A tenth of feeds are worth exactly nothing, and feeding may cost lives, as trials of both kinds ask."""
    worth, harm = book().row("colony.feed_value").prior(), book().row("colony.feed_harm").prior()
    drawn = worth.sample(np.random.default_rng(1), 10_000)
    assert worth.low == 0.0 < worth.median < 1.0
    assert 0.08 < (drawn == 0.0).mean() < 0.13
    assert drawn.min() == 0.0
    assert drawn.max() == 1.0
    assert 0.0 < harm.median < harm.high
    for trial in ("equal", "short_life", "virus", "autumn_ontario", "autumn_uruguay"):
        assert book().row(f"feeding.trial_{trial}").text


def test_as_json_fits_its_schema() -> None:
    """What scripts get validates, and survives a round through JSON text."""
    schema = json.loads(files("tideover.figures").joinpath("schemas/figures.schema.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    out = json.loads(json.dumps(book().as_json()))
    jsonschema.Draft202012Validator(schema).validate(out)
    assert len(out["figures"]) == len(book())


@pytest.mark.parametrize(
    "spoil",
    [{"unit": ""}, {"known": "heard"}, {"sources": []}, {"check": True, "kind": None}, {"extra": 1}],
)
def test_schema_refuses_a_spoilt_figure(spoil: dict[str, object]) -> None:
    """The schema is not so loose that anything passes."""
    schema = json.loads(files("tideover.figures").joinpath("schemas/figures.schema.json").read_text(encoding="utf-8"))
    out = book().as_json()
    spoilt = {**out, "figures": [{**book().row("brood.egg_days").as_json(), **spoil}]}
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.Draft202012Validator(schema).validate(spoilt)


def test_rows_lists_by_prefix_in_order() -> None:
    """A prefix picks its rows only, sorted by key."""
    keys = [row.key for row in book().rows("brood.survive_")]
    assert keys == [f"brood.survive_to_{stage}_pct" for stage in ("adult", "capped", "open")]
    assert "brood.egg_days" in book()
    assert "brood.nothing" not in book()


def test_one_subject_reads_the_same_as_the_whole() -> None:
    """Asking for one figure reads its subject alone and gives the row the whole book gives."""
    lazy, whole = Book(DATA), load(DATA)
    assert lazy.row("mites.sample_bees") == whole.row("mites.sample_bees")
    assert lazy.rows("mites.") == whole.rows("mites.")
    assert lazy.source("lee2010") == whole.source("lee2010")
    assert "nothing.here" not in lazy
    assert lazy.as_json() == whole.as_json()


def test_loading_again_gives_an_equal_book() -> None:
    """Reading the files is free of state: a second reading is equal row for row."""
    again: Book = load(Path(DATA))
    assert again.as_json() == book().as_json()
