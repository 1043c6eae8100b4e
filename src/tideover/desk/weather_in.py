"""Weather files of stations and services written into the books as a yard's weather days, in one transaction.

Days ahead in a service's answer are kept as the yard's forecast.
"""

from __future__ import annotations

import codecs
import gzip
import re
import uuid
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import Any, Final, cast

from tideover.desk.forecast import forecast_key, forecast_object, typical_key, typical_object
from tideover.evidence.seen import Value
from tideover.figures.units import F_PER_C
from tideover.forage.climate import TYPICAL_LEAST_D
from tideover.forage.files import ReadFile, Site, Station, fill, gather, merge, read, runs_of_days
from tideover.forage.files.stations import MODELLED_SD_C, UNPLACED
from tideover.records import Books, BringError, Entry, Problem, RecordsError, Yard
from tideover.records.entries import NAMESPACE
from tideover.records.writing import Writer, chunks, raise_different

DEVICE: Final = "weather file"
_MOST_BYTES: Final = 64 * 1024 * 1024
_UNNAMED: Final = re.compile(r"\d+ days?;")


@dataclass
class WeatherReport:
    """What reading weather files did."""

    yard: str
    added: int = 0
    there: int = 0
    different: int = 0
    first: date | None = None
    last: date | None = None
    bridged: int = 0
    stood_in: int = 0
    """Days on which the nearest station was silent and a farther one stands in."""
    modelled: int = 0
    """Days that are a service's model's view, not readings."""
    no_temperature: list[date] = field(default_factory=list)
    """Days with no high or no low, which are not written."""
    without_rain: int = 0
    ahead: int = 0
    forecast: int = 0
    typical: int = 0
    usual: int = 0
    """Days of a typical year whose yearly course is kept as the yard's usual weather."""
    only_try: bool = False
    forms: list[str] = field(default_factory=list)
    said: list[str] = field(default_factory=list)
    left_out: Counter[str] = field(default_factory=Counter)

    def as_object(self) -> dict[str, Any]:
        """The same as plain values."""
        return {
            "yard": self.yard, "added": self.added, "already_there": self.there, "there_and_different": self.different,
            "first": self.first.isoformat() if self.first else None,
            "last": self.last.isoformat() if self.last else None, "bridged": self.bridged,
            "stood_in": self.stood_in, "modelled": self.modelled,
            "without_temperature": len(self.no_temperature),
            "days_without_temperature": [d.isoformat() for d in self.no_temperature], "without_rain": self.without_rain,
            "ahead_not_written": self.ahead, "kept_as_forecast": self.forecast,
            "typical_not_written": self.typical, "kept_as_usual": self.usual, "only_tried": self.only_try,
            "forms": list(self.forms), "notes": list(self.said), "left_out": dict(self.left_out),
        }  # fmt: skip

    def __str__(self) -> str:
        """A few lines for a person."""
        span = f", {self.first} to {self.last}" if self.first else ""
        verb = "would add" if self.only_try else "added"
        lines = [f"{self.yard}: {verb} {self.added} weather {_days(self.added)}{span}"]
        lines += [f"read: {f}" for f in self.forms]
        if self.there:
            lines.append(f"already there: {self.there} {_days(self.there)}")
        lines += [f"note: {says}: {n} {_days(n)}{then}" for n, says, then in self._notes() if n]
        if self.forecast:
            verb = "would be kept" if self.only_try else "kept"
            lines.append(
                f"forecast: {self.forecast} {_days(self.forecast)} {verb}; they bend the days ahead until they are past"
            )
        if self.usual:
            verb = "would be kept" if self.only_try else "kept"
            lines.append(
                f"typical year: its yearly course {verb} as the usual weather here, wherever nothing was measured"
            )
        lines += [f"left out: {n} x {why}" for why, n in sorted(self.left_out.items())]
        lines += [f"station: {s}" for s in self.said]
        if any(UNPLACED in s and not _UNNAMED.match(s) for s in self.said):
            lines.append(
                f"note: to place a station: tideover weather FILE --yard {self.yard} --station ID,LAT,LON,ELEVATION"
            )
        return "\n".join(lines)

    def _notes(self) -> list[tuple[int, str, str]]:
        """Days with something to say of them: how many, what, and what follows."""
        return [
            (self.different, "other readings are in the books and were left as they are", ""),
            (
                self.bridged, "temperatures missing, filled by a straight line between the days beside them",
                "; each carries its doubt, and the season is read the wider there",
            ),
            (
                self.stood_in, "the nearest station has no temperature and a farther one stands in",
                "; each carries its doubt, and a reading that comes later takes its place",
            ),
            (
                self.modelled, "a service's model and no reading",
                f"; each carries a doubt of {MODELLED_SD_C:g} °C ({F_PER_C * MODELLED_SD_C:.1f} °F), and a reading that"
                " comes later takes its place",
            ),
            (
                len(self.no_temperature), "no high or no low, not written",
                f" ({runs_of_days(self.no_temperature)}); the season takes the usual weather there and is the wider"
                " for it",
            ),
            (self.without_rain, "no rain reading, which counts as unknown and not as dry", ""),
            (self.ahead - self.forecast, "not past yet, not written", ""),
            (
                self.typical - self.usual, "of a typical year, which never happened; not written as measured",
                "" if self.usual else f"; its course is not kept either, for want of {TYPICAL_LEAST_D} days",
            ),
        ]  # fmt: skip


def station_of(text: str) -> Station:
    """A station as typed: id, latitude, longitude, elevation [m]."""
    parts = [p.strip() for p in text.split(",")]
    try:
        name, lat, lon, up = parts[0], float(parts[1]), float(parts[2]), float(parts[3])
    except (IndexError, ValueError):
        raise RecordsError(
            f"station is {text!r}, wanted ID,LAT,LON,ELEVATION such as USW00000001,37.1,-119.6,95"
        ) from None
    if not (-90.0 <= lat <= 90.0 and -180.0 <= lon <= 180.0):
        raise RecordsError(f"station {name} is at {lat:g}, {lon:g}; wanted degrees, south and west negative")
    return Station(name, name, lat, lon, up)


@dataclass
class Reading:
    """Weather files once read, by name, and the problems in them."""

    files: list[tuple[str, ReadFile]] = field(default_factory=list)
    problems: list[Problem] = field(default_factory=list)

    @property
    def measured(self) -> list[ReadFile]:
        """All but typical years."""
        return [f for _, f in self.files if f.nature != "typical"]

    def at(self, yard: Yard) -> list[tuple[str, ReadFile]]:
        """The files as a yard takes them: hours with a zone of their own become days by the yard's clock."""
        return [(n, f.for_zone(yard.zone) if f.for_zone is not None else f) for n, f in self.files]


def read_files(files: Sequence[Path]) -> Reading:
    """Read weather files; nothing is raised for what is wrong in them, it stands in ``problems``."""
    out = Reading()
    for path in files:
        try:
            made = read(text_of(path))
        except (OSError, EOFError):
            out.problems.append(Problem(path.name, 0, "", "", "the file cannot be unpacked", "fetch it again"))
            continue
        except ValueError as e:
            out.problems.append(Problem(path.name, 0, "", "", str(e).rstrip("."), ""))
            continue
        out.problems += [
            Problem(path.name, t.line, t.column, t.value, t.what, t.remedy, t.rows, t.count)
            for t in gather(made.troubles)
        ]
        out.files.append((path.name, made))
    return out


def weather_in(
    books: Books,
    yard_id: str,
    files: Sequence[Path],
    stations: Sequence[Station] = (),
    *,
    since: date | None = None,
    only_try: bool = False,
    now: datetime | None = None,
) -> WeatherReport:
    """Read files and write the yard's weather days; BringError with every bad line, and nothing is written then.

    :param stations: places of stations whose files do not say.
    :param since: earlier days are left out.
    :param now: with its zone; days from its own day on are not written but kept as a forecast. The clock's when None.
    """
    yard = books.yard(yard_id)
    moment = now or datetime.now(UTC)
    reading = read_files(files)
    if reading.problems:
        raise BringError(reading.problems)
    if only_try:
        there = books.entries(kind="weather day", yard=yard_id)
        return days_of(yard, reading, stations, there, moment, since=since, only_try=True)[0]
    with books.writing() as writer:
        return write_days(writer, yard, reading, stations, moment, since=since)


def write_days(
    writer: Writer,
    yard: Yard,
    reading: Reading,
    stations: Sequence[Station],
    moment: datetime,
    *,
    since: date | None = None,
) -> WeatherReport:
    """Write a yard's weather days and its forecast inside a transaction that is open."""
    report, entries, kept = days_of(
        yard, reading, stations, writer.standing_of(yard.id, "weather day"), moment, since=since
    )
    report.added = 0
    for part in chunks(entries):
        added, clash = writer.add([writer.check(e, moment) for e in part])
        raise_different(clash)
        report.added += len(added)
    if kept:
        writer.put_settings(kept)
    return report


def days_of(
    yard: Yard,
    reading: Reading,
    stations: Sequence[Station],
    held: Sequence[Entry],
    moment: datetime,
    *,
    since: date | None = None,
    only_try: bool = False,
) -> tuple[WeatherReport, list[Entry], dict[str, Any]]:
    """What read files say of a yard: the report, the entries to write, and the settings to keep beside them.

    Those are the forecast of a service's days ahead and the usual weather of a typical year.

    :param held: weather days in the books.
    """
    today = moment.astimezone(yard.zone).date()
    report = WeatherReport(yard.id, only_try=only_try)
    site = Site(yard.latitude, yard.longitude, yard.elevation_m)
    taken = reading.at(yard)
    for name, made in taken:
        count = sum(len(d) for d in made.days.values())
        passed = f"; columns not read: {', '.join(made.unread[:8])}" if made.unread else ""
        report.forms.append(f"{name}: {made.form}, {count} {_days(count)}{passed}")
        report.left_out.update(made.left_out)
    files = [f for _, f in taken if f.nature != "typical"]
    years = [f for _, f in taken if f.nature == "typical"]
    report.typical = sum(len(d) for y in years for d in y.days.values())
    merged = merge(files, site, stations)
    report.said += merged.said
    modelled = merge([m for m in files if m.nature == "modelled"], site, stations)
    ahead = forecast_object([d for d in modelled.days if d.day >= today], today)
    report.ahead = sum(d.day >= today for d in merged.days)
    report.forecast = len(ahead["days"]) if ahead is not None else 0
    kept: dict[str, Any] = {} if ahead is None else {forecast_key(yard.id): ahead}
    for year in years:
        moved = merge([year], site)
        usual = typical_object(moved.days, next(iter(year.stations.values())).name) if year.stations else None
        report.said += moved.said
        if usual is not None:
            kept[typical_key(yard.id)] = usual
            report.usual = len(moved.days)
    filled = fill([d for d in merged.days if d.day < today and (since is None or d.day >= since)])
    there = {e.at.astimezone(yard.zone).date(): e for e in held}
    entries = []
    for d in filled.days:
        if d.temp_max_c is None or d.temp_min_c is None:
            report.no_temperature.append(d.day)
            continue
        values: dict[str, Value] = {"temp_max": d.temp_max_c, "temp_min": d.temp_min_c}
        for name, value in (("rain", d.rain_mm), ("wind", d.wind_ms), ("humidity", d.humidity)):
            if value is not None:
                values[name] = value
        bridged, far, model = (by.get(d.day, 0.0) for by in (filled.bridged, merged.stood_in, merged.modelled))
        doubt = round(max(bridged, far, model), 1)
        before = there.get(d.day)
        # what is better known takes the place of what was filled in before
        surer = before is not None and doubt < float(cast("float", before.values.get("temp_sd") or 0.0))
        if before is not None and not surer:
            same = all(before.values.get(k) == v for k, v in values.items())
            report.there, report.different = report.there + same, report.different + (not same)
            continue
        note = ""
        if doubt > 0.0:
            values["temp_sd"] = doubt
            note = "temperatures of a farther station" if far else "temperatures of a service's model"
            note = "temperatures bridged between the days beside" if bridged else note
        report.bridged, report.stood_in = report.bridged + (bridged > 0.0), report.stood_in + (0.0 < far > bridged)
        report.modelled += 0.0 < model > bridged
        report.without_rain += d.rain_mm is None
        key = f"weather day|{yard.id}|{d.day}|{sorted(values.items())}"
        at = datetime.combine(d.day, time(12), yard.zone)
        entries.append(
            Entry(
                str(uuid.uuid5(NAMESPACE, key)), "weather day", yard.id, None, at, "", DEVICE, "metric", values,
                before.id if before is not None else None, note, moment,
            )
        )  # fmt: skip
    if entries:
        report.first, report.last = entries[0].at.date(), entries[-1].at.date()
    report.added = len(entries)
    return report, entries, kept


def text_of(path: Path, first: int | None = None) -> str:
    """The text of a weather file, unpacked where it is gzipped; its beginning alone when ``first`` bytes are wanted.

    RecordsError when it is too long, OSError or EOFError when it cannot be unpacked.
    """
    with path.open("rb") as plain:
        packed = plain.read(2) == b"\x1f\x8b"
    with gzip.open(path, "rb") if packed else path.open("rb") as f:
        got = f.read(first or _MOST_BYTES + 1)
    if len(got) > _MOST_BYTES:
        raise RecordsError(f"the file has over {_MOST_BYTES // 2**20} MB; give fewer years at once")
    # spreadsheets save 'Unicode text' in two bytes a letter, with a mark in front
    wide = got[:2] in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
    return got.decode("utf-16" if wide else "utf-8", errors="replace")


def _days(n: int) -> str:
    return "day" if n == 1 else "days"
