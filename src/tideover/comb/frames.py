"""Frame types: the inside size of the wood, and the face area that follows from it.

In use 90-97 % of the geometric area is built and usable; ``usable`` areas are the
reader's business, these are the full inside faces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from types import MappingProxyType
from typing import Final

from tideover.figures.units import INCH2_CM2

MM2_PER_DM2: Final = 10_000.0


class UnknownFrameError(KeyError):
    """A frame name that is not in ``FRAMES``; the message lists near misses."""

    def __str__(self) -> str:
        return str(self.args[0])


@dataclass(frozen=True)
class FrameType:
    """One frame type.

    ``inside_length_mm`` x ``inside_height_mm`` is the opening inside the wood, ``known``
    says how the size is known ('read', 'read second-hand', 'from memory').
    """

    name: str
    says: str
    inside_length_mm: float
    inside_height_mm: float
    known: str
    source: str
    frames_per_box: int = 10

    def __post_init__(self) -> None:
        """Keep sizes in the range of real frames."""
        for label, value in (("length", self.inside_length_mm), ("height", self.inside_height_mm)):
            if not 50.0 <= value <= 600.0:
                raise ValueError(f"inside {label} of a frame is {value} mm, wanted 50 to 600; give the inside size.")
        if not 1 <= self.frames_per_box <= 30:
            raise ValueError(f"frames per box is {self.frames_per_box}, wanted 1 to 30; count those in a full box.")

    @property
    def dm2_per_side(self) -> float:
        """Face area of ONE side [dm2]."""
        return self.inside_length_mm * self.inside_height_mm / MM2_PER_DM2

    @property
    def dm2_per_comb(self) -> float:
        """Face area of BOTH sides together [dm2]."""
        return 2.0 * self.dm2_per_side

    @property
    def in2_per_side(self) -> float:
        """Face area of ONE side [square inches]."""
        return self.dm2_per_side * 100.0 / INCH2_CM2


_GRADING = "colony grading guide (135 square inches a side; 8 x 16.75 in measured), Sagili & Burgett 2011, PNW 623"
_BERTRAND = "Bertrand, La conduite du rucher, p. 239 (12 combs = 135 dm2)"
_LVWI = "Bavarian/Wuerttemberg beekeeping school, hive building sheet"
_BS = "British Standard frame drawings, as commonly reproduced"

_TABLE: Final = (
    FrameType("deep", "Langstroth deep, 9 1/8 in", 425, 203, "read second-hand", _GRADING),
    FrameType("medium", "Langstroth medium (Illinois), 6 1/4 in", 425, 130, "read", "frame depth less 1 1/8 in inside"),
    FrameType("shallow", "Langstroth shallow, 5 3/8 in", 425, 108, "read", "frame depth less 1 1/8 in inside"),
    FrameType("dadant us", "Dadant (US), 11 1/4 in", 425, 257, "from memory", "frame depth less 1 1/8 in inside", 11),
    FrameType("dadant-blatt", "Dadant-Blatt brood, 435 x 300 mm", 420, 268, "read", _BERTRAND, 12),
    FrameType("dadant-blatt super", "Dadant-Blatt super, 435 x 160 mm", 420, 133, "read", _BERTRAND, 12),
    FrameType("british deep", "British Standard deep (National, WBC, Smith), 14 x 8 1/2 in", 337, 197, "read", _BS, 11),
    FrameType("british shallow", "British Standard shallow, 14 x 5 1/2 in", 337, 121, "read", _BS, 11),
    FrameType("british 14x12", "British Standard 14 x 12 in", 337, 286, "read", _BS, 11),
    FrameType("commercial", "16 x 10 in", 387, 235, "from memory", "outer 406 x 254 mm", 11),
    FrameType("zander", "Zander, 420 x 220 mm", 400, 200, "read", _LVWI),
    FrameType("german normal", "German Normal, 370 x 223 mm", 350, 203, "read", _LVWI, 11),
    FrameType("swiss", "Swiss brood, tall, about 286 x 360 mm", 270, 350, "from memory", "from memory", 12),
    FrameType("layens", "Layens (French), tall, about 330 x 400 mm", 310, 370, "from memory", "from memory", 14),
    FrameType("warre", "Warre bar comb, box 300 x 300 x 210 mm", 300, 200, "from memory", "from memory", 8),
    FrameType(
        "top bar",
        "Kenyan top-bar comb, trapezium about 440/190 x 280 mm taken as its mean length; measure your own",
        315,
        280,
        "from memory",
        "typical trapezium, range 6-10 dm2 a side",
        28,
    ),
)

FRAMES: Final[Mapping[str, FrameType]] = MappingProxyType({f.name: f for f in _TABLE})
"""Frame types by name."""

_OTHER_NAMES: Final[Mapping[str, str]] = MappingProxyType(
    {
        "langstroth": "deep", "langstroth deep": "deep", "illinois": "medium", "langstroth medium": "medium",
        "langstroth shallow": "shallow", "national": "british deep", "national deep": "british deep",
        "wbc": "british deep", "smith": "british deep", "14x12": "british 14x12", "16x10": "commercial",
        "dadant": "dadant-blatt", "dn": "german normal", "dnm": "german normal", "national shallow": "british shallow",
    }
)  # fmt: skip


def frame(name: str) -> FrameType:
    """Return the frame type called ``name`` (case and doubled spaces do not matter).

    Raises UnknownFrameError, naming near misses, when there is none.
    """
    key = " ".join(name.lower().split())
    key = _OTHER_NAMES.get(key, key)
    found = FRAMES.get(key)
    if found is None:
        near = get_close_matches(key, [*FRAMES, *_OTHER_NAMES], n=3)
        hint = f"did you mean {', '.join(near)}?" if near else f"choose one of {', '.join(FRAMES)}."
        raise UnknownFrameError(f"no frame type is called {name!r}; {hint}")
    return found
