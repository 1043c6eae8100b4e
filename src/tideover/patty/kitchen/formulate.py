"""The mix that serves the aim, or the reason there is none. Start reading at ``formulate``.

``solving`` turns a task into a program, ``why_not`` explains an empty answer, ``prices`` moves the prices and
``outcome`` holds what comes out.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from tideover.patty.kitchen.feel import softness
from tideover.patty.kitchen.limits import Limit, limit_rows, limit_words
from tideover.patty.kitchen.makeup import Makeup, makeup, paste_of
from tideover.patty.kitchen.nutrients import AMINO
from tideover.patty.kitchen.outcome import Mix
from tideover.patty.kitchen.prices import price_lines, price_note
from tideover.patty.kitchen.programme import Row
from tideover.patty.kitchen.requirement import Pattern
from tideover.patty.kitchen.solving import once, short_chances
from tideover.patty.kitchen.task import Task
from tideover.patty.kitchen.why_not import explained

__all__ = ["Mix", "formulate"]

STEPS: Final = 24
"""Times the needs of scarce amino acids are raised before the wish for sureness is given up."""


def formulate(task: Task, prices: bool = True) -> Mix:
    """Work out a task.

    prices: also move each price and see how the mix answers.
    """
    held = task.pattern
    if task.aim == "as weighed":
        return _weighed(task, held)
    margins: dict[str, float] = {}
    mix = once(task, held, margins)
    if task.chance_max is not None and mix.found:
        mix = _surer(task, held, mix)
    if not mix.found:
        return explained(task, held, mix)
    if not prices:
        return mix
    return replace(mix, prices=price_lines(task, held, mix), notes=(*mix.notes, *price_note(task)))


def _weighed(task: Task, held: Pattern) -> Mix:
    kilograms = {i.name: i.amount_kg or 0.0 for i in task.items}
    ingredients = {i.name: i.ingredient for i in task.items}
    made = makeup(ingredients, kilograms, held)
    missed = tuple(
        _missed(limit, made)
        for limit in limit_rows(replace(task, budget=None), held, {})
        if not limit.key.startswith(("softness", "crystals"))
        and not _holds(limit.row, kilograms, 1e-9 + 1e-6 * made.total_kg)
    )
    paste = paste_of(ingredients, kilograms)
    flows, crystals = softness(paste), 100.0 * paste.crystals / paste.total
    for key, value in (("softness_min", flows), ("softness_max", flows), ("crystals_max", crystals)):
        if (level := task.limits.get(key)) is None:
            continue
        if value < level - 1e-6 if key.endswith("_min") else value > level + 1e-6:
            missed += (f"It misses a limit: {limit_words(key, level)} (it has {value:.0f}).",)
    return Mix(task, held, kilograms, kilograms, made, short_chances(task, held, kilograms, made), notes=missed)


def _missed(limit: Limit, made: Makeup) -> str:
    """A limit that a recipe misses, and what the recipe has instead, unknowns counted against it."""
    said = f"It misses a limit: {limit.says}"
    if limit.key.startswith("amino:"):
        if made.score_low is not None and made.score is not None:
            n = limit.key[6:]
            said += f" (it has {100.0 * made.score_low.ratios[n]:.0f} %"
            wide = made.score.ratios[n] - made.score_low.ratios[n] > 0.005
            said += ", what is not known counted against it)" if wide else ")"
    elif limit.key == "omega_ratio_max":
        said += f" (it has {made.omega_ratio:.1f})" if made.omega_ratio is not None else " (it has no omega-3)"
    elif (stem := limit.key.rpartition("_")[0]) in made.shares:
        share = made.shares[stem]
        most = limit.key.endswith("_max")
        said += f" (it has {share.high if most else share.low:.3g} %"
        said += ", what is not known counted against it)" if share.high - share.low > 0.05 else ")"
    return said + "."


def _holds(row: Row, kilograms: Mapping[str, float], slack: float) -> bool:
    value = sum(c * kilograms.get(name, 0.0) for name, c in row.terms.items())
    return row.low - slack <= value <= row.high + slack


def _surer(task: Task, held: Pattern, mix: Mix) -> Mix:
    """Hold amino acids that fall short too often a little higher, until they seldom do or no mix is left."""
    best = mix
    margins: dict[str, float] = {}
    wanted = task.chance_max or 1.0
    for _ in range(STEPS):
        if best.chances is None or best.chances.any_short <= wanted:
            return best
        weak = [n for n in AMINO if best.chances.short[n] > wanted / 2.0] or [
            max(AMINO, key=lambda n: best.chances.short[n] if best.chances else 0.0)
        ]
        margins = margins | {n: margins.get(n, 0.0) + 0.03 for n in weak}
        tried = once(task, held, margins)
        if not tried.found or tried.chances is None:
            break
        best = tried
    if best.chances is not None and best.chances.any_short > wanted:
        note = (
            f"No mix was found that brings the chance of a shortfall down to {100 * wanted:.0f} %; "
            f"this one has {100 * best.chances.any_short:.0f} %."
        )
        best = replace(best, notes=(*best.notes, note))
    return best
