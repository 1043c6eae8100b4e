"""The page of what comes out of the day: its tables are the outside checks as they stand, and each has its plot."""

from __future__ import annotations

import re
from typing import Any

import pytest

from benchmarks import biology
from benchmarks.pages import kept, part_of
from tideover.checks import outside_checks


@pytest.fixture(scope="module")
def result() -> dict[str, Any]:
    """The kept result, of which the page is made."""
    return kept("biology")


def test_page_is_made_of_the_kept_result(result: dict[str, Any]) -> None:
    """Every table of the page is what the kept result gives, to the letter."""
    for part, text in biology.parts(result).items():
        assert part_of(biology.PAGE, part) == text, f"{part}: run python -m benchmarks biology --write"


def test_kept_rows_are_the_checks_of_today(result: dict[str, Any]) -> None:
    """Each row is an outside check with its published value, source, verdict and ours within a hundredth."""
    now = {check.key: check.as_json() for check in outside_checks("colony.")}
    assert [r["key"].removeprefix("colony.") for r in result["rows"]] == [k for c in biology.CHECKS.values() for k in c]
    for row in result["rows"]:
        check = now[row["key"]]
        assert row["ours"] == pytest.approx(check["ours"], rel=0.01), row["key"]
        for name in ("says", "source", "expected", "tolerance", "verdict", "used_as_input"):
            assert row[name] == check[name], f"{row['key']}: run python -m benchmarks biology --write"


def test_each_plot_is_on_the_page() -> None:
    """Four plots, with words for those who cannot see them, each a file of a size a page can carry."""
    shown = re.findall(r"!\[([^\]]+)\]\((biology-\w+\.svg)\)", biology.PAGE.read_text(encoding="utf-8"))
    assert [file for _, file in shown] == [f"biology-{name}.svg" for name in biology.PLOTS]
    for words, file in shown:
        assert len(words) > 30
        assert 5_000 < (biology.FOLDER / file).stat().st_size < 60_000


def test_jelly_rises_before_pollen_is_back() -> None:
    """What the page warns of is so: some jelly is back in the last two days without pollen, and young larvae are not."""
    jelly, young = biology.returning(without=12, after=3)
    assert jelly[12] > jelly[10]
    assert young[12] < 0.05
