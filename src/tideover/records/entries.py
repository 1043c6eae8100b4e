"""Yards, hives, boxes and entries: what the books are made of."""

from __future__ import annotations

import math
import re
import uuid
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta, timezone
from typing import Final, Literal
from zoneinfo import ZoneInfo, available_timezones

from tideover.evidence.seen import Value
from tideover.evidence.words import PRESENCE
from tideover.records.errors import RecordsError

Units = Literal["metric", "us"]
State = Literal["stands", "corrected", "withdrawn"]

NAMESPACE: Final = uuid.UUID("6f1b1e0a-4c43-5d3c-9d0e-2b7a51f3c8d4")
"""Namespace of ids made from a row's content."""

_NAME = re.compile(r"[^\s,;\"'](?:[^\r\n\t,;\"]{0,78}[^\s,;\"'])?\Z")
_BOX = re.compile(r"\s*(?P<frame>[A-Za-z0-9][A-Za-z0-9 \-]*?)\s*(?:[x\u00d7*]\s*(?P<frames>\d{1,2}))?\s*\Z")


def _check_name(what: str, text: str) -> None:
    if not _NAME.match(text):
        raise RecordsError(
            f"the {what} is {text!r}, which cannot serve as a short label; "
            "use 1 to 80 letters, digits, spaces, '-' or '_', with no comma, semicolon or quote"
        )


@dataclass(frozen=True)
class Yard:
    """A place where hives stand.

    ``id`` is a short label, ``latitude``/``longitude`` [degrees, north and east positive],
    ``timezone`` an IANA name, ``elevation_m`` [m above sea], ``beetles`` and
    ``beetles_reportable`` one of present, absent, unknown.
    """

    id: str
    name: str
    latitude: float
    longitude: float
    timezone: str = "UTC"
    elevation_m: float = 0.0
    beetles: str = "unknown"
    beetles_reportable: str = "unknown"
    note: str = ""

    def __post_init__(self) -> None:
        """Check ranges and words; raise RecordsError naming the field."""
        _check_name("yard id", self.id)
        for name in ("name", "note"):
            object.__setattr__(self, name, _tidy_text(getattr(self, name), f"{name} of yard {self.id}"))
        for name, low, high in (
            ("latitude", -90.0, 90.0),
            ("longitude", -180.0, 180.0),
            ("elevation_m", -430.0, 6000.0),
        ):
            got = getattr(self, name)
            if not math.isfinite(got) or not low <= got <= high:
                raise RecordsError(f"{name} of yard {self.id} is {got:g}, wanted {low:g} to {high:g}; correct it")
            object.__setattr__(self, name, float(got))
        if not known_zone(self.timezone):
            raise RecordsError(
                f"time zone of yard {self.id} is {self.timezone!r}, wanted an IANA name such as 'America/Los_Angeles'"
            )
        for name in ("beetles", "beetles_reportable"):
            if getattr(self, name) not in PRESENCE:
                raise RecordsError(f"{name} of yard {self.id} is {getattr(self, name)!r}, wanted {', '.join(PRESENCE)}")

    @property
    def zone(self) -> ZoneInfo:
        """The yard's time zone."""
        return ZoneInfo(self.timezone)


def known_zone(name: str) -> bool:
    """Say whether ``name`` is an IANA time zone known here."""
    return name == "UTC" or name in _zones()


_ZONES: list[frozenset[str]] = []


def _zones() -> frozenset[str]:
    if not _ZONES:
        _ZONES.append(frozenset(available_timezones()))
    return _ZONES[0]


@dataclass(frozen=True)
class Box:
    """One box of a hive: ``level`` counts from 1 at the bottom, ``frame`` names the frame type."""

    level: int
    frame: str = "deep"
    frames: int = 10

    def __post_init__(self) -> None:
        """Check the number of frames; raise RecordsError."""
        if not 1 <= self.frames <= 40:
            raise RecordsError(f"a box holds {self.frames} frames, wanted 1 to 40; write it like 'deep x10'")


@dataclass(frozen=True)
class Hive:
    """A hive: ``id`` is its label, unique in the books; ``boxes`` from the bottom up.

    ``boxes`` are those the hive came into the books with; boxes added and removed
    since then are events.
    """

    id: str
    yard: str
    name: str = ""
    boxes: tuple[Box, ...] = (Box(1),)
    note: str = ""

    def __post_init__(self) -> None:
        """Check the label and number the boxes from 1 upwards; raise RecordsError."""
        _check_name("hive id", self.id)
        for name in ("name", "note"):
            object.__setattr__(self, name, _tidy_text(getattr(self, name), f"{name} of hive {self.id}"))
        if not self.name:
            object.__setattr__(self, "name", self.id)
        if not 1 <= len(self.boxes) <= 12:
            raise RecordsError(
                f"hive {self.id} has {len(self.boxes)} boxes, wanted 1 to 12; write 'deep x10 + medium x10'"
            )
        ordered = sorted(self.boxes, key=lambda b: b.level)
        object.__setattr__(self, "boxes", tuple(replace(b, level=i) for i, b in enumerate(ordered, 1)))


def boxes_text(boxes: Sequence[Box]) -> str:
    """Return boxes as they are written in files, bottom first: ``deep x10 + medium x10``."""
    return " + ".join(f"{b.frame} x{b.frames}" for b in boxes)


def parse_boxes(text: str, known_frames: Sequence[str] = ()) -> tuple[Box, ...]:
    """Read boxes written like ``deep x10 + medium x10``, bottom first (``x10`` may be left out).

    ``known_frames``, when given, are the only frame types accepted. Raises RecordsError.
    """
    boxes: list[Box] = []
    for level, part in enumerate(text.split("+"), 1):
        found = _BOX.match(part)
        if not found:
            raise RecordsError(
                f"{part.strip()!r} is not a box; write boxes like 'deep x10 + medium x10', bottom box first"
            )
        frame = " ".join(found["frame"].lower().split())
        if known_frames and frame not in known_frames:
            raise RecordsError(f"{frame!r} is not a frame type; use one of {', '.join(known_frames)}")
        boxes.append(Box(level, frame, int(found["frames"] or 10)))
    return tuple(boxes)


@dataclass(frozen=True)
class Entry:
    """One thing written down, never changed afterwards.

    ``id`` is a UUID made where the entry is written; ``values`` are in canonical units
    (``records.kinds``); ``units`` says which units they were entered in; ``at`` is the time
    of what was seen and must carry a zone; ``recorded_at`` is the time it was written
    down, on the writer's clock (when missing, ``at`` stands for it). ``supersedes`` is the
    id of the entry this one corrects, or takes out when the kind is ``withdraw``.
    """

    id: str
    kind: str
    yard: str
    hive: str | None
    at: datetime
    who: str = ""
    device: str = ""
    units: Units = "metric"
    values: Mapping[str, Value] = field(default_factory=dict)
    supersedes: str | None = None
    note: str = ""
    recorded_at: datetime | None = None

    def __post_init__(self) -> None:
        """Bring ids and times into one form; raise RecordsError when they cannot be."""
        object.__setattr__(self, "id", tidy_uuid(self.id))
        if self.supersedes is not None:
            object.__setattr__(self, "supersedes", tidy_uuid(self.supersedes))
            if self.supersedes == self.id:
                raise RecordsError(f"entry {self.id} supersedes itself; give the correction an id of its own")
        object.__setattr__(self, "at", _fixed(self.at, "at"))
        if self.recorded_at is not None:
            object.__setattr__(self, "recorded_at", _fixed(self.recorded_at, "recorded_at").astimezone(UTC))
        for name in ("who", "device", "note"):
            object.__setattr__(self, name, _tidy_text(getattr(self, name), name))
        if self.units not in ("metric", "us"):
            raise RecordsError(f"units are {self.units!r}, wanted 'metric' or 'us'")
        object.__setattr__(self, "values", dict(self.values))

    def __hash__(self) -> int:
        """Hash by id: two entries with the same id are meant to be the same entry."""
        return hash(self.id)

    @property
    def written_at(self) -> datetime:
        """When it was written down: ``recorded_at``, else ``at``."""
        return self.recorded_at or self.at


def _tidy_text(text: str, what: str) -> str:
    """Return free text that any file can carry; RecordsError for control characters."""
    text = text.replace("\r\n", "\n").replace("\r", "\n").strip()
    bad = next((ch for ch in text if (ord(ch) < 32 and ch not in "\n\t") or 0xD800 <= ord(ch) <= 0xDFFF), None)
    if bad is not None:
        raise RecordsError(f"{what} holds the control character {bad!r}; remove it")
    return text


def tidy_uuid(text: str) -> str:
    """Return a UUID in its usual lower-case form; raise RecordsError when it is none."""
    try:
        return str(uuid.UUID(text))
    except (ValueError, AttributeError, TypeError):
        raise RecordsError(
            f"{text!r} is not an entry id; leave the id empty to have one made, or use a UUID (32 hexadecimal digits)"
        ) from None


def _fixed(at: datetime, what: str) -> datetime:
    offset = at.utcoffset()
    if offset is None:
        raise RecordsError(f"{what} is {at.isoformat()}, which names no time zone; give a time with its zone")
    whole = timedelta(seconds=round(offset.total_seconds()))
    try:
        return at.astimezone(UTC if not whole else timezone(whole))
    except OverflowError:
        raise RecordsError(f"{what} is {at.isoformat()}, which is outside the calendar; correct the year") from None


def new_entry(
    kind: str,
    yard: str,
    hive: str | None,
    at: datetime,
    values: Mapping[str, Value],
    now: datetime,
    *,
    who: str = "",
    device: str = "",
    units: Units = "metric",
    supersedes: str | None = None,
    note: str = "",
) -> Entry:
    """Return an entry with a fresh random id, written down at ``now``."""
    return Entry(str(uuid.uuid4()), kind, yard, hive, at, who, device, units, values, supersedes, note, now)
