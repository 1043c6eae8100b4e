"""The reader refuses, with a sentence each, every kind of fault a row can have."""

from __future__ import annotations

from pathlib import Path

import pytest

from tideover.figures import Book, FigureError, UnknownFigureError, load

GOOD = {
    "key": '"brood.egg_days"',
    "says": '"egg to hatching"',
    "value": "3.0",
    "low": "2.5",
    "high": "3.5",
    "unit": '"d"',
    "dist": '"normal"',
    "sources": '["winston1987"]',
    "known": '"from memory"',
    "confidence": '"high"',
}
SOURCE = '[[source]]\nkey = "winston1987"\ntext = "Winston 1987, The Biology of the Honey Bee"\n'


def written(folder: Path, *rows: dict[str, str], sources: str = SOURCE, name: str = "brood.toml") -> Book:
    """Write one subject file and read the folder."""
    body = "".join("[[row]]\n" + "".join(f"{k} = {v}\n" for k, v in row.items()) for row in rows)
    (folder / name).write_text(sources + body, encoding="utf-8")
    return load(folder)


def problems(folder: Path, *rows: dict[str, str], sources: str = SOURCE) -> tuple[str, ...]:
    """The sentences with which the reader refuses these rows."""
    with pytest.raises(FigureError) as caught:
        written(folder, *rows, sources=sources)
    return caught.value.problems


def changed(**fields: str | None) -> dict[str, str]:
    """The good row with some fields set, or left out where ``None``."""
    row = {**GOOD, **{k.rstrip("_"): v for k, v in fields.items() if v is not None}}
    return {k: v for k, v in row.items() if fields.get(k, "") is not None}


def test_load_reads_a_good_row_whole(tmp_path: Path) -> None:
    """A row comes back with its numbers, unit and source as written."""
    row = written(tmp_path, GOOD).row("brood.egg_days")
    assert (row.value, row.low, row.high, row.unit, row.dist) == (3.0, 2.5, 3.5, "d", "normal")
    assert (row.sources, row.known, row.confidence, row.subject) == (("winston1987",), "from memory", "high", "brood")
    assert row.shown == "3 (2.5 to 3.5) d"


def test_load_takes_whole_numbers_as_numbers(tmp_path: Path) -> None:
    """``value = 3`` is a number like ``3.0``."""
    value = written(tmp_path, changed(value="3")).value("brood.egg_days")
    assert value == 3.0
    assert isinstance(value, float)


@pytest.mark.parametrize(
    ("fields", "sentence"),
    [
        ({"sources": '["winston1988"]'}, "brood.egg_days: source 'winston1988' is not in the book"),
        ({"sources": "[]"}, "brood.egg_days: field 'sources' is missing"),
        ({"sources": '"winston1987"'}, "wanted a list of keys"),
        ({"says": None}, "brood.egg_days: field 'says' is missing"),
        ({"known": None}, "brood.egg_days: field 'known' is missing"),
        ({"confidence": None}, "brood.egg_days: field 'confidence' is missing"),
        ({"known": '"heard"'}, "known is 'heard', wanted one of: read, read abstract"),
        ({"confidence": '"sure"'}, "confidence is 'sure', wanted one of: high, medium, low"),
        ({"dist": '"gamma"'}, "dist is 'gamma', wanted one of: fixed, normal"),
        ({"unit": None}, "brood.egg_days: a number needs a unit"),
        ({"unit": '" "'}, "brood.egg_days: a number needs a unit"),
        ({"value": None, "low": None, "high": None, "dist": None}, "has neither a number nor text"),
        ({"value": '"three"'}, "field 'value' is 'three', wanted a number"),
        ({"value": "true"}, "field 'value' is True, wanted a number"),
        ({"value": "nan"}, "field 'value' is nan, wanted a number"),
        ({"low": "4.0", "high": "5.0"}, "wanted low <= value <= high, got 4.0, 3.0, 5.0"),
        ({"low": "3.5", "high": "2.5", "value": None, "dist": '"uniform"'}, "wanted low <= value <= high"),
        ({"high": None}, "brood.egg_days: a range needs both low and high"),
        ({"high": None, "low": None}, "brood.egg_days: shape normal needs low and high"),
        ({"value": None}, "brood.egg_days: shape normal needs a value"),
        ({"dist": '"lognormal"', "low": "0.0"}, "a lognormal shape needs positive low and value"),
        ({"low": "3.0", "high": "3.0"}, "shape normal needs low < high"),
        ({"min": "5.0", "max": "4.0"}, "hard limits need min < max, got 5.0, 4.0"),
        ({"min": "3.2"}, "value 3.0 lies outside its hard limits"),
        ({"check": "true"}, "a check must say its kind"),
        ({"check": "true", "kind": '"guessed"'}, "kind is 'guessed', wanted one of: arithmetic, observed"),
        ({"check": "true", "kind": '"observed"', "confidence": '"low"'}, "low confidence must not be a check"),
        ({"tolerance": "0.1"}, "kind and tolerance belong to checks"),
        ({"check": "true", "kind": '"observed"', "tolerance": "-0.1"}, "tolerance is -0.1, wanted 0 or more"),
        ({"see": '["brood.open_days"]'}, "refers to 'brood.open_days', which is not in the book"),
        ({"adjustable": '"yes"'}, "field 'adjustable' is 'yes', wanted true or false"),
        ({"vaule": "3.0"}, "brood.egg_days: unknown field 'vaule'"),
        ({"key": '"Egg days"'}, "row key 'Egg days' must be like 'subject.name'"),
        ({"key": '"adults.egg_days"'}, "stands in brood.toml, but the first part of the key must be the file's name"),
    ],
)
def test_load_refuses_a_faulty_row_with_one_sentence(
    tmp_path: Path, fields: dict[str, str | None], sentence: str
) -> None:
    """Each fault is named, with the row it stands in."""
    said = problems(tmp_path, changed(**fields))
    assert len(said) == 1
    assert sentence in said[0]
    assert said[0].endswith(".")


def test_load_lists_every_fault_at_once(tmp_path: Path) -> None:
    """Three faulty rows give three sentences, not the first only."""
    rows = [changed(key=f'"brood.row_{i}"', unit=None) for i in range(3)]
    assert len(problems(tmp_path, *rows)) == 3


def test_load_refuses_the_same_row_twice(tmp_path: Path) -> None:
    """A second row of the same key is a fault, also across files."""
    assert "is given twice" in problems(tmp_path, GOOD, GOOD)[0]


@pytest.mark.parametrize(
    ("source", "sentence"),
    [
        ('[[source]]\nkey = "A b"\ntext = "x"\n', "source key 'A b' must be lower-case"),
        ('[[source]]\nkey = "a"\ntext = ""\n', "source a needs text"),
        ('[[source]]\nkey = "a"\ntext = "x"\nurl = "y"\n', "source a has unknown field 'url'"),
        (SOURCE, "source winston1987 is given twice"),
        ("[note]\nx = 1\n", "unknown table [note]"),
        ("[source]\nkey = 1\n", "not readable as TOML"),
    ],
)
def test_load_refuses_a_faulty_source(tmp_path: Path, source: str, sentence: str) -> None:
    """Sources are held to the same strictness."""
    said = problems(tmp_path, GOOD, sources=SOURCE + source)
    assert any(sentence in line for line in said)


def test_load_refuses_row_written_as_one_table(tmp_path: Path) -> None:
    """``[row]`` instead of ``[[row]]`` is explained."""
    (tmp_path / "brood.toml").write_text('[row]\nkey = "brood.x"\n', encoding="utf-8")
    with pytest.raises(FigureError, match=r"must be written as \[\[row\]\] tables"):
        load(tmp_path)


def test_load_refuses_what_is_not_utf8(tmp_path: Path) -> None:
    """A file in another encoding is named, not half read."""
    (tmp_path / "brood.toml").write_bytes(b'[[row]]\nsays = "\xe9"\n')
    with pytest.raises(FigureError, match=r"brood\.toml: not readable as TOML in UTF-8"):
        load(tmp_path)


def test_load_refuses_an_empty_folder(tmp_path: Path) -> None:
    """No files is a fault, not an empty book."""
    with pytest.raises(FigureError, match="No figures found"):
        load(tmp_path)


def test_row_names_near_misses(tmp_path: Path) -> None:
    """A misspelt key is a ``KeyError`` that names what was probably meant."""
    book = written(tmp_path, GOOD)
    with pytest.raises(UnknownFigureError) as caught:
        book.row("brood.eggs_day")
    assert isinstance(caught.value, KeyError)
    assert str(caught.value) == "No figure is called 'brood.eggs_day'. Did you mean brood.egg_days?"
    with pytest.raises(UnknownFigureError, match="No source is called 'winston'"):
        book.source("winston")


def test_value_refuses_words_and_bare_ranges(tmp_path: Path) -> None:
    """Asking a number of a row that has none says what it has instead."""
    words = changed(key='"brood.rule"', value=None, low=None, high=None, unit=None, dist=None, text='"do this"')
    span = changed(key='"brood.span"', value=None, dist=None)
    book = written(tmp_path, words, span)
    assert book.row("brood.rule").shown == "do this"
    assert book.row("brood.span").shown == "2.5 to 3.5 d"
    with pytest.raises(FigureError, match=r"brood\.rule is words and has no single value"):
        book.value("brood.rule")
    with pytest.raises(FigureError, match=r"brood\.span is only a range"):
        book.value("brood.span")
