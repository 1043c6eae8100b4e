"""The drought index: order of a day, wet spells, bounds, a real series."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.forage import drought

RAIN = st.lists(st.floats(0.0, 60.0), min_size=1, max_size=60)


@given(RAIN, st.floats(-20.0, 48.0), st.floats(100.0, 2500.0), st.floats(0.0, 203.2))
def test_drought_stays_in_range(rain: list[float], tmax: float, annual: float, start: float) -> None:
    """Never below saturation, never above eight inches."""
    q = drought.series_mm(rain, [tmax] * len(rain), annual, start)

    assert np.all((q >= 0.0) & (q <= drought.DRIEST_MM))


@given(RAIN, st.integers(0, 59), st.floats(0.1, 40.0))
def test_more_rain_is_never_drier(rain: list[float], where: int, more: float) -> None:
    """Adding rain to a day that had some leaves no later day drier."""
    k = where % len(rain)
    wetter = list(rain)
    wetter[k] += more
    hot = [33.0] * len(rain)
    if rain[k] > 0.0:
        assert np.all(drought.series_mm(wetter, hot, 700.0, 120.0) <= drought.series_mm(rain, hot, 700.0, 120.0) + 1e-9)


@given(RAIN)
def test_net_rain_of_a_spell_is_its_total_less_what_is_caught(rain: list[float]) -> None:
    """Over one spell the soil gets the total less 0.20 inch, and nothing when less fell."""
    fell = [r + 0.01 for r in rain]
    net, spell = 0.0, np.float64(0.0)
    for r in fell:
        today, total = drought.net_rain_mm(spell, r)
        net, spell = net + float(today), np.float64(total)

    assert net == pytest.approx(max(0.0, sum(fell) - 5.08))


def test_rain_comes_off_before_drying() -> None:
    """Keetch & Byram's order: on a soaking day drying starts from the wetted soil."""
    after = drought.series_mm([60.0], [35.0], 700.0, start_mm=100.0)[0]
    wetted = 100.0 - (60.0 - 5.08)

    assert after == pytest.approx(wetted + float(drought.drying_mm(wetted, 35.0, 700.0)))


def test_no_drying_on_cold_days() -> None:
    """At 50 F (10 C) and below the operational index does not dry."""
    assert drought.series_mm([0.0], [10.0], 700.0, 80.0)[0] == pytest.approx(80.0)
    assert drought.series_mm([0.0], [10.1], 700.0, 80.0)[0] > 80.0


def test_seattle_four_years() -> None:
    """Four measured years (public Seattle table, 2012-15) against an independent run, coefficient 0.001736."""
    with (Path(__file__).parent / "real_weather" / "seattle.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    rain = [float(r["rain_mm"]) for r in rows]
    tmax = [float(r["temp_max_c"]) for r in rows]
    days = [date.fromisoformat(r["day"]) for r in rows]

    assert len(rows) == 1461
    assert sum(rain) == pytest.approx(4426.0, abs=0.05)

    q = drought.series_mm(rain, tmax, 1106.5, cold_floor=False, rain_coefficient=0.001736)
    for day, expected in (
        (date(2012, 6, 30), 11.255),
        (date(2012, 9, 30), 135.120),
        (date(2013, 8, 31), 118.284),
        (date(2014, 9, 15), 135.178),
        (date(2015, 7, 31), 149.788),
        (date(2015, 8, 13), 158.460),
    ):
        assert q[days.index(day)] == pytest.approx(expected, abs=0.01)
    assert days[int(np.argmax(q))] == date(2015, 8, 11)
    assert float(q.max()) == pytest.approx(159.341, abs=0.01)
