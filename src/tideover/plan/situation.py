"""What stands written about a hive up to a day: entries folded into facts with their dates.

Nothing is guessed here. A field nobody looked at is absent, 'not looked' is kept apart
from 'no', and every fact carries the entry it came from.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final, Literal

from scipy.special import betaincinv

from tideover.evidence.seen import HiveCase, Place, Received, Seen, Value
from tideover.figures import reader

_value = reader("calls")
Answer = Literal["yes", "no", "not looked", "never asked"]

COMB_FIELDS: Final = frozenset(
    {
        "outer_pollen",
        "outer_half_sides",
        "nest_pollen",
        "brood_combs",
        "capped_quarters",
        "open_quarters",
        "eggs",
        "jelly",
        "jelly_floating",
        "jelly_damp",
        "jelly_dry",
    }
)
"""Fields that can only be filled with a comb in hand."""

TINY_SEAMS: Final = _value("tiny_seams")
"""A colony on this many seams or fewer is called tiny."""


@dataclass(frozen=True)
class Known:
    """One value with the day, the hour and the entry it came from."""

    value: Value
    day: date
    hour: float
    entry: str


@dataclass(frozen=True)
class Sign:
    """The last answer to a yes/no question.

    ``answer`` is the last yes or no; 'not looked' only when it was asked and never answered, and
    'never asked' when no entry holds it. A later 'not looked' never changes a yes or a no.
    """

    answer: Answer = "never asked"
    day: date | None = None
    entry: str = ""

    def within(self, today: date, days: float) -> bool:
        """Whether there is a yes or no that is at most this many days old."""
        return self.day is not None and self.answer in ("yes", "no") and (today - self.day).days <= days


@dataclass(frozen=True)
class MiteCount:
    """A mite wash with its rate per 100 bees and the exact 95 % interval of that rate."""

    mites: int
    bees: int
    bees_assumed: bool
    rate: float
    low: float
    high: float
    day: date
    entry: str


@dataclass(frozen=True)
class Piece:
    """A patty laid on, and the last that was seen of it."""

    entry: str
    grams: float
    on: date
    on_hour: float
    protein: float | None = None
    pollen_share: float | None = None
    place: str | None = None
    left_quarters: float | None = None
    left_day: date | None = None
    texture: str | None = None
    touch: Answer = "never asked"
    debris: str | None = None
    larvae: Answer = "never asked"

    @property
    def left_grams(self) -> float | None:
        """Grams still there when last seen; None when nobody looked."""
        return None if self.left_quarters is None else self.grams * self.left_quarters / 4


@dataclass(frozen=True)
class Syrup:
    """Syrup given: litres and sugar share [% of weight], either of which may not have been written."""

    day: date
    litres: float | None
    sugar_share: float | None


@dataclass(frozen=True)
class Situation:
    """All that stands written about one hive and bears on its call, on the evening of ``today``."""

    hive: str
    today: date
    place: Place
    latest: Mapping[str, Known] = field(default_factory=dict)
    signs: Mapping[str, Sign] = field(default_factory=dict)
    last_look: date | None = None
    last_comb_look: date | None = None
    eggs_comb_looks: tuple[tuple[date, bool], ...] = ()
    """Days on which eggs were looked for and whether they were seen, newest first, at most two."""
    disease_suspected: Known | None = None
    """The brood signs answered yes and not cleared since; a later no does not clear them."""
    beetles_suspected: Known | None = None
    """The last sight of beetles or their larvae, not cleared since; finding none later does not clear it."""
    mite_count: MiteCount | None = None
    treated_on: date | None = None
    patty: Piece | None = None
    """The piece on the hive, as far as is known."""
    older_patty: Piece | None = None
    """An earlier piece seen in part after which a new one was laid on, with no taking off written."""
    feeds: tuple[Piece, ...] = ()
    """Every piece laid on this season, oldest first."""
    received: tuple[Received, ...] = ()
    """Pieces laid on here that had been on a hive now suspect, the nearest first."""
    syrup: tuple[Syrup, ...] = ()
    dead_bees: Known | None = None
    robbing: Known | None = None
    honey_boxes: Known | None = None
    """The event 'honey boxes on' that still holds, else None."""
    fire_ban: Known | None = None
    water_given: date | None = None
    swarmed_on: date | None = None
    split_on: date | None = None
    united_on: date | None = None
    requeened_on: date | None = None
    moved_on: date | None = None
    died: Known | None = None
    entrance: Known | None = None
    """The last entrance count; its value is the share of returning bees with pollen (0-1)."""
    entrance_bees: int | None = None
    """Returning bees in that count."""

    def days_since_look(self) -> int | None:
        """Days since any look; None when there was none."""
        return None if self.last_look is None else (self.today - self.last_look).days

    def days_since_comb_look(self) -> int | None:
        """Days since a comb was last in hand; None when there was none."""
        return None if self.last_comb_look is None else (self.today - self.last_comb_look).days

    def sign(self, name: str) -> Sign:
        """The answer to a yes/no question of looks."""
        return self.signs.get(name, Sign())

    def word(self, name: str, within_days: float | None = None) -> str | None:
        """The last word written for a field, if it is recent enough; None when missing."""
        known = self.latest.get(name)
        if known is None or not isinstance(known.value, str):
            return None
        return None if within_days is not None and self.age(known) > within_days else known.value

    def number(self, name: str, within_days: float | None = None) -> float | None:
        """The last number written for a field, if it is recent enough; None when missing."""
        known = self.latest.get(name)
        if known is None or isinstance(known.value, (str, tuple)):
            return None
        return None if within_days is not None and self.age(known) > within_days else float(known.value)

    def age(self, known: Known) -> int:
        """Days since a fact was written."""
        return (self.today - known.day).days

    @property
    def seams_by_box(self) -> tuple[float, ...] | None:
        """Seams of bees in each box, bottom first, at the last look that counted them; None when never counted."""
        known = self.latest.get("seams")
        return None if known is None or not isinstance(known.value, tuple) else tuple(map(float, known.value))

    @property
    def seams_total(self) -> float | None:
        """Seams of bees over all boxes at the last look that counted them; None when never counted."""
        seams = self.seams_by_box
        return None if seams is None else float(sum(seams))

    @property
    def tiny(self) -> bool:
        """Whether the last count of seams shows a very small colony; False when never counted."""
        seams = self.seams_total
        return seams is not None and seams <= TINY_SEAMS

    @property
    def fed_this_season(self) -> bool:
        """Whether any piece was laid on this season."""
        return bool(self.feeds)


def mite_count(mites: int, bees: int | None, day: date, entry: str, mite_sample: float = 300) -> MiteCount:
    """Rate per 100 bees with the exact (Clopper & Pearson 1934) 95 % interval.

    Mites are counted on bees, so the sample is taken as binomial; clumping between frames makes the
    real error larger. More mites than bees: the upper end is not bounded by 100.
    """
    n = round(mite_sample) if bees is None else bees
    if n < 1 or mites < 0:
        raise ValueError(f"A mite wash got {mites} mites in {n} bees, wanted 0 or more in 1 or more: correct it.")
    k = min(mites, n)
    low = 0.0 if k == 0 else float(betaincinv(k, n - k + 1, 0.025))
    high = 1.0 if k == n else float(betaincinv(k + 1, n - k, 0.975))
    return MiteCount(mites, n, bees is None, 100 * mites / n, 100 * low, max(100 * high, 100 * mites / n), day, entry)


def season_start(place: Place, today: date) -> date:
    """First day of the season: a week and a half after midwinter, by hemisphere."""
    month = 7 if place.latitude < 0 else 1
    start = date(today.year, month, 1)
    return start if start <= today else date(today.year - 1, month, 1)


def situation(case: HiveCase, yard_seen: Iterable[Seen], today: date, mite_sample: float = 300) -> Situation:
    """Fold a hive's entries and its yard's events up to and including a day into a situation.

    Args:
        case: the hive with its entries, in any order.
        yard_seen: entries about the yard; only its events bear on a hive here.
        today: entries after this day are left out.
        mite_sample: bees taken to be in a wash whose bees were not counted.
    """
    start = season_start(case.place, today)
    own = _in_order(s for s in case.seen if s.day <= today)
    events = _in_order([*own, *(s for s in yard_seen if s.day <= today and s.kind == "event")])
    looks = [s for s in own if s.kind == "look"]
    combs = [s for s in looks if COMB_FIELDS & s.values.keys()]
    latest: dict[str, Known] = {}
    for s in own:
        if s.kind in ("look", "taken off"):
            for name, value in s.values.items():
                if value != "not looked":
                    latest[name] = Known(value, s.day, s.hour, s.id)
    signs = _signs(s for s in own if s.kind in ("look", "taken off", "laid on"))
    washes = [s for s in own if s.kind == "mite wash" and "mites" in s.values]
    count = None
    if washes:
        last = washes[-1]
        bees = _int(last, "bees")
        count = mite_count(_int(last, "mites") or 0, bees, last.day, last.id, mite_sample)
    made = Situation(
        hive=case.hive,
        today=today,
        place=case.place,
        latest=latest,
        signs=signs,
        last_look=looks[-1].day if looks else None,
        last_comb_look=combs[-1].day if combs else None,
        eggs_comb_looks=_eggs(combs),
        received=tuple(r for r in case.received if r.on <= today and r.suspect_since <= today),
        disease_suspected=_uncleared(events, lambda s: s.values.get("brood_signs") == "yes"),
        beetles_suspected=_uncleared(events, _shows_beetles),
        mite_count=count,
        syrup=tuple(
            Syrup(s.day, _float(s, "syrup"), _float(s, "sugar_share"))
            for s in own
            if s.kind == "event" and s.values.get("event") == "syrup" and s.day >= start
        ),
        entrance=_entrance(own),
        entrance_bees=next((_int(s, "bees_in") for s in reversed(own) if s.kind == "entrance count"), None),
    )
    return replace(_pieces(made, own, start), **_events(events, own))  # type: ignore[arg-type]


def _in_order(seen: Iterable[Seen]) -> list[Seen]:
    # A yard's event may be listed with its hive's entries as well; one id counts once.
    return sorted({s.id: s for s in seen}.values(), key=lambda s: (s.day, s.hour, s.id))


def _float(s: Seen, name: str) -> float | None:
    value = s.values.get(name)
    return None if value is None or isinstance(value, (str, tuple)) else float(value)


def _int(s: Seen, name: str) -> int | None:
    value = _float(s, name)
    return None if value is None else round(value)


def _text(s: Seen, name: str) -> str | None:
    value = s.values.get(name)
    return value if isinstance(value, str) else None


def _signs(seen: Iterable[Seen]) -> dict[str, Sign]:
    signs: dict[str, Sign] = {}
    for s in seen:
        for name, value in s.values.items():
            if value == "yes" or value == "no":
                signs[name] = Sign("yes" if value == "yes" else "no", s.day, s.id)
            elif value == "not looked" and name not in signs:
                signs[name] = Sign("not looked", s.day, s.id)
    return signs


def _eggs(combs: Sequence[Seen]) -> tuple[tuple[date, bool], ...]:
    # Several looks on one day are one visit: eggs seen once that day were there.
    by_day: dict[date, bool] = {}
    for s in combs:
        answer = s.values.get("eggs")
        if answer in ("yes", "no"):
            by_day[s.day] = by_day.get(s.day, False) or answer == "yes"
    return tuple(sorted(by_day.items(), reverse=True)[:2])


def _uncleared(seen: Sequence[Seen], suspicious: Callable[[Seen], bool]) -> Known | None:
    suspected = None
    for s in seen:
        if suspicious(s):
            suspected = Known("yes", s.day, s.hour, s.id)
        elif s.kind == "event" and s.values.get("event") == "disease cleared":
            suspected = None
    return suspected


def _shows_beetles(s: Seen) -> bool:
    return s.values.get("beetle_larvae") == "yes" or s.values.get("beetles") in ("few", "many")


def _entrance(own: Sequence[Seen]) -> Known | None:
    for s in reversed(own):
        if s.kind == "entrance count":
            bees, pollen = _float(s, "bees_in"), _float(s, "with_pollen")
            if bees and pollen is not None:
                return Known(min(1.0, pollen / bees), s.day, s.hour, s.id)
            return None
    return None


def _events(events: Sequence[Seen], own: Sequence[Seen]) -> dict[str, Known | date | None]:
    last: dict[str, Known] = {}
    for s in events:
        name = _text(s, "event")
        if s.kind == "event" and name:
            last[name] = Known(name, s.day, s.hour, s.id)

    def holds(on: str, off: str) -> Known | None:
        begun, ended = last.get(on), last.get(off)
        if begun is None or (ended is not None and (ended.day, ended.hour) >= (begun.day, begun.hour)):
            return None
        return begun

    def day(name: str) -> date | None:
        known = last.get(name)
        return None if known is None else known.day

    died = last.get("death")
    if died is not None and any(_lives(s) and (s.day, s.hour) > (died.day, died.hour) for s in own):
        died = None
    return {
        "treated_on": day("treatment"),
        "dead_bees": last.get("dead bees seen"),
        "robbing": last.get("robbing seen"),
        "honey_boxes": holds("honey boxes on", "honey boxes off"),
        "fire_ban": holds("fire ban on", "fire ban off"),
        "water_given": day("water given"),
        "swarmed_on": day("swarm"),
        "split_on": day("split"),
        "united_on": day("unite"),
        "requeened_on": day("requeen"),
        "moved_on": day("move"),
        "died": died,
    }


def _lives(s: Seen) -> bool:
    """Whether an entry shows bees in a hive: a hive restocked after a death lives again."""
    seams = s.values.get("seams")
    return s.kind == "look" and isinstance(seams, tuple) and sum(seams) > 0


def _pieces(made: Situation, own: Sequence[Seen], start: date) -> Situation:
    on: Piece | None = None
    older: Piece | None = None
    feeds: list[Piece] = []
    for s in own:
        if s.kind == "laid on":
            if on is not None and on.left_quarters:
                older = on
            on = Piece(
                s.id,
                _float(s, "weight") or 0.0,
                s.day,
                s.hour,
                _float(s, "protein"),
                _float(s, "pollen_share"),
                _text(s, "place"),
            )
            feeds.append(on)
        elif s.kind in ("look", "taken off") and on is not None:
            on = _seen_again(on, s)
            feeds[-1] = on
            if s.kind == "taken off" or on.left_quarters == 0:
                on = older = None
    return replace(made, patty=on, older_patty=older, feeds=tuple(p for p in feeds if p.on >= start))


def _seen_again(piece: Piece, s: Seen) -> Piece:
    changes: dict[str, object] = {}
    left = _float(s, "patty_left")
    weight = _float(s, "weight")
    if left is None and s.kind == "taken off" and weight is not None and piece.grams > 0:
        left = min(4.0, 4 * weight / piece.grams)
    if left is not None:
        changes |= {"left_quarters": left, "left_day": s.day}
    for name, to in (("patty_texture", "texture"), ("patty_debris", "debris")):
        if (word := _text(s, name)) is not None:
            changes[to] = word
    for name, to in (("patty_touch", "touch"), ("beetle_larvae", "larvae")):
        if (word := _text(s, name)) in ("yes", "no"):
            changes[to] = word
    return replace(piece, **changes)  # type: ignore[arg-type]
