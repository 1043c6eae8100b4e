"""Our compiled day, reduced to the assumptions of published colony equations, settles where those equations do.

Khoury, Myerscough & Barron 2011 (PLoS ONE 6(4):e18491, equations and parameters from memory): eclosion L N/(w + N),
no deaths in the hive, foragers die at m, and recruitment that settles at a share of foragers J/(1 + J) with
m J^2 - (alpha - sigma - m) J - alpha = 0. Here brood is taken away and eclosion put in each evening by their law, all
deaths but those of foragers are switched off, foragers are called up to their share at once. What is left of ours is
recruitment by age, the death of foragers, emergence and ageing.
"""

from __future__ import annotations

from collections.abc import Iterator

import numba as nb
import numpy as np
import pytest
from numpy.typing import NDArray

from tideover.checks.colony_bench import plain_params, quiet_constants, sky
from tideover.colony import ensemble
from tideover.colony import layout as lay
from tideover.colony.establish import establish
from tideover.colony.layout import C, P

Floats = NDArray[np.float64]
L, W, ALPHA, SIGMA = 2000.0, 27_000.0, 0.25, 0.75


def their_share(m: Floats) -> Floats:
    """Share of foragers at which recruitment meets deaths in the 2011 equations."""
    b = ALPHA - SIGMA - m
    j = (b + np.sqrt(b * b + 4.0 * m * ALPHA)) / (2.0 * m)
    return np.asarray(j / (1.0 + j))


@pytest.fixture
def bare(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The day without luck, deaths in the hive, losses of first flights or a limit to recruitment."""
    c = quiet_constants()
    for name in ("forager_base_hazard", "first_flight_loss", "capped_mortality", "starve_rate", "mite_hazard"):
        c[C[name]] = 0.0
    for name in ("recruit_rate", "recruit_most", "ready_reserve", "flight_memory_rate"):
        c[C[name]] = 1.0
    c[C["ready_least"]] = 1.0
    monkeypatch.setattr(ensemble, "constants", lambda: c)
    # A day at a time for a few members: a second thread would only be waited for.
    threads = nb.get_num_threads()
    nb.set_num_threads(1)
    yield
    nb.set_num_threads(threads)


def bees_after(m: Floats, start: float, days: int) -> Floats:
    """Adults before the day's emergence, shape (days, len(m)), one member per death rate ``m`` [1/d]."""
    share = their_share(m)
    # The day takes h/(1 + h/2) of a class at hazard h; what is lost is to be m.
    p = plain_params(m.size, forager_hazard=m / (1.0 - 0.5 * m), forager_share=share, house_hazard=0.0)
    p[:, P["winter_hazard"]] = 0.0
    hive = establish(
        p, adults=start, eggs=0.0, open_larvae=0.0, capped=0.0, pollen_g=1e6, honey_g=1e9, mites=0.0, queen=-9999.0,
        flight=1.0,
    )  # fmt: skip
    w = sky(1, index=1.0)
    out = np.empty((days, m.size))
    for d in range(days):
        n = hive.state[:, lay.FORAGER] / share
        hive.state[:, lay.CAPPED : lay.QUALITY] = 0.0
        hive.state[:, lay.CAPPED + lay.N_CAPPED - 1] = L * n / (W + n)
        ensemble.run(hive, w, seed=1, record=False)
        out[d] = hive.state[:, lay.FORAGER] / share
    return out


def test_steady_states_of_the_2011_equations(bare: None) -> None:
    """At five death rates the reduced day settles within 0.5 % of the sizes worked out from their equations."""
    m = np.array([0.10, 0.154, 0.20, 0.24, 0.30])
    bees = bees_after(m, 24_000.0, 2_500)

    np.testing.assert_allclose(bees[-1], [44_129.0, 22_784.0, 13_613.0, 8_458.0, 3_260.0], rtol=5e-3)
    np.testing.assert_allclose(bees[-1], bees[-50], rtol=1e-3)


def test_critical_death_rate_of_the_2011_equations(bare: None) -> None:
    """A small colony grows below m = 0.355 a day and shrinks above it (published 0.355, from memory; 0.3552 by algebra)."""
    m = np.linspace(0.33, 0.38, 51)
    bees = bees_after(m, 50.0, 600)
    growth = np.log(bees[-1] / bees[300])
    at = float(np.interp(0.0, -growth, m))

    assert (np.diff(growth) < 0.0).all()
    assert at == pytest.approx(0.3552, abs=0.001)
