"""Values, units and times at the border."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.records import RecordsError, ValuesError, parse_values
from tideover.records.kinds import KINDS, UNITS
from tideover.records.times import TimeError, parse_time
from tideover.records.units import CANONICAL, NAMES, PREFERRED, SIGNS, US_SUFFIXES, from_units, to_units, unit_for
from tideover.records.values import check_values, column_map, columns_of

PINT = {
    "c": "degC", "f": "degF", "g": "gram", "kg": "kilogram", "lb": "pound", "oz": "ounce", "mm": "millimeter",
    "in": "inch", "ms": "meter/second", "kmh": "kilometer/hour", "mph": "mile/hour", "m": "meter", "ft": "foot",
    "l": "liter", "gal": "US_liquid_gallon", "qt": "US_liquid_quart",
}  # fmt: skip
"""Our suffixes in the names of the pint library, the reference for every factor."""

UNIT_CASES = [(d, s) for d, table in UNITS.items() for s in table]


@pytest.mark.parametrize(("dimension", "suffix"), UNIT_CASES)
def test_units_agree_with_reference_library(dimension: str, suffix: str) -> None:
    """Every unit converts as in pint 0.25 (general unit library), there and back."""
    ureg = pint.UnitRegistry()
    for x in (-40.0, 0.0, 1.0, 98.6, 1234.5):
        expected = ureg.Quantity(x, PINT[suffix]).to(PINT[CANONICAL[dimension]]).magnitude
        assert from_units(x, dimension, suffix) == pytest.approx(expected, rel=1e-12, abs=1e-10)
        assert to_units(expected, dimension, suffix) == pytest.approx(x, rel=1e-12, abs=1e-10)


@given(st.sampled_from(UNIT_CASES), st.floats(-1e6, 1e6))
def test_units_there_and_back(case: tuple[str, str], x: float) -> None:
    """Converting to the unit kept and back gives the number to rounding."""
    assert to_units(from_units(x, *case), *case) == pytest.approx(x, rel=1e-12, abs=1e-9)


def test_units_tables_are_whole() -> None:
    """Every unit has a sign and a name, every dimension a unit kept and one in each system."""
    suffixes = {s for t in UNITS.values() for s in t}
    assert suffixes == set(SIGNS) == set(NAMES) == set(PINT)
    assert suffixes >= US_SUFFIXES
    for dimension, table in UNITS.items():
        assert table[CANONICAL[dimension]] == (1.0, 0.0)
        assert unit_for(dimension, "us") in US_SUFFIXES & set(table)
        assert PREFERRED["metric"][dimension] in set(table) - US_SUFFIXES
    with pytest.raises(RecordsError, match="use one of c, f"):
        from_units(1, "temperature", "k")


def test_parse_bare_names_take_the_units_of_the_form() -> None:
    """A form's bare field is read in the usual unit of its system; a name with a unit says its own."""
    raw = {"weight": "0.5", "protein": "", "place": "Top bars over brood"}
    assert parse_values("laid on", raw, "us") == {"weight": 226.796185, "place": "top bars over brood"}
    assert parse_values("laid on", raw | {"weight": "227"}, "metric")["weight"] == 227.0
    assert parse_values("laid on", {"weight_oz": "8"}, "metric")["weight"] == pytest.approx(226.796185)


def test_parse_all_problems_at_once() -> None:
    """Every bad field is named, with its column and value."""
    with pytest.raises(ValuesError) as e:
        parse_values("entrance count", {"minutes": "0", "bees_in": "x", "tempo": "3"})
    assert [(p.column, p.value) for p in e.value.problems] == [
        ("minutes", "0"),
        ("bees_in", "x"),
        ("tempo", "3"),
        ("with_pollen", ""),
    ]
    with pytest.raises(RecordsError, match="not a kind"):
        parse_values("lok", {})


@pytest.mark.parametrize(
    ("column", "limit"), [("shade_temp_f", "140"), ("shade_temp_f", "-40"), ("hive_weight_lb", "661.3867865")]
)
def test_parse_limits_hold_in_every_unit(column: str, limit: str) -> None:
    """A limit may be reached exactly in another unit (60 C is 140 F, 300 kg is 661.3867865 lb) and not passed."""
    name = column.rsplit("_", 1)[0]
    field = next(f for f in KINDS["look"].fields if f.name == name)
    value = parse_values("look", {column: limit})[name]
    assert isinstance(value, float)
    assert field.low is not None
    assert field.high is not None
    assert field.low <= value <= field.high
    beyond = str(float(limit) + (-0.1 if limit.startswith("-") else 0.1))
    with pytest.raises(ValuesError, match="what is possible"):
        parse_values("look", {column: beyond})


def test_parse_everything_a_field_may_be() -> None:
    """Each word of each field, and the lowest and highest of each number, can be written and checks again."""
    for kind in KINDS.values():
        for f in kind.fields:
            column = next(iter(columns_of(f)))
            for cell in [*f.words, *(f"{x:g}" for x in (f.low, f.high) if x is not None and not f.words)]:
                with_others = {column: cell} | {
                    next(iter(columns_of(o))): o.words[0] if o.words else f"{o.low:g}" if o.low is not None else "plain"
                    for o in kind.fields
                    if o.required and o.name != f.name
                }
                if f.name in ("with_pollen", "bees_in"):
                    with_others |= {"bees_in": "20000"}
                if f.name in ("temp_min", "temp_max"):
                    with_others |= {"temp_max_c": "60", "temp_min_c": "-70"}
                values = parse_values(kind.name, with_others)
                assert check_values(kind.name, values) == values


def test_columns_are_unambiguous() -> None:
    """No column name belongs to two fields of a kind."""
    for kind in KINDS.values():
        assert len(column_map(kind)) == sum(len(columns_of(f)) for f in kind.fields)


LA = ZoneInfo("America/Los_Angeles")


@pytest.mark.parametrize(
    ("text", "utc"),
    [
        ("2026-07-14T08:30", datetime(2026, 7, 14, 15, 30)),
        ("2026-07-14 8:30", datetime(2026, 7, 14, 15, 30)),
        ("2026-01-14T08:30:15.25", datetime(2026, 1, 14, 16, 30, 15, 250000)),
        ("2026-07-14T08:30Z", datetime(2026, 7, 14, 8, 30)),
        ("2026-07-14T08:30+09:30", datetime(2026, 7, 13, 23, 0)),
        ("2026-07-14T08:30-0700", datetime(2026, 7, 14, 15, 30)),
        ("2026-07-14", datetime(2026, 7, 14, 19, 0)),
        ("2024-02-29", datetime(2024, 2, 29, 20, 0)),
    ],
)
def test_times_are_read(text: str, utc: datetime) -> None:
    """Times without a zone are the yard's (there UTC-7 in summer, UTC-8 in winter), others their own."""
    assert parse_time(text, LA).at == utc.replace(tzinfo=UTC)


@given(st.datetimes(datetime(1900, 1, 2), datetime(2099, 12, 30)), st.integers(-14 * 60, 14 * 60))
def test_times_written_out_are_read_back(at: datetime, minutes: int) -> None:
    """Any time written with its distance from UTC is read back exactly."""
    from datetime import timezone

    aware = at.replace(tzinfo=timezone(timedelta(minutes=minutes)))
    read = parse_time(aware.isoformat(), LA)
    assert (read.at, read.at.utcoffset()) == (aware, aware.utcoffset())


def test_times_twice_and_never() -> None:
    """In the hour the clocks show twice the first is taken and said so; in the hour they skip nothing is taken."""
    read = parse_time("2026-11-01T01:30", LA)
    assert (read.at.astimezone(UTC), read.twice) == (datetime(2026, 11, 1, 8, 30, tzinfo=UTC), True)
    with pytest.raises(TimeError, match="clocks skipped 02:30"):
        parse_time("2026-03-08T02:30", LA)
