"""Weather as stations and services keep it, read into days.

Lives here: what a read file is (``parts``), climate archives in fixed width and tables (``archive``), plain tables by
day or by hour (``tables``), typical years (``typical``), an open forecast's JSON (``service``), which of them a
text is (``telling``), several stations brought to one yard (``stations``), gaps (``gaps``) and
troubles told once (``gathering``).
Readers take text and return days and troubles: no file is opened here. May import what ``forage`` may.
Start reading at ``parts``, then ``telling``.
"""

from tideover.forage.files.gaps import Filled, fill
from tideover.forage.files.gathering import gather, runs_of_days
from tideover.forage.files.parts import FileDay, ReadFile, Station, Trouble
from tideover.forage.files.stations import Merged, Site, merge
from tideover.forage.files.telling import FORMATS, read

__all__ = [
    "FORMATS",
    "FileDay",
    "Filled",
    "Merged",
    "ReadFile",
    "Site",
    "Station",
    "Trouble",
    "fill",
    "gather",
    "merge",
    "read",
    "runs_of_days",
]
