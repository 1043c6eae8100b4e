"""Cautions for a visit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tideover.forage.heat import afternoon_wind_ms, heat_index_f, nws_band, osha_band, visit_cautions


def topics(*args: float | None, **kwargs: object) -> dict[str, str]:
    """Topic to level of each caution."""
    return {c.topic: c.level for c in visit_cautions(*args, **kwargs)}  # type: ignore[arg-type]


def test_formula_order_matters() -> None:
    """Below 80 F the simple line stands (70 F and 50 %: 69.53 F, Weather Prediction Center)."""
    assert heat_index_f(70.0, 50.0) == pytest.approx(69.53, abs=0.05)
    assert heat_index_f(100.0, 50.0) == pytest.approx(118.32, abs=0.05)


@given(st.floats(80.0, 110.0), st.floats(40.0, 80.0), st.floats(0.5, 5.0))
def test_hotter_is_never_cooler(temp: float, rh: float, more: float) -> None:
    """Within the regression's range the index rises with temperature."""
    assert heat_index_f(temp + more, rh) > heat_index_f(temp, rh) - 0.6


def test_bands_say_their_set() -> None:
    """The same index falls into differently named bands of the two sets; the caution names its set."""
    assert osha_band(94.6) == "moderate"
    assert nws_band(94.6) == "extreme caution"
    heat = next(c for c in visit_cautions(40.0, 25.0, 2.0, 0.0, 50.0) if c.topic == "heat")
    assert "OSHA" in heat.source


def test_fine_day_has_no_caution() -> None:
    """22 C, light wind, dry, wet soil: nothing to say."""
    assert visit_cautions(22.0, 50.0, 2.0, 0.0, 20.0) == []


def test_hot_day_stops_and_fire_ban_stops() -> None:
    """42 C at 25 %: put off. A declared ban: no smoker."""
    assert topics(42.0, 25.0, 2.0, 0.0, 50.0)["heat"] == "stop"
    assert topics(20.0, 40.0, 2.0, 0.0, 50.0, fire_ban=True) == {"fire": "stop"}


def test_drought_warns_of_fire_earlier_in_wind() -> None:
    """600 of 800 warns always, 400 of 800 only in wind above 15 mph."""
    assert "fire" in topics(25.0, 40.0, 2.0, 0.0, 153.0)
    assert "fire" not in topics(25.0, 40.0, 2.0, 0.0, 110.0)
    assert "fire" in topics(25.0, 40.0, 8.0, 0.0, 110.0)


def test_wind_rain_cold_and_lifting() -> None:
    """Each has its own caution; a full deep passes the 23 kg limit, a shallow does not."""
    assert set(topics(10.0, 60.0, 8.0, 5.0, None)) == {"wind", "rain", "cold"}
    assert "lifting" in topics(22.0, 50.0, 2.0, 0.0, None, heaviest_box="deep")
    assert "lifting" not in topics(22.0, 50.0, 2.0, 0.0, None, heaviest_box="shallow")


def test_unknown_humidity_is_said() -> None:
    """When humidity was taken, the text says so."""
    heat = next(c for c in visit_cautions(40.0, None, None, None, None) if c.topic == "heat")

    assert "taken as 30 %" in heat.text


def test_humidity_outside_percent_is_refused() -> None:
    """A share is not a percentage, nor is 130 %."""
    with pytest.raises(ValueError, match="percent"):
        heat_index_f(90.0, 130.0)


def test_dry_wind_is_fire_weather() -> None:
    """25 mph (11.2 m/s) with 15 % humidity: a US weather office's red flag criteria (read); calmer or damper is not."""
    told = visit_cautions(36.0, 14.0, 11.3, None, None)
    assert any(c.topic == "fire" and c.level == "stop" for c in told)
    assert not any(c.topic == "fire" for c in visit_cautions(36.0, 16.0, 11.3, None, None))
    assert not any(c.topic == "fire" for c in visit_cautions(36.0, 14.0, 11.1, None, None))
    # the driest hour to be ready for counts, though the heat is reckoned with the dampest
    assert any(c.topic == "fire" for c in visit_cautions(36.0, 40.0, 11.3, None, None, driest_rh=14.0))


def test_afternoon_wind_is_above_the_mean_and_at_ten_metres() -> None:
    """A mean of 3 m/s at 2 m is 4 m/s at 10 m by FAO-56 equation 47 (factor 0.748), and more in the afternoon."""
    assert afternoon_wind_ms(3.0) == pytest.approx(1.4 * 3.0 / 0.748, rel=0.003)
