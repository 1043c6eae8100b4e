"""What each kind of look is worth to the call: how often it changes it, and how many bees at winter that brings.

Protocol: seasons drawn from the model (``benchmarks.simulated``), a hive with one or two looks behind it on a day
between mid May and mid September. The whole computation answers it without a look today, and again with a look of
each kind made at the same true colony: the season assimilated anew, every plan run, gates. 'Nothing' is the same books
answered with another seed, since the computation is itself drawn: what it changes, luck changes.

* changed: share of hives whose call names another action, or another action or portion;
* in its own eyes: bees at winter by which the new call beats the old one, by the members the look left (the expected
  value of sample information where the filter is right; never much below zero);
* on the truth: the same two calls on the true colony under futures of its land, and the regret left: what the best plan
  would have brought there beyond the one called. In parts of a hundred of that colony's bees at winter.

Bees are told where both calls are to leave, to feed, to give sugar or to look again; other calls turn on more than
bees. Sugar asked for by one look and not offered to the true colony, whose honey is enough, stands for leaving it.
Set ``TIDEOVER_SEASONS`` (default 40); ``--write`` keeps the result and makes the page's table of it.
"""

from __future__ import annotations

import os
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from multiprocessing import get_context
from typing import Any, Final

import numba
import numpy as np
from numpy.typing import NDArray

from benchmarks.cards import FROM, MEMBERS, SEED, SETTINGS, TO, _at, _full, _yard, does
from benchmarks.identifiability import PAGE
from benchmarks.pages import keep, put_part, table
from benchmarks.simulated import KINDS, Season, as_written, draw_look, simulate
from tideover.evidence.assimilate import Assimilated, tare_kg
from tideover.evidence.seen import HiveCase
from tideover.plan.ground import Ground, YardAhead, prepare
from tideover.plan.options import Option
from tideover.plan.settle import Settled
from tideover.plan.situation import situation

FIRST: Final = 120_000
NOTHING: Final = "nothing, other luck"
PLAIN: Final = ("leave", "lay on", "look again", "give sugar")


def _truth(season: Season, case: HiveCase, yard: YardAhead) -> Ground:
    """Every plan on the true colony: as many of it as members, each with a future of its own."""
    same = season.truth.take(np.zeros(MEMBERS, np.intp))
    path = np.zeros(MEMBERS, np.intp)
    known = Assimilated(case.hive, season.today, season.today, same, path, np.zeros((0, 0, 0), np.float32))
    return prepare(known, situation(case, (), season.today), yard, SETTINGS, at=_at(season.today), seed=SEED)


def _looked(season: Season, case: HiveCase, kind: str, rng: np.random.Generator) -> HiveCase:
    """The hive with a look of a kind at the true colony, written as a keeper writes."""
    values = draw_look(
        season.shows, KINDS[kind], rng, tare=tare_kg(case), pollen_hours=season.pollen_hours, wrong=True
    )  # fmt: skip
    return replace(case, seen=(*case.seen, replace(season.case.seen[-1], values=as_written(values))))


def _mean(ground: Ground, option: Option) -> float:
    """Mean bees at winter under a plan; sugar is offered in other amounts to other eyes, so its action counts."""
    for o in ground.outcomes:
        if o.option.name == option.name or (option.action == o.option.action == "give sugar"):
            return float(o.bees.mean())
    leave = next(o for o in ground.outcomes if o.option.action == "leave")
    return float(leave.bees.mean()) if option.action == "give sugar" else float("nan")


def one(seed: int) -> list[dict[str, Any]]:
    """Every kind of look at one simulated hive; none where its day falls outside the months looked at."""
    numba.set_num_threads(1)
    season = simulate(seed, rounded=True, fewest_looks=2, most_looks=3, kinds=("at the lid", "into the nest"))
    if not FROM <= season.today <= TO:
        return []
    case = replace(season.case, seen=season.case.seen[:-1])
    yard = _yard(season, season.today, seed)
    before, _ = _full(case, season, season.today, yard, SEED)
    truth = _truth(season, case, yard)
    top = max(float(o.bees.mean()) for o in truth.outcomes if o.option.action in PLAIN)
    found = []
    for k, kind in enumerate((NOTHING, *KINDS)):
        seen = case if kind == NOTHING else _looked(season, case, kind, np.random.default_rng((seed, 17, k)))
        after, ground = _full(seen, season, season.today, yard, SEED + 1 if kind == NOTHING else SEED)
        found.append({"seed": seed, "kind": kind} | _compared(before, after, ground, truth, top))
    return found


def _compared(before: Settled, after: Settled, ground: Ground, truth: Ground, top: float) -> dict[str, Any]:
    """One call beside the one without a look."""
    old, new = before.verdict.plan.option, after.verdict.plan.option
    plain = before.verdict.action in PLAIN and after.verdict.action in PLAIN
    own = _mean(ground, new) - _mean(ground, old) if plain else float("nan")
    true = _mean(truth, new) - _mean(truth, old) if plain else float("nan")
    left = top - _mean(truth, new) if plain else float("nan")
    return {
        "before": does(before), "after": does(after), "plain": plain,
        "action": does(before)[0] != does(after)[0], "changed": does(before) != does(after),
        "own": own / _mean(ground, old) if plain else own, "true": true / top, "left": left / top,
    }  # fmt: skip


def _with_error(values: NDArray[np.float64]) -> tuple[float, float]:
    kept = values[np.isfinite(values)]
    return float(kept.mean()), float(kept.std(ddof=1) / np.sqrt(kept.size))


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    seasons = int(os.environ.get("TIDEOVER_SEASONS", "40"))
    workers = int(os.environ.get("TIDEOVER_WORKERS", "2"))
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        found = [r for many in pool.map(one, range(FIRST, FIRST + seasons)) for r in many]
    rows = []
    for kind in (NOTHING, *KINDS):
        part = [r for r in found if r["kind"] == kind]
        row: dict[str, Any] = {"look": kind, "hives": len(part)}
        for name in ("action", "changed", "own", "true", "left"):
            row[name], row[f"{name} error"] = _with_error(np.array([float(r[name]) for r in part]))
        rows.append(row | {"told in bees": sum(bool(np.isfinite(r["true"])) for r in part)})
    return {"rows": rows, "ratios": {}, "looks": found}


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's table."""

    def cell(row: dict[str, Any], name: str, digits: int = 0) -> str:
        return f"{100 * row[name]:.{digits}f} ± {100 * row[name + ' error']:.{digits}f}"

    head = [
        "look", "hives", "another action, %", "another action or portion, %", "told in bees", "gain in its own eyes, %",
        "gain on the truth, %", "regret left on the truth, %",
    ]  # fmt: skip
    rows = [
        [r["look"], str(r["hives"]), cell(r, "action"), cell(r, "changed"), str(r["told in bees"]),
         cell(r, "own", 1), cell(r, "true", 1), cell(r, "left", 1)]
        for r in result["rows"]
    ]  # fmt: skip
    return {"worth": table(head, rows)}


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's table of it."""
    keep("worth", {k: v for k, v in result.items() if k != "looks"})
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
