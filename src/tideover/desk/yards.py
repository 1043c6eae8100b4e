"""What the books say of yards and hives, read once until it changes; a yard's land is kept while what it is made from
stands.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from tideover.desk.asked import SEED, Elsewhere
from tideover.desk.batches import Batches, batches, with_batches
from tideover.desk.coldbox import received_until
from tideover.desk.forecast import forecast_key, typical_key
from tideover.desk.land import Land, build
from tideover.desk.usual import Stocked, stands_for, stocked
from tideover.evidence.seen import BoxSpec, HiveCase, Place, Received, Seen
from tideover.plan.settings import Settings
from tideover.records import Books
from tideover.records.cases import boxes_now, cases, place_of, yard_seen

LAND_KINDS = frozenset({"weather day", "bloom note"})
"""Kinds of a yard's own entries that its land is made from; entrance counts are its hives'."""

DAYS_KEPT = 3
"""Lands kept of a yard, each of another day."""


@dataclass(frozen=True)
class Yard:
    """A yard's place, its own entries and its hives' cases as the books hold them."""

    place: Place
    seen: tuple[Seen, ...]
    cases: dict[str, HiveCase]

    @property
    def notes(self) -> tuple[Seen, ...]:
        """The yard's entries but its weather days, of which there are thousands."""
        return tuple(s for s in self.seen if s.kind != "weather day")

    def suspects(self, but: str) -> tuple[str, ...]:
        """Other hives of the yard whose brood signs were answered yes and have not been cleared since."""
        found = []
        for hive_id, c in self.cases.items():
            suspected = False
            for s in c.seen:
                if s.kind == "look" and s.values.get("brood_signs") == "yes":
                    suspected = True
                elif s.kind == "event" and s.values.get("event") == "disease cleared":
                    suspected = False
            if suspected and hive_id != but:
                found.append(hive_id)
        return tuple(found)


@dataclass(frozen=True)
class _MadeFrom:
    """All that a land of one day depends on."""

    place: Place
    seen: tuple[Seen, ...]
    counts: tuple[Seen, ...]
    settings: Settings
    grows: object
    forecast: object
    typical: object


class Yards:
    """Reads the books for the desk.

    :param books: open books.
    :param members: futures and paths drawn of a land.
    """

    def __init__(self, books: Books, members: int) -> None:
        self._books = books
        self._members = members
        self._read: dict[str, Yard] = {}
        self._lands: dict[tuple[str, date], tuple[_MadeFrom, Land]] = {}
        self._doubted: set[tuple[str, date]] = set()
        self._batches: Batches | None = None
        self._stock: tuple[date, tuple[Stocked, ...]] | None = None
        self._zone: tuple[int, ZoneInfo | None] | None = None
        self._last: tuple[int, datetime | None] | None = None
        self._reached: tuple[int, dict[str, tuple[Received, ...]]] | None = None

    def read_again(self, yards: Iterable[str] | None = None) -> None:
        """Doubt what was read of some yards, or of all: it is read again, and lands stand if it is alike."""
        if yards is None:
            self._read.clear()
            self._doubted |= self._lands.keys()
        else:
            for y in yards:
                self._read.pop(y, None)
                self._doubted |= {k for k in self._lands if k[0] == y}
        self._batches = None
        self._stock = None

    def settings(self) -> Settings:
        """The keeper's settings as they stand in the books (names the settings do not know are left alone)."""
        held = self._books.settings()
        known = Settings().to_mapping()
        return Settings.from_mapping({k: v for k, v in held.items() if k in known})

    def zone(self) -> ZoneInfo | None:
        """The zone most yards lie in (the first by name of several such); None, the machine's own, without yards."""
        version = self._books.version()
        if self._zone is None or self._zone[0] != version:
            zones = Counter(y.timezone for y in self._books.yards())
            most = min(zones, key=lambda z: (-zones[z], z)) if zones else None
            self._zone = version, ZoneInfo(most) if most else None
        return self._zone[1]

    def last_at(self) -> datetime | None:
        """When the latest entry that stands was made, None in empty books; looked up once a version of them."""
        version = self._books.version()
        if self._last is None or self._last[0] != version:
            self._last = version, self._books.last_at()
        return self._last[1]

    def yard(self, yard_id: str) -> Yard:
        """A yard with its entries and hives."""
        held = self._read.get(yard_id)
        if held is None:
            held = Yard(
                place_of(self._books.yard(yard_id)), tuple(yard_seen(self._books, yard_id)), cases(self._books, yard_id)
            )
            self._read[yard_id] = held
        return held

    def land(self, yard_id: str, day: date) -> Land:
        """A yard's land on a day: the very same object until something it is made from changes."""
        key = yard_id, day
        held = self._lands.get(key)
        if held is not None and key not in self._doubted:
            return held[1]
        made = self._made_from(yard_id)
        if held is None or held[0] != made:
            # lands are large, and those of days gone by are not asked for again
            for old in [k for k in self._lands if k[0] == yard_id and k != key][: 1 - DAYS_KEPT]:
                del self._lands[old]
            held = made, build(
                made.place, made.seen, made.counts, day, made.settings, members=self._members, seed=SEED,
                grows=made.grows, forecast=made.forecast, typical=made.typical,
            )  # fmt: skip
            self._lands[key] = held
        self._doubted.discard(key)
        return held[1]

    def land_stands(self, yard_id: str, day: date) -> bool:
        """Whether the land kept of a day, if any, would still be made alike; nothing is made."""
        held = self._lands.get((yard_id, day))
        return held is not None and ((yard_id, day) not in self._doubted or held[0] == self._made_from(yard_id))

    def _made_from(self, yard_id: str) -> _MadeFrom:
        yard, held = self.yard(yard_id), self._books.settings()
        return _MadeFrom(
            yard.place,
            tuple(s for s in yard.seen if s.kind in LAND_KINDS),
            tuple(s for c in yard.cases.values() for s in c.seen if s.kind == "entrance count"),
            self.settings(),
            held.get(f"bloom:{yard_id}"),
            held.get(forecast_key(yard_id)),
            held.get(typical_key(yard_id)),
        )

    def elsewhere(self, yard_id: str, day: date) -> Elsewhere | None:
        """The best other yard; the first of several alike."""
        others = [y for y in self._books.yards() if y.id != yard_id]
        best = max(others, key=lambda y: self.land(y.id, day).now.median, default=None)
        if best is None:
            return None
        land = self.land(best.id, day)
        return Elsewhere(best.name, land.now.median, land.weather)

    def case(self, hive_id: str) -> HiveCase:
        """One hive as it stands: pieces filled from their batches, boxes of today, what it got of suspect hives."""
        if self._batches is None:
            self._batches = batches(self._books)
        hive = self._books.hive(hive_id)
        c = with_batches(self.yard(hive.yard).cases[hive_id], self._batches)
        now = boxes_now(hive, c.seen)
        boxes = tuple(BoxSpec(b.frame, b.frames) for b in now)
        return replace(c, boxes=boxes, received=self._received().get(hive_id, ()))

    def _received(self) -> dict[str, tuple[Received, ...]]:
        """What each hive got of pieces that had been on a hive now suspect."""
        version = self._books.version()
        if self._reached is None or self._reached[0] != version:
            self._reached = (version, received_until(self._books))
        return self._reached[1]

    def usual(self, yard_id: str, day: date) -> Stocked | None:
        """The batch in stock that the yard's hives are given next; None is the usual patty of the settings."""
        if self._stock is None or self._stock[0] != day:
            self._stock = day, stocked(self._books, day)
        return stands_for(self._stock[1], yard_id, len(self._books.hives(yard_id)), self.settings())
