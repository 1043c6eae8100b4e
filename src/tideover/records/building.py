"""From a row to a yard, a hive or an entry; every problem of the row is found at once."""

from __future__ import annotations

import json
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from zoneinfo import ZoneInfo, available_timezones

from tideover.comb.frames import FRAMES
from tideover.evidence.seen import Value
from tideover.evidence.words import PRESENCE
from tideover.records.entries import NAMESPACE, Box, Entry, Hive, Units, Yard, known_zone, parse_boxes, tidy_uuid
from tideover.records.errors import BringError, Problem, RecordsError, ValuesError
from tideover.records.kinds import Kind
from tideover.records.reading import Row
from tideover.records.rows import values_text
from tideover.records.sheets import COMMON_COLUMNS, KIND_OF_SHEET
from tideover.records.times import Read, TimeError, check_not_future, parse_time
from tideover.records.units import US_SUFFIXES, from_units
from tideover.records.values import a_, column_map, near, parse_number, parse_values, unknown_column
from tideover.records.writing import HIVE_OR_YARD, Writer

_COMMON = frozenset(c.name for c in COMMON_COLUMNS)


@dataclass
class Land:
    """What rows may refer to: the yards and hives of the books, and those whose own row is bad."""

    writer: Writer
    now: datetime
    broken: set[str] = field(default_factory=set)
    zones: dict[str, ZoneInfo] = field(default_factory=dict)

    def zone(self, yard: str) -> ZoneInfo:
        """Return the time zone of a yard in the books."""
        if yard not in self.zones:
            self.zones[yard] = self.writer.yard(yard).zone
        return self.zones[yard]


class _Cells:
    """Takes cells out of a row and gathers what is wrong with them."""

    def __init__(self, row: Row) -> None:
        self.row = row
        self.problems: list[Problem] = []
        self.quiet = False
        """Set when the row cannot be used because of another row that is reported by itself."""

    def wrong(self, column: str, what: str, remedy: str) -> None:
        """Note a problem."""
        self.problems.append(self.row.problem(column, self.row.cells.get(column, ""), what, remedy))

    def text(self, column: str, needed: bool = False) -> str:
        """Return a text cell, '' when empty."""
        got = self.row.cells.get(column)
        if got is None:
            if needed:
                self.wrong(column, f"{column} is missing", f"fill in {column}")
            return ""
        if not isinstance(got, str):
            self.wrong(column, "this is not text", "write it in quotes")
            return ""
        return got.strip()

    def number(self, column: str, needed: bool = False, default: float = 0.0) -> float:
        """Return a number cell, ``default`` when empty or wrong."""
        got = self.row.cells.get(column)
        if got is None:
            if needed:
                self.wrong(column, f"{column} is missing", f"fill in {column}")
            return default
        try:
            if isinstance(got, bool) or not isinstance(got, (int, float, str)):
                raise RecordsError("this is not a number; write a number")
            return parse_number(got if isinstance(got, str) else repr(float(got)))
        except (RecordsError, OverflowError) as e:
            what, _, remedy = str(e).partition("; ")
            self.wrong(column, what, remedy)
            return default

    def word(self, column: str, words: Sequence[str], default: str) -> str:
        """Return one of ``words``."""
        got = self.text(column).lower()
        if got and got not in words:
            self.wrong(column, f"this is not a word for {column}", f"use {near(got, words)}")
            return default
        return got or default

    def done(self) -> None:
        """Raise everything that was wrong."""
        if self.problems or self.quiet:
            raise BringError(self.problems)


def build_yard(row: Row) -> Yard:
    """Return the yard of a row; BringError with every problem of the row."""
    c = _Cells(row)
    latitude, longitude = c.number("latitude", True), c.number("longitude", True)
    for column, got, most in (("latitude", latitude, 90), ("longitude", longitude, 180)):
        if not -most <= got <= most:
            c.wrong(column, f"{got:g} is not a {column}", f"write degrees from -{most} to {most}")
    if "elevation_m" in row.cells and "elevation_ft" in row.cells:
        c.wrong("elevation_ft", "elevation is given twice, in metres and in feet", "fill in one of the two")
    column = "elevation_ft" if "elevation_ft" in row.cells else "elevation_m"
    elevation = from_units(c.number(column), "height", column.rsplit("_", 1)[1])
    if not -430 <= elevation <= 6000:
        c.wrong(
            column,
            f"{elevation:g} m is not a height where hives stand",
            "write the height above the sea (-430 to 6000 m)",
        )
    zone = c.text("timezone", True)
    if zone and not known_zone(zone):
        c.wrong("timezone", "this is not a time zone", f"use {near(zone, sorted(available_timezones()))}, an IANA name")
    beetles = c.word("beetles", PRESENCE, "unknown")
    reportable = c.word("beetles_reportable", PRESENCE, "unknown")
    label, name, note = c.text("id", True), c.text("name"), c.text("note")
    c.done()
    try:
        return Yard(label, name or label, latitude, longitude, zone, elevation, beetles, reportable, note)
    except RecordsError as e:
        raise _one(row, "id", e) from None


def build_hive(row: Row, land: Land) -> Hive:
    """Return the hive of a row; BringError with every problem of the row."""
    c = _Cells(row)
    label, yard, name, boxes_said, note = (
        c.text("id", True), c.text("yard", True), c.text("name"), c.text("boxes"), c.text("note"),
    )  # fmt: skip
    _check_yard(c, yard, land)
    boxes: tuple[Box, ...] = (Box(1),)
    if boxes_said:
        try:
            boxes = parse_boxes(boxes_said, tuple(FRAMES))
        except RecordsError as e:
            what, _, remedy = str(e).partition("; ")
            c.wrong("boxes", what, remedy)
    c.done()
    try:
        return Hive(label, yard, name, boxes, note)
    except RecordsError as e:
        raise _one(row, "id", e) from None


def build_entry(row: Row, land: Land, targets: Mapping[str, tuple[str, str | None]]) -> tuple[Entry, Read]:
    """Return the entry of a row and how its time was read; BringError with every problem of the row.

    ``targets`` gives yard and hive of entries that confirmations and withdrawals may be about.
    """
    kind = KIND_OF_SHEET[row.sheet]
    c = _Cells(row)
    supersedes, given_id = _uuid(c, "supersedes"), _uuid(c, "id")
    values = _values(c, kind)
    about = supersedes if kind.name == "withdraw" else values.get("entry") if kind.name == "confirm" else None
    if kind.name == "withdraw" and supersedes is None and "supersedes" not in row.cells:
        c.wrong("supersedes", "the withdrawal does not say which entry it takes out", "fill in that entry's id")
    yard, hive = _place(c, kind, land, targets.get(str(about)), bool(about))
    read = _time(c, "at", yard, land, needed=True)
    recorded = _time(c, "recorded_at", yard, land, needed=False)
    units: Units = "us" if any(k.rsplit("_", 1)[-1] in US_SUFFIXES for k in row.cells if k not in _COMMON) else "metric"
    said = c.word("units", ("metric", "us"), units)
    who, device, note = c.text("who"), c.text("device"), c.text("note")
    c.done()
    assert read is not None
    units = "us" if said == "us" else "metric"
    try:
        when = recorded.at if recorded else None
        label = given_id or _content_id(row, kind.name, read, values)
        entry = Entry(label, kind.name, yard, hive, read.at, who, device, units, values, supersedes, note, when)
        return entry, read
    except RecordsError as e:
        raise _one(row, "", e) from None


def _content_id(row: Row, kind: str, read: Read, values: Mapping[str, Value]) -> str:
    """Return an id made from what the row says, and only that.

    What the books add (the yard a hive stands in today, the yard's zone) is left out, so that the
    same row has the same id after the hive has moved.
    """
    said = {c: str(v).strip() for c, v in row.cells.items() if c in _COMMON and c not in ("at", "kind")}
    at = read.at if read.zone_known else read.at.replace(tzinfo=None)
    content = [kind, at.isoformat(), dict(sorted(said.items())), values_text(values)]
    return str(uuid.uuid5(NAMESPACE, json.dumps(content, ensure_ascii=False)))


def _one(row: Row, column: str, error: RecordsError) -> BringError:
    what, _, remedy = str(error).partition("; ")
    return BringError([row.problem(column, row.cells.get(column, ""), what, remedy)])


def _uuid(c: _Cells, column: str) -> str | None:
    text = c.text(column)
    if not text:
        return None
    try:
        return tidy_uuid(text)
    except RecordsError:
        remedy = (
            "leave it empty to have one made, or use a UUID"
            if column == "id"
            else "copy the id of the entry from an export"
        )
        c.wrong(column, "this is not an entry id (a UUID of 32 hexadecimal digits)", remedy)
        return None


def _values(c: _Cells, kind: Kind) -> dict[str, Value]:
    columns = column_map(kind)
    bare = {f.name: f for f in kind.fields if f.dimension}
    raw: dict[str, object] = {}
    for column, value in c.row.cells.items():
        if column in _COMMON:
            continue
        if column in bare:  # a bare name is fine in a form, which shows its unit; a file must name it
            c.problems.append(unknown_column(column, kind, value).at(c.row.file, c.row.line))
        elif column not in columns:
            what = f"{a_(kind.name)} has no {column}"
            c.wrong(column, what, f"empty the cell, or use {near(column, columns)}")
        else:
            raw[column] = value
    try:
        values = parse_values(kind.name, raw)
    except ValuesError as e:
        c.problems.extend(p.at(c.row.file, c.row.line) for p in e.problems)
        return {}
    box = values.get("box")
    if isinstance(box, str):
        try:
            parse_boxes(box, tuple(FRAMES))
        except RecordsError as e:
            what, _, remedy = str(e).partition("; ")
            c.wrong("box", what, remedy)
    return values


def _check_yard(c: _Cells, yard: str, land: Land) -> bool:
    if not yard:
        return False
    if land.writer.yard_known(yard):
        return True
    if f"yard {yard}" in land.broken:
        c.quiet = True  # the yard's own row says what is wrong
    else:
        c.wrong(
            "yard",
            f"yard {yard!r} is not in the books",
            f"use {near(yard, land.writer.yard_ids())}, or bring a yards sheet with it",
        )
    return False


def _place(
    c: _Cells, kind: Kind, land: Land, target: tuple[str, str | None] | None, aims: bool
) -> tuple[str, str | None]:
    """Return yard and hive of a row: as filled in, else from the hive, else from the entry it is about."""
    yard, hive = c.text("yard"), c.text("hive")
    if kind.of == "yard":
        if hive:
            c.wrong("hive", f"{a_(kind.name)} is about a whole yard", "empty this cell and fill in the yard")
        elif not yard and "yard" not in c.row.cells:
            c.wrong("yard", "the yard is missing", "fill in the label of the yard")
        _check_yard(c, yard, land)
        return yard, None
    home = land.writer.yard_of_hive(hive) if hive else None
    if hive and home is None:
        if f"hive {hive}" in land.broken:
            c.quiet = True
        else:
            known = land.writer.hive_ids()
            c.wrong(
                "hive", f"hive {hive!r} is not in the books", f"use {near(hive, known)}, or bring a hives sheet with it"
            )
    if yard:
        _check_yard(c, yard, land)
    if hive or yard:
        if not hive and kind.name not in HIVE_OR_YARD:
            c.wrong("hive", "the hive is missing", "fill in the label of the hive")
        return yard or home or "", hive or None
    if kind.name not in ("confirm", "withdraw"):
        c.wrong(
            "hive",
            "the hive is missing",
            "fill in the label of the hive" + (" or yard" if kind.name in HIVE_OR_YARD else ""),
        )
    elif target is not None:
        return target
    elif aims:
        column = "supersedes" if kind.name == "withdraw" else "entry"
        c.wrong(
            column,
            "no entry with this id is in the books or in these files",
            "correct the id, or fill in the hive or yard it belongs to",
        )
    return "", None


def _time(c: _Cells, column: str, yard: str, land: Land, needed: bool) -> Read | None:
    text = c.text(column, needed)
    if not text:
        return None
    zone = land.zone(yard) if yard and land.writer.yard_known(yard) else ZoneInfo("UTC")
    try:
        read = parse_time(text, zone)
        check_not_future(read.at, land.now)
    except TimeError as e:
        c.wrong(column, e.what, e.remedy)
        return None
    return read
