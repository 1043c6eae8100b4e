"""The season of a yard as one strip of inline SVG: rows under one another on one line of days.

Rows: pollen on offer with its band and the dearth, bloom noted, heat, rain, soil water and drought. Colours are classes
in the style sheet; shapes and words carry the meaning as well.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from itertools import groupby
from typing import Final

from markupsafe import Markup, escape

from tideover.desk.lookout import YardLookout
from tideover.desk.lookout_words import temperature
from tideover.evidence.words import BLOOM
from tideover.records.units import to_units
from tideover.web import say
from tideover.web.units import System

WIDTH: Final = 360
LEFT: Final = 76
RIGHT: Final = 8
TOP: Final = 24
ROWS: Final = (
    ("pollen", 74.0),
    ("bloom", 24.0),
    ("heat", 42.0),
    ("rain", 36.0),
    ("soil water", 30.0),
    ("drought", 30.0),
)
GAP: Final = 10.0
FOOT: Final = 24
FLOOR: Final = 0.01
CEILING: Final = 3.0
HOT_C: Final = 38.0
RAIN_LEAST_D: Final = 25
"""Days of the last thirty whose rain must be known for their sum, soil water and drought to be shown as numbers."""


def _x(first: date, last: date) -> Callable[[date], float]:
    span = max(1, (last - first).days)
    return lambda d: LEFT + (WIDTH - LEFT - RIGHT) * (d - first).days / span


def _log_y(top: float, height: float, value: float) -> float:
    """Height of an index on a scale of powers, since a dearth is a matter of factors."""
    share = math.log(min(max(value, FLOOR), CEILING) / FLOOR) / math.log(CEILING / FLOOR)
    return top + height * (1.0 - share)


def _line(points: Sequence[tuple[float, float]], kind: str) -> str:
    if len(points) < 2:
        return ""
    return f'<path class="{kind}" d="M' + "L".join(f"{x:.1f} {y:.1f}" for x, y in points) + '"/>'


def _known_line(points: Sequence[tuple[float, float, bool]]) -> list[str]:
    """A line that is broken where its days were not measured."""
    out, before = [], None
    for known, group in groupby(points, key=lambda p: p[2]):
        run = [(x, y) for x, y, _ in group]
        # each piece begins where the one before it ended
        out.append(_line([before, *run] if before else run, "median" if known else "median ahead"))
        before = run[-1]
    return out


def summary(view: YardLookout, system: System) -> str:
    """The strip in a sentence, for those who do not see it."""
    s = view.strip
    k = max(i for i, d in enumerate(s.days) if d < view.today)
    drought = next((v for v in reversed(s.drought_mm) if v is not None), 0.0)
    rain = sum(v or 0.0 for v in s.rain_mm[max(0, k - 29) : k + 1])
    return (
        f"Pollen on offer yesterday {s.median[k]:.2f} ({s.low[k]:.2f} to {s.high[k]:.2f}) where 1 is a good flow; "
        f"in two weeks {s.median[-1]:.2f} ({s.low[-1]:.2f} to {s.high[-1]:.2f}). Rain of the last 30 days "
        f"{_rainfall(rain, system)}; drought {_dry(drought, system)}."
    )


def strip(view: YardLookout, system: System) -> Markup:
    """The strip of one yard."""
    s = view.strip
    first, last = s.days[0], s.days[-1]
    at = _x(first, last)
    tops: dict[str, tuple[float, float]] = {}
    y = float(TOP)
    for name, height in ROWS:
        tops[name] = (y, height)
        y += height + GAP
    total = y + FOOT
    out = [
        f'<svg class="chart strip" viewBox="0 0 {WIDTH} {total:.0f}" role="img" '
        f'aria-label="Season at {escape(view.name)}: {escape(summary(view, system))}">'
    ]
    now = _now(view, system)
    for name, (top, height) in tops.items():
        value = now.get(name, "")
        lift = 3.0 if value else -4.0
        out.append(f'<text x="{LEFT - 6}" y="{top + height / 2 - lift:.1f}" text-anchor="end">{name}</text>')
        if value:
            out.append(
                f'<text class="upright" x="{LEFT - 6}" y="{top + height / 2 + 11:.1f}" text-anchor="end">{value}</text>'
            )
        out.append(f'<path class="grid" d="M{LEFT} {top + height:.1f}H{WIDTH - RIGHT}"/>')
    out += _pollen(view, at, *tops["pollen"])
    out += _bloom(view, at, *tops["bloom"])
    out += _heat(view, at, *tops["heat"], system)
    out += _rain(view, at, *tops["rain"], system)
    for name, values, full in (("soil water", s.soil_share, 1.0), ("drought", s.drought_mm, 203.2)):
        top, height = tops[name]
        wet = zip(s.days, values, s.rain_mm, strict=True)
        out += _known_line(
            [(at(d), top + height * (1.0 - v / full), r is not None) for d, v, r in wet if v is not None]
        )
    x = at(view.today)
    out.append(f'<path class="today" d="M{x:.1f} {TOP - 4}V{y - GAP:.1f}"/>')
    out.append(f'<text class="upright" x="{x:.1f}" y="{TOP - 9}" text-anchor="end">today</text>')
    cursor = (first.replace(day=1) + timedelta(days=32)).replace(day=1)
    while cursor <= last:
        out.append(f'<path class="grid" d="M{at(cursor):.1f} {y - GAP:.1f}v5"/>')
        out.append(
            f'<text x="{at(cursor):.1f}" y="{y + 12:.1f}" text-anchor="middle">{say.day(cursor).split()[2]}</text>'
        )
        cursor = (cursor + timedelta(days=32)).replace(day=1)
    out.append("</svg>")
    return Markup("".join(out))


def _now(view: YardLookout, system: System) -> dict[str, str]:
    """What stands beside each row: yesterday's pollen on offer, heat, soil water and drought, and a month's rain."""
    s = view.strip
    k = max(i for i, d in enumerate(s.days) if d < view.today)
    fell = [v for v in s.rain_mm[max(0, k - 29) : k + 1] if v is not None]
    told = {"pollen": f"{s.median[k]:.2f}"}
    if s.measured[k]:
        told["heat"] = temperature(s.temp_max_c[k], system)
    # without the month's rain known, neither its sum nor what follows from it is a reading
    if len(fell) < RAIN_LEAST_D:
        return told
    told["rain"] = f"{_rainfall(sum(fell), system)}*"
    soil, dry = s.soil_share[k], s.drought_mm[k]
    if soil is not None:
        told["soil water"] = f"{100 * soil:.0f} %"
    if dry is not None:
        told["drought"] = f"{dry / 0.254:.0f}/800" if system == "us" else f"{dry:.0f} mm"
    return told


def _rainfall(mm: float, system: System) -> str:
    """Rain as gauges show it: tenths of a millimetre, or hundredths of an inch."""
    return f"{to_units(mm, 'rain', 'in'):.2f} in" if system == "us" else f"{mm:.1f} mm"


def _dry(drought_mm: float, system: System) -> str:
    """The drought index beside its end, in the scale of the system."""
    return f"{drought_mm / 0.254:.0f} of 800" if system == "us" else f"{drought_mm:.0f} of 203 mm"


def _pollen(view: YardLookout, at: Callable[[date], float], top: float, height: float) -> list[str]:
    s = view.strip
    upper = [(at(d), _log_y(top, height, v)) for d, v in zip(s.days, s.high, strict=True)]
    lower = [(at(d), _log_y(top, height, v)) for d, v in zip(s.days, s.low, strict=True)]
    shape = "L".join(f"{x:.1f} {y:.1f}" for x, y in [*upper, *reversed(lower)])
    out = [f'<path class="band" d="M{shape}Z"/>']
    line = _log_y(top, height, 0.25)
    out.append(f'<path class="cluster" d="M{LEFT} {line:.1f}H{WIDTH - RIGHT}"><title>dearth line, 0.25</title></path>')
    middle = [(at(d), _log_y(top, height, v), d) for d, v in zip(s.days, s.median, strict=True)]
    out.append(_line([(x, y) for x, y, d in middle if d <= view.today], "median"))
    out.append(_line([(x, y) for x, y, d in middle if d >= view.today], "median ahead"))
    for dry, group in groupby(zip(s.days, s.dearth, strict=True), key=lambda pair: pair[1] > 0.5):
        run = list(group)
        if not dry:
            continue
        a, b = at(run[0][0]), at(run[-1][0])
        words = f"dearth likely {say.day(run[0][0])} to {say.day(run[-1][0])}"
        out.append(
            f'<rect class="patty" x="{a:.1f}" y="{top + height + 1:.1f}" width="{max(b - a, 3):.1f}" height="5">'
            f"<title>{escape(words)}</title></rect>"
        )
        if b - a > 46:
            out.append(f'<text class="upright" x="{a + 3:.1f}" y="{top + 11:.1f}">dearth</text>')
    return out


def _bloom(view: YardLookout, at: Callable[[date], float], top: float, height: float) -> list[str]:
    out = []
    for d, word in zip(view.strip.days, view.strip.bloom, strict=True):
        if word:
            # fuller bloom stands higher; none is an open ring on the ground
            n = BLOOM.index(word)
            y = top + height - 4 - (height - 8) * n / max(1, len(BLOOM) - 1)
            out.append(
                f'<circle class="note{" none" if n == 0 else ""}" cx="{at(d):.1f}" cy="{y:.1f}" r="3.500">'
                f"<title>{escape(f'{say.day(d)}: {word} in flower')}</title></circle>"
            )
    return out


def _heat(view: YardLookout, at: Callable[[date], float], top: float, height: float, system: System) -> list[str]:
    s = view.strip
    low, high = min(s.temp_max_c), max(max(s.temp_max_c), HOT_C + 2)
    span = max(high - low, 5.0)
    measured = zip(s.days, s.temp_max_c, s.measured, strict=True)
    points = [(at(d), top + height * (1.0 - (v - low) / span), known) for d, v, known in measured]
    hot = top + height * (1.0 - (HOT_C - low) / span)
    label = temperature(HOT_C, system)
    return [
        f'<path class="cluster" d="M{LEFT} {hot:.1f}H{WIDTH - RIGHT}"><title>{escape(label)}</title></path>',
        *_known_line(points),
    ]


def _rain(view: YardLookout, at: Callable[[date], float], top: float, height: float, system: System) -> list[str]:
    s = view.strip
    most = max([v for v in s.rain_mm if v is not None] + [20.0])
    out = []
    for d, fell, chance in zip(s.days, s.rain_mm, s.rain_chance, strict=True):
        x = at(d)
        if fell is not None and fell > 0.1:
            tall = height * math.sqrt(fell / most)
            words = f"{say.day(d)}: {_rainfall(fell, system)}"
            out.append(
                f'<path class="fell" d="M{x:.1f} {top + height:.1f}v{-tall:.1f}"><title>{escape(words)}</title></path>'
            )
        elif chance is not None and chance > 0.02:
            words = f"{say.day(d)}: rain {say.percent(chance)} likely"
            out.append(
                f'<path class="chance" d="M{x:.1f} {top + height:.1f}v{-height * chance:.1f}">'
                f"<title>{escape(words)}</title></path>"
            )
    return out
