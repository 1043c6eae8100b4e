"""One hive through its season: an ensemble that every look, leftover and count has corrected.

A bootstrap particle filter with systematic resampling (Gordon, Salmond & Smith 1993;
Kitagawa 1996) over state and static parameters; after each resampling totals and
parameters are moved by a kernel that keeps mean and spread (Liu & West 2001). A season of
a thousand members replays in a fraction of a second, so a late or corrected entry simply
replays the hive's season: there is nothing else to keep in step.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Set
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.colony import layout as lay
from tideover.colony.ensemble import Ensemble, run
from tideover.colony.establish import establish
from tideover.colony.layout import P
from tideover.colony.parameters import constants, draw
from tideover.colony.weather import light_term
from tideover.evidence.clock import solar_noon_hour
from tideover.evidence.happenings import happen
from tideover.evidence.likelihood import Item, Weighed, look_items, mite_item, patty_item, weigh
from tideover.evidence.pieces import PieceKind, UsualPiece, laid_on
from tideover.evidence.predict import Shown, shown
from tideover.evidence.seen import HiveCase, Seen
from tideover.evidence.sky import Sky, number
from tideover.figures import book

Floats = NDArray[np.float64]
Index = NDArray[np.intp]

MEMBERS: Final = 1000
START_FACTOR: Final = 6
"""Candidates per member at the first look, from the broad starting prior."""
MOVE: Final = 0.30
"""Width of the kernel relative to the ensemble's own spread. Chosen on simulated seasons (``benchmarks`` calibration):
narrower left the intervals of adults too narrow, wider those of brood too wide."""
LEAST_OF_A_KIND: Final = 40
"""Fewer members of a kind than this stay where they are: their spread is not known well enough to move by."""
MOST_STEPS: Final = 12
LOST_WITHIN_D: Final = 30.0
"""A queen lost longer ago than this leaves no brood to tell when."""
FEED_PARAMS: Final = ("feed_value", "feed_harm", "patty_intake_mg")
"""Parameters that nothing depends on until a patty lies on the hive."""
LAG_STRETCHES: Final = 2
"""A look corrects what is shown of this many stretches between entries before it."""
FLAG_FROM: Final = 0.5
"""A look more likely wrong than right is flagged."""
DEFAULT_PROTEIN: Final = 15.0
BOX_TARE_KG: Final = {"deep": 13.0, "medium": 9.5, "shallow": 8.0}


@dataclass(frozen=True)
class Odd:
    """An entry that disagrees with everything else known of the hive."""

    entry: str
    day: date
    chance_wrong: float
    text: str


@dataclass(frozen=True)
class Read:
    """How one look moved the ensemble: per observable, mean before and after and the spread before.

    ``values`` (members, observables) are the surviving members' own values at the time of the look.
    """

    entry: str
    day: date
    items: tuple[str, ...]
    before: Floats
    after: Floats
    spread: Floats
    values: Floats


OBSERVABLES: Final = ("adults", "open brood", "capped brood", "stored pollen", "honey", "jelly", "queen", "mites")


@dataclass
class Assimilated:
    """A hive as known on the morning of ``today``.

    :param ensemble: equally weighted members.
    :param path: which path of the yard index each member follows, shape (members,).
    :param out: records since ``start``, (members, days, OUTS); each day is a sample of what was known of it
        when the next entries were in (fixed-lag smoothing), so rows are not one colony's path.
    """

    hive: str
    start: date
    today: date
    ensemble: Ensemble
    path: Index
    out: NDArray[np.float32]
    flags: list[Odd] = field(default_factory=list)
    reads: list[Read] = field(default_factory=list)
    effective: list[tuple[date, float, int]] = field(default_factory=list)
    """Per look: day, effective sample size, unique ancestors left."""
    patty_laid_g: float = 0.0
    patty_since: date | None = None
    looks: int = 0

    def band(self, name: str, low: float = 0.1, high: float = 0.9) -> tuple[Floats, Floats, Floats]:
        """Low, median and high of a recorded series, each of shape (days,)."""
        q = np.quantile(self.out[:, :, lay.O[name]], [low, 0.5, high], axis=0)
        return q[0], q[1], q[2]


def _seed(hive: str, seed: int) -> int:
    return zlib.crc32(hive.encode()) ^ (seed * 2654435761 & 0xFFFFFFFF)


def starting(rng: np.random.Generator, members: int, sky: Sky, day: date) -> Ensemble:
    """Draw colonies as they may be before anything was seen: broad, but in season.

    Brood follows the light and warmth of the day; sizes and stores spread over what keepers have
    (our assumption: adults 14,000 times or over e^0.6, pollen 600 g e^0.9, honey 10 kg e^0.7).

    :param rng: generator; the same generator state gives the same colonies.
    :param members: number of colonies drawn.
    :param sky: the yard's drivers, for light and warmth.
    :param day: the day they stand on.
    """
    params = draw(rng, members)
    i = sky.at(day)
    c = constants()
    rising = 1.0 if sky.daylength_h[min(i + 1, sky.days - 1)] > sky.daylength_h[max(i - 1, 0)] else 0.0
    light = float(light_term(np.array([sky.daylength_h[i]]), np.array([rising]), c)[0])
    back = slice(max(0, i - 14), i + 1)
    warmth = float(np.mean(0.5 * (sky.temp_max_c[back] + sky.temp_min_c[back])))
    warm = float(
        np.clip(
            (warmth - c[lay.C["laying_temp_none"]]) / (c[lay.C["laying_temp_full"]] - c[lay.C["laying_temp_none"]]),
            0,
            1,
        )
    )
    n = members
    adults = np.clip(14_000.0 * np.exp(0.6 * rng.standard_normal(n)), 500, 70_000)
    size = adults / (adults + c[lay.C["size_half_bees"]])
    laying = params[:, P["laying_max"]] * light * warm * size * size * np.exp(0.4 * rng.standard_normal(n))
    # Past supply sets how much of the laying has lived: late stages lag early ones.
    lived = np.clip(1.0 - np.abs(0.35 * rng.standard_normal(n)), 0.02, 1.0)
    # A colony without a laying queen may have been so for long: brood runs out stage by stage.
    idle = np.where(rng.random(n) < 0.96, 0.0, rng.uniform(0.0, 30.0, n))
    coming = np.where(rng.random(n) < 0.6, np.minimum(-1.0, np.round(idle) - c[lay.C["queen_gap"]]), -9999.0)
    queen = np.where(idle > 0.0, coming, 1.0)
    left = [np.clip(1.0 - (idle - after) / length, 0.0, 1.0) for after, length in ((0.0, 3.0), (3.0, 6.0), (9.0, 12.0))]
    mites = book().row("colony.mites_start").prior().sample(rng, n)
    return establish(
        params,
        adults=adults,
        eggs=2.9 * laying * left[0] * lived,
        open_larvae=5.4 * laying * left[1] * lived * np.exp(0.2 * rng.standard_normal(n)),
        capped=10.3 * laying * left[2] * np.exp(0.25 * rng.standard_normal(n)),
        pollen_g=600.0 * np.exp(0.9 * rng.standard_normal(n)),
        honey_g=10_000.0 * np.exp(0.7 * rng.standard_normal(n)),
        warmth_c=warmth,
        flight=float(np.clip(np.mean(sky.flight_h[back]) / 8.0, 0.0, 1.0)),
        jelly=lived,
        reserve=np.clip(0.5 + 0.12 * rng.standard_normal(n), 0.1, 0.95),
        mites=mites,
        queen=queen,
    )


def _systematic(weights: Floats, n: int, rng: np.random.Generator) -> Index:
    ladder = np.cumsum(weights)
    ladder[-1] = 1.0
    return np.searchsorted(ladder, (rng.random() + np.arange(n)) / n).astype(np.intp)


_GROUPS: Final = (
    slice(lay.EGG, lay.LARVA),
    slice(lay.LARVA, lay.CAPPED),
    slice(lay.CAPPED, lay.QUALITY),
    slice(lay.HOUSE, lay.RESERVE),
    slice(lay.FORAGER, lay.FORAGER + 1),
    slice(lay.BREAD, lay.BREAD + 1),
    slice(lay.HONEY, lay.HONEY + 1),
    slice(lay.MITES, lay.MITES + 1),
)
_UNIT: Final = [P[n] for n in ("heat_laying", "feed_value", "brood_fill", "forager_share")]
_POSITIVE: Final = [k for k in range(lay.PARAMS) if k not in _UNIT]


def _move(e: Ensemble, rng: np.random.Generator, width: float = MOVE) -> None:
    """Shrink towards the mean and add correlated kernel noise, keeping mean and covariance.

    Totals and positive parameters move in logs, shares as they are (clipped to 0-1). A
    stage that holds next to nothing stays as it is. Colonies with and without a laying queen
    move among their own kind: brood and no brood are two clouds, and a kernel over both would
    smear one into the other.
    """
    totals = np.stack([e.state[:, g].sum(axis=1) for g in _GROUPS], axis=1)
    z = np.concatenate(
        [
            np.log(totals + 1.0),
            e.state[:, [lay.HIVE_DEV, lay.JELLY]],
            np.log(np.maximum(e.params[:, _POSITIVE], 1e-9)),
            e.params[:, _UNIT],
        ],
        axis=1,
    )
    noise = rng.standard_normal(z.shape)
    a = np.sqrt(1.0 - width * width)
    moved = z.copy()
    laying = e.state[:, lay.QUEEN] > 0.5
    for kind in (laying, ~laying):
        if kind.sum() < LEAST_OF_A_KIND:
            continue
        mean = z[kind].mean(axis=0)
        spread = z[kind] - mean
        cov = spread.T @ spread / (spread.shape[0] - 1)
        root = np.linalg.cholesky(cov + 1e-10 * np.eye(cov.shape[0]))
        moved[kind] = mean + a * spread + width * (noise[kind] @ root.T)
    g = len(_GROUPS)
    for k, part in enumerate(_GROUPS):
        live = totals[:, k] > 1.0
        target = np.maximum(np.exp(moved[live, k]) - 1.0, 0.02 * totals[live, k])
        e.state[live, part] *= (target / totals[live, k])[:, None]
    e.state[:, lay.HIVE_DEV] = moved[:, g]
    e.state[:, lay.JELLY] = np.clip(moved[:, g + 1], 0.0, 1.0)
    e.params[:, _POSITIVE] = np.exp(moved[:, g + 2 : g + 2 + len(_POSITIVE)])
    e.params[:, _UNIT] = np.clip(moved[:, g + 2 + len(_POSITIVE) :], 0.0, 1.0)


@cache
def _drifts() -> tuple[float, float, float, float]:
    shelf = book()
    return (
        shelf.value("colony.drift_adults"),
        shelf.value("colony.drift_brood"),
        shelf.value("colony.drift_pollen"),
        shelf.value("colony.drift_honey"),
    )


def drift(e: Ensemble, days: int, rng: np.random.Generator) -> None:
    """Let totals wander by what the daily process is known to leave out, in place.

    Spreads are the ``colony.drift_*`` rows, growing with the square root of ``days``. Brood
    stages move together by half and each on its own by the rest.
    """
    adults, brood, pollen, honey = (v * np.sqrt(days / 14.0) for v in _drifts())
    n = e.members
    z = rng.standard_normal((n, 7))
    shared = z[:, 0]
    for k, part in enumerate((slice(lay.EGG, lay.LARVA), slice(lay.LARVA, lay.CAPPED), slice(lay.CAPPED, lay.QUALITY))):
        e.state[:, part] *= np.exp(brood * (0.7 * shared + 0.7 * z[:, 1 + k]))[:, None]
    moved = np.exp(adults * z[:, 4])
    e.state[:, lay.HOUSE : lay.RESERVE] *= moved[:, None]
    e.state[:, lay.FORAGER] *= moved
    e.state[:, lay.BREAD] *= np.exp(pollen * z[:, 5])
    e.state[:, lay.HONEY] *= np.exp(honey * z[:, 6])


def _part(loglik: Floats, left: float) -> float:
    """Largest power of the likelihood, at most ``left``, that keeps half the members effective."""

    def effective(power: float) -> float:
        w = np.exp(power * (loglik - loglik.max()))
        return float(w.sum() ** 2 / (w * w).sum())

    wanted = 0.5 * loglik.size
    if effective(left) >= wanted:
        return left
    low, high = 0.0, left
    for _ in range(18):
        mid = 0.5 * (low + high)
        low, high = (mid, high) if effective(mid) >= wanted else (low, mid)
    return max(low, 0.02 * left)


def _observed(s: Shown) -> Floats:
    return np.stack(
        [s.adults, s.open_larvae, s.capped, s.pollen_g, s.honey_kg, s.jelly, (s.queen > 0.5).astype(float), s.mites],
        axis=1,
    )


def _f(values: object) -> float | None:
    return float(values) if isinstance(values, (int, float)) else None


def tare_kg(case: HiveCase) -> float:
    """Empty weight of boxes, frames, floor and lid [kg] (from memory: a full deep of empty comb is about 13 kg)."""
    return 6.0 + sum(BOX_TARE_KG.get(b.frame, 11.0) * b.frames / 10.0 for b in case.boxes)


def _odd(s: Seen, w: Weighed) -> Odd:
    worst = min(w.items, key=lambda it: float(np.log(np.mean(np.exp(np.clip(it.loglik - it.background, -700, 50))))))
    text = f"{s.kind} of {s.day:%-d %b}: '{worst.name.replace('_', ' ')}' does not fit what else is known of this hive"
    return Odd(s.id, s.day, w.odd, text)


@dataclass
class _Walk:
    """The filter's moving parts while it walks through a season."""

    case: HiveCase
    sky: Sky
    rng: np.random.Generator
    members: int
    seed: int
    known: Assimilated
    ancestors: Index
    salt: int = 0
    stretches: list[date] = field(default_factory=list)
    """First days of the stretches run so far."""
    last_look: date = date.min
    fed: bool = False
    """Whether a piece has lain on the hive."""
    usual: UsualPiece = field(default_factory=UsualPiece)
    """What a piece laid on is taken for where its entry is silent."""

    def __post_init__(self) -> None:
        """Nothing was looked at before the first entry."""
        self.last_look = self.known.start

    def forward(self, to: date) -> None:
        """Run the members up to the morning of ``to``."""
        a = self.known
        if to <= a.today:
            return
        weather = self.sky.between(a.today, to, a.path)
        r = run(a.ensemble, weather, seed=self.seed, salt=self.salt, first_day=number(a.today))
        a.out = np.concatenate([a.out, r.out], axis=1) if a.out.size else r.out
        drift(a.ensemble, (to - a.today).days, self.rng)
        self.stretches.append(a.today)
        a.today = to

    def show(self, s: Seen | None) -> tuple[Shown, bool]:
        """What members would show at the hour of an entry, and whether pollen could be coming in then."""
        a = self.known
        i = self.sky.at(a.today)
        flying, pollen_hours = 0.0, False
        if s is not None:
            shade = _f(s.values.get("shade_temp"))
            warm = (shade if shade is not None else self.sky.temp_max_c[i]) > 13.0
            flying = 0.5 if warm and 8.0 <= s.hour <= 19.0 else 0.0
            half = 0.5 * self.sky.pollen_h[i]
            # pollen comes mostly before noon: the middle of its hours is taken an hour before the sun stands highest
            middle = solar_noon_hour(self.case.place, a.today) - 1.0
            pollen_hours = warm and abs(s.hour - middle) <= half + 1.0 and (shade is None or shade < 38.0)
        now = self.sky.paths[a.path, i]
        return shown(a.ensemble, self.case.boxes, flying=flying, log_index=now), pollen_hours

    def learn(self, s: Seen, weigh_now: Callable[[Shown], list[Item]], *, flag: bool = True) -> None:
        """Take in one look by steps: weigh with part of the likelihood, resample, move, weigh again.

        Each step keeps at least half the members effective (annealed importance steps, Neal
        2001), so that a telling look does not leave all members children of one.
        """
        a = self.known
        left, step = 1.0, 0
        start_values = _observed(self.show(s)[0])
        names: tuple[str, ...] = ()
        first_effective = float(a.ensemble.members)
        while left > 1e-9:
            now, _ = self.show(s)
            n = a.ensemble.members
            found = weigh_now(now)
            if not found:
                return
            doubted = step == 0 and s.confirmed and a.looks > 0
            if doubted and weigh(found, np.full(n, 1.0 / n), confirmed=False).odd > FLAG_FROM:
                self.begin_anew()
                now, n = self.show(s)[0], a.ensemble.members
                found = weigh_now(now)
            if step == 0 and s.values.get("eggs") == "no":
                prior = self.with_lost_queens()
                now, n = self.show(s)[0], a.ensemble.members
                found = weigh_now(now)
            else:
                prior = np.full(n, 1.0 / n)
            w: Weighed = weigh(found, prior, confirmed=s.confirmed)
            if step == 0:
                names = tuple(it.name for it in w.items)
                full = np.exp(w.loglik - w.loglik.max())
                first_effective = float(full.sum() ** 2 / (full * full).sum())
                if flag and w.odd > FLAG_FROM and a.looks > 0:
                    a.flags.append(_odd(s, w))
            power = left if step >= MOST_STEPS - 1 else _part(w.loglik, left)
            weights = prior * np.exp(power * (w.loglik - w.loglik.max()))
            chosen = _systematic(weights / weights.sum(), self.members, self.rng)
            self.follow(chosen)
            self.salt += 1
            _move(a.ensemble, self.rng)
            left -= power
            step += 1
        after = _observed(self.show(s)[0])
        a.reads.append(
            Read(
                s.id,
                s.day,
                names,
                start_values.mean(axis=0),
                after.mean(axis=0),
                start_values.std(axis=0) + 1e-9,
                after.copy(),
            )
        )
        a.effective.append((s.day, first_effective, int(np.unique(self.ancestors).size)))
        self.swap_paths()
        if not self.fed:
            self.forget_feed()

    def forget_feed(self) -> None:
        """Draw afresh what only a patty could have told, while none has lain on the hive.

        Before a first piece these parameters touch nothing that is seen, so their posterior is exactly
        their prior; what resampling does to their spread is loss of members, not knowledge.
        """
        e = self.known.ensemble
        for name in FEED_PARAMS:
            e.params[:, P[name]] = book().row(f"colony.{name}").prior().sample(self.rng, e.members)

    def with_lost_queens(self) -> Floats:
        """Set beside every member itself with its queen lost since the last look; return prior weights.

        A queen fails rarely, so that among a thousand members hardly one has lost hers at the time a
        look without eggs points to. Proposing the loss and weighting it by its rate keeps the answer
        the same and the members many (importance sampling): half of the chance is carried by the
        proposed losses, half by the members that lost a queen on the way. (Queens lost for good are
        counted whole on the way and half again here; their rate is uncertain by more.)
        """
        a = self.known
        n = a.ensemble.members
        window = float(min(LOST_WITHIN_D, (a.today - self.last_look).days))
        if window < 1.0:
            return np.full(n, 1.0 / n)
        c = constants()
        gap = c[lay.C["queen_gap"]]
        rate = 0.5 * (1.0 - float(np.exp(-c[lay.C["queen_failure"]] * window)))
        self.follow(np.tile(np.arange(n, dtype=np.intp), 2))
        x = a.ensemble.state
        queen = x[:n, lay.QUEEN].copy()
        laying = queen > 0.5
        on_the_way = (queen < 0.0) & (queen + gap <= window) & (queen > -9000.0)
        lost = np.concatenate([np.zeros(n, dtype=np.bool_), laying])
        idle = self.rng.uniform(0.0, window, 2 * n)
        for first, stages in ((lay.EGG, lay.N_EGG), (lay.LARVA, lay.N_LARVA), (lay.CAPPED, lay.N_CAPPED)):
            for k in range(stages):
                # Cells of this age were laid so many days ago; none were after the queen was gone.
                x[lost & (idle > first - lay.EGG + k + 0.5), first + k] = 0.0
        raised = self.rng.random(2 * n) < 0.7
        gone = np.where(raised, np.minimum(-1.0, np.round(idle) - gap), -9999.0)
        x[:, lay.QUEEN] = np.where(lost, gone, x[:, lay.QUEEN])
        kept = np.where(laying, 1.0 - rate, np.where(on_the_way, 0.5, 1.0))
        weights = np.concatenate([kept, np.where(laying, rate, 0.0)])
        return np.asarray(weights / weights.sum())

    def begin_anew(self) -> None:
        """Let the hive be any hive again, beside what it was thought to be.

        Something befell it that the daily process does not know (a swarm unseen, bees gone): no member
        is near what was seen and confirmed, and moving members a little at a time would not get there.
        """
        a = self.known
        n = a.ensemble.members
        self.follow(np.tile(np.arange(n, dtype=np.intp), START_FACTOR))
        x, fresh = a.ensemble.state, starting(self.rng, n * START_FACTOR, self.sky, a.today).state
        piece = slice(lay.PATTY, lay.PATTY_DAYS + 1)
        fresh[:, piece] = x[:, piece]
        x[n:] = fresh[n:]

    def follow(self, chosen: Index) -> None:
        """Keep the chosen members, with all that belongs to them."""
        a = self.known
        a.ensemble = a.ensemble.take(chosen)
        a.path = a.path[chosen]
        if a.out.size:
            # Fixed-lag smoothing (Kitagawa & Sato 2001): a look speaks back over the last stretches only;
            # tracing further would leave a handful of ancestors to stand for the spring.
            lag = (self.stretches[-LAG_STRETCHES] - a.start).days if len(self.stretches) >= LAG_STRETCHES else 0
            traced = a.out[chosen]
            if chosen.size == a.out.shape[0]:
                traced[:, :lag] = a.out[:, :lag]
            a.out = traced
        a.reads = [Read(r.entry, r.day, r.items, r.before, r.after, r.spread, r.values[chosen]) for r in a.reads]
        self.ancestors = self.ancestors[chosen]

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

    def leftover(self, s: Seen, now: Shown) -> list[Item]:
        """Read what is left of a patty; the amount is then known, whatever it says about hunger."""
        a = self.known
        left = _f(s.values.get("patty_left"))
        grams = _f(s.values.get("weight")) if s.kind == "taken off" else None
        if a.patty_laid_g <= 0 or (left is None and grams is None):
            return []
        share = grams / a.patty_laid_g if grams is not None else (left or 0.0) / 4.0
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
            a.ensemble.state[:, lay.PATTY] = left / 4.0 * a.patty_laid_g
            if s.values.get("patty_texture") == "hard":
                a.ensemble.state[:, lay.PATTY_AGE] = 60.0

    def take_in(self, s: Seen) -> None:
        """Take in one entry on the morning of its day."""
        a = self.known
        if s.kind in ("look", "taken off"):
            _, pollen_hours = self.show(s)
            tare = tare_kg(self.case)

            def items(now: Shown) -> list[Item]:
                found = look_items(now, s.values, tare_kg=tare, pollen_hours=pollen_hours) if s.kind == "look" else []
                return found + self.leftover(s, now)

            self.learn(s, items)
            self.settle_patty(s)
            if s.kind == "look":
                a.looks += 1
                self.last_look = s.day
        elif s.kind == "mite wash":
            mites, bees = _f(s.values.get("mites")), _f(s.values.get("bees"))
            if mites is not None:
                self.learn(s, lambda now: [mite_item(now, mites, bees)], flag=False)
        elif s.kind == "laid on":
            grams = _f(s.values.get("weight")) or 0.0
            x = a.ensemble.state
            x[:, lay.PATTY] += grams
            x[:, lay.PATTY_AGE] = 0.0
            x[:, lay.PATTY_DAYS] = 0.0
            piece = laid_on(s.values, self.usual)
            x[:, lay.PATTY_PROTEIN] = piece.protein
            self.fed = True
            x[:, lay.PATTY_POLLEN] = piece.pollen
            a.ensemble.piece = piece.kind
            # Shares of 'the piece' are read against all that lay there then.
            a.patty_laid_g = float(np.median(x[:, lay.PATTY]))
            a.patty_since = s.day
        elif s.kind == "event":
            event = str(s.values.get("event", ""))
            if event == "syrup":
                litres = _f(s.values.get("syrup")) or 0.0
                written = _f(s.values.get("sugar_share"))
                share = (50.0 if written is None else written) / 100.0
                # Density of sucrose syrup [kg/l], straight line through 1.23 at 50 % and 1.33 at 67 %.
                sugar = litres * (1.23 + 0.588 * (share - 0.5)) * share * 1000.0
                a.ensemble.state[:, lay.HONEY] += sugar * 0.8 / 0.82
            else:
                happen(a.ensemble, event, s.values, self.rng)


TAKEN_IN: Final = ("look", "mite wash", "taken off", "laid on", "event")
"""What bears on a colony, in the order of a visit: of entries with the same time the old piece comes off
before the new one goes on."""
HELD_BACK_D: Final = 240
"""Entries of earlier seasons say nothing that the season's own looks do not say better."""


def _since_restocked(entries: list[Seen]) -> list[Seen]:
    """Leave out what belongs to a colony that died, once a later look shows bees in the hive again."""
    for i in range(len(entries) - 1, -1, -1):
        if entries[i].kind == "event" and entries[i].values.get("event") == "death":
            later = [s.values.get("seams") for s in entries[i + 1 :] if s.kind == "look"]
            return entries[i + 1 :] if any(isinstance(v, tuple) and sum(v) > 0 for v in later) else entries
    return entries


def assimilate(
    case: HiveCase,
    sky: Sky,
    today: date,
    *,
    members: int = MEMBERS,
    seed: int = 1,
    without: Set[str] = frozenset(),
    believing: Set[str] = frozenset(),
    protein: float = DEFAULT_PROTEIN,
    usual: PieceKind | None = None,
) -> Assimilated:
    """Carry one hive from its first entry to the morning of ``today``.

    :param case: the hive with everything seen, in any order.
    :param sky: the yard's drivers; must reach to the day before ``today``.
    :param members: ensemble size.
    :param seed: seed; the hive's name is mixed in.
    :param without: ids of entries to leave out.
    :param believing: ids of entries to take as confirmed.
    :param protein: crude protein of a piece laid on without its own written [percent].
    :param usual: sugar and drying of such a piece; the figures book's when omitted.
    :returns: the hive as known, with flags and what each look changed.
    """
    mine = _seed(case.hive, seed)
    rng = np.random.default_rng(mine)
    since = min(sky.first, today - timedelta(days=HELD_BACK_D))
    once = {s.id: s for s in case.seen if s.kind in TAKEN_IN and since <= s.day <= today and s.id not in without}
    entries = sorted(once.values(), key=lambda s: (s.day, s.hour, TAKEN_IN.index(s.kind), s.id))
    entries = [Seen(s.id, s.kind, s.day, s.hour, s.values, s.who, True) if s.id in believing else s for s in entries]
    entries = _since_restocked(entries)
    first = entries[0].day if entries else max(sky.first, today - timedelta(days=60))
    sky = sky.reaching_back_to(min(first, today))
    wide = members * START_FACTOR if entries and entries[0].kind == "look" else members
    known = Assimilated(
        case.hive,
        first,
        first,
        starting(rng, wide, sky, first),
        rng.integers(0, sky.paths.shape[0], wide).astype(np.intp),
        np.zeros((0, 0, 0), np.float32),
    )
    walk = _Walk(
        case,
        sky,
        rng,
        members,
        mine,
        known,
        np.arange(wide, dtype=np.intp),
        usual=UsualPiece(protein, usual or PieceKind()),
    )
    for s in entries:
        walk.forward(s.day)
        walk.take_in(s)
    if known.ensemble.members != members:
        keep = rng.permutation(known.ensemble.members)[:members].astype(np.intp)
        known.ensemble, known.path = known.ensemble.take(keep), known.path[keep]
        if known.out.size:
            known.out = known.out[keep]
        known.reads = [Read(r.entry, r.day, r.items, r.before, r.after, r.spread, r.values[keep]) for r in known.reads]
    walk.forward(today)
    return known
