"""Made-up rounds and calls for tests of sheets and commands: nothing here is computed."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime

from tideover.desk.views import Band, EntryLine, HiveLine, HiveView, Mark, PattyStay, RoundView, YardLine
from tideover.evidence.words import JELLY, POLLEN_NEST
from tideover.plan.call import ACTIONS, Action, Alternative, Call, Flag, Gate, Interval, Reason, Runway
from tideover.plan.cards.card import Answer, Card, Cell, Row

DAY = date(2031, 7, 14)

GATE = Gate(
    code="G1",
    effect="orders",
    title="Brood looks wrong",
    seen="Brood discoloured or sunken was ticked on 10 July.",
    do="Close up, move no comb and no patty from this hive, and have it looked at before anything is fed.",
    source="common practice, no source",
    refers_to="the apiary inspector or a vet",
)
WARNING = Gate(
    "G4", "warns", "No mite count since spring", "No wash is in the books.", "Count this visit.", "common practice"
)


def runway(median: float | None = 9.0, p: float = 0.97) -> Runway:
    """A runway of nine days, or none within the horizon."""
    return Runway(median, None if median is None else median - 3, None if median is None else median + 7, p)


def call(hive: str = "quarry-03", action: Action = "lay on", grams: float = 453.59237, **changes: object) -> Call:
    """A call with every part filled."""
    gives = grams if action in ("lay on", "give sugar") else 0.0
    base = Call(
        hive=hive,
        yard=hive.split("-")[0],
        made_for=DAY,
        moment="before the round",
        action=action,
        summary=f"{action} at {hive}: the pantry is thin and the land gives little.",
        product={"lay on": "patty", "give sugar": "sugar"}.get(action),
        grams=gives,
        pull_by=datetime(2031, 7, 20, 9, 30, tzinfo=UTC) if action == "lay on" else None,
        sure=0.83,
        toss_up=False,
        runway=runway(),
        milestones={"pantry": runway(4.0), "reserves": runway(7.0), "brood": runway()},
        reasons=(
            Reason("Outer comb had scattered pollen cells on 10 July.", "a1", 0.6),
            Reason("Pollen on offer is a twentieth of a good flow (drought index 520).", None, 0.3),
        ),
        alternatives=(
            Alternative(
                "half a pound now", "lay on", 226.8, 226.8, Interval(14200, 9800, 18900), Interval(5200, 1900, 9100),
                Interval(11, 7, 15), 2.4, 0.4, 0.05, 0.12,
            ),
        ),
        flags=(),
        gates=(WARNING,),
        ask=("jelly of the youngest larvae", "mites in half a cup of nest bees"),
        loads_g=gives,
    )  # fmt: skip
    return replace(base, **changes)  # type: ignore[arg-type]


def answer(action: Action = "leave", grams: float = 0.0, **changes: object) -> Answer:
    """What a card says for one look."""
    return replace(Answer(action, grams, "", action, 0.8, False, 9000.0, 120.0), **changes)  # type: ignore[arg-type]


def card(hive: str = "quarry-03", first_off: bool = False, same: bool = False) -> Card:
    """A field card: a quarter pound where pollen and jelly are poor, leave where they are not."""
    quarter = answer("lay on", 113.398)
    cells = []
    for i, pollen in enumerate(POLLEN_NEST):
        for j, jelly in enumerate(JELLY):
            told = quarter if same or i + j < 3 else answer()
            if not same and (i, j) == (0, 2):
                told = answer("look again", how="cannot tell", words="Cannot tell beforehand.")
            cells.append(Cell(pollen, jelly, 1 / 12, 0.7 if (i, j) == (3, 0) else 0.02, told))
    rows = (
        Row("disease signs", "brood discoloured, sunken or ropy", None, answer("see to the cause first")),
        Row("beetle larvae", "beetle larvae in patty or comb", None, answer("take off")),
        Row("very light", "hive very light", 0.02, answer("give sugar", 4000.0)),
        Row("light", "hive light", 0.1, answer()),
        Row("no eggs", "no eggs", 0.05, answer("look again")),
    )
    why = "About 4 looks of ten at a comb would change the call, mostly to 'leave'."
    return Card(
        hive, hive.split("-")[0], DAY, date(2031, 7, 21), 10.0, quarter, first_off, rows, tuple(cells), 0.55, 120.0,
        True, why,
    )  # fmt: skip


def line(hive: str, yard_name: str, action: Action = "lay on", **changes: object) -> HiveLine:
    """One line of the round."""
    one = call(hive, action, **changes)  # type: ignore[arg-type]
    look = "two-comb look 10 July: 8 + 4½ seams, thin band of pollen, jelly damp"
    return HiveLine(hive, one.yard, yard_name, one, look, date(2031, 7, 10), (14500.0, 19000.0, 24000.0))


def round_view(hives: tuple[int, ...] = (10, 9, 7)) -> RoundView:
    """A round over the three invented yards with every action in it."""
    names = (("quarry", "Quarry"), ("mill-race", "Mill Race"), ("long-fallow", "Long Fallow"))
    yards = []
    n = 0
    for (key, name), count in zip(names, hives, strict=False):
        lines = []
        for i in range(1, count + 1):
            action = ACTIONS[n % len(ACTIONS)]
            extra: dict[str, object] = {"yard": key}
            if action == "see to the cause first":
                extra |= {
                    "gates": (GATE, WARNING),
                    "flags": (Flag("e9", "Seams doubled in four days.", "lay on", "leave"),),
                }
            if action == "leave":
                extra |= {"runway": runway(None, 0.12), "toss_up": True, "sure": 0.52, "worth_opening": False}
            lines.append(line(f"{key}-{i:02d}", name, action, **extra))
            n += 1
        land = "Pollen on offer is low and falling: a dearth since about 2 July, nothing in flower but thistle."
        cautions = ("Heat: ≥ 38 °C by noon; be done by 10:30.", "Fire-ban day: no smoker lit.")
        yards.append(YardLine(key, name, land, (0.03, 0.06, 0.11), 2721.6, cautions, lines))
    return RoundView(DAY, datetime(2031, 7, 13, 18, 0, tzinfo=UTC), yards, 7257.0, 3.0, 41.5)


def hive_view(hive: str = "quarry-03", action: Action = "lay on") -> HiveView:
    """One hive with a short history."""
    days = [date(2031, 7, d) for d in (12, 13, 14)]
    return HiveView(
        line=line(hive, "Quarry", action),
        bands=[Band("adults", "bees", days, [14000.0] * 3, [19000.0] * 3, [24000.0] * 3)],
        marks=[Mark(days[0], "adults", 18500.0, 14000.0, 23000.0, "8 + 4½ seams")],
        patties=[
            PattyStay(date(2031, 6, 30), date(2031, 7, 7), 453.6, 113.4, datetime(2031, 7, 7, tzinfo=UTC), "hard")
        ],
        history=[
            EntryLine("0a1b2c3d-0000", datetime(2031, 7, 10, 9, tzinfo=UTC), "look", "jo", "8+4.5 seams", "stands")
        ],
        runways={"brood": runway()},
        boxes="deep x10 + medium x10",
        today=DAY,
        cluster_day=date(2031, 11, 1),
    )
