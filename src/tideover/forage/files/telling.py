"""Which kind of weather file a text is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from tideover.forage.files import archive, service, tables, typical
from tideover.forage.files.parts import ReadFile

FORMATS: Final[Mapping[str, Callable[[str], ReadFile]]] = {
    "archive fixed": archive.fixed, "archive rows": archive.by_year, "archive summary": archive.summary,
    "daily": tables.daily, "hourly": tables.hourly, "typical epw": typical.epw, "typical tmy3": typical.tmy3,
    "service": service.parse,
}  # fmt: skip


def tell(text: str) -> str | None:
    """The format of a text by its first lines, or None when it is none of ``FORMATS``."""
    lines = text.lstrip("\ufeff").split("\n", 2)
    first = lines[0].strip("\r")
    second = lines[1] if len(lines) > 1 else ""
    for name, fits in (
        ("service", service.is_service(text)), ("archive fixed", archive.is_fixed(first)),
        ("archive rows", archive.is_by_year(first)), ("typical epw", typical.is_epw(first)),
        ("typical tmy3", typical.is_tmy3(first, second)), ("archive summary", archive.is_summary(first)),
        ("daily", tables.is_daily(first)), ("hourly", tables.is_hourly(first)),
    ):  # fmt: skip
        if fits:
            return name
    return None


def _parted_by(text: str) -> str:
    """What parts the columns of a table that would be known if commas did; empty when none does."""
    first = text.split("\n", 1)[0]
    for letter, named in ((";", "semicolons"), ("\t", "tabs"), ("|", "bars")):
        if letter in first and tell(first.replace(letter, ",")) is not None:
            return named
    return ""


def read(text: str) -> ReadFile:
    """Read a weather file of any known format; ValueError when it is none of them."""
    name = tell(text)
    if name is None and (mark := _parted_by(text)):
        raise ValueError(
            f"the columns are parted by {mark}, wanted commas; save it with commas, and decimals with a point (1.5, not"
            " 1,5)."
        )
    if name is None:
        raise ValueError(
            "the first line is of no known weather file; wanted a climate archive's record or table, a typical year, a "
            "forecast's JSON, "
            "or a table headed date,temp_max_c,temp_min_c,rain_mm (or time,temp_c,rain_mm by the hour)."
        )
    return FORMATS[name](text)
