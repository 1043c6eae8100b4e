"""The runner of benchmarks: lists, runs, and gives the same shape for each."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from benchmarks import __main__ as runner
from benchmarks import calibration, fits, limit, pages
from tideover.colony import layout


@pytest.fixture
def made_up(monkeypatch: pytest.MonkeyPatch) -> None:
    """A benchmark that measures nothing and says so."""
    module = ModuleType("benchmarks.made_up")
    module.__doc__ = "A made-up benchmark.\n\nMore words."
    module.run = lambda: {"rows": [{"case": "a", "seconds": 0.25}], "ratios": {"a to b": 5.0}}  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "benchmarks.made_up", module)
    monkeypatch.setattr(runner, "names", lambda: ["made_up"])


@pytest.mark.usefixtures("made_up")
def test_benchmark_runs_and_prints(capsys: pytest.CaptureFixture[str]) -> None:
    """JSON carries rows, ratios, machine and time; the text carries the same numbers."""
    assert runner.main(["made_up", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["says"] == "A made-up benchmark."
    assert found["rows"] == [{"case": "a", "seconds": 0.25}]
    assert found["ratios"] == {"a to b": 5.0}
    assert found["machine"]["cores"] >= 1
    assert runner.main(["made_up"]) == 0
    assert "a to b: 5 times" in capsys.readouterr().out


@pytest.mark.usefixtures("made_up")
def test_benchmarks_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    """Without a name the names are printed."""
    assert runner.main([]) == 0
    assert capsys.readouterr().out.split() == ["made_up"]


def test_unknown_benchmark_is_one_sentence(capsys: pytest.CaptureFixture[str]) -> None:
    """Exit code 2 and the names that exist."""
    assert runner.main(["nothing"]) == 2
    assert capsys.readouterr().err.startswith("there is no benchmark 'nothing'")


@pytest.mark.parametrize("name", runner.names())
def test_every_benchmark_can_be_run(name: str) -> None:
    """Each module of the folder has a run() and says what it measures."""
    module = runner.load(name)
    assert (module.__doc__ or "").strip()


@pytest.mark.usefixtures("made_up")
def test_writing_is_refused_where_there_is_no_page(capsys: pytest.CaptureFixture[str]) -> None:
    """A benchmark that makes no page says so and nothing is printed as if it had."""
    assert runner.main(["made_up", "--write"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert "makes no page" in said.err


def test_page_parts_are_replaced_and_nothing_else(tmp_path: Path) -> None:
    """Text outside the marks stays to the byte; a page without the marks is refused with what to add."""
    page = tmp_path / "page.md"
    begins, ends = pages._marks("one")
    page.write_text(f"before\n\n{begins}\nold\n{ends}\n\nafter\n", encoding="utf-8")
    pages.put_part(page, "one", "| a |\n|---|")

    assert pages.part_of(page, "one") == "| a |\n|---|"
    assert page.read_text(encoding="utf-8") == f"before\n\n{begins}\n| a |\n|---|\n{ends}\n\nafter\n"
    with pytest.raises(ValueError, match="has no marks for 'two'"):
        pages.put_part(page, "two", "x")


def test_fit_tells_a_line_from_a_square() -> None:
    """Exact laws give their exponents and parts: 2 + 3 n has its fixed part, n squared the exponent 2 and a poorer line."""
    sizes = (100, 200, 400, 800)
    line = fits.fit("things", sizes, [2.0 + 3.0 * n for n in sizes])
    square = fits.fit("things", sizes, [float(n * n) for n in sizes])

    assert line["R2 of a line"] == pytest.approx(1.0)
    assert line["fixed share of the largest"] == pytest.approx(2.0 / 2402.0)
    assert line["furthest from the line"] == pytest.approx(0.0, abs=1e-9)
    assert square["exponent"] == pytest.approx(2.0)
    assert square["error"] == pytest.approx(0.0, abs=1e-9)
    assert square["R2 of a line"] < 0.98
    with pytest.raises(ValueError, match="three sizes"):
        fits.fit("things", (1, 2), (1.0, 2.0))


def test_operations_are_counted_as_done() -> None:
    """Ten numbers: each product, sum, quotient and comparison once; a sum over them ten; a product of matrices twice."""
    kind, counts = limit.counting()
    x = np.arange(1.0, 11.0).view(kind)
    y = np.minimum((x * 2.0 + 1.0) / x, 2.5)
    total = y.sum()
    z = x.reshape(2, 5) @ np.ones((5, 1))
    x += 1.0

    assert counts == {"multiply": 10, "add": 30, "divide": 10, "minimum": 10, "matmul": 20}
    np.testing.assert_allclose(np.asarray(y), np.minimum(2.0 + 1.0 / np.arange(1.0, 11.0), 2.5))
    assert float(total) == pytest.approx(float(np.asarray(y).sum()))
    np.testing.assert_allclose(np.asarray(z).ravel(), [15.0, 40.0])
    np.testing.assert_allclose(np.asarray(x), np.arange(2.0, 12.0))


def test_operations_of_a_day_do_not_depend_on_how_many_members_are_counted() -> None:
    """Per member-day the count is the same for 50 members and 200, and every number of the state is met at least once."""
    few, many = limit.operations(50), limit.operations(200)

    assert many == pytest.approx(few, rel=0.01)
    assert sum(few.values()) > layout.STATE


def test_hives_taken_one_after_another_hold_no_more_memory() -> None:
    """Twelve hives hold at their most what three do, to a part in fifty."""
    few, many = fits.memory((3, 12))

    assert many["most held by arrays, MB"] == pytest.approx(few["most held by arrays, MB"], rel=0.02)


def test_calibration_goes_on_where_it_stood(tmp_path: Path) -> None:
    """Seasons a file holds are read, a line broken off is not, and another version's are refused."""
    held = tmp_path / "seasons.jsonl"
    line = json.dumps({"seed": 4, "members": 50, "version": "abc", "standing": [0.25]})
    held.write_text(f'{line}\n{{"seed": 5, "mem', encoding="utf-8")

    assert calibration.kept_in(held, 50, "abc") == {4: [0.25]}
    assert calibration.kept_in(tmp_path / "none.jsonl", 50, "abc") == {}
    with pytest.raises(ValueError, match="name another file"):
        calibration.kept_in(held, 60, "abc")
