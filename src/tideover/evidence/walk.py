"""The filter's walk through a season: members carried from entry to entry, each entry taken in."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import date
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Course
from tideover.colony.layout import P
from tideover.colony.parameters import constants
from tideover.evidence import combs
from tideover.evidence.beginning import starting
from tideover.evidence.clock import solar_noon_hour
from tideover.evidence.happenings import happen
from tideover.evidence.keeper import count_prior
from tideover.evidence.known import Assimilated, LandSaid, Odd, Read, observed
from tideover.evidence.likelihood import Item, Weighed, look_items, mite_item, patty_item, together, weigh, wrong_items
from tideover.evidence.moving import Gist, drift, effective, families, power, systematic
from tideover.evidence.pieces import UsualPiece, laid_on
from tideover.evidence.predict import Shown, Totals, shown
from tideover.evidence.seen import HiveCase, Seen
from tideover.evidence.sky import Sky, number
from tideover.evidence.traced import Traced
from tideover.evidence.unseen import LOST_WITHIN_D, befall, lost_queens, propose
from tideover.figures import book, reader
from tideover.patty.piece import DEFAULT_PROTEIN_PCT

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

_value = reader("looks")
START_FACTOR: Final = 4
"""Candidates per member at the first look, from the broad starting prior."""
MOST_STEPS: Final = 12
FEED_PARAMS: Final = ("feed_value", "feed_harm", "patty_intake_mg")
"""Parameters that nothing depends on until a patty lies on the hive."""
LAG_STRETCHES: Final = 2
"""A look corrects what is shown of this many stretches between entries before it."""
FLAG_FROM: Final = _value("flag_from")
"""A look more likely wrong than right is flagged."""
DEFAULT_PROTEIN: Final = DEFAULT_PROTEIN_PCT
BOX_TARE_KG: Final = {name: _value(f"tare_{name}_kg") for name in ("deep", "medium", "shallow")}
OTHER_TARE_KG, STAND_KG = _value("tare_other_kg"), _value("tare_stand_kg")
TARE_FRAMES: Final = 10.0
"""Combs of the boxes weighed."""
FLYING_FROM_C, FLYING_FROM_H, FLYING_TO_H = _value("flying_from_c"), _value("flying_from_h"), _value("flying_to_h")
FLYING_SHARE: Final = _value("flying_share")
POLLEN_BEFORE_NOON_H, POLLEN_BESIDE_H = _value("pollen_before_noon_h"), _value("pollen_beside_h")
POLLEN_TO_C: Final = _value("pollen_to_c")
HARD_COUNTS_AS_D: Final = _value("hard_counts_as_d")
SYRUP_SHARE_PCT: Final = _value("syrup_share_pct")
SYRUP_KG_L, SYRUP_RISE_KG_L = _value("syrup_half_kg_l"), _value("syrup_rise_kg_l")
QUARTERS: Final = 4.0
"""What is left of a piece is told in quarters."""
SAID_OF_D: Final = int(_value("said_of_d"))
"""A look speaks of the land's pollen over so many days before it, or since the last look."""
HEARD_FROM: Final = 2.0
"""What a look says of the land is passed on when it narrows it by more than so many standard errors of the members'
luck."""
POPULATION: Final = 600
"""Colonies drawn to tell how a look at any hive of the land would turn out."""


def _f(values: object) -> float | None:
    return float(values) if isinstance(values, (int, float)) else None


def tare_kg(case: HiveCase) -> float:
    """Empty weight of boxes, frames, floor and lid [kg] (rows ``looks.tare_*``)."""
    return STAND_KG + sum(BOX_TARE_KG.get(b.frame, OTHER_TARE_KG) * b.frames / TARE_FRAMES for b in case.boxes)


def _odd(s: Seen, w: Weighed) -> Odd:
    worst = min(w.items, key=lambda it: float(np.log(np.mean(np.exp(np.clip(it.loglik - it.background, -700, 50))))))
    text = f"{s.kind} of {s.day:%-d %b}: '{worst.name.replace('_', ' ')}' does not fit what else is known of this hive"
    return Odd(s.id, s.day, w.odd, text)


def _odd_item(s: Seen, item: Item, chance: float) -> Odd:
    name = item.name.replace("_", " ")
    return Odd(
        s.id, s.day, chance,
        f"{s.kind} of {s.day:%-d %b}: '{name}' does not fit the rest of the look and what else is known of this hive",
        item.name,
    )  # fmt: skip


@dataclass
class Walk:
    """The filter's moving parts while it walks through a season.

    :param members: members carried on after each look.
    :param seed: seed of the colonies' daily luck.
    :param known: the hive as known so far; changed in place.
    :param ancestors: which starting colony each member descends from.
    :param kept: rows of the daily record that are kept of stretches no look speaks back over.
    :param population: whether a look likelier at any hive of the land than here is told by colonies drawn at large.
    :param proposing: losses nobody saw are proposed and weighted; a simulated colony meets them at their own rate.
    """

    case: HiveCase
    sky: Sky
    rng: np.random.Generator
    members: int
    seed: int
    known: Assimilated
    ancestors: Index
    salt: int = 0
    kept: int = 0
    population: bool = False
    proposing: bool = True
    unseen: bool = True
    usual: UsualPiece = field(default_factory=UsualPiece)
    """What a piece laid on is taken for where its entry is silent."""
    fed: bool = False
    """Whether a piece has lain on the hive."""
    last_look: date = date.min
    records: list[Traced] = field(default_factory=list)
    """Daily records, one array per stretch."""
    seen: list[Traced] = field(default_factory=list)
    """Values of members at each look, in the order of the looks read."""
    paths_since: date = date.min
    """First day that members have followed their present paths."""
    log_weight: Floats = field(default_factory=lambda: np.zeros(0))
    """Weights from proposed losses, until the next look settles them."""

    def __post_init__(self) -> None:
        """Nothing was looked at before the first entry."""
        self.last_look = self.known.start
        self.paths_since = self.known.start
        self.log_weight = np.zeros(self.known.ensemble.members)

    # --- days

    def forward(self, to: date) -> None:
        """Run the members up to the morning of ``to``."""
        a = self.known
        if to <= a.today:
            return
        days = (to - a.today).days
        met = propose(a.ensemble, days, self.rng, truly=not self.proposing) if self.unseen else None
        out = self._run(days, met.at if met is not None else ())
        self.records.append(Traced.now(out))
        if met is not None:
            self.log_weight = self.log_weight + met.log_weight
        drift(a.ensemble, days, self.rng)
        if len(self.records) > LAG_STRETCHES:
            self.records[-LAG_STRETCHES - 1] = self._thin(self.records[-LAG_STRETCHES - 1])
        a.today = to

    def _run(self, days: int, losses: tuple[tuple[int, Index, Index], ...]) -> NDArray[np.float32]:
        """Run the members; those that meet a loss stop for it on its day, the others go straight through."""
        a = self.known
        first, last = a.today, date.fromordinal(a.today.toordinal() + days)
        weather = self.sky.between(first, last, a.path)
        course = Course(a.ensemble, weather, seed=self.seed, salt=self.salt, first_day=number(first))
        straight = np.ones(a.ensemble.members, dtype=np.bool_)
        for day, swarm, bees in losses:
            some = np.concatenate([swarm, bees])
            straight[some] = False
            course.step(0, day, some)
            befall(a.ensemble, swarm, bees, self.rng)
            course.step(day, days, some)
        course.step(0, days, np.flatnonzero(straight))
        return course.run().out

    def _thin(self, record: Traced) -> Traced:
        rows = record.of.size
        if not self.kept or rows <= self.kept:
            return record
        return Traced.now(record.follow((np.arange(self.kept) * rows) // self.kept).gathered())

    # --- looks

    def show(self, s: Seen | None) -> tuple[Shown, bool]:
        """What members would show at the hour of an entry, and whether pollen could be coming in then."""
        a = self.known
        return self._shown(s, Totals.of(a.ensemble), a.path, a.count_log.T), self.hours(s)[1]

    def _shown(self, s: Seen | None, of: Totals, path: Index, count_log: Floats) -> Shown:
        now = self.sky.paths[path, self.sky.at(self.known.today)]
        counted = np.exp(count_log[self._keeper(s)])
        return Shown(of, self.case.boxes, flying=self.hours(s)[0], log_index=now, counted=counted)

    def hours(self, s: Seen | None) -> tuple[float, bool]:
        """Share of foragers out at the hour of an entry, and whether pollen could be coming in then."""
        if s is None:
            return 0.0, False
        i = self.sky.at(self.known.today)
        shade = _f(s.values.get("shade_temp"))
        warm = (shade if shade is not None else self.sky.temp_max_c[i]) > FLYING_FROM_C
        flying = FLYING_SHARE if warm and FLYING_FROM_H <= s.hour <= FLYING_TO_H else 0.0
        half = 0.5 * self.sky.pollen_h[i]
        # Pollen comes mostly before noon: the middle of its hours is taken before the sun stands highest.
        middle = solar_noon_hour(self.case.place, self.known.today) - POLLEN_BEFORE_NOON_H
        return flying, bool(
            warm and abs(s.hour - middle) <= half + POLLEN_BESIDE_H and (shade is None or shade < POLLEN_TO_C)
        )

    def _keeper(self, s: Seen | None) -> int:
        names = self.known.keepers
        return names.index(s.who) if s is not None and s.who in names else 0

    def any_hive(self, s: Seen) -> Shown:
        """What hives drawn at large from this land and day would show the same keeper."""
        e = starting(self.rng, POPULATION, self.sky, self.known.today)
        path = self.rng.integers(0, self.sky.paths.shape[0], POPULATION)
        now = self.sky.paths[path, self.sky.at(self.known.today)]
        counted = np.exp(count_prior(self.rng, POPULATION, 1)[:, 0])
        return shown(e, self.case.boxes, flying=self.hours(s)[0], log_index=now, counted=counted)

    def learn(self, s: Seen, weigh_now: Callable[[Shown], list[Item]], *, flag: bool = True) -> None:
        """Take in one look by steps: weigh with part of the likelihood, resample, move, weigh again.

        Each step keeps half of the effective members (annealed importance steps, Neal
        2001), so that a telling look does not leave all members children of one.
        """
        a = self.known
        now = self.show(s)[0]
        found = weigh_now(now)
        if not found:
            return
        lineage = np.arange(a.ensemble.members, dtype=np.intp)
        prior = np.exp(self.log_weight - self.log_weight.max())
        elsewhere = None
        if self.population and not s.confirmed:
            # Before the first look nothing tells this hive from any other: its members are hives drawn at large.
            elsewhere = together(weigh_now(self.any_hive(s)) if a.looks > 0 else found)
        if s.confirmed and a.looks > 0 and weigh(found, prior / prior.sum(), confirmed=False).odd > FLAG_FROM:
            lineage = lineage[self.begin_anew()]
            prior = np.tile(prior, START_FACTOR)
            now = self.show(s)[0]
            found = weigh_now(now)
        if s.values.get("eggs") == "no":
            doubled, kept = self.with_lost_queens()
            lineage = lineage[doubled]
            prior = np.tile(prior, doubled.size // prior.size) * kept
            now = self.show(s)[0]
            found = weigh_now(now)
        prior = prior / prior.sum()
        before = observed(now)
        mean = prior @ before
        spread = np.sqrt(np.maximum(0.0, prior @ (before - mean) ** 2)) + 1e-9
        prior_weights = prior
        w = weigh(found, prior, confirmed=s.confirmed, elsewhere=elsewhere)
        full = prior * np.exp(w.loglik - w.loglik.max())
        first_effective = effective(full)
        names = tuple(it.name for it in w.items)
        if flag and a.looks > 0:
            self._flag(s, w, full / full.sum())
        level = self._land_level()
        gist = Gist(a.ensemble, a.count_log)
        left, step = 1.0, 0
        while True:
            part = left if step >= MOST_STEPS - 1 else power(w.loglik, prior, left)
            weights = prior * np.exp(part * (w.loglik - w.loglik.max()))
            chosen = systematic(weights / weights.sum(), self.members, self.rng)
            gist.take(chosen)
            self.salt += 1
            left -= part
            step += 1
            done = left <= 1e-9
            gist.move(self.rng, lost=1.0 / families(gist.origin) if done else 0.0)
            now = self._shown(s, gist.totals(), a.path[gist.origin], gist.beside)
            if done:
                break
            prior = np.full(self.members, 1.0 / self.members)
            w = weigh(weigh_now(now), prior, confirmed=s.confirmed, elsewhere=elsewhere)
        born = gist.origin
        a.ensemble = gist.back(a.ensemble)
        a.path, a.count_log = a.path[born], np.ascontiguousarray(gist.beside.T)
        self.ancestors = self.ancestors[born]
        self.log_weight = np.zeros(self.members)
        self._trace(lineage[born])
        self._hear(s, level, prior_weights, born)
        after = observed(now)
        a.reads.append(
            Read(s.id, s.day, names, mean, after.mean(axis=0), spread, after)
        )  # fmt: skip
        self.seen.append(Traced.now(after))
        a.effective.append((s.day, first_effective, int(np.unique(self.ancestors).size)))
        self.swap_paths()
        if not self.fed:
            self.forget_feed()

    def _land_level(self) -> Floats:
        """Mean of the log index over the last days on each member's present path; empty when there are none."""
        a = self.known
        first = max(self.paths_since, date.fromordinal(a.today.toordinal() - SAID_OF_D), self.sky.first)
        i, j = (first - self.sky.first).days, (a.today - self.sky.first).days
        return self.sky.paths[:, i:j].mean(axis=1)[a.path] if i < j else np.zeros(0)

    def _hear(self, s: Seen, level: Floats, prior: Floats, born: Index) -> None:
        """Keep what this look said of the yard's index: the Gaussian that leads from before the look to after it.

        The variance after is corrected for the families left; what is within the luck of so many families is left out.
        """
        a = self.known
        if not level.size:
            return
        left = families(born)
        after = level[born]
        m0 = float(prior @ level)
        v0 = float(prior @ (level - m0) ** 2)
        m1, v1 = float(after.mean()), float(after.var()) * left / max(1.0, left - 1.0)
        if v0 < 1e-6 or v1 < 1e-6:
            return
        gained = v0 / v1 - 1.0
        if gained <= HEARD_FROM * np.sqrt(2.0 / left):
            return
        precision = gained / v0
        first = max(self.paths_since, date.fromordinal(a.today.toordinal() - SAID_OF_D), self.sky.first)
        a.land.append(LandSaid(a.hive, s.id, first, a.today, (m1 / v1 - m0 / v0) / precision, precision))

    def _flag(self, s: Seen, w: Weighed, weights: Floats) -> None:
        if w.odd > FLAG_FROM:
            self.known.flags.append(_odd(s, w))
            return
        if s.confirmed or len(w.items) < 2:
            return
        chances = wrong_items(w.items, weights)
        worst = int(np.argmax(chances))
        if chances[worst] > FLAG_FROM:
            self.known.flags.append(_odd_item(s, w.items[worst], float(chances[worst])))

    def forget_feed(self) -> None:
        """Draw afresh what only a patty could have told, while none has lain on the hive.

        Before a first piece these parameters touch nothing that is seen, so their posterior is exactly
        their prior; what resampling does to their spread is loss of members, not knowledge.
        """
        e = self.known.ensemble
        for name in FEED_PARAMS:
            e.params[:, P[name]] = book().row(f"colony.{name}").prior().sample(self.rng, e.members)

    def with_lost_queens(self) -> tuple[Index, Floats]:
        """Set beside every member itself with its queen lost since the last look; return who and prior weights."""
        a = self.known
        n = a.ensemble.members
        window = float(min(LOST_WITHIN_D, (a.today - self.last_look).days))
        if window < 1.0:
            return np.arange(n, dtype=np.intp), np.ones(n)
        doubled = np.tile(np.arange(n, dtype=np.intp), 2)
        self._take(doubled)
        return doubled, lost_queens(a.ensemble, window, self.rng)

    def begin_anew(self) -> Index:
        """Let the hive be any hive again, beside what it was thought to be.

        Something befell it that the daily process does not know (bees gone, a wrong hive believed): no member
        is near what was seen and confirmed, and moving members a little at a time would not get there.
        """
        a = self.known
        n = a.ensemble.members
        copies = np.tile(np.arange(n, dtype=np.intp), START_FACTOR)
        self._take(copies)
        x, fresh = a.ensemble.state, starting(self.rng, n * START_FACTOR, self.sky, a.today).state
        piece = slice(lay.PATTY, lay.PATTY_DAYS + 1)
        fresh[:, piece] = x[:, piece]
        x[n:] = fresh[n:]
        return copies

    def _take(self, chosen: Index) -> None:
        """Keep the chosen members, with what the next step needs of them."""
        a = self.known
        a.ensemble = a.ensemble.take(chosen)
        a.path = a.path[chosen]
        a.count_log = a.count_log[chosen]
        self.ancestors = self.ancestors[chosen]

    def _trace(self, lineage: Index) -> None:
        """Let records and reads follow the members.

        Fixed-lag smoothing (Kitagawa & Sato 2001): a look speaks back over the last stretches only;
        tracing further would leave a handful of ancestors to stand for the spring.
        """
        for k in range(max(0, len(self.records) - LAG_STRETCHES), len(self.records)):
            self.records[k] = self.records[k].follow(lineage)
        self.seen = [values.follow(lineage) for values in self.seen]

    def settle(self, members: int) -> None:
        """Draw the members the hive is answered with, in no order, and put the daily records together."""
        a = self.known
        weights = np.exp(self.log_weight - self.log_weight.max())
        chosen = self.rng.permutation(systematic(weights / weights.sum(), members, self.rng))
        a.walkers = self.members
        self._take(chosen)
        self._trace(chosen)
        self.log_weight = np.zeros(members)
        self.kept = members
        a.reads = [replace(r, values=v.gathered()) for r, v in zip(a.reads, self.seen, strict=True)]
        rows = [(self._thin(r) if r.of.size > members else r).gathered() for r in self.records]
        a.out = np.concatenate(rows, axis=1) if rows else np.zeros((0, 0, 0), np.float32)

    def swap_paths(self) -> None:
        """Give members fresh paths of the yard for the days to come.

        What the looks said about today's level stays, carried in the hive's own departure, which
        forgets it over about ten days.
        """
        a = self.known
        i = self.sky.at(a.today)
        fresh = self.rng.integers(0, self.sky.paths.shape[0], a.ensemble.members).astype(np.intp)
        a.ensemble.state[:, lay.HIVE_DEV] += self.sky.paths[a.path, i] - self.sky.paths[fresh, i]
        a.path = fresh
        self.paths_since = a.today

    # --- patties and events

    def leftover(self, s: Seen, now: Shown) -> list[Item]:
        """Read what is left of a patty; the amount is then known, whatever it says about hunger."""
        a = self.known
        left = _f(s.values.get("patty_left"))
        grams = _f(s.values.get("weight")) if s.kind == "taken off" else None
        if a.patty_laid_g <= 0 or (left is None and grams is None):
            return []
        share = grams / a.patty_laid_g if grams is not None else (left or 0.0) / QUARTERS
        share = min(max(share, 0.0), 1.0)
        # Hard, out of reach or hauled out as crumbs: the rest says nothing about appetite.
        speaks = (
            s.values.get("patty_texture") != "hard"
            and s.values.get("patty_touch") != "no"
            and s.values.get("patty_debris", "none") == "none"
        )
        return [patty_item(now, a.patty_laid_g, share)] if speaks else []

    def settle_patty(self, s: Seen) -> None:
        """Put the amount seen on the hive into every member."""
        a = self.known
        left = _f(s.values.get("patty_left"))
        if s.kind == "taken off":
            a.ensemble.state[:, lay.PATTY] = 0.0
            a.patty_laid_g, a.patty_since = 0.0, None
        elif left is not None and a.patty_laid_g > 0:
            a.ensemble.state[:, lay.PATTY] = left / QUARTERS * a.patty_laid_g
            if s.values.get("patty_texture") == "hard":
                a.ensemble.state[:, lay.PATTY_AGE] = HARD_COUNTS_AS_D

    def lay_on(self, s: Seen) -> None:
        """Put a piece on every member."""
        a = self.known
        x = a.ensemble.state
        x[:, lay.PATTY] += _f(s.values.get("weight")) or 0.0
        x[:, lay.PATTY_AGE] = 0.0
        x[:, lay.PATTY_DAYS] = 0.0
        piece = laid_on(s.values, self.usual)
        x[:, lay.PATTY_PROTEIN] = piece.protein
        x[:, lay.PATTY_POLLEN] = piece.pollen
        a.ensemble.piece = piece.kind
        self.fed = True
        # Shares of 'the piece' are read against all that lay there then.
        a.patty_laid_g = float(np.median(x[:, lay.PATTY]))
        a.patty_since = s.day

    def take_in(self, s: Seen) -> None:
        """Take in one entry on the morning of its day."""
        a = self.known
        if s.kind in ("look", "taken off"):
            _, pollen_hours = self.hours(s)
            tare = tare_kg(self.case)

            def items(now: Shown) -> list[Item]:
                found = look_items(now, s.values, tare_kg=tare, pollen_hours=pollen_hours) if s.kind == "look" else []
                return found + self.leftover(s, now)

            self.learn(s, items)
            self.settle_patty(s)
            if s.kind == "look":
                a.looks += 1
                self.last_look = s.day
        elif s.kind == combs.KIND:
            self.learn(s, lambda now: combs.comb_items(now, s.values))
            a.looks += 1
            self.last_look = s.day
        elif s.kind == "mite wash":
            mites, bees = _f(s.values.get("mites")), _f(s.values.get("bees"))
            if mites is not None:
                self.learn(s, lambda now: [mite_item(now, mites, bees)], flag=False)
        elif s.kind == "laid on":
            self.lay_on(s)
        elif s.kind == "event":
            event = str(s.values.get("event", ""))
            if event == "syrup":
                litres = _f(s.values.get("syrup")) or 0.0
                written = _f(s.values.get("sugar_share"))
                share = (SYRUP_SHARE_PCT if written is None else written) / 100.0
                sugar = litres * (SYRUP_KG_L + SYRUP_RISE_KG_L * (share - 0.5)) * share * 1000.0
                c = constants()
                a.ensemble.state[:, lay.HONEY] += sugar * c[lay.C["syrup_kept"]] / c[lay.C["honey_sugar"]]
            else:
                happen(a.ensemble, event, s.values, self.rng)
