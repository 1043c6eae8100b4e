"""``tideover mix``: the file in, weights and reasons out, for people and for scripts."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from pypdf import PdfReader

from tests.cli.conftest import Run
from tests.patty.kitchen_help import raw
from tideover.cli import schemas
from tideover.patty.kitchen.cautions import ALWAYS
from tideover.patty.kitchen.ingredients import pantry
from tideover.records import open_books


@pytest.fixture
def task(tmp_path: Path) -> Path:
    """A task that can be met, as JSON."""
    path = tmp_path / "patty.json"
    path.write_text(json.dumps(raw()), encoding="utf-8")
    return path


def written(tmp_path: Path, **changes: Any) -> Path:
    """A changed task in a file."""
    path = tmp_path / "changed.json"
    path.write_text(json.dumps(raw(**changes)), encoding="utf-8")
    return path


def valid(text: str) -> dict[str, Any]:
    """The answer, held against its schema."""
    found: dict[str, Any] = json.loads(text)
    jsonschema.Draft202012Validator(json.loads(schemas.text("mix"))).validate(found)
    return found


def test_mix_json_has_weights_composition_scores_binding_limits_and_prices(run: Run, task: Path) -> None:
    """The published shape, and it adds up."""
    ran = run("mix", task, "--json")
    assert ran.code == 0, ran.err
    mix = valid(ran.out)["mix"]
    assert sum(w["kg"] for w in mix["weights"]) == pytest.approx(20.0)
    assert sum(w["lb"] for w in mix["weights"]) == pytest.approx(44.0925, abs=1e-3)
    assert mix["composition_percent"]["protein"]["low"] >= 18.0 - 1e-6
    assert len(mix["amino_acids"]["acids"]) == 10
    assert mix["amino_acids"]["limiting"] == "methionine"
    assert {"protein_min", "water_max"} <= {b["limit"] for b in mix["binding"]}
    assert {p["ingredient"] for p in mix["prices"]} == {i["name"] for i in raw()["ingredients"] if isinstance(i, dict)}
    assert mix["pollen"]["low"] < mix["pollen"]["grams_per_kg"] < mix["pollen"]["high"]


@pytest.mark.parametrize("aim", ["cheapest", "most protein", "as weighed", "use up"])
def test_every_aim_has_the_published_shape(run: Run, tmp_path: Path, aim: str) -> None:
    """One schema for all."""
    items = [{"name": "soy flour, defatted", "price_kg": 1.5, "amount_kg": 3, "stock_kg": 8},
             {"name": "egg white, dried", "price_kg": 12, "amount_kg": 0.4, "stock_kg": 2},
             {"name": "white sugar", "price_kg": 0.8, "amount_kg": 4.6, "bag_kg": 5}, {"name": "water", "amount_kg": 2},
             {"name": "rapeseed oil", "amount_kg": 0.3, "price_kg": 1.5}]  # fmt: skip
    ran = run("mix", written(tmp_path, aim=aim, ingredients=items, limits={"fat_min": 2}), "--json")
    assert ran.code == 0, ran.err
    assert valid(ran.out)["found"]


def test_no_mix_is_explained_and_ends_with_two(run: Run, tmp_path: Path) -> None:
    """Both the script and the reader learn what conflicts and what would help."""
    path = written(tmp_path, limits={"protein_min": 25, "sugar_min": 50, "water_min": 20})
    ran = run("mix", path, "--json")
    assert ran.code == 2
    found = valid(ran.out)
    assert not found["found"]
    assert found["cannot_hold_together"]
    assert found["smallest_change"]
    assert found["instead"]["found"]
    ran = run("mix", path)
    assert ran.code == 2
    assert "These cannot hold together" in ran.out
    assert "With that change" in ran.out
    assert "no mix meets all limits" in ran.err


def test_read_by_people_in_both_units(run: Run, task: Path) -> None:
    """Weights, shadow prices in words, price sensitivity, keeping, pollen, cautions."""
    metric, us = run("mix", task).out, run("mix", task, "--units", "us").out
    assert "white sugar" in metric
    for part in (
        "would save about",
        "stiff after about",
        "in the cold",
        "g protein and",
        "held against, adult workers, 1953",
        "USD a kg",
        "A fifth dearer",
        "falls short",
        "Softness",
        "g of pollen",
        "! dust:",
        "kg",
    ):
        assert part in metric, part
    for part in ("USD a lb", " lb ", " oz"):
        assert part in us, part


def test_book_for_scripts(run: Run) -> None:
    """Every ingredient with its source and ranges; what is not known has no value."""
    found = {one["name"]: one for one in json.loads(run("mix", "--book", "--json").out)}
    assert set(found) == set(pantry())
    soy, yeast = found["soy flour, defatted"], found["yeast, brewer's, dried"]
    assert (soy["id"], soy["per_100_g"]["met"]["value"]) == ("NDB 16117", 0.634)
    # 1.5 % of a protein of 50.716 % of 92.756 % dry matter (feed library of 2021)
    assert yeast["per_100_g"]["met"]["value"] == pytest.approx(0.015 * 0.50716 * 92.756, abs=1e-4)
    assert found["wheat gluten"]["per_100_g"]["met"]["value"] is None


def test_nothing_but_the_answer_on_standard_output(tmp_path: Path) -> None:
    """A task at which the solver of whole numbers prints a line of its own: scripts still get one object."""
    items = [{"name": "citric acid"}, {"name": "pea protein isolate", "price_kg": 3, "stock_kg": 30},
             {"name": "soy protein isolate", "price_kg": 0.5}, {"name": "wheat gluten", "price_lb": 12.3},
             {"name": "sunflower oil", "price_kg": 0}, {"name": "white sugar", "price_lb": 12.3},
             {"name": "water", "price_lb": 1.5, "stock_kg": 2, "bag_kg": 25, "max": 0}]  # fmt: skip
    path = tmp_path / "odd.json"
    path.write_text(json.dumps({"aim": "cheapest", "ingredients": items, "budget": 0}), encoding="utf-8")
    command = [sys.executable, "-m", "tideover.cli", "--books", str(tmp_path / "none.db"), "mix", str(path), "--json"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False)
    assert ran.returncode == 2, ran.stderr
    assert not valid(ran.stdout)["found"]


def test_need_is_named_with_its_kind_and_source(run: Run, tmp_path: Path) -> None:
    """A requirement, a pattern that is none, or the keeper's own with where he has it from."""
    for changes, kind, words in (
        ({}, "requirement", "de Groot 1953"),
        ({"requirement": "average pollen"}, "pattern", "not a requirement"),
        ({"need": {"met": 1.6, "source": "an article of 2021"}}, "typed in", "an article of 2021; de Groot 1953"),
    ):
        path = written(tmp_path, limits={"protein_min": 15, "score_min": 0.8}, **changes)
        found = valid(run("mix", path, "--json").out)
        assert found["requirement"]["kind"] == kind
        assert words in run("mix", path).out.replace("\n", " ")
    path = written(
        tmp_path, limits={"protein_min": 15, "score_min": 0.8}, need={"met": 1.6, "source": "an article of 2021"}
    )
    assert run("mix", path, "--pdf", tmp_path / "own.pdf").code == 0
    printed = " ".join(PdfReader(tmp_path / "own.pdf").pages[0].extract_text().split())
    assert "need your own (an article of 2021), after adult workers, 1953" in printed
    long = written(tmp_path, need={"met": 1.6, "source": "x" * 200})
    assert "up to 120" in run("mix", long).err


def test_toml_without_any_books(run: Run, tmp_path: Path) -> None:
    """No books are needed to mix, and none are made."""
    path = tmp_path / "patty.toml"
    path.write_text(
        'aim = "as weighed"\n[[ingredients]]\nname = "soy flour, defatted"\namount_oz = 8\n'
        '[[ingredients]]\nname = "white sugar"\namount_oz = 12\n[[ingredients]]\nname = "water"\namount_oz = 6\n',
        encoding="utf-8",
    )
    nowhere = tmp_path / "none.db"
    ran = run("--books", nowhere, "mix", path, "--json")
    assert ran.code == 0, ran.err
    assert valid(ran.out)["mix"]["batch"]["lb"] == pytest.approx(26 / 16)
    assert not nowhere.exists()


def test_own_ingredients_of_the_books_take_part(run: Run, task: Path, books: Path) -> None:
    """Kept with the settings, listed in the book, used in a mix."""
    with open_books(books) as opened:
        opened.put_settings({"ingredients": [{"name": "gift flour", "protein": 50, "fat": 2, "sugar": 10, "water": 8,
                                              "ash": 5, "fibre": 10, "lactose": 0, "harmful": 0, "salt": 0,
                                              "like": "egg white, dried"}]})  # fmt: skip
    changed = raw()
    changed["ingredients"].append({"name": "gift flour", "price_kg": 0.01})
    task.write_text(json.dumps(changed), encoding="utf-8")
    found = valid(run("mix", task, "--json").out)
    assert "gift flour" in [w["ingredient"] for w in found["mix"]["weights"]]
    assert "gift flour" in run("mix", "--book").out
    assert run("settings").code == 0


def test_use_moves_the_settings_of_the_calls(run: Run, task: Path, books: Path) -> None:
    """Protein that counts, pollen share and price, and nothing else."""
    with open_books(books) as opened:
        before = opened.settings()
    assert run("mix", task, "--use").code == 0
    with open_books(books) as opened:
        after = opened.settings()
    assert after["patty_protein"] == pytest.approx(18.0, abs=0.05)
    assert set(after) - set(before) == {
        "patty_protein", "patty_pollen_share", "patty_sugar", "patty_hard_days", "patty_price"
    }  # fmt: skip
    assert after["patty_sugar"] >= 40.0


def test_keep_writes_the_batch_in_the_books(run: Run, task: Path, books: Path) -> None:
    """An entry with what the calls and the cold box need, and how to take it back; no such yard is told."""
    with open_books(books) as opened:
        yard = opened.yards()[0].id
    ran = run("mix", task, "--keep", yard, "--label", "aug 1")
    assert ran.code == 0, ran.err
    assert "Batch AUG-1 is in the books" in ran.out
    with open_books(books) as opened:
        (entry,) = opened.entries(kind="batch")
    assert f"undo --entry {entry.id}" in ran.out
    assert (entry.yard, entry.values["weight"], entry.values["origin"]) == (yard, 20000.0, "mixed")
    assert entry.values["counted_protein"] == pytest.approx(18.0, abs=0.05)
    assert run("mix", task, "--keep", "nowhere").code == 2


@pytest.mark.parametrize(("units", "paper"), [("metric", "a4"), ("us", "letter")])
def test_batch_sheet_is_printed(run: Run, task: Path, tmp_path: Path, units: str, paper: str) -> None:
    """Weights, steps, cautions and a label for each piece; the same bytes twice."""
    one, two = tmp_path / "a.pdf", tmp_path / "b.pdf"
    for path in (one, two):
        assert run("mix", task, "--pdf", path, "--units", units, "--paper", paper).code == 0
    assert one.read_bytes() == two.read_bytes()
    pages = [" ".join(p.extract_text().split()) for p in PdfReader(one).pages]
    whole = " ".join(pages)
    for word in (
        "soy flour, defatted",
        "Mix, in this order",
        "Before you mix",
        "irradiated",
        "HMF",
        "mask",
        "pollen",
        "Softness",
    ):
        assert word in whole, word
    assert whole.count("feed for bees, not for people") == 44
    assert ("9.4" in pages[0] or "8." in pages[0]) if units == "metric" else " lb " in pages[0]


@pytest.mark.parametrize(
    ("content", "says"),
    [("", "is empty"), ("{", "not JSON"), ("a = [", "not TOML"), ('{"ingredients": ["watr"]}', "did you mean 'water'")],
)
def test_bad_file_is_one_sentence(run: Run, tmp_path: Path, content: str, says: str) -> None:
    """Nothing is printed on stdout, and the exit code is 2."""
    path = tmp_path / "bad.toml"
    path.write_text(content, encoding="utf-8")
    ran = run("mix", path, "--json")
    assert ran.code == 2
    assert ran.out == ""
    assert says in ran.err
    assert run("mix", tmp_path / "missing.toml").code == 2
    assert "--book" in run("mix").err


def test_labels_hold_every_ingredient_and_the_pieces_code(run: Run, tmp_path: Path) -> None:
    """Fifteen ingredients on a label: set closer, never cut; each label has the code that the books know the piece by."""
    names = [n for n, one in pantry().items() if one.mind != "health"][:15]
    items = [{"name": n, "amount_kg": 0.2} for n in names]
    path = written(tmp_path, name="Odds and ends", aim="as weighed", ingredients=items, piece_kg=0.5)
    assert run("mix", path, "--pdf", tmp_path / "a.pdf").code == 0
    whole = " ".join(" ".join(p.extract_text() for p in PdfReader(tmp_path / "a.pdf").pages).split())
    for number in range(1, 7):
        assert f"ODDS-AND-ENDS-{number}" in whole
    assert whole.count("Off by the pull-by") == 6
    for name in names:
        assert whole.count(name) >= 7, name


def test_every_standing_caution_is_on_command_sheet_and_file(run: Run, task: Path, tmp_path: Path) -> None:
    """Word for word, wherever a mix is read, and before the order of mixing."""
    flat = " ".join(run("mix", task, "--pdf", tmp_path / "a.pdf").out.split())
    printed = " ".join(" ".join(p.extract_text() for p in PdfReader(tmp_path / "a.pdf").pages).split())
    script = json.loads(run("mix", task, "--json").out)["mix"]["cautions"]
    for one in ALWAYS:
        for where in (flat, printed):
            assert one.text in where, one.subject
            assert where.index(one.text) < where.index("Wash hands"), one.subject
        assert {"subject": one.subject, "text": one.text, "source": one.source, "known": one.known} in script
