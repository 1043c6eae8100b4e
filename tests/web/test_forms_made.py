"""Forms made from the table of kinds."""

from __future__ import annotations

import pytest

from tideover.records import ValuesError, parse_values
from tideover.records.kinds import KINDS, LOOK
from tideover.web import forms

WRITTEN_BY_HAND = [k for k in KINDS if k not in ("confirm", "withdraw")]


@pytest.mark.parametrize("name", WRITTEN_BY_HAND)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_every_field_of_every_kind_is_asked_once(name: str, units: str) -> None:
    """Nothing a file can hold is missing from the form, and nothing is asked twice."""
    kind = KINDS[name]
    fields = {f.name: forms.blank(kind, f, units, ("deep", "deep")) for f in kind.fields}  # type: ignore[arg-type]
    asked = [f.base for s in forms.sections(kind, fields) for f in s.fields]
    assert sorted(asked) == sorted(f.name for f in kind.fields)
    assert len({f.name for f in fields.values()}) == len(fields)


def test_not_looked_is_the_first_choice_and_differs_from_no() -> None:
    """Every yes-or-no of a look starts at 'not looked', which sends nothing."""
    for f in LOOK.fields:
        if f.type != "word":
            continue
        made = forms.blank(LOOK, f, "metric", ())
        assert made.choices[0] == ("", "not looked")
        assert not made.filled
        assert [w for w, _ in made.choices[1:]] == [w for w in f.words if w != "not looked"]


def problems(kind: str, raw: dict[str, str]) -> list[str]:
    """What the validator has against it."""
    try:
        parse_values(kind, raw)
    except ValuesError as e:
        return [p.what for p in e.problems]
    return []


@pytest.mark.parametrize("name", WRITTEN_BY_HAND)
@pytest.mark.parametrize("units", ["metric", "us"])
def test_ends_of_every_range_pass_the_validator(name: str, units: str) -> None:
    """What a stepper can reach, the books accept, in either system of units."""
    kind = KINDS[name]
    for f in kind.fields:
        if f.type not in ("number", "count"):
            continue
        made = forms.blank(kind, f, units, ())  # type: ignore[arg-type]
        for end in (made.low, made.high):
            wrong = [what for what in problems(name, {made.name: end}) if not what.endswith("is missing")]
            assert wrong == [], made.name


def test_stored_value_comes_back_the_same() -> None:
    """A correction starts from what the books hold: showing and reading again changes nothing."""
    values = parse_values("look", {"seams": "8+4.5", "heft": "light", "shade_temp_f": "100", "eggs": "no"})
    fields = {f.name: forms.blank(LOOK, f, "us", ("deep", "medium")) for f in LOOK.fields}
    filled = {f.name: forms.stored(fields[f.name], f, values.get(f.name), "us") for f in LOOK.fields}
    again = parse_values("look", forms.raw(filled), "us")
    assert again["shade_temp"] == pytest.approx(values["shade_temp"])
    assert {k: v for k, v in again.items() if k != "shade_temp"} == {
        k: v for k, v in values.items() if k != "shade_temp"
    }


def test_decimal_comma_of_a_number_pad_is_understood_and_a_thousands_comma_is_not() -> None:
    """'4,5' can only be four and a half; '1,500' may mean two things and is left for the validator."""
    field = forms.blank(LOOK, LOOK.fields[1], "metric", ("deep", "medium"))
    typed = forms.typed(field, {"seams__0": "8", "seams__1": "4,5"})
    assert forms.raw({"seams": typed}) == {"seams": "8+4.5"}
    weight = next(f for f in LOOK.fields if f.name == "hive_weight")
    made = forms.typed(forms.blank(LOOK, weight, "us", ()), {"hive_weight_lb": "1,500"})
    assert forms.raw({"hive_weight": made}) == {"hive_weight_lb": "1,500"}


def test_folded_section_opens_when_something_in_it_is_filled() -> None:
    """Nothing typed is ever hidden."""
    fields = {f.name: forms.blank(LOOK, f, "metric", ()) for f in LOOK.fields}
    assert [s.open for s in forms.sections(LOOK, fields)] == [True, False, False]
    fields["eggs"] = forms.typed(fields["eggs"], {"eggs": "no"})
    assert [s.open for s in forms.sections(LOOK, fields)] == [True, True, False]


def test_unknown_kind_names_the_known_ones() -> None:
    """An address that is no kind says which there are; the two machine kinds are no forms."""
    for wrong in ("wash", "withdraw", "confirm"):
        with pytest.raises(KeyError, match="mite-wash"):
            forms.kind_of(wrong)
    assert forms.kind_of("mite-wash").name == "mite wash"
