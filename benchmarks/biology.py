"""What comes out of the day and was not put in: winter bees, brood before bees, jelly's return, brood by size.

Protocol: the runs of ``tideover.checks`` (one colony with middle parameters, luck off), drawn beside what was
published. ``--write`` draws docs/science/biology-*.svg and makes the page's table of the outside checks these runs
are held to, their misses included.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from benchmarks.pages import ROOT, keep, put_part, table
from benchmarks.years import CLAY, INK, PALE, SAGE
from tideover.checks import outside_checks
from tideover.checks.colony_bench import NO_POLLEN, bees_of_one_age, go, rested, sky
from tideover.checks.colony_brood import brood_by_size, order_of_loss, pollen_stops
from tideover.checks.colony_years import COLD, plain_year
from tideover.colony import layout as lay

Floats = NDArray[np.float64]
FOLDER: Final = Path(ROOT, "docs", "science")
PAGE: Final = FOLDER / "biology.md"
CHECKS: Final = {
    "winter": (
        "life_without_brood", "life_without_over_with_brood", "brood_removed_in_flow", "nursing_load_shortens",
        "winter_share_left", "winter_reared_share",
    ),
    "dearth": (
        "order_pantry_young", "order_jelly_young", "order_open_capped", "order_capped_adults", "adults_after_store",
        "dearth_56_days_adults", "rain_young_lost", "rain_young_over_old", "rain_fifth_evening", "cut_brood_falls",
        "cut_adults_follow",
    ),
    "return": ("jelly_back", "brood_after_jelly"),
    "size": ("brood_per_bee_best", "brood_per_bee_best_dearth", "brood_per_bee_falls", "brood_total_rises"),
}  # fmt: skip
"""Outside checks beside each plot, without 'colony.'."""
WHERE: Final[dict[str, tuple[Any, Any]]] = {
    "winter": ((0.42, 0.04), "upper center"),
    "dearth": ((0.36, 0.03), "upper right"),
    "return": ("lower right", "lower right"),
    "size": ("lower left", "lower left"),
}
"""Where the legends of a plot stand, upper and lower."""


def survivors(larvae_per_bee: float, flight_h: float, days: int = 240) -> Floats:
    """Share alive by day of bees that emerged together and tend so many open larvae each, shape (days + 1,)."""
    hive = bees_of_one_age(10_000.0)
    weather = sky(1, flight_h=flight_h) if flight_h else sky(1, flight_h=0.0, high_c=5.0, low_c=-5.0)
    alive = [1.0]
    for _ in range(days):
        adults = float(hive.adults()[0])
        hive.state[0, lay.EGG : lay.LARVA] = 0.0
        hive.state[0, lay.LARVA : lay.CAPPED] = larvae_per_bee * adults / lay.N_LARVA
        hive.state[0, lay.CAPPED : lay.QUALITY] = 0.0
        hive.state[0, lay.BREAD], hive.state[0, lay.HONEY] = 5_000.0, 60_000.0
        go(hive, weather)
        alive.append(float(hive.adults()[0]) / 10_000.0)
    return np.array(alive)


def returning(without: int = 12, after: int = 40) -> tuple[Floats, Floats]:
    """Jelly, and young larvae over their old number, each evening: days without any pollen, then a flow again."""
    hive, _ = rested(1.0)
    old = float(hive.state[0, lay.LARVA : lay.LARVA + 3].sum())
    hive.state[0, lay.BREAD] = 0.0
    jelly, young = [float(hive.state[0, lay.JELLY])], [1.0]
    for day in range(without + after):
        go(hive, sky(1, index=NO_POLLEN if day < without else 1.0))
        jelly.append(float(hive.state[0, lay.JELLY]))
        young.append(float(hive.state[0, lay.LARVA : lay.LARVA + 3].sum()) / old)
    return np.array(jelly), np.array(young)


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    found = {check.key.removeprefix("colony."): check.as_json() for check in outside_checks("colony.")}
    rows = [{"plot": plot, **found[key]} for plot, keys in CHECKS.items() for key in keys]
    return {"rows": rows, "ratios": {}}


def _published(row: dict[str, Any]) -> str:
    expected = row["expected"]
    if isinstance(expected, list):
        return f"{expected[0]:g} to {expected[1]:g}"
    if isinstance(row["tolerance"], str):
        return f"{row['tolerance']} {expected:g}"
    return (
        f"{expected:g}"
        if row["tolerance"] in (0.0, 1.0) and expected > 100.0
        else f"{expected:g} ± {row['tolerance']:g}"
    )


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's tables, one a plot."""
    head = ["what", "published", "ours", "", "source"]
    told = {}
    for plot in CHECKS:
        rows = []
        for r in result["rows"]:
            if r["plot"] == plot:
                verdict = "**differs**" if r["verdict"] == "differs" else "agrees"
                unit = "" if r["unit"] == "1" else f" {r['unit']}"
                verdict += ", was put in" if r["used_as_input"] else ""
                rows.append([r["says"], f"{_published(r)}{unit}", f"{r['ours']:.3g}{unit}", verdict, r["source"]])
        told[plot] = table(head, rows)
    return told


def _winter(top: Any, low: Any) -> None:
    top.axvspan(21, 42, color=PALE, lw=0, label="published life with brood: 3 to 6 weeks")
    top.axvline(140, color=PALE, lw=3, label="published life without brood: 20 weeks and more")
    for larvae, flight, style, colour, says in (
        (2.0, 8.0, "-", CLAY, "2 larvae a bee, flying"),
        (0.5, 8.0, "--", CLAY, "half a larva a bee, flying"),
        (0.0, 8.0, "-", SAGE, "no brood, flying"),
        (0.0, 0.0, "-", INK, "no brood, confined"),
    ):
        top.plot(survivors(larvae, flight), style, color=colour, lw=1.8, label=says)
    top.set_ylabel("share alive")
    top.set_xlabel("days since they emerged together")
    one = plain_year(COLD)
    day = np.arange(1, 366)
    low.plot(day, one.series("reserve"), color=INK, lw=1.8, label="reserve of bees of nursing age (1 is full)")
    low.plot(day, one.series("open") / one.series("adults"), color=CLAY, lw=1.8, label="open larvae a bee")
    low.set_xlabel("day of the year, cold place")


def _dearth(top: Any, low: Any) -> None:
    run = pollen_stops()
    days = np.arange(1, 71)
    first = order_of_loss()
    for name, colour, style, says in (
        ("open", CLAY, "-", "open brood"), ("capped", CLAY, "--", "capped brood"), ("adults", INK, "-", "bees"),
    ):  # fmt: skip
        series = run.series(name)[0]
        top.plot(days, series / series[0], style, color=colour, lw=1.8, label=says)
    top.plot([56, 56], [0.3, 1.0], color=PALE, lw=6, label="common practice: not collapsed after 8 weeks")
    top.set_ylabel("share of the first day")
    low.plot(days, run.series("pollen_g")[0] / 500.0, color=SAGE, lw=1.8, label="stored pollen, of 500 g")
    low.plot(days, run.series("jelly")[0], color=INK, lw=1.8, label="jelly in young cells")
    low.plot(days, run.series("young_lost_share")[0], color=CLAY, lw=1.8, label="young larvae eaten, share a day")
    for name in ("pantry", "young"):
        low.axvline(first[name], color=PALE, lw=2, zorder=0)
    low.set_xlabel("days since pollen stopped (pale lines: store empty, then larvae eaten)")


def _return(top: Any, low: Any) -> None:
    jelly, young = returning()
    since = np.arange(jelly.size) - 12
    top.axvspan(1, 3, color=PALE, lw=0, label="published: care follows within 1 to 3 days")
    top.plot(since, jelly, color=INK, lw=1.8, label="jelly in young cells")
    wet = float(since[np.flatnonzero((since > 0) & (jelly > 0.7))[0]])
    low.axvspan(wet + 1, wet + 12, color=PALE, lw=0, label="our reading: half the number 1 to 12 days after wet cells")
    low.plot(since, young, color=CLAY, lw=1.8, label="larvae under three days, of their old number")
    low.set_xlabel("days since pollen came back, after 12 days without any")


def _size(top: Any, low: Any) -> None:
    for ax, index, says, best in ((top, 1.0, "in a flow", 4_500.0), (low, 0.15, "in a dearth (pollen 0.15)", 9_000.0)):
        sizes, per_bee = brood_by_size(index)
        ax.axvline(best, color=PALE, lw=4, label=f"published best size, {best:,.0f} bees")
        ax.plot(sizes, per_bee, "o-", color=CLAY, lw=1.8, label=f"brood cells a bee after 19 days, {says}")
        ax.set_xscale("log")
        ax.set_xticks(sizes, [f"{s:,.0f}" for s in sizes])
        ax.minorticks_off()
    low.set_xlabel("bees at the start, no brood and little pollen in the combs")


PLOTS: Final[dict[str, tuple[Callable[[Any, Any], None], str]]] = {
    "winter": (_winter, "Nursing shortens life; reserves fill when brood ends"),
    "dearth": (_dearth, "Pollen stops: store, jelly, larvae, brood, and bees last"),
    "return": (_return, "Pollen comes back"),
    "size": (_size, "Brood a bee falls with size"),
}


def draw_plot(name: str, path: Path) -> None:
    """Draw one of the plots as SVG; the same bytes each time."""
    import matplotlib as mpl

    mpl.use("svg")
    import matplotlib.pyplot as plt

    fill, title = PLOTS[name]
    with mpl.rc_context({"svg.hashsalt": "biology", "svg.fonttype": "none", "font.size": 11, "path.simplify": True}):
        figure, (top, low) = plt.subplots(2, 1, figsize=(7.2, 7.2))
        fill(top, low)
        top.set_title(title)
        for ax, where in zip((top, low), WHERE[name], strict=True):
            ax.set_ylim(bottom=0.0)
            ax.legend(loc=where, fontsize=9, facecolor="white", edgecolor="none", framealpha=0.6)
            ax.spines[["top", "right"]].set_visible(False)
        figure.tight_layout()
        figure.savefig(path, metadata={"Date": None, "Creator": None})
        plt.close(figure)


def write(result: dict[str, Any]) -> None:
    """Keep the result, draw the plots, and put the tables into their page."""
    keep("biology", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
    for name in PLOTS:
        draw_plot(name, FOLDER / f"biology-{name}.svg")
