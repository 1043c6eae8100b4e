"""An invented desk: real books, made-up answers holding every call, gate and state once."""

from __future__ import annotations

import math
import uuid
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from tests.own_units import cautions
from tests.samples import card
from tideover.desk.neighbours import YardSaid
from tideover.desk.views import Band, EntryLine, HiveLine, HiveView, Mark, PattyStay, RoundView, YardLine
from tideover.plan.call import ACTIONS, Action, Alternative, Call, Effect, Flag, Gate, Interval, Reason, Runway
from tideover.records import Box, Entry, Hive, Yard, describe, open_books

TODAY = date(2026, 8, 4)
FLAGGED = str(uuid.UUID(int=77))

YARDS = (
    Yard("quarry", "Quarry", 37.2, -119.4, "America/Los_Angeles", 310.0, "present", "absent"),
    Yard("mill-race", "Mill Race", 37.3, -119.3, "America/Los_Angeles", 280.0, "absent", "present"),
    Yard("long-fallow", "Long Fallow", 37.1, -119.5, "America/Los_Angeles", 350.0, "unknown", "unknown"),
)

PIECES = {
    "quarry-01": PattyStay(date(2026, 7, 30), None, 453.59237, None, datetime(2026, 8, 6, 8, 0, tzinfo=YARDS[0].zone))
}
_AMOUNT: dict[str, float] = {"lay on": 453.6, "give sugar": 2000.0}
_SUMMARY: dict[str, str] = {
    "lay on": "Pollen runs out before the dearth does, and the brood would be eaten.",
    "leave": "Enough is stored and coming in; feeding would change nothing worth having.",
    "look again": "Too little has been seen to say; one outer comb would decide it.",
    "take off": "The piece has gone hard and the beetles will be at it.",
    "give sugar": "Honey is short; protein comes second.",
    "give water": "Heat takes most foragers for water.",
    "unite": "Too few bees to come through on their own.",
    "move the yard": "Nothing will flower here for seven weeks.",
    "see to the cause first": "No eggs and many cells: this is the queen, not hunger.",
}


_PLANS: tuple[tuple[str, Action, float], ...] = (
    ("leave", "leave", 0.0),
    ("half a pound now", "lay on", 226.8),
    ("a pound now", "lay on", 453.6),
    ("take off", "take off", 0.0),
)


def gates() -> tuple[Gate, ...]:
    """Every effect of a gate, with the codes of the whole table."""
    effects: tuple[Effect, ...] = (
        "blocks",
        "blocks",
        "orders",
        "orders",
        "warns",
        "blocks",
        "blocks",
        "warns",
        "warns",
        "warns",
        "warns",
    )
    return tuple(
        Gate(
            f"G{i}",
            effect,
            f"Gate number {i}",
            f"36 °C (97 °F) were seen for gate {i}",
            f"what to do for gate {i}: 14 lb (6.4 kg) of sugar",
            "winter handbook, page 3",
            "the bee inspector" if i == 1 else "",
        )
        for i, effect in enumerate(effects, 1)
    )


def runway(median: float | None, p: float = 0.9) -> Runway:
    """A runway around a median, or beyond the horizon."""
    if median is None:
        return Runway(None, None, None, p)
    return Runway(median, median * 0.5, None if median > 40 else median * 1.7, p)


def interval(middle: float, spread: float = 0.25) -> Interval:
    """A forecast number with a symmetrical interval."""
    return Interval(middle, middle * (1 - spread), middle * (1 + spread))


class FakeDesk:
    """Stands in for the desk; ``books`` are real, the answers are made up and quick."""

    def __init__(self, path: Path, empty: bool = False) -> None:
        self.books = open_books(path)
        self.rounds_made = 0
        self.said_by_now: dict[str, YardSaid] = {}
        self.order = [] if empty else [f"{YARDS[i % 3].id}-{i // 3 + 1:02d}" for i in range(12)]
        self.before_hive: Callable[[str], None] = lambda hive_id: None
        if not empty and not self.books.hives():
            self._fill()

    def _fill(self) -> None:
        for yard in YARDS:
            self.books.put_yard(yard)
        boxes = ((Box(1, "deep", 10),), (Box(1, "deep", 10), Box(2, "medium", 10)))
        for i, hive in enumerate(self.order):
            self.books.put_hive(Hive(hive, YARDS[i % 3].id, boxes=boxes[i % 2]))
        self.books.add(
            Entry(
                FLAGGED if i == 0 else str(uuid.UUID(int=1000 + i)),
                "look",
                hive.rpartition("-")[0],
                hive,
                datetime(2026, 7, 28, 16, 0, tzinfo=UTC),
                "first keeper",
                "page",
                "metric",
                {
                    "seams": (8.0, 4.5) if i % 2 else (6.0,),
                    "heft": "light",
                    "outer_pollen": "scattered",
                    "shade_temp": 31.0,
                },
            )
            for i, hive in enumerate(self.order)
        )
        self.books.add(
            [
                Entry(
                    str(uuid.UUID(int=500)),
                    "laid on",
                    "quarry",
                    "quarry-01",
                    datetime(2026, 7, 30, 15, 0, tzinfo=UTC),
                    "first keeper",
                    "page",
                    "us",
                    {"weight": 453.59237},
                )
            ]
        )

    def today(self) -> date:
        """The invented day."""
        return TODAY

    def _call(self, i: int, hive: str, yard: str) -> Call:
        action: Action = ACTIONS[i % len(ACTIONS)]
        grams = _AMOUNT.get(action, 0.0)
        alternatives = tuple(
            Alternative(
                name,
                what,
                now,
                now * 3,
                interval(9000 + 400 * k),
                interval(2500 - 300 * k),
                interval(12.0),
                4.5 * k,
                0.2 * k,
                0.05 * k,
                0.1 if what == action else 0.32,
            )
            for k, (name, what, now) in enumerate(_PLANS)
        )
        flags: tuple[Flag, ...] = ()
        if i == 0:
            flags = (Flag(FLAGGED, "Six seams a week after eleven is unlikely.", "lay on 450 g", "leave"),)
        return Call(
            hive,
            yard,
            TODAY,
            "before the round",
            action,
            _SUMMARY[action],
            {"lay on": "patty", "give sugar": "sugar"}.get(action),
            grams,
            datetime(2026, 8, 11, 14, 0, tzinfo=YARDS[0].zone) if action == "lay on" else None,
            0.55 if i % 4 == 3 else 0.83,
            i % 4 == 3,
            runway(None, 0.12) if action == "leave" else runway(9.0),
            {
                "pantry empty": runway(3.0),
                "nurses' reserves low": runway(6.0),
                "larvae being eaten": runway(None, 0.12) if action == "leave" else runway(9.0),
            },
            (
                Reason("Six seams of bees on 28 July.", str(uuid.UUID(int=1000 + i)) if i else FLAGGED, 0.6),
                Reason("Two weeks without rain.", None, 0.3),
            ),
            alternatives,
            flags,
            gates() if i < 2 else gates()[:1] if action == "see to the cause first" else (),
            ("pollen on the outer comb",) if action == "look again" else (),
            ("Treat for mites: 4 per 100 bees.",) if i == 0 else (),
            action != "leave",
            "thin" if action == "look again" else "usual",
            grams,
        )

    def _line(self, i: int, hive: Hive) -> HiveLine:
        looks = self.books.entries(kind="look", hive=hive.id)
        last = looks[-1].at.date() if looks else None
        name = self.books.yard(hive.yard).name
        return HiveLine(
            hive.id, hive.yard, name, self._call(i, hive.id, hive.yard), "six seams", last, (11200.0, 14480.0, 18100.0),
            None if hive.id == "quarry-02" else card(hive.id, first_off=i == 1, same=i == 2),
        )  # fmt: skip

    def round(self, day: date | None = None, progress: Any = None) -> RoundView:
        """The invented round."""
        self.rounds_made += 1
        hives = self.books.hives()
        lines = {h.id: self._line(self.order.index(h.id), h) for h in hives}
        yards = []
        for yard in self.books.yards():
            own = [lines[h.id] for h in hives if h.yard == yard.id]
            said = (*cautions(), "Fire ban: no smoker.") if yard.id == "quarry" else ()
            load = sum(line.call.loads_g for line in own)
            yards.append(
                YardLine(
                    yard.id,
                    yard.name,
                    "Deep dearth since 12 July; a little may come after rain.",
                    (0.02, 0.05, 0.1),
                    load,
                    said,
                    own,
                )
            )
        return RoundView(TODAY, datetime(2026, 8, 4, 5, 0, tzinfo=UTC), yards, sum(y.load_g for y in yards), 4.0, 23.5)

    def work_ahead(self, turn: Any, progress: Any = None) -> bool:
        """Ask for every hive, one a turn."""
        hives = self.books.hives()
        for i, hive in enumerate(hives):
            if progress is not None:
                progress(i, len(hives), hive.id)
            with turn():
                self.hive(hive.id)
        return True

    def hive(self, hive_id: str) -> HiveView:
        """The invented answers of one hive."""
        self.before_hive(hive_id)
        hive = self.books.hive(hive_id)
        line = self._line(self.order.index(hive_id), hive)
        days = [date(2026, 5, 1) + timedelta(days=i) for i in range(175)]
        bands = []
        for name, unit, scale in (
            ("adults", "bees", 16000.0),
            ("brood", "cells", 12000.0),
            ("pollen", "g", 900.0),
            ("honey", "kg", 14.0),
        ):
            middle = [scale * (0.6 + 0.4 * math.sin(i / 55.0)) for i in range(175)]
            wide = [0.1 + 0.3 * max(i - 90, 0) / 85 for i in range(175)]
            bands.append(
                Band(
                    name,
                    unit,
                    days,
                    [m * (1 - w) for m, w in zip(middle, wide, strict=True)],
                    middle,
                    [m * (1 + w) for m, w in zip(middle, wide, strict=True)],
                )
            )
        marks = [
            Mark(date(2026, 6, 2), "adults", 13000.0, 10500.0, 15800.0, "8 seams"),
            Mark(date(2026, 7, 28), "adults", 12000.0, 9800.0, 14500.0, "6 seams"),
            Mark(date(2026, 7, 28), "pollen", 500.0, 200.0, 900.0, "scattered cells"),
        ]
        zone = self.books.yard(hive.yard).zone
        patties = [
            PattyStay(date(2026, 7, 10), date(2026, 7, 17), 453.6, 100.0, datetime(2026, 7, 17, 12, tzinfo=zone))
        ]
        if hive_id == "quarry-01":
            patties.append(PattyStay(date(2026, 7, 30), None, 453.6, None, datetime(2026, 8, 6, 12, tzinfo=zone)))
        history = [
            EntryLine(
                e.id,
                e.at.astimezone(zone),
                e.kind,
                e.who,
                describe(e),
                "flagged" if e.id == FLAGGED and state == "stands" else state,
            )
            for e, state in self.books.all_entries(hive=hive_id)
        ]
        return HiveView(
            line,
            bands,
            marks,
            patties,
            history,
            line.call.milestones,
            "deep x10",
            TODAY,
            date(2026, 10, 20),
            None,
            ["The value of a patty against pollen stays as uncertain as the literature has it."],
        )

    def calls(self, progress: Any = None) -> list[Call]:
        """A call per hive."""
        return [self._call(i, hive, hive.rpartition("-")[0]) for i, hive in enumerate(self.order)]

    def keep(self, settings: Mapping[str, Any]) -> None:
        """Write settings."""
        self.books.put_settings(settings)

    def yard_said(self, yard_id: str) -> YardSaid:
        """What looks at a yard's hives say of its land: nothing."""
        return YardSaid((), tuple(h.id for h in self.books.hives(yard_id)))

    def yard_said_by_now(self, yard_id: str) -> YardSaid:
        """The same at once, unless a test has put something else there."""
        return self.said_by_now.get(yard_id) or self.yard_said(yard_id)

    def pieces_on(self) -> dict[str, PattyStay]:
        """One piece on one hive, when that hive is in the books."""
        return PIECES if any(h.id == "quarry-01" for h in self.books.hives()) else {}

    def enter(self, entry: Entry) -> HiveView | None:
        """Write an entry and answer for its hive."""
        self.books.add([entry])
        return self.hive(entry.hive) if entry.hive else None

    def enter_all(self, entries: Sequence[Entry]) -> HiveView | None:
        """Write entries together and answer for their hive."""
        self.books.add(entries)
        hive = next((e.hive for e in entries if e.hive), None)
        return self.hive(hive) if hive else None
