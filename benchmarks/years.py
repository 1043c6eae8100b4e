"""Years of colonies left alone in three climates, either side of the equator, beside published ranges.

Protocol: a colony with middle parameters lives three years in each of nine made-up weathers around monthly normals
(``checks.colony_years.WEATHERS``); of the third year the median over weathers is told, with the least and the most.
The plots show it in the first of them, with 60 colonies whose parameters are drawn from their priors (seed 5). Luck of
the day is off, so that the spread shown there is that of the parameters. ``--write`` draws docs/science/years-*.svg and
the tables.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from benchmarks.pages import ROOT, keep, put_part, table
from tideover.checks.colony_years import CLIMATES, WEATHERS, Climate, Year, plain_year, plain_years, year
from tideover.colony.parameters import draw

Floats = NDArray[np.float64]
FOLDER: Final = Path(ROOT, "docs", "science")
PAGE: Final = FOLDER / "years.md"
NAMES: Final = ("temperate", "humid", "mediterranean")
MEMBERS: Final = 60
NOV, MAR = 318, 73
INK, CLAY, SAGE, PALE = "#22303a", "#a4532f", "#6b7f5e", "#d9d4c7"


def told(one: Year) -> dict[str, float]:
    """What is compared of a year, by name."""
    adults = one.series("adults")
    brood = one.series("eggs") + one.series("open") + one.series("capped")
    return {
        "most bees": float(adults.max()),
        "day of most bees": float(adults.argmax() + 1),
        "most brood": float(brood.max()),
        "day of most brood": float(brood.argmax() + 1),
        "bees of late June over those of late September": float(adults[172] / adults[270]),
        "days with over 1,000 cells": float((brood > 1_000.0).sum()),
        "bees of mid-March over those of mid-November": float(adults[MAR] / adults[NOV]),
        "bees reared": one.total("emerged"),
        "pollen eaten, kg": one.total("bread_eaten_g") / 1000.0,
        "most stored pollen, kg": float(one.series("pollen_g").max()) / 1000.0,
        "summer life (adults over a twelfth of capped), d": float(
            (adults[135:274] / (one.series("capped")[135:274] / 12.0 + 1.0)).mean()
        ),
    }


PUBLISHED: Final = {
    "most bees": ("25 000-40 000 in June; about 42 000 without limits of room", "Imdorf (from memory); Simpson 1969"),
    "day of most bees": ("June where it is temperate", "Imdorf (from memory); McLellan 1979"),
    "most brood": ("24 000 in Scotland; 25 000-30 000 beside 5 000 eggs", "McLellan 1979; FAO Bulletin 68"),
    "day of most brood": ("spring to June", "review, see model.md"),
    "bees of late June over those of late September": ("2.85 in Scotland, of early June", "McLellan 1979"),
    "days with over 1,000 cells": ("shorter in the north (sign)", "Hatjina et al. 2014"),
    "bees of mid-March over those of mid-November": ("0.58 (0.48-0.68), temperate only", "Avitabile 1978"),
    "bees reared": ("130 000-200 000", "Imdorf (from memory)"),
    "pollen eaten, kg": ("15-35; about 30 in Scotland", "Todd & Bishop 1941; Winston 1987; McLellan 1979"),
    "most stored pollen, kg": ("2", "McLellan 1979"),
    "summer life (adults over a twelfth of capped), d": ("20-30", "Yamada et al. 2019"),
}
"""What was published, and by whom; rows of the figures book hold each."""


SCOTLAND_BEES: Final = ((148, 18.0), (157, 37.0), (270, 13.0))
SCOTLAND_BROOD: Final = ((148, 15.0), (166, 24.0), (270, 0.0))
"""Day of the year and thousands counted in Scotland (McLellan 1979, read abstract): late May, early or mid June, late
September; there 'almost no' brood. The days are our reading of those words."""
DAVIS_BROOD_DAY: Final = 135
"""Mid-May, when 16 colonies at Davis, California, had most worker brood (read abstract)."""


def _number(value: float) -> str:
    return f"{value:,.0f}".replace(",", " ") if value >= 10.0 else f"{value:.2f}"


def _shown(told: dict[str, float]) -> str:
    return f"{_number(told['median'])} ({_number(told['least'])}–{_number(told['most'])})"


def _over(many: Sequence[Year]) -> dict[str, dict[str, float]]:
    """Median, least and most over weathers of each number told, by name, and that of the first of them."""
    each = [told(one) for one in many]
    return {
        name: {
            "median": float(np.median([e[name] for e in each])),
            "least": min(e[name] for e in each),
            "most": max(e[name] for e in each),
            "first": each[0][name],
        }
        for name in each[0]
    }


def run() -> dict[str, Any]:
    """Measure; see the module's first lines for the protocol."""
    found = {}
    for name, climate in zip(NAMES, CLIMATES, strict=True):
        found[name] = _over(plain_years(climate))
        found[f"{name}, mirrored"] = _over([year(climate.mirrored(), seed=seed) for seed in WEATHERS])
    rows = [{"place": place, **{k: _shown(v) for k, v in values.items()}} for place, values in found.items()]
    return {"rows": rows, "ratios": {}, "places": found}


def draw_year(name: str, climate: Climate, path: Path) -> None:
    """Draw the year of one climate as SVG; the same bytes each time."""
    import matplotlib as mpl

    mpl.use("svg")
    import matplotlib.pyplot as plt

    rng = np.random.default_rng(5)
    many = year(climate, params=draw(rng, MEMBERS))
    plain = plain_year(climate)
    day = np.arange(0, 365, 5)
    brood = ("eggs", "open", "capped")

    def panel(ax: Any, names: tuple[str, ...], colour: str, label: str, per: float) -> None:
        total = sum(many.run.series(n)[:, day].astype(np.float64) for n in names) / per
        ax.fill_between(day + 1, *np.quantile(total, (0.1, 0.9), axis=0), color=colour, alpha=0.2, lw=0)
        ax.plot(day + 1, sum(plain.series(n)[day] for n in names) / per, color=colour, lw=1.8, label=label)

    with mpl.rc_context({"svg.hashsalt": "years", "svg.fonttype": "none", "font.size": 11, "path.simplify": True}):
        figure, (top, low) = plt.subplots(2, 1, figsize=(7.2, 6.0), sharex=True)
        if name == "temperate":
            top.fill_between([152, 181], 25.0, 40.0, color=PALE, label="published, June peak")
        panel(top, ("adults",), INK, "bees", 1000.0)
        panel(top, brood, CLAY, "brood cells", 1000.0)
        low.axhline(2.0, color=PALE, lw=3, label="published peak of the store")
        if name == "temperate":
            for counts, colour, label in (
                (SCOTLAND_BEES, INK, "bees counted in Scotland"),
                (SCOTLAND_BROOD, CLAY, "brood counted in Scotland"),
            ):
                top.plot(*zip(*counts, strict=True), "x", color=colour, ms=8, mew=2, label=label)
        if name == "mediterranean":
            top.axvline(DAVIS_BROOD_DAY, color=PALE, lw=3, label="published day of most brood, Davis")
        panel(low, ("pollen_g",), SAGE, "stored pollen", 1000.0)
        top.set_ylabel("thousands")
        low.set_ylabel("kilograms")
        low.set_xlabel("day of the year")
        top.set_title(climate.name)
        for ax in (top, low):
            ax.set_ylim(bottom=0.0)
            ax.legend(frameon=False, loc="upper left", fontsize=9)
            ax.spines[["top", "right"]].set_visible(False)
        figure.tight_layout()
        figure.savefig(path, metadata={"Date": None, "Creator": None})
        plt.close(figure)


def parts(result: dict[str, Any]) -> dict[str, str]:
    """The page's tables, by name."""
    places = result["places"]
    beside = [[what, *(_shown(places[n][what]) for n in NAMES), *PUBLISHED[what]] for what in PUBLISHED]
    turned = [[n, *(_shown(places[p][w]) for p in (n, f"{n}, mirrored") for w in ("most bees", "day of most bees",
               "pollen eaten, kg"))] for n in NAMES]  # fmt: skip
    head = ["", "most bees", "on day", "pollen, kg", "mirrored: most bees", "on day of its year", "pollen, kg"]
    return {"years": table(["", *NAMES, "published", "by"], beside), "mirrored": table(head, turned)}


def write(result: dict[str, Any]) -> None:
    """Keep the result, draw the plots, and put the tables into their page."""
    keep("years", result)
    for part, text in parts(result).items():
        put_part(PAGE, part, text)
    for name, climate in zip(NAMES, CLIMATES, strict=True):
        draw_year(name, climate, FOLDER / f"years-{name}.svg")
