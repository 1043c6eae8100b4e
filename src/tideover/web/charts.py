"""Charts drawn on the server as inline SVG: a band, its median, the looks, patties, today and the cluster date.

Every colour is a class in the style sheet, so that no chart needs inline style.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from markupsafe import Markup, escape

from tideover.desk.views import Band, Mark, PattyStay
from tideover.figures.units import OUNCE_G, POUND_KG
from tideover.web import say
from tideover.web import units as u
from tideover.web.units import System

WIDTH: Final = 360
HEIGHT: Final = 236
_LEFT, _RIGHT, _TOP, _BOTTOM = 46, 10, 26, 40
_PATTY_ROW: Final = 16

TITLES: Final = {
    "adults": "Adult bees",
    "brood": "Brood, all ages",
    "pollen": "Stored pollen",
    "honey": "Honey",
}


@dataclass(frozen=True)
class Frame:
    """The plot area: first and last day and the highest value, with the two mappings to the page."""

    first: date
    last: date
    top: float
    bottom: float

    def x(self, when: date) -> float:
        """Page position of a day."""
        span = max((self.last - self.first).days, 1)
        return _LEFT + (WIDTH - _LEFT - _RIGHT) * (when - self.first).days / span

    def y(self, value: float) -> float:
        """Page position of a value, clipped to the plot."""
        share = min(max(value / self.top, 0.0), 1.0)
        return self.bottom - (self.bottom - _TOP) * share


def nice_top(largest: float) -> tuple[float, float]:
    """An upper end for the axis and the step between its marks (1, 2 or 5 times a power of ten)."""
    if not math.isfinite(largest) or largest <= 0:
        return 1.0, 0.5
    raw = largest / 4
    power = 10 ** math.floor(math.log10(raw))
    step = next(s * power for s in (1, 2, 2.5, 5, 10) if s * power >= raw * 0.999)
    return math.ceil(largest / step * 0.999) * step, step


def _scale(band: Band, system: System) -> tuple[float, str]:
    """Factor and unit word for the values of a band in the chosen units."""
    if band.unit == "kg" and system == "us":
        return 1 / POUND_KG, "lb"
    if band.unit == "g":
        return (1 / OUNCE_G, "oz") if system == "us" else (1.0, "g")
    return 1.0, band.unit


def value_text(value: float, unit: str) -> str:
    """A value of a band with its unit."""
    if not math.isfinite(value):
        return "not known"
    if unit in ("g", "oz", "kg", "lb"):
        return f"{u.plain(value, 1 if value < 10 else 0)} {unit}"
    return u.bees(value)


def _path(frame: Frame, days: Sequence[date], values: Sequence[float], scale: float) -> str:
    points = [
        f"{frame.x(d):.1f} {frame.y(v * scale):.1f}" for d, v in zip(days, values, strict=True) if math.isfinite(v)
    ]
    return "M" + "L".join(points) if points else ""


def _month_marks(frame: Frame) -> list[tuple[float, str]]:
    """Up to about five date marks along the bottom: firsts of months, or weeks on a short span."""
    span = (frame.last - frame.first).days
    if span <= 45:
        step = 7 if span <= 28 else 14
        days = [frame.first + timedelta(days=i) for i in range(0, span + 1, step)]
        return [(frame.x(d), f"{d.day} {d:%b}") for d in days]
    firsts: list[date] = []
    cursor = (frame.first.replace(day=1) + timedelta(days=32)).replace(day=1)
    while cursor <= frame.last:
        firsts.append(cursor)
        cursor = (cursor + timedelta(days=32)).replace(day=1)
    every = max(1, math.ceil(len(firsts) / 6))
    return [(frame.x(d), f"{d:%b}") for d in firsts[::every]]


def _patty_bars(frame: Frame, patties: Sequence[PattyStay], today: date, system: System) -> list[str]:
    """A bar per piece from laying on to taking off, an open end while it is on the hive."""
    bars = []
    for piece in patties:
        end = piece.off or max(today, piece.on)
        if end < frame.first or piece.on > frame.last:
            continue
        left, right = frame.x(max(piece.on, frame.first)), frame.x(min(end, frame.last))
        label = f"{u.patty(piece.grams, system)} on {say.day(piece.on)}, " + (
            f"off {say.day(piece.off)}" if piece.off else f"still on, pull by {say.moment(piece.pull_by)}"
        )
        kind = "patty" if piece.off else "patty open"
        bars.append(
            f'<rect class="{kind}" x="{left:.1f}" y="{frame.bottom + 4:.1f}" width="{max(right - left, 3):.1f}" '
            f'height="9" rx="1.500"><title>{escape(label)}</title></rect>'
        )
    return bars


def _marks(frame: Frame, marks: Sequence[Mark], scale: float, unit: str) -> list[str]:
    """Each look as a diamond with its own error bar."""
    drawn = []
    for m in marks:
        x = frame.x(m.day)
        y, y_low, y_high = frame.y(m.value * scale), frame.y(m.low * scale), frame.y(m.high * scale)
        words = f"{m.label}, {say.day(m.day)}: {value_text(m.value * scale, unit)}"
        drawn.append(
            f'<g class="mark"><title>{escape(words)}</title><path d="M{x:.1f} {y_low:.1f}V{y_high:.1f}'
            f'M{x - 3:.1f} {y_low:.1f}h6M{x - 3:.1f} {y_high:.1f}h6"/>'
            f'<path class="dot" d="M{x:.1f} {y - 5:.1f}l5 5-5 5-5-5z"/></g>'
        )
    return drawn


def _upright(frame: Frame, when: date, kind: str, word: str) -> list[str]:
    """A named upright line at a day, if the day is on the chart."""
    if not frame.first <= when <= frame.last:
        return []
    x = frame.x(when)
    anchor = "end" if x > WIDTH * 0.72 else "start"
    shift = -4 if anchor == "end" else 4
    return [
        f'<path class="{kind}" d="M{x:.1f} {_TOP - 6}V{frame.bottom:.1f}"/>'
        f'<text class="upright" x="{x + shift:.1f}" y="{_TOP - 10}" text-anchor="{anchor}">{escape(word)}</text>'
    ]


def _split(band: Band, today: date) -> tuple[range, range]:
    """Indices of the days as they are known and of those foretold; without a seam in the band, by ``today``."""
    count = len(band.days)
    if band.ahead_from is not None:
        return range(band.ahead_from), range(band.ahead_from, count)
    past = sum(d <= today for d in band.days)
    return range(past), range(max(past - 1, 0), count)


def summary(band: Band, today: date, cluster_day: date, system: System) -> str:
    """The chart in one sentence, for those who do not see it.

    Today is told as it stands before the visit; where following the call moves it clearly, so is what comes of that.
    """
    scale, unit = _scale(band, system)
    past, ahead = _split(band, today)

    def value(i: int) -> str:
        low, middle, high = (value_text(v[i] * scale, unit) for v in (band.low, band.median, band.high))
        return f"{middle} ({low} to {high})"

    def nearest(when: date, among: range) -> int:
        return min(among, key=lambda k: abs((band.days[k] - when).days))

    now = nearest(today, past or ahead)
    text = f"Today about {value(now)}."
    # Sugar laid on at the call is in the first day foretold: what stands today must not be read off that day.
    if past and ahead and not band.low[now] <= band.median[ahead[0]] <= band.high[now]:
        text += f" Once the call is done about {value(ahead[0])}."
    if band.days[-1] >= cluster_day > today:
        text += f" When the cluster forms, {say.day(cluster_day)}: {value(nearest(cluster_day, ahead or past))}."
    return text


def chart(
    band: Band,
    marks: Sequence[Mark],
    patties: Sequence[PattyStay],
    today: date,
    cluster_day: date,
    system: System,
) -> Markup:
    """One series as an SVG figure body; ``band.days`` may not be empty."""
    if not band.days:
        raise ValueError(f"The series {band.name!r} has no days; wanted at least one to draw.")
    scale, unit = _scale(band, system)
    own = [m for m in marks if m.series == band.name and band.days[0] <= m.day <= band.days[-1]]
    largest = max([v for v in band.high if math.isfinite(v)] + [m.high for m in own] + [0.0]) * scale
    top, step = nice_top(largest)
    show_patties = band.name in ("pollen", "brood")
    frame = Frame(band.days[0], band.days[-1], top, HEIGHT - _BOTTOM - (_PATTY_ROW if show_patties else 0))

    out = [
        f'<svg class="chart" viewBox="0 0 {WIDTH} {HEIGHT}" role="img" '
        f'aria-label="{escape(TITLES.get(band.name, band.name))}: {escape(summary(band, today, cluster_day, system))}">'
    ]
    ticks = round(top / step)
    for i in range(ticks + 1):
        value = i * step
        y = frame.y(value)
        label = f"{u.plain(value / 1000, 1)}k" if top >= 10_000 and value else u.plain(value, 2)
        out.append(f'<path class="grid" d="M{_LEFT} {y:.1f}H{WIDTH - _RIGHT}"/>')
        out.append(f'<text x="{_LEFT - 5}" y="{y + 4:.1f}" text-anchor="end">{label}</text>')
    band_path = _path(frame, band.days, band.high, scale)
    back = _path(frame, list(reversed(band.days)), list(reversed(band.low)), scale)
    if band_path and back:
        out.append(f'<path class="band" d="{band_path}L{back[1:]}Z"/>')

    past, ahead = _split(band, today)
    for kind, index in (("median", past), ("median ahead", ahead)):
        if len(index) > 1:
            line = _path(frame, [band.days[i] for i in index], [band.median[i] for i in index], scale)
            out.append(f'<path class="{kind}" d="{line}"/>')
    out += _upright(frame, today, "today", "today")
    out += _upright(frame, cluster_day, "cluster", "cluster")
    out += _marks(frame, own, scale, unit)
    if show_patties:
        out += _patty_bars(frame, patties, today, system)
    base = frame.bottom + (_PATTY_ROW if show_patties else 0)
    for x, word in _month_marks(frame):
        out.append(f'<path class="grid" d="M{x:.1f} {base:.1f}v5"/>')
        out.append(f'<text x="{x:.1f}" y="{base + 19:.1f}" text-anchor="middle">{word}</text>')
    head = f"{unit}" if unit in ("g", "oz", "kg", "lb") else ""
    if head:
        out.append(f'<text x="{_LEFT - 5}" y="{_TOP - 10}" text-anchor="end">{head}</text>')
    out.append("</svg>")
    return Markup("".join(out))


def numbers(band: Band, system: System, today: date) -> list[tuple[str, str, str, str]]:
    """The same series as rows (day, low, median, high), one a week around today and to the end."""
    scale, unit = _scale(band, system)
    rows = []
    for i, d in enumerate(band.days):
        if (d - today).days % 7 == 0 or i == len(band.days) - 1:
            low, middle, high = (value_text(v[i] * scale, unit) for v in (band.low, band.median, band.high))
            done = ", call done" if i == band.ahead_from else ""
            rows.append((say.day(d) + done, low, middle, high))
    return rows
