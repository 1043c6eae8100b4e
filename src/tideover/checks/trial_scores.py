"""What a trial saw beside what the model foretold of it, and what the prior of feeding says before any patty.

A trial that reported a sign is scored by the chance the model gave to that report; one that reported a number by
whether the predictive interval holds it. Nothing here is fitted.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict, dataclass
from math import log
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.base import source_text
from tideover.checks.colony_years import COLD, DRY, Climate, skies
from tideover.checks.trial_groups import REPLICATES, Foretold, died_settling, foretell
from tideover.checks.trial_setups import TRIALS, Trial
from tideover.colony.ensemble import run
from tideover.colony.establish import establish
from tideover.colony.parameters import draw
from tideover.colony.weather import Feeding
from tideover.figures import book

Floats = NDArray[np.float64]
SEEN: Final = {1: "more", 0: "no difference seen", -1: "less"}
UNLIKELY: Final = 0.05
"""Below this chance of what was seen the model is said to disagree."""
NEAR: Final = 0.1
"""A middle effect within this of none counts as none for the direction (the reading of the spring trials)."""


@dataclass(frozen=True)
class Score:
    """One comparison scored; chances are 0-1, effects ratios (or amounts in ``unit``)."""

    key: str
    says: str
    held_out: bool
    source: str
    taken: str
    unit: str
    seen: str
    colonies: int
    effect: tuple[float, float, float, float, float]
    """2.5, 10, 50, 90 and 97.5 % points."""
    more: float | None
    nothing: float | None
    less: float | None
    chance_of_seen: float | None
    direction: bool | None
    verdict: str

    def as_json(self) -> dict[str, Any]:
        """Plain JSON values."""
        return asdict(self)


def score(trial: Trial, foretold: Foretold) -> Score:
    """Set what a trial saw beside what was foretold of it."""
    row = book().row(trial.key)
    times = 7.0 if row.unit == "g/week" else 1.0
    points = tuple(times * float(v) for v in np.quantile(foretold.effect, [0.025, 0.1, 0.5, 0.9, 0.975]))
    chance: float | None = None
    direction: bool | None = None
    if row.unit == "sign":
        sign = int(row.number)
        seen = SEEN[sign]
        chance = {1: foretold.more, 0: foretold.nothing, -1: foretold.less}[sign]
        if chance is None:
            raise ValueError(f"{trial.key} reports a sign, but its set-up has no control group.")
        effect = points[2] - 1.0
        direction = abs(effect) <= NEAR if sign == 0 else effect * sign > 0.0
        others = [c for c in (foretold.more, foretold.nothing, foretold.less) if c is not None]
        verdict = "disagrees" if chance < UNLIKELY else "agrees" if chance >= max(others) else "possible"
    else:
        seen = row.shown.removesuffix(" 1")
        low80, high80, low95, high95 = points[1], points[3], points[0], points[4]
        value = row.number
        verdict = "in 80 %" if low80 <= value <= high80 else "in 95 %" if low95 <= value <= high95 else "outside 95 %"
        if trial.control is not None:
            direction = (value - 1.0) * (points[2] - 1.0) > 0.0
    return Score(
        trial.key, row.says, ".held." in trial.key, source_text(trial.key), trial.taken, row.unit, seen,
        trial.colonies, points, foretold.more, foretold.nothing, foretold.less, chance, direction, verdict,  # type: ignore[arg-type]
    )  # fmt: skip


def summary(scores: Sequence[Score]) -> dict[str, float]:
    """Totals of some scores.

    ``signs``, ``agree``, ``possible``, ``disagree`` count trials that reported a sign; ``directions`` those whose
    direction is right of ``with_direction``; ``log_score`` is the mean of minus the log of the chance given to what
    was seen (a rule that knows nothing scores ``log_score_of_thirds``); ``numbers``, ``in_80``, ``in_95`` count those
    that reported a number.
    """
    signs = [s for s in scores if s.chance_of_seen is not None]
    numbers = [s for s in scores if s.chance_of_seen is None]
    directed = [s for s in scores if s.direction is not None]
    # A simulation of some hundred trials cannot tell a chance below one in several hundred from nothing.
    logs = [-log(max(0.0025, s.chance_of_seen or 0.0)) for s in signs]
    return {
        "signs": len(signs),
        "agree": sum(s.verdict == "agrees" for s in signs),
        "possible": sum(s.verdict == "possible" for s in signs),
        "disagree": sum(s.verdict == "disagrees" for s in signs),
        "directions": sum(bool(s.direction) for s in directed),
        "with_direction": len(directed),
        "log_score": float(np.mean(logs)) if logs else float("nan"),
        "log_score_of_thirds": log(3.0),
        "numbers": len(numbers),
        "in_80": sum(s.verdict == "in 80 %" for s in numbers),
        "in_95": sum(s.verdict in ("in 80 %", "in 95 %") for s in numbers),
    }


def all_scores(*, replicates: int = REPLICATES, seed: int = 1) -> tuple[list[Score], float]:
    """Every comparison scored, and the largest share of colonies left out because they died while settling."""
    scores = [score(t, foretell(t, replicates=replicates, seed=seed)) for t in TRIALS]
    return scores, max(died_settling(t, replicates=replicates, seed=seed) for t in TRIALS)


@dataclass(frozen=True)
class PriorEffect:
    """What the prior says feeding does to the same colony with the same luck, before any piece is laid on.

    Shares (0-1) of colonies with fewer bees by more than a hundredth (``harm``), within a hundredth (``nil``) and more
    (``gain``); ``not_better``: with no more bees than unfed; ``middle``: median of fed over unfed less one.
    """

    case: str
    harm: float
    nil: float
    gain: float
    not_better: float
    middle: float


def _effect(
    case: str, climate: Climate, start: int, days: int, *, offer: float, pollen_g: float, brood: float, seed: int
) -> PriorEffect:
    members = 2_000
    weather = skies(climate, days, start=start, seed=seed)
    weather.log_index[:] += np.log(offer)
    ends = []
    for fed in (True, False):
        params = draw(np.random.default_rng(seed), members)
        hive = establish(
            params, adults=20_000.0, eggs=2_400.0 * brood, open_larvae=4_800.0 * brood, capped=9_600.0 * brood,
            pollen_g=pollen_g, honey_g=18_000.0,
        )  # fmt: skip
        visit = np.full(days, -1.0)
        if fed:
            visit[0 : min(days, 56) : 7] = 226.8
        full = np.ones(days)
        run(hive, weather, Feeding(visit, 0.15 * full, 0.0 * full, 0.0 * full, 0.0 * full), seed=seed, record=False)
        ends.append(hive.adults())
    ratio = ends[0] / np.maximum(1.0, ends[1]) - 1.0
    return PriorEffect(
        case, float((ratio < -0.01).mean()), float((np.abs(ratio) <= 0.01).mean()), float((ratio > 0.01).mean()),
        float((ends[0] <= ends[1]).mean()), float(np.median(ratio)),
    )  # fmt: skip


def prior_effects(seed: int = 1) -> list[PriorEffect]:
    """The prior's effect of half a pound a week for eight weeks in three cases, 2,000 colonies each."""
    return [
        _effect("a dearth in July, dry place, to November", DRY, 195, 115, offer=0.3, pollen_g=200.0,
                brood=1.0, seed=seed),
        _effect("September with pollen coming in, cold place, to December", COLD, 250, 90, offer=1.0, pollen_g=1_500.0,
                brood=0.5, seed=seed),
        _effect("September without pollen, cold place, to December", COLD, 250, 90, offer=0.2, pollen_g=300.0,
                brood=0.5, seed=seed),
    ]  # fmt: skip
