"""The cold box: what lies in the freezer and may go back where, what must go, what is on hives, what is missing."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

from tideover.beetle.clock import Clock, clock
from tideover.beetle.freezing import CORE_C, PATTY_MM, ready_hours
from tideover.beetle.heat import hourly_from_daily, piece_hourly
from tideover.evidence.seen import Received
from tideover.figures import reader
from tideover.patty.ledger import balance as balances
from tideover.patty.ledger.balance import Balance
from tideover.patty.ledger.codes import read_made, tidy
from tideover.patty.ledger.facts import Fact, Kind
from tideover.patty.ledger.fold import Ledger, fold
from tideover.patty.ledger.holes import Hole
from tideover.patty.ledger.moves import Piece, Spell, Stay
from tideover.patty.ledger.trace import Trace, trace
from tideover.plan.settings import Settings
from tideover.plan.situation import season_start
from tideover.records import Books, Entry
from tideover.records.cases import place_of

STACK_UNSAID: Final = int(reader("calls")("stack_unsaid"))
"""Pieces taken to lie on one another where the entry does not say (on the slow side)."""
OLD_D: Final = reader("calls")("frozen_old_d")
"""Longer than this in the freezer is called old: fats go rancid though nothing grows."""
_KINDS: Final[tuple[Kind, ...]] = ("batch", "laid on", "taken off", "cold box", "discarded", "stock count")
_PATTY_SEEN: Final = frozenset({"patty_left", "patty_texture", "patty_debris"})

State = Literal["ready", "not yet", "never", "throw away"]
ORDER: Final[tuple[State, ...]] = ("throw away", "ready", "not yet", "never")


@dataclass(frozen=True)
class Frozen:
    """A piece, or part of a batch, in the freezer. ``hive`` is where it goes back; None where it never lay on one."""

    piece: str
    batch: str
    grams: float
    hive: str | None
    yard: str
    since: datetime
    freezer_c: float
    freezer_said: bool
    stack: int
    stack_said: bool
    thickness_mm: float
    hours: float | None
    """Hours it must lie there; None where that freezer never kills beetles."""
    ready_at: datetime | None
    state: State
    why: str
    entry: str


@dataclass(frozen=True)
class OnHive:
    """A piece on a hive as far as is written."""

    piece: str
    batch: str
    hive: str
    yard: str
    since: datetime
    laid_g: float
    left_g: float
    seen_at: datetime | None
    pull_by: datetime
    overdue: bool
    texture: str | None
    suspect: str
    """Why it must come off and be thrown away; '' when nothing is against it."""
    entry: str


@dataclass(frozen=True)
class InHand:
    """A rest that came off a hive and is not written to be anywhere."""

    piece: str
    hive: str | None
    yard: str
    grams: float
    since: datetime


@dataclass(frozen=True)
class BatchLine:
    """A batch and where its grams are."""

    name: str
    origin: str | None
    at: datetime | None
    protein_pct: float | None
    cost: float | None
    keeps_until: date | None
    known: bool
    entry: str
    balance: Balance


@dataclass(frozen=True)
class ColdBoxView:
    """Everything the cold box shows."""

    now: datetime
    yard: str
    """The yard whose store is written to: the one named in the settings, else the first."""
    frozen: tuple[Frozen, ...]
    on_hives: tuple[OnHive, ...]
    in_hand: tuple[InHand, ...]
    holes: tuple[Hole, ...]
    older_holes: int
    batches: tuple[BatchLine, ...]
    yards: tuple[Balance, ...]
    everything: Balance
    traces: tuple[Trace, ...]

    @property
    def empty(self) -> bool:
        """Whether nothing about patties was ever written."""
        return self.everything.got_g == 0.0 and not self.batches and not self.holes


def facts_of(books: Books) -> list[Fact]:
    """Every standing entry about patties, of all yards, as the ledger takes them."""
    found = [_fact(e, kind) for kind in _KINDS for e in books.entries(kind=kind)]
    found += [_fact(e, "seen") for e in books.entries(kind="look") if e.hive and _PATTY_SEEN & e.values.keys()]
    return found


def _fact(e: Entry, kind: Kind) -> Fact:
    v = e.values

    def number(name: str) -> float | None:
        x = v.get(name)
        return float(x) if isinstance(x, int | float) else None

    def text(name: str) -> str | None:
        x = v.get(name)
        return x if isinstance(x, str) else None

    stack, pieces, keeps = number("stack"), number("pieces"), text("keeps_until")
    return Fact(
        e.id, kind, e.at, e.yard, e.hive, text("batch"), text("piece"), number("weight"), number("patty_left"),
        text("patty_texture"), text("patty_debris"), text("beetle_larvae"), text("goes"), text("why"), text("place"),
        number("freezer_temp"), None if stack is None else int(stack), number("thickness"),
        None if pieces is None else int(pieces), number("protein"), number("cost"), text("origin"),
        date.fromisoformat(keeps) if keeps else None,
    )  # fmt: skip


def suspects(books: Books, before: datetime | None = None) -> dict[str, datetime]:
    """Hives whose brood signs were answered yes and not cleared since, with when that was written.

    before: leaves out what is dated at or after it.
    """
    looks = [e for e in books.entries(kind="look", until=before) if e.hive and e.values.get("brood_signs") == "yes"]
    cleared = [e for e in books.entries(kind="event", until=before) if e.values.get("event") == "disease cleared"]
    found: dict[str, datetime] = {}
    for e in looks:
        done = any(c.at > e.at and (c.hive == e.hive or (c.hive is None and c.yard == e.yard)) for c in cleared)
        if not done and e.hive:
            found[e.hive] = max(e.at, found.get(e.hive, e.at))
    return found


def received(traces: Iterable[Trace], suspect_hives: Iterable[str]) -> dict[str, tuple[Received, ...]]:
    """What each hive got of pieces that had been on a suspect hive; suspect hives themselves are left out."""
    out: dict[str, list[Received]] = {}
    sick = set(suspect_hives)
    for t in traces:
        for r in t.hives:
            if r.hive not in sick:
                one = Received(r.piece, r.suspect, r.at.date(), t.since.date(), r.hand, r.still_on, r.grams)
                out.setdefault(r.hive, []).append(one)
    return {h: tuple(sorted(rs, key=lambda r: (r.hand, r.on, r.piece))) for h, rs in out.items()}


def received_until(books: Books, day: date | None = None) -> dict[str, tuple[Received, ...]]:
    """As ``received``, from all that is written, or up to the evening of ``day``.

    Nothing is folded where no hive is sick.
    """
    zones = {y.id: y.zone for y in books.yards()}
    evenings = [] if day is None else [datetime.combine(day + timedelta(days=1), datetime.min.time(), z)
                                       for z in zones.values()]  # fmt: skip
    sick = suspects(books, max(evenings, default=None))
    if not sick:
        return {}
    ledger = fold(f for f in facts_of(books) if day is None or f.at.astimezone(zones[f.yard]).date() <= day)
    return received(trace(ledger, sick), sick)


def cold_box(books: Books, now: datetime, settings: Settings) -> ColdBoxView:
    """Work out the cold box as it stands at ``now`` (aware); entries of later days are left out."""
    day = now.date()
    yards = books.yards()
    zones = {y.id: y.zone for y in yards}
    places = {y.id: place_of(y) for y in yards}
    evening = {y: datetime.combine(day + timedelta(days=1), datetime.min.time(), z) for y, z in zones.items()}
    facts = [f for f in facts_of(books) if f.at.astimezone(zones[f.yard]).date() <= day]
    ledger = fold(facts)
    sick = suspects(books, max(evening.values(), default=None))
    traces = trace(ledger, sick)
    bad = {t.piece: (t.suspect, t.hand) for tr in reversed(traces) for t in tr.pieces}
    homes = {h.id: h.yard for h in books.hives()}

    frozen = []
    on_hives = []
    in_hand = []
    for p in ledger.pieces.values():
        yard = p.owner_yard or (ledger.batches[p.batch].yard if p.batch in ledger.batches else "") or yards[0].id
        if p.spell is not None:
            frozen.append(_frozen(p, p.spell, ledger, settings, bad, yard, now, zones[yard]))
        for s in p.on:
            beetles = places[s.yard].beetles
            on_hives.append(_on_hive(p, s, settings, beetles, bad, now, zones[s.yard]))
        if p.hand_g > 0.0 and p.hand_since is not None:
            in_hand.append(InHand(p.code, p.owner, homes.get(p.owner or "", yard), p.hand_g,
                                  p.hand_since.astimezone(zones[yard])))  # fmt: skip
    start = min((season_start(pl, day) for pl in places.values()), default=date(day.year, 1, 1))
    fresh = tuple(h for h in ledger.holes if h.at.date() >= start)
    named = sorted(ledger.batches.values(), key=lambda b: (b.at is None, b.at or evening[yards[0].id], b.name))
    batches = [
        BatchLine(b.name, b.origin, b.at, b.protein_pct, b.cost, b.keeps_until, b.known, b.entry,
                  balances.of_batch(ledger, b.name)) for b in named
    ]  # fmt: skip
    loose = balances.of_batch(ledger, "")
    if loose.got_g > 0.0:
        batches.append(BatchLine("", None, None, None, None, None, True, "", loose))
    return ColdBoxView(
        now,
        yards[0].id if yards else "",
        tuple(sorted(frozen, key=lambda f: (ORDER.index(f.state), f.yard, f.hive or "", f.since, f.piece))),
        tuple(sorted(on_hives, key=lambda o: (not o.suspect, o.pull_by, o.hive, o.piece))),
        tuple(sorted(in_hand, key=lambda i: (i.since, i.piece))),
        fresh,
        len(ledger.holes) - len(fresh),
        tuple(batches),
        tuple(balances.of_yard(ledger, y.id) for y in yards),
        balances.of_all(ledger),
        traces,
    )


def _against(p: Piece, ledger: Ledger, bad: dict[str, tuple[str, int]], day: date) -> str:
    """Why a piece must be thrown away; '' when nothing is against it."""
    if p.code in bad:
        suspect, hand = bad[p.code]
        way = "it lay on" if hand == 1 else "it lay with a piece of"
        return f"{way} {suspect}, which may have a brood disease: freezing does not kill foulbrood spores"
    if p.larvae:
        return "beetle larvae were seen in it"
    held = ledger.batches.get(p.batch)
    if held is not None and held.keeps_until is not None and held.keeps_until < day:
        return f"batch {held.name} was good until {held.keeps_until:%-d %B}"
    return ""


def _frozen(
    p: Piece, spell: Spell, ledger: Ledger, settings: Settings, bad: dict[str, tuple[str, int]], yard: str,
    now: datetime, zone: ZoneInfo,
) -> Frozen:  # fmt: skip
    air = settings.freezer_temp_c if spell.freezer_c is None else spell.freezer_c
    stack = STACK_UNSAID if spell.stack is None else spell.stack
    thick = PATTY_MM if spell.thickness_mm is None else spell.thickness_mm
    hours = ready_hours(thick, stack, air)
    since = spell.since.astimezone(zone)
    ready_at = None if hours is None else since + timedelta(hours=hours)
    against = _against(p, ledger, bad, now.date())
    state: State
    if against:
        state, why = "throw away", against
    elif ready_at is None:
        state = "never"
        why = f"no colder than {CORE_C:g} °C: beetles live on in it, only slower; a colder freezer is needed"
    elif now < ready_at:
        state, why = "not yet", "the core has not been cold for long enough"
    else:
        state, why = "ready", ""
        if (now - since).total_seconds() > OLD_D * 86_400.0:
            why = "old: smell it first, fats go rancid in the freezer too"
        elif p.texture == "hard":
            why = "it was hard when it came off: bees will hardly eat it"
    return Frozen(
        p.code, p.batch, p.cold_g, p.owner, yard, since, air, spell.freezer_c is not None, stack,
        spell.stack is not None, thick, hours, ready_at, state, why, spell.entry,
    )  # fmt: skip


def _on_hive(
    p: Piece, s: Stay, settings: Settings, beetles: str, bad: dict[str, tuple[str, int]], now: datetime, zone: ZoneInfo
) -> OnHive:
    since = s.since.astimezone(zone)
    pull = clock(
        since, beetles=beetles, stay_limit_days=settings.pull_by_days,
        hardening_limit_days=settings.stay_days_no_beetles,
    ).pull_by  # fmt: skip
    suspect = ""
    if p.code in bad:
        suspect = f"a piece that was on {bad[p.code][0]}, which may have a brood disease"
    elif s.larvae:
        suspect = "beetle larvae were seen in it"
    return OnHive(
        p.code, p.batch, s.hive, s.yard, since, s.laid_g, s.left_g, s.seen_at, pull, pull < now, s.texture, suspect,
        s.entry,
    )  # fmt: skip


@dataclass(frozen=True)
class PieceLife:
    """One piece from its batch to where it is: the steps are (when, what, grams), the oldest first."""

    piece: Piece
    words: str
    clocks: tuple[tuple[str, Clock], ...]
    """Hive and beetle clock of each stay that goes on, where there are or may be beetles."""
    frozen: Frozen | None
    on_hives: tuple[OnHive, ...]
    steps: tuple[tuple[datetime, str, float], ...]


_STEP_WORDS: Final = {
    ("shelf", "on hive"): "laid on {hive}, from batch {batch}",
    ("source", "on hive"): "laid on {hive}",
    ("cold box", "on hive"): "out of the cold box, laid on {hive}",
    ("in hand", "on hive"): "laid on {hive} again",
    ("on hive", "eaten"): "gone from {hive}",
    ("eaten", "on hive"): "more was there on {hive} than had been read",
    ("on hive", "in hand"): "taken off {hive}",
    ("on hive", "not said"): "on {hive} when another piece was laid on; not said what became of it",
    ("not said", "on hive"): "found on {hive} after all",
    ("in hand", "cold box"): "into the cold box",
    ("shelf", "cold box"): "into the cold box, from batch {batch}",
    ("cold box", "discarded"): "thrown away, out of the cold box",
    ("in hand", "discarded"): "thrown away",
    ("shelf", "discarded"): "thrown away, from batch {batch}",
}


def _clocks(books: Books, piece: Piece, now: datetime, settings: Settings) -> tuple[tuple[str, Clock], ...]:
    """The beetle clock of each stay that goes on, with the air of the yard where the piece lies at the edge."""
    found = []
    for s in piece.on:
        yard = books.yard(s.yard)
        if yard.beetles == "absent":
            continue
        since = s.since.astimezone(yard.zone)
        midnight = since.replace(hour=0, minute=0, second=0, microsecond=0)
        days = {
            e.at.astimezone(yard.zone).date(): (float(e.values["temp_min"]), float(e.values["temp_max"]))  # type: ignore[arg-type]
            for e in books.entries(kind="weather day", yard=s.yard, since=midnight, until=now + timedelta(days=1))
        }
        run: list[tuple[float, float]] = []
        while (day := (midnight + timedelta(days=len(run))).date()) in days:
            run.append(days[day])
        hours = piece_hourly(hourly_from_daily(run), s.place)[since.hour :]
        made = clock(
            since, hours, yard.beetles, stay_limit_days=settings.pull_by_days,
            hardening_limit_days=settings.stay_days_no_beetles,
        )  # fmt: skip
        found.append((s.hive, made))
    return tuple(found)


def piece_life(books: Books, code: str, now: datetime, settings: Settings) -> PieceLife | None:
    """The life of the piece with this code; None when no entry speaks of it."""
    zones = {y.id: y.zone for y in books.yards()}
    ledger = fold(f for f in facts_of(books) if f.at.astimezone(zones[f.yard]).date() <= now.date())
    wanted = tidy(code)
    piece = ledger.pieces.get(wanted) or ledger.pieces.get(read_made(wanted))
    if piece is None:
        return None
    view = cold_box(books, now, settings)
    steps = []
    for m in ledger.moves:
        if m.piece != piece.code:
            continue
        words = _STEP_WORDS.get((m.out_of, m.into), f"{m.out_of} to {m.into}")
        zone = zones.get(m.yard)
        at = m.at.astimezone(zone) if zone is not None else m.at
        steps.append((at, words.format(hive=m.hive, batch=m.batch), m.grams))
    frozen = next((f for f in view.frozen if f.piece == piece.code), None)
    on_hives = tuple(o for o in view.on_hives if o.piece == piece.code)
    if frozen is not None:
        words = "In the cold box." if frozen.state != "throw away" else "In the cold box: throw it away."
    elif on_hives:
        words = "On " + ", ".join(o.hive for o in on_hives) + "."
    elif piece.hand_g > 0.0:
        words = f"Taken off {piece.owner}; where it is now is not written."
    else:
        words = "Nothing of it is left, as far as is written."
    return PieceLife(piece, words, _clocks(books, piece, now, settings), frozen, on_hives, tuple(steps))
