"""One hive on the sheet: the call in words and shape, what is known, blanks to fill in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from tideover.paper import amounts, blanks, shapes
from tideover.paper.lettering import BOLD, CLAY, INK, PLAIN, SAGE, SOFT, shrink, width, wrap
from tideover.plan.gates_table import KINDS

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine
    from tideover.plan.call import Gate

HEAD: Final = 31.0
ICON: Final = 25.0
TEXT: Final = 9.5
LEADING: Final = 11.6
COLUMN_GAP: Final = 14.0
PAD: Final = 7.0

_QUIET: Final = ("leave", "look again")
_STOPS: Final = {"blocks": "Stop", "orders": "First", "warns": "Mind"}
_ORDER: Final = {"blocks": 0, "orders": 1, "warns": 2}


@dataclass(frozen=True)
class Line:
    """A printed line of the text part."""

    text: str
    bold: bool = False
    lead: str = ""
    """Beginning of ``text`` that is set in bold, so that the eye finds its kind."""


@dataclass(frozen=True)
class Block:
    """A hive's block, measured and ready to draw."""

    hive: HiveLine
    units: str
    room: float
    left: tuple[Line, ...]
    right: tuple[Line, ...]

    @property
    def height(self) -> float:
        """Height on the page [pt]."""
        return HEAD + LEADING * max(len(self.left), len(self.right)) + 5 + blanks.height(self.units) + PAD

    def draw(self, canvas: Any, x: float, top: float) -> None:
        """Draw the block with its upper left corner at (x, top) [pt]."""
        _draw_head(canvas, self, x, top)
        half = (self.room - COLUMN_GAP) / 2
        for lines, at in ((self.left, x), (self.right, x + half + COLUMN_GAP)):
            y = top - HEAD - TEXT
            canvas.setFillColor(INK)
            for line in lines:
                _draw_line(canvas, line, at, y)
                y -= LEADING
        text_height = LEADING * max(len(self.left), len(self.right))
        blanks.draw(canvas, x, top - HEAD - text_height - 5, self.room, self.units)


def make(hive: HiveLine, units: str, room: float) -> Block:
    """Measure a hive's block for a page ``room`` [pt] wide."""
    half = (room - COLUMN_GAP) / 2
    call = hive.call
    left = _lines("Last look:", hive.last_look or "not looked at yet", half, 3)
    left += _lines("Today:", f"about {amounts.bees(hive.bees)}", half, 2)
    left += _lines("Runway:", amounts.runway(call.runway), half, 2)
    if call.product and "," in call.product:
        left += _lines("Piece:", call.product, half, 2)
    if not call.worth_opening:
        left += _lines("", "Can be done without opening the hive.", half, 1)
    right: list[Line] = []
    gates = sorted(call.gates, key=lambda gate: _ORDER[gate.effect])
    # how and when to go stands at the head of the yard; here its title is enough
    for gate in gates:
        if of_visit(gate) and gate.effect != "warns":
            right += _lines(f"{_STOPS[gate.effect]}:", gate.title, half, 1, bold=True)
    # what blocks or orders is printed whole; of the mere warnings only the first
    own = [gate for gate in gates if not of_visit(gate)]
    for gate in own:
        if gate.effect != "warns":
            right += _lines(f"{_STOPS[gate.effect]}:", gate_words(gate), half, 0, bold=True)
    for gate in [gate for gate in own if gate.effect == "warns"][:1]:
        right += _lines("Mind:", gate_words(gate), half, 2)
    for text in call.then_:
        right += _lines("Then:", text, half, 2)
    for flag in call.flags[:1]:
        right += _lines("Odd entry:", flag.text, half, 2)
    for reason in sorted(call.reasons, key=lambda r: -abs(r.weight))[:2]:
        right += _lines("Why:", reason.text, half, 2)
    if not call.reasons:
        right += _lines("Why:", call.summary, half, 2)
    if call.ask:
        ask = _lines("Look for:", "; ".join(call.ask), half, 3)
        (left if len(left) <= len(right) else right).extend(ask)
    return Block(hive, units, room, tuple(left), tuple(right))


def of_visit(gate: Gate) -> bool:
    """Whether a gate rules how and when to go (heat, fire) rather than what to do at the hive."""
    kind = KINDS.get(gate.code)
    return kind is not None and kind.of == "visit"


def gate_words(gate: Gate) -> str:
    """A gate in words: what it is, what to do, whom to ask."""
    asks = f" Ask: {gate.refers_to}." if gate.refers_to and gate.refers_to not in gate.do else ""
    return f"{gate.title.rstrip('.')}. {gate.do}{asks}"


def call_words(hive: HiveLine, units: str) -> str:
    """The call and its amount, e.g. ``Lay on 455 g (1 lb)``."""
    gives = amounts.gives(hive.call, units)
    words = hive.call.action[:1].upper() + hive.call.action[1:]
    return f"{words}: {gives}" if gives else words


def _lines(lead: str, text: str, room: float, most: int, bold: bool = False) -> list[Line]:
    """Wrapped lines that begin with ``lead`` in bold."""
    whole = f"{lead} {text}" if lead else text
    # four points less, because a lead set in bold is that much wider
    found = wrap(whole, BOLD if bold else PLAIN, TEXT, room - (0 if bold else 4), most)
    return [
        Line(one, bold, lead if i == 0 and not bold and one.startswith(lead) else "") for i, one in enumerate(found)
    ]


def _draw_line(canvas: Any, line: Line, x: float, y: float) -> None:
    if line.lead:
        canvas.setFont(BOLD, TEXT)
        canvas.drawString(x, y, line.lead)
        x += width(line.lead, BOLD, TEXT)
    canvas.setFont(BOLD if line.bold else PLAIN, TEXT)
    canvas.drawString(x, y, line.text[len(line.lead) :])


def _draw_head(canvas: Any, block: Block, x: float, top: float) -> None:
    call = block.hive.call
    color = SAGE if call.action in _QUIET else CLAY
    canvas.setStrokeColor(INK)
    canvas.setLineWidth(1.6)
    canvas.line(x, top, x + block.room, top)
    shapes.draw(canvas, call.action, x, top - HEAD + 2, ICON, color)
    at = x + ICON + 8
    name, size = shrink(block.hive.hive, BOLD, 15, 118, 8)
    canvas.setFillColor(INK)
    canvas.setFont(BOLD, size)
    canvas.drawString(at, top - 20, name)
    at += 126
    right = x + block.room
    pull = amounts.pull_by(call)
    pull = pull[:1].upper() + pull[1:]
    side = max(width(pull, BOLD, 10.5), width(amounts.sure(call), PLAIN, 9)) + 8
    words, size = shrink(call_words(block.hive, block.units), BOLD, 15, right - side - at, 9)
    canvas.setFont(BOLD, size)
    canvas.drawString(at, top - 20, words)
    canvas.setFont(PLAIN, 9)
    canvas.setFillColor(SOFT)
    canvas.drawRightString(right, top - (25 if pull else 19), amounts.sure(call))
    if pull:
        canvas.setFont(BOLD, 10.5)
        canvas.setFillColor(INK)
        canvas.drawRightString(right, top - 13.5, pull)
