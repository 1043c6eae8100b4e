"""Published feeding trials against the model: what was seen, what was foretold, and what the prior of feeding says.

Protocol: every set-up of ``checks.trial_setups`` simulated ``TIDEOVER_REPLICATES`` times (default 400), seed 1, groups
of as many colonies as the trial had (or was taken to have), a test at 5 % as papers use. ``--write`` keeps the
result and makes the tables of docs/science/trials.md of it.
"""

from __future__ import annotations

import math
import os
from pathlib import Path
from typing import Any, Final

from benchmarks.pages import ROOT, keep, put_part, table, version
from tideover.checks.between import EIGHT_OF_TEN, intake_between
from tideover.checks.trial_scores import all_scores, prior_effects, summary
from tideover.figures import book

PAGE: Final = Path(ROOT, "docs", "science", "trials.md")
REPLICATES: Final = 400


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    replicates = int(os.environ.get("TIDEOVER_REPLICATES", REPLICATES))
    scores, died = all_scores(replicates=replicates)
    held, prior = [s for s in scores if s.held_out], [s for s in scores if not s.held_out]
    return {
        "rows": [
            {"key": s.key, "seen": s.seen, "middle": s.effect[2], "chance": s.chance_of_seen, "verdict": s.verdict}
            for s in scores
        ],
        "ratios": {},
        "replicates": replicates,
        "version": version(),
        "scores": [s.as_json() for s in scores],
        "held_out": summary(held),
        "informed": summary(prior),
        "most_died_settling": died,
        "prior": [vars(e) for e in prior_effects()],
    }


FIRST: Final = {"signs": "11 / 4 / 2", "directions": "18 of 21", "log": "1.05", "numbers": "2 / 4"}
"""What the held-out side came to when it was first run, before the colony's day was changed (commit a6636a7)."""


def _percent(share: float) -> str:
    return f"{100.0 * share:.0f}"


def _number(value: float) -> str:
    return (
        f"{value:,.0f}".replace(",", " ")
        if abs(value) >= 100
        else f"{value:.2f}"
        if abs(value) < 10
        else f"{value:.1f}"
    )


def _score_row(s: dict[str, Any]) -> list[str]:
    low95, low80, middle, high80, high95 = s["effect"]
    signs = s["chance_of_seen"] is not None
    chances = " / ".join(_percent(s[k]) for k in ("more", "nothing", "less")) if signs else ""
    foretold = f"{_number(middle)} ({_number(low80)}–{_number(high80)}; {_number(low95)}–{_number(high95)})"
    return [
        f"`{s['key'].split('.', 1)[1]}` {s['says']}", str(s["colonies"]), s["seen"], foretold, chances,
        s["verdict"] + ("" if s["direction"] is not False else ", direction wrong"),
    ]  # fmt: skip


_HEAD: Final = [
    "trial", "colonies a group", "seen", "foretold, fed over unfed: middle (80 %; 95 %)",
    "chance of more / nothing / less", "verdict",
]  # fmt: skip


def _two_runs(now: dict[str, float]) -> str:
    return table(
        ["held out", "first", "now"],
        [
            ["signs: agrees / possible / disagrees", FIRST["signs"],
             f"{now['agree']} / {now['possible']} / {now['disagree']}"],
            ["directions right", FIRST["directions"], f"{now['directions']} of {now['with_direction']}"],
            ["mean of minus the log of the chance (thirds: 1.10)", FIRST["log"], f"{now['log_score']:.2f}"],
            [f"numbers in 80 % / 95 % of {now['numbers']}", FIRST["numbers"], f"{now['in_80']} / {now['in_95']}"],
        ],
    )  # fmt: skip


AMOUNTS: Final = ("held.twelve_comb_intake", "held.morena_intake", "held.intake_at_23")
"""Held-out amounts eaten: the only kind of which the informing side says how far laboratories differ."""


def _between(scores: list[dict[str, Any]]) -> str:
    """How far held-out numbers lie from what was foretold, and how far with a spread between laboratories added."""
    spread = intake_between()
    rows, inside, before = [], 0, 0
    for s in scores:
        if not s["held_out"] or s["chance_of_seen"] is not None:
            continue
        key = s["key"].split(".", 1)[1]
        low, middle, high = s["effect"][1:4]
        own = math.log(high / low) / EIGHT_OF_TEN
        seen = float(book().row(s["key"]).number)
        off = math.log(seen / middle)
        wide = math.hypot(own, spread.sd) if key in AMOUNTS else own
        before += abs(off) <= EIGHT_OF_TEN / 2.0 * own
        inside += abs(off) <= EIGHT_OF_TEN / 2.0 * wide
        rows.append([f"`{key}`", f"{math.exp(off):.2f}", f"{off / own:+.1f}", f"{off / wide:+.1f}"])
    head = ["held out", "seen over middle foretold", "in standard deviations", "with the spread between laboratories"]
    return (
        table(head, rows)
        + f"\n\nBetween two laboratories the logarithm of pollen feed eaten per bee has a spread of {spread.sd:.2f} "
        f"(95 %: {spread.low:.2f} to {spread.high:.1f}). Taken for "
        f"normal in the logarithm, {before} of {len(rows)} lie inside 80 % without it and {inside} with it."
    )


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The tables of the page, by name of part."""
    scores = result["scores"]

    def scored(held: bool) -> str:
        return table(_HEAD, [_score_row(s) for s in scores if s["held_out"] is held])

    def totals(t: dict[str, float]) -> str:
        return (
            f"{t['signs']} reported a sign: the model agrees with {t['agree']}, holds {t['possible']} possible and "
            f"disagrees with {t['disagree']}; the direction is right in {t['directions']} of {t['with_direction']}.\n"
            f"Mean of minus the log of the chance given to what was seen: {t['log_score']:.2f}; a rule that gives each "
            f"of the three answers a third scores {t['log_score_of_thirds']:.2f} (lower is better).\n"
            f"{t['numbers']} reported a number: {t['in_80']} inside the 80 % interval, {t['in_95']} inside the 95 %."
        )

    measured = (
        f"{result['replicates']} simulated trials each, seed 1, version `{result['version']}`; up to "
        f"{_percent(result['most_died_settling'])} % of colonies drawn died out in the two years before and were left "
        "out."
    )
    return {
        "measured": measured,
        "held out": scored(True) + "\n\n" + totals(result["held_out"]),
        "informed": scored(False) + "\n\n" + totals(result["informed"]),
        "prior": table(
            [
                "half a pound a week for eight weeks",
                "harm, %",
                "nil, %",
                "gain, %",
                "no better than unfed, %",
                "middle",
            ],
            [
                [
                    e["case"],
                    *(f"{100 * e[k]:.1f}" for k in ("harm", "nil", "gain", "not_better")),
                    f"{e['middle']:+.1%}",
                ]
                for e in result["prior"]
            ],
        ),
        "between": _between(scores),
        "two runs": _two_runs(result["held_out"]),
        "taken": "\n".join(f"- `{s['key'].split('.', 1)[1]}`: {s['taken']}. Source: {s['source']}." for s in scores),
    }


def write(result: dict[str, Any]) -> None:
    """Keep the result and make the page's tables of it."""
    keep("trials", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
