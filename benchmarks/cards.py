"""Field cards against the full computation, over simulated looks with members as truth.

Protocol: seasons drawn from the model (``benchmarks.simulated``), a hive with one to four looks behind it, on a day
between mid May and mid September. Its card is made from the outcomes its call was judged on. Then a member is
drawn as the truth, it shows pollen and jelly by the filter's own likelihood (wrong entries included), and the
whole computation runs with that look written: the season assimilated anew, every plan run on new futures, gates.
Looks without eggs belong to the card's first rows and are drawn again; each first row is asked once a hive, whatever
its chance, and scored by itself.

* agreement: the card names the same action and the same grams as the full computation;
* where the look changes the call: only looks after which the full computation differs from the call without a look;
* regret: bees at winter that the card's plan loses against the full computation's own, in the full
  computation's eyes (mean over its members), and on the member that is the truth; over the keeper's margin.

The full computation is itself drawn: the same look with other seeds is the most any card can agree.

Set ``TIDEOVER_SEASONS`` (default 60), ``TIDEOVER_LOOKS`` per season (default 3) and ``TIDEOVER_AGAIN`` (0 leaves the
other seeds out).
"""

from __future__ import annotations

import os
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial
from multiprocessing import get_context
from typing import Any, Final
from zoneinfo import ZoneInfo

import numba
import numpy as np

from benchmarks.simulated import WEATHER_TO, Season, simulate
from tideover.colony.weather import Weather
from tideover.evidence.assimilate import Assimilated, assimilate
from tideover.evidence.likelihood import look_items
from tideover.evidence.predict import shown
from tideover.evidence.scatters import WRONG_ITEM, WRONG_LOOK
from tideover.evidence.seen import HiveCase, Value
from tideover.plan.call import Interval, Moment
from tideover.plan.cards.card import Answer, Card
from tideover.plan.cards.looks import FIRST, JELLY_SEEN, POLLEN, table_values, with_look
from tideover.plan.cards.make import make_card
from tideover.plan.compare import Outcome
from tideover.plan.decide import margin_bees
from tideover.plan.ground import Ground, YardAhead, prepare
from tideover.plan.settings import Settings
from tideover.plan.settle import Settled, settle
from tideover.plan.situation import Situation, situation

MEMBERS: Final = 600
FROM, TO = date(2031, 5, 15), date(2031, 9, 15)
CLUSTER: Final = date(2031, 11, 8)
SEED: Final = 41
SETTINGS: Final = Settings()
HOUR: Final = 9.0
SET_AGAINST: Final = ("leave", "lay on", "look again", "give water")
"""Calls whose plans' bees can be set against one another; the others suppose that something else is put right."""


@dataclass
class Hive:
    """A simulated hive on the morning of a round, before its look."""

    case: HiveCase
    season: Season
    today: date
    yard: YardAhead
    facts: Situation
    known: Assimilated
    ground: Ground
    card: Card
    card_s: float
    prepare_s: float


def _yard(season: Season, today: date, seed: int) -> YardAhead:
    rng = np.random.default_rng((seed, 5))
    over = season.sky
    path = rng.integers(0, over.paths.shape[0], MEMBERS).astype(np.intp)
    last = min(WEATHER_TO - timedelta(days=2), max(CLUSTER, today + timedelta(days=62)))
    weather: Weather = over.between(today, last, path)
    now = np.exp(over.paths[:, over.at(today)])
    low, mid, high = (float(v) for v in np.quantile(now, [0.1, 0.5, 0.9]))
    return YardAhead(
        weather, None, "", Interval(mid, low, high), "", CLUSTER, "", None, None, None, None, None, None, None, ()
    )


def _at(today: date) -> datetime:
    return datetime(today.year, today.month, today.day, int(HOUR), tzinfo=ZoneInfo("UTC"))


def _full(case: HiveCase, season: Season, today: date, yard: YardAhead, seed: int) -> tuple[Settled, Ground]:
    """The whole computation for a case as it stands."""
    known = assimilate(case, season.sky, today, members=MEMBERS, seed=seed)
    facts = situation(case, (), today)
    ground = prepare(known, facts, yard, SETTINGS, at=_at(today), seed=seed)
    at_hive = any(s.kind == "look" and s.day == today for s in case.seen)
    moment: Moment = "at the hive" if at_hive else "before the round"
    return settle(ground.basis, facts, yard, SETTINGS, case.place, moment=moment, pull_now=ground.pull_now), ground


def hive(seed: int) -> Hive | None:
    """A hive of the season ``seed``, or None where that season's round falls outside the months looked at."""
    season = simulate(seed, rounded=True, fewest_looks=2, most_looks=5, kinds=("into the nest", "jelly counted"))
    today = season.today
    if not FROM <= today <= TO:
        return None
    case = replace(season.case, seen=season.case.seen[:-1])
    yard = _yard(season, today, seed)
    known = assimilate(case, season.sky, today, members=MEMBERS, seed=SEED)
    facts = situation(case, (), today)
    began = time.perf_counter()
    ground = prepare(known, facts, yard, SETTINGS, at=_at(today), seed=SEED)
    ready = time.perf_counter()
    card = make_card(case, ground, facts, (), yard, SETTINGS, hour=HOUR, known=known)
    done = time.perf_counter()
    return Hive(case, season, today, yard, facts, known, ground, card, done - ready, ready - began)


def draw(h: Hive, rng: np.random.Generator) -> tuple[str, str, int] | None:
    """A member as truth and what it shows at one brood comb; None where it shows no eggs in many tries."""
    shows = shown(h.ground.compared, h.case.boxes, flying=0.0, log_index=np.zeros(1))

    def chances(name: str, words: tuple[str, ...], m: int) -> np.ndarray[Any, np.dtype[np.float64]]:
        logs = [look_items(shows, {name: w}, tare_kg=0.0, pollen_hours=False)[0].loglik[m] for w in words]
        p = np.exp(np.array(logs))
        return np.asarray(p / p.sum())

    for _ in range(200):
        m = int(rng.integers(h.ground.compared.members))
        elsewhere = rng.random() < WRONG_LOOK
        got = []
        for name, words in (("eggs", ("yes", "no")), ("nest_pollen", POLLEN), ("jelly", JELLY_SEEN)):
            astray = elsewhere or rng.random() < WRONG_ITEM
            p = np.full(len(words), 1 / len(words)) if astray else chances(name, words, m)
            got.append(str(rng.choice(words, p=p)))
        if got[0] == "yes":
            return got[1], got[2], m
    return None


def _bees(outcomes: list[Outcome], plan: str) -> np.ndarray[Any, np.dtype[np.float64]] | None:
    return next((o.bees for o in outcomes if o.option.name == plan), None)


def does(met: Settled) -> tuple[str, float]:
    """What a verdict does."""
    return met.verdict.action, round(met.verdict.grams, 1)


def one(seed: int, looks: int, floor: bool = True) -> list[dict[str, Any]]:
    """Every simulated look of one season: what the card said and what the full computation says."""
    numba.set_num_threads(1)
    h = hive(seed)
    return [] if h is None else [*looks_at(h, seed, looks, floor), *first_rows_at(h, seed)]


def looks_at(h: Hive, seed: int, looks: int, floor: bool = True) -> list[dict[str, Any]]:
    """Simulated looks at one hive; ``floor`` works each out once more with another seed."""
    rng = np.random.default_rng((seed, 99))
    found = []
    for _ in range(looks):
        got = draw(h, rng)
        if got is None:
            break
        pollen, jelly, m = got
        values: dict[str, Value] = table_values(pollen, jelly, larvae_looked=False)
        case = with_look(h.case, h.today, HOUR, values)
        began = time.perf_counter()
        full, ground = _full(case, h.season, h.today, h.yard, SEED)
        full_s = time.perf_counter() - began
        cell = h.card.cell(pollen, jelly)
        row = compare(h, cell.answer, full, ground, m)
        row |= {
            "seed": seed, "pollen": pollen, "jelly": jelly, "card_s": h.card_s, "full_s": full_s, "odd": cell.odd,
            "chance": cell.chance, "worth": h.card.worth, "now": h.card.now.does, "same": h.card.same,
        }  # fmt: skip
        if floor:
            again, _ = _full(case, h.season, h.today, h.yard, SEED + 1)
            row["again"] = does(again)
        found.append(row)
    return found


def first_rows_at(h: Hive, seed: int) -> list[dict[str, Any]]:
    """Each first row of the card beside the full computation with that sign written."""
    found = []
    for row, sign in zip(h.card.rows, FIRST, strict=True):
        case = with_look(h.case, h.today, HOUR, sign.values)
        full, ground = _full(case, h.season, h.today, h.yard, SEED)
        found.append({"seed": seed, "first row": row.name, **compare(h, row.answer, full, ground, 0)})
    return found


def compare(h: Hive, told: Answer, full: Settled, ground: Ground, m: int) -> dict[str, Any]:
    """One answer of a card beside the full computation."""
    theirs, ours = _bees(ground.outcomes, full.verdict.plan.option.name), _bees(ground.outcomes, told.plan)
    mine_full, mine = _bees(h.ground.outcomes, full.verdict.plan.option.name), _bees(h.ground.outcomes, told.plan)
    leave = next(o for o in ground.outcomes if o.option.action == "leave")
    margin = margin_bees(leave, SETTINGS)
    plain = all(a in SET_AGAINST for a in (told.action, full.verdict.action))
    told_apart = plain and theirs is not None and ours is not None
    regret = float(theirs.mean() - ours.mean()) if told_apart else float("nan")  # type: ignore[union-attr]
    true = plain and mine_full is not None and mine is not None
    return {
        "card": told.does,
        "how": told.how,
        "effective": told.effective,
        "full": does(full),
        "full_plan": full.verdict.plan.option.name,
        "card_plan": told.plan,
        "toss_up": full.verdict.toss_up,
        "regret": regret,
        "regret_truth": float(mine_full[m] - mine[m]) if true else float("nan"),  # type: ignore[index]
        "margin": margin,
        "changed": does(full) != h.card.now.does,
    }


def table(found: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The rows printed: agreement, regret and how often, for all looks and for those that change the call."""
    rows = []
    signs = [r for r in found if "first row" in r]
    found = [r for r in found if "first row" not in r]
    for name, part in (
        ("all looks", found),
        ("looks that change the call", [r for r in found if r["changed"]]),
        ("looks that leave it", [r for r in found if not r["changed"]]),
        ("hives said to be worth a look", [r for r in found if r["worth"]]),
        ("hives said to need none", [r for r in found if not r["worth"]]),
        *((f"first row: {s.name}", [r for r in signs if r["first row"] == s.name]) for s in FIRST),
    ):
        if not part:
            continue
        told = [r for r in part if r["how"] != "cannot tell"]
        regret = np.array([r["regret"] / r["margin"] for r in told if np.isfinite(r["regret"])])
        truth = np.array([r["regret_truth"] / r["margin"] for r in told if np.isfinite(r["regret_truth"])])
        rows.append(
            {
                "looks": name,
                "n": len(part),
                "told": len(told) / len(part),
                "same action": float(np.mean([r["card"][0] == r["full"][0] for r in told])) if told else float("nan"),
                "same action and grams": float(np.mean([r["card"] == r["full"] for r in told])) if told else 0.0,
                "full again, other seed": float(np.mean([r["again"] == r["full"] for r in part]))
                if "again" in part[0]
                else float("nan"),
                "regret over margin": float(regret.mean()) if regret.size else float("nan"),
                "on the truth": float(truth.mean()) if truth.size else float("nan"),
            }
        )
    return rows


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "60"))
    looks = int(os.environ.get("TIDEOVER_LOOKS", "3"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    again = os.environ.get("TIDEOVER_AGAIN", "1") != "0"
    first = int(os.environ.get("TIDEOVER_FIRST", "70000"))
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        work = pool.map(partial(one, looks=looks, floor=again), range(first, first + seasons))
        found = [r for many in work for r in many]
    rows = table(found)
    card = float(np.mean([r["card_s"] for r in found if "card_s" in r]))
    full = float(np.mean([r["full_s"] for r in found if "full_s" in r]))
    return {"rows": rows, "looks": found, "ratios": {"one full computation to a whole card": full / card}}
