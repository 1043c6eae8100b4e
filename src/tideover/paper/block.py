"""One hive on the sheet: the call in words and shape, what is known, blanks to fill in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

from tideover.paper import amounts, blanks, cards, shapes
from tideover.paper.lettering import BOLD, CLAY, INK, PLAIN, SAGE, SOFT, shrink, width, wrap
from tideover.plan.gates_table import KINDS
from tideover.records.own_units import own_first

if TYPE_CHECKING:
    from tideover.desk.views import HiveLine
    from tideover.plan.call import Gate

HEAD: Final = 31.0
ICON: Final = 25.0
TEXT: Final = 9.5
LEADING: Final = 11.6
COLUMN_GAP: Final = 14.0
PAD: Final = 7.0
FULL: Final = 6
"""Lines of text in a column beyond which spare words are left out."""
SHARED_BY: Final = 3
"""From this many hives on, what a gate says is told once for the yard."""

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
    card: cards.Strip | None = None

    @property
    def height(self) -> float:
        """Height on the page [pt]."""
        card = 0.0 if self.card is None else self.card.height
        return HEAD + LEADING * max(len(self.left), len(self.right)) + card + 5 + blanks.height(self.units) + PAD

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
        if self.card is not None:
            self.card.draw(canvas, x, top - HEAD - text_height - 2)
            text_height += self.card.height
        blanks.draw(canvas, x, top - HEAD - text_height - 5, self.room, self.units)


def make(hive: HiveLine, units: str, room: float, told: frozenset[str] = frozenset()) -> Block:
    """Measure a hive's block for a page ``room`` [pt] wide.

    ``told`` are codes of gates that stand whole at the head of the yard; here their titles are enough.
    """
    half = (room - COLUMN_GAP) / 2
    state = [part for part in _state(hive, half) if part]
    advice = _advice(hive, half, told, units)
    left, right = _columns(state + [lines for lines, _ in advice])
    # three hives fit a page when what may be left out is; what stops or comes first never is
    while max(len(left), len(right)) > FULL and any(spare for _, spare in advice):
        last = max(i for i, (_, spare) in enumerate(advice) if spare)
        del advice[last]
        left, right = _columns(state + [lines for lines, _ in advice])
    card = None if hive.card is None else cards.strip(hive.card, units, room)
    return Block(hive, units, room, tuple(left), tuple(right), card)


def _columns(parts: list[list[Line]]) -> tuple[list[Line], list[Line]]:
    """Parts read down the left column, then down the right one, cut where the block comes out lowest."""
    heights = [sum(len(part) for part in parts[:i]) for i in range(len(parts) + 1)]
    cut = min(range(len(parts) + 1), key=lambda i: (max(heights[i], heights[-1] - heights[i]), -i))
    return [line for part in parts[:cut] for line in part], [line for part in parts[cut:] for line in part]


def _state(hive: HiveLine, half: float) -> list[list[Line]]:
    """What is known of the hive, and what to look for."""
    call = hive.call
    return [
        _lines("Last look:", hive.last_look or "not looked at yet", half, 3),
        _lines("Today:", f"about {amounts.bees(hive.bees)}", half, 2),
        _lines("Runway:", amounts.runway(call.runway), half, 2),
        []
        if call.worth_opening or hive.card is not None
        else _lines("", "Can be done without opening the hive.", half, 1),
        _lines("Look for:", "; ".join(call.ask), half, 3) if call.ask else [],
    ]


def _advice(hive: HiveLine, half: float, told: frozenset[str], units: str) -> list[tuple[list[Line], bool]]:
    """What stands in the way, what follows, and why; each with whether it may be left out."""
    call = hive.call
    found: list[tuple[list[Line], bool]] = []
    gates = sorted((gate for gate in call.gates if not of_visit(gate)), key=lambda gate: _ORDER[gate.effect])
    # what blocks or orders is printed whole, here or at the head of the yard; of the warnings only the first
    for gate in gates:
        if gate.effect != "warns":
            words = gate.title if gate.code in told else own_first(gate_words(gate), units)
            found.append((_lines(f"{_STOPS[gate.effect]}:", words, half, 0, bold=True), False))
    found += [
        (_lines("Mind:", own_first(gate_words(gate), units), half, 2), False)
        for gate in gates
        if gate.effect == "warns"
    ][:1]
    found += [(_lines("Then:", own_first(text, units), half, 2), i > 0) for i, text in enumerate(call.then_[:2])]
    found += [(_lines("Odd entry:", own_first(flag.text, units), half, 2), False) for flag in call.flags[:1]]
    # The first reason is the plain one (stores, need, income); the look that weighed most comes beside it.
    heaviest = sorted(call.reasons[1:], key=lambda r: -abs(r.weight))[:1]
    whys = [reason.text for reason in (*call.reasons[:1], *heaviest)] or [call.summary]
    return found + [(_lines("Why:", own_first(text, units), half, 2), i > 0) for i, text in enumerate(whys)]


def shared(hives: Sequence[HiveLine]) -> list[Gate]:
    """Gates that say the same at three hives or more: told once, at the head of the yard."""
    counted: dict[tuple[str, str, str], list[Gate]] = {}
    for hive in hives:
        for gate in hive.call.gates:
            if gate.effect != "warns" and not of_visit(gate):
                counted.setdefault((gate.code, gate.title, gate.do), []).append(gate)
    return [found[0] for found in counted.values() if len(found) >= SHARED_BY]


def visit_titles(hives: Sequence[HiveLine]) -> list[str]:
    """What rules the visit itself, in a few words each, without repeats."""
    gates = [gate for hive in hives for gate in hive.call.gates if of_visit(gate) and gate.effect != "warns"]
    return list(dict.fromkeys(gate.title for gate in gates))


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
