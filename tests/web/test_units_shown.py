"""Numbers as pages show them."""

from __future__ import annotations

import pytest

from tideover.web import units as u


@pytest.mark.parametrize(
    ("count", "shown"),
    [(14_480, "14,500"), (14_740, "14,500"), (14_760, "15,000"), (2_000, "2,000"), (1_940, "1,900"), (0, "0")],
)
def test_bees_are_rounded_to_five_hundred(count: float, shown: str) -> None:
    """No look tells bees more finely than that; small colonies are told to the hundred."""
    assert u.bees(count) == shown


@pytest.mark.parametrize(
    ("grams", "metric", "us"),
    [  # 1 lb = 453.59237 g exactly, 1 oz = 1/16 of it (NIST Special Publication 811, appendix B.8)
        (453.59237, "455 g", "1 lb"),
        (113.398, "115 g", "¼ lb"),
        (680.389, "680 g", "1½ lb"),
        (2267.96, "2.27 kg", "5 lb"),
        (85.0486, "85 g", "3 oz"),
        (0.0, "0 g", "0 oz"),
    ],
)
def test_patty_is_told_in_the_readers_units(grams: float, metric: str, us: str) -> None:
    """Pounds in quarters where they fit, ounces below, grams to five."""
    assert u.patty(grams, "metric") == metric
    assert u.patty(grams, "us") == us


def test_honey_to_the_half_kilogram_or_the_pound() -> None:
    """12 kg / 0.45359237 = 26.46 lb (NIST SP 811)."""
    assert u.honey(12.1, "metric") == "12 kg"
    assert u.honey(12.3, "metric") == "12.5 kg"
    assert u.honey(12.0, "us") == "26 lb"


def test_temperature_by_dimension() -> None:
    """100 °F is 37.78 °C (definition of the Fahrenheit scale)."""
    assert u.by_dimension(37.0 + 7 / 9, "temperature", "us") == "100 °F"
    assert u.by_dimension(37.0 + 7 / 9, "temperature", "metric") == "37.8 °C"


def test_unknown_system_is_metric() -> None:
    """A broken cookie changes nothing."""
    assert u.system("furlongs") == "metric"
    assert u.system(None) == "metric"
    assert u.system("us") == "us"
