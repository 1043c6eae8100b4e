"""Charts as SVG."""

from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from datetime import date, timedelta

import pytest

from tests.web.fake_desk import FakeDesk
from tideover.desk.views import Band, HiveView
from tideover.web import charts
from tideover.web.icons import icon


@pytest.fixture
def view(desk: FakeDesk) -> HiveView:
    """A hive with a patty taken off and one still on."""
    return desk.hive("quarry-01")


def svg(view: HiveView, name: str, units: str = "metric") -> ET.Element:
    """One chart, parsed: it must be well-formed."""
    band = next(b for b in view.bands if b.name == name)
    drawn = charts.chart(band, view.marks, view.patties, view.today, view.cluster_day, units)  # type: ignore[arg-type]
    return ET.fromstring(str(drawn))


def kinds(root: ET.Element) -> list[str]:
    """The classes of all parts."""
    return [e.get("class", "") for e in root.iter()]


def test_chart_holds_band_median_looks_today_and_cluster(view: HiveView) -> None:
    """Everything the page promises is drawn once (looks as often as there are)."""
    found = kinds(svg(view, "adults"))
    for name in ("band", "median", "median ahead", "today", "cluster"):
        assert found.count(name) == 1, name
    assert found.count("mark") == sum(m.series == "adults" for m in view.marks) == 2
    assert "patty" not in found


def test_patties_lie_below_pollen_and_brood(view: HiveView) -> None:
    """A piece taken off is solid, one still on is hollow; the words tell which."""
    for name in ("pollen", "brood"):
        root = svg(view, name)
        assert kinds(root).count("patty") == 1
        assert kinds(root).count("patty open") == 1
    titles = [e.text or "" for e in svg(view, "pollen", "us").iter("title")]
    assert any("1 lb on Thu 30 Jul, still on, pull by Thu 6 Aug" in t for t in titles)


def test_no_inline_style(view: HiveView) -> None:
    """The pages forbid inline style, so a chart may not lean on it."""
    for b in view.bands:
        assert all(e.get("style") is None for e in svg(view, b.name).iter())


def test_everything_stays_inside_the_picture(view: HiveView) -> None:
    """Bands and error bars are clipped to the plot."""
    for b in view.bands:
        for part in svg(view, b.name).iter():
            for piece in part.get("d", "").replace("M", " ").replace("L", " ").replace("Z", "").split():
                if piece.replace(".", "", 1).isdigit():
                    assert 0 <= float(piece) <= charts.WIDTH


def test_series_with_gaps_and_noughts_is_drawn() -> None:
    """Nothing known and nothing there are both pictures, not errors."""
    days = [date(2026, 8, 1) + timedelta(days=i) for i in range(5)]
    for value in (0.0, math.nan):
        band = Band("adults", "bees", days, [value] * 5, [0.0] * 5, [value] * 5)
        root = ET.fromstring(str(charts.chart(band, [], [], days[2], days[4], "metric")))
        assert "nan" not in ET.tostring(root, encoding="unicode")


def test_series_without_days_is_refused() -> None:
    """Nothing to draw is said in a sentence."""
    with pytest.raises(ValueError, match="has no days"):
        charts.chart(Band("adults", "bees", [], [], [], []), [], [], date(2026, 8, 1), date(2026, 9, 1), "metric")


@pytest.mark.parametrize(
    ("largest", "top", "step"), [(18_100, 20_000, 5_000), (950, 1_000, 250), (7.3, 8, 2), (0.0, 1.0, 0.5)]
)
def test_axis_ends_on_round_numbers(largest: float, top: float, step: float) -> None:
    """The axis covers the data with at most five marks."""
    assert charts.nice_top(largest) == (top, step)


def test_summary_and_numbers_tell_the_same(view: HiveView) -> None:
    """Readers who do not see the picture get its end points."""
    band = next(b for b in view.bands if b.name == "honey")
    words = charts.summary(band, view.today, view.cluster_day, "metric")
    assert words.startswith("Today about 14 kg (12 kg to 16 kg).")
    assert "Tue 20 Oct" in words
    today_row = [r for r in charts.numbers(band, "metric", view.today) if r[0] == "Tue 4 Aug"]
    assert today_row == [("Tue 4 Aug", "12 kg", "14 kg", "16 kg")]


def test_today_is_told_before_the_visit_and_after_it() -> None:
    """A light colony called for sugar is not said to be heavy today because the sugar is in the first day foretold."""
    today = date(2026, 8, 3)
    days = [date(2026, 8, 1) + timedelta(days=i) for i in range(3)] + [today + timedelta(days=i) for i in range(3)]
    honey = Band("honey", "kg", days, [2.0] * 3 + [14.0] * 3, [5.0] * 3 + [16.0] * 3, [8.0] * 3 + [20.0] * 3, 3)
    words = charts.summary(honey, today, date(2027, 1, 1), "metric")
    assert words == "Today about 5 kg (2 kg to 8 kg). Once the call is done about 16 kg (14 kg to 20 kg)."
    assert [row[0] for row in charts.numbers(honey, "metric", today)][:2] == ["Mon 3 Aug", "Mon 3 Aug, call done"]
    root = ET.fromstring(str(charts.chart(honey, [], [], today, date(2027, 1, 1), "metric")))
    lines = {p.get("class"): p.get("d", "") for p in root.iter() if p.get("class", "").startswith("median")}
    assert lines["median"].count("L") == 2
    assert lines["median ahead"].count("L") == 2


def test_unknown_shape_names_the_known_ones() -> None:
    """A wrong name is told with what there is."""
    with pytest.raises(KeyError, match="lay on"):
        icon("hexagon")


def test_every_shape_differs() -> None:
    """A call is told by its shape: no two actions share one."""
    from tideover.plan.call import ACTIONS

    assert len({str(icon(a)) for a in ACTIONS}) == len(ACTIONS)
    for a in ACTIONS:
        ET.fromstring(str(icon(a, a)))
