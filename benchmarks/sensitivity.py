"""What the answers hang on: global sensitivity of runway, winter bees and call to every parameter and start.

Protocol: one hive in the middle of a dearth (15 July, dry place, to the cluster on 10 November) and one in early
autumn with a little pollen (20 August, cold place). Inputs: the 21 parameters drawn per member, from their priors; what
looks would tell (bees, brood, stores, jelly, reserves, mites); the land (level of pollen on offer, year of weather);
luck; and a dummy that does nothing, whose index is the noise of the method. Outputs: days until reserves are low or
larvae are eaten (censored at 60); bees at the cluster when left alone; bees that the best of four feeding plans adds;
whether it wins by the keeper's margin. Sobol indices (Saltelli 2010, total by Jansen), bootstrap 95 % intervals, and
PAWN (Pianosi & Wagener 2018) from the same runs, by SALib. ``TIDEOVER_SAMPLES`` base samples (default 2,048, a power
of two), seed 1. Then each fixed figure, threshold and the margin a fifth down and up, one at a time, 300 colonies, same
luck; a share that would pass one goes a fifth of the way to one.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any, Final
from unittest.mock import patch

import numpy as np
from numpy.typing import NDArray
from SALib.analyze import pawn, sobol
from SALib.sample import sobol as sobol_sample
from scipy.stats import norm

from benchmarks.pages import ROOT, keep, put_part, table
from benchmarks.trials import version
from tideover.checks.base import source_text
from tideover.checks.colony_years import COLD, DRY, Climate, skies
from tideover.colony import ensemble
from tideover.colony.ensemble import Ensemble
from tideover.colony.ensemble import run as step
from tideover.colony.establish import establish
from tideover.colony.layout import CONST_NAMES, PARAM_NAMES
from tideover.colony.parameters import constants
from tideover.colony.weather import Weather
from tideover.figures import Prior, book
from tideover.figures.units import POUND_G
from tideover.plan.compare import HORIZON_D, Ahead, outcome
from tideover.plan.options import Option
from tideover.plan.settings import Settings

Floats = NDArray[np.float64]
SHOWN: Final = 12
"""Figures held fixed that are shown of each case."""
PAGE: Final = Path(ROOT, "docs", "science", "sensitivity.md")
SAMPLES: Final = 2_048
YEARS: Final = 16
LOCAL_MEMBERS: Final = 300
STEP: Final = 0.2

STARTS: Final[dict[str, tuple[Prior, str]]] = {
    "adults": (Prior("lognormal", 18_000.0, 0.33), "bees"),
    "brood": (Prior("lognormal", 1.0, 0.33), "of a nest in steady laying"),
    "stored pollen": (Prior("lognormal", 200.0, 0.8), "g"),
    "honey": (Prior("lognormal", 12.0, 0.4), "kg"),
    "reserve": (Prior("uniform", 0.45, 0.25), "share"),
    "jelly": (Prior("uniform", 0.6, 0.4), "share"),
    "mites": (book().row("colony.mites_start").prior(), "per 100 bees"),
    "pollen on offer": (Prior("normal", 0.0, 0.5), "log"),
    "year of weather": (Prior("uniform", 0.5, 0.5), "of sixteen"),
}
"""What is not a parameter, with the spread taken: what a keeper who has not looked may suppose. Our assumption."""
LUCK: Final = "luck"
DUMMY: Final = "dummy"
INPUTS: Final = (*PARAM_NAMES, *STARTS, LUCK, DUMMY)
OUTPUTS: Final = ("runway", "winter bees", "gain from feeding", "call")
DEFAULTS: Final = Settings()
PLANS: Final = (
    Option("half a pound now", "lay on", 0.5 * POUND_G),
    Option("half a pound weekly", "lay on", 0.5 * POUND_G, "weekly"),
    Option("a pound every other week", "lay on", POUND_G, "every other week"),
    Option("a pound weekly", "lay on", POUND_G, "weekly"),
)


@dataclass(frozen=True)
class Case:
    """A situation: place, first day of the year (1-based), days to the cluster, typical pollen on offer, laying."""

    name: str
    climate: Climate
    start: int
    days: int
    offer: float
    laying: float


CASES: Final = (
    Case("mid-dearth", DRY, 196, 118, 0.3, 900.0),
    Case("early autumn", COLD, 232, 77, 0.6, 700.0),
)


def quantile(prior: Prior, u: Floats) -> Floats:
    """The prior's quantile function, after its hard limits."""
    if prior.dist == "uniform":
        x = prior.center + prior.spread * (2.0 * u - 1.0)
    elif prior.dist == "normal":
        x = prior.center + prior.spread * norm.ppf(u)
    elif prior.dist == "lognormal":
        x = prior.center * np.exp(prior.spread * norm.ppf(u))
    else:
        x = np.full_like(u, prior.center)
    return np.clip(
        x, -np.inf if prior.floor is None else prior.floor, np.inf if prior.ceiling is None else prior.ceiling
    )


@cache
def _years(case: Case) -> tuple[Weather, ...]:
    days = max(case.days, HORIZON_D)
    return tuple(skies(case.climate, days, start=case.start, seed=400 + k) for k in range(YEARS))


def _drivers(case: Case, level: Floats, which: NDArray[np.intp]) -> Weather:
    years = _years(case)

    def rows(name: str) -> Floats:
        return np.concatenate([getattr(y, name) for y in years])[which]

    offer = np.log(case.offer) + level[:, None] + np.zeros((1, years[0].days))
    return replace(
        years[0], log_index=offer, temp_max_c=rows("temp_max_c"), temp_min_c=rows("temp_min_c"),
        flight_h=rows("flight_h"), pollen_h=rows("pollen_h"),
    )  # fmt: skip


def hives(case: Case, u: Floats) -> tuple[Ensemble, Weather]:
    """Colonies and drivers from points of the unit cube, shape (members, inputs)."""
    column = {name: np.clip(u[:, i], 1e-9, 1.0 - 1e-9) for i, name in enumerate(INPUTS)}
    params = np.ascontiguousarray(
        np.stack([quantile(book().row(f"colony.{n}").prior(), column[n]) for n in PARAM_NAMES], axis=1)
    )
    at = {n: quantile(prior, column[n]) for n, (prior, _) in STARTS.items()}
    nest = case.laying * at["brood"] * at["adults"] / 18_000.0
    hive = establish(
        params, adults=at["adults"], eggs=2.9 * nest, open_larvae=5.4 * nest, capped=10.3 * nest,
        pollen_g=at["stored pollen"], honey_g=1_000.0 * at["honey"], jelly=at["jelly"], reserve=at["reserve"],
        mites=at["mites"], warmth_c=24.0 if case.climate is DRY else 20.0, flight=0.9,
    )  # fmt: skip
    which = np.minimum(YEARS - 1, (YEARS * at["year of weather"]).astype(np.intp))
    return hive, _drivers(case, at["pollen on offer"], which)


def answers(case: Case, hive: Ensemble, weather: Weather, *, salt: int, settings: Settings = DEFAULTS) -> Floats:
    """The four outputs, shape (members, 4)."""
    ahead = step(hive.copy(), weather.slice(0, HORIZON_D), seed=1, salt=salt, record=False).passage[:, 1:]
    runway = np.where(ahead > 0, ahead - 1.0, HORIZON_D + 1.0).min(axis=1)
    futures = Ahead(weather.slice(0, case.days), None, 1, salt, 0)

    def bees(option: Option) -> Floats:
        return np.maximum(1.0, outcome(option, hive, futures, settings, stay_days=7, stop_day=None)[0].bees)

    left = bees(Option("leave alone", "leave"))
    best = np.max([bees(o) for o in PLANS], axis=0)
    return np.stack([runway, left, best - left, (best > (1.0 + settings.margin) * left) * 1.0], axis=1)


def _problem() -> dict[str, Any]:
    return {"num_vars": len(INPUTS), "names": list(INPUTS), "bounds": [[0.0, 1.0]] * len(INPUTS)}


def globally(case: Case, samples: int, seed: int = 1) -> dict[str, Any]:
    """Sobol and PAWN indices of one case, by output and input.

    Luck is an input like any other: the rows of one base sample meet the same luck, and other luck where the design
    takes that column from its second sample.
    """
    d = len(INPUTS)
    x = sobol_sample.sample(_problem(), samples, calc_second_order=False, scramble=True, seed=seed)
    cube = x.reshape(samples, d + 2, d)
    luck = INPUTS.index(LUCK)
    y = np.empty((samples, d + 2, len(OUTPUTS)))
    for k in range(d + 2):
        other = bool(np.any(cube[:, k, luck] != cube[:, 0, luck]))
        hive, weather = hives(case, cube[:, k])
        y[:, k] = answers(case, hive, weather, salt=2 if other else 1)
    found: dict[str, Any] = {}
    both, x_both = y[:, [0, d + 1]].reshape(-1, len(OUTPUTS)), cube[:, [0, d + 1]].reshape(-1, d)
    for i, name in enumerate(OUTPUTS):
        flat = y[:, :, i].reshape(-1)
        s = sobol.analyze(_problem(), flat, calc_second_order=False, num_resamples=200, conf_level=0.95, seed=seed)
        w = pawn.analyze(_problem(), x_both, both[:, i], S=10, seed=seed)
        found[name] = {
            "mean": float(both[:, i].mean()),
            "sd": float(both[:, i].std()),
            "inputs": {
                n: {
                    "first": float(s["S1"][j]), "first_within": float(s["S1_conf"][j]), "total": float(s["ST"][j]),
                    "total_within": float(s["ST_conf"][j]), "pawn": float(w["median"][j]),
                }
                for j, n in enumerate(INPUTS)
            },
        }  # fmt: skip
    return found


@contextmanager
def _figure(name: str, times: float) -> Iterator[None]:
    changed = constants()
    i = CONST_NAMES.index(name)
    now = float(changed[i])
    changed[i] = now + (times - 1.0) * (1.0 - now) if now < 1.0 <= now * times else now * times
    with patch("tideover.colony.ensemble.constants", lambda: changed.copy()):
        yield


@contextmanager
def _limit(k: int, times: float) -> Iterator[None]:
    limits = list(ensemble.LIMITS)
    limits[k] *= times
    with patch("tideover.colony.ensemble.LIMITS", tuple(limits)):
        yield


def locally(case: Case, members: int = LOCAL_MEMBERS, seed: int = 1) -> list[dict[str, Any]]:
    """What a fifth down and up on each fixed figure and threshold does to the means, same colonies, same luck."""
    u = np.random.default_rng(seed).random((members, len(INPUTS)))
    hive, weather = hives(case, u)

    def means(settings: Settings = DEFAULTS) -> Floats:
        y = answers(case, hive, weather, salt=1, settings=settings)
        return np.array([y[:, 0].mean(), y[:, 1].mean(), y[:, 3].mean()])

    def figure(name: str) -> Callable[[float], Floats]:
        def changed(times: float) -> Floats:
            with _figure(name, times):
                return means()

        return changed

    def limit(k: int) -> Callable[[float], Floats]:
        def changed(times: float) -> Floats:
            with _limit(k, times):
                return means()

        return changed

    def margin(times: float) -> Floats:
        return means(replace(DEFAULTS, margin=times * DEFAULTS.margin))

    base = means()
    asked: dict[str, Callable[[float], Floats]] = {name: figure(name) for name in CONST_NAMES}
    asked |= {f"threshold: {name}": limit(k) for k, name in enumerate(ensemble.MILESTONES)}
    asked["setting: margin"] = margin
    rows = []
    for name, change in asked.items():
        row: dict[str, Any] = {"figure": name}
        for word, times in (("down", 1.0 - STEP), ("up", 1.0 + STEP)):
            now = change(times)
            row[word] = {
                "runway_d": float(now[0] - base[0]), "winter_bees": float(now[1] / base[1] - 1.0),
                "call": float(now[2] - base[2]),
            }  # fmt: skip
        rows.append(row)
    return rows


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    samples = int(os.environ.get("TIDEOVER_SAMPLES", SAMPLES))
    found = {c.name: globally(c, samples) for c in CASES}
    rows = [
        {"case": c, "input": n, **{o: found[c][o]["inputs"][n]["total"] for o in OUTPUTS}}
        for c in found
        for n in INPUTS
    ]
    return {
        "rows": rows, "ratios": {}, "samples": samples, "version": version(), "global": found,
        "local": {c.name: locally(c) for c in CASES}, "runs": samples * (len(INPUTS) + 2) * len(CASES),
    }  # fmt: skip


def top(result: dict[str, Any], many: int = 10) -> list[str]:
    """Parameters by their largest total index over cases and outputs."""
    found = result["global"]

    def most(name: str) -> float:
        return max(found[c][o]["inputs"][name]["total"] for c in found for o in OUTPUTS)

    return sorted(PARAM_NAMES, key=most, reverse=True)[:many]


def _cell(v: dict[str, float]) -> str:
    return f"{v['total']:.2f} ± {v['total_within']:.2f}"


_WAYS: Final = ("down", "up")


def _ranked(every: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Figures held fixed, those that move bees at winter most first; thresholds and settings are apart."""
    return sorted(
        (r for r in every if ":" not in r["figure"]), key=lambda r: -max(abs(r[w]["winter_bees"]) for w in _WAYS)
    )


def _strongest(result: dict[str, Any]) -> dict[str, tuple[float, str]]:
    """Of each figure held fixed that is shown, the most a fifth changes bees at winter, and in which case."""
    found: dict[str, tuple[float, str]] = {}
    for case, every in result["local"].items():
        for r in _ranked(every)[:SHOWN]:
            change = max((r[w]["winter_bees"] for w in _WAYS), key=abs)
            if abs(change) > abs(found.get(r["figure"], (0.0, ""))[0]):
                found[r["figure"]] = (change, case)
    return dict(sorted(found.items(), key=lambda item: -abs(item[1][0])))


def _fixed(result: dict[str, Any]) -> str:
    """What the figures held fixed rest on."""
    rows = [
        [f"`{n}` {book().row(f'colony.{n}').says}", f"{change:+.0%}, {case}", book().row(f"colony.{n}").shown,
         source_text(f"colony.{n}")]
        for n, (change, case) in _strongest(result).items()
    ]  # fmt: skip
    return table(["held fixed", "bees at winter, largest change by a fifth", "value", "source"], rows)


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The tables of the page, by name of part."""
    found = result["global"]
    out = {
        "measured": (
            f"{result['samples']} base samples and {len(INPUTS)} inputs a case, {result['runs']} colonies in all, each "
            f"run to the runway's horizon and under five plans; seed 1, version `{result['version']}`."
        )
    }
    for c in CASES:
        one = found[c.name]
        order = sorted(INPUTS, key=lambda n: -max(one[o]["inputs"][n]["total"] for o in OUTPUTS))
        out[c.name] = table(
            ["input", *(f"{o}: total ± 95 %" for o in OUTPUTS), *(f"{o}: first" for o in OUTPUTS), "PAWN, largest"],
            [
                [
                    n, *(_cell(one[o]["inputs"][n]) for o in OUTPUTS),
                    *(f"{one[o]['inputs'][n]['first']:.2f}".replace("-0.00", "0.00") for o in OUTPUTS),
                    f"{max(one[o]['inputs'][n]['pawn'] for o in OUTPUTS):.2f}",
                ]
                for n in order
            ],
        )  # fmt: skip
        every = result["local"][c.name]
        ranked = _ranked(every)
        out[f"{c.name}, figures"] = table(
            ["held fixed", "runway, days (down / up)", "bees at winter (down / up)", "calls to feed, points"],
            [
                [
                    r["figure"] if ":" in r["figure"] else f"`{r['figure']}`",
                    " / ".join(f"{r[w]['runway_d']:+.1f}" for w in _WAYS),
                    " / ".join(f"{r[w]['winter_bees']:+.1%}" for w in _WAYS),
                    " / ".join(f"{100 * r[w]['call']:+.1f}" for w in _WAYS),
                ]
                for r in [*ranked[:SHOWN], *(r for r in every if ":" in r["figure"])]
            ],
        )  # fmt: skip
    out["figures' sources"] = _fixed(result)
    chosen = top(result)
    out["top ten"] = table(
        ["parameter", "largest total index", "prior: median (5–95 %)", "source"],
        [
            [
                f"`{n}` {book().row(f'colony.{n}').says}",
                f"{max(found[c][o]['inputs'][n]['total'] for c in found for o in OUTPUTS):.2f}",
                book().row(f"colony.{n}").shown,
                source_text(f"colony.{n}"),
            ]
            for n in chosen
        ],
    )
    return out


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's tables of it."""
    keep("sensitivity", {k: v for k, v in result.items() if k != "rows"})
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
