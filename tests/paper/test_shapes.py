"""Shapes: one per action, the same on paper and on the pages."""

from __future__ import annotations

import math
import re

import pytest

from tideover.paper.shapes import SHAPES, circle, segments
from tideover.plan.call import ACTIONS


def test_every_action_has_its_own_shape() -> None:
    """No two actions look alike and none lacks a shape."""
    drawn = [SHAPES[action] for action in ACTIONS]
    assert len(set(drawn)) == len(ACTIONS)


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_shape_stays_on_its_grid(name: str) -> None:
    """Ends and control points lie on the 32 by 32 grid, within a stroke's width of the edge."""
    for stroke in SHAPES[name]:
        for _, points in segments(stroke.path):
            assert all(0.0 <= value <= 32.0 for value in points), (name, points)


@pytest.mark.parametrize("name", sorted(SHAPES))
def test_shape_is_the_one_of_the_pages(name: str) -> None:
    """Path data, circles and dashes equal those of the pages' icons."""
    from tideover.web.icons import icon

    markup = str(icon(name))
    paths = re.findall(r' d="([^"]+)"', markup)
    circles = [circle(*map(float, c)) for c in re.findall(r'cx="([^"]+)" cy="([^"]+)" r="([^"]+)"', markup)]
    theirs = sorted(list(segments(path)) for path in paths + circles)
    assert theirs == sorted(list(segments(stroke.path)) for stroke in SHAPES[name])
    dashes = [tuple(map(float, d.split())) for d in re.findall(r'stroke-dasharray="([^"]+)"', markup)]
    assert dashes == [stroke.dash for stroke in SHAPES[name] if stroke.dash]


def test_circle_path_keeps_its_radius() -> None:
    """Every end and middle of the curves lies on the circle to a thousandth of the radius.

    A quarter circle as one cubic with handles 4/3 tan(pi/8) r is off by at most
    0.00027 r (Riskus, Information Technology and Control 35:371-378, 2006; from memory).
    """
    at = (0.0, 0.0)
    curves = 0
    for kind, points in segments(circle(10.0, 12.0, 5.0)):
        if kind == "C":
            p = [at, (points[0], points[1]), (points[2], points[3]), (points[4], points[5])]
            for t in (0.0, 0.25, 0.5, 0.75, 1.0):
                weights = ((1 - t) ** 3, 3 * t * (1 - t) ** 2, 3 * t**2 * (1 - t), t**3)
                x = sum(w * q[0] for w, q in zip(weights, p, strict=True))
                y = sum(w * q[1] for w, q in zip(weights, p, strict=True))
                assert math.hypot(x - 10.0, y - 12.0) == pytest.approx(5.0, rel=1e-3)
            curves += 1
        if kind in "MLC":
            at = (points[-2], points[-1])
    assert curves == 4


def test_relative_and_absolute_commands_agree() -> None:
    """The same square in both spellings."""
    absolute = list(segments("M5 12H27V20H5z"))
    assert list(segments("M5 12h22v8H5z")) == absolute
    assert [kind for kind, _ in absolute] == ["M", "L", "L", "L", "Z"]
