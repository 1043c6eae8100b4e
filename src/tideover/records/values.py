"""Raw text from a file or form becomes the values of an entry, or a list of what is wrong."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from datetime import date
from difflib import get_close_matches
from functools import cache
from types import MappingProxyType
from typing import Final

from tideover.evidence.seen import Value
from tideover.evidence.words import COMB_CONTENTS
from tideover.records.entries import Units, parse_boxes, tidy_uuid
from tideover.records.errors import Problem, RecordsError, ValuesError, shown
from tideover.records.kinds import KINDS, UNITS, Field, Kind
from tideover.records.units import CANONICAL, NAMES, SIGNS, from_units, to_units, unit_for

_NUMBER: Final = re.compile(r"[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?\Z", re.ASCII)
_THOUSANDS: Final = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?\Z", re.ASCII)
_DECIMAL_COMMA: Final = re.compile(r"[+-]?\d+,\d+\Z", re.ASCII)
_FRACTION: Final = re.compile(r"(?:(\d+)\s+)?(\d+)/(\d+)\Z", re.ASCII)
_WITH_UNIT: Final = re.compile(r"([+-]?[\d.,]+)\s*[°A-Za-z%/]+\Z")

_LABEL: Final = re.compile(r"[A-Z0-9]+(?:-[A-Z0-9]+)*\Z", re.ASCII)
_GROUPS: Final = (
    ("with_pollen", "bees_in"),
    ("temp_min", "temp_max"),
    ("counted_protein", "protein"),
    ("worth_low", "worth"),
    ("worth", "worth_high"),
)
_SLACK: Final = 1e-9
"""Room for rounding when a limit is converted between units."""


class _WrongError(Exception):
    """One thing wrong with one value: what, and the remedy."""

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(what)
        self.what, self.remedy = what, remedy


def kind_named(name: str) -> Kind:
    """Return the kind with this name; RecordsError names near ones."""
    found = KINDS.get(name)
    if found is None:
        raise RecordsError(f"{name!r} is not a kind of entry; use {near(name, KINDS)}")
    return found


def a_(name: str) -> str:
    """Return a name with its article: a look, an event."""
    return f"{'an' if name[:1] in 'aeiou' else 'a'} {name}"


def near(text: str, known: Iterable[str], most: int = 12) -> str:
    """Return 'perhaps X' for a near name, else the known names."""
    names = list(known)
    folded = {n.lower(): n for n in names}
    close = get_close_matches(text.strip().lower(), folded, 3, 0.6)
    if close:
        return "perhaps " + " or ".join(repr(folded[c]) for c in close)
    if len(names) > most:
        return f"one of the {len(names)} that are known (for example {', '.join(names[:3])})"
    return "one of: " + ", ".join(names) if names else "a known one (there is none yet)"


def columns_of(field: Field) -> dict[str, str | None]:
    """Return the column names a field may have, each with its unit suffix (None: no unit)."""
    if field.dimension is None:
        return {field.name: None}
    canonical = CANONICAL[field.dimension]
    suffixes = [canonical, *(s for s in UNITS[field.dimension] if s != canonical)]
    return {f"{field.name}_{s}": s for s in suffixes}


def column_map(kind: Kind) -> Mapping[str, tuple[Field, str | None]]:
    """Return every column a kind may have, with its field and unit suffix."""
    return _columns_by_kind(kind.name)


@cache  # asked for with every row of a file
def _columns_by_kind(name: str) -> Mapping[str, tuple[Field, str | None]]:
    return MappingProxyType({c: (f, s) for f in KINDS[name].fields for c, s in columns_of(f).items()})


def parse_number(text: str, example: float = 1.5) -> float:
    """Read a plain number; raise ``RecordsError`` saying what is wrong and how to write it."""
    try:
        return _number(text, example)
    except _WrongError as e:
        raise RecordsError(f"{e.what}; {e.remedy}") from None


def _number(text: str, example: float = 1.5) -> float:
    t = text.strip()
    if _NUMBER.match(t):
        value = float(t)
        if not math.isfinite(value):
            raise _WrongError("the number is too large to be meant", "correct it or leave the cell empty")
        return value
    if _THOUSANDS.match(t) and not re.match(r"[+-]?0,", t):
        plain, point = t.replace(",", ""), t.replace(",", ".")
        remedy = f"write {plain} (a comma never groups thousands here)"
        if t.count(",") == 1 and "." not in t:
            remedy += f", or {point} if a decimal comma was meant"
        raise _WrongError("the comma makes the number ambiguous", remedy)
    if _DECIMAL_COMMA.match(t):
        raise _WrongError("this has a decimal comma", f"write it with a point: {t.replace(',', '.')}")
    if t.lower().lstrip("+-") in ("nan", "inf", "infinity"):
        raise _WrongError("this is not a number", "leave the cell empty where nothing was measured")
    if t[:1] in "−–" and _NUMBER.match(t[1:]):
        raise _WrongError("the minus sign is a dash", f"write -{t[1:]} with the minus of the keyboard")
    fraction = _FRACTION.match(t)
    if fraction and int(fraction[3]):
        value = int(fraction[1] or 0) + int(fraction[2]) / int(fraction[3])
        raise _WrongError(
            f"this is a fraction (it reads as {value:g})", f"write one decimal number with a point, such as {example:g}"
        )
    with_unit = _WITH_UNIT.match(t)
    if with_unit:
        raise _WrongError(
            "the cell holds a unit as well",
            f"write {with_unit[1]} alone; the unit stands at the end of the column name",
        )
    raise _WrongError("this is not a number", f"write a number such as {example:g}, or leave the cell empty")


def _limits(field: Field, suffix: str | None) -> str:
    def say(x: float) -> str:
        y = to_units(x, field.dimension, suffix) if field.dimension and suffix else x
        return f"{round(y, 2):g}"

    unit = f" {SIGNS[suffix]}" if suffix else ""
    low = say(field.low) if field.low is not None else None
    high = say(field.high) if field.high is not None else None
    if low is not None and high is not None:
        return f"{low} to {high}{unit}"
    return f"at least {low}{unit}" if low is not None else f"at most {high}{unit}" if high is not None else "any number"


def _in_range(field: Field, value: float, suffix: str | None, entered: float) -> float:
    """Return ``value`` (canonical), moved onto a limit it misses by rounding only."""
    if not math.isfinite(value):
        raise _WrongError("this is not a number", "leave it out where nothing was measured")
    for limit, below in ((field.low, True), (field.high, False)):
        if limit is None:
            continue
        over = limit - value if below else value - limit
        if over > _SLACK * max(1.0, abs(limit)):
            raise _WrongError(*_out_of_range(field, value, suffix, entered, below))
        if over > 0:
            value = float(limit)
    if field.step and abs(value / field.step - round(value / field.step)) > 1e-6:
        low = math.floor(value / field.step) * field.step
        raise _WrongError(
            f"{entered:g} is finer than {field.says.split(',')[0]} can be read (steps of {field.step:g})",
            f"write {low:g} or {low + field.step:g}",
        )
    return value


def _out_of_range(field: Field, value: float, suffix: str | None, entered: float, below: bool) -> tuple[str, str]:
    if below and field.low == 0:
        what = f"{entered:g} is negative"
    else:
        what = f"{entered:g} is {'below' if below else 'above'} what is possible"
    what += f" for {field.name.replace('_', ' ')} ({field.says}): {_limits(field, suffix)}"
    remedy = "correct the number, or leave it empty if it was not looked at"
    if field.dimension == "temperature" and suffix == "c" and not below:
        as_c = from_units(entered, "temperature", "f")
        if field.high is None or as_c <= field.high:
            remedy = f"if this is Fahrenheit ({as_c:.1f} °C), put it in a column named {field.name}_f"
    return what, remedy


def _count(field: Field, raw: object) -> int:
    if isinstance(raw, bool) or not isinstance(raw, (int, float, str)):
        raise _WrongError("this is not a count", "write a whole number")
    value = _number(raw, 12) if isinstance(raw, str) else float(raw)
    if not math.isfinite(value) or value != int(value):
        raise _WrongError(f"{value:g} is a fraction of a count", "write a whole number of what was counted")
    return int(_in_range(field, float(int(value)), None, value))


def _plain(field: Field, raw: object, suffix: str | None) -> float:
    example = field.step * 2 if field.step else 1.5
    if isinstance(raw, bool) or not isinstance(raw, (int, float, str)):
        raise _WrongError("this is not a number", f"write a number such as {example:g}")
    try:
        entered = _number(raw, example) if isinstance(raw, str) else float(raw)
    except _WrongError as e:
        if "fraction" in e.what:
            raise _WrongError(e.what, f"{e.remedy}, from {_limits(field, suffix)} ({field.says})") from None
        raise
    except OverflowError:
        raise _WrongError("the number is too large to be meant", "correct it") from None
    value = from_units(entered, field.dimension, suffix) if field.dimension and suffix else entered
    return _in_range(field, value, suffix, entered)


def _list(field: Field, raw: object) -> tuple[float, ...]:
    if isinstance(raw, str):
        parts: list[object] = list(raw.split("+"))
    elif isinstance(raw, (list, tuple)):
        parts = list(raw)
    else:
        parts = [raw]
    if not parts or any(isinstance(p, str) and not p.strip() for p in parts):
        raise _WrongError(
            "a box is missing in the list", "write one number per box, bottom box first, joined by +, such as 8+4.5"
        )
    if len(parts) > 12:
        raise _WrongError(f"this lists {len(parts)} boxes", "write at most 12, bottom box first")
    return tuple(_plain(field, p, None) for p in parts)


def _word(field: Field, raw: object) -> str:
    if not isinstance(raw, str):
        raise _WrongError("this is not one of the words", "use one of: " + ", ".join(field.words))
    text = " ".join(raw.strip().lower().replace("_", " ").split())
    if text in field.words:
        return text
    raise _WrongError(f"this is not a word for {field.name.replace('_', ' ')}", f"use {near(text, field.words, 30)}")


def _text(field: Field, raw: object) -> str:
    if not isinstance(raw, str):
        raise _WrongError("this is not text", "write text")
    text = raw.strip()
    if len(text) > field.longest:
        more = " and put the rest in the note" if field.longest >= 500 else ""
        raise _WrongError(f"the text has {len(text)} letters", f"shorten it to {field.longest}{more}")
    if field.name in ("batch", "piece"):
        text = text.upper()
        if not _LABEL.match(text):
            raise _WrongError("this cannot be a label", "use letters, digits and single dashes, such as B12 or B12-3")
    if any(ord(c) < 32 for c in text):
        raise _WrongError("the text has a line break, tab or control character in it", "write it in one line")
    try:
        if field.name == "entry":
            return tidy_uuid(text)
        if field.name == "box":
            parse_boxes(text)
    except RecordsError as e:
        raise _WrongError("this cannot be read", str(e)) from None
    return text


def _date(field: Field, raw: object) -> str:
    try:
        return date.fromisoformat(str(raw).strip()).isoformat()
    except ValueError:
        raise _WrongError("this is not a date", "write year-month-day, such as 2026-07-14") from None


_READERS: Final[Mapping[str, Callable[[Field, object], Value]]] = {
    "count": _count,
    "list": _list,
    "word": _word,
    "text": _text,
    "date": _date,
}


def read_field(field: Field, raw: object, suffix: str | None) -> Value:
    """Return one value in canonical units; raise ValuesError with one problem.

    ``raw`` is text from a cell or a JSON value; ``suffix`` names its unit when the field has one.
    """
    column = f"{field.name}_{suffix}" if suffix else field.name
    try:
        return _plain(field, raw, suffix) if field.type == "number" else _READERS[field.type](field, raw)
    except _WrongError as e:
        raise ValuesError([Problem("", 0, column, shown(raw), e.what, e.remedy)]) from None


def parse_values(kind: str, raw: Mapping[str, object], units: Units = "metric") -> dict[str, Value]:
    """Read the values of one entry from what was typed.

    Parameters: ``kind`` a name in KINDS; ``raw`` field name -> text (JSON values do as well); a
    name may carry its unit (``shade_temp_f``), and a bare name is in the usual unit of ``units``
    (see ``units.PREFERRED``); empty text means not looked at. Returns canonical values without
    the empty ones. Raises ValuesError listing every problem at once.
    """
    known = kind_named(kind)
    columns = column_map(known)
    fields = {f.name: f for f in known.fields}
    problems: list[Problem] = []
    values: dict[str, Value] = {}
    came_from: dict[str, str] = {}
    for column, given in raw.items():
        if given is None or (isinstance(given, str) and not given.strip()):
            continue
        if column in columns:
            field, suffix = columns[column]
        elif column in fields:
            field = fields[column]
            suffix = unit_for(field.dimension, units) if field.dimension else None
        else:
            problems.append(unknown_column(column, known, given))
            continue
        if field.name in came_from:
            what = f"{field.name.replace('_', ' ')} is given twice, in {came_from[field.name]} and in {column}"
            problems.append(
                Problem("", 0, column, shown(given), what, "fill in one of the two and leave the other empty")
            )
            continue
        came_from[field.name] = column
        try:
            values[field.name] = read_field(field, given, suffix)
        except ValuesError as e:
            problems.extend(e.problems)
    problems.extend(_together(known, values, came_from, {p.column for p in problems}))
    if problems:
        raise ValuesError(problems)
    return values


def unknown_column(column: str, kind: Kind, value: object = "") -> Problem:
    """Return the problem of a column that the kind does not have, with the nearest remedy."""
    columns = column_map(kind)
    for f in sorted(kind.fields, key=lambda f: -len(f.name)):
        if f.dimension and (column == f.name or column.startswith(f.name + "_")):
            options = " or ".join(f"{f.name}_{s} ({NAMES[s]})" for s in UNITS[f.dimension])
            suffix = column[len(f.name) + 1 :]
            what = f"{suffix!r} is not a unit of {f.name.replace('_', ' ')}" if suffix else f"{column} names no unit"
            return Problem("", 0, column, shown(value), what, f"name the column {options}")
    what = f"{column!r} is not a field of {a_(kind.name)}"
    return Problem("", 0, column, shown(value), what, f"use {near(column, columns)}, or remove the column")


def _together(kind: Kind, values: Mapping[str, Value], came: Mapping[str, str], bad: set[str]) -> list[Problem]:
    problems = []
    for f in kind.fields:
        if f.required and f.name not in values and came.get(f.name, "") not in bad:
            names = " or ".join(columns_of(f))
            problems.append(
                Problem(
                    "", 0, next(iter(columns_of(f))), "", f"{f.name.replace('_', ' ')} is missing", f"fill in {names}"
                )
            )
    for less, more in _GROUPS:
        a, b = values.get(less), values.get(more)
        if isinstance(a, (int, float)) and isinstance(b, (int, float)) and a > b:
            what = f"{less.replace('_', ' ')} ({a:g}) is more than {more.replace('_', ' ')} ({b:g})"
            problems.append(Problem("", 0, came.get(less, less), f"{a:g}", what, "correct one of the two"))
    capped, open_ = values.get("capped_quarters"), values.get("open_quarters")
    if isinstance(capped, float) and isinstance(open_, float) and capped + open_ > 8:
        what = f"capped and open brood together are {capped + open_:g} quarter sides, and both sides of a comb have 8"
        problems.append(
            Problem("", 0, came.get("open_quarters", "open_quarters"), f"{open_:g}", what, "correct one of the two")
        )
    if kind.name == "comb side":
        cells = [(name, v) for name in COMB_CONTENTS if isinstance(v := values.get(name), float)]
        total = sum(v for _, v in cells)
        if total > 8:
            what = f"{', '.join(n for n, _ in cells)} together are {total:g} eighths, and a side has 8"
            problems.append(Problem("", 0, cells[-1][0], f"{cells[-1][1]:g}", what, "make them 8 or less"))
    return problems


def check_values(kind: str, values: Mapping[str, Value]) -> dict[str, Value]:
    """Check values already in canonical units; return them in their proper types or raise ValuesError."""
    known = kind_named(kind)
    raw: dict[str, object] = {}
    extra = [k for k in values if k not in {f.name for f in known.fields}]
    if extra:
        raise ValuesError([unknown_column(k, known, values[k]) for k in extra])
    for f in known.fields:
        if f.name in values:
            raw[f"{f.name}_{CANONICAL[f.dimension]}" if f.dimension else f.name] = values[f.name]
    return parse_values(kind, raw)
