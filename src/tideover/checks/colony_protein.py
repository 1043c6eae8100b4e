"""Checks of the protein economy: what a larva, a nurse, a nest and a year cost, and how collecting answers the store.

The published per-larva need, nurse intake, per-bee bookkeeping and yearly use do not agree with one another;
``flows`` shows ours beside all of them at once.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, partial
from typing import Final

import numpy as np
from numpy.typing import NDArray

from tideover.checks.base import from_book, outside
from tideover.checks.colony_bench import CP, NO_POLLEN, colony, go, patty, plain_params, rested, sky
from tideover.checks.colony_years import COLD, plain_year
from tideover.colony import layout as lay
from tideover.colony.layout import C, P
from tideover.colony.parameters import constants
from tideover.colony.weights import FILLING, NURSING, UPKEEP
from tideover.figures.units import POUND_G

Floats = NDArray[np.float64]
_FEWELL: Final = "Fewell & Winston 1992, Behav. Ecol. Sociobiol. 30:387-393 (from memory)"

# --- what one larva, one bee, one nest and one year cost


@dataclass(frozen=True)
class Flow:
    """One published figure beside ours, and what it says about the others."""

    says: str
    published: tuple[float, float]
    ours: float
    unit: str
    source: str
    remark: str = ""


@cache
def resting_costs() -> tuple[float, float, float]:
    """Protein fed per larva capped [mg], pollen eaten per bee emerged [mg], by a colony at rest in a flow for 30 d.

    The third is the share of what is eaten that larvae get.
    """
    hive, _ = rested(1.0)
    capped = 0.0
    run_totals = np.zeros(lay.LEDGERS)
    for _ in range(30):
        run = go(hive, sky(1))
        run_totals += run.ledger[0]
        capped += float(hive.state[0, lay.CAPPED])
    jelly = run_totals[lay.G["protein_jelly_g"]]
    eaten = run_totals[lay.G["bread_eaten_g"]]
    return (
        1000.0 * float(jelly) / capped,
        1000.0 * float(eaten) / float(run_totals[lay.G["emerged"]]),
        float(jelly) / (float(eaten) * CP),
    )


@cache
def nurse_first_ten_days() -> float:
    """Pollen a worker eats in her first ten days [mg] in a colony at rest in a flow.

    What the colony eats in a day is measured; it is split over ages by the shares in which the model charges it:
    jelly by nursing, own growth by age and reserve.
    """
    hive, _ = rested(1.0)
    x = hive.state[0].copy()
    c, reserve_mg = constants(), float(plain_params()[0, P["reserve_mg"]])
    run = go(hive, sky(1))
    house, reserve = x[lay.HOUSE : lay.RESERVE], x[lay.RESERVE : lay.FORAGER]
    nurse = house * NURSING * np.minimum(1.0, 0.25 + 1.875 * reserve)
    jelly = float(run.total("protein_jelly_g")[0])
    adult = float(run.total("protein_adult_g")[0])
    aim = 1.0 - c[C["reserve_nursing"]] * np.maximum(NURSING, 0.3)
    grow = c[C["reserve_fill"]] * FILLING * np.maximum(0.0, aim - reserve) * reserve_mg
    own = house * (UPKEEP * c[C["maintenance_mg"]] + grow)
    per_bee = (jelly * nurse / nurse.sum() + adult * own / own.sum()) / house
    return float(1000.0 * per_bee[:10].sum() / CP)


@cache
def year_cost() -> tuple[float, float, float]:
    """Bees reared [thousands], pollen eaten per bee emerged [mg] and pollen eaten [kg] in a year in the cold place."""
    year = plain_year(COLD)
    bees, kg = year.total("emerged"), year.total("bread_eaten_g") / 1000.0
    return bees / 1000.0, kg * 1e6 / bees, kg


from_book(
    "protein.protein_per_larva_mg", lambda: resting_costs()[0], used_as_input=True, expected=(25.0, 37.5),
    tolerance=0.0, key="colony.protein_per_larva",
    note="Known to differ by a little: 25-37.5 mg a larva and 100 mg pollen a bee cannot both be; ours stands between.",
)  # fmt: skip
from_book("protein.nurse_first10_mg", nurse_first_ten_days, used_as_input=False, expected=(40.0, 100.0), tolerance=0.0,
          key="colony.nurse_first_ten_days")  # fmt: skip
from_book(
    "protein.pollen_per_bee_mg", lambda: resting_costs()[1], used_as_input=False, expected=(100.0, 190.0),
    tolerance=0.0, key="colony.pollen_per_bee",
    note="The per-larva cost is an input; what adults add to it, and what is lost with dead brood, is not.",
)  # fmt: skip
from_book(
    "protein.bees_per_pound_pollen", lambda: POUND_G * 1000.0 / year_cost()[1], used_as_input=False,
    expected=(2_400.0, 4_600.0), tolerance=0.0, key="colony.bees_per_pound_pollen",
)  # fmt: skip


from_book("protein.annual_kg", lambda: year_cost()[2], used_as_input=False, expected=(15.0, 35.0), tolerance=0.0,
          key="colony.pollen_a_year", note="Pollen on offer through the year is an invented driver.")  # fmt: skip
outside(
    "colony.bees_a_year", "Bees reared in a year, in thousands",
    source="Imdorf et al., Swiss Bee Research Centre: 130-200 thousand (from memory)",
    kind="observed", used_as_input=False, expected=(130.0, 200.0), tolerance=0.0, unit="10^3",
    note="Pollen on offer through the year is an invented driver, its height set so that a colony lives.",
)(lambda: year_cost()[0])  # fmt: skip


def flows() -> list[Flow]:
    """Our flows against every published one at once; the last entry says where the published ones conflict."""
    larva, bee, share = resting_costs()
    bees, bee_year, kg = year_cost()
    return [
        Flow("protein fed to one larva", (25.0, 37.5), larva, "mg", "Hrassnigg & Crailsheim 2005",
             "as pollen at 20 % protein this alone is 125-188 mg, more than the whole bee costs by bookkeeping"),
        Flow("pollen per bee, larva and nurse together", (100.0, 145.0), bee, "mg",
             "Todd & Bishop 1941; Haydak 1935", "field bookkeeping; should lie above the line before, and lies below"),
        Flow("pollen a nurse eats in ten days", (40.0, 100.0), nurse_first_ten_days(), "mg", "Crailsheim et al. 1992",
             "if every bee nurses once and eats this, a bee costs no more than this and her larval food is missing"),
        Flow("pollen per bee over a year", (100.0, 190.0), bee_year, "mg", "Todd & Bishop 1941; Haydak 1935"),
        Flow("pollen a year", (15.0, 35.0), kg, "kg", "Todd & Bishop 1941; Winston 1987",
             f"for {bees:.0f} thousand bees; 200 thousand at 25-37.5 mg protein a larva need 25-38 kg for larvae"),
        Flow("share of eaten protein that larvae get", (0.0, 1.0), share, "1", "nothing published"),
    ]  # fmt: skip


# --- nest, pound, kilogram


@cache
def pound_in_a_fortnight(worth: float) -> float:
    """Share of the protein a nest of 1,000 bees a day needs in 14 days that one pound of 15 % patty gives.

    Measured: 1,000 bees a day are kept up by resetting the brood each evening; no pollen, no store, one pound laid on.
    """
    params = plain_params(feed_value=worth, larva_protein_mg=30.0, patty_intake_mg=6.0)
    hive = colony(25_000.0, 1_000.0 / 0.851, pollen_g=0.0, params=params)
    nest = hive.state.copy()
    given, jelly_need = 0.0, 0.0
    for day in range(14):
        run = go(hive, sky(1, index=NO_POLLEN), patty(1, [0], POUND_G) if day == 0 else None)
        given += float(run.total("protein_eaten_g")[0])
        jelly_need += 1.0
        rest = slice(lay.PATTY, lay.PATTY_DAYS + 1)
        kept = hive.state[0, rest].copy()
        hive.state[:] = nest
        hive.state[0, rest] = kept
    left = float(hive.state[0, lay.PATTY])
    # What a nest of 1,000 bees a day needs by the published 30 mg; the jelly of 14,000 bees.
    return given / (0.030 * 1_000.0 * jelly_need) * (POUND_G / max(1.0, POUND_G - left))


for worth, expected in ((1.0, 0.16), (0.6, 0.10)):
    outside(
        f"fed.pound_in_fortnight_{worth:g}",
        f"Share of a 1,000-a-day nest's fortnight that a pound covers, worth {worth:g}",
        source="68 g protein in a pound of 15 % patty over 420 g for 14,000 larvae at 30 mg (arithmetic)",
        kind="arithmetic", used_as_input=False, expected=expected, tolerance=0.01, unit="1",
    )(partial(pound_in_a_fortnight, worth))  # fmt: skip


@cache
def kilogram_lasts() -> float:
    """Days that 1 kg of bee bread covers, the last one in part, 1,000 bees a day, no income."""
    hive = colony(25_000.0, 1_000.0 / 0.851, pollen_g=720.0)
    nest = hive.state.copy()
    for day in range(1, 40):
        run = go(hive, sky(1, index=NO_POLLEN))
        bread = float(hive.state[0, lay.BREAD])
        need = float(run.series("need_g")[0, 0])
        if bread < need:
            return float(day) + bread / need
        hive.state[:] = nest
        hive.state[0, lay.BREAD] = bread
    return np.inf


from_book("protein.kilogram_lasts_days", kilogram_lasts, used_as_input=False, expected=(4.0, 10.0), tolerance=0.0,
          key="colony.kilogram_lasts")  # fmt: skip


@cache
def nest_need() -> float:
    """Pollen a day [g] that a nest of 1,000 emerging bees a day calls for."""
    hive = colony(25_000.0, 1_000.0 / 0.851)
    return float(go(hive, sky(1)).series("need_g")[0, 0])


from_book("protein.need_1000_g_per_day", nest_need, used_as_input=False, expected=(100.0, 145.0), tolerance=0.0,
          key="colony.need_1000",
          note="Known to differ by half a gram: adults that nurse less aim at fuller bodies.")  # fmt: skip


@cache
def forager_eats() -> float:
    """Pollen eaten per forager and day [mg] in a colony of foragers only, with a full store."""
    hive = colony(0.0, 0.0, pollen_g=500.0, queen=-9999.0)
    hive.state[0, lay.FORAGER] = 10_000.0
    return float(1000.0 * go(hive, sky(1)).total("bread_eaten_g")[0] / 10_000.0)


from_book("protein.forager_pollen_mg_per_day", forager_eats, used_as_input=True, expected=(0.0, 0.5), tolerance=0.0,
          key="colony.forager_eats")  # fmt: skip

# --- collecting answers the store


@cache
def stores_set(low: float = 0.2, high: float = 2.0, days: int = 40) -> tuple[Floats, Floats, Floats, Floats]:
    """Income and store by day of colonies whose store is set low and high, flow on; set point from the rest state."""
    usual, _ = rested(0.7)
    point = float(usual.state[0, lay.BREAD])
    out = []
    for factor in (low, high):
        hive, _ = rested(0.7)
        hive.state[0, lay.BREAD] = factor * point
        run = go(hive, sky(days, index=0.7))
        out += [np.asarray(run.series(n)[0], dtype=np.float64) for n in ("income_g", "pollen_g")]
    return out[0], out[1] / point, out[2], out[3] / point


from_book(
    "protein.store_ratio",
    lambda: float(stores_set()[0][:16].sum() / stores_set()[2][:16].sum()),
    used_as_input=True, expected=(1.3, 1.8), tolerance=0.0, key="colony.store_ratio",
    note="Stores set to a fifth and to twice the set point, mean of 16 days; how far the trial went is not known to "
    "us. The direction is built in; this was in view when the store aimed at was lowered.",
)  # fmt: skip


@cache
def store_returns() -> float:
    """Days until stores set low and high are both within a fifth of the set point."""
    _, low, _, high = stores_set(days=200)
    out = np.flatnonzero((np.abs(low - 1.0) > 0.2) | (np.abs(high - 1.0) > 0.2))
    return float(out[-1] + 2) if out.size else 1.0


from_book("protein.store_return_days", store_returns, used_as_input=True, expected=(10.0, 20.0), tolerance=0.0,
          key="colony.store_returns",
          note="In view when the store aimed at was lowered and the answer to a glut made steeper.")  # fmt: skip


@outside(
    "colony.eaten_over_income",
    "Pollen eaten over pollen brought in, steady flow",
    source="Camazine 1991, Behav. Ecol. Sociobiol. 28:61: about 95 % is eaten each day (from memory)",
    kind="observed", used_as_input=False, expected=0.95, tolerance=0.1, unit="1",
)  # fmt: skip
def _turnover() -> float:
    hive, _ = rested(1.0)
    run = go(hive, sky(20))
    return float(run.total("bread_eaten_g")[0] / run.total("pollen_in_g")[0])


@outside(
    "colony.store_after_a_rich_season",
    "Stored pollen after 150 plain days with much on offer (2.5 times a good flow)",
    source="McLellan 1979, J. Appl. Ecol.: peak 2 kg (read); sanity band of stored pollen 0-3 kg",
    kind="observed", used_as_input=True, expected=(2.0, 3.0), tolerance=0.0, unit="kg",
    note="How steeply a glut stops collecting was set for this.",
)  # fmt: skip
def _hoard() -> float:
    hive = colony()
    go(hive, sky(150, index=2.5))
    return float(hive.state[0, lay.BREAD]) / 1000.0


@outside(
    "colony.substitute_not_stored",
    "Pollen in the combs after two pounds of substitute, no pollen flow",
    source="long-dearth field trial, Am. Bee J., Sept 2021: no lasting store from substitute (read, trade press)",
    kind="observed", used_as_input=True, practice=True, expected=0.0, tolerance=0.02 * 2.0 * POUND_G, unit="g",
)  # fmt: skip
def _not_stored() -> float:
    hive = colony(25_000.0, 800.0, pollen_g=0.0)
    run = go(hive, sky(28, index=NO_POLLEN), patty(28, [0, 14], POUND_G))
    return float(run.series("pollen_g").max()) if run.total("patty_eaten_g")[0] > 100.0 else np.nan
